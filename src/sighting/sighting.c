#include "sighting/sighting.h"

#include <stdlib.h>
#include <string.h>

#include "sighting/known.h"

const char *rush_record_field_name(rush_record_field field)
{
    static const char *const names[] = {
#define X(name, word) word,
        RUSH_RECORD_FIELDS(X)
#undef X
    };
    return names[field];
}

uint32_t rush_set_words(const rush_key *key, uint32_t character)
{
    uint32_t bits = character == RUSH_TAXON_CHARACTER ? key->leaf_count
                                                      : key->characters[character].state_count;
    return (bits + 63) / 64;
}

rush_sighting *rush_sighting_new(const rush_key *key)
{
    rush_sighting *sighting = calloc(1, sizeof *sighting);
    if (!sighting)
        return NULL;
    uint32_t characters = key->character_count, words = 0;
    uint32_t *set_at = calloc(characters + 1, sizeof *set_at);
    sighting->set_at = set_at;
    for (uint32_t c = 0; set_at && c < characters; c++) {
        set_at[c] = words;
        words += rush_set_words(key, c);
    }
    sighting->key = key;
    sighting->answers = calloc(characters, sizeof *sighting->answers);
    sighting->given = calloc(characters, sizeof *sighting->given);
    sighting->sets = calloc(words + 1, sizeof *sighting->sets);
    sighting->scratch = calloc(key->model.set_words + 1, sizeof *sighting->scratch);
    if (!set_at || !sighting->answers || !sighting->given || !sighting->sets ||
        !sighting->scratch) {
        rush_sighting_free(sighting);
        return NULL;
    }
    set_at[characters] = words;
    return sighting;
}

void rush_sighting_free(rush_sighting *sighting)
{
    if (!sighting)
        return;
    free(sighting->answers);
    free(sighting->given);
    free(sighting->sets);
    free(sighting->scratch);
    free((void *)sighting->set_at);
    rush_buffer_free(&sighting->texts);
    rush_buffer_free(&sighting->unquoted);
    rush_buffer_free(&sighting->line_starts);
    rush_row_reader_free(sighting);
    rush_known_free(sighting->known);
    free(sighting);
}

void rush_sighting_clear(rush_sighting *sighting)
{
    sighting->count = 0;
    memset(sighting->fields, 0, sizeof sighting->fields);
    memset(sighting->degrees, 0, sizeof sighting->degrees);
    rush_buffer_clear(&sighting->texts);
    rush_buffer_clear(&sighting->unquoted);
    rush_buffer_clear(&sighting->line_starts);
}

uint64_t *rush_sighting_set(rush_sighting *sighting, uint32_t character)
{
    return sighting->sets + sighting->set_at[character];
}

rush_answer *rush_sighting_add(rush_sighting *sighting, uint32_t character)
{
    if (rush_sighting_find(sighting, character))
        return NULL;
    uint64_t *set = rush_sighting_set(sighting, character);
    memset(set, 0, rush_set_words(sighting->key, character) * sizeof *set);
    rush_answer *answer = &sighting->answers[sighting->count];
    *answer = (rush_answer){.character = character, .states = set};
    sighting->given[sighting->count] = (rush_kept_text){0};
    sighting->count++;
    return answer;
}

void rush_sighting_keep(rush_sighting *sighting, rush_kept_text *kept, rush_text text)
{
    *kept = (rush_kept_text){sighting->texts.length, text.length};
    rush_buffer_add(&sighting->texts, text);
    rush_buffer_byte(&sighting->texts, '\0');
}

rush_text rush_sighting_kept(const rush_sighting *sighting, rush_kept_text kept)
{
    if (!kept.length || sighting->texts.failed)
        return (rush_text){"", 0};
    return (rush_text){sighting->texts.bytes + kept.at, kept.length};
}

void rush_sighting_settle(rush_sighting *sighting)
{
    for (uint32_t i = 0; i < sighting->count; i++)
        sighting->answers[i].given = rush_sighting_kept(sighting, sighting->given[i]);
}

uint32_t rush_sighting_answer_count(const rush_sighting *sighting)
{
    return sighting->count;
}

const rush_answer *rush_sighting_answer(const rush_sighting *sighting, uint32_t at)
{
    return &sighting->answers[at];
}

const rush_answer *rush_sighting_find(const rush_sighting *sighting, uint32_t character)
{
    for (uint32_t i = 0; i < sighting->count; i++)
        if (sighting->answers[i].character == character)
            return &sighting->answers[i];
    return NULL;
}

rush_text rush_sighting_field(const rush_sighting *sighting, rush_record_field field)
{
    return rush_sighting_kept(sighting, sighting->fields[field]);
}

void rush_sighting_drop(rush_sighting *sighting, uint32_t character)
{
    uint32_t kept = 0;
    for (uint32_t i = 0; i < sighting->count; i++) {
        if (sighting->answers[i].character == character)
            continue;
        sighting->answers[kept] = sighting->answers[i];
        sighting->given[kept++] = sighting->given[i];
    }
    sighting->count = kept;
}

bool rush_sighting_merge(rush_sighting *sighting, const rush_sighting *more)
{
    if (more == sighting)
        return !sighting->texts.failed;
    for (uint32_t i = 0; i < more->count; i++) {
        const rush_answer *from = &more->answers[i];
        rush_sighting_drop(sighting, from->character);
        rush_answer *to = rush_sighting_add(sighting, from->character);
        const uint64_t *states = to->states;
        memcpy(rush_sighting_set(sighting, from->character), from->states,
               rush_set_words(sighting->key, from->character) * sizeof *states);
        *to = *from;
        to->states = states;
        rush_sighting_keep(sighting, &sighting->given[sighting->count - 1], from->given);
    }
    for (int f = 0; f < RUSH_RECORD_FIELD_COUNT; f++) {
        rush_text text = rush_sighting_field(more, (rush_record_field)f);
        if (text.length)
            rush_sighting_keep(sighting, &sighting->fields[f], text);
    }
    rush_sighting_settle(sighting);
    return !sighting->texts.failed;
}
