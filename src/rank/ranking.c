#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rank/ranker.h"

/* Of so many hypotheses all are looked at. Of more, those that are not within REACH of the best one are left
 * at 0: no more than 1e-13 of it each, so that of a million they could not change the sixth decimal. */
enum { ALL_MAX = 2048 };
#define REACH      30.0 /* natural logarithm of the ratio */
#define LEAST_FORM 1e-9

/* ---- the workspace ------------------------------------------------------------------------------ */

static void reserve(void *with)
{
    rush_ranker *ranker = with;
    const rush_key *key = ranker->key;
    rush_arena *arena = &ranker->arena;
    uint32_t states = RUSH_BINS;
    for (uint32_t c = 0; c < key->character_count; c++)
        if (key->characters[c].state_count > states)
            states = key->characters[c].state_count;
    ranker->leaf_of_form = RUSH_ARRAY(arena, uint32_t, key->form_count);
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
            ranker->leaf_of_form[f] = i;
    }
    rush_tables_reserve(ranker);
    ranker->log_likelihood = RUSH_ARRAY(arena, double, key->model.hypothesis_count);
    ranker->log_prior = RUSH_ARRAY(arena, double, key->form_count);
    ranker->posterior = RUSH_ARRAY(arena, double, key->model.hypothesis_count);
    ranker->near = RUSH_ARRAY(arena, uint32_t, key->model.hypothesis_count);
    ranker->many = key->model.hypothesis_count > ALL_MAX;
    ranker->least = ranker->many ? LEAST_FORM : 0;
    ranker->taxa = RUSH_ARRAY(arena, double, key->taxon_count);
    ranker->candidates = RUSH_ARRAY(arena, rush_candidate, key->leaf_count);
    ranker->slight = RUSH_ARRAY(arena, rush_candidate, ranker->many ? key->leaf_count : 1);
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

static void add_column(double *sums, const rush_column *column, const double *table,
                       uint32_t count)
{
    if (column->narrow)
        for (uint32_t h = 0; h < count; h++)
            sums[h] += table[column->narrow[h]];
    else
        for (uint32_t h = 0; h < count; h++)
            sums[h] += table[column->wide[h]];
}

/* Sums of logs: of the marks over every hypothesis, of the settings into the prior of the forms. */
static void add_answers(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    uint32_t hypotheses = key->model.hypothesis_count;
    double *unlisted = ranker->log_likelihood + key->form_count;
    memset(ranker->log_likelihood, 0, hypotheses * sizeof(double));
    for (uint32_t i = 0; i < ranker->table_count; i++) {
        const rush_answer_table *table = &ranker->tables[i];
        for (uint32_t u = 0; table->log_unlisted && u < key->model.unlisted_count; u++)
            unlisted[u] += table->log_unlisted[u];
        if (table->setting)
            add_column(ranker->log_prior, table->column, table->log_value, key->form_count);
        else if (table->column)
            add_column(ranker->log_likelihood, table->column, table->log_value, key->form_count);
        else
            for (uint32_t h = 0; h < hypotheses; h++)
                ranker->log_likelihood[h] += log(rush_table_value(ranker, table, h));
    }
}

/* ---- the posterior ------------------------------------------------------------------------------ */

static bool belongs(const rush_ranker *ranker, uint32_t form)
{
    return !ranker->part || ranker->part->forms[form];
}

/* log(sum(prior)) over the forms that belong. */
static double sum_prior(const rush_ranker *ranker, const double *log_prior)
{
    double most = -INFINITY, sum = 0;
    uint32_t count = ranker->key->form_count;
    for (uint32_t f = 0; f < count; f++)
        if (belongs(ranker, f) && log_prior[f] > most)
            most = log_prior[f];
    for (uint32_t f = 0; f < count && !isinf(most); f++)
        if (belongs(ranker, f))
            sum += exp(log_prior[f] - most);
    return most + log(sum);
}

/* The same, known for the key as a whole where neither settings nor a part come in. */
static double listed_prior(const rush_ranker *ranker, const double *log_prior)
{
    const rush_model *model = &ranker->key->model;
    bool settings = false;
    for (uint32_t i = 0; i < ranker->table_count; i++)
        settings |= ranker->tables[i].setting;
    if (ranker->part || (settings && log_prior == ranker->log_prior))
        return sum_prior(ranker, log_prior);
    bool share = log_prior != ranker->log_prior || ranker->no_occurrence;
    return share ? model->log_share_sum : model->log_prior_sum;
}

static double unlisted_prior(const rush_ranker *ranker, uint32_t unlisted)
{
    return ranker->key->header.unlisted * ranker->key->model.unlisted[unlisted].mass;
}

/* log(prior x likelihood) of a hypothesis; `listed` is added to the log of a form's prior. */
static double log_joint(const rush_ranker *ranker, uint32_t h, const double *log_prior,
                        double listed)
{
    uint32_t forms = ranker->key->form_count;
    if (h >= forms)
        return log(unlisted_prior(ranker, h - forms)) + ranker->log_likelihood[h];
    return belongs(ranker, h) ? log_prior[h] + listed + ranker->log_likelihood[h] : -INFINITY;
}

/* Fills the posterior of the hypotheses that are near for a prior over the forms (logs, not normalised). False
 * when every likelihood is 0. */
static bool find_posterior(rush_ranker *ranker, const double *log_prior)
{
    double *posterior = ranker->posterior, most = -INFINITY, sum = 0;
    double listed = log1p(-ranker->key->header.unlisted) - listed_prior(ranker, log_prior);
    for (uint32_t i = 0; i < ranker->near_count; i++) {
        uint32_t h = ranker->near[i];
        posterior[h] = log_joint(ranker, h, log_prior, listed);
        most = posterior[h] > most ? posterior[h] : most;
    }
    for (uint32_t i = 0; i < ranker->near_count; i++) {
        uint32_t h = ranker->near[i];
        posterior[h] = isinf(most) ? 0 : exp(posterior[h] - most);
        sum += posterior[h];
    }
    for (uint32_t i = 0; i < ranker->near_count && sum > 0; i++)
        posterior[ranker->near[i]] /= sum;
    return sum > 0;
}

/* ---- which hypotheses count --------------------------------------------------------------------- */

static double largest(const rush_ranker *ranker, const double *log_prior)
{
    const double *log_likelihood = ranker->log_likelihood;
    double most = -INFINITY;
    for (uint32_t f = 0; f < ranker->key->form_count; f++) {
        double here = log_prior[f] + log_likelihood[f];
        most = here > most ? here : most;
    }
    return most;
}

/* Within reach under the prior, or under that of the marks alone. The unlisted are so few that all of them are. */
static void find_near(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    const double *share = key->model.log_share;
    double most = -INFINITY, alone = -INFINITY;
    if (ranker->many) {
        most = largest(ranker, ranker->log_prior) - REACH;
        alone = largest(ranker, share) - REACH;
    }
    ranker->near_count = 0;
    for (uint32_t f = 0; f < key->form_count; f++) {
        double here = ranker->log_likelihood[f];
        if (!ranker->many || here + ranker->log_prior[f] > most || here + share[f] > alone)
            ranker->near[ranker->near_count++] = f;
    }
    for (uint32_t h = key->form_count; h < key->model.hypothesis_count; h++)
        ranker->near[ranker->near_count++] = h;
}

/* Nothing is left of the ranking before. */
static void forget_near(rush_ranker *ranker)
{
    for (uint32_t i = 0; i < ranker->near_count; i++)
        ranker->posterior[ranker->near[i]] = 0;
    memset(ranker->taxa, 0, ranker->key->taxon_count * sizeof(double));
    ranker->near_count = 0;
}

/* ---- taxa --------------------------------------------------------------------------------------- */

static void add_upwards(rush_ranker *ranker, uint32_t taxon, double probability)
{
    for (uint32_t at = taxon; at != RUSH_NONE; at = ranker->key->taxa[at].parent)
        ranker->taxa[at] += probability;
}

static double sum_taxa(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    double unlisted = 0;
    memset(ranker->taxa, 0, key->taxon_count * sizeof(double));
    for (uint32_t i = 0; i < ranker->near_count;) {
        uint32_t h = ranker->near[i];
        if (h < key->form_count) {
            uint32_t taxon = key->forms[h].taxon;
            double sum = 0;
            for (; i < ranker->near_count && ranker->near[i] < key->form_count &&
                   key->forms[ranker->near[i]].taxon == taxon;
                 i++)
                sum += ranker->posterior[ranker->near[i]];
            add_upwards(ranker, taxon, sum);
            continue;
        }
        add_upwards(ranker, key->model.unlisted[h - key->form_count].taxon, ranker->posterior[h]);
        unlisted += ranker->posterior[h];
        i++;
    }
    return unlisted;
}

/* ---- candidates --------------------------------------------------------------------------------- */

/* The logs in single precision: what differs only by rounding is a tie, and ties keep the key's order. */
static int by_probability(const void *left, const void *right)
{
    const rush_candidate *a = left, *b = right;
    if (a->taxon == b->taxon)
        return 0;
    float p = (float)log(a->probability), q = (float)log(b->probability);
    if (p != q)
        return p > q ? -1 : 1;
    return a->taxon < b->taxon ? -1 : 1;
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

static rush_candidate candidate_of(const rush_ranker *ranker, uint32_t leaf)
{
    const rush_taxon *taxon = &ranker->key->taxa[leaf];
    double sum = 0;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        sum += ranker->posterior[f];
    return (rush_candidate){leaf, rush_likeliest_form(&ranker->ranking, leaf), sum};
}

/* Of a key with many hypotheses, those that hardly count come last, in the key's own order. */
static void find_candidates(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    rush_ranking *ranking = &ranker->ranking;
    uint32_t count = 0, slight = 0, last = RUSH_NONE;
    for (uint32_t i = 0; i < ranker->near_count && ranker->near[i] < key->form_count; i++) {
        uint32_t leaf = key->forms[ranker->near[i]].taxon;
        if (leaf == last || (ranker->part && !ranker->part->taxa[leaf]))
            continue;
        last = leaf;
        rush_candidate made = candidate_of(ranker, leaf);
        if (ranker->many && made.probability < LEAST_FORM)
            ranker->slight[slight++] = made;
        else
            ranker->candidates[count++] = made;
    }
    qsort(ranker->candidates, count, sizeof *ranker->candidates, by_probability);
    memcpy(ranker->candidates + count, ranker->slight, slight * sizeof *ranker->slight);
    count += slight;
    ranking->candidates = ranker->candidates;
    ranking->candidate_count = count;
    double least = ranker->candidates[0].probability / RUSH_IN_PLAY_RATIO;
    for (uint32_t i = 0; i < count; i++)
        ranking->in_play += least > 0 && ranker->candidates[i].probability >= least;
}

/* ---- second looks ------------------------------------------------------------------------------- */

static void find_second_looks(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    rush_ranking *ranking = &ranker->ranking;
    for (uint32_t i = 0; i < ranker->table_count; i++) {
        const rush_answer_table *table = &ranker->tables[i];
        if (table->setting)
            continue;
        double misread = 0;
        for (uint32_t n = 0; n < ranker->near_count && ranker->near[n] < key->form_count; n++) {
            uint32_t f = ranker->near[n];
            if (ranker->posterior[f] <= ranker->least)
                continue;
            double value = rush_table_value(ranker, table, f);
            if (value > 0)
                misread += ranker->posterior[f] * rush_table_misread(ranker, table, f) / value;
        }
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

static void find_prior(rush_ranker *ranker, bool no_occurrence)
{
    const rush_model *model = &ranker->key->model;
    memcpy(ranker->log_prior, no_occurrence ? model->log_share : model->log_prior,
           ranker->key->form_count * sizeof(double));
}

/* The verdict's probability under a prior that knows neither occurrence nor settings. */
static double find_marks_alone(rush_ranker *ranker, uint32_t taxon)
{
    find_posterior(ranker, ranker->key->model.log_share);
    sum_taxa(ranker);
    return ranker->taxa[taxon];
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
    forget_near(ranker);
    rush_tables_fill(ranker, sighting);
    find_prior(ranker, options->no_occurrence);
    add_answers(ranker);
    find_near(ranker);
    if (!find_posterior(ranker, ranker->log_prior)) {
        ranking->nothing_fits = true;
        ranking->verdict =
            (rush_verdict){.taxon = RUSH_NONE, .sex = RUSH_SEX_ANY, .form = RUSH_NONE};
        return ranking;
    }
    ranking->unlisted = sum_taxa(ranker);
    find_candidates(ranker);
    find_second_looks(ranker);
    ranking->fit = rush_find_fit(ranker, ranking->candidates[0].form);
    ranking->verdict =
        rush_find_verdict(ranker, options->safe > 0 ? options->safe : RUSH_SAFE_DEFAULT);
    ranking->verdict.marks_alone = find_marks_alone(ranker, ranking->verdict.taxon);
    find_posterior(ranker, ranker->log_prior);
    sum_taxa(ranker);
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
