#include "key/share.h"

#include <string.h>

/* Eight bytes at a time, each mixed in by a multiplication (Knuth, TAOCP 3, section 6.4: the golden ratio). */
static uint64_t mix(uint64_t hash, const void *bytes)
{
    uint64_t word;
    memcpy(&word, bytes, sizeof word);
    hash = (hash ^ word) * UINT64_C(0x9e3779b97f4a7c15);
    return hash ^ hash >> 29;
}

static uint32_t hash_of(const rush_trait *trait, uint32_t states)
{
    uint64_t head = (uint64_t)trait->character << 32 | (uint32_t)trait->kind;
    uint64_t hash = mix(trait->backing.source, &head);
    for (uint32_t s = 0; trait->weights && s < states; s++)
        hash = mix(hash, &trait->weights[s]);
    if (trait->kind == RUSH_TRAIT_NUMBER) {
        hash = mix(hash, &trait->mean);
        hash = mix(hash, &trait->sd);
    }
    return (uint32_t)(hash >> 32 ^ hash);
}

static bool alike(const rush_trait *a, const rush_trait *b, uint32_t states)
{
    if (a->character != b->character || a->kind != b->kind || a->mean != b->mean ||
        a->sd != b->sd || a->low != b->low || a->high != b->high || a->n != b->n ||
        a->ranged != b->ranged || a->lost != b->lost || a->backing.source != b->backing.source)
        return false;
    if (!a->weights || !b->weights)
        return a->weights == b->weights;
    return memcmp(a->weights, b->weights, states * sizeof *a->weights) == 0;
}

static const rush_trait *copy_of(rush_arena *arena, rush_trait_pool *pool,
                                 const rush_trait *trait, uint32_t states)
{
    rush_trait *copy = RUSH_NEW(arena, rush_trait);
    *copy = *trait;
    copy->number = pool->count++;
    if (trait->weights) {
        double *weights = RUSH_ARRAY(arena, double, states);
        memcpy(weights, trait->weights, states * sizeof *weights);
        copy->weights = weights;
    }
    return copy;
}

static void grow(rush_arena *arena, rush_trait_pool *pool)
{
    rush_trait_pool old = *pool;
    pool->capacity = old.capacity ? old.capacity * 2 : 4096;
    pool->places = rush_arena_zeroed(arena, pool->capacity, sizeof *pool->places);
    for (uint32_t i = 0; i < old.capacity; i++) {
        uint32_t at = old.places[i].hash & (pool->capacity - 1);
        while (old.places[i].trait && pool->places[at].trait)
            at = (at + 1) & (pool->capacity - 1);
        if (old.places[i].trait)
            pool->places[at] = old.places[i];
    }
    rush_arena_give_back(arena, old.places, old.capacity * sizeof *old.places);
}

const rush_trait *rush_share_trait(rush_arena *arena, rush_arena *scratch, rush_trait_pool *pool,
                                   const rush_trait *trait, uint32_t states)
{
    if (trait->backing.note)
        return copy_of(arena, pool, trait, states);
    if (2 * pool->held >= pool->capacity)
        grow(scratch, pool);
    uint32_t hash = hash_of(trait, states), at = hash & (pool->capacity - 1);
    for (; pool->places[at].trait; at = (at + 1) & (pool->capacity - 1))
        if (pool->places[at].hash == hash && alike(pool->places[at].trait, trait, states))
            return pool->places[at].trait;
    pool->places[at].trait = copy_of(arena, pool, trait, states);
    pool->places[at].hash = hash;
    pool->held++;
    return pool->places[at].trait;
}
