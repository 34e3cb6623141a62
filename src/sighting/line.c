#include <string.h>

#include "base/number.h"
#include "base/unicode.h"
#include "key/month.h"
#include "sighting/answer.h"

/* One line while it is read. */
typedef struct line_reader {
    rush_sighting *sighting;
    const rush_line *line;
    rush_source source;
    rush_diagnostics *list;
    bool good;
} line_reader;

/* One `name: value` or a bare answer. Both borrow from the line; a quoted value from `unquoted`. */
typedef struct line_part {
    rush_text name; /* empty: bare */
    rush_text value;
    rush_span name_span, value_span;
    bool broken; /* reported already */
} line_part;

bool rush_line_is_blank(rush_text text)
{
    text = rush_text_trim(text);
    return !text.length || text.at[0] == '#' || (text.length == 1 && text.at[0] == '\r');
}

RUSH_FORMAT(4, 5)
static rush_diagnostic *complain(line_reader *reader, rush_slug slug, rush_span span,
                                 const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    rush_diagnostic *made =
        rush_vdiagnose(reader->list, slug, &reader->source, span, format, arguments);
    va_end(arguments);
    reader->good = false;
    return made;
}

/* ---- the line as text --------------------------------------------------------------------------- */

static bool clean(line_reader *reader)
{
    rush_text text = reader->source.text;
    if (text.length > RUSH_LINE_MAX) {
        rush_diagnostic *made = complain(reader, RUSH_LINE_TOO_LONG,
                                         (rush_span){RUSH_LINE_MAX, 0}, "the line is too long");
        rush_diagnose_help(reader->list, made, "a line may have %d bytes", RUSH_LINE_MAX);
        return false;
    }
    size_t length;
    for (size_t at = 0; at < text.length; at += length) {
        int32_t c = rush_unicode_at(text, at, &length);
        rush_span span = {(uint32_t)at, (uint32_t)length};
        if (c < 0) {
            rush_diagnostic *made =
                complain(reader, RUSH_BAD_UTF8, span, "bytes that are not UTF-8 text");
            rush_diagnose_help(reader->list, made, "save the text in the encoding UTF-8");
            return false;
        }
        if (c != '\t' && rush_unicode_hostile(c)) {
            rush_diagnostic *made = complain(reader, RUSH_CONTROL_CHARACTER, span,
                                             "the control character U+%04X", (unsigned)c);
            rush_diagnose_help(reader->list, made, "delete it: it cannot be shown");
            return false;
        }
    }
    return true;
}

/* ---- parts ------------------------------------------------------------------------------------- */

static size_t skip_blanks(rush_text text, size_t at)
{
    while (at < text.length && (text.at[at] == ' ' || text.at[at] == '\t'))
        at++;
    return at;
}

/* A quoted value at `at`, a quotation mark; a doubled mark inside stands for one. What is behind it
 * up to the next `;` must be blank. Returns where the part ends. */
static size_t take_quoted(line_reader *reader, size_t at, line_part *part)
{
    rush_text text = reader->source.text;
    rush_buffer *unquoted = &reader->sighting->unquoted;
    size_t start = at, kept = unquoted->length;
    for (at++; at < text.length; at++) {
        if (text.at[at] == '"' && at + 1 < text.length && text.at[at + 1] == '"')
            at++;
        else if (text.at[at] == '"')
            break;
        rush_buffer_byte(unquoted, text.at[at]);
    }
    part->value_span = (rush_span){(uint32_t)start, (uint32_t)(at + (at < text.length) - start)};
    if (at >= text.length) {
        rush_diagnostic *made =
            complain(reader, RUSH_UNCLOSED_QUOTE, (rush_span){(uint32_t)start, 1},
                     "a quotation mark without its partner");
        rush_diagnose_help(reader->list, made,
                           "close the quotation mark; one inside a quoted text is written twice");
        part->broken = true;
        return text.length;
    }
    part->value = (rush_text){unquoted->failed ? "" : unquoted->bytes + kept,
                              unquoted->failed ? 0 : unquoted->length - kept};
    at = skip_blanks(text, at + 1);
    if (at < text.length && text.at[at] != ';') {
        rush_diagnostic *made =
            complain(reader, RUSH_UNCLOSED_QUOTE, (rush_span){(uint32_t)at, 1},
                     "text behind a closing quotation mark");
        rush_diagnose_help(reader->list, made, "put a ';' behind the quotation mark");
        part->broken = true;
    }
    while (at < text.length && text.at[at] != ';')
        at++;
    return at;
}

static rush_span span_of(const line_reader *reader, rush_text piece)
{
    return (rush_span){(uint32_t)(piece.at - reader->source.text.at), (uint32_t)piece.length};
}

/* The part that begins at `at`; returns where it ends: at its `;` or at the end. */
static size_t take_part(line_reader *reader, size_t at, line_part *part)
{
    rush_text text = reader->source.text;
    *part = (line_part){0};
    at = skip_blanks(text, at);
    if (at < text.length && text.at[at] == '"')
        return take_quoted(reader, at, part);
    size_t start = at;
    while (at < text.length && text.at[at] != ':' && text.at[at] != ';')
        at++;
    if (at < text.length && text.at[at] == ':') {
        part->name = rush_text_trim((rush_text){text.at + start, at - start});
        part->name_span = span_of(reader, part->name);
        start = at = skip_blanks(text, at + 1);
        if (at < text.length && text.at[at] == '"')
            return take_quoted(reader, at, part);
        while (at < text.length && text.at[at] != ';')
            at++;
    }
    part->value = rush_text_trim((rush_text){text.at + start, at - start});
    part->value_span = span_of(reader, part->value);
    return at;
}

/* ---- the record's fields ------------------------------------------------------------------------ */

static bool record_field(rush_text name, rush_record_field *field)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, folded);
    for (int f = 0; length != SIZE_MAX && f < RUSH_RECORD_FIELD_COUNT; f++)
        if (rush_text_equal((rush_text){folded, length},
                            rush_text_of(rush_record_field_name((rush_record_field)f)))) {
            *field = (rush_record_field)f;
            return true;
        }
    return false;
}

static void take_field(line_reader *reader, const line_part *part, rush_record_field field)
{
    double number;
    unsigned month;
    rush_diagnostic *made;
    rush_text value = part->value;
    if (rush_answer_is_empty(value))
        return;
    if (field == RUSH_RECORD_DATE && !rush_date_read(value, &month)) {
        made = complain(reader, RUSH_BAD_DATE, part->value_span, "'%.*s' is not a date",
                        (int)value.length, value.at);
        rush_diagnose_help(reader->list, made,
                           "write 2026-06-14, or 2026-06 for the month alone");
    }
    if (field == RUSH_RECORD_COUNT &&
        (!rush_text_number(value, &number) || number < 0 || number != (double)(uint64_t)number)) {
        made = complain(reader, RUSH_BAD_COUNT, part->value_span, "'%.*s' is not a count",
                        (int)value.length, value.at);
        rush_diagnose_help(reader->list, made, "write a whole number");
    }
    if (field == RUSH_RECORD_UNCERTAINTY && (!rush_text_number(value, &number) || number <= 0)) {
        made = complain(reader, RUSH_BAD_UNCERTAINTY, part->value_span,
                        "'%.*s' is not an uncertainty", (int)value.length, value.at);
        rush_diagnose_help(reader->list, made,
                           "write metres, above 0; leave it out when unknown");
    }
    if (reader->sighting->fields[field].length)
        complain(reader, RUSH_REPEATED_ANSWER, part->name_span, "'%.*s' is given twice",
                 (int)part->name.length, part->name.at);
    rush_sighting_keep(reader->sighting, &reader->sighting->fields[field], value);
}

/* ---- answers ------------------------------------------------------------------------------------ */

static rush_answer_reader answer_reader(line_reader *reader, const line_part *part, bool quiet)
{
    return (rush_answer_reader){reader->sighting->key, quiet ? NULL : reader->list,
                                &reader->source, part->value_span, reader->sighting->scratch};
}

static uint32_t column_of(const line_reader *reader, rush_span span)
{
    return (uint32_t)rush_unicode_count((rush_text){reader->source.text.at, span.start}) + 1;
}

static void take_answer(line_reader *reader, const line_part *part, uint32_t character)
{
    rush_sighting *sighting = reader->sighting;
    rush_span span = part->name.length ? part->name_span : part->value_span;
    rush_answer *answer = rush_sighting_add(sighting, character);
    if (!answer) {
        rush_diagnostic *made =
            complain(reader, RUSH_REPEATED_ANSWER, span, "'%s' is answered twice",
                     sighting->key->characters[character].id);
        rush_diagnose_help(reader->list, made, "for one of two states write `a or b`");
        return;
    }
    rush_answer_reader how = answer_reader(reader, part, false);
    if (!rush_answer_read(&how, part->value, answer, rush_sighting_set(sighting, character))) {
        reader->good = false;
        return;
    }
    answer->column = column_of(reader, span);
    rush_sighting_keep(sighting, &sighting->given[sighting->count - 1], part->value);
}

static bool would_read(line_reader *reader, const line_part *part, uint32_t character)
{
    rush_answer answer = {.character = character};
    rush_answer_reader how = answer_reader(reader, part, true);
    memset(how.scratch, 0, rush_set_words(how.key, character) * sizeof *how.scratch);
    return rush_answer_read(&how, part->value, &answer, how.scratch);
}

static void refuse_choice(line_reader *reader, const line_part *part)
{
    const rush_key *key = reader->sighting->key;
    rush_buffer names = {0};
    for (uint32_t c = 0; c < key->character_count; c++)
        if (would_read(reader, part, c)) {
            rush_buffer_string(&names, names.length ? ", " : "name one: ");
            rush_character_name(key, c, 0, &names);
        }
    rush_diagnostic *made =
        complain(reader, RUSH_WHICH_CHARACTER, part->value_span,
                 "'%.*s' can answer several characters", (int)part->value.length, part->value.at);
    rush_diagnose_help_from(reader->list, made, &names);
}

static void offer_all_states(const rush_key *key, rush_nearest *nearest)
{
    for (uint32_t c = 0; c < key->character_count; c++)
        for (uint32_t s = 0; s < key->characters[c].state_count; s++) {
            const rush_state *state = &key->characters[c].states[s];
            rush_nearest_offer(nearest, state->id);
            for (uint32_t l = 0; state->label.in && l < key->header.language_count; l++)
                rush_nearest_offer(nearest, state->label.in[l]);
            for (uint32_t a = 0; a < state->also.count; a++)
                rush_nearest_offer(nearest, state->also.names[a]);
        }
}

/* The character that a bare answer goes to: the one that is asked for, else the only one that knows it,
 * else the one marked `bare`. RUSH_NONE: none, or several, which `several` says. */
static uint32_t bare_character(line_reader *reader, const line_part *part, bool *several)
{
    const rush_key *key = reader->sighting->key;
    uint32_t asked = reader->line->asked, found = RUSH_NONE, knowing = 0, bare = RUSH_NONE;
    uint32_t bares = 0;
    *several = false;
    if (asked != RUSH_NONE && would_read(reader, part, asked))
        return asked;
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!would_read(reader, part, c))
            continue;
        found = c;
        knowing++;
        if (key->characters[c].bare) {
            bare = c;
            bares++;
        }
    }
    *several = knowing > 1 && bares != 1;
    return knowing == 1 ? found : bares == 1 ? bare : RUSH_NONE;
}

/* "red damselfly": two bare answers of two characters, when it can be cut in one way alone. */
static bool take_two(line_reader *reader, const line_part *part)
{
    enum { TWO_MAX = 80 }; /* bytes; nobody says more in two answers */
    line_part halves[2];
    uint32_t characters[2] = {RUSH_NONE, RUSH_NONE}, ways = 0;
    if (part->value.length > TWO_MAX)
        return false;
    for (size_t i = 1; i + 1 < part->value.length; i++) {
        if (part->value.at[i] != ' ')
            continue;
        bool several;
        line_part cut[2] = {*part, *part};
        cut[0].value = rush_text_trim((rush_text){part->value.at, i});
        cut[1].value =
            rush_text_trim((rush_text){part->value.at + i + 1, part->value.length - i - 1});
        uint32_t first = bare_character(reader, &cut[0], &several);
        uint32_t second =
            first == RUSH_NONE ? RUSH_NONE : bare_character(reader, &cut[1], &several);
        if (second == RUSH_NONE || second == first)
            continue;
        ways++;
        for (int h = 0; h < 2; h++)
            halves[h] = cut[h];
        characters[0] = first;
        characters[1] = second;
    }
    for (int h = 0; ways == 1 && h < 2; h++)
        take_answer(reader, &halves[h], characters[h]);
    return ways == 1;
}

static void refuse_bare(line_reader *reader, const line_part *part)
{
    rush_nearest nearest;
    rush_nearest_init(&nearest, part->value);
    offer_all_states(reader->sighting->key, &nearest);
    rush_diagnostic *made =
        complain(reader, RUSH_UNKNOWN_ANSWER, part->value_span, "no character knows '%.*s'",
                 (int)part->value.length, part->value.at);
    rush_diagnose_nearest(reader->list, made, &nearest,
                          "write `character: answer`; `rushlight about` lists them");
}

static void take_bare(line_reader *reader, const line_part *part)
{
    bool several;
    uint32_t character = bare_character(reader, part, &several);
    if (character != RUSH_NONE)
        take_answer(reader, part, character);
    else if (several)
        refuse_choice(reader, part);
    else if (!take_two(reader, part))
        refuse_bare(reader, part);
}

static void refuse_character(line_reader *reader, const line_part *part)
{
    const rush_key *key = reader->sighting->key;
    rush_nearest nearest;
    rush_nearest_init(&nearest, part->name);
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        rush_nearest_offer(&nearest, character->id);
        for (uint32_t l = 0; character->label.in && l < key->header.language_count; l++)
            rush_nearest_offer(&nearest, character->label.in[l]);
        for (uint32_t a = 0; a < character->also.count; a++)
            rush_nearest_offer(&nearest, character->also.names[a]);
    }
    for (int f = 0; f < RUSH_RECORD_FIELD_COUNT; f++)
        rush_nearest_offer(&nearest, rush_record_field_name((rush_record_field)f));
    rush_diagnostic *made =
        complain(reader, RUSH_UNKNOWN_CHARACTER, part->name_span,
                 "the key has no character '%.*s'", (int)part->name.length, part->name.at);
    rush_diagnose_nearest(reader->list, made, &nearest,
                          "`rushlight about` lists the characters; a ':' inside an answer needs "
                          "quotation marks around it");
}

/* Of the characters that share a name, the first that knows the answer. */
static uint32_t named_character(line_reader *reader, const line_part *part)
{
    const rush_key *key = reader->sighting->key;
    uint32_t first = rush_key_find_character(key, part->name);
    if (first == RUSH_NONE || rush_answer_is_empty(part->value) ||
        would_read(reader, part, first))
        return first;
    for (uint32_t scope = RUSH_SCOPE_SHARED; scope < RUSH_SCOPE_STATES; scope++) {
        uint32_t other = rush_key_find(key, scope, part->name);
        if (other != RUSH_NONE && would_read(reader, part, other))
            return other;
    }
    return first;
}

static void take(line_reader *reader, const line_part *part)
{
    rush_record_field field;
    if (part->broken)
        return;
    uint32_t character = part->name.length ? named_character(reader, part) : RUSH_NONE;
    if (part->name.length && record_field(part->name, &field))
        take_field(reader, part, field);
    else if (part->name.length && character == RUSH_NONE)
        refuse_character(reader, part);
    else if (rush_answer_is_empty(part->value))
        return;
    else if (part->name.length)
        take_answer(reader, part, character);
    else
        take_bare(reader, part);
}

/* ---- what follows from elsewhere ----------------------------------------------------------------- */

static void add_month_of_date(line_reader *reader)
{
    rush_sighting *sighting = reader->sighting;
    const rush_key *key = sighting->key;
    rush_text date = rush_sighting_field(sighting, RUSH_RECORD_DATE);
    unsigned month;
    if (!date.length || !rush_date_read(date, &month))
        return;
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (key->characters[c].kind != RUSH_KIND_MONTHS)
            continue;
        rush_answer *answer = rush_sighting_add(sighting, c);
        if (!answer)
            return;
        answer->implied = true;
        answer->state_count = 1;
        *rush_sighting_set(sighting, c) = UINT64_C(1) << month;
        rush_sighting_keep(sighting, &sighting->given[sighting->count - 1],
                           rush_text_of(rush_month_name(month)));
        return;
    }
}

/* Answers and fields of `set` for what the line does not say. */
static void add_set(rush_sighting *sighting, const rush_sighting *set)
{
    for (uint32_t i = 0; i < set->count; i++) {
        const rush_answer *from = &set->answers[i];
        rush_answer *to = rush_sighting_add(sighting, from->character);
        if (!to)
            continue;
        uint64_t *states = rush_sighting_set(sighting, from->character);
        memcpy(states, from->states,
               rush_set_words(sighting->key, from->character) * sizeof *states);
        *to = *from;
        to->states = states;
        to->column = 0;
        rush_sighting_keep(sighting, &sighting->given[sighting->count - 1], from->given);
    }
    for (int f = 0; f < RUSH_RECORD_FIELD_COUNT; f++) {
        rush_text text = rush_sighting_field(set, (rush_record_field)f);
        if (text.length && !sighting->fields[f].length)
            rush_sighting_keep(sighting, &sighting->fields[f], text);
    }
}

bool rush_sighting_read(rush_sighting *sighting, const rush_line *line,
                        rush_diagnostics *diagnostics)
{
    rush_text text = line->text;
    if (text.length && text.at[text.length - 1] == '\r')
        text.length--;
    line_reader reader = {
        .sighting = sighting,
        .line = line,
        .source = {.name = line->file, .text = text, .first_line = line->number},
        .list = diagnostics,
        .good = true};
    rush_sighting_clear(sighting);
    if (!clean(&reader))
        return false;
    /* Reserved whole, so that values which point into it stay where they are. */
    rush_buffer_clear(&sighting->unquoted);
    rush_buffer_reserve(&sighting->unquoted, text.length);
    for (size_t at = 0; at < text.length; at++) {
        line_part part;
        at = take_part(&reader, at, &part);
        take(&reader, &part);
    }
    if (reader.good) {
        add_month_of_date(&reader);
        if (line->set)
            add_set(sighting, line->set);
    }
    if (sighting->texts.failed || sighting->unquoted.failed) {
        rush_diagnose_out_of_memory(diagnostics);
        reader.good = false;
    }
    rush_sighting_settle(sighting);
    return reader.good;
}

void rush_line_diagnose(const rush_line *line, rush_slug slug, const char *message,
                        const char *help, rush_diagnostics *diagnostics)
{
    rush_text text = line->text;
    if (text.length && text.at[text.length - 1] == '\r')
        text.length--;
    rush_source source = {.name = line->file, .text = text, .first_line = line->number};
    rush_diagnostic *made = rush_diagnose(diagnostics, slug, &source,
                                          (rush_span){0, (uint32_t)text.length}, "%s", message);
    rush_diagnose_help(diagnostics, made, "%s", help);
}
