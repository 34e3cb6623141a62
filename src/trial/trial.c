#include "rushlight/trial.h"

#include <stdlib.h>
#include <string.h>

#include "base/score.h"
#include "key/without.h"
#include "rank/likelihood.h"
#include "trial/capacity.h"
#include "trial/figures.h"

/* A trial and where it lies. */
typedef struct whole_trial {
    rush_trial trial;
    rush_arena arena;
} whole_trial;

const char *rush_observer_name(rush_observer observer)
{
    static const char *const names[] = {"careful", "poor", "hanging", "strangers"};
    return names[observer];
}

rush_trial_options rush_trial_usual(void)
{
    return (rush_trial_options){.seed = RUSH_TRIAL_SEED,
                                .sightings = RUSH_TRIAL_SIGHTINGS,
                                .observers = {true, true, true, true},
                                .within = RUSH_NONE,
                                .unseen = RUSH_TRIAL_UNSEEN,
                                .reach = RUSH_REACH_CLOSE,
                                .jobs = 1};
}

/* ---- the floor ------------------------------------------------------------------------------------ */

static double capacity_of(const rush_key *key, uint32_t character, rush_arena *arena)
{
    const rush_column *column = &key->model.columns[character];
    bool number = key->characters[character].kind == RUSH_KIND_NUMBER;
    uint32_t reports = number ? RUSH_BINS : key->characters[character].state_count, inputs = 0;
    double *rows = RUSH_ARRAY(arena, double, (size_t)column->profile_count *reports);
    double *scratch = RUSH_ARRAY(arena, double, (size_t)column->profile_count + reports);
    /* Mixtures lie between the others, so they add nothing. */
    for (uint32_t p = 0; p < column->scored_count; p++) {
        double *row = rows + (size_t)inputs++ * reports;
        if (number)
            rush_reports_of_number(key, character, p, 1, row);
        else
            rush_reports_of_states(key, character, p, 1, row);
    }
    return inputs ? rush_capacity(rows, inputs, reports, 1e-3, scratch) : 0;
}

static void find_capacity(whole_trial *whole)
{
    const rush_key *key = whole->trial.key;
    rush_trial *trial = &whole->trial;
    trial->best_character = RUSH_NONE;
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        if (character->setting || !character->look_next || character->kind == RUSH_KIND_TAXON ||
            character->reach > trial->options.reach || !key->model.columns[c].profile_count)
            continue;
        double capacity = capacity_of(key, c, &whole->arena);
        if ((float)capacity > (float)trial->capacity) {
            trial->capacity = capacity;
            trial->best_character = c;
        }
    }
}

/* ---- the runs ------------------------------------------------------------------------------------- */

/* What hold hands to the guard, and what must be freed whatever happens. */
typedef struct holding {
    whole_trial *whole;
    rush_work work;
    rush_key **blank_keys; /* by blank */
    bool good;
} holding;

static bool make_blank_keys(holding *now)
{
    const rush_trial_options *options = &now->whole->trial.options;
    now->blank_keys =
        RUSH_ARRAY(&now->whole->arena, rush_key *, (size_t)options->blank_count + 1);
    for (uint32_t b = 0; b < options->blank_count; b++) {
        now->blank_keys[b] = rush_key_without_trait(now->work.key, options->blanks[b].taxon,
                                                    options->blanks[b].character);
        if (!now->blank_keys[b])
            return false;
    }
    return true;
}

static void add_runs(holding *now, uint32_t blank)
{
    rush_arena *arena = &now->whole->arena;
    const rush_trial_options *options = &now->whole->trial.options;
    for (int o = 0; o < RUSH_OBSERVER_COUNT; o++) {
        if (!options->observers[o])
            continue;
        now->work.runs[now->work.run_count++] = (rush_work_run){
            .observer = (rush_observer)o,
            .blank = blank,
            .key = blank == RUSH_NONE ? now->work.key : now->blank_keys[blank],
            .ends = RUSH_ARRAY(arena, rush_session_end, (size_t)options->sightings + 1),
            .earnings = RUSH_ARRAY(arena, rush_earnings, now->work.key->character_count),
            .count = options->sightings};
    }
}

static void hold(void *with)
{
    holding *now = with;
    whole_trial *whole = now->whole;
    rush_trial_options *options = &whole->trial.options;
    rush_blank *blanks = RUSH_ARRAY(&whole->arena, rush_blank, (size_t)options->blank_count + 1);
    if (options->blank_count)
        memcpy(blanks, options->blanks, options->blank_count * sizeof *blanks);
    options->blanks = blanks;
    now->work.options = options;
    if (!rush_meeting_begin(&now->work.meeting, whole->trial.key, options->evenly) ||
        !make_blank_keys(now))
        return;
    now->work.runs = RUSH_ARRAY(&whole->arena, rush_work_run,
                                ((size_t)options->blank_count + 1) * RUSH_OBSERVER_COUNT);
    add_runs(now, RUSH_NONE);
    for (uint32_t b = 0; b < options->blank_count; b++)
        add_runs(now, b);
    if (!rush_work_do(&now->work))
        return;
    rush_trial_run *runs = RUSH_ARRAY(&whole->arena, rush_trial_run, now->work.run_count + 1);
    for (uint32_t r = 0; r < now->work.run_count; r++)
        rush_figures_make(&now->work, &now->work.runs[r], &whole->arena, &runs[r]);
    whole->trial.runs = runs;
    whole->trial.run_count = now->work.run_count;
    find_capacity(whole);
    now->good = true;
}

rush_trial *rush_trial_hold(const rush_key *key, const rush_trial_options *options)
{
    whole_trial *whole = calloc(1, sizeof *whole);
    if (!whole)
        return NULL;
    whole->trial.key = key;
    whole->trial.options = options ? *options : rush_trial_usual();
    holding now = {.whole = whole, .work = {.key = key}};
    bool guarded = rush_arena_guard(&whole->arena, hold, &now);
    for (uint32_t b = 0; now.blank_keys && b < whole->trial.options.blank_count; b++)
        rush_key_free(now.blank_keys[b]);
    rush_meeting_free(&now.work.meeting);
    if (guarded && now.good)
        return &whole->trial;
    rush_trial_free(&whole->trial);
    return NULL;
}

void rush_trial_free(rush_trial *trial)
{
    whole_trial *whole = (whole_trial *)trial;
    if (whole)
        rush_arena_free(&whole->arena);
    free(whole);
}

/* ---- looking at them ------------------------------------------------------------------------------ */

const rush_trial_run *rush_trial_find(const rush_trial *trial, rush_observer observer,
                                      uint32_t blank)
{
    for (uint32_t r = 0; r < trial->run_count; r++)
        if (trial->runs[r].observer == observer && trial->runs[r].blank == blank)
            return &trial->runs[r];
    return NULL;
}

static double part(uint32_t some, uint32_t all)
{
    return all ? (double)some / all : 0;
}

double rush_trial_share(const rush_trial_tally *tally, rush_outcome outcome)
{
    return part(tally->outcomes[outcome], tally->sightings);
}

double rush_trial_safe_right(const rush_trial_tally *tally)
{
    uint32_t right = tally->outcomes[RUSH_OUTCOME_RIGHT] + tally->outcomes[RUSH_OUTCOME_GROUP];
    return part(right, right + tally->outcomes[RUSH_OUTCOME_WRONG]);
}

bool rush_trial_safe_interval(const rush_trial_tally *tally, double *low, double *high)
{
    uint32_t right = tally->outcomes[RUSH_OUTCOME_RIGHT] + tally->outcomes[RUSH_OUTCOME_GROUP];
    uint32_t safe = right + tally->outcomes[RUSH_OUTCOME_WRONG];
    if (safe)
        rush_share_interval(right, safe, low, high);
    return safe;
}

double rush_trial_floor(const rush_trial *trial, const rush_trial_run *run)
{
    return trial->capacity > 0 ? run->entropy / trial->capacity : 0;
}
