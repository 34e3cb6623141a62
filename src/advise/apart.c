#include "rushlight/apart.h"

#include <math.h>
#include <stdlib.h>

#include "advise/effort.h"
#include "advise/likeness.h"

/* A mark that tells less than this part of what the best one tells for its effort is not among the few. */
#define LEAST_OF_BEST 0.15
/* Of more than two taxa: one that tells less than this part of one pair more is not among the few. */
#define LEAST_OF_PAIR 0.25
/* ... nor is one without which the others are as safe but for this. */
#define LEAST_TOGETHER 0.02
/* Reports that differ by more between the sexes of a taxon are told of each sex. */
#define SEXES_DIFFER 0.25

/* The result while it is made. It is handed out as the rush_apart that it begins with. */
typedef struct apart_maker {
    rush_apart made;
    rush_arena arena;
    const rush_key *key;
    const rush_part *part; /* or NULL */
    const uint32_t *asked;
    uint32_t asked_count, marks;
    bool good;
} apart_maker;

/* ---- what is compared ------------------------------------------------------------------------------------- */

static bool add_leaf(apart_maker *maker, uint32_t leaf, uint32_t *taxa)
{
    rush_apart *made = &maker->made;
    for (uint32_t i = 0; i < made->taxon_count; i++)
        if (taxa[i] == leaf)
            return true;
    if (maker->part && !maker->part->taxa[leaf])
        return true;
    if (made->taxon_count == RUSH_APART_TAXA_MAX)
        return false;
    taxa[made->taxon_count++] = leaf;
    return true;
}

static bool settle_taxa(apart_maker *maker)
{
    uint32_t *taxa = RUSH_ARRAY(&maker->arena, uint32_t, RUSH_APART_TAXA_MAX);
    maker->made.taxa = taxa;
    for (uint32_t i = 0; i < maker->asked_count; i++) {
        const rush_taxon *taxon = &maker->key->taxa[maker->asked[i]];
        for (uint32_t l = taxon->first_leaf; l < taxon->first_leaf + taxon->leaf_count; l++)
            if (!add_leaf(maker, maker->key->leaves[l], taxa))
                return false;
    }
    return maker->made.taxon_count >= 2;
}

/* ---- what each shows -------------------------------------------------------------------------------------- */

static void add_showing(const rush_trait *trait, double chance, double *weights, uint32_t states,
                        rush_showing *showing)
{
    bool seen = trait && (trait->kind == RUSH_TRAIT_STATES || trait->kind == RUSH_TRAIT_NUMBER);
    if (!seen) {
        showing->silent += chance;
        return;
    }
    showing->kind = trait->kind;
    for (uint32_t s = 0; s < states; s++)
        weights[s] += chance * trait->weights[s];
    if (trait->kind == RUSH_TRAIT_NUMBER) {
        showing->low = fmin(showing->low, trait->low);
        showing->high = fmax(showing->high, trait->high);
    }
}

static rush_showing showing_of(apart_maker *maker, const rush_likely_forms *likely,
                               uint32_t taxon, uint32_t character)
{
    uint32_t states = maker->key->characters[character].state_count;
    double *weights = RUSH_ARRAY(&maker->arena, double, (size_t)states + 1);
    double all = 0, sum = 0;
    bool cannot = true;
    rush_showing showing = {.weights = weights, .low = INFINITY, .high = -INFINITY};
    for (uint32_t i = 0; i < likely->count; i++) {
        if (likely->forms[i].taxon != taxon)
            continue;
        const rush_trait *trait =
            rush_key_trait(maker->key, likely->forms[i].form, character, NULL);
        cannot &= trait && trait->kind == RUSH_TRAIT_INAPPLICABLE;
        all += likely->forms[i].chance;
        add_showing(trait, likely->forms[i].chance, weights, states, &showing);
    }
    for (uint32_t s = 0; s < states; s++)
        sum += weights[s];
    for (uint32_t s = 0; s < states; s++) {
        weights[s] /= sum > 0 ? sum : 1;
        if (weights[s] > weights[showing.likeliest])
            showing.likeliest = s;
    }
    showing.silent /= all;
    if (showing.kind == RUSH_TRAIT_UNSCORED && cannot)
        showing.kind = RUSH_TRAIT_INAPPLICABLE;
    return showing;
}

/* ---- one view --------------------------------------------------------------------------------------------- */

/* Of each character that may tell: its reports, and what they tell. */
typedef struct told {
    rush_looked_at look;
    const double *by_taxon;
    double gain;
} told;

static float rate_of(const rush_key *key, const told *of)
{
    return (float)(of->gain / rush_beginner_effort(&key->characters[of->look.character]));
}

/* Most of what is compared must be able to show it: else it tells by being absent, which is no mark. */
static bool can_be_seen(apart_maker *maker, const rush_likely_forms *likely, uint32_t character)
{
    double silent = 0;
    for (uint32_t i = 0; i < likely->count; i++) {
        const rush_trait *trait =
            rush_key_trait(maker->key, likely->forms[i].form, character, NULL);
        if (!trait || trait->kind == RUSH_TRAIT_UNSCORED ||
            trait->kind == RUSH_TRAIT_INAPPLICABLE)
            silent += likely->forms[i].chance;
    }
    return silent < 0.5;
}

/* The best for its effort first; of equal ones, in the key's order. */
static uint32_t find_told(apart_maker *maker, const rush_likely_forms *likely, told *list)
{
    const rush_key *key = maker->key;
    uint32_t count = 0;
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!rush_may_tell(key, c) || !can_be_seen(maker, likely, c))
            continue;
        uint32_t reports = rush_report_count(&key->characters[c]);
        told of = {.look = {c, reports, rush_reports_by_form(&maker->arena, key, c, likely)}};
        of.by_taxon = rush_reports_by_taxon(&maker->arena, likely, of.look.by_form, reports);
        of.gain = rush_bits_between(of.by_taxon, likely->taxa, reports);
        uint32_t at = count++;
        for (; at && rate_of(key, &list[at - 1]) < rate_of(key, &of); at--)
            list[at] = list[at - 1];
        list[at] = of;
    }
    return count;
}

/* Of the first `count`, those that need at most this reach. */
static double safe_within(apart_maker *maker, const rush_likely_forms *likely, const told *list,
                          uint32_t count, rush_reach reach)
{
    rush_looked_at *looks = RUSH_ARRAY(&maker->arena, rush_looked_at, (size_t)count + 1);
    uint32_t used = 0;
    for (uint32_t i = 0; i < count; i++)
        if (maker->key->characters[list[i].look.character].reach <= reach)
            looks[used++] = list[i].look;
    return rush_safe_together(&maker->arena, likely, looks, used);
}

/* How many of them are worth looking at. */
static uint32_t count_telling(const rush_key *key, const told *list, uint32_t count)
{
    uint32_t telling = 0;
    while (telling < count && list[telling].gain >= RUSH_LEAST_GAIN &&
           rate_of(key, &list[telling]) >= LEAST_OF_BEST * rate_of(key, &list[0]))
        telling++;
    return telling;
}

/* How many pairs of taxa that are not told apart yet are told by it; taken away from what is left of them, if wanted.
 * A pair is told by what a mark leaves of the Bhattacharyya coefficient between the two. */
static double tell_pairs(const told *of, uint32_t taxa, double *left, bool take)
{
    double pairs = 0;
    for (uint32_t a = 0; a < taxa; a++)
        for (uint32_t b = a + 1; b < taxa; b++) {
            double alike = 0, *still = &left[a * taxa + b];
            for (uint32_t r = 0; r < of->look.reports; r++)
                alike += sqrt(of->by_taxon[a * of->look.reports + r] *
                              of->by_taxon[b * of->look.reports + r]);
            pairs += *still * (1 - alike);
            *still *= take ? alike : 1;
        }
    return pairs;
}

/* Several taxa want marks that complete each other: each the best for its effort at telling the pairs that those before
 * it leave. Sorts these to the front, and returns how many it takes. */
static uint32_t cover_pairs(apart_maker *maker, told *list, uint32_t count, uint32_t taxa)
{
    double *left = RUSH_ARRAY(&maker->arena, double, (size_t)taxa *taxa);
    for (uint32_t i = 0; i < taxa * taxa; i++)
        left[i] = 1;
    for (uint32_t at = 0; at < count; at++) {
        uint32_t best = RUSH_NONE;
        double worth = 0;
        for (uint32_t i = at; i < count; i++) {
            double pairs = tell_pairs(&list[i], taxa, left, false);
            double so =
                pairs / rush_beginner_effort(&maker->key->characters[list[i].look.character]);
            if (pairs < LEAST_OF_PAIR || (float)so <= (float)worth)
                continue;
            best = i;
            worth = so;
        }
        if (best == RUSH_NONE)
            return at;
        told taken = list[best];
        for (uint32_t i = best; i > at; i--)
            list[i] = list[i - 1];
        list[at] = taken;
        tell_pairs(&taken, taxa, left, true);
    }
    return count;
}

/* Puts what the others do without behind them: a mark that is seen at a glance may be made idle by a better one that
 * came later; one that needs no hand, only by others that need none. Returns how many are left. */
static uint32_t drop_idle(apart_maker *maker, const rush_likely_forms *likely, told *list,
                          uint32_t count)
{
    double field = safe_within(maker, likely, list, count, RUSH_REACH_CLOSE);
    double hand = safe_within(maker, likely, list, count, RUSH_REACH_HAND);
    for (uint32_t at = count; at-- > 0 && count > 1;) {
        told dropped = list[at];
        for (uint32_t i = at; i + 1 < count; i++)
            list[i] = list[i + 1];
        double field_without = safe_within(maker, likely, list, count - 1, RUSH_REACH_CLOSE);
        double hand_without = safe_within(maker, likely, list, count - 1, RUSH_REACH_HAND);
        if (field - field_without < LEAST_TOGETHER && hand - hand_without < LEAST_TOGETHER) {
            list[--count] = dropped;
            field = field_without;
            hand = hand_without;
            continue;
        }
        for (uint32_t i = count - 1; i > at; i--)
            list[i] = list[i - 1];
        list[at] = dropped;
    }
    return count;
}

/* Sorts the few that do it to the front, and returns how many they are. */
static uint32_t find_few(apart_maker *maker, const rush_likely_forms *likely, told *list,
                         uint32_t count)
{
    if (likely->taxa > 2)
        count = cover_pairs(maker, list, count, likely->taxa);
    count = count < RUSH_APART_MARKS ? count : RUSH_APART_MARKS;
    return likely->taxa > 2 ? drop_idle(maker, likely, list, count) : count;
}

static rush_apart_view view_of(apart_maker *maker, rush_sex sex, const rush_likely_forms *likely)
{
    told *list = RUSH_ARRAY(&maker->arena, told, maker->key->character_count);
    uint32_t count = find_told(maker, likely, list);
    uint32_t telling = count_telling(maker->key, list, count);
    uint32_t few = find_few(maker, likely, list, telling);
    uint32_t most = maker->marks ? maker->marks : few;
    rush_apart_mark *marks = RUSH_ARRAY(&maker->arena, rush_apart_mark, (size_t)telling + 1);
    rush_apart_view view = {
        .sex = sex, .marks = marks, .mark_count = most < telling ? most : telling};
    view.more = telling - view.mark_count;
    for (uint32_t i = 0; i < view.mark_count; i++) {
        rush_showing *shows = RUSH_ARRAY(&maker->arena, rush_showing, likely->taxa);
        for (uint32_t t = 0; t < likely->taxa; t++)
            shows[t] = showing_of(maker, likely, t, list[i].look.character);
        marks[i] = (rush_apart_mark){
            list[i].look.character, list[i].gain,
            rush_safe_alone(list[i].by_taxon, likely->taxa, list[i].look.reports), shows};
    }
    view.together = safe_within(maker, likely, list, view.mark_count, RUSH_REACH_HAND);
    view.field = safe_within(maker, likely, list, count, RUSH_REACH_CLOSE);
    /* To know more never makes less safe; where it seems to, it is the draws. */
    view.hand = fmax(view.field, safe_within(maker, likely, list, count, RUSH_REACH_HAND));
    return view;
}

/* ---- the sexes -------------------------------------------------------------------------------------------- */

static bool differs(apart_maker *maker, const rush_apart_view *male,
                    const rush_apart_view *female, uint32_t character)
{
    const rush_apart_mark *marks[2] = {NULL, NULL};
    const rush_apart_view *views[2] = {male, female};
    for (int v = 0; v < 2; v++)
        for (uint32_t m = 0; m < views[v]->mark_count; m++)
            if (views[v]->marks[m].character == character)
                marks[v] = &views[v]->marks[m];
    if (!marks[0] || !marks[1])
        return true;
    uint32_t states = maker->key->characters[character].state_count;
    for (uint32_t t = 0; t < maker->made.taxon_count; t++)
        for (uint32_t s = 0; s < states; s++)
            if (fabs(marks[0]->shows[t].weights[s] - marks[1]->shows[t].weights[s]) >
                SEXES_DIFFER)
                return true;
    return false;
}

/* What is best in one sex is not in the other, or looks otherwise there. */
static bool sexes_matter(apart_maker *maker, const rush_apart_view *male,
                         const rush_apart_view *female)
{
    enum { LOOKED_AT = 2 };
    for (uint32_t m = 0; m < LOOKED_AT; m++)
        if ((m < male->mark_count && differs(maker, male, female, male->marks[m].character)) ||
            (m < female->mark_count && differs(maker, male, female, female->marks[m].character)))
            return true;
    return false;
}

static void find_views(apart_maker *maker)
{
    static const rush_sex sexes[] = {RUSH_SEX_MALE, RUSH_SEX_FEMALE, RUSH_SEX_ANY};
    const rush_apart *made = &maker->made;
    rush_apart_view *views = RUSH_ARRAY(&maker->arena, rush_apart_view, 3);
    bool there[3];
    for (int i = 0; i < 3; i++) {
        rush_likely_forms likely = rush_likely_of(&maker->arena, maker->key, maker->part,
                                                  made->taxa, made->taxon_count, sexes[i]);
        there[i] = likely.count > 0;
        if (there[i])
            views[i] = view_of(maker, sexes[i], &likely);
    }
    bool both = there[0] && there[1] && sexes_matter(maker, &views[0], &views[1]);
    if (both || there[0] != there[1]) {
        maker->made.views = there[0] ? views : views + 1;
        maker->made.view_count = both ? 2 : 1;
    } else {
        maker->made.views = views + 2;
        maker->made.view_count = 1;
    }
}

/* ---- the whole -------------------------------------------------------------------------------------------- */

static void tell(void *with)
{
    apart_maker *maker = with;
    maker->good = settle_taxa(maker);
    if (maker->good)
        find_views(maker);
}

const rush_apart *rush_apart_tell(const rush_key *key, const uint32_t *taxa, uint32_t count,
                                  const rush_apart_options *options)
{
    static const rush_apart_options usual = {0};
    apart_maker *maker = calloc(1, sizeof *maker);
    if (!maker)
        return NULL;
    if (!options)
        options = &usual;
    *maker = (apart_maker){.key = key,
                           .part = options->part,
                           .asked = taxa,
                           .asked_count = count,
                           .marks = options->marks};
    maker->made.key = key;
    maker->made.safe = options->safe > 0 ? options->safe : RUSH_SAFE_DEFAULT;
    if (rush_arena_guard(&maker->arena, tell, maker) && maker->good)
        return &maker->made;
    rush_apart_free(&maker->made);
    return NULL;
}

void rush_apart_free(const rush_apart *apart)
{
    apart_maker *maker = (apart_maker *)(uintptr_t)apart; /* it stands first in its maker */
    if (maker)
        rush_arena_free(&maker->arena);
    free(maker);
}
