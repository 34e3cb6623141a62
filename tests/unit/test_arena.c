/* Memory of one block: pieces of every size lie apart, aligned and zeroed, whichever comes first. */
#include "base/arena.h"
#include "support/support.h"

#include <string.h>

enum { PIECES = 400 };

/* Sizes that are no multiple of anything, small ones among those that get a block of their own. */
typedef struct arena_run {
    rush_arena arena;
    size_t first;
    unsigned char *pieces[PIECES];
    size_t sizes[PIECES];
} arena_run;

static void take(void *with)
{
    arena_run *run = with;
    for (int i = 0; i < PIECES; i++) {
        run->sizes[i] = i % 50 == 0 ? run->first + (size_t)i : (size_t)(i * 37 % 997 + 1);
        run->pieces[i] = rush_arena_zeroed(&run->arena, run->sizes[i], 1);
        for (size_t at = 0; at < run->sizes[i]; at++)
            if (run->pieces[i][at])
                fail_msg("piece %d is not zeroed at %zu", i, at);
        memset(run->pieces[i], i % 251 + 1, run->sizes[i]);
    }
}

static void pieces_lie_apart(void **state)
{
    (void)state;
    static const size_t firsts[] = {3, 1000 * 1000, 1024 * 1024, 1024 * 1024 + 7,
                                    3 * 1024 * 1024 + 1};
    for (size_t f = 0; f < sizeof firsts / sizeof *firsts; f++) {
        arena_run run = {.first = firsts[f]};
        assert_true(rush_arena_guard(&run.arena, take, &run));
        for (int i = 0; i < PIECES; i++) {
            assert_int_equal((uintptr_t)run.pieces[i] % _Alignof(max_align_t), 0);
            for (size_t at = 0; at < run.sizes[i]; at++)
                if (run.pieces[i][at] != i % 251 + 1)
                    fail_msg("piece %d of %zu bytes was written over at %zu", i, run.sizes[i],
                             at);
        }
        rush_arena_free(&run.arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(pieces_lie_apart)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
