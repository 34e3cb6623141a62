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

static rush_table_entry *slot(const rush_table *table, uint32_t scope, rush_text name,
                              uint32_t hash)
{
    for (uint32_t at = hash;; at++) {
        rush_table_entry *entry = &table->entries[at & (table->capacity - 1)];
        if (!entry->name)
            return entry;
        if (entry->hash == hash && entry->scope == scope && entry->length == name.length &&
            (!name.length || memcmp(entry->name, name.at, name.length) == 0))
            return entry;
    }
}

static void grow(rush_arena *arena, rush_table *table)
{
    rush_table old = *table;
    table->capacity = old.capacity ? old.capacity * 2 : 64;
    table->entries = RUSH_ARRAY(arena, rush_table_entry, table->capacity);
    for (uint32_t i = 0; i < old.capacity; i++) {
        const rush_table_entry *entry = &old.entries[i];
        if (entry->name)
            *slot(table, entry->scope, (rush_text){entry->name, entry->length}, entry->hash) =
                *entry;
    }
    rush_arena_give_back(arena, old.entries, old.capacity * sizeof *old.entries);
}

const rush_table_entry *rush_table_put(rush_arena *arena, rush_table *table, uint32_t scope,
                                       rush_text name, uint32_t value)
{
    if (table->count >= table->capacity / 2)
        grow(arena, table);
    uint32_t hash = rush_table_hash(scope, name);
    rush_table_entry *entry = slot(table, scope, name, hash);
    if (!entry->name) {
        *entry = (rush_table_entry){rush_arena_copy(arena, name),
                                    (uint32_t)name.length,
                                    scope,
                                    value,
                                    hash,
                                    table->count};
        table->count++;
    }
    return entry;
}

uint32_t rush_table_add(rush_arena *arena, rush_table *table, uint32_t scope, rush_text name,
                        uint32_t value)
{
    return rush_table_put(arena, table, scope, name, value)->value;
}

bool rush_table_find(const rush_table *table, uint32_t scope, rush_text name, uint32_t *value)
{
    if (!table->capacity)
        return false;
    const rush_table_entry *entry = slot(table, scope, name, rush_table_hash(scope, name));
    if (!entry->name)
        return false;
    *value = entry->value;
    return true;
}
