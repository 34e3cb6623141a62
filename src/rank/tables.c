/* Answers into tables: what each answer says of each profile. */
#include <math.h>
#include <string.h>

#include "rank/ranker.h"

/* ---- the cache ---------------------------------------------------------------------------------- */

/* So many answers, and so many numbers of their tables; then it is emptied. No page of the numbers costs anything
 * before it is used. */
enum { SLOTS = 16384, NUMBERS_MAX = 12 * 1024 * 1024, ROWS_OF_EACH = 128 };

/* What makes two answers the same. */
typedef struct answer_key {
    uint64_t states;
    double low, high;
    uint32_t character;
    bool unsure, denied, about, measured;
} answer_key;

typedef struct cache_slot {
    answer_key key;
    rush_answer_table table; /* without a column: empty */
} cache_slot;

struct rush_table_cache {
    cache_slot *slots;
    uint32_t count;
    double *numbers;
    size_t used, room;
    bool full; /* to be emptied before the next sighting */
};

/* False when the answer has more to it than a key holds. */
static bool key_of(const rush_key *key, const rush_answer *answer, answer_key *made)
{
    bool number = key->characters[answer->character].kind == RUSH_KIND_NUMBER;
    memset(made, 0, sizeof *made); /* they are compared byte by byte */
    made->character = answer->character;
    made->unsure = answer->unsure;
    made->denied = answer->denied;
    made->about = answer->about;
    made->measured = answer->measured;
    made->low = number ? answer->low : 0;
    made->high = number ? answer->high : 0;
    made->states = number ? 0 : answer->states[0];
    return number || key->model.columns[answer->character].set_words == 1;
}

static cache_slot *slot_of(const rush_table_cache *cache, const answer_key *key)
{
    rush_text bytes = {(const char *)key, sizeof *key};
    for (uint32_t at = rush_table_hash(0, bytes);; at++) {
        cache_slot *slot = &cache->slots[at & (SLOTS - 1)];
        if (!slot->table.column || memcmp(&slot->key, key, sizeof *key) == 0)
            return slot;
    }
}

static void empty_cache(rush_ranker *ranker)
{
    rush_table_cache *cache = ranker->cache;
    rush_fit_forget(ranker); /* serial numbers are given anew */
    memset(cache->slots, 0, SLOTS * sizeof *cache->slots);
    cache->count = 0;
    cache->used = 0;
    cache->full = false;
}

/* ---- one table ---------------------------------------------------------------------------------- */

/* Two in single precision take the room of one. */
static size_t numbers_of(const rush_key *key, const rush_column *column)
{
    return (size_t)column->profile_count +
           (column->profile_count + key->model.unlisted_count + 1) / 2;
}

static double least_above_0(const double *numbers, uint32_t count, double least)
{
    for (uint32_t i = 0; i < count; i++)
        if (numbers[i] > 0 && numbers[i] < least)
            least = numbers[i];
    return least;
}

static void fill_table(rush_ranker *ranker, rush_answer_table *table, double *numbers)
{
    const rush_key *key = ranker->key;
    uint32_t profiles = table->column->profile_count;
    double *misread = ranker->misreads;
    float *misreads = (float *)(numbers + profiles), *of_unlisted = misreads + profiles;
    table->value = numbers;
    if (table->setting) {
        rush_suitability(key, table->answer, numbers);
        table->least = least_above_0(numbers, profiles, 1);
        return;
    }
    table->even = rush_likelihood(key, table->answer, numbers, misread, ranker->rows);
    for (uint32_t p = 0; p < profiles; p++)
        misreads[p] = numbers[p] > 0 ? (float)(misread[p] / numbers[p]) : 0;
    rush_likelihood_unlisted(key, table->answer->character, numbers, table->even, ranker->leaves,
                             of_unlisted);
    table->misread = misreads;
    table->unlisted = of_unlisted;
    table->least = least_above_0(numbers, profiles, (1 - RUSH_RELATIVE_PART) * table->even);
}

/* The table of an answer, from the cache or into it; `pool` serves what does not fit. */
static double *find_table(rush_ranker *ranker, rush_answer_table *table, double *pool)
{
    rush_table_cache *cache = ranker->cache;
    const rush_answer *answer = table->answer;
    size_t numbers = numbers_of(ranker->key, table->column);
    answer_key key;
    bool fits = key_of(ranker->key, answer, &key);
    cache_slot *slot = fits ? slot_of(cache, &key) : NULL;
    if (slot && slot->table.column) {
        *table = slot->table;
        table->answer = answer;
        return pool;
    }
    if (slot && (cache->count >= SLOTS / 2 || cache->room - cache->used < numbers)) {
        cache->full = true;
        slot = NULL;
    }
    if (!slot) {
        fill_table(ranker, table, pool);
        return pool + numbers;
    }
    fill_table(ranker, table, cache->numbers + cache->used);
    cache->used += numbers;
    table->serial = ++cache->count;
    slot->key = key;
    slot->table = *table;
    return pool;
}

/* ---- all of them -------------------------------------------------------------------------------- */

void rush_tables_reserve(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    rush_arena *arena = &ranker->arena;
    size_t numbers = 1;
    uint32_t profiles = 1;
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_column *column = &key->model.columns[c];
        numbers += numbers_of(key, column);
        profiles = column->profile_count > profiles ? column->profile_count : profiles;
    }
    ranker->misreads = RUSH_ARRAY(arena, double, profiles);
    ranker->tables = RUSH_ARRAY(arena, rush_answer_table, key->character_count);
    ranker->pool = RUSH_ARRAY(arena, double, numbers);
    ranker->cache = RUSH_NEW(arena, rush_table_cache);
    ranker->cache->slots = RUSH_ARRAY(arena, cache_slot, SLOTS);
    ranker->cache->room =
        numbers < NUMBERS_MAX / ROWS_OF_EACH ? numbers * ROWS_OF_EACH : (size_t)NUMBERS_MAX;
    ranker->cache->numbers = RUSH_ARRAY(arena, double, ranker->cache->room);
}

void rush_tables_fill(rush_ranker *ranker, const rush_sighting *sighting)
{
    const rush_key *key = ranker->key;
    double *pool = ranker->pool;
    if (ranker->cache->full)
        empty_cache(ranker);
    ranker->table_count = rush_sighting_answer_count(sighting);
    for (uint32_t i = 0; i < ranker->table_count; i++) {
        const rush_answer *answer = rush_sighting_answer(sighting, i);
        rush_answer_table *table = &ranker->tables[i];
        *table = (rush_answer_table){.answer = answer};
        if (answer->character == RUSH_TAXON_CHARACTER) {
            table->even = (double)answer->state_count / key->leaf_count;
            table->least = RUSH_OTHER_TAXON;
            continue;
        }
        table->column = &key->model.columns[answer->character];
        table->setting = key->characters[answer->character].setting;
        pool = find_table(ranker, table, pool);
    }
}

/* 1 within what the observer is sure of, little outside and for the unlisted. */
static double taxon_value(const rush_ranker *ranker, const rush_answer_table *table,
                          uint32_t hypothesis, bool *inside)
{
    *inside = false;
    if (hypothesis < ranker->key->form_count) {
        uint32_t leaf = ranker->leaf_of_form[hypothesis];
        *inside = table->answer->states[leaf / 64] >> leaf % 64 & 1;
    }
    double value = *inside ? 1 : RUSH_OTHER_TAXON;
    return table->answer->unsure ? (value + table->even) / 2 : value;
}

double rush_table_value(const rush_ranker *ranker, const rush_answer_table *table,
                        uint32_t hypothesis)
{
    bool inside;
    return table->column ? table->value[rush_column_profile(table->column, hypothesis)]
                         : taxon_value(ranker, table, hypothesis, &inside);
}

double rush_taxon_misread(const rush_ranker *ranker, const rush_answer_table *table,
                          uint32_t form)
{
    bool inside;
    taxon_value(ranker, table, form, &inside);
    return inside ? 0 : 1;
}
