#include <stdlib.h>

#include "advise/effort.h"
#include "advise/roots.h"
#include "advise/strikes.h"

/* The marks of each taxon: a cover of the others, chosen greedily (Johnson 1974, J. Comput. Syst. Sci. 9:256-278, for
 * the plain cover; from memory). Another taxon, in one sex, is told apart by what a mark leaves of the Bhattacharyya
 * coefficient between the two. In a large key a taxon is compared with those beside it alone. */
enum { LARGE_KEY = 1000 };

typedef struct marking {
    rush_marks marks; /* the first member: what the caller has */
    rush_arena arena, scratch;
    const rush_part *part,
        *among; /* one taxon alone is compared with all of the key: among NULL */
    const uint32_t *leaves;
    uint32_t leaf_count;
    rush_reach reach;
    uint32_t most;
    rush_roots roots;
    double
        *left[RUSH_ROOT_SEXES]; /* by leaf: how much of it is still like the one that is marked */
} marking;

static void begin(marking *with, uint32_t own)
{
    const rush_key *key = with->part->key;
    const uint32_t *leaves = with->leaves;
    for (int sex = 0; sex < RUSH_ROOT_SEXES; sex++)
        for (uint32_t leaf = 0; leaf < with->leaf_count; leaf++) {
            bool beside = with->leaf_count <= LARGE_KEY ||
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
        for (uint32_t leaf = 0; leaf < with->leaf_count; leaf++) {
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

/* What is seen of any insect that is seen at all. */
static bool is_seen_at_a_glance(const rush_character *character)
{
    return character->reach == RUSH_REACH_FAR && rush_strikes(character) != RUSH_STRIKE_LATER;
}

/* The best of those that are not taken; RUSH_NONE: nothing more is worth its line. */
static uint32_t best_mark(marking *with, uint32_t own, const bool *taken, bool at_a_glance)
{
    const rush_key *key = with->part->key;
    uint32_t best = RUSH_NONE;
    double worth = 0;
    for (uint32_t c = 0; c < key->character_count; c++) {
        bool can = with->roots.of[c] && !taken[c] &&
                   (!at_a_glance || is_seen_at_a_glance(&key->characters[c]));
        double told = can ? tell(with, c, own, false) : 0;
        double so = told / rush_beginner_effort(&key->characters[c]);
        if (told < RUSH_MARK_LEAST || (float)so <= (float)worth)
            continue;
        best = c;
        worth = so;
    }
    return best;
}

/* First what strikes the eye from afar, then all the rest. */
static void mark_out(marking *with, uint32_t own, uint32_t *characters, uint32_t *count)
{
    bool *taken = RUSH_ARRAY(&with->scratch, bool, with->part->key->character_count);
    begin(with, own);
    for (int rest = 0; rest < 2; rest++)
        while (*count < with->most) {
            uint32_t best = best_mark(with, own, taken, !rest);
            if (best == RUSH_NONE)
                break;
            tell(with, best, own, true);
            taken[best] = true;
            characters[(*count)++] = best;
        }
}

static void choose_among(marking *with)
{
    const rush_key *key = with->part->key;
    with->among = with->part->leaf_count > 1 ? with->part : NULL;
    with->leaves = with->among ? with->part->leaves : key->leaves;
    with->leaf_count = with->among ? with->part->leaf_count : key->leaf_count;
}

static void run(void *given)
{
    marking *with = given;
    const rush_key *key = with->part->key;
    uint32_t count = with->part->leaf_count, most = key->character_count;
    rush_own_marks *own = RUSH_ARRAY(&with->arena, rush_own_marks, (size_t)count + 1);
    with->most = with->most < most ? with->most : most;
    uint32_t *characters = RUSH_ARRAY(&with->arena, uint32_t, (size_t)count * with->most + 1);
    choose_among(with);
    with->roots = rush_roots_find(&with->scratch, key, with->among, with->reach);
    for (int sex = 0; sex < RUSH_ROOT_SEXES; sex++)
        with->left[sex] = RUSH_ARRAY(&with->scratch, double, (size_t)with->leaf_count + 1);
    for (uint32_t i = 0; i < count; i++) {
        uint32_t leaf = with->among ? i : key->taxa[with->part->leaves[i]].first_leaf;
        own[i].characters = characters + (size_t)i * with->most;
        mark_out(with, leaf, characters + (size_t)i * with->most, &own[i].count);
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
