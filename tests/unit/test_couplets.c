/* Printed keys: whoever reads rightly ends at the right name, on every way that a form can go; and the way is
 * not much longer than the shortest that there is, found by trying everything on small keys. */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *key_path;

static const rush_part *choose(const rush_key *key, const char *where, const char *within)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_sighting *saw = rush_sighting_new(key);
    if (where)
        support_sighting(saw, where);
    rush_part_request request = {.where = saw, .within = rush_text_of(within)};
    const rush_part *part = rush_part_choose(key, &request, list);
    if (!part)
        support_show(list);
    assert_non_null(part);
    rush_sighting_free(saw);
    rush_diagnostics_free(list);
    return part;
}

/* ---- every way that a form can go -------------------------------------------------------------------------- */

/* From the traits alone. `all`: every lead, since nothing is known or to be seen. */
static bool shows(const rush_key *key, uint32_t form, const rush_lead_mark *mark, bool *all)
{
    *all = false;
    if (mark->character == RUSH_SEX_CHARACTER) {
        rush_sex sex = rush_key_form(key, form)->sex;
        for (uint32_t i = 0; i < mark->state_count; i++) {
            const char *state =
                rush_key_character(key, RUSH_SEX_CHARACTER)->states[mark->states[i]].id;
            if (sex == RUSH_SEX_ANY || strcmp(state, rush_sex_name(sex)) == 0)
                return true;
        }
        return false;
    }
    const rush_trait *trait = rush_key_trait(key, form, mark->character, NULL);
    if (!trait || trait->kind == RUSH_TRAIT_UNSCORED || trait->kind == RUSH_TRAIT_INAPPLICABLE) {
        *all = true;
        return true;
    }
    if (trait->kind == RUSH_TRAIT_NUMBER)
        return trait->low <= mark->high && trait->high >= mark->low;
    uint32_t count = rush_key_character(key, mark->character)->state_count;
    *all = true;
    for (uint32_t s = 0; s < count; s++)
        *all &= trait->weights[s] < RUSH_LEAD_SHARE;
    for (uint32_t i = 0; i < mark->state_count; i++)
        if (trait->weights[mark->states[i]] >= RUSH_LEAD_SHARE)
            return true;
    return *all;
}

typedef struct walk {
    const rush_couplets *couplets;
    uint32_t form, greatest;
    size_t ends, steps;
} walk;

static bool holds_form(const rush_lead *lead, uint32_t taxon, uint32_t form)
{
    for (uint32_t t = 0; t < lead->taxon_count; t++)
        for (uint32_t f = 0; f < lead->taxa[t].form_count; f++)
            if (lead->taxa[t].taxon == taxon && lead->taxa[t].forms[f] == form)
                return true;
    return false;
}

static void take(walk *on, uint32_t at, uint32_t depth)
{
    const rush_key *key = on->couplets->part->key;
    const rush_couplet *couplet = &on->couplets->couplets[at];
    uint32_t taken = 0;
    for (uint32_t l = 0; l < couplet->lead_count; l++) {
        const rush_lead *lead = &couplet->leads[l];
        bool all;
        if (!shows(key, on->form, &lead->marks[0], &all))
            continue;
        const rush_trait *trait = rush_key_trait(key, on->form, lead->marks[0].character, NULL);
        assert_true(!trait || trait->kind != RUSH_TRAIT_INAPPLICABLE); /* no lead would fit it */
        taken++;
        on->steps++;
        assert_true(holds_form(lead, rush_key_form(key, on->form)->taxon, on->form));
        for (uint32_t m = 1; m < lead->mark_count; m++)
            assert_true(shows(key, on->form, &lead->marks[m], &all) && !all);
        if (lead->couplet == RUSH_NONE) {
            on->ends++;
            on->greatest = depth + 1 > on->greatest ? depth + 1 : on->greatest;
        } else {
            assert_true(lead->couplet > at && lead->couplet < on->couplets->couplet_count);
            assert_int_equal(on->couplets->couplets[lead->couplet].from, at);
            assert_int_equal(on->couplets->couplets[lead->couplet].from_lead, l);
            take(on, lead->couplet, depth + 1);
        }
    }
    assert_true(taken > 0);
}

/* A confirming mark must be false of all who go another way. */
static void check_marks(const rush_couplets *couplets, const rush_couplet *couplet)
{
    const rush_key *key = couplets->part->key;
    for (uint32_t l = 0; l < couplet->lead_count; l++)
        for (uint32_t m = 1; m < couplet->leads[l].mark_count; m++)
            for (uint32_t other = 0; other < couplet->lead_count; other++)
                for (uint32_t t = 0; other != l && t < couplet->leads[other].taxon_count; t++) {
                    const rush_lead_taxon *taxon = &couplet->leads[other].taxa[t];
                    bool all;
                    for (uint32_t f = 0; f < taxon->form_count; f++)
                        assert_false(
                            shows(key, taxon->forms[f], &couplet->leads[l].marks[m], &all));
                }
}

static void walk_all(const rush_part *part, const rush_couplets_options *options)
{
    const rush_couplets *couplets = rush_couplets_make(part, options);
    assert_non_null(couplets);
    walk on = {.couplets = couplets};
    for (on.form = 0; on.form < rush_key_form_count(part->key); on.form++)
        if (part->forms[on.form])
            take(&on, 0, 0);
    for (uint32_t c = 0; c < couplets->couplet_count; c++) {
        assert_true(couplets->couplets[c].lead_count >= 2);
        assert_true(couplets->couplets[c].lead_count <= (options->leads ? options->leads : 2));
        check_marks(couplets, &couplets->couplets[c]);
        for (uint32_t l = 0; l < couplets->couplets[c].lead_count; l++) {
            const rush_lead *lead = &couplets->couplets[c].leads[l];
            assert_true(rush_key_character(part->key, lead->marks[0].character)->reach <=
                        options->reach);
        }
    }
    for (uint32_t i = 0; i < part->leaf_count; i++)
        assert_true(couplets->outs[i].count > 0);
    assert_int_equal(on.greatest, couplets->greatest);
    assert_true(couplets->mean <= couplets->greatest && couplets->mean_alike >= 1);
    printf(
        "%u taxa, %u forms: %u couplets, %zu leads taken to %zu ends; mean %.2f, alike %.2f, greatest %u; "
        "in groups %.3f, strayed %.3f\n",
        part->leaf_count, part->form_count, couplets->couplet_count, on.steps, on.ends,
        couplets->mean, couplets->mean_alike, couplets->greatest, couplets->grouped,
        couplets->strayed);
    rush_couplets_free(couplets);
}

static void every_way_of_the_shipped_key(void **state)
{
    (void)state;
    static const rush_couplets_options ways[] = {
        {2, RUSH_REACH_HAND}, {2, RUSH_REACH_NEAR}, {4, RUSH_REACH_CLOSE}};
    rush_key *key = support_key(key_path);
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        const rush_part *whole = choose(key, NULL, NULL);
        walk_all(whole, &ways[i]);
        rush_part_free(whole);
        const rush_part *pond = choose(key, "habitat: garden pond; month: July", "Zygoptera");
        walk_all(pond, &ways[i]);
        rush_part_free(pond);
    }
    rush_key_free(key);
}

static bool mature_male(const rush_key *key, uint32_t form)
{
    const rush_form *of = rush_key_form(key, form);
    return of->sex == RUSH_SEX_MALE && of->name && strcmp(of->name, "mature") == 0;
}

static const rush_lead_taxon *mature_males_at(const rush_key *key, const rush_lead *lead,
                                              const char *name)
{
    for (uint32_t t = 0; t < lead->taxon_count; t++)
        for (uint32_t f = 0; f < lead->taxa[t].form_count; f++)
            if (strcmp(rush_key_taxon(key, lead->taxa[t].taxon)->name, name) == 0 &&
                mature_male(key, lead->taxa[t].forms[f]))
                return &lead->taxa[t];
    return NULL;
}

/* The U and the wine glass on segment 2 part the blue males of ponds (British field guides; the key has the source),
 * but for a few variable damselflies that show a U: those stand behind the azure as rare. */
static void azure_and_variable_males(void **state)
{
    (void)state;
    static const rush_couplets_options ways[] = {
        {2, RUSH_REACH_CLOSE}, {3, RUSH_REACH_CLOSE}, {4, RUSH_REACH_CLOSE}};
    rush_key *key = support_key(key_path);
    const rush_part *pond = choose(key, "habitat: garden pond; month: July", NULL);
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        const rush_couplets *couplets = rush_couplets_make(pond, &ways[i]);
        assert_non_null(couplets);
        for (uint32_t c = 0; c < couplets->couplet_count; c++)
            for (uint32_t l = 0; l < couplets->couplets[c].lead_count; l++) {
                const rush_lead *lead = &couplets->couplets[c].leads[l];
                const rush_lead_taxon *azure = mature_males_at(key, lead, "Coenagrion puella");
                const rush_lead_taxon *variable =
                    mature_males_at(key, lead, "Coenagrion pulchellum");
                if (lead->couplet == RUSH_NONE && azure && variable)
                    assert_true(variable->rarely && !azure->rarely);
            }
        assert_true(couplets->grouped < 0.1);
        rush_couplets_free(couplets);
    }
    rush_part_free(pond);
    rush_key_free(key);
}

static void one_taxon_needs_no_couplet(void **state)
{
    (void)state;
    rush_key *key = support_key(key_path);
    const rush_part *part = choose(key, NULL, "Anax imperator");
    const rush_couplets *couplets = rush_couplets_make(part, NULL);
    assert_non_null(couplets);
    assert_int_equal(couplets->couplet_count, 0);
    assert_true(couplets->mean == 0 && couplets->strayed == 0);
    rush_couplets_free(couplets);
    rush_part_free(part);
    rush_key_free(key);
}

/* ---- the shortest there is ---------------------------------------------------------------------------------- */

enum { TAXA = 10, CHARACTERS = 7, STATES = 4, MEMO = 1 << 20 };

/* A small key: what each taxon shows, as sets of states; several of one taxon are equally common. */
typedef struct small_key {
    int taxa, characters, states[CHARACTERS];
    unsigned shown[TAXA][CHARACTERS];
} small_key;

/* What is left on the way: the states that each taxon can still show; 0 for one that has gone. */
typedef struct what_is_left {
    unsigned shown[TAXA][CHARACTERS];
} what_is_left;

/* What stays untold: where insects end in a group of several taxa, the bits that would tell them, each taxon of it as
 * likely. Keys that tell as much are compared by length: one that leaves larger groups is shorter by that alone. */
typedef struct best_length {
    uint64_t what;
    double untold, length;
} best_length;

static small_key small;
static best_length memo[MEMO];
static size_t memo_used;

static uint64_t hash_of(const what_is_left *left)
{
    uint64_t hash = 14695981039346656037u; /* Fowler, Noll and Vo's FNV-1a */
    for (int t = 0; t < small.taxa; t++)
        for (int c = 0; c < small.characters; c++)
            hash = (hash ^ left->shown[t][c]) * 1099511628211u;
    return hash ? hash : 1;
}

static double mass_of(const what_is_left *left, int t)
{
    double mass = 1.0 / small.taxa;
    for (int c = 0; c < small.characters; c++)
        mass *=
            (double)__builtin_popcount(left->shown[t][c]) / __builtin_popcount(small.shown[t][c]);
    return mass;
}

static best_length find_best(const what_is_left *left);

static what_is_left along(const what_is_left *left, int character, unsigned states)
{
    what_is_left gone = *left;
    for (int t = 0; t < small.taxa; t++) {
        gone.shown[t][character] &= states;
        if (!gone.shown[t][character])
            memset(gone.shown[t], 0, sizeof gone.shown[t]);
    }
    return gone;
}

static void try_split(const what_is_left *left, double mass, int character, unsigned states,
                      unsigned others, best_length *best)
{
    what_is_left one = along(left, character, states), two = along(left, character, others);
    best_length a = find_best(&one), b = find_best(&two);
    double untold = a.untold + b.untold, length = mass + a.length + b.length;
    if (untold < best->untold - 1e-12 ||
        (untold < best->untold + 1e-12 && length < best->length)) {
        best->untold = untold;
        best->length = length;
    }
}

/* The least that stays untold, and with it the shortest way, over every key that can be made. */
static best_length find_best(const what_is_left *left)
{
    best_length best = {.what = hash_of(left)};
    double mass = 0;
    int taxa = 0;
    for (int t = 0; t < small.taxa; t++) {
        taxa += left->shown[t][0] != 0;
        mass += mass_of(left, t);
    }
    if (taxa < 2)
        return best;
    best.untold = mass * log2(taxa);
    size_t at = best.what % MEMO;
    for (; memo[at].what; at = (at + 1) % MEMO)
        if (memo[at].what == best.what)
            return memo[at];
    for (int c = 0; c < small.characters; c++) {
        unsigned shown = 0;
        for (int t = 0; t < small.taxa; t++)
            shown |= left->shown[t][c];
        for (unsigned states = (shown - 1) & shown; states; states = (states - 1) & shown)
            if (states > (shown & ~states)) /* each way of parting once */
                try_split(left, mass, c, states, shown & ~states, &best);
    }
    for (at = best.what % MEMO; memo[at].what;)
        at = (at + 1) % MEMO;
    memo[at] = best;
    assert_true(++memo_used < MEMO / 2);
    return best;
}

/* What our key leaves untold, found by going along all its leads. */
static double untold_by(const rush_couplets *couplets, uint32_t couplet, const what_is_left *left)
{
    double untold = 0;
    for (uint32_t l = 0; l < couplets->couplets[couplet].lead_count; l++) {
        const rush_lead *lead = &couplets->couplets[couplet].leads[l];
        unsigned states = 0;
        for (uint32_t s = 0; s < lead->marks[0].state_count; s++)
            states |= 1u << lead->marks[0].states[s];
        what_is_left gone =
            along(left, (int)lead->marks[0].character - RUSH_BUILT_IN_CHARACTERS, states);
        double mass = 0;
        for (int t = 0; t < small.taxa && lead->couplet == RUSH_NONE; t++)
            mass += mass_of(&gone, t);
        untold += lead->couplet == RUSH_NONE ? mass * log2(lead->taxon_count)
                                             : untold_by(couplets, lead->couplet, &gone);
    }
    return untold;
}

static void make_small(rush_random *dice, bool either)
{
    small.taxa = 4 + (int)rush_random_below(dice, TAXA - 3);
    small.characters = 4 + (int)rush_random_below(dice, CHARACTERS - 3);
    if (either && small.characters > 5)
        small.characters = 5;
    for (int c = 0; c < small.characters; c++)
        small.states[c] = 2 + (int)rush_random_below(dice, either ? 2 : STATES - 1);
    for (int t = 0; t < small.taxa; t++)
        for (int c = 0; c < small.characters; c++) {
            small.shown[t][c] = 1u << rush_random_below(dice, (uint32_t)small.states[c]);
            if (either && rush_random_below(dice, 6) == 0)
                small.shown[t][c] |= 1u << rush_random_below(dice, (uint32_t)small.states[c]);
        }
}

static rush_key *load_small(void)
{
    rush_buffer text = {0};
    rush_buffer_string(&text, "rushlight: 1\nkey: small\nversion: 1\ncharacters:\n");
    for (int c = 0; c < small.characters; c++) {
        rush_buffer_format(&text, "  c%d: {misread: 0, states: [", c);
        for (int s = 0; s < small.states[c]; s++)
            rush_buffer_format(&text, "%ss%d", s ? ", " : "", s);
        rush_buffer_string(&text, "]}\n");
    }
    rush_buffer_string(&text, "taxa:\n");
    for (int t = 0; t < small.taxa; t++) {
        rush_buffer_format(&text, "  Ficta %c: {rank: species, traits: {", 'a' + t);
        for (int c = 0; c < small.characters; c++) {
            rush_buffer_format(&text, "%sc%d: [", c ? ", " : "", c);
            for (int s = 0, first = 1; s < small.states[c]; s++)
                if (small.shown[t][c] >> s & 1) {
                    rush_buffer_format(&text, "%ss%d", first ? "" : ", ", s);
                    first = 0;
                }
            rush_buffer_string(&text, "]");
        }
        rush_buffer_string(&text, "}}\n");
    }
    rush_key *key = support_key_of_text(text.bytes, NULL);
    rush_buffer_free(&text);
    return key;
}

static void compare(bool either, int keys, uint64_t seed)
{
    rush_random dice = {seed};
    double ours = 0, best = 0, worst = 0;
    int compared = 0;
    for (int k = 0; k < keys; k++) {
        make_small(&dice, either);
        rush_key *key = load_small();
        assert_non_null(key);
        const rush_part *part = choose(key, NULL, NULL);
        const rush_couplets *couplets = rush_couplets_make(part, NULL);
        assert_non_null(couplets);
        what_is_left all;
        memcpy(all.shown, small.shown, sizeof all.shown);
        memset(memo, 0, sizeof memo);
        memo_used = 0;
        best_length shortest = find_best(&all);
        double untold = couplets->couplet_count ? untold_by(couplets, 0, &all) : shortest.untold;
        assert_true(untold > shortest.untold - 1e-9);
        if (!either)
            assert_true(untold < shortest.untold + 1e-9);
        if (untold < shortest.untold + 1e-9 && couplets->couplet_count) {
            double ratio = couplets->mean_alike / shortest.length;
            assert_true(ratio > 1 - 1e-9);
            worst = fmax(worst, ratio);
            ours += couplets->mean_alike;
            best += shortest.length;
            compared++;
        }
        rush_couplets_free(couplets);
        rush_part_free(part);
        rush_key_free(key);
    }
    printf(
        "%s: %d keys of %d compared; mean length %.4f, the shortest %.4f; the worst is %.4f times as long\n",
        either ? "taxa that vary" : "taxa that do not vary", compared, keys, ours / compared,
        best / compared, worst);
    assert_true(worst <= 1.15);
    assert_true(ours / best <= 1.01);
    assert_true(compared >= keys * 99 / 100); /* the others tell a little less than can be told */
}

static void near_the_shortest(void **state)
{
    (void)state;
    compare(false, 150, 11);
    compare(true, 150, 12);
}

int main(int argc, char **argv)
{
    if (argc < 2)
        return 2;
    key_path = argv[1];
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_way_of_the_shipped_key),
                                       cmocka_unit_test(azure_and_variable_males),
                                       cmocka_unit_test(one_taxon_needs_no_couplet),
                                       cmocka_unit_test(near_the_shortest)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
