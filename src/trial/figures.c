#include "trial/figures.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- tallies -------------------------------------------------------------------------------------- */

static void add_to(rush_trial_tally *tally, const rush_session_end *end)
{
    tally->sightings++;
    tally->outcomes[end->outcome]++;
    tally->sexed += end->told_sex != RUSH_SEX_ANY;
    tally->sexed_right += end->told_sex == end->sex;
}

static void make_tallies(const rush_work *work, const rush_work_run *from, rush_arena *arena,
                         rush_trial_run *run)
{
    const rush_key *key = work->key;
    rush_trial_tally *by_taxon = RUSH_ARRAY(arena, rush_trial_tally, key->leaf_count);
    for (uint32_t i = 0; i < from->count; i++) {
        const rush_session_end *end = &from->ends[i];
        add_to(&run->all, end);
        add_to(&run->by_sex[end->sex], end);
        add_to(&by_taxon[key->taxa[key->forms[end->form].taxon].first_leaf], end);
    }
    run->by_taxon = by_taxon;
}

/* ---- spreads -------------------------------------------------------------------------------------- */

static uint32_t asked_of(const rush_session_end *end)
{
    return end->asked;
}

static uint32_t answered_of(const rush_session_end *end)
{
    return end->answered;
}

/* The least number that `part` of them do not exceed. */
static uint32_t quantile(const uint32_t *counts, uint32_t room, uint32_t total, double part)
{
    uint64_t below = 0;
    for (uint32_t n = 0; n < room; n++) {
        below += counts[n];
        if ((double)below >= part * total)
            return n;
    }
    return room - 1;
}

static rush_trial_spread spread_of(const rush_work_run *from, rush_arena *arena,
                                   uint32_t (*number)(const rush_session_end *end))
{
    rush_trial_spread spread = {.least = UINT32_MAX};
    uint64_t sum = 0, squares = 0;
    if (!from->count)
        return (rush_trial_spread){0};
    for (uint32_t i = 0; i < from->count; i++) {
        uint32_t n = number(&from->ends[i]);
        spread.least = n < spread.least ? n : spread.least;
        spread.most = n > spread.most ? n : spread.most;
        sum += n;
        squares += (uint64_t)n * n;
    }
    uint32_t *counts = RUSH_ARRAY(arena, uint32_t, spread.most + 1);
    for (uint32_t i = 0; i < from->count; i++)
        counts[number(&from->ends[i])]++;
    spread.mean = (double)sum / from->count;
    spread.sd = sqrt(fmax((double)squares / from->count - spread.mean * spread.mean, 0));
    spread.lower = quantile(counts, spread.most + 1, from->count, 0.25);
    spread.median = quantile(counts, spread.most + 1, from->count, 0.5);
    spread.upper = quantile(counts, spread.most + 1, from->count, 0.75);
    return spread;
}

/* ---- calibration ---------------------------------------------------------------------------------- */

static void make_calibration(const rush_work_run *from, rush_trial_run *run)
{
    static const double edges[RUSH_TRIAL_BINS + 1] = {0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 1};
    for (int b = 0; b < RUSH_TRIAL_BINS; b++)
        run->bins[b] = (rush_trial_bin){.from = edges[b], .to = edges[b + 1]};
    for (uint32_t i = 0; i < from->count; i++) {
        const rush_session_end *end = &from->ends[i];
        int at = 0;
        while (at + 1 < RUSH_TRIAL_BINS && end->stated >= edges[at + 1])
            at++;
        run->bins[at].sightings++;
        run->bins[at].right += end->true_verdict;
        run->bins[at].stated += end->stated;
        run->brier += end->brier;
        run->log_score += end->surprise;
        run->entropy += end->entropy;
    }
    for (int b = 0; b < RUSH_TRIAL_BINS; b++)
        if (run->bins[b].sightings)
            run->bins[b].stated /= run->bins[b].sightings;
    if (!from->count)
        return;
    run->brier /= from->count;
    run->log_score /= from->count;
    run->entropy /= from->count;
}

/* ---- the whole ------------------------------------------------------------------------------------ */

static void make_characters(const rush_work *work, const rush_work_run *from, rush_arena *arena,
                            rush_trial_run *run)
{
    uint32_t count = work->key->character_count;
    rush_trial_character *characters = RUSH_ARRAY(arena, rush_trial_character, count);
    for (uint32_t c = 0; c < count; c++)
        characters[c] = (rush_trial_character){
            from->earnings[c].asked, from->earnings[c].answered, from->earnings[c].misread,
            (double)from->earnings[c].microbits / 1e6};
    run->characters = characters;
}

void rush_figures_make(const rush_work *work, const rush_work_run *from, rush_arena *arena,
                       rush_trial_run *run)
{
    *run = (rush_trial_run){.observer = from->observer, .blank = from->blank};
    make_tallies(work, from, arena, run);
    run->asked = spread_of(from, arena, asked_of);
    run->answered = spread_of(from, arena, answered_of);
    make_calibration(from, run);
    make_characters(work, from, arena, run);
    rush_confusions_make(work, from, arena, run);
}
