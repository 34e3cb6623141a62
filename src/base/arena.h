/* One block of memory that is freed in one call.
 *
 * Layer: base. Ownership: whatever comes out of an arena lives until rush_arena_free.
 * Errors: an arena never returns NULL. When memory runs out it leaves the work that rush_arena_guard
 * runs, and the guard returns false; its caller frees the arena and reports out-of-memory. So the
 * code between need not look at every allocation, and none can be missed. */
#ifndef RUSH_BASE_ARENA_H
#define RUSH_BASE_ARENA_H

#include <setjmp.h>
#include <stddef.h>

#include "rushlight/text.h"

typedef struct rush_arena_block rush_arena_block;

typedef struct rush_arena {
    rush_arena_block *blocks; /* the newest first */
    size_t used;              /* of the newest block */
    jmp_buf *escape;          /* of the innermost guard; NULL outside of any */
} rush_arena;

/* Runs work(with), in which the arena may be used; false when memory ran out in the middle of it. What
 * the work holds beside the arena must be reachable through `with`. Guards nest. */
bool rush_arena_guard(rush_arena *arena, void (*work)(void *with), void *with);
/* Leaves the work of the innermost guard. */
_Noreturn void rush_arena_escape(rush_arena *arena);

void rush_arena_free(rush_arena *arena);
/* `count` times `size` bytes, zeroed, aligned for anything. A product too large escapes too. */
void *rush_arena_zeroed(rush_arena *arena, size_t count, size_t size);
/* Frees what rush_arena_zeroed gave, when it was large; else it stays until the end. */
void rush_arena_give_back(rush_arena *arena, void *at, size_t size);
/* A NUL-ended copy. */
char *rush_arena_copy(rush_arena *arena, rush_text text);
char *rush_arena_format(rush_arena *arena, const char *format, ...) RUSH_FORMAT(2, 3);

#define RUSH_NEW(arena, type)          ((type *)rush_arena_zeroed((arena), 1, sizeof(type)))
#define RUSH_ARRAY(arena, type, count) ((type *)rush_arena_zeroed((arena), (count), sizeof(type)))

/* A list that grows inside an arena: `items` moves when it does, so keep indexes, not pointers. */
#define RUSH_LIST(type)                                                                          \
    struct {                                                                                     \
        type *items;                                                                             \
        uint32_t count, capacity;                                                                \
    }
/* The place of one more item, zeroed. */
#define RUSH_PUSH(arena, list)                                                                   \
    ((list)->items = rush_arena_grow((arena), (list)->items, (list)->count, &(list)->capacity,   \
                                     sizeof *(list)->items),                                     \
     &(list)->items[(list)->count++])
/* Room for one item more than `count`; escapes at 2^31 items. */
void *rush_arena_grow(rush_arena *arena, void *items, uint32_t count, uint32_t *capacity,
                      size_t size);

#endif
