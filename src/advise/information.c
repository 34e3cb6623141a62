/* I(T;R), by the chain rule (Cover and Thomas 2006, Elements of Information Theory, theorem 2.5.2; from memory):
 *
 *     I(T;R) = I(F;R) - I(F;R | T)
 *
 * What a report tells about the form, I(F;R) = H(R) - sum over profiles of their mass x H(R | profile), takes one
 * pass that sums the forms' masses by profile. What it tells about the form once the taxon is known is 0 where the
 * forms of a taxon share a profile, which is most often; of the others it is known beforehand while the forms stand to
 * each other as in the key, that is until something is answered in which they differ. */
#include <math.h>
#include <string.h>

#include "advise/adviser.h"
#include "advise/look.h"

/* The forms that do not count have no more than this part of the mass, all together. With a part d left out,
 * I(T;R) is wrong by at most the entropy of d and 1 - d, and d log2 of the number of reports: 7e-7 bit for 16. */
#define LEFT_OUT 2e-8
/* Nor do forms with a mass below this. */
#define LEAST_FORM 1e-12
/* Less information than this, in bits, is the rounding of sums: none, on every machine. */
#define ROUNDING 1e-12
/* Where fewer forms count than one for so many taxa, they are listed, and the taxa are not gone through one by one. */
enum { FEW = 2 };
/* Where fewer forms count than one for so many profiles, the profiles are not gone through one by one. */
enum { FEW_PROFILES = 4 };

void rush_information_reserve(rush_adviser *adviser)
{
    const rush_key *key = adviser->key;
    rush_arena *arena = &adviser->arena;
    uint32_t profiles = key->form_count + 1, reports = 1;
    rush_reports_reserve(&adviser->reports, key, arena);
    for (uint32_t c = 0; c < key->character_count; c++) {
        uint32_t count = key->model.columns[c].profile_count,
                 stride = adviser->reports.of[c].stride;
        profiles = count > profiles ? count : profiles;
        reports = stride > reports ? stride : reports;
    }
    adviser->forms = RUSH_ARRAY(arena, uint32_t, key->form_count);
    adviser->mixed = RUSH_ARRAY(arena, uint32_t, key->leaf_count);
    adviser->mass = RUSH_ARRAY(arena, double, key->form_count);
    adviser->leaf_of = RUSH_ARRAY(arena, uint32_t, key->form_count);
    for (uint32_t i = 0; i < key->leaf_count; i++)
        for (uint32_t f = 0; f < key->taxa[key->leaves[i]].form_count; f++)
            adviser->leaf_of[key->taxa[key->leaves[i]].first_form + f] = i;
    adviser->leaf_mass = RUSH_ARRAY(arena, double, key->leaf_count);
    adviser->steady_mass = RUSH_ARRAY(arena, double, key->form_count);
    adviser->profiles = RUSH_ARRAY(arena, uint32_t, profiles);
    adviser->masses = RUSH_ARRAY(arena, double, profiles);
    for (int i = 0; i < 2; i++)
        adviser->by_profile[i] = RUSH_ARRAY(arena, double, profiles);
    adviser->all = RUSH_ARRAY(arena, double, reports);
}

/* ---- which forms count -------------------------------------------------------------------------- */

/* The mass from which a form counts, a power of 2; `*count` gets how many do. */
static double find_least(const double *mass, uint32_t forms, uint32_t *count)
{
    enum { POWERS = 64 };
    double whole = 0, of_power[POWERS] = {0}; /* of 2, from the whole mass downwards */
    uint32_t counts[POWERS] = {0}, end = POWERS - 1;
    int top, power;
    for (uint32_t f = 0; f < forms; f++)
        whole += mass[f];
    frexp(whole, &top);
    for (uint32_t f = 0; f < forms; f++) {
        frexp(mass[f], &power);
        uint32_t below =
            mass[f] > 0 && top - power < POWERS ? (uint32_t)(top - power) : POWERS - 1;
        of_power[below] += mass[f];
        counts[below]++;
    }
    double left_out = of_power[end];
    *count = forms - counts[end];
    while (end && left_out + of_power[end - 1] <= LEFT_OUT * whole) {
        left_out += of_power[--end];
        *count -= counts[end];
    }
    return fmax(ldexp(1, top - (int)end), LEAST_FORM);
}

static bool stands_as_in_the_key(const rush_form *forms, uint32_t count, const double *mass,
                                 double sum)
{
    static const double rounding = 1e-9;
    for (uint32_t f = 0; f < count; f++)
        if (fabs(mass[f] - forms[f].share * sum) > rounding * mass[f])
            return false;
    return true;
}

static void take_none(rush_adviser *adviser)
{
    if (!adviser->listed)
        memset(adviser->mass, 0, adviser->key->form_count * sizeof *adviser->mass);
    for (uint32_t i = 0; adviser->listed && i < adviser->form_count; i++)
        adviser->mass[adviser->forms[i]] = 0;
    adviser->listed = true;
    adviser->mixed_count = adviser->form_count = 0;
    adviser->whole = 0;
}

static void list_form(rush_adviser *adviser, uint32_t form, double mass)
{
    adviser->forms[adviser->form_count++] = form;
    adviser->mass[form] = mass;
    adviser->whole += mass;
}

/* Those of a taxon's forms that count. */
static void list_taxon(rush_adviser *adviser, uint32_t at, const double *mass, double least)
{
    const rush_taxon *taxon = &adviser->key->taxa[at];
    uint32_t before = adviser->form_count;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        if (mass[f] >= least)
            list_form(adviser, f, mass[f]);
    if (adviser->form_count - before > 1)
        adviser->mixed[adviser->mixed_count++] = at;
}

/* All of them, with 0 for what does not count. */
static void take_leaves(rush_adviser *adviser, const double *mass, double least)
{
    const rush_key *key = adviser->key;
    adviser->listed = false;
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        uint32_t first = taxon->first_form, end = first + taxon->form_count;
        uint32_t counted = 0;
        double sum = 0;
        for (uint32_t f = first; f < end; f++) {
            adviser->mass[f] = mass[f] >= least ? mass[f] : 0;
            counted += mass[f] >= least;
            sum += adviser->mass[f];
        }
        bool steady = stands_as_in_the_key(&key->forms[first], taxon->form_count,
                                           adviser->mass + first, sum);
        for (uint32_t f = first; f < end; f++)
            adviser->steady_mass[f] = steady ? adviser->mass[f] : counted < 2 ? 0 : -1;
        adviser->leaf_mass[i] = sum;
        adviser->whole += sum;
    }
}

void rush_count_all(rush_adviser *adviser, const double *mass)
{
    const rush_key *key = adviser->key;
    uint32_t count;
    double least = find_least(mass, key->form_count, &count);
    take_none(adviser);
    if (count >= key->leaf_count / FEW)
        take_leaves(adviser, mass, least);
    for (uint32_t i = 0; adviser->listed && i < key->leaf_count; i++)
        list_taxon(adviser, key->leaves[i], mass, least);
}

void rush_count_two(rush_adviser *adviser, uint32_t form, uint32_t other)
{
    take_none(adviser);
    list_form(adviser, form, 0.5);
    list_form(adviser, other, 0.5);
}

/* ---- one character ------------------------------------------------------------------------------ */

/* What stands side by side often shares a profile, and adding to a sum waits for what was just added to it: so two
 * sums take turns. */
static void sum_leaves(const rush_adviser *adviser, const uint16_t *of_leaf)
{
    const double *mass = adviser->leaf_mass;
    double *even = adviser->by_profile[0], *odd = adviser->by_profile[1];
    uint32_t i = 0, count = adviser->key->leaf_count;
    for (; i + 2 <= count; i += 2) {
        even[of_leaf[i]] += mass[i];
        odd[of_leaf[i + 1]] += mass[i + 1];
    }
    if (i < count)
        even[of_leaf[i]] += mass[i];
}

/* In a taxon the first form has stood for all: each takes its own mass back. */
static void part_taxa(const rush_adviser *adviser, const rush_reports *reports)
{
    double *even = adviser->by_profile[0], *odd = adviser->by_profile[1];
    for (uint32_t i = 0; i < reports->differing_count; i++) {
        const rush_differing *form = &reports->differing[i];
        double mass = adviser->mass[form->form];
        even[form->profile] += mass;
        odd[form->of_first] -= mass;
    }
}

/* What a report tells about the form, given that it is of the taxon without children that these forms are of; all its
 * other forms are like the first. */
static double told_of_leaf(rush_adviser *adviser, uint32_t character,
                           const rush_differing *differing, uint32_t count, uint32_t leaf)
{
    double rest = adviser->leaf_mass[leaf];
    for (uint32_t i = 0; i < count; i++) {
        adviser->profiles[i] = differing[i].profile;
        adviser->masses[i] = adviser->mass[differing[i].form];
        rest -= adviser->masses[i];
    }
    adviser->profiles[count] = differing->of_first;
    adviser->masses[count] = fmax(rest, 0);
    return rush_reports_told(&adviser->reports, character, adviser->profiles, adviser->masses,
                             count + 1);
}

/* ... given the taxon, of all: bits x mass. */
static double told_of_leaves(rush_adviser *adviser, uint32_t character,
                             const rush_reports *reports)
{
    const rush_differing *differing = reports->differing;
    double told = 0;
    for (uint32_t i = 0; i < reports->differing_count; i++) {
        double steady = adviser->steady_mass[differing[i].form];
        if (steady >= 0) {
            told += steady * differing[i].bits;
            continue;
        }
        uint32_t from = i, leaf = adviser->leaf_of[differing[i].form];
        while (i + 1 < reports->differing_count &&
               adviser->leaf_of[differing[i + 1].form] == leaf)
            i++;
        told += told_of_leaf(adviser, character, differing + from, i + 1 - from, leaf);
    }
    return told;
}

static void sum_listed(const rush_adviser *adviser, const rush_column *column)
{
    for (uint32_t i = 0; i < adviser->form_count; i++) {
        uint32_t form = adviser->forms[i];
        adviser->by_profile[i % 2][rush_column_profile(column, form)] += adviser->mass[form];
    }
}

/* The same of listed taxa, of which several forms count. */
static double told_of_mixed(rush_adviser *adviser, uint32_t character)
{
    const rush_column *column = &adviser->key->model.columns[character];
    double told = 0;
    for (uint32_t m = 0; m < adviser->mixed_count; m++) {
        const rush_taxon *taxon = &adviser->key->taxa[adviser->mixed[m]];
        uint32_t count = 0;
        bool differ = false;
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
            if (!(adviser->mass[f] > 0))
                continue;
            adviser->profiles[count] = rush_column_profile(column, f);
            adviser->masses[count] = adviser->mass[f];
            differ |= adviser->profiles[count] != adviser->profiles[0];
            count++;
        }
        if (differ)
            told += rush_reports_told(&adviser->reports, character, adviser->profiles,
                                      adviser->masses, count);
    }
    return told;
}

/* What is summed over the forms, or the taxa, of one character; all but the reports. */
typedef struct sums {
    double of_profiles; /* mass x entropy */
    double told;        /* what a report tells about the form, given the taxon: mass x bits */
    double cannot;      /* the mass of those that cannot show it */
} sums;

static sums sum_many(rush_adviser *adviser, uint32_t character, const rush_reports *reports)
{
    const rush_column *column = &adviser->key->model.columns[character];
    double *even = adviser->by_profile[0], *odd = adviser->by_profile[1];
    size_t size = column->profile_count * sizeof *even;
    sums found = {0};
    if (adviser->listed) {
        sum_listed(adviser, column);
        found.told = told_of_mixed(adviser, character);
    } else {
        sum_leaves(adviser, reports->of_leaf);
        part_taxa(adviser, reports);
        found.told = told_of_leaves(adviser, character, reports);
    }
    for (uint32_t p = 0; p < column->profile_count; p++)
        even[p] += odd[p];
    found.of_profiles = rush_reports_sum(&adviser->reports, character, even, adviser->all);
    if (reports->inapplicable != RUSH_NONE)
        found.cannot = even[reports->inapplicable];
    memset(even, 0, size);
    memset(odd, 0, size);
    return found;
}

/* The same when there are far fewer forms than profiles. */
static sums sum_few(rush_adviser *adviser, uint32_t character, const rush_reports *reports)
{
    const rush_column *column = &adviser->key->model.columns[character];
    double *mass = adviser->by_profile[0];
    uint32_t count = 0;
    sums found = {.told = told_of_mixed(adviser, character)};
    for (uint32_t i = 0; i < adviser->form_count; i++) {
        uint32_t form = adviser->forms[i], profile = rush_column_profile(column, form);
        if (mass[profile] == 0)
            adviser->profiles[count++] = profile;
        mass[profile] += adviser->mass[form];
    }
    memset(adviser->all, 0, reports->stride * sizeof *adviser->all);
    for (uint32_t i = 0; i < count; i++) {
        uint32_t profile = adviser->profiles[i];
        found.of_profiles +=
            rush_reports_add(&adviser->reports, character, profile, mass[profile], adviser->all);
        if (profile == reports->inapplicable)
            found.cannot = mass[profile];
        mass[profile] = 0;
    }
    return found;
}

double rush_information_of_counted(rush_adviser *adviser, uint32_t character, double *cannot)
{
    const rush_column *column = &adviser->key->model.columns[character];
    const rush_reports *reports = adviser->listed
                                      ? rush_reports_of(&adviser->reports, character)
                                      : rush_reports_of_leaves(&adviser->reports, character);
    bool few = adviser->listed && adviser->form_count < column->profile_count / FEW_PROFILES;
    sums found =
        few ? sum_few(adviser, character, reports) : sum_many(adviser, character, reports);
    double whole = 0;
    if (cannot)
        *cannot = found.cannot;
    for (uint32_t r = 0; r < reports->count; r++)
        whole += adviser->all[r];
    if (!(whole > 0))
        return 0;
    double of_forms = rush_entropy(adviser->all, reports->count) - found.of_profiles;
    double bits = (of_forms - found.told) / whole;
    return bits > ROUNDING ? bits : 0;
}

double rush_information(rush_adviser *adviser, uint32_t character, const double *mass)
{
    rush_count_all(adviser, mass);
    return rush_information_of_counted(adviser, character, NULL);
}

double rush_information_between(rush_adviser *adviser, uint32_t character, uint32_t taxon,
                                uint32_t other, const double *mass)
{
    take_none(adviser);
    list_taxon(adviser, taxon, mass, LEAST_FORM);
    list_taxon(adviser, other, mass, LEAST_FORM);
    return rush_information_of_counted(adviser, character, NULL);
}
