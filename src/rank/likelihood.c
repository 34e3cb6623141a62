#include "rank/likelihood.h"

#include <math.h>

#include "base/number.h"

static bool has_bit(const uint64_t *set, uint32_t bit)
{
    return set[bit / 64] >> bit % 64 & 1;
}

/* How the misreads of one true state are spread over the others. */
typedef struct misreads {
    uint32_t confused;            /* how many states are confused with it */
    double to_confused, to_other; /* the chance of each single one */
} misreads;

static misreads misreads_of(const rush_key *key, uint32_t character, uint32_t state)
{
    const rush_column *column = &key->model.columns[character];
    const rush_character *owner = &key->characters[character];
    misreads spread = {0};
    if (column->confused)
        for (uint32_t w = 0; w < column->set_words; w++)
            spread.confused +=
                (uint32_t)__builtin_popcountll(column->confused[state * column->set_words + w]);
    uint32_t others = owner->state_count - 1 - spread.confused;
    double part = !spread.confused ? 0 : !others ? 1 : RUSH_CONFUSED_PART;
    spread.to_confused = spread.confused ? owner->error * part / spread.confused : 0;
    spread.to_other = others ? owner->error * (1 - part) / others : 0;
    return spread;
}

/* rows[s] = sum over r in A of M(s, r): the chance that a true state s is reported within A. */
static void find_rows(const rush_key *key, const rush_answer *answer, double *rows)
{
    const rush_column *column = &key->model.columns[answer->character];
    const rush_character *owner = &key->characters[answer->character];
    for (uint32_t s = 0; s < owner->state_count; s++) {
        misreads spread = misreads_of(key, answer->character, s);
        bool inside = has_bit(answer->states, s);
        uint32_t confused = 0;
        if (column->confused)
            for (uint32_t w = 0; w < column->set_words; w++)
                confused += (uint32_t)__builtin_popcountll(
                    column->confused[s * column->set_words + w] & answer->states[w]);
        uint32_t others = answer->state_count - inside - confused;
        rows[s] = (inside ? 1 - owner->error : 0) + confused * spread.to_confused +
                  others * spread.to_other;
    }
}

/* What one profile gives: the value, the misread part, and the chance to truly lie inside A. */
typedef struct likelihood_parts {
    double value, misread, inside;
} likelihood_parts;

static likelihood_parts states_parts(const rush_profile *profile, const rush_answer *answer,
                                     uint32_t states, double error, double even,
                                     const double *rows)
{
    likelihood_parts parts = {0};
    switch (profile->kind) {
    case RUSH_PROFILE_INAPPLICABLE:
        parts.value = answer->denied ? even : error * even;
        parts.misread = answer->denied ? 0 : parts.value;
        parts.inside = answer->denied ? 1 : 0;
        break;
    case RUSH_PROFILE_STATE:
        parts.value = rows[profile->state];
        parts.inside = has_bit(answer->states, profile->state);
        parts.misread = parts.inside > 0 ? 0 : parts.value;
        break;
    default:
        for (uint32_t s = 0; s < states; s++) {
            double weight = profile->weights[s];
            parts.value += weight * rows[s];
            if (has_bit(answer->states, s))
                parts.inside += weight;
            else
                parts.misread += weight * rows[s];
        }
    }
    return parts;
}

static likelihood_parts number_parts(const rush_profile *profile, const rush_answer *answer,
                                     const rush_character *character, double even)
{
    double error = character->error;
    if (profile->kind == RUSH_PROFILE_INAPPLICABLE)
        return (likelihood_parts){error * even, error * even, 0};
    double sd = hypot(profile->sd, rush_reading_error(character, answer, profile->mean));
    double inside = rush_interval(answer->low, answer->high, profile->mean, sd);
    return (likelihood_parts){(1 - error) * inside + error * even, error * even, inside};
}

/* Means over the scored forms of a taxon, weighted by their priors. */
static void add_scored(const rush_key *key, const rush_column *column, uint32_t taxon,
                       const double *value, const double *misread, double sums[3])
{
    const rush_taxon *within = &key->taxa[taxon];
    for (uint32_t f = within->first_form; f < within->first_form + within->form_count; f++) {
        uint32_t p = rush_column_profile(column, f);
        if (p >= column->scored_count)
            continue;
        sums[0] += key->model.prior[f];
        sums[1] += key->model.prior[f] * value[p];
        sums[2] += key->model.prior[f] * misread[p];
    }
}

/* The values of the mixtures, from those of their parts: what rush_mixture_next would add up, with the sum over
 * the whole key made once. */
static void mix_values(const rush_key *key, uint32_t character, double even, double *value,
                       double *misread)
{
    const rush_column *column = &key->model.columns[character];
    double whole = column->whole ? 0 : even, whole_misread = 0;
    for (uint32_t p = 0; column->whole && p < column->scored_count; p++) {
        whole += column->whole[p] * value[p];
        whole_misread += column->whole[p] * misread[p];
    }
    for (uint32_t p = column->scored_count; p < column->profile_count; p++) {
        uint32_t taxon = column->mixtures[p - column->scored_count];
        double sums[3] = {0}, near = taxon == RUSH_NONE ? 0 : RUSH_NEAREST_PART;
        if (taxon != RUSH_NONE)
            add_scored(key, column, taxon, value, misread, sums);
        value[p] = (near > 0 ? near * sums[1] / sums[0] : 0) + (1 - near) * whole;
        misread[p] = (near > 0 ? near * sums[2] / sums[0] : 0) + (1 - near) * whole_misread;
    }
}

double rush_likelihood(const rush_key *key, const rush_answer *answer, double *value,
                       double *misread, double *rows)
{
    const rush_column *column = &key->model.columns[answer->character];
    const rush_character *character = &key->characters[answer->character];
    bool number = character->kind == RUSH_KIND_NUMBER;
    double even = number ? rush_even_width(character, answer->low, answer->high)
                         : (double)answer->state_count / character->state_count;
    if (!number)
        find_rows(key, answer, rows);
    for (uint32_t p = 0; p < column->scored_count; p++) {
        const rush_profile *profile = &column->profiles[p];
        likelihood_parts parts = number ? number_parts(profile, answer, character, even)
                                        : states_parts(profile, answer, character->state_count,
                                                       character->error, even, rows);
        value[p] = answer->unsure ? (parts.value + even) / 2 : parts.value;
        misread[p] =
            answer->unsure ? (parts.misread + (1 - parts.inside) * even) / 2 : parts.misread;
    }
    mix_values(key, answer->character, even, value, misread);
    return even;
}

double rush_sum(const double *numbers, uint32_t count)
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

void rush_likelihood_unlisted(const rush_key *key, uint32_t character, const double *value,
                              double even, double *leaves, float *unlisted)
{
    const rush_column *column = &key->model.columns[character];
    const double *share = key->model.share;
    for (uint32_t i = 0, f = 0; i < key->leaf_count; i++) {
        leaves[i] = 0;
        for (uint32_t end = f + key->taxa[key->leaves[i]].form_count; f < end; f++)
            leaves[i] += share[f] * value[rush_column_profile(column, f)];
    }
    for (uint32_t u = 0; u < key->model.unlisted_count; u++) {
        uint32_t at = key->model.unlisted[u].taxon;
        const rush_taxon *taxon = &key->taxa[at == RUSH_NONE ? 0 : at];
        double mean = at == RUSH_NONE ? rush_sum(leaves, key->leaf_count) / key->leaf_count
                                      : rush_sum(leaves + taxon->first_leaf, taxon->leaf_count) /
                                            taxon->leaf_count,
               like = at == RUSH_NONE ? RUSH_STRANGER_PART : RUSH_RELATIVE_PART;
        unlisted[u] = (float)(like * mean + (1 - like) * even);
    }
}

void rush_suitability(const rush_key *key, const rush_answer *answer, double *value)
{
    const rush_column *column = &key->model.columns[answer->character];
    uint32_t states = key->characters[answer->character].state_count;
    for (uint32_t p = 0; p < column->profile_count; p++) {
        const rush_profile *profile = &column->profiles[p];
        double sum = 0;
        for (uint32_t s = 0; s < states; s++)
            if (has_bit(answer->states, s))
                sum += profile->weights[s];
        value[p] = sum / answer->state_count;
        if (answer->unsure)
            value[p] = (value[p] + 1) / 2;
    }
}

/* ---- reports ------------------------------------------------------------------------------------ */

/* What is reported of insects that all show one state. */
static void add_reports_of_state(const rush_key *key, uint32_t character, uint32_t state,
                                 double add, double *reports)
{
    const rush_column *column = &key->model.columns[character];
    const rush_character *owner = &key->characters[character];
    misreads spread = misreads_of(key, character, state);
    const uint64_t *confused =
        column->confused ? column->confused + state * column->set_words : NULL;
    for (uint32_t r = 0; r < owner->state_count; r++) {
        double part = confused && has_bit(confused, r) ? spread.to_confused : spread.to_other;
        reports[r] += add * (r == state ? 1 - owner->error : part);
    }
}

static void add_evenly(uint32_t count, double add, double *reports)
{
    for (uint32_t r = 0; r < count; r++)
        reports[r] += add / count;
}

typedef void report_adder(const rush_key *key, uint32_t character, uint32_t profile, double add,
                          double *reports);

static void add_mixture(const rush_key *key, uint32_t character, uint32_t at, double add,
                        double *reports, report_adder *add_part, uint32_t count)
{
    rush_mixture_parts parts = rush_mixture_begin(key, character, at);
    uint32_t part;
    double weight;
    add_evenly(count, add * parts.even, reports);
    while (rush_mixture_next(&parts, &part, &weight))
        add_part(key, character, part, add * weight, reports);
}

void rush_reports_of_states(const rush_key *key, uint32_t character, uint32_t at, double add,
                            double *reports)
{
    const rush_column *column = &key->model.columns[character];
    uint32_t states = key->characters[character].state_count;
    if (at >= column->scored_count) {
        add_mixture(key, character, at, add, reports, rush_reports_of_states, states);
        return;
    }
    const rush_profile *profile = &column->profiles[at];
    switch (profile->kind) {
    case RUSH_PROFILE_STATE:
        add_reports_of_state(key, character, profile->state, add, reports);
        break;
    case RUSH_PROFILE_INAPPLICABLE:
        add_evenly(states, add, reports);
        break;
    case RUSH_PROFILE_SETTING:
        for (uint32_t s = 0; s < states; s++)
            reports[s] += add * profile->weights[s];
        break;
    default:
        for (uint32_t s = 0; s < states; s++)
            if (profile->weights[s] > 0)
                add_reports_of_state(key, character, s, add * profile->weights[s], reports);
    }
}

void rush_reports_of_number(const rush_key *key, uint32_t character, uint32_t at, double add,
                            double *reports)
{
    const rush_column *column = &key->model.columns[character];
    if (at >= column->scored_count) {
        add_mixture(key, character, at, add, reports, rush_reports_of_number, RUSH_BINS);
        return;
    }
    const rush_profile *profile = &column->profiles[at];
    const rush_character *owner = &key->characters[character];
    switch (profile->kind) {
    case RUSH_PROFILE_NUMBER: {
        double sd = hypot(profile->sd, rush_reading_error(owner, NULL, profile->mean));
        double step = (owner->high - owner->low) / RUSH_BINS;
        for (int b = 0; b < RUSH_BINS; b++) {
            double low = b ? owner->low + b * step : -INFINITY;
            double high = b + 1 < RUSH_BINS ? owner->low + (b + 1) * step : INFINITY;
            reports[b] +=
                add * ((1 - owner->error) * rush_interval(low, high, profile->mean, sd) +
                       owner->error / RUSH_BINS);
        }
        break;
    }
    default:
        add_evenly(RUSH_BINS, add, reports);
    }
}

/* ---- numbers ------------------------------------------------------------------------------------ */

double rush_reading_error(const rush_character *character, const rush_answer *answer, double mean)
{
    static const double ruler = 0.01;
    if (answer && answer->measured)
        return ruler * fabs(mean);
    double error =
        character->reading_error * (character->reading_error_relative ? fabs(mean) : 1);
    return answer && answer->about ? 2 * error : error;
}

double rush_interval(double low, double high, double mean, double sd)
{
    if (sd > 0)
        return rush_normal_between((low - mean) / sd, (high - mean) / sd);
    return low <= mean && mean <= high ? 1 : 0;
}

double rush_even_width(const rush_character *character, double low, double high)
{
    double span = character->high - character->low;
    if (!(span > 0))
        return 1;
    double width = fmin(high, character->high) - fmax(low, character->low);
    return fmax(width / span, RUSH_LEAST_WIDTH);
}
