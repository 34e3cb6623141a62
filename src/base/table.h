/* Names to numbers, in an arena: what a scope calls a thing, folded, to the thing's number.
 *
 * Layer: base. A scope is a number of the caller's choosing that keeps equal names apart. */
#ifndef RUSH_BASE_TABLE_H
#define RUSH_BASE_TABLE_H

#include "base/arena.h"

typedef struct rush_table_entry {
    const char *name;
    uint32_t length, scope, value, hash;
} rush_table_entry;

typedef struct rush_table {
    rush_table_entry *items; /* in the order in which they were added */
    uint32_t count, capacity;
    uint32_t *slots;     /* by hash: one more than the place of an item, or 0 */
    uint32_t slot_count; /* a power of two, or 0 */
} rush_table;

/* Adds unless the scope has the name already; returns the value that stands there afterwards. */
uint32_t rush_table_add(rush_arena *arena, rush_table *table, uint32_t scope, rush_text name,
                        uint32_t value);
/* The same; returns its place among the items. */
uint32_t rush_table_put(rush_arena *arena, rush_table *table, uint32_t scope, rush_text name,
                        uint32_t value);
/* Room for so many names in an empty table, so that it need not grow on the way to them. */
void rush_table_reserve(rush_arena *arena, rush_table *table, uint32_t names);
/* Takes all names out; the memory is kept. */
void rush_table_clear(rush_table *table);
/* Multiplicative (Knuth, The Art of Computer Programming 3, 6.4: by the golden ratio), eight bytes at a time. */
uint32_t rush_table_hash(uint32_t scope, rush_text name);
/* False when the scope does not have the name. */
bool rush_table_find(const rush_table *table, uint32_t scope, rush_text name, uint32_t *value);

#endif
