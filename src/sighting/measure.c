#include <math.h>
#include <string.h>

#include "base/number.h"
#include "sighting/answer.h"

typedef struct written_number {
    rush_number number;
    rush_text unit; /* as written; empty: none */
} written_number;

/* "'TEXT' WRONG": what is wrong with a piece of the answer. */
static bool fail(const rush_answer_reader *reader, rush_slug slug, rush_text text,
                 const char *wrong, const char *help)
{
    if (reader->list) {
        rush_diagnostic *made =
            rush_diagnose(reader->list, slug, reader->source, rush_answer_piece(reader, text),
                          "'%.*s' %s", (int)text.length, text.at, wrong);
        rush_diagnose_help(reader->list, made, "%s", help);
    }
    return false;
}

static bool ends_unit(rush_text text, size_t at)
{
    return at >= text.length || text.at[at] == ' ' || text.at[at] == '\t' ||
           rush_dash_at(text, at);
}

/* `34`, `34 mm`, `3,4cm`; the text then begins behind it. */
static bool take_quantity(rush_text *text, written_number *quantity)
{
    if (!rush_number_take(text, &quantity->number))
        return false;
    *text = rush_text_trim(*text);
    rush_text rest;
    size_t length = 0;
    if (!rush_text_behind(*text, "to", &rest))
        while (!ends_unit(*text, length))
            length++;
    quantity->unit = (rush_text){text->at, length};
    *text = rush_text_trim((rush_text){text->at + length, text->length - length});
    return true;
}

/* The second end of a range: behind a hyphen, an en dash or `to`. */
static bool take_dash(rush_text *text)
{
    rush_text rest;
    size_t dash = rush_dash_at(*text, 0);
    if (dash)
        *text = rush_text_trim((rush_text){text->at + dash, text->length - dash});
    else if (rush_text_behind(*text, "to", &rest))
        *text = rest;
    else
        return false;
    return true;
}

static bool convert(const rush_answer_reader *reader, const rush_character *character,
                    written_number *quantity)
{
    double factor;
    if (!quantity->unit.length)
        return true;
    if (!rush_unit_factor(quantity->unit, rush_text_of(character->unit), &factor)) {
        if (!reader->list)
            return false;
        rush_diagnostic *made = rush_diagnose(reader->list, RUSH_UNKNOWN_UNIT, reader->source,
                                              rush_answer_piece(reader, quantity->unit),
                                              "'%.*s' is not a unit of this character",
                                              (int)quantity->unit.length, quantity->unit.at);
        if (character->unit[0])
            rush_diagnose_help(reader->list, made, "its unit is '%s'", character->unit);
        else
            rush_diagnose_help(reader->list, made, "it has no unit: give a plain number");
        return false;
    }
    quantity->number.value *= factor;
    quantity->number.step *= factor;
    return true;
}

/* The word for how to understand the number, at its start. */
typedef enum bound { POINT, UNDER, OVER } bound;

static rush_text take_manner(rush_text text, rush_answer *answer, bound *side)
{
    static const char *const about[] = {"about", "around", "circa", "ca", "c.", "~"};
    static const char *const under[] = {"under", "below", "less than", "<"};
    static const char *const over[] = {"over", "above", "more than", ">"};
    rush_text rest;
    for (size_t i = 0; i < sizeof about / sizeof *about; i++)
        if (rush_text_behind(text, about[i], &rest)) {
            answer->about = true;
            return rest;
        }
    if (rush_text_behind(text, "measured", &rest)) {
        answer->measured = true;
        return rest;
    }
    for (size_t i = 0; i < sizeof under / sizeof *under; i++)
        if (rush_text_behind(text, under[i], &rest)) {
            *side = UNDER;
            return rest;
        }
    for (size_t i = 0; i < sizeof over / sizeof *over; i++)
        if (rush_text_behind(text, over[i], &rest)) {
            *side = OVER;
            return rest;
        }
    return text;
}

static rush_text word_meaning(const rush_key *key, uint32_t character, rush_text text)
{
    uint32_t word = key->characters[character].word_count
                        ? rush_key_find_state(key, character, text)
                        : RUSH_NONE;
    return word == RUSH_NONE ? text : rush_text_of(key->characters[character].words[word].means);
}

static void widen(rush_answer *answer, double width)
{
    if (answer->high - answer->low >= width)
        return;
    double middle = (answer->low + answer->high) / 2;
    answer->low = middle - width / 2;
    answer->high = middle + width / 2;
}

/* What was said, from low to high in the character's unit; -INFINITY or INFINITY when open. */
typedef struct said {
    double low, high;
} said;

/* Of a length, a count and a mass it is known what cannot be; of an angle, say, it is not. */
static bool is_amount(const rush_character *character)
{
    static const char *const amounts[] = {"length", "count", "mass"};
    for (size_t i = 0; i < sizeof amounts / sizeof *amounts; i++)
        if (strcmp(character->measure, amounts[i]) == 0)
            return true;
    return false;
}

static bool is_count(const rush_character *character)
{
    return strcmp(character->measure, "count") == 0;
}

static bool refuse_impossible(const rush_answer_reader *reader, const rush_character *character,
                              said number, rush_text whole)
{
    double least = isinf(number.low) ? number.high : number.low;
    if (least < 0 || (isinf(number.low) && number.high == 0))
        return !fail(reader, RUSH_BAD_NUMBER, whole, "is below 0",
                     "write what was measured or counted");
    if (number.high == 0 && !is_count(character))
        return !fail(reader, RUSH_BAD_NUMBER, whole, "is nothing to measure",
                     "leave it out, or write `-` for not seen");
    return false;
}

/* From one unit to the next, as people mistake them. */
#define NEXT_UNIT 10.0

#define WELL_OFF 2.0

/* Further off than one unit is from the next; or well off, and right if it were in the next one: 3.5 where the key has
 * 25 to 85 mm. */
static bool is_off_scale(const rush_character *character, said number)
{
    double low = character->low, high = character->high;
    if (high <= 0)
        return false;
    if (is_count(character))
        return number.low > NEXT_UNIT * high;
    bool below = number.low * NEXT_UNIT >= low && number.high < low / WELL_OFF;
    bool above = number.high <= high * NEXT_UNIT && number.low > high * WELL_OFF;
    return number.low > NEXT_UNIT * high || number.high < low / NEXT_UNIT || below || above;
}

static void warn_off_scale(const rush_answer_reader *reader, const rush_character *character,
                           said number, rush_text whole)
{
    if (!reader->list || !is_off_scale(character, number))
        return;
    rush_buffer help = {0};
    rush_buffer_string(&help, "the key has ");
    rush_buffer_number(&help, character->low, 3);
    rush_buffer_string(&help, " to ");
    rush_buffer_number(&help, character->high, 3);
    rush_buffer_format(&help, "%s%s%s", character->unit[0] ? " " : "", character->unit,
                       character->unit[0] ? ": which unit is it in? Write it behind the number"
                                          : "");
    rush_diagnostic *made = rush_diagnose(
        reader->list, RUSH_OFF_SCALE, reader->source, rush_answer_piece(reader, whole),
        "'%.*s' is far from all that the key has", (int)whole.length, whole.at);
    rush_diagnose_help_from(reader->list, made, &help);
}

bool rush_measure_read(const rush_answer_reader *reader, rush_text text, rush_answer *answer)
{
    const rush_character *character = &reader->key->characters[answer->character];
    if (text.at[text.length - 1] == '?') {
        answer->unsure = true;
        text = rush_text_trim((rush_text){text.at, text.length - 1});
    }
    rush_text whole = text;
    bound side = POINT;
    text = take_manner(word_meaning(reader->key, answer->character, text), answer, &side);
    written_number low, high;
    if (!take_quantity(&text, &low))
        return fail(reader, RUSH_NOT_A_NUMBER, whole, "is not a number",
                    "write 34, 34 mm, 30-36 mm, about 34, under 40 or over 60; `-` for not seen");
    high = low;
    bool range = side == POINT && take_dash(&text);
    if (range && !take_quantity(&text, &high))
        return fail(reader, RUSH_NOT_A_NUMBER, whole, "is not a range", "write 30-36 mm");
    if (text.length)
        return fail(reader, RUSH_NOT_A_NUMBER, text, "stands behind the number",
                    "put anything more into `notes:`");
    if (range && !low.unit.length)
        low.unit = high.unit;
    if (range && !high.unit.length)
        high.unit = low.unit;
    if (!convert(reader, character, &low) || !convert(reader, character, &high))
        return false;
    if (high.number.value < low.number.value)
        return fail(reader, RUSH_REVERSED, whole, "is reversed", "write the lower number first");
    said number = {side == UNDER ? -INFINITY : low.number.value,
                   side == OVER ? INFINITY : high.number.value};
    if (is_amount(character)) {
        if (refuse_impossible(reader, character, number, whole))
            return false;
        warn_off_scale(reader, character, number, whole);
    }
    answer->low = number.low;
    answer->high = number.high;
    if (side == POINT && !range)
        widen(answer, low.number.step);
    widen(answer, character->resolution);
    return true;
}
