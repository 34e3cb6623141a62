#include <math.h>
#include <stdlib.h>

#include "advise/roots.h"

/* The pairs that are confused most often. Every two taxa are first compared by the Bhattacharyya coefficient, the sum
 * over reports of sqrt(P(r|a) P(r|b)), multiplied over the characters: the chance of a wrong name is at most half of it
 * (Kailath 1967, IEEE Trans. Commun. Technol. 15:52-60; from memory). It counts by how often the one is met that is met
 * less; those that come out worst are reckoned out. In a large key only the members of one taxon are compared. */
enum { LARGE_KEY = 1000, RECKONED = 4 }; /* for each that is wanted so many are reckoned out */

typedef struct pair {
    uint32_t a, b; /* leaves of the part */
    rush_sex sex;
    double often; /* the smaller of P(a) and P(b) */
    double alike;
} pair;

typedef struct search {
    rush_arena arena;
    const rush_key *key;
    const rush_part *part; /* or NULL */
    const uint32_t *leaves;
    uint32_t leaf_count, room, found, count;
    uint32_t of; /* only pairs with this taxon; RUSH_NONE: all */
    pair *worst; /* the worst first */
    double *met; /* by leaf of the part: its probability */
    rush_hard_pair *pairs;
    rush_roots roots;
} search;

static void find_met(search *with)
{
    const rush_key *key = with->key;
    const double *prior = with->part ? with->part->prior : key->model.prior;
    double all = 0;
    with->met = RUSH_ARRAY(&with->arena, double, with->leaf_count);
    for (uint32_t i = 0; i < with->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[with->leaves[i]];
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
            with->met[i] += prior[f];
        all += with->met[i];
    }
    for (uint32_t i = 0; i < with->leaf_count; i++)
        with->met[i] /= all;
}

static double alike(const search *with, uint32_t a, uint32_t b, uint32_t sex)
{
    double product = 1;
    for (uint32_t c = 0; c < with->key->character_count; c++)
        if (with->roots.of[c])
            product *= rush_roots_alike(&with->roots, c, sex, a, b);
    return product;
}

static void keep(search *with, pair made)
{
    uint32_t at = with->found;
    for (; at && (float)with->worst[at - 1].alike < (float)made.alike; at--)
        if (at < with->room * RECKONED)
            with->worst[at] = with->worst[at - 1];
    if (at < with->room * RECKONED)
        with->worst[at] = made;
    with->found += with->found < with->room * RECKONED;
}

static void compare_all(search *with)
{
    const rush_key *key = with->key;
    for (uint32_t a = 0; a < with->leaf_count; a++)
        for (uint32_t b = a + 1; b < with->leaf_count; b++) {
            pair made = {a, b, RUSH_SEX_ANY, fmin(with->met[a], with->met[b]), -1};
            if (with->of != RUSH_NONE && with->leaves[a] != with->of &&
                with->leaves[b] != with->of)
                continue;
            if (with->leaf_count > LARGE_KEY &&
                key->taxa[with->leaves[a]].parent != key->taxa[with->leaves[b]].parent)
                continue;
            for (uint32_t sex = 0; sex < 2; sex++) {
                if (!with->roots.there[sex][a] || !with->roots.there[sex][b])
                    continue;
                double so = alike(with, a, b, sex);
                /* Not but for rounding: sexes that are alike are as hard as each other. */
                if ((float)so > (float)made.alike)
                    made.sex = made.alike < 0 && sex == 0 ? RUSH_SEX_MALE : RUSH_SEX_FEMALE;
                else if ((float)so == (float)made.alike)
                    made.sex = RUSH_SEX_ANY;
                made.alike = fmax(made.alike, so);
            }
            if (made.alike < 0)
                continue;
            made.alike *= made.often;
            keep(with, made);
        }
}

static double safe_in_field(search *with, const pair *of)
{
    const rush_key *key = with->key;
    uint32_t taxa[2] = {with->leaves[of->a], with->leaves[of->b]}, used = 0;
    rush_likely_forms likely = rush_likely_of(&with->arena, key, with->part, taxa, 2, of->sex);
    rush_looked_at *looks = RUSH_ARRAY(&with->arena, rush_looked_at, key->character_count);
    for (uint32_t c = 0; c < key->character_count; c++)
        if (with->roots.of[c])
            looks[used++] = (rush_looked_at){c, rush_report_count(&key->characters[c]),
                                             rush_reports_by_form(&with->arena, key, c, &likely)};
    return rush_safe_together(&with->arena, &likely, looks, used);
}

static void hand_out(search *with, rush_hard_pair made)
{
    uint32_t at = with->count;
    for (; at && (float)with->pairs[at - 1].confused < (float)made.confused; at--)
        if (at < with->room)
            with->pairs[at] = with->pairs[at - 1];
    if (at < with->room)
        with->pairs[at] = made;
    with->count += with->count < with->room;
}

static void run(void *given)
{
    search *with = given;
    with->worst = RUSH_ARRAY(&with->arena, pair, (size_t)with->room * RECKONED + 1);
    if (with->leaf_count < 2)
        return;
    with->roots = rush_roots_find(&with->arena, with->key, with->part, RUSH_REACH_CLOSE);
    find_met(with);
    compare_all(with);
    for (uint32_t i = 0; i < with->found; i++) {
        const pair *of = &with->worst[i];
        double safe = safe_in_field(with, of);
        hand_out(with, (rush_hard_pair){with->leaves[of->a], with->leaves[of->b], of->sex, safe,
                                        (1 - safe) * of->often});
    }
}

uint32_t rush_apart_hardest(const rush_key *key, const rush_part *part, uint32_t of,
                            rush_hard_pair *pairs, uint32_t room)
{
    search with = {.key = key,
                   .part = part,
                   .leaves = part ? part->leaves : key->leaves,
                   .leaf_count = part ? part->leaf_count : key->leaf_count,
                   .room = room,
                   .of = of,
                   .pairs = pairs};
    bool good = rush_arena_guard(&with.arena, run, &with);
    rush_arena_free(&with.arena);
    return good ? with.count : RUSH_NONE;
}
