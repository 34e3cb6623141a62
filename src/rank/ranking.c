#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rank/ranker.h"

/* Products of likelihoods are taken in plain numbers; before one could fall under this, its power of two is kept
 * apart. */
#define LEAST_PRODUCT 1e-120

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
    ranker->likelihood = RUSH_ARRAY(arena, double, key->model.hypothesis_count);
    ranker->exponents = RUSH_ARRAY(arena, int, key->model.hypothesis_count);
    ranker->prior = RUSH_ARRAY(arena, double, key->form_count);
    ranker->posterior = RUSH_ARRAY(arena, double, key->model.hypothesis_count);
    ranker->leaves = RUSH_ARRAY(arena, double, key->leaf_count + 1);
    ranker->taxa = RUSH_ARRAY(arena, double, key->taxon_count);
    ranker->heavy = RUSH_ARRAY(arena, uint32_t, (size_t)(1 / HEAVY_FORM) + 1);
    ranker->candidates = RUSH_ARRAY(arena, rush_candidate, key->leaf_count + 1);
    ranker->second_looks = RUSH_ARRAY(arena, rush_second_look, key->character_count);
    ranker->rows = RUSH_ARRAY(arena, double, states);
    ranker->chances = RUSH_ARRAY(arena, double, 2 * ((size_t)key->character_count + 1));
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

/* ---- products ----------------------------------------------------------------------------------- */

static void multiply(double *restrict products, const rush_column *column,
                     const double *restrict value, uint32_t count)
{
    if (column->narrow)
        for (uint32_t f = 0; f < count; f++)
            products[f] *= value[column->narrow[f]];
    else
        for (uint32_t f = 0; f < count; f++)
            products[f] *= value[column->wide[f]];
}

static void multiply_likelihood(rush_ranker *ranker, const rush_answer_table *table)
{
    const rush_key *key = ranker->key;
    if (table->column) {
        double *unlisted = ranker->likelihood + key->form_count;
        multiply(ranker->likelihood, table->column, table->value, key->form_count);
        for (uint32_t u = 0; u < key->model.unlisted_count; u++)
            unlisted[u] *= table->unlisted[u];
    } else {
        for (uint32_t h = 0; h < key->model.hypothesis_count; h++)
            ranker->likelihood[h] *= rush_table_value(ranker, table, h);
    }
}

/* Keeps the powers of two of the likelihoods apart. */
static void take_exponents(rush_ranker *ranker, bool first)
{
    for (uint32_t h = 0; h < ranker->key->model.hypothesis_count; h++) {
        int exponent = 0;
        ranker->likelihood[h] = frexp(ranker->likelihood[h], &exponent);
        ranker->exponents[h] = (first ? 0 : ranker->exponents[h]) + exponent;
    }
}

/* Puts them back, of which the greatest that counts becomes 0; what does not count has no probability anyway. */
static void give_exponents(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    double *likelihood = ranker->likelihood;
    int most = INT_MIN;
    for (uint32_t h = 0; h < key->model.hypothesis_count; h++) {
        double before = h < key->form_count ? ranker->prior[h] : key->header.unlisted;
        if (!(before > 0))
            likelihood[h] = 0;
        if (likelihood[h] > 0 && ranker->exponents[h] > most)
            most = ranker->exponents[h];
    }
    for (uint32_t h = 0; h < key->model.hypothesis_count; h++)
        likelihood[h] = likelihood[h] > 0 ? ldexp(likelihood[h], ranker->exponents[h] - most) : 0;
}

/* P(marks | hypothesis), of each but for a common factor. */
static void find_likelihood(rush_ranker *ranker)
{
    double least = 1;
    bool apart = false;
    for (uint32_t h = 0; h < ranker->key->model.hypothesis_count; h++)
        ranker->likelihood[h] = 1;
    for (uint32_t i = 0; i < ranker->table_count; i++) {
        const rush_answer_table *table = &ranker->tables[i];
        if (table->setting)
            continue;
        if (least * table->least < LEAST_PRODUCT) {
            take_exponents(ranker, !apart);
            apart = true;
            least = 1;
        }
        least *= table->least;
        multiply_likelihood(ranker, table);
    }
    if (apart) {
        take_exponents(ranker, false);
        give_exponents(ranker);
    }
}

/* The prior of the forms with what each setting says of them; 0 outside the part. */
static void find_prior(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    double least = 1;
    memcpy(ranker->prior, ranker->no_occurrence ? key->model.share : key->model.prior,
           key->form_count * sizeof(double));
    for (uint32_t f = 0; ranker->part && f < key->form_count; f++)
        if (!ranker->part->forms[f])
            ranker->prior[f] = 0;
    for (uint32_t i = 0; i < ranker->table_count; i++) {
        const rush_answer_table *table = &ranker->tables[i];
        if (!table->setting)
            continue;
        least *= table->least;
        multiply(ranker->prior, table->column, table->value, key->form_count);
        if (least >= LEAST_PRODUCT)
            continue;
        double most = 0;
        for (uint32_t f = 0; f < key->form_count; f++)
            most = fmax(most, ranker->prior[f]);
        for (uint32_t f = 0; f < key->form_count && most > 0; f++)
            ranker->prior[f] /= most;
        least = 1;
    }
}

/* ---- the posterior ------------------------------------------------------------------------------ */

/* In four parts, which a processor adds up at the same time; their order is the same on every machine. */
static double sum_of(const double *numbers, uint32_t count)
{
    double sums[4] = {0};
    uint32_t i = 0;
    for (; i + 4 <= count; i += 4)
        for (int lane = 0; lane < 4; lane++)
            sums[lane] += numbers[i + lane];
    for (; i < count; i++)
        sums[0] += numbers[i];
    return (sums[0] + sums[1]) + (sums[2] + sums[3]);
}

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

static double unlisted_joint(const rush_ranker *ranker, uint32_t unlisted)
{
    const rush_key *key = ranker->key;
    return key->header.unlisted * key->model.unlisted[unlisted].mass *
           ranker->likelihood[key->form_count + unlisted];
}

/* Fills the posterior of all hypotheses, and their sum over the unlisted. False when every likelihood is 0. */
static bool find_posterior(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    uint32_t forms = key->form_count, count = key->model.hypothesis_count;
    double *posterior = ranker->posterior;
    double listed = (1 - key->header.unlisted) / sum_of(ranker->prior, forms);
    for (uint32_t f = 0; f < forms; f++)
        posterior[f] = ranker->prior[f] * listed * ranker->likelihood[f];
    for (uint32_t h = forms; h < count; h++)
        posterior[h] = unlisted_joint(ranker, h - forms);
    double sum = sum_of(posterior, count);
    if (!(sum > 0)) {
        memset(posterior, 0, count * sizeof *posterior);
        return false;
    }
    double part = 1 / sum;
    for (uint32_t h = 0; h < count; h++)
        posterior[h] *= part;
    ranker->ranking.unlisted = sum_of(posterior + forms, count - forms);
    return true;
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
    const double *share = key->model.share;
    double all = 0, shares = 0, here = 0, whole = 0;
    if (!ranker->part) {
        shares = sum_of(share, key->form_count);
        all = sum_of_products(share, ranker->likelihood, key->form_count);
        here = sum_of_products(share + taxon->first_form, ranker->likelihood + taxon->first_form,
                               taxon->form_count);
    }
    for (uint32_t f = 0; ranker->part && f < key->form_count; f++) {
        if (!ranker->part->forms[f])
            continue;
        double joint = share[f] * ranker->likelihood[f];
        shares += share[f];
        all += joint;
        here += f - taxon->first_form < taxon->form_count ? joint : 0;
    }
    double listed = (1 - key->header.unlisted) / shares;
    here *= listed;
    whole = all * listed;
    for (uint32_t u = 0; u < key->model.unlisted_count; u++) {
        double joint = unlisted_joint(ranker, u);
        whole += joint;
        here += relatives_are_within(key, u, taxon) ? joint : 0;
    }
    return whole > 0 ? here / whole : 0;
}

/* ---- taxa --------------------------------------------------------------------------------------- */

/* Sums over the forms of each taxon without children, then upwards. */
static void sum_taxa(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    memset(ranker->taxa, 0, key->taxon_count * sizeof(double));
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        double sum = 0;
        for (uint32_t f = ranker->leaf_begin[i]; f < ranker->leaf_begin[i + 1]; f++)
            sum += ranker->posterior[f];
        ranker->leaves[i] = ranker->taxa[key->leaves[i]] = sum;
    }
    for (uint32_t u = 0; u < key->model.unlisted_count; u++)
        if (key->model.unlisted[u].taxon != RUSH_NONE)
            ranker->taxa[key->model.unlisted[u].taxon] += ranker->posterior[key->form_count + u];
    for (uint32_t i = 0; i < ranker->upwards_count; i++)
        ranker->taxa[ranker->parents[i]] += ranker->taxa[ranker->upwards[i]];
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
    double least = ranker->candidates[0].probability / RUSH_IN_PLAY_RATIO;
    for (uint32_t i = 0; least > 0 && i < ranker->key->leaf_count; i++)
        ranking->in_play += ranker->leaves[i] >= least;
}

/* ---- second looks ------------------------------------------------------------------------------- */

static void find_heavy(rush_ranker *ranker)
{
    ranker->heavy_count = 0;
    ranker->light = 1 - ranker->ranking.unlisted;
    for (uint32_t f = 0; f < ranker->key->form_count; f++) {
        if (ranker->posterior[f] < HEAVY_FORM)
            continue;
        ranker->light -= ranker->posterior[f];
        ranker->heavy[ranker->heavy_count++] = f;
    }
}

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
    find_prior(ranker);
    find_likelihood(ranker);
    bool fits = find_posterior(ranker);
    sum_taxa(ranker);
    if (!fits) {
        ranking->nothing_fits = true;
        ranking->verdict =
            (rush_verdict){.taxon = RUSH_NONE, .sex = RUSH_SEX_ANY, .form = RUSH_NONE};
        return ranking;
    }
    find_heavy(ranker);
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
