#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rank/ranker.h"

/* Forms of this probability are heavy: the few that mostly decide what is asked of all of them. */
#define HEAVY_FORM 1e-3

/* ---- the workspace ------------------------------------------------------------------------------ */

static void reserve_taxa(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    rush_arena *arena = &ranker->arena;
    ranker->leaf_of_form = RUSH_ARRAY(arena, uint32_t, key->form_count);
    ranker->leaf_begin = RUSH_ARRAY(arena, uint32_t, key->leaf_count + 1);
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        ranker->leaf_begin[i] = taxon->first_form;
        ranker->leaf_begin[i + 1] = taxon->first_form + taxon->form_count;
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
            ranker->leaf_of_form[f] = i;
    }
    uint32_t count = 0;
    ranker->upwards = RUSH_ARRAY(arena, uint32_t, key->taxon_count);
    ranker->parents = RUSH_ARRAY(arena, uint32_t, key->taxon_count);
    for (int rank = RUSH_RANK_COUNT; rank-- > 0;)
        for (uint32_t t = 0; t < key->taxon_count; t++)
            if (key->taxa[t].rank == (rush_taxon_rank)rank && key->taxa[t].parent != RUSH_NONE) {
                ranker->parents[count] = key->taxa[t].parent;
                ranker->upwards[count++] = t;
            }
    ranker->upwards_count = count;
}

static void reserve(void *with)
{
    rush_ranker *ranker = with;
    const rush_key *key = ranker->key;
    rush_arena *arena = &ranker->arena;
    uint32_t states = RUSH_BINS;
    for (uint32_t c = 0; c < key->character_count; c++)
        if (key->characters[c].state_count > states)
            states = key->characters[c].state_count;
    reserve_taxa(ranker);
    rush_tables_reserve(ranker);
    rush_fit_reserve(ranker);
    ranker->factors = RUSH_ARRAY(arena, rush_factor, key->character_count);
    ranker->likelihood = RUSH_ARRAY(arena, double, key->model.hypothesis_count);
    ranker->exponents = RUSH_ARRAY(arena, int, key->model.hypothesis_count);
    ranker->own_prior = RUSH_ARRAY(arena, double, key->form_count);
    ranker->posterior = RUSH_ARRAY(arena, double, key->model.hypothesis_count);
    ranker->leaves = RUSH_ARRAY(arena, double, key->leaf_count + 1);
    ranker->taxa = RUSH_ARRAY(arena, double, key->taxon_count);
    ranker->heavy = RUSH_ARRAY(arena, uint32_t, (size_t)(1 / HEAVY_FORM) + 1);
    ranker->candidates = RUSH_ARRAY(arena, rush_candidate, key->leaf_count + 1);
    ranker->second_looks = RUSH_ARRAY(arena, rush_second_look, key->character_count);
    ranker->rows = RUSH_ARRAY(arena, double, states);
    ranker->chances = RUSH_ARRAY(arena, double, 2 * ((size_t)key->character_count + 1));
    ranker->all_shares = rush_sum(key->model.share, key->form_count);
    ranker->all_priors = rush_sum(key->model.prior, key->form_count);
}

rush_ranker *rush_ranker_new(const rush_key *key)
{
    rush_ranker *ranker = calloc(1, sizeof *ranker);
    if (!ranker)
        return NULL;
    ranker->key = key;
    if (rush_arena_guard(&ranker->arena, reserve, ranker))
        return ranker;
    rush_ranker_free(ranker);
    return NULL;
}

void rush_ranker_free(rush_ranker *ranker)
{
    if (ranker)
        rush_arena_free(&ranker->arena);
    free(ranker);
}

/* ---- the posterior ------------------------------------------------------------------------------ */

static double sum_of_products(const double *a, const double *b, uint32_t count)
{
    double sums[4] = {0};
    uint32_t i = 0;
    for (; i + 4 <= count; i += 4)
        for (int lane = 0; lane < 4; lane++)
            sums[lane] += a[i + lane] * b[i + lane];
    for (; i < count; i++)
        sums[0] += a[i] * b[i];
    return (sums[0] + sums[1]) + (sums[2] + sums[3]);
}

/* The same; the products are kept. */
static double keep_products(const double *a, const double *b, uint32_t count, double *products)
{
    double sums[4] = {0};
    uint32_t i = 0;
    for (; i + 4 <= count; i += 4)
        for (int lane = 0; lane < 4; lane++)
            sums[lane] += products[i + lane] = a[i + lane] * b[i + lane];
    for (; i < count; i++)
        sums[0] += products[i] = a[i] * b[i];
    return (sums[0] + sums[1]) + (sums[2] + sums[3]);
}

static double prior_mass(const rush_ranker *ranker)
{
    if (ranker->prior == ranker->own_prior)
        return rush_sum(ranker->prior, ranker->key->form_count);
    return ranker->no_occurrence ? ranker->all_shares : ranker->all_priors;
}

/* The joint probabilities of the unlisted and the marks. */
static double keep_unlisted(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    double *joint = ranker->posterior + key->form_count;
    for (uint32_t u = 0; u < key->model.unlisted_count; u++)
        joint[u] = key->header.unlisted * key->model.unlisted[u].mass *
                   ranker->likelihood[key->form_count + u];
    return rush_sum(joint, key->model.unlisted_count);
}

/* Of each taxon without children, from the joint probabilities of its forms, which become the posterior. */
static void settle_leaves(rush_ranker *ranker, double scale)
{
    const rush_key *key = ranker->key;
    double *posterior = ranker->posterior, heavy = 0;
    ranker->heavy_count = 0;
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        double sum = 0;
        for (uint32_t f = ranker->leaf_begin[i]; f < ranker->leaf_begin[i + 1]; f++) {
            sum += posterior[f] *= scale;
            if (posterior[f] < HEAVY_FORM)
                continue;
            ranker->heavy[ranker->heavy_count++] = f;
            heavy += posterior[f];
        }
        ranker->leaves[i] = ranker->taxa[key->leaves[i]] = sum;
    }
    ranker->light = 1 - ranker->ranking.unlisted - heavy;
}

/* Upwards, from the leaves and the relatives. */
static void sum_taxa(rush_ranker *ranker, double scale)
{
    const rush_key *key = ranker->key;
    double *taxa = ranker->taxa, *unlisted = ranker->posterior + key->form_count;
    for (uint32_t u = 0; u < key->model.unlisted_count; u++) {
        unlisted[u] *= scale;
        if (key->model.unlisted[u].taxon != RUSH_NONE)
            taxa[key->model.unlisted[u].taxon] += unlisted[u];
    }
    for (uint32_t i = 0; i < ranker->upwards_count;) {
        uint32_t parent = ranker->parents[i];
        double sum = taxa[parent];
        for (; i < ranker->upwards_count && ranker->parents[i] == parent; i++)
            sum += taxa[ranker->upwards[i]];
        taxa[parent] = sum;
    }
}

/* Fills the posterior of all hypotheses, and its sums. False when every likelihood is 0. */
static bool find_posterior(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    double before = prior_mass(ranker),
           listed = before > 0 ? (1 - key->header.unlisted) / before : 0;
    double of_forms =
        keep_products(ranker->prior, ranker->likelihood, key->form_count, ranker->posterior);
    ranker->of_unlisted = keep_unlisted(ranker);
    double sum = listed * of_forms + ranker->of_unlisted;
    double scale = sum > 0 ? 1 / sum : 0;
    ranker->ranking.unlisted = ranker->of_unlisted * scale;
    memset(ranker->taxa, 0, key->taxon_count * sizeof *ranker->taxa);
    settle_leaves(ranker, listed * scale);
    sum_taxa(ranker, scale);
    return sum > 0;
}

/* Whether the taxon of these relatives is this one or stands in it: their leaves tell, but for a taxon that has no
 * more leaves than the one within it. */
static bool relatives_are_within(const rush_key *key, uint32_t unlisted, const rush_taxon *taxon)
{
    uint32_t of = key->model.unlisted[unlisted].taxon;
    return of != RUSH_NONE && key->taxa[of].rank >= taxon->rank &&
           key->taxa[of].first_leaf - taxon->first_leaf < taxon->leaf_count;
}

/* The probability of a taxon under a prior that knows neither occurrence nor settings. */
static double find_marks_alone(const rush_ranker *ranker, uint32_t at)
{
    const rush_key *key = ranker->key;
    const rush_taxon *taxon = &key->taxa[at];
    const double *share = key->model.share, *likelihood = ranker->likelihood;
    double all = 0, shares = 0, here = 0, relatives = 0;
    if (!ranker->part) {
        shares = ranker->all_shares;
        all = sum_of_products(share, likelihood, key->form_count);
        here = sum_of_products(share + taxon->first_form, likelihood + taxon->first_form,
                               taxon->form_count);
    }
    for (uint32_t f = 0; ranker->part && f < key->form_count; f++) {
        if (!ranker->part->forms[f])
            continue;
        double joint = share[f] * likelihood[f];
        shares += share[f];
        all += joint;
        here += f - taxon->first_form < taxon->form_count ? joint : 0;
    }
    for (uint32_t u = 0; u < key->model.unlisted_count; u++)
        if (relatives_are_within(key, u, taxon))
            relatives += key->header.unlisted * key->model.unlisted[u].mass *
                         likelihood[key->form_count + u];
    double listed = (1 - key->header.unlisted) / shares,
           whole = listed * all + ranker->of_unlisted;
    return whole > 0 ? (listed * here + relatives) / whole : 0;
}

/* ---- candidates --------------------------------------------------------------------------------- */

/* In single precision, of any magnitude: what differs only by rounding is a tie, and ties keep the key's order. */
static uint64_t rounded(double probability)
{
    uint64_t bits;
    memcpy(&bits, &probability, sizeof bits);
    return (bits + (UINT64_C(1) << 28)) >> 29;
}

static int by_probability(const void *left, const void *right)
{
    const rush_candidate *a = left, *b = right;
    uint64_t p = rounded(a->probability), q = rounded(b->probability);
    if (p != q)
        return p > q ? -1 : 1;
    return a->taxon < b->taxon ? -1 : a->taxon > b->taxon;
}

/* What differs by less is equal but for rounding. */
#define ROUNDING 1e-7

uint32_t rush_likeliest_form(const rush_ranking *ranking, uint32_t at)
{
    const rush_taxon *taxon = &ranking->key->taxa[at];
    uint32_t best = taxon->first_form;
    for (uint32_t f = best; f < taxon->first_form + taxon->form_count; f++)
        if (ranking->forms[f] > ranking->forms[best] * (1 + ROUNDING))
            best = f;
    return best;
}

/* Keeps a list of the best in order; one more than `most` may stand in it for a moment. */
static uint32_t insert(rush_candidate *best, uint32_t count, uint32_t most, rush_candidate made)
{
    uint32_t at = count;
    for (; at && by_probability(&made, &best[at - 1]) < 0; at--)
        best[at] = best[at - 1];
    best[at] = made;
    return count < most ? count + 1 : most;
}

/* The best `most` taxa without children. */
static uint32_t choose(rush_ranker *ranker, uint32_t most)
{
    const rush_key *key = ranker->key;
    rush_candidate *best = ranker->candidates;
    uint32_t count = 0;
    double least = -1;
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        rush_candidate made = {key->leaves[i], RUSH_NONE, ranker->leaves[i]};
        if (made.probability < least || (ranker->part && !ranker->part->taxa[made.taxon]))
            continue;
        if (most >= key->leaf_count) {
            best[count++] = made;
            continue;
        }
        count = insert(best, count, most, made);
        if (count == most)
            least = best[count - 1].probability * (1 - ROUNDING);
    }
    if (most >= key->leaf_count)
        qsort(best, count, sizeof *best, by_probability);
    return count;
}

static void find_candidates(rush_ranker *ranker, uint32_t most)
{
    rush_ranking *ranking = &ranker->ranking;
    ranking->candidates = ranker->candidates;
    ranking->candidate_count = choose(ranker, most);
    for (uint32_t i = 0; i < ranking->candidate_count; i++)
        ranker->candidates[i].form = rush_likeliest_form(ranking, ranker->candidates[i].taxon);
    double least = ranker->candidates[0].probability * (1 - ROUNDING) / RUSH_IN_PLAY_RATIO;
    for (uint32_t i = 0; least > 0 && i < ranker->key->leaf_count; i++)
        ranking->in_play += ranker->leaves[i] >= least;
}

/* ---- second looks ------------------------------------------------------------------------------- */

/* The probability that an answer was misread; or, where that is too little for a second look, not all of it. */
static double misread_of(const rush_ranker *ranker, const rush_answer_table *table)
{
    double misread = 0;
    for (uint32_t i = 0; i < ranker->heavy_count; i++)
        misread += ranker->posterior[ranker->heavy[i]] *
                   rush_table_misread(ranker, table, ranker->heavy[i]);
    if (misread + ranker->light < RUSH_SECOND_LOOK_FROM)
        return misread;
    double lanes[4] = {0};
    for (uint32_t f = 0; f < ranker->key->form_count; f++)
        lanes[f % 4] += ranker->posterior[f] * rush_table_misread(ranker, table, f);
    return (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]);
}

static void find_second_looks(rush_ranker *ranker)
{
    rush_ranking *ranking = &ranker->ranking;
    for (uint32_t i = 0; i < ranker->table_count; i++) {
        if (ranker->tables[i].setting)
            continue;
        double misread = misread_of(ranker, &ranker->tables[i]);
        if (misread < RUSH_SECOND_LOOK_FROM)
            continue;
        uint32_t at = ranking->second_look_count++;
        for (; at && (float)ranker->second_looks[at - 1].misread < (float)misread; at--)
            ranker->second_looks[at] = ranker->second_looks[at - 1];
        ranker->second_looks[at] = (rush_second_look){i, misread};
    }
    ranking->second_looks = ranker->second_looks;
}

/* ---- the whole ---------------------------------------------------------------------------------- */

/* So many candidates as are wanted; the weight of an answer is told for the first against the second. */
static uint32_t wanted_candidates(const rush_ranker *ranker, uint32_t top)
{
    if (!top || top > ranker->key->leaf_count)
        return ranker->key->leaf_count;
    return top < 2 && ranker->key->leaf_count > 1 ? 2 : top;
}

const rush_ranking *rush_rank(rush_ranker *ranker, const rush_sighting *sighting,
                              const rush_rank_options *options)
{
    static const rush_rank_options usual = {0};
    rush_ranking *ranking = &ranker->ranking;
    if (!options)
        options = &usual;
    *ranking = (rush_ranking){.key = ranker->key,
                              .sighting = sighting,
                              .forms = ranker->posterior,
                              .taxa = ranker->taxa};
    ranker->part = options->part;
    ranker->no_occurrence = options->no_occurrence;
    rush_tables_fill(ranker, sighting);
    rush_find_prior(ranker);
    rush_find_likelihood(ranker);
    if (!find_posterior(ranker)) {
        ranking->nothing_fits = true;
        ranking->verdict =
            (rush_verdict){.taxon = RUSH_NONE, .sex = RUSH_SEX_ANY, .form = RUSH_NONE};
        return ranking;
    }
    find_candidates(ranker, wanted_candidates(ranker, options->top));
    find_second_looks(ranker);
    ranking->fit = rush_find_fit(ranker, ranking->candidates[0].form);
    ranking->verdict =
        rush_find_verdict(ranker, options->safe > 0 ? options->safe : RUSH_SAFE_DEFAULT);
    ranking->verdict.marks_alone = find_marks_alone(ranker, ranking->verdict.taxon);
    return ranking;
}

double rush_answer_likelihood(const rush_ranker *ranker, uint32_t answer, uint32_t form)
{
    return rush_table_value(ranker, &ranker->tables[answer], form);
}

double rush_answer_bits(const rush_ranker *ranker, uint32_t answer, uint32_t form,
                        uint32_t against)
{
    double first = rush_answer_likelihood(ranker, answer, form);
    double second = rush_answer_likelihood(ranker, answer, against);
    return first == second ? 0 : log2(first) - log2(second);
}
