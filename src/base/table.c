#include "base/table.h"

#include <string.h>

/* Up to eight bytes as a number. */
static uint64_t word_at(const char *bytes, size_t count)
{
    uint64_t word = 0;
    if (count >= sizeof word)
        memcpy(&word, bytes, sizeof word);
    else
        for (size_t i = 0; i < count; i++)
            word = word << 8 | (unsigned char)bytes[i];
    return word;
}

uint32_t rush_table_hash(uint32_t scope, rush_text name)
{
    static const uint64_t odd = UINT64_C(0x9e3779b97f4a7c15);
    uint64_t hash = (scope + UINT64_C(1)) * odd ^ name.length;
    for (size_t at = 0; at < name.length; at += sizeof hash) {
        hash = (hash ^ word_at(name.at + at, name.length - at)) * odd;
        hash ^= hash >> 32;
    }
    return (uint32_t)hash;
}

/* Where the name's number stands, or would. */
static uint32_t *slot(const rush_table *table, uint32_t scope, rush_text name, uint32_t hash)
{
    for (uint32_t at = hash;; at++) {
        uint32_t *place = &table->slots[at & (table->slot_count - 1)];
        if (!*place)
            return place;
        const rush_table_entry *item = &table->items[*place - 1];
        if (item->hash == hash && item->scope == scope && item->length == name.length &&
            (!name.length || memcmp(item->name, name.at, name.length) == 0))
            return place;
    }
}

static void add_slots(rush_arena *arena, rush_table *table, uint32_t count)
{
    uint32_t before = table->slot_count, *old = table->slots;
    table->slots = RUSH_ARRAY(arena, uint32_t, count);
    table->slot_count = count;
    rush_arena_give_back(arena, old, before * sizeof *old);
    for (uint32_t i = 0; i < table->count; i++) {
        uint32_t at = table->items[i].hash;
        while (table->slots[at & (table->slot_count - 1)])
            at++;
        table->slots[at & (table->slot_count - 1)] = i + 1;
    }
}

void rush_table_reserve(rush_arena *arena, rush_table *table, uint32_t names)
{
    uint32_t slots = 64;
    while (slots / 2 < names)
        slots *= 2;
    add_slots(arena, table, slots);
    table->items = RUSH_ARRAY(arena, rush_table_entry, names);
    table->capacity = names;
}

uint32_t rush_table_put(rush_arena *arena, rush_table *table, uint32_t scope, rush_text name,
                        uint32_t value)
{
    if (table->count >= table->slot_count / 2)
        add_slots(arena, table, table->slot_count ? table->slot_count * 2 : 64);
    uint32_t hash = rush_table_hash(scope, name), *place = slot(table, scope, name, hash);
    if (!*place) {
        const char *copy = rush_arena_copy(arena, name);
        *RUSH_PUSH(arena, table) =
            (rush_table_entry){copy, (uint32_t)name.length, scope, value, hash};
        *place = table->count;
    }
    return *place - 1;
}

uint32_t rush_table_add(rush_arena *arena, rush_table *table, uint32_t scope, rush_text name,
                        uint32_t value)
{
    uint32_t at = rush_table_put(arena, table, scope, name, value);
    return table->items[at].value;
}

void rush_table_clear(rush_table *table)
{
    if (table->count)
        memset(table->slots, 0, table->slot_count * sizeof *table->slots);
    table->count = 0;
}

bool rush_table_find(const rush_table *table, uint32_t scope, rush_text name, uint32_t *value)
{
    if (!table->slot_count)
        return false;
    uint32_t place = *slot(table, scope, name, rush_table_hash(scope, name));
    if (!place)
        return false;
    *value = table->items[place - 1].value;
    return true;
}
