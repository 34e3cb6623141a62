#include <math.h>
#include <string.h>

#include "sighting/sighting.h"

/* ---- names for people --------------------------------------------------------------------------- */

static void name_or_id(const rush_key *key, rush_words label, const char *id, uint32_t language,
                       rush_buffer *buffer)
{
    const char *words = rush_key_words(key, label, language);
    if (words[0]) {
        rush_buffer_string(buffer, words);
        return;
    }
    for (const char *at = id; *at; at++)
        rush_buffer_byte(buffer, *at == '-' || *at == '_' ? ' ' : *at);
}

void rush_character_name(const rush_key *key, uint32_t character, uint32_t language,
                         rush_buffer *buffer)
{
    name_or_id(key, key->characters[character].label, key->characters[character].id, language,
               buffer);
}

void rush_state_name(const rush_key *key, uint32_t character, uint32_t state, uint32_t language,
                     rush_buffer *buffer)
{
    const rush_character *owner = &key->characters[character];
    if (state < owner->state_count)
        name_or_id(key, owner->states[state].label, owner->states[state].id, language, buffer);
}

/* ---- an answer ---------------------------------------------------------------------------------- */

static bool has_bit(const uint64_t *set, uint32_t bit)
{
    return set[bit / 64] >> bit % 64 & 1;
}

static bool holds_taxon(const rush_key *key, const rush_answer *answer, uint32_t taxon)
{
    if (taxon == RUSH_NONE)
        return false;
    const rush_taxon *here = &key->taxa[taxon];
    for (uint32_t i = here->first_leaf; i < here->first_leaf + here->leaf_count; i++)
        if (has_bit(answer->states, i) == answer->denied)
            return false;
    return true;
}

/* The largest taxa that lie wholly within the answer (of a denial, within what it denies). */
static void write_taxa(const rush_key *key, const rush_answer *answer, rush_buffer *buffer)
{
    bool first = true;
    if (answer->taxon != RUSH_NONE) {
        rush_buffer_string(buffer, key->taxa[answer->taxon].name);
        return;
    }
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        if (!holds_taxon(key, answer, t) || holds_taxon(key, answer, key->taxa[t].parent))
            continue;
        rush_buffer_format(buffer, "%s%s", first ? "" : " or ", key->taxa[t].name);
        first = false;
    }
}

/* A name that reads like an answer of its own ("red or blue", "not there") stands in quotation marks. */
static void write_quoted_state(const rush_key *key, uint32_t character, uint32_t state,
                               uint32_t language, rush_buffer *buffer)
{
    size_t start = buffer->length;
    rush_state_name(key, character, state, language, buffer);
    if (buffer->failed)
        return;
    const char *name = buffer->bytes + start;
    if (!strstr(name, " or ") && strncmp(name, "not ", 4) != 0)
        return;
    buffer->length = start;
    rush_buffer_byte(buffer, '"');
    rush_state_name(key, character, state, language, buffer);
    rush_buffer_byte(buffer, '"');
}

static void write_states(const rush_key *key, const rush_answer *answer, uint32_t language,
                         rush_buffer *buffer)
{
    bool first = true;
    for (uint32_t s = 0; s < key->characters[answer->character].state_count; s++) {
        if (has_bit(answer->states, s) == answer->denied)
            continue;
        rush_buffer_string(buffer, first ? "" : " or ");
        write_quoted_state(key, answer->character, s, language, buffer);
        first = false;
    }
}

static void write_number(const rush_key *key, const rush_answer *answer, rush_buffer *buffer)
{
    if (answer->about)
        rush_buffer_string(buffer, "about ");
    if (answer->measured)
        rush_buffer_string(buffer, "measured ");
    if (isinf(answer->low))
        rush_buffer_string(buffer, "under ");
    else if (isinf(answer->high))
        rush_buffer_string(buffer, "over ");
    if (!isinf(answer->low))
        rush_buffer_number(buffer, answer->low, 6);
    if (!isinf(answer->low) && !isinf(answer->high))
        rush_buffer_string(buffer, " to ");
    if (!isinf(answer->high))
        rush_buffer_number(buffer, answer->high, 6);
    const char *unit = key->characters[answer->character].unit;
    rush_buffer_string(buffer, unit[0] ? " " : "");
    rush_buffer_string(buffer, unit);
}

void rush_answer_write(const rush_key *key, const rush_answer *answer, uint32_t language,
                       rush_buffer *buffer)
{
    if (answer->denied)
        rush_buffer_string(buffer, "not ");
    switch (key->characters[answer->character].kind) {
    case RUSH_KIND_NUMBER:
        write_number(key, answer, buffer);
        break;
    case RUSH_KIND_TAXON:
        write_taxa(key, answer, buffer);
        break;
    default:
        write_states(key, answer, language, buffer);
    }
    if (answer->unsure)
        rush_buffer_string(buffer, ", unsure");
}

/* ---- a line ------------------------------------------------------------------------------------- */

static void write_value(rush_text value, rush_buffer *buffer)
{
    bool quoted = memchr(value.at, ';', value.length) || value.at[0] == '"';
    if (!quoted) {
        rush_buffer_add(buffer, value);
        return;
    }
    rush_buffer_byte(buffer, '"');
    for (size_t i = 0; i < value.length; i++) {
        if (value.at[i] == '"')
            rush_buffer_byte(buffer, '"');
        rush_buffer_byte(buffer, value.at[i]);
    }
    rush_buffer_byte(buffer, '"');
}

static void write_field(const rush_sighting *sighting, rush_record_field field, bool *first,
                        rush_buffer *buffer)
{
    rush_text value = rush_sighting_field(sighting, field);
    if (!value.length)
        return;
    rush_buffer_format(buffer, "%s%s: ", *first ? "" : "; ", rush_record_field_name(field));
    write_value(value, buffer);
    *first = false;
}

static void write_answers(const rush_sighting *sighting, uint32_t language, bool first,
                          rush_buffer *buffer)
{
    for (uint32_t i = 0; i < sighting->count; i++) {
        if (sighting->answers[i].implied)
            continue;
        rush_buffer_string(buffer, first ? "" : "; ");
        rush_character_name(sighting->key, sighting->answers[i].character, language, buffer);
        rush_buffer_string(buffer, ": ");
        write_value(sighting->answers[i].given, buffer);
        first = false;
    }
}

void rush_sighting_write(const rush_sighting *sighting, uint32_t language, rush_buffer *buffer)
{
    bool first = true;
    for (int f = 0; f < RUSH_RECORD_FIELD_COUNT; f++)
        write_field(sighting, (rush_record_field)f, &first, buffer);
    write_answers(sighting, language, first, buffer);
}

void rush_sighting_write_seen(const rush_sighting *sighting, uint32_t language,
                              rush_buffer *buffer)
{
    bool first = true;
    write_field(sighting, RUSH_RECORD_DATE, &first, buffer);
    write_answers(sighting, language, first, buffer);
}
