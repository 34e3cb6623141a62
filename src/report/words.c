#include "report/words.h"

#include <string.h>

void rush_words_percent(double probability, rush_buffer *buffer)
{
    double percent = probability * 100;
    if (percent > 0 && percent < 0.05)
        rush_buffer_string(buffer, "under 0.1 %");
    else if (percent < 100 && percent >= 99.95)
        rush_buffer_string(buffer, "over 99.9 %");
    else {
        rush_buffer_decimal(buffer, percent, 1);
        rush_buffer_string(buffer, " %");
    }
}

void rush_words_taxon(const rush_key *key, uint32_t taxon, uint32_t language, rush_buffer *buffer)
{
    const rush_taxon *here = rush_key_taxon(key, taxon);
    const char *vernacular = rush_key_words(key, here->vernacular, language);
    rush_buffer_safe(buffer, rush_text_of(here->name));
    if (!vernacular[0])
        return;
    rush_buffer_string(buffer, " (");
    rush_buffer_safe(buffer, rush_text_of(vernacular));
    rush_buffer_byte(buffer, ')');
}

void rush_words_character(const rush_key *key, uint32_t character, uint32_t language,
                          rush_buffer *buffer)
{
    rush_buffer name = {0};
    rush_character_name(key, character, language, &name);
    rush_words_add_part(&name, buffer);
}

void rush_words_state(const rush_key *key, uint32_t character, uint32_t state, uint32_t language,
                      rush_buffer *buffer)
{
    rush_buffer name = {0};
    rush_state_name(key, character, state, language, &name);
    rush_words_add_part(&name, buffer);
}

/* Runs of months, over the end of the year too: "May to September, November". */
static void write_months(const rush_key *key, const rush_trait *trait, uint32_t language,
                         rush_buffer *buffer)
{
    enum { MONTHS = 12 };
    bool first_run = true;
    uint32_t scored = 0;
    for (uint32_t m = 0; m < MONTHS; m++)
        scored += trait->weights[m] > 0;
    if (scored == MONTHS) {
        rush_buffer_string(buffer, "all year");
        return;
    }
    for (uint32_t first = 0; first < MONTHS; first++) {
        if (!(trait->weights[first] > 0) || trait->weights[(first + MONTHS - 1) % MONTHS] > 0)
            continue;
        uint32_t last = first;
        while (trait->weights[(last + 1) % MONTHS] > 0)
            last = (last + 1) % MONTHS;
        rush_buffer_string(buffer, first_run ? "" : ", ");
        rush_words_state(key, trait->character, first, language, buffer);
        if (last != first) {
            rush_buffer_string(buffer, " to ");
            rush_words_state(key, trait->character, last, language, buffer);
        }
        first_run = false;
    }
}

static void write_unit(const rush_character *character, rush_buffer *buffer)
{
    rush_buffer_string(buffer, character->unit[0] ? " " : "");
    rush_buffer_safe(buffer, rush_text_of(character->unit));
}

static void write_number(const rush_character *character, const rush_trait *trait,
                         rush_buffer *buffer)
{
    if (trait->ranged) {
        rush_buffer_number(buffer, trait->low, 3);
        if (trait->high > trait->low) {
            rush_buffer_string(buffer, " to ");
            rush_buffer_number(buffer, trait->high, 3);
        }
        write_unit(character, buffer);
    } else {
        rush_buffer_string(buffer, "mean ");
        rush_buffer_number(buffer, trait->mean, 3);
        write_unit(character, buffer);
        rush_buffer_string(buffer, ", sd ");
        rush_buffer_number(buffer, trait->sd, 3);
        write_unit(character, buffer);
        if (trait->n)
            rush_buffer_format(buffer, ", n %u", trait->n);
    }
}

/* States with their weights; equal weights need no figure. */
static void write_weights(const rush_key *key, const rush_trait *trait, uint32_t language,
                          rush_buffer *buffer)
{
    const rush_character *character = rush_key_character(key, trait->character);
    bool equal = true, first = true;
    double some = 0;
    for (uint32_t s = 0; s < character->state_count; s++) {
        if (!(trait->weights[s] > 0))
            continue;
        equal &= some == 0 || trait->weights[s] == some;
        some = trait->weights[s];
    }
    for (uint32_t s = 0; s < character->state_count; s++) {
        if (!(trait->weights[s] > 0))
            continue;
        rush_buffer_string(buffer, first ? "" : equal ? " or " : ", ");
        rush_words_state(key, trait->character, s, language, buffer);
        if (!equal) {
            rush_buffer_byte(buffer, ' ');
            rush_buffer_number(buffer, trait->weights[s] * 100, 1);
            rush_buffer_string(buffer, " %");
        }
        first = false;
    }
}

void rush_words_trait(const rush_key *key, const rush_trait *trait, uint32_t language,
                      rush_buffer *buffer)
{
    const rush_character *character = rush_key_character(key, trait->character);
    if (trait->kind == RUSH_TRAIT_UNSCORED)
        rush_buffer_string(buffer, "unknown");
    else if (trait->kind == RUSH_TRAIT_INAPPLICABLE)
        rush_buffer_string(buffer, "inapplicable");
    else if (trait->kind == RUSH_TRAIT_NUMBER)
        write_number(character, trait, buffer);
    else if (character->kind == RUSH_KIND_MONTHS)
        write_months(key, trait, language, buffer);
    else
        write_weights(key, trait, language, buffer);
}

void rush_words_usual(const rush_key *key, uint32_t form, uint32_t character, uint32_t language,
                      rush_buffer *buffer)
{
    double least = 0.15; /* or as much as the likeliest has */
    const rush_trait *trait = rush_key_trait(key, form, character, NULL);
    uint32_t states = rush_key_character(key, character)->state_count;
    if (!trait || trait->kind == RUSH_TRAIT_UNSCORED) {
        rush_buffer_string(buffer, "not known");
        return;
    }
    if (trait->kind != RUSH_TRAIT_STATES) {
        rush_words_trait(key, trait, language, buffer);
        return;
    }
    bool first = true;
    for (double below = 2, next; below > least; below = next) {
        next = 0;
        for (uint32_t s = 0; s < states; s++)
            if (trait->weights[s] < below && trait->weights[s] > next)
                next = trait->weights[s];
        if (first && next < least)
            least = next;
        for (uint32_t s = 0; next >= least && s < states; s++) {
            if (trait->weights[s] != next)
                continue;
            rush_buffer_string(buffer, first ? "" : " or ");
            rush_words_state(key, character, s, language, buffer);
            first = false;
        }
    }
}

void rush_words_wrap(rush_text text, size_t indent, size_t width, rush_buffer *buffer)
{
    size_t column = indent;
    bool first = true;
    for (size_t at = 0; at < text.length;) {
        size_t end = at;
        while (end < text.length && text.at[end] != ' ' && text.at[end] != '\n')
            end++;
        rush_text word = {text.at + at, end - at};
        at = end + 1;
        if (!word.length)
            continue;
        size_t columns = rush_text_columns(word);
        if (!first && column + 1 + columns > width) {
            rush_buffer_byte(buffer, '\n');
            rush_buffer_fill(buffer, ' ', indent);
            column = indent;
        } else if (!first) {
            rush_buffer_byte(buffer, ' ');
            column++;
        }
        rush_buffer_safe(buffer, word);
        column += columns;
        first = false;
    }
}

void rush_words_wrap_part(rush_buffer *part, size_t indent, size_t width, rush_buffer *buffer)
{
    rush_words_wrap((rush_text){part->bytes, part->length}, indent, width, buffer);
    buffer->failed |= part->failed;
    rush_buffer_free(part);
}

void rush_words_add_part(rush_buffer *part, rush_buffer *buffer)
{
    rush_buffer_safe(buffer, (rush_text){part->bytes, part->length});
    buffer->failed |= part->failed;
    rush_buffer_free(part);
}

void rush_words_drawing(const char *drawing, size_t indent, rush_buffer *buffer)
{
    for (const char *line = drawing; line && *line;) {
        size_t length = strcspn(line, "\n");
        rush_buffer_fill(buffer, ' ', indent);
        rush_buffer_safe(buffer, (rush_text){line, length});
        rush_buffer_byte(buffer, '\n');
        line += length + (line[length] == '\n');
    }
}
