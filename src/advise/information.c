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
/* Where fewer of the key's forms count than one in so many, its taxa are not looked up one by one. */
enum { FEW = 16 };
/* Where fewer of its taxa are steady than one in so many, they are not gone through one by one. */
enum { FEW_LEAVES = 2 };
/* Where fewer forms count than one for so many profiles, the profiles are not gone through one by one. */
enum { FEW_PROFILES = 4 };

void rush_information_reserve(rush_adviser *adviser)
{
    const rush_key *key = adviser->key;
    rush_arena *arena = &adviser->arena;
    uint32_t profiles = 1, reports = 1;
    rush_reports_reserve(&adviser->reports, key, arena);
    for (uint32_t c = 0; c < key->character_count; c++) {
        uint32_t count = key->model.columns[c].profile_count,
                 stride = adviser->reports.of[c].stride;
        profiles = count > profiles ? count : profiles;
        reports = stride > reports ? stride : reports;
    }
    adviser->forms = RUSH_ARRAY(arena, uint32_t, key->form_count + 2);
    adviser->mass = RUSH_ARRAY(arena, double, key->form_count + 2);
    adviser->mixed = RUSH_ARRAY(arena, rush_stretch, key->leaf_count);
    adviser->leaf_mass = RUSH_ARRAY(arena, double, key->leaf_count);
    adviser->steady_mass = RUSH_ARRAY(arena, double, key->form_count);
    adviser->listed = RUSH_ARRAY(arena, uint32_t, profiles);
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

/* As many forms as the taxon has, with these masses. */
static bool stands_as_in_the_key(const rush_form *forms, uint32_t count, const double *mass,
                                 double sum)
{
    static const double rounding = 1e-9;
    for (uint32_t f = 0; f < count; f++)
        if (fabs(mass[f] - forms[f].share * sum) > rounding * mass[f])
            return false;
    return true;
}

/* Adds those of a taxon's forms that count to the list. Returns their mass. */
static double take_taxon(rush_adviser *adviser, const rush_taxon *taxon, const double *mass,
                         double least)
{
    uint32_t from = adviser->form_count, to = from;
    double sum = 0;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
        if (mass[f] < least)
            continue;
        adviser->forms[to] = f;
        adviser->mass[to++] = mass[f];
        sum += mass[f];
    }
    adviser->form_count = to;
    adviser->whole += sum;
    if (to - from > 1)
        adviser->mixed[adviser->mixed_count++] = (rush_stretch){from, to};
    return sum;
}

/* Takes the forms just listed, all of a taxon's, back from the list: they count as a taxon. */
static void count_as_taxon(rush_adviser *adviser, uint32_t leaf, const rush_taxon *taxon,
                           double sum)
{
    adviser->form_count -= taxon->form_count;
    adviser->mixed_count -= taxon->form_count > 1;
    adviser->leaf_mass[leaf] = sum;
    memcpy(adviser->steady_mass + taxon->first_form, adviser->mass + adviser->form_count,
           taxon->form_count * sizeof *adviser->mass);
    adviser->steady_count++;
}

static void take_none(rush_adviser *adviser)
{
    const rush_key *key = adviser->key;
    if (adviser->steady_count) {
        memset(adviser->leaf_mass, 0, key->leaf_count * sizeof *adviser->leaf_mass);
        memset(adviser->steady_mass, 0, key->form_count * sizeof *adviser->steady_mass);
    }
    adviser->by_leaf = false;
    adviser->steady_count = adviser->mixed_count = adviser->form_count = 0;
    adviser->whole = 0;
}

void rush_count_all(rush_adviser *adviser, const double *mass)
{
    const rush_key *key = adviser->key;
    uint32_t count;
    double least = find_least(mass, key->form_count, &count);
    bool few = count < key->form_count / FEW;
    take_none(adviser);
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        uint32_t before = adviser->form_count;
        double sum = take_taxon(adviser, taxon, mass, least);
        if (!few && adviser->form_count - before == taxon->form_count &&
            stands_as_in_the_key(&key->forms[taxon->first_form], taxon->form_count,
                                 adviser->mass + before, sum))
            count_as_taxon(adviser, i, taxon, sum);
    }
    adviser->by_leaf = adviser->steady_count >= key->leaf_count / FEW_LEAVES;
    for (uint32_t i = 0; !adviser->by_leaf && i < key->leaf_count; i++)
        if (adviser->leaf_mass[i] > 0) {
            adviser->forms[adviser->form_count] = key->taxa[key->leaves[i]].first_form;
            adviser->mass[adviser->form_count++] = adviser->leaf_mass[i];
        }
}

void rush_count_two(rush_adviser *adviser, uint32_t form, uint32_t other)
{
    take_none(adviser);
    for (uint32_t i = 0; i < 2; i++) {
        adviser->forms[i] = i ? other : form;
        adviser->mass[i] = 0.5;
    }
    adviser->form_count = 2;
    adviser->whole = 1;
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

/* In a taxon the first form has stood for all: each takes its own mass back. Returns what a report tells about the
 * form, given the taxon, of the steady taxa: bits x mass. */
static double part_taxa(const rush_adviser *adviser, const rush_reports *reports)
{
    double *even = adviser->by_profile[0], *odd = adviser->by_profile[1], told = 0;
    for (uint32_t i = 0; i < reports->differing_count; i++) {
        const rush_differing *form = &reports->differing[i];
        double mass = adviser->steady_mass[form->form];
        even[form->profile] += mass;
        odd[form->of_first] -= mass;
        told += mass * (double)form->bits;
    }
    return told;
}

static void sum_narrow(const rush_adviser *adviser, const uint8_t *profile_of)
{
    const uint32_t *forms = adviser->forms;
    const double *mass = adviser->mass;
    double *even = adviser->by_profile[0], *odd = adviser->by_profile[1];
    uint32_t i = 0, count = adviser->form_count;
    for (; i + 2 <= count; i += 2) {
        even[profile_of[forms[i]]] += mass[i];
        odd[profile_of[forms[i + 1]]] += mass[i + 1];
    }
    if (i < count)
        even[profile_of[forms[i]]] += mass[i];
}

static void sum_wide(const rush_adviser *adviser, const uint16_t *profile_of)
{
    const uint32_t *forms = adviser->forms;
    const double *mass = adviser->mass;
    double *even = adviser->by_profile[0], *odd = adviser->by_profile[1];
    uint32_t i = 0, count = adviser->form_count;
    for (; i + 2 <= count; i += 2) {
        even[profile_of[forms[i]]] += mass[i];
        odd[profile_of[forms[i + 1]]] += mass[i + 1];
    }
    if (i < count)
        even[profile_of[forms[i]]] += mass[i];
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
    if (column->narrow)
        sum_narrow(adviser, column->narrow);
    else
        sum_wide(adviser, column->wide);
    if (adviser->by_leaf)
        sum_leaves(adviser, reports->of_leaf);
    if (adviser->steady_count)
        found.told = part_taxa(adviser, reports);
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
    sums found = {0};
    for (uint32_t i = 0; i < adviser->form_count; i++) {
        uint32_t profile = rush_column_profile(column, adviser->forms[i]);
        if (mass[profile] == 0)
            adviser->listed[count++] = profile;
        mass[profile] += adviser->mass[i];
    }
    memset(adviser->all, 0, reports->stride * sizeof *adviser->all);
    for (uint32_t i = 0; i < count; i++) {
        uint32_t profile = adviser->listed[i];
        found.of_profiles +=
            rush_reports_add(&adviser->reports, character, profile, mass[profile], adviser->all);
        if (profile == reports->inapplicable)
            found.cannot = mass[profile];
        mass[profile] = 0;
    }
    return found;
}

/* What a report tells about the form, given the taxon, of taxa that are not steady: bits x mass. */
static double told_of_mixed(const rush_adviser *adviser, uint32_t character)
{
    const rush_column *column = &adviser->key->model.columns[character];
    double told = 0;
    for (uint32_t m = 0; m < adviser->mixed_count; m++) {
        rush_stretch stretch = adviser->mixed[m];
        uint32_t profile = rush_column_profile(column, adviser->forms[stretch.from]);
        bool differ = false;
        for (uint32_t i = stretch.from + 1; i < stretch.to; i++)
            differ |= rush_column_profile(column, adviser->forms[i]) != profile;
        if (differ)
            told += rush_reports_told(&adviser->reports, character, adviser->forms + stretch.from,
                                      adviser->mass + stretch.from, stretch.to - stretch.from);
    }
    return told;
}

double rush_information_of_counted(rush_adviser *adviser, uint32_t character, double *cannot)
{
    const rush_column *column = &adviser->key->model.columns[character];
    const rush_reports *reports = adviser->steady_count
                                      ? rush_reports_of_leaves(&adviser->reports, character)
                                      : rush_reports_of(&adviser->reports, character);
    bool few =
        !adviser->steady_count && adviser->form_count < column->profile_count / FEW_PROFILES;
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
    double told = found.told + told_of_mixed(adviser, character);
    double bits = (of_forms - told) / whole;
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
    const rush_taxon *taxa = adviser->key->taxa;
    take_none(adviser);
    take_taxon(adviser, &taxa[taxon], mass, LEAST_FORM);
    take_taxon(adviser, &taxa[other], mass, LEAST_FORM);
    return rush_information_of_counted(adviser, character, NULL);
}
