#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "advise/look.h"
#include "rank/likelihood.h"

/* Forms of less than this part of the mass do not count. */
#define LEAST_FORM 1e-12

/* Reports of this many numbers are kept for a character; of a larger one they are made each time. */
enum { KEPT_MAX = 1 << 16 };

/* How one profile's insects are reported, for a mass of 1. */
typedef struct report_law {
    bool known;
    double total;    /* the sum of the reports: 1 but for a setting */
    double surprise; /* surprise(reports) + total log2 total: H(R) when the total is 1 */
} report_law;

/* One character's laws, by profile, and the reports themselves where they are kept. */
typedef struct report_table {
    report_law *laws;
    double *reports; /* NULL: not kept */
} report_table;

struct rush_adviser {
    rush_arena arena;
    const rush_key *key;
    rush_look *looks;
    uint32_t look_count;
    report_table *tables; /* by character */
    double *all;          /* P(R), not normalised */
    double *of_taxon;     /* P(R | t), not normalised */
    double *made;         /* reports that are not kept */
    double *by_profile;   /* the mass of each profile in one taxon, */
    double *mass_of;      /* and in all of them */
    uint32_t *touched, *touched_of_all;
    uint32_t *forms; /* those that count, in their order */
    uint32_t form_count;
};

static uint32_t report_count(const rush_character *character)
{
    return character->kind == RUSH_KIND_NUMBER ? RUSH_BINS : character->state_count;
}

static bool is_kept(uint32_t profiles, uint32_t reports)
{
    return (size_t)profiles * reports <= KEPT_MAX;
}

/* Gives each character its part of what was reserved for all together: of a large key little of it is used. */
static void share_tables(rush_adviser *adviser, report_law *laws, double *kept)
{
    const rush_key *key = adviser->key;
    adviser->tables = RUSH_ARRAY(&adviser->arena, report_table, key->character_count);
    for (uint32_t c = 0; c < key->character_count; c++) {
        uint32_t profiles = key->model.columns[c].profile_count;
        uint32_t reports = report_count(&key->characters[c]);
        adviser->tables[c].laws = laws;
        laws += profiles;
        if (!is_kept(profiles, reports))
            continue;
        adviser->tables[c].reports = kept;
        kept += (size_t)profiles * reports;
    }
}

static void reserve(void *with)
{
    rush_adviser *adviser = with;
    const rush_key *key = adviser->key;
    rush_arena *arena = &adviser->arena;
    uint32_t most_profiles = 1, most_reports = RUSH_BINS;
    size_t laws = 0, kept = 0;
    for (uint32_t c = 0; c < key->character_count; c++) {
        uint32_t profiles = key->model.columns[c].profile_count;
        uint32_t reports = report_count(&key->characters[c]);
        most_profiles = profiles > most_profiles ? profiles : most_profiles;
        most_reports = reports > most_reports ? reports : most_reports;
        laws += profiles;
        kept += is_kept(profiles, reports) ? (size_t)profiles * reports : 0;
    }
    share_tables(adviser, RUSH_ARRAY(arena, report_law, laws + 1),
                 RUSH_ARRAY(arena, double, kept + 1));
    adviser->looks = RUSH_ARRAY(arena, rush_look, key->character_count);
    adviser->forms = RUSH_ARRAY(arena, uint32_t, key->form_count);
    adviser->all = RUSH_ARRAY(arena, double, most_reports);
    adviser->of_taxon = RUSH_ARRAY(arena, double, most_reports);
    adviser->made = RUSH_ARRAY(arena, double, most_reports);
    adviser->by_profile = RUSH_ARRAY(arena, double, most_profiles);
    adviser->mass_of = RUSH_ARRAY(arena, double, most_profiles);
    adviser->touched = RUSH_ARRAY(arena, uint32_t, most_profiles);
    adviser->touched_of_all = RUSH_ARRAY(arena, uint32_t, most_profiles);
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

static void add_reports(const rush_key *key, uint32_t character, uint32_t profile, double mass,
                        double *reports)
{
    if (key->characters[character].kind == RUSH_KIND_NUMBER)
        rush_reports_of_number(key, character, profile, mass, reports);
    else
        rush_reports_of_states(key, character, profile, mass, reports);
}

/* The reports of a profile; made at most once where they are kept. Their law is known afterwards. */
static const double *reports_of(rush_adviser *adviser, uint32_t character, uint32_t profile)
{
    report_table *table = &adviser->tables[character];
    report_law *law = &table->laws[profile];
    uint32_t count = report_count(&adviser->key->characters[character]);
    double *reports = table->reports ? table->reports + (size_t)profile * count : adviser->made;
    if (law->known && table->reports)
        return reports;
    memset(reports, 0, count * sizeof *reports);
    add_reports(adviser->key, character, profile, 1, reports);
    if (!law->known) {
        for (uint32_t r = 0; r < count; r++)
            law->total += reports[r];
        law->surprise = surprise(reports, count) + law->total * log2(law->total);
        law->known = true;
    }
    return reports;
}

static const report_law *law_of(rush_adviser *adviser, uint32_t character, uint32_t profile)
{
    const report_law *law = &adviser->tables[character].laws[profile];
    if (!law->known)
        reports_of(adviser, character, profile);
    return law;
}

/* The sums that I(T;R) is made of. With M the whole mass and m of each taxon:
 * M I = surprise(all) + M log2 M - sum of (surprise(taxon) + m log2 m).
 * A taxon whose forms share a profile adds its mass times the profile's own figure, which is known; only
 * one whose forms differ needs a sum of its own. */
typedef struct information_sums {
    uint32_t character, reports;
    uint32_t touched; /* profiles with a mass in `mass_of` */
    double whole, within;
} information_sums;

static void add_mass(rush_adviser *adviser, uint32_t profile, double mass, information_sums *sums)
{
    if (adviser->mass_of[profile] == 0)
        adviser->touched_of_all[sums->touched++] = profile;
    adviser->mass_of[profile] += mass;
}

/* Of a taxon whose forms differ: the profiles are in `touched`, their masses in `by_profile`. */
static void add_mixed_taxon(rush_adviser *adviser, uint32_t touched, information_sums *sums)
{
    double sum = 0;
    memset(adviser->of_taxon, 0, sums->reports * sizeof(double));
    for (uint32_t i = 0; i < touched; i++) {
        double mass = adviser->by_profile[adviser->touched[i]];
        const double *reports = reports_of(adviser, sums->character, adviser->touched[i]);
        for (uint32_t r = 0; r < sums->reports; r++)
            adviser->of_taxon[r] += mass * reports[r];
    }
    for (uint32_t r = 0; r < sums->reports; r++)
        sum += adviser->of_taxon[r];
    sums->whole += sum;
    sums->within += surprise(adviser->of_taxon, sums->reports) + sum * log2(sum);
}

/* From now on the forms of a taxon count that have a mass. */
static void take_forms(rush_adviser *adviser, uint32_t taxon, const double *mass)
{
    const rush_taxon *within = &adviser->key->taxa[taxon];
    for (uint32_t f = within->first_form; f < within->first_form + within->form_count; f++)
        if (mass[f] >= LEAST_FORM)
            adviser->forms[adviser->form_count++] = f;
}

static void take_all_forms(rush_adviser *adviser, const double *mass)
{
    adviser->form_count = 0;
    for (uint32_t f = 0; f < adviser->key->form_count; f++)
        if (mass[f] >= LEAST_FORM)
            adviser->forms[adviser->form_count++] = f;
}

/* Of a taxon whose forms share a profile. */
static void add_plain_taxon(rush_adviser *adviser, uint32_t profile, double mass,
                            information_sums *sums)
{
    const report_law *law = law_of(adviser, sums->character, profile);
    sums->whole += mass * law->total;
    sums->within += mass * law->surprise;
    add_mass(adviser, profile, mass, sums);
}

/* Of forms from one place in the list to another, all of one taxon. */
static void add_mixed_forms(rush_adviser *adviser, uint32_t from, uint32_t to, const double *mass,
                            information_sums *sums)
{
    const rush_column *column = &adviser->key->model.columns[sums->character];
    uint32_t touched = 0;
    for (uint32_t i = from; i < to; i++) {
        uint32_t form = adviser->forms[i], profile = rush_column_profile(column, form);
        if (adviser->by_profile[profile] == 0)
            adviser->touched[touched++] = profile;
        adviser->by_profile[profile] += mass[form];
    }
    add_mixed_taxon(adviser, touched, sums);
    for (uint32_t i = 0; i < touched; i++) {
        add_mass(adviser, adviser->touched[i], adviser->by_profile[adviser->touched[i]], sums);
        adviser->by_profile[adviser->touched[i]] = 0;
    }
}

static void add_forms(rush_adviser *adviser, const double *mass, information_sums *sums)
{
    const rush_form *forms = adviser->key->forms;
    const rush_column *column = &adviser->key->model.columns[sums->character];
    for (uint32_t from = 0, to; from < adviser->form_count; from = to) {
        uint32_t first = adviser->forms[from], taxon = forms[first].taxon;
        uint32_t profile = rush_column_profile(column, first);
        double all = mass[first];
        bool plain = true;
        for (to = from + 1; to < adviser->form_count && forms[adviser->forms[to]].taxon == taxon;
             to++) {
            plain &= rush_column_profile(column, adviser->forms[to]) == profile;
            all += mass[adviser->forms[to]];
        }
        if (plain)
            add_plain_taxon(adviser, profile, all, sums);
        else
            add_mixed_forms(adviser, from, to, mass, sums);
    }
}

static double end_sums(rush_adviser *adviser, const information_sums *sums)
{
    memset(adviser->all, 0, sums->reports * sizeof(double));
    for (uint32_t i = 0; i < sums->touched; i++) {
        uint32_t profile = adviser->touched_of_all[i];
        const double *reports = reports_of(adviser, sums->character, profile);
        for (uint32_t r = 0; r < sums->reports; r++)
            adviser->all[r] += adviser->mass_of[profile] * reports[r];
        adviser->mass_of[profile] = 0;
    }
    if (sums->whole == 0)
        return 0;
    double all = surprise(adviser->all, sums->reports) + sums->whole * log2(sums->whole);
    return fmax((all - sums->within) / sums->whole, 0);
}

static information_sums begin_sums(const rush_adviser *adviser, uint32_t character)
{
    return (information_sums){.character = character,
                              .reports = report_count(&adviser->key->characters[character])};
}

static double information(rush_adviser *adviser, uint32_t character, const double *mass)
{
    information_sums sums = begin_sums(adviser, character);
    add_forms(adviser, mass, &sums);
    return end_sums(adviser, &sums);
}

double rush_information(rush_adviser *adviser, uint32_t character, const double *mass)
{
    take_all_forms(adviser, mass);
    return information(adviser, character, mass);
}

double rush_information_between(rush_adviser *adviser, uint32_t character, uint32_t taxon,
                                uint32_t other, const double *mass)
{
    adviser->form_count = 0;
    take_forms(adviser, taxon, mass);
    take_forms(adviser, other, mass);
    return information(adviser, character, mass);
}

/* ---- what to offer ------------------------------------------------------------------------------ */

/* The mass of the forms that cannot show it is more than half. */
static bool mostly_inapplicable(const rush_adviser *adviser, uint32_t character,
                                const double *mass)
{
    const rush_column *column = &adviser->key->model.columns[character];
    uint32_t inapplicable = 0;
    while (inapplicable < column->scored_count &&
           column->profiles[inapplicable].kind != RUSH_PROFILE_INAPPLICABLE)
        inapplicable++;
    if (inapplicable == column->scored_count)
        return false;
    double cannot = 0, whole = 0;
    for (uint32_t i = 0; i < adviser->form_count; i++) {
        uint32_t form = adviser->forms[i];
        whole += mass[form];
        if (rush_column_profile(column, form) == inapplicable)
            cannot += mass[form];
    }
    return cannot > whole / 2;
}

static bool offered(const rush_adviser *adviser, const rush_ranking *ranking, uint32_t at,
                    const rush_look_options *options)
{
    const rush_key *key = ranking->key;
    const rush_character *character = &key->characters[at];
    if (character->kind == RUSH_KIND_TAXON || !key->model.columns[at].profile_count)
        return false;
    if (options->any_character)
        return true;
    return character->look_next && character->reach <= options->reach &&
           !rush_sighting_find(ranking->sighting, at) &&
           !mostly_inapplicable(adviser, at, ranking->forms);
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
    take_all_forms(adviser, ranking->forms);
    for (uint32_t c = 0; c < adviser->key->character_count; c++) {
        if (!offered(adviser, ranking, c, options))
            continue;
        double gain = information(adviser, c, ranking->forms);
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
    return rush_column_kind(column, rush_column_profile(column, a)) !=
               RUSH_PROFILE_INAPPLICABLE &&
           rush_column_kind(column, rush_column_profile(column, b)) != RUSH_PROFILE_INAPPLICABLE;
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
