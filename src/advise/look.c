#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "advise/look.h"
#include "rank/likelihood.h"

/* Forms of less than this part of the mass do not count. */
#define LEAST_FORM 1e-12

struct rush_adviser {
    rush_arena arena;
    const rush_key *key;
    rush_look *looks;
    uint32_t look_count;
    uint32_t reports_max;
    double *all;        /* P(R), not normalised */
    double *of_taxon;   /* P(R | t), not normalised */
    double *by_profile; /* the mass of each profile, in one taxon */
    uint32_t *touched;
};

static void reserve(void *with)
{
    rush_adviser *adviser = with;
    const rush_key *key = adviser->key;
    uint32_t profiles = 1, reports = RUSH_BINS;
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (key->model.columns[c].profile_count > profiles)
            profiles = key->model.columns[c].profile_count;
        if (key->characters[c].state_count > reports)
            reports = key->characters[c].state_count;
    }
    adviser->reports_max = reports;
    adviser->looks = RUSH_ARRAY(&adviser->arena, rush_look, key->character_count);
    adviser->all = RUSH_ARRAY(&adviser->arena, double, reports);
    adviser->of_taxon = RUSH_ARRAY(&adviser->arena, double, reports);
    adviser->by_profile = RUSH_ARRAY(&adviser->arena, double, profiles);
    adviser->touched = RUSH_ARRAY(&adviser->arena, uint32_t, profiles);
}

rush_adviser *rush_adviser_new(const rush_key *key)
{
    rush_adviser *adviser = calloc(1, sizeof *adviser);
    if (!adviser)
        return NULL;
    adviser->key = key;
    if (rush_arena_guard(&adviser->arena, reserve, adviser))
        return adviser;
    rush_adviser_free(adviser);
    return NULL;
}

void rush_adviser_free(rush_adviser *adviser)
{
    if (adviser)
        rush_arena_free(&adviser->arena);
    free(adviser);
}

/* ---- information -------------------------------------------------------------------------------- */

/* The sum of -x log2 x; of numbers that sum to m it is m (H - log2 m). */
static double surprise(const double *numbers, uint32_t count)
{
    double sum = 0;
    for (uint32_t i = 0; i < count; i++)
        if (numbers[i] > 0)
            sum -= numbers[i] * log2(numbers[i]);
    return sum;
}

static uint32_t report_count(const rush_character *character)
{
    return character->kind == RUSH_KIND_NUMBER ? RUSH_BINS : character->state_count;
}

static void add_reports(const rush_key *key, uint32_t character, uint32_t profile, double mass,
                        double *reports)
{
    if (key->characters[character].kind == RUSH_KIND_NUMBER)
        rush_reports_of_number(key, character, profile, mass, reports);
    else
        rush_reports_of_states(key, character, profile, mass, reports);
}

/* Collects the reports of some forms, each with its mass, into `reports`; returns their sum, which is that
 * mass but for a setting. */
static double collect(rush_adviser *adviser, uint32_t character, const double *mass,
                      uint32_t first, uint32_t count, double *reports)
{
    const rush_column *column = &adviser->key->model.columns[character];
    uint32_t touched = 0, report_total = report_count(&adviser->key->characters[character]);
    double sum = 0;
    for (uint32_t f = first; f < first + count; f++) {
        if (mass[f] < LEAST_FORM)
            continue;
        uint32_t profile = rush_column_profile(column, f);
        if (adviser->by_profile[profile] == 0)
            adviser->touched[touched++] = profile;
        adviser->by_profile[profile] += mass[f];
    }
    for (uint32_t i = 0; i < touched; i++) {
        uint32_t profile = adviser->touched[i];
        add_reports(adviser->key, character, profile, adviser->by_profile[profile], reports);
        adviser->by_profile[profile] = 0;
    }
    for (uint32_t r = 0; touched && r < report_total; r++)
        sum += reports[r];
    return sum;
}

/* The sums that I(T;R) is made of. With M the whole mass and m of each taxon:
 * M I = surprise(all) + M log2 M - sum of (surprise(taxon) + m log2 m). */
typedef struct information_sums {
    uint32_t reports;
    double whole, within;
} information_sums;

static information_sums begin_sums(rush_adviser *adviser, uint32_t character)
{
    uint32_t reports = report_count(&adviser->key->characters[character]);
    memset(adviser->all, 0, reports * sizeof(double));
    return (information_sums){.reports = reports};
}

static void add_taxon(rush_adviser *adviser, uint32_t character, uint32_t taxon,
                      const double *mass, information_sums *sums)
{
    const rush_taxon *within = &adviser->key->taxa[taxon];
    memset(adviser->of_taxon, 0, sums->reports * sizeof(double));
    double sum = collect(adviser, character, mass, within->first_form, within->form_count,
                         adviser->of_taxon);
    if (sum == 0)
        return;
    sums->whole += sum;
    sums->within += surprise(adviser->of_taxon, sums->reports) + sum * log2(sum);
    for (uint32_t r = 0; r < sums->reports; r++)
        adviser->all[r] += adviser->of_taxon[r];
}

static double end_sums(const rush_adviser *adviser, const information_sums *sums)
{
    if (sums->whole == 0)
        return 0;
    double all = surprise(adviser->all, sums->reports) + sums->whole * log2(sums->whole);
    return fmax((all - sums->within) / sums->whole, 0);
}

double rush_information(rush_adviser *adviser, uint32_t character, const double *mass)
{
    information_sums sums = begin_sums(adviser, character);
    for (uint32_t i = 0; i < adviser->key->leaf_count; i++)
        add_taxon(adviser, character, adviser->key->leaves[i], mass, &sums);
    return end_sums(adviser, &sums);
}

double rush_information_between(rush_adviser *adviser, uint32_t character, uint32_t taxon,
                                uint32_t other, const double *mass)
{
    information_sums sums = begin_sums(adviser, character);
    add_taxon(adviser, character, taxon, mass, &sums);
    add_taxon(adviser, character, other, mass, &sums);
    return end_sums(adviser, &sums);
}

/* ---- what to offer ------------------------------------------------------------------------------ */

static bool mostly_inapplicable(const rush_key *key, uint32_t character, const double *mass)
{
    const rush_column *column = &key->model.columns[character];
    double cannot = 0, whole = 0;
    for (uint32_t f = 0; f < key->form_count; f++) {
        uint32_t profile = rush_column_profile(column, f);
        whole += mass[f];
        if (column->profiles[profile].kind == RUSH_PROFILE_INAPPLICABLE)
            cannot += mass[f];
    }
    return cannot > whole / 2;
}

static bool offered(const rush_ranking *ranking, uint32_t at, const rush_look_options *options)
{
    const rush_key *key = ranking->key;
    const rush_character *character = &key->characters[at];
    if (character->kind == RUSH_KIND_TAXON || !key->model.columns[at].profile_count)
        return false;
    if (options->any_character)
        return true;
    return character->look_next && character->reach <= options->reach &&
           !rush_sighting_find(ranking->sighting, at) &&
           !mostly_inapplicable(key, at, ranking->forms);
}

static void insert(rush_adviser *adviser, uint32_t character, double gain)
{
    const rush_character *characters = adviser->key->characters;
    float rate = (float)(gain / characters[character].effort);
    uint32_t at = adviser->look_count++;
    for (; at; at--) {
        const rush_look *before = &adviser->looks[at - 1];
        if ((float)(before->gain / characters[before->character].effort) >= rate)
            break;
        adviser->looks[at] = *before;
    }
    adviser->looks[at] = (rush_look){character, gain};
}

const rush_look *rush_look_next(rush_adviser *adviser, const rush_ranking *ranking,
                                const rush_look_options *options, uint32_t *count)
{
    static const rush_look_options usual = {RUSH_REACH_HAND, RUSH_LEAST_GAIN, false};
    if (!options)
        options = &usual;
    adviser->look_count = 0;
    for (uint32_t c = 0; c < adviser->key->character_count; c++) {
        if (!offered(ranking, c, options))
            continue;
        double gain = rush_information(adviser, c, ranking->forms);
        if (gain >= options->least_gain)
            insert(adviser, c, gain);
    }
    *count = adviser->look_count;
    return adviser->looks;
}

/* ---- two forms ---------------------------------------------------------------------------------- */

static double information_of_forms(rush_adviser *adviser, uint32_t character, uint32_t a,
                                   uint32_t b)
{
    const rush_key *key = adviser->key;
    const rush_column *column = &key->model.columns[character];
    uint32_t reports = report_count(&key->characters[character]);
    double within = 0;
    memset(adviser->all, 0, reports * sizeof(double));
    for (int i = 0; i < 2; i++) {
        memset(adviser->of_taxon, 0, reports * sizeof(double));
        add_reports(key, character, rush_column_profile(column, i ? b : a), 0.5,
                    adviser->of_taxon);
        within += surprise(adviser->of_taxon, reports) - 0.5;
        for (uint32_t r = 0; r < reports; r++)
            adviser->all[r] += adviser->of_taxon[r];
    }
    return fmax(surprise(adviser->all, reports) - within, 0);
}

static bool both_show(const rush_key *key, uint32_t character, uint32_t a, uint32_t b)
{
    const rush_column *column = &key->model.columns[character];
    return column->profiles[rush_column_profile(column, a)].kind != RUSH_PROFILE_INAPPLICABLE &&
           column->profiles[rush_column_profile(column, b)].kind != RUSH_PROFILE_INAPPLICABLE;
}

const rush_look *rush_tell_apart(rush_adviser *adviser, uint32_t form, uint32_t other,
                                 rush_reach reach, uint32_t *count)
{
    const rush_key *key = adviser->key;
    adviser->look_count = 0;
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        if (!key->model.columns[c].profile_count || character->kind == RUSH_KIND_TAXON ||
            character->setting || !character->look_next || character->reach > reach ||
            !both_show(key, c, form, other))
            continue;
        double gain = information_of_forms(adviser, c, form, other);
        if (gain >= RUSH_LEAST_GAIN)
            insert(adviser, c, gain);
    }
    *count = adviser->look_count;
    return adviser->looks;
}
