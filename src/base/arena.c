#include "base/arena.h"

#include <stdalign.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_BLOCK = 8 * 1024, LARGEST_STEP = 1024 * 1024, OWN_BLOCK = 128 * 1024 };

struct rush_arena_block {
    rush_arena_block *older;
    size_t size;
    max_align_t bytes[];
};

bool rush_arena_guard(rush_arena *arena, void (*work)(void *with), void *with)
{
    jmp_buf here, *const above = arena->escape;
    arena->escape = &here;
    volatile bool whole = false;
    if (setjmp(here) == 0) {
        work(with);
        whole = true;
    }
    arena->escape = above;
    return whole;
}

void rush_arena_escape(rush_arena *arena)
{
    longjmp(*arena->escape, 1);
}

void rush_arena_free(rush_arena *arena)
{
    for (rush_arena_block *block = arena->blocks; block;) {
        rush_arena_block *older = block->older;
        free(block);
        block = older;
    }
    arena->blocks = NULL;
    arena->used = 0;
}

static void add_block(rush_arena *arena, rush_arena_block *block, size_t size)
{
    if (!block)
        rush_arena_escape(arena);
    block->size = size;
    block->older = arena->blocks;
    arena->blocks = block;
    arena->used = 0;
}

/* At a multiple of `unit`. Blocks come zeroed, and no part of one is given out twice. */
static void *take(rush_arena *arena, size_t size, size_t unit)
{
    size_t from = (arena->used + unit - 1) / unit * unit;
    if (!arena->blocks || from > arena->blocks->size || arena->blocks->size - from < size) {
        size_t next = arena->blocks ? arena->blocks->size * 2 : FIRST_BLOCK;
        if (next > LARGEST_STEP)
            next = LARGEST_STEP;
        if (next < size)
            next = size;
        add_block(arena, calloc(1, sizeof(rush_arena_block) + next), next);
        from = 0;
    }
    arena->used = from + size;
    return (char *)arena->blocks->bytes + from;
}

/* A block of its own, behind the newest: the system gives such zeroed, and no page of it costs anything before
 * it is used. */
static void *take_large(rush_arena *arena, size_t size)
{
    size_t used = arena->used;
    rush_arena_block *newest = arena->blocks, *block;
    add_block(arena, calloc(1, sizeof *block + size), size);
    block = arena->blocks;
    if (newest) {
        block->older = newest->older;
        newest->older = block;
        arena->blocks = newest;
        arena->used = used;
    } else {
        arena->used = size;
    }
    return block->bytes;
}

void *rush_arena_zeroed(rush_arena *arena, size_t count, size_t size)
{
    if (size && count > SIZE_MAX / 4 / size)
        rush_arena_escape(arena);
    return count * size >= OWN_BLOCK ? take_large(arena, count * size)
                                     : take(arena, count * size, alignof(max_align_t));
}

void rush_arena_give_back(rush_arena *arena, void *at, size_t size)
{
    rush_arena_block **block = &arena->blocks;
    if (size < OWN_BLOCK)
        return;
    while (*block && (void *)(*block)->bytes != at)
        block = &(*block)->older;
    if (!*block || block == &arena->blocks)
        return; /* the newest is the one that `used` is of */
    rush_arena_block *gone = *block;
    *block = gone->older;
    free(gone);
}

char *rush_arena_copy(rush_arena *arena, rush_text text)
{
    char *copy = take(arena, text.length + 1, 1);
    if (text.length)
        memcpy(copy, text.at, text.length);
    copy[text.length] = '\0';
    return copy;
}

char *rush_arena_format(rush_arena *arena, const char *format, ...)
{
    va_list arguments, again;
    va_start(arguments, format);
    va_copy(again, arguments);
    int length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    char *text = take(arena, length < 0 ? 1 : (size_t)length + 1, 1);
    text[0] = '\0';
    if (length >= 0)
        vsnprintf(text, (size_t)length + 1, format, arguments);
    va_end(arguments);
    return text;
}

void *rush_arena_grow(rush_arena *arena, void *items, uint32_t count, uint32_t *capacity,
                      size_t size)
{
    if (count < *capacity) {
        memset((char *)items + count * size, 0, size);
        return items;
    }
    if (count > UINT32_MAX / 2)
        rush_arena_escape(arena);
    uint32_t larger = count ? count * 2 : 8;
    void *moved = rush_arena_zeroed(arena, larger, size);
    if (count)
        memcpy(moved, items, count * size);
    rush_arena_give_back(arena, items, *capacity * size);
    *capacity = larger;
    return moved;
}
