#include <stdlib.h>

#include "advise/effort.h"
#include "advise/roots.h"

/* The marks of each taxon: a cover of the others, chosen greedily (Johnson 1974, J. Comput. Syst. Sci. 9:256-278, for
 * the plain cover; from memory). Another taxon, in one sex, is told apart by what a mark leaves of the Bhattacharyya
 * coefficient between the two. In a large key a taxon is compared with those beside it alone. */
enum { LARGE_KEY = 1000 };

typedef struct marking {
    rush_marks marks; /* the first member: what the caller has */
    rush_arena arena, scratch;
    const rush_part *part;
    rush_reach reach;
    uint32_t most;
    rush_roots roots;
    double
        *left[RUSH_ROOT_SEXES]; /* by leaf: how much of it is still like the one that is marked */
} marking;

static void begin(marking *with, uint32_t own)
{
    const rush_key *key = with->part->key;
    const uint32_t *leaves = with->part->leaves;
    for (int sex = 0; sex < RUSH_ROOT_SEXES; sex++)
        for (uint32_t leaf = 0; leaf < with->part->leaf_count; leaf++) {
            bool beside = with->part->leaf_count <= LARGE_KEY ||
                          key->taxa[leaves[leaf]].parent == key->taxa[leaves[own]].parent;
            with->left[sex][leaf] = leaf != own && beside && with->roots.there[sex][leaf] &&
                                    with->roots.there[sex][own];
        }
}

/* How many other taxa the character tells from `own` that are not told yet; taken away from what is left, if wanted. */
static double tell(marking *with, uint32_t character, uint32_t own, bool take)
{
    double told = 0;
    for (uint32_t sex = 0; sex < RUSH_ROOT_SEXES; sex++)
        for (uint32_t leaf = 0; leaf < with->part->leaf_count; leaf++) {
            double *left = &with->left[sex][leaf];
            if (!(*left > 0))
                continue;
            double alike = rush_roots_alike(&with->roots, character, sex, own, leaf);
            told += *left * (1 - alike) / RUSH_ROOT_SEXES;
            if (take)
                *left *= alike;
        }
    return told;
}

/* The best of those that are not taken and need no more than the reach; RUSH_NONE: nothing more is worth its line. */
static uint32_t best_mark(marking *with, uint32_t own, const bool *taken, rush_reach reach)
{
    const rush_key *key = with->part->key;
    uint32_t best = RUSH_NONE;
    double worth = 0;
    for (uint32_t c = 0; c < key->character_count; c++) {
        bool can = with->roots.of[c] && !taken[c] && key->characters[c].reach <= reach;
        double told = can ? tell(with, c, own, false) : 0;
        double so = told / rush_beginner_effort(&key->characters[c]);
        if (told < RUSH_MARK_LEAST || (float)so <= (float)worth)
            continue;
        best = c;
        worth = so;
    }
    return best;
}

/* First what strikes the eye, then all the rest. */
static void mark_out(marking *with, uint32_t own, uint32_t *characters, uint32_t *count)
{
    enum { AT_A_GLANCE = 2 };
    bool *taken = RUSH_ARRAY(&with->scratch, bool, with->part->key->character_count);
    begin(with, own);
    while (*count < with->most) {
        uint32_t best =
            *count < AT_A_GLANCE ? best_mark(with, own, taken, RUSH_REACH_FAR) : RUSH_NONE;
        if (best == RUSH_NONE)
            best = best_mark(with, own, taken, with->reach);
        if (best == RUSH_NONE)
            return;
        tell(with, best, own, true);
        taken[best] = true;
        characters[(*count)++] = best;
    }
}

static void run(void *given)
{
    marking *with = given;
    uint32_t leaves = with->part->leaf_count;
    rush_own_marks *own = RUSH_ARRAY(&with->arena, rush_own_marks, (size_t)leaves + 1);
    uint32_t most = with->part->key->character_count;
    with->most = with->most < most ? with->most : most;
    uint32_t *characters = RUSH_ARRAY(&with->arena, uint32_t, (size_t)leaves * with->most + 1);
    with->roots = rush_roots_find(&with->scratch, with->part->key, with->part, with->reach);
    for (int sex = 0; sex < RUSH_ROOT_SEXES; sex++)
        with->left[sex] = RUSH_ARRAY(&with->scratch, double, (size_t)leaves + 1);
    for (uint32_t leaf = 0; leaf < leaves; leaf++) {
        own[leaf].characters = characters + (size_t)leaf * with->most;
        mark_out(with, leaf, characters + (size_t)leaf * with->most, &own[leaf].count);
    }
    with->marks = (rush_marks){with->part, own};
}

static void run_guarded(void *given)
{
    marking *with = given;
    if (!rush_arena_guard(&with->scratch, run, with))
        rush_arena_escape(&with->arena);
}

const rush_marks *rush_marks_make(const rush_part *part, uint32_t most, rush_reach reach)
{
    marking *with = calloc(1, sizeof *with);
    if (!with)
        return NULL;
    with->part = part;
    with->most = most;
    with->reach = reach;
    bool good = rush_arena_guard(&with->arena, run_guarded, with);
    rush_arena_free(&with->scratch);
    if (good)
        return &with->marks;
    rush_marks_free(&with->marks);
    return NULL;
}

void rush_marks_free(const rush_marks *marks)
{
    if (!marks)
        return;
    marking *with = (marking *)(void *)(uintptr_t)marks;
    rush_arena_free(&with->arena);
    free(with);
}
