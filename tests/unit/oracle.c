#include "oracle.h"

#include <math.h>
#include <string.h>

/* ---- what the key says
 * ----------------------------------------------------------------------------- */

bool oracle_stands_within(const made_key *key, int taxon, int above)
{
    while (taxon >= 0 && taxon != above)
        taxon = key->taxon[taxon].parent;
    return taxon >= 0;
}

/* The trait of a form: its own, else that of its taxon, else of the nearest enclosing one. */
static made_trait inherited(const made_key *key, int form, int character)
{
    made_trait trait = key->form[form].traits[character];
    for (int t = key->form[form].taxon; trait.kind == TRAIT_SILENT && t >= 0;
         t = key->taxon[t].parent)
        trait = key->taxon[t].traits[character];
    if (trait.kind == TRAIT_SILENT)
        trait.kind = TRAIT_UNKNOWN;
    return trait;
}

/* The same, for the sex and the name of the form too. */
static made_trait shown(const made_key *key, int form, int character)
{
    made_trait trait = {.kind = TRAIT_STATES};
    const made_form *of = &key->form[form];
    if (character == MADE_SEX) {
        trait.weights[0] = of->sex == MADE_MALE ? 1 : of->sex == MADE_FEMALE ? 0 : 0.5;
        trait.weights[1] = 1 - trait.weights[0];
    } else if (character == MADE_FORM) {
        trait.weights[of->name < 0 ? key->character[MADE_FORM].states - 1 : of->name] = 1;
    } else {
        trait = inherited(key, form, character);
    }
    return trait;
}

static double number_of_word(const made_key *key, const char *word)
{
    static const double usual[] = {30, 8, 2, 0.5}, odd[] = {20, 5, 1.5, 0.25};
    const double *numbers = key->odd_occurrence ? odd : usual;
    return numbers[*word == 'c' ? 0 : *word == 'l' ? 1 : *word == 's' ? 2 : 3];
}

static double occurrence(const made_key *key, int taxon)
{
    for (; taxon >= 0; taxon = key->taxon[taxon].parent) {
        if (key->taxon[taxon].occurrence_word)
            return number_of_word(key, key->taxon[taxon].occurrence_word);
        if (key->taxon[taxon].occurrence > 0)
            return key->taxon[taxon].occurrence;
    }
    return number_of_word(key, "local");
}

static double occurrence_by_share(const made_key *key, int form)
{
    return occurrence(key, key->form[form].taxon) * key->form[form].share;
}

static double error_rate(const made_key *key, int character)
{
    return fmin(0.45, key->caution * key->character[character].misread);
}

/* ---- states
 * ---------------------------------------------------------------------------------------- */

/* M(s, r): the chance that a true state s is reported as r. */
static double reported_as(const made_key *key, int character, int s, int r)
{
    const made_character *of = &key->character[character];
    double e = error_rate(key, character);
    int confused = 0;
    for (int other = 0; other < of->states; other++)
        confused += other != s && of->confused[s][other];
    int others = of->states - 1 - confused;
    if (r == s)
        return 1 - e;
    if (!confused)
        return e / others;
    if (!others)
        return e / confused;
    return of->confused[s][r] ? 0.8 * e / confused : 0.2 * e / others;
}

/* P(report r | trait). */
static double report_of_trait(const made_key *key, int character, const made_trait *trait, int r)
{
    int states = key->character[character].states;
    double sum = 0;
    if (trait->kind == TRAIT_INAPPLICABLE)
        return 1.0 / states;
    for (int s = 0; s < states; s++)
        sum += trait->weights[s] * reported_as(key, character, s, r);
    return sum;
}

/* The same with the chance that the true value lies inside the answer. */
typedef struct parts {
    double value, misread, inside;
} parts;

static double even_states(const made_key *key, const made_answer *answer)
{
    int states = key->character[answer->character].states, count = 0;
    for (int s = 0; s < states; s++)
        count += answer->in[s];
    return (double)count / states;
}

static parts parts_of_states(const made_key *key, const made_answer *answer,
                             const made_trait *trait)
{
    int states = key->character[answer->character].states;
    double even = even_states(key, answer), e = error_rate(key, answer->character);
    parts of = {0, 0, 0};
    if (trait->kind == TRAIT_INAPPLICABLE)
        return answer->denied ? (parts){even, 0, 1} : (parts){e * even, e * even, 0};
    for (int s = 0; s < states; s++)
        for (int r = 0; r < states; r++) {
            if (!answer->in[r])
                continue;
            double term = trait->weights[s] * reported_as(key, answer->character, s, r);
            of.value += term;
            of.misread += answer->in[s] ? 0 : term;
        }
    for (int s = 0; s < states; s++)
        of.inside += answer->in[s] ? trait->weights[s] : 0;
    return of;
}

/* ---- numbers
 * --------------------------------------------------------------------------------------- */

/* The span that all traits of the key have together. */
static void find_span(const made_key *key, int character, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (int t = 0; t < key->taxa; t++) {
        const made_trait *trait = &key->taxon[t].traits[character];
        if (trait->kind == TRAIT_NUMBER) {
            *low = fmin(*low, trait->low);
            *high = fmax(*high, trait->high);
        }
    }
    for (int f = 0; f < key->forms; f++) {
        const made_trait *trait = &key->form[f].traits[character];
        if (trait->kind == TRAIT_NUMBER) {
            *low = fmin(*low, trait->low);
            *high = fmax(*high, trait->high);
        }
    }
    if (*low > *high)
        *low = *high = 0;
}

static double even_width(const made_key *key, int character, double a, double b)
{
    double low, high;
    find_span(key, character, &low, &high);
    if (high <= low)
        return 1;
    return fmax((fmin(b, high) - fmax(a, low)) / (high - low), 1e-6);
}

/* P(a < a normal number < b), each difference taken where the numbers are small. */
static double normal_between(double a, double b, double mean, double sd)
{
    if (sd == 0)
        return a <= mean && mean <= b;
    double za = (a - mean) / sd / sqrt(2), zb = (b - mean) / sd / sqrt(2);
    if (za > 0)
        return (erfc(za) - erfc(zb)) / 2;
    if (zb < 0)
        return (erfc(-zb) - erfc(-za)) / 2;
    return 1 - erfc(-za) / 2 - erfc(zb) / 2;
}

static double spread(const made_key *key, int character, const made_answer *answer,
                     const made_trait *trait)
{
    const made_character *of = &key->character[character];
    double error = of->reading_error * (of->reading_error_relative ? trait->mean : 1);
    if (answer && answer->measured)
        error = 0.01 * trait->mean;
    if (answer && answer->about)
        error *= 2;
    return sqrt(trait->sd * trait->sd + error * error);
}

static parts parts_of_number(const made_key *key, const made_answer *answer,
                             const made_trait *trait, double a, double b)
{
    double even = even_width(key, answer->character, a, b);
    double e = error_rate(key, answer->character);
    if (trait->kind == TRAIT_INAPPLICABLE)
        return (parts){e * even, e * even, 0};
    double inside =
        normal_between(a, b, trait->mean, spread(key, answer->character, answer, trait));
    return (parts){(1 - e) * inside + e * even, e * even, inside};
}

/* ---- unscored
 * -------------------------------------------------------------------------------------- */

static double even_answer(const made_key *key, const made_answer *answer)
{
    if (key->character[answer->character].kind == MADE_OF_NUMBERS)
        return even_width(key, answer->character, answer->low, answer->high);
    return even_states(key, answer);
}

/* The scored forms that stand in for an unscored one, as weights that sum to 1. */
static bool weigh_scored(const made_key *key, int character, int above, double *weights)
{
    double sum = 0;
    for (int g = 0; g < key->forms; g++) {
        bool counts = above < 0 || oracle_stands_within(key, key->form[g].taxon, above);
        made_trait trait = shown(key, g, character);
        weights[g] = counts && trait.kind != TRAIT_UNKNOWN ? occurrence_by_share(key, g) : 0;
        sum += weights[g];
    }
    for (int g = 0; g < key->forms && sum > 0; g++)
        weights[g] /= sum;
    return sum > 0;
}

/* False when nothing in the key is scored. */
static bool weigh_forms(const made_key *key, int form, int character, double *weights)
{
    double whole[MADE_FORMS], near[MADE_FORMS];
    made_trait trait = shown(key, form, character);
    memset(weights, 0, MADE_FORMS * sizeof *weights);
    if (trait.kind != TRAIT_UNKNOWN) {
        weights[form] = 1;
        return true;
    }
    if (!weigh_scored(key, character, -1, whole))
        return false;
    int t = key->form[form].taxon;
    while (t >= 0 && !weigh_scored(key, character, t, near))
        t = key->taxon[t].parent;
    for (int g = 0; g < key->forms; g++)
        weights[g] = t < 0 ? whole[g] : 0.8 * near[g] + 0.2 * whole[g];
    return true;
}

/* Of a form, scored or not, for the interval from a to b when it is about a number. */
static parts parts_of_form(const made_key *key, const made_answer *answer, int form, double a,
                           double b)
{
    double weights[MADE_FORMS];
    bool number = key->character[answer->character].kind == MADE_OF_NUMBERS;
    parts sum = {0, 0, 0};
    if (!weigh_forms(key, form, answer->character, weights)) {
        double even =
            number ? even_width(key, answer->character, a, b) : even_states(key, answer);
        return (parts){even, 0, 1};
    }
    for (int g = 0; g < key->forms; g++) {
        if (weights[g] <= 0)
            continue;
        made_trait trait = shown(key, g, answer->character);
        parts of = number ? parts_of_number(key, answer, &trait, a, b)
                          : parts_of_states(key, answer, &trait);
        sum.value += weights[g] * of.value;
        sum.misread += weights[g] * of.misread;
        sum.inside += weights[g] * of.inside;
    }
    return sum;
}

/* ---- settings
 * -------------------------------------------------------------------------------------- */

static bool in_season(const made_trait *trait, int month)
{
    return trait->weights[(month % 12 + 12) % 12] > 0;
}

/* The suitability of a month for the season that begins at `first`. */
static double in_run(const made_trait *trait, int first, int month)
{
    int length = 0;
    while (length < 12 && in_season(trait, first + length))
        length++;
    int at = (month - first + 12) % 12;
    if (length == 12)
        return 1;
    if (at < length)
        return length >= 3 && (at == 0 || at == length - 1) ? 0.5 : 1;
    return at == length || at == 11 ? 0.2 : 0.01;
}

static double month_suitability(const made_trait *trait, int month)
{
    double best = 0;
    bool gaps = false;
    for (int m = 0; m < 12; m++)
        gaps = gaps || !in_season(trait, m);
    for (int m = 0; m < 12; m++)
        if (in_season(trait, m) && (!gaps || !in_season(trait, m - 1)))
            best = fmax(best, in_run(trait, m, month));
    return best;
}

static double place_suitability(const made_trait *trait, int states, int state)
{
    double most = 0;
    for (int s = 0; s < states; s++)
        most = fmax(most, trait->weights[s]);
    return fmax(trait->weights[state] / most, 0.03);
}

static double suitability(const made_key *key, const made_answer *answer, int form)
{
    const made_character *of = &key->character[answer->character];
    made_trait trait = shown(key, form, answer->character);
    double sum = 0, mean = 1;
    int count = 0;
    for (int s = 0; s < of->states; s++) {
        if (!answer->in[s])
            continue;
        count++;
        sum += trait.kind == TRAIT_UNKNOWN  ? 1
               : of->kind == MADE_OF_MONTHS ? month_suitability(&trait, s)
                                            : place_suitability(&trait, of->states, s);
    }
    mean = sum / count;
    return answer->unsure ? mean / 2 + 0.5 : mean;
}

/* ---- one answer
 * ------------------------------------------------------------------------------------ */

static double even_taxa(const made_key *key, const made_answer *answer)
{
    int leaves = 0, in = 0;
    for (int t = 0; t < key->taxa; t++) {
        leaves += key->taxon[t].leaf;
        in += answer->in[t];
    }
    return (double)in / leaves;
}

static oracle_parts taxon_answer(const made_key *key, const made_answer *answer, bool within)
{
    double even = even_taxa(key, answer), value = within ? 1 : 0.01;
    if (answer->unsure)
        value = (value + even) / 2;
    return (oracle_parts){value, within ? 0 : value};
}

oracle_parts oracle_answer(const made_key *key, const made_answer *answer, int form)
{
    const made_character *of = &key->character[answer->character];
    if (of->kind == MADE_OF_TAXA)
        return taxon_answer(key, answer, answer->in[key->form[form].taxon]);
    if (of->setting)
        return (oracle_parts){suitability(key, answer, form), 0};
    parts plain = parts_of_form(key, answer, form, answer->low, answer->high);
    double even = even_answer(key, answer);
    if (!answer->unsure)
        return (oracle_parts){plain.value, plain.misread};
    return (oracle_parts){plain.value / 2 + even / 2,
                          (plain.misread + (1 - plain.inside) * even) / 2};
}

/* The mean over the leaf taxa within a taxon (-1: all), each by the shares of its forms. */
static double mean_of_taxa(const made_key *key, const made_answer *answer, int above)
{
    double sum = 0;
    int count = 0;
    for (int t = 0; t < key->taxa; t++) {
        if (!key->taxon[t].leaf || (above >= 0 && !oracle_stands_within(key, t, above)))
            continue;
        count++;
        for (int i = 0; i < key->taxon[t].forms; i++) {
            int form = key->taxon[t].first_form + i;
            sum += key->form[form].share * oracle_answer(key, answer, form).value;
        }
    }
    return sum / count;
}

/* Of an unlisted relative within a taxon, or of a stranger (-1). */
static double unlisted_answer(const made_key *key, const made_answer *answer, int above)
{
    const made_character *of = &key->character[answer->character];
    if (of->setting)
        return 1;
    if (of->kind == MADE_OF_TAXA)
        return taxon_answer(key, answer, false).value;
    double part = above >= 0 ? 0.7 : 0.5;
    return part * mean_of_taxa(key, answer, above) + (1 - part) * even_answer(key, answer);
}

/* ---- the posterior
 * --------------------------------------------------------------------------------- */

static bool counts(const made_key *key, const made_answer *answer, oracle_options options)
{
    return !options.no_settings || !key->character[answer->character].setting;
}

static int count_rank(const made_key *key, made_rank rank)
{
    int count = 0;
    for (int t = 0; t < key->taxa; t++)
        count += key->taxon[t].rank == rank;
    return count;
}

/* The prior of one unlisted hypothesis: the relative of a taxon, or the stranger (-1). */
static double unlisted_prior(const made_key *key, int taxon)
{
    int genera = count_rank(key, MADE_GENUS), families = count_rank(key, MADE_FAMILY);
    double all = (genera ? 0.4 : 0) + (families ? 0.4 : 0) + 0.2;
    if (taxon < 0)
        return key->unlisted * 0.2 / all;
    if (key->taxon[taxon].rank == MADE_GENUS)
        return key->unlisted * 0.4 / all / genera;
    if (key->taxon[taxon].rank == MADE_FAMILY)
        return key->unlisted * 0.4 / all / families;
    return 0;
}

static long double form_prior(const made_key *key, const made_sighting *sighting, int form,
                              oracle_options options)
{
    long double prior = key->form[form].share;
    if (!options.no_occurrence)
        prior *= occurrence(key, key->form[form].taxon);
    for (int i = 0; i < sighting->answers; i++) {
        const made_answer *answer = &sighting->answer[i];
        if (key->character[answer->character].setting && counts(key, answer, options))
            prior *= suitability(key, answer, form);
    }
    return prior;
}

static long double form_likelihood(const made_key *key, const made_sighting *sighting, int form)
{
    long double likelihood = 1;
    for (int i = 0; i < sighting->answers; i++)
        if (!key->character[sighting->answer[i].character].setting)
            likelihood *= oracle_answer(key, &sighting->answer[i], form).value;
    return likelihood;
}

static long double unlisted_mass(const made_key *key, const made_sighting *sighting, int taxon)
{
    long double mass = unlisted_prior(key, taxon);
    for (int i = 0; i < sighting->answers && mass > 0; i++)
        mass *= unlisted_answer(key, &sighting->answer[i], taxon);
    return mass;
}

/* The mass of each form, of each taxon's own relative, and of the stranger at the end. */
static long double find_masses(const made_key *key, const made_sighting *sighting,
                               oracle_options options, long double *forms, long double *relatives)
{
    long double whole = 0, sum = 0;
    for (int f = 0; f < key->forms; f++)
        whole += form_prior(key, sighting, f, options);
    for (int f = 0; f < key->forms; f++) {
        forms[f] = (1 - (long double)key->unlisted) * form_prior(key, sighting, f, options) /
                   whole * form_likelihood(key, sighting, f);
        sum += forms[f];
    }
    for (int t = 0; t <= key->taxa; t++) {
        relatives[t] = unlisted_mass(key, sighting, t < key->taxa ? t : -1);
        sum += relatives[t];
    }
    return sum;
}

void oracle_rank(const made_key *key, const made_sighting *sighting, oracle_options options,
                 oracle_posterior *posterior)
{
    long double forms[MADE_FORMS], relatives[MADE_TAXA + 1];
    long double sum = find_masses(key, sighting, options, forms, relatives);
    memset(posterior, 0, sizeof *posterior);
    posterior->nothing_fits = sum == 0;
    if (posterior->nothing_fits)
        return;
    for (int f = 0; f < key->forms; f++)
        posterior->forms[f] = (double)(forms[f] / sum);
    for (int t = 0; t <= key->taxa; t++)
        posterior->unlisted += (double)(relatives[t] / sum);
    for (int t = 0; t < key->taxa; t++) {
        long double mass = 0;
        for (int f = 0; f < key->forms; f++)
            mass += oracle_stands_within(key, key->form[f].taxon, t) ? forms[f] : 0;
        for (int u = 0; u < key->taxa; u++)
            mass += oracle_stands_within(key, u, t) ? relatives[u] : 0;
        posterior->taxa[t] = (double)(mass / sum);
    }
}

double oracle_misread(const made_key *key, const made_sighting *sighting,
                      const oracle_posterior *posterior, int at)
{
    double sum = 0;
    if (key->character[sighting->answer[at].character].setting)
        return 0;
    for (int f = 0; f < key->forms; f++) {
        oracle_parts of = oracle_answer(key, &sighting->answer[at], f);
        if (of.value > 0)
            sum += posterior->forms[f] * of.misread / of.value;
    }
    return sum;
}

/* ---- the sex
 * --------------------------------------------------------------------------------------- */

static double male_part(const made_key *key, const made_sighting *sighting, int form)
{
    double male = 0.5, female = 0.5;
    if (key->form[form].sex != MADE_ANY)
        return key->form[form].sex == MADE_MALE;
    for (int i = 0; i < sighting->answers; i++) {
        const made_answer *answer = &sighting->answer[i];
        if (answer->character != MADE_SEX)
            continue;
        made_trait as_male = {.kind = TRAIT_STATES, .weights = {1, 0}};
        made_trait as_female = {.kind = TRAIT_STATES, .weights = {0, 1}};
        double even = answer->unsure ? even_states(key, answer) : 0;
        male *= parts_of_states(key, answer, &as_male).value + even;
        female *= parts_of_states(key, answer, &as_female).value + even;
    }
    return male + female > 0 ? male / (male + female) : 0.5;
}

double oracle_male(const made_key *key, const made_sighting *sighting,
                   const oracle_posterior *posterior)
{
    double male = 0, listed = 0;
    for (int f = 0; f < key->forms; f++) {
        male += posterior->forms[f] * male_part(key, sighting, f);
        listed += posterior->forms[f];
    }
    return listed > 0 ? male / listed : 0.5;
}

/* ---- the fit
 * --------------------------------------------------------------------------------------- */

/* P(report r | form). */
static double report_of_form(const made_key *key, int character, int form, int r)
{
    double weights[MADE_FORMS], sum = 0;
    if (!weigh_forms(key, form, character, weights))
        return 1.0 / key->character[character].states;
    for (int g = 0; g < key->forms; g++) {
        if (weights[g] <= 0)
            continue;
        made_trait trait = shown(key, g, character);
        sum += weights[g] * report_of_trait(key, character, &trait, r);
    }
    return sum;
}

/* The sum of as many report probabilities as the answer has states, the largest first. */
static double largest_states(const made_key *key, const made_answer *answer, int form)
{
    int states = key->character[answer->character].states;
    bool taken[MADE_STATES] = {false};
    double sum = 0;
    for (int i = 0; i < states; i++) {
        int best = -1;
        if (!answer->in[i])
            continue;
        for (int r = 0; r < states; r++)
            if (!taken[r] && (best < 0 || report_of_form(key, answer->character, form, r) >
                                              report_of_form(key, answer->character, form, best)))
                best = r;
        taken[best] = true;
        sum += report_of_form(key, answer->character, form, best);
    }
    return sum;
}

/* Intervals as wide: this one, and one about the mean; of an unscored form, about the mean of what it may have,
 * read as a normal law with that mean and spread. */
static double largest_number(const made_key *key, const made_answer *answer, int form)
{
    double weights[MADE_FORMS], half = (answer->high - answer->low) / 2;
    double best = parts_of_form(key, answer, form, answer->low, answer->high).value;
    double even = even_width(key, answer->character, answer->low, answer->high);
    if (shown(key, form, answer->character).kind == TRAIT_INAPPLICABLE)
        return even;
    if (isinf(half))
        return 1;
    if (!weigh_forms(key, form, answer->character, weights))
        return fmax(best, even);
    double sum = 0, mean = 0, variance = 0;
    for (int g = 0; g < key->forms; g++)
        if (shown(key, g, answer->character).kind == TRAIT_NUMBER) {
            sum += weights[g];
            mean += weights[g] * shown(key, g, answer->character).mean;
        }
    if (sum <= 0)
        return fmax(best, even);
    mean /= sum;
    for (int g = 0; g < key->forms; g++) {
        made_trait trait = shown(key, g, answer->character);
        if (trait.kind == TRAIT_NUMBER)
            variance += weights[g] / sum *
                        (trait.sd * trait.sd + (trait.mean - mean) * (trait.mean - mean));
    }
    made_trait typical = {.kind = TRAIT_NUMBER, .mean = mean, .sd = sqrt(variance)};
    return fmax(best,
                sum * parts_of_number(key, answer, &typical, mean - half, mean + half).value +
                    (1 - sum) * even_width(key, answer->character, mean - half, mean + half));
}

oracle_seat oracle_sits(const made_key *key, const made_answer *answer, int form)
{
    made_kind kind = key->character[answer->character].kind;
    double largest = 1, even;
    if (kind == MADE_OF_TAXA) {
        even = even_taxa(key, answer);
    } else {
        even = even_answer(key, answer);
        largest = kind == MADE_OF_NUMBERS ? largest_number(key, answer, form)
                                          : largest_states(key, answer, form);
    }
    if (answer->unsure)
        largest = (largest + even) / 2;
    return (oracle_seat){8 * oracle_answer(key, answer, form).value, largest};
}

/* ---- the chance to sit badly
 * ----------------------------------------------------------------------- */

/* The reports that an eighth of the largest value is more than. */
static double bad_states(const made_key *key, const made_answer *answer, int form, double largest)
{
    int states = key->character[answer->character].states;
    double sum = 0;
    for (int r = 0; r < states; r++) {
        double report = report_of_form(key, answer->character, form, r);
        if (answer->unsure)
            report = (report + 1.0 / states) / 2;
        if (fabs(8 * report - largest) <= 1e-9 * largest)
            return -1; /* rounding could settle it */
        sum += 8 * report < largest ? report : 0;
    }
    return sum;
}

/* Whether a reading as wide about `centre` would sit badly. */
static bool bad_reading(const made_key *key, const made_answer *answer, const made_trait *trait,
                        double centre, double largest)
{
    double half = (answer->high - answer->low) / 2;
    double value = parts_of_number(key, answer, trait, centre - half, centre + half).value;
    if (answer->unsure)
        value = (value + even_answer(key, answer)) / 2;
    return 8 * value < largest;
}

/* How far above the mean a reading must lie to sit badly, found step by step. */
static double bad_distance(const made_key *key, const made_answer *answer,
                           const made_trait *trait, double sd, double largest)
{
    double low, high, step = sd / 500, half = (answer->high - answer->low) / 2;
    find_span(key, answer->character, &low, &high);
    double end = fmax(40 * sd, high - low) + half;
    step = fmax(step, end / 50000);
    double distance = 0;
    while (distance < end && !bad_reading(key, answer, trait, trait->mean + distance, largest))
        distance += step;
    return distance;
}

/* Readings at least so far from the mean on either side: truthful ones by the normal law, misread
 * ones evenly over the span; both counted over a fine grid. */
static double bad_numbers(const made_key *key, const made_answer *answer, const made_trait *trait,
                          double largest)
{
    enum { STEPS = 20000 };
    double e = error_rate(key, answer->character), low, high, truthful = 0, misread = 0;
    double sd = spread(key, answer->character, answer, trait);
    double distance = bad_distance(key, answer, trait, sd, largest);
    find_span(key, answer->character, &low, &high);
    for (int i = 0; i < STEPS; i++) {
        double z = -6 + 12 * (i + 0.5) / STEPS;
        double reading = low + (high - low) * (i + 0.5) / STEPS;
        if (fabs(z) * sd > distance)
            truthful += exp(-z * z / 2) / sqrt(2 * acos(-1)) * 12 / STEPS;
        if (fabs(reading - trait->mean) > distance)
            misread += 1.0 / STEPS;
    }
    return (1 - e) * truthful + e * misread;
}

double oracle_bad_chance(const made_key *key, const made_answer *answer, int form)
{
    made_kind kind = key->character[answer->character].kind;
    double largest = oracle_sits(key, answer, form).largest;
    if (kind == MADE_OF_TAXA)
        return 0.01;
    made_trait trait = shown(key, form, answer->character);
    if (trait.kind == TRAIT_INAPPLICABLE)
        return answer->denied ? 0 : error_rate(key, answer->character);
    if (kind == MADE_OF_STATES)
        return bad_states(key, answer, form, largest);
    if (isinf(answer->low) || isinf(answer->high))
        return 0.125;
    if (trait.kind == TRAIT_UNKNOWN)
        return -1;
    return bad_numbers(key, answer, &trait, largest);
}

/* Over every way in which the events can happen or not. */
double oracle_tail(const double *chances, int count, int least)
{
    double sum = 0;
    for (unsigned way = 0; way < 1u << count; way++) {
        double product = 1;
        int happened = 0;
        for (int i = 0; i < count; i++) {
            bool happens = way >> i & 1;
            happened += happens;
            product *= happens ? chances[i] : 1 - chances[i];
        }
        sum += happened >= least ? product : 0;
    }
    return sum;
}

/* ---- look next
 * ------------------------------------------------------------------------------------- */

enum { BINS = 16 };

static double bin_of_trait(const made_key *key, int character, const made_trait *trait, int bin)
{
    double low, high, e = error_rate(key, character);
    if (trait->kind == TRAIT_INAPPLICABLE)
        return 1.0 / BINS;
    find_span(key, character, &low, &high);
    double a = bin == 0 ? -INFINITY : low + (high - low) * bin / BINS;
    double b = bin == BINS - 1 ? INFINITY : low + (high - low) * (bin + 1) / BINS;
    return (1 - e) * normal_between(a, b, trait->mean, spread(key, character, NULL, trait)) +
           e / BINS;
}

static double bin_of_form(const made_key *key, int character, int form, int bin)
{
    double weights[MADE_FORMS], sum = 0;
    if (!weigh_forms(key, form, character, weights))
        return 1.0 / BINS;
    for (int g = 0; g < key->forms; g++) {
        if (weights[g] <= 0)
            continue;
        made_trait trait = shown(key, g, character);
        sum += weights[g] * bin_of_trait(key, character, &trait, bin);
    }
    return sum;
}

static int find_reports(const made_key *key, int character, int form, double *reports)
{
    const made_character *of = &key->character[character];
    int count = of->kind == MADE_OF_NUMBERS ? BINS : of->states;
    for (int r = 0; r < count; r++)
        reports[r] = of->kind == MADE_OF_NUMBERS ? bin_of_form(key, character, form, r)
                                                 : report_of_form(key, character, form, r);
    return count;
}

static double entropy(const double *law, int count)
{
    double bits = 0;
    for (int i = 0; i < count; i++)
        bits -= law[i] > 0 ? law[i] * log2(law[i]) : 0;
    return bits;
}

/* Adds the law of the reports of one taxon, with its part of the whole; returns P(t) H(R | t). */
static double add_taxon(const made_key *key, int character, int taxon,
                        const oracle_posterior *posterior, double whole, double *all)
{
    double law[MADE_STATES + BINS] = {0}, mass = 0;
    int reports = 0;
    for (int i = 0; i < key->taxon[taxon].forms; i++) {
        int form = key->taxon[taxon].first_form + i;
        double of_form[MADE_STATES + BINS];
        if (posterior->forms[form] < 1e-12)
            continue;
        mass += posterior->forms[form];
        reports = find_reports(key, character, form, of_form);
        for (int r = 0; r < reports; r++)
            law[r] += posterior->forms[form] * of_form[r];
    }
    for (int r = 0; r < reports; r++) {
        all[r] += law[r] / whole;
        law[r] /= mass;
    }
    return mass > 0 ? mass / whole * entropy(law, reports) : 0;
}

double oracle_gain(const made_key *key, const oracle_posterior *posterior, int character)
{
    double all[MADE_STATES + BINS] = {0}, whole = 0, given_taxon = 0;
    for (int f = 0; f < key->forms; f++)
        whole += posterior->forms[f] < 1e-12 ? 0 : posterior->forms[f];
    if (whole <= 0)
        return 0;
    for (int t = 0; t < key->taxa; t++)
        if (key->taxon[t].leaf)
            given_taxon += add_taxon(key, character, t, posterior, whole, all);
    return entropy(all, MADE_STATES + BINS) - given_taxon;
}

double oracle_apart(const made_key *key, int form, int other, int character)
{
    double one[MADE_STATES + BINS], two[MADE_STATES + BINS], both[MADE_STATES + BINS];
    int reports = find_reports(key, character, form, one);
    find_reports(key, character, other, two);
    for (int r = 0; r < reports; r++)
        both[r] = (one[r] + two[r]) / 2;
    return entropy(both, reports) - (entropy(one, reports) + entropy(two, reports)) / 2;
}

double oracle_cannot_show(const made_key *key, const oracle_posterior *posterior, int character)
{
    double cannot = 0, whole = 0;
    for (int f = 0; f < key->forms; f++) {
        whole += posterior->forms[f];
        if (shown(key, f, character).kind == TRAIT_INAPPLICABLE)
            cannot += posterior->forms[f];
    }
    return whole > 0 ? cannot / whole : 0;
}
