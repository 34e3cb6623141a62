#include <math.h>
#include <string.h>

#include "base/number.h"
#include "rank/ranker.h"

/* ---- the largest value that an answer of the same breadth could have had ------------------------- */

/* The sum of the `count` largest numbers; the numbers lose their order. */
static double sum_of_largest(double *numbers, uint32_t total, uint32_t count)
{
    double sum = 0;
    for (uint32_t taken = 0; taken < count && taken < total; taken++) {
        uint32_t best = taken;
        for (uint32_t i = taken + 1; i < total; i++)
            if (numbers[i] > numbers[best])
                best = i;
        double largest = numbers[best];
        numbers[best] = numbers[taken];
        numbers[taken] = largest;
        sum += largest;
    }
    return sum;
}

static double number_at(const rush_character *character, const rush_answer *answer,
                        const rush_profile *profile, double low, double high)
{
    double sd = hypot(profile->sd, rush_reading_error(character, answer, profile->mean));
    return (1 - character->error) * rush_interval(low, high, profile->mean, sd) +
           character->error * rush_even_width(character, low, high);
}

/* A number's profile; of an unscored one a normal with the mean and the spread of its mixture, which is enough to
 * tell what is odd. Inapplicable only where all of it is; `shown` gets how much of it shows a number. */
static rush_profile number_profile(const rush_key *key, uint32_t character, uint32_t at,
                                   double *shown)
{
    const rush_column *column = &key->model.columns[character];
    *shown = 1;
    if (at < column->scored_count)
        return column->profiles[at];
    rush_mixture_parts parts = rush_mixture_begin(key, character, at);
    double weight, sum = 0, mean = 0, square = 0;
    for (uint32_t part; rush_mixture_next(&parts, &part, &weight);) {
        const rush_profile *profile = &column->profiles[part];
        if (profile->kind != RUSH_PROFILE_NUMBER)
            continue;
        sum += weight;
        mean += weight * profile->mean;
        square += weight * (profile->mean * profile->mean + profile->sd * profile->sd);
    }
    if (!(sum > 0))
        return (rush_profile){.kind = RUSH_PROFILE_INAPPLICABLE};
    *shown = sum;
    mean /= sum;
    double variance = fmax(square / sum - mean * mean, 0);
    return (rush_profile){.kind = RUSH_PROFILE_NUMBER, .mean = mean, .sd = sqrt(variance)};
}

/* Of an interval as wide, centred on the mean. */
static double largest_number(const rush_key *key, const rush_answer *answer, uint32_t at)
{
    const rush_character *character = &key->characters[answer->character];
    double shown, half = (answer->high - answer->low) / 2;
    rush_profile profile = number_profile(key, answer->character, at, &shown);
    if (profile.kind == RUSH_PROFILE_INAPPLICABLE)
        return rush_even_width(character, answer->low, answer->high);
    double low = profile.mean - half, high = profile.mean + half;
    return shown * number_at(character, answer, &profile, low, high) +
           (1 - shown) * rush_even_width(character, low, high);
}

static double largest_value(const rush_ranker *ranker, const rush_answer_table *table,
                            uint32_t form)
{
    const rush_answer *answer = table->answer;
    if (!table->column)
        return answer->unsure ? (1 + table->even) / 2 : 1;
    const rush_character *character = &ranker->key->characters[answer->character];
    uint32_t profile = rush_column_profile(table->column, form);
    double largest;
    if (character->kind == RUSH_KIND_NUMBER) {
        bool open = isinf(answer->low) || isinf(answer->high);
        largest =
            open ? 1 : fmax(table->value[profile], largest_number(ranker->key, answer, profile));
        if (rush_column_kind(table->column, profile) == RUSH_PROFILE_INAPPLICABLE)
            largest = table->even;
    } else {
        memset(ranker->rows, 0, character->state_count * sizeof(double));
        rush_reports_of_states(ranker->key, answer->character, profile, 1, ranker->rows);
        largest = sum_of_largest(ranker->rows, character->state_count, answer->state_count);
    }
    return answer->unsure ? (largest + table->even) / 2 : largest;
}

/* ---- what was found before ------------------------------------------------------------------------ */

/* What an answer's table means for one profile: the same however often it comes. */
struct rush_oddity {
    uint32_t serial, profile; /* serial 0: empty */
    double largest;
    double chance; /* below 0: not known yet */
};

enum { ODDITIES = 4096 };

void rush_fit_reserve(rush_ranker *ranker)
{
    ranker->oddities = RUSH_ARRAY(&ranker->arena, rush_oddity, ODDITIES);
}

void rush_fit_forget(rush_ranker *ranker)
{
    memset(ranker->oddities, 0, ODDITIES * sizeof *ranker->oddities);
}

/* NULL when the table is not kept. */
static rush_oddity *oddity_of(const rush_ranker *ranker, const rush_answer_table *table,
                              uint32_t form)
{
    if (!table->serial)
        return NULL;
    uint32_t profile = rush_column_profile(table->column, form);
    rush_oddity *odd =
        &ranker->oddities[(table->serial * 0x9e3779b1u + profile) & (ODDITIES - 1)];
    if (odd->serial != table->serial || odd->profile != profile)
        *odd = (rush_oddity){table->serial, profile, largest_value(ranker, table, form), -1};
    return odd;
}

static bool sits_badly(const rush_ranker *ranker, const rush_answer_table *table, uint32_t form)
{
    double value = rush_table_value(ranker, table, form) * RUSH_BADLY_RATIO;
    if (value >= 1)
        return false; /* no value is larger than 1 */
    const rush_oddity *odd = oddity_of(ranker, table, form);
    return value < (odd ? odd->largest : largest_value(ranker, table, form));
}

bool rush_answer_sits_badly(const rush_ranker *ranker, uint32_t answer, uint32_t form)
{
    const rush_answer_table *table = &ranker->tables[answer];
    return !table->setting && sits_badly(ranker, table, form);
}

/* ---- the chance that an answer of the same breadth sits badly ------------------------------------ */

/* The reports so unlikely that not even all the rest of the answer could carry them. */
static double states_chance(const rush_ranker *ranker, const rush_answer_table *table,
                            uint32_t profile, double largest)
{
    const rush_answer *answer = table->answer;
    uint32_t states = ranker->key->characters[answer->character].state_count;
    memset(ranker->rows, 0, states * sizeof(double));
    rush_reports_of_states(ranker->key, answer->character, profile, 1, ranker->rows);
    double chance = 0;
    for (uint32_t r = 0; r < states; r++) {
        double report = answer->unsure ? (ranker->rows[r] + 1.0 / states) / 2 : ranker->rows[r];
        if (report * RUSH_BADLY_RATIO < largest)
            chance += report;
    }
    return chance;
}

/* How far from the mean an interval as wide must lie to sit badly, by halving; then the chance of a
 * reading out there. */
static double number_chance(const rush_character *character, const rush_answer_table *table,
                            const rush_profile *profile, double largest)
{
    const rush_answer *answer = table->answer;
    double sd = hypot(profile->sd, rush_reading_error(character, answer, profile->mean));
    double half = (answer->high - answer->low) / 2, error = character->error;
    double near = 0, far = half + fmax(40 * sd, character->high - character->low);
    for (int i = 0; i < 60; i++) {
        double middle = (near + far) / 2, centre = profile->mean + middle;
        double value =
            (1 - error) * rush_interval(centre - half, centre + half, profile->mean, sd) +
            error * rush_even_width(character, centre - half, centre + half);
        if (answer->unsure)
            value = (value + table->even) / 2;
        if (value * RUSH_BADLY_RATIO < largest)
            far = middle;
        else
            near = middle;
    }
    double low = profile->mean - far, high = profile->mean + far;
    double beyond = 1 - (sd > 0 ? rush_normal_between(-far / sd, far / sd) : 1);
    double covered = rush_even_width(character, low, high);
    return (1 - error) * beyond + error * fmax(1 - covered, 0);
}

static double profile_chance(const rush_ranker *ranker, const rush_answer_table *table,
                             uint32_t at, double largest)
{
    const rush_character *character = &ranker->key->characters[table->answer->character];
    if (rush_column_kind(table->column, at) == RUSH_PROFILE_INAPPLICABLE)
        return table->answer->denied ? 0 : character->error;
    if (character->kind != RUSH_KIND_NUMBER)
        return states_chance(ranker, table, at, largest);
    if (isinf(table->answer->low) || isinf(table->answer->high))
        return 1 / RUSH_BADLY_RATIO; /* at most so many truthful bounds lie in that tail */
    double shown;
    rush_profile profile = number_profile(ranker->key, table->answer->character, at, &shown);
    if (profile.kind == RUSH_PROFILE_INAPPLICABLE)
        return character->error;
    return number_chance(character, table, &profile, largest);
}

static double chance_of_sitting_badly(const rush_ranker *ranker, const rush_answer_table *table,
                                      uint32_t form)
{
    if (!table->column)
        return RUSH_OTHER_TAXON;
    rush_oddity *odd = oddity_of(ranker, table, form);
    if (odd && odd->chance >= 0)
        return odd->chance;
    double chance = profile_chance(ranker, table, rush_column_profile(table->column, form),
                                   odd ? odd->largest : largest_value(ranker, table, form));
    if (odd)
        odd->chance = chance;
    return chance;
}

/* ---- the fit ------------------------------------------------------------------------------------ */

/* P(at least `least` of the events happen): the Poisson-binomial law, by adding one event after the
 * other. `law` has room for count + 1. */
static double tail_of(const double *chances, uint32_t count, uint32_t least, double *law)
{
    memset(law, 0, (count + 1) * sizeof *law);
    law[0] = 1;
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = i + 2; k-- > 0;)
            law[k] = law[k] * (1 - chances[i]) + (k ? law[k - 1] * chances[i] : 0);
    double tail = 0;
    for (uint32_t k = count + 1; k-- > least;)
        tail += law[k];
    return fmin(tail, 1);
}

rush_fit rush_find_fit(rush_ranker *ranker, uint32_t form)
{
    rush_fit fit = {.tail = 1};
    for (uint32_t i = 0; i < ranker->table_count; i++) {
        if (ranker->tables[i].setting)
            continue;
        fit.of++;
        fit.against += sits_badly(ranker, &ranker->tables[i], form);
    }
    if (!fit.against)
        return fit;
    uint32_t count = 0;
    for (uint32_t i = 0; i < ranker->table_count; i++)
        if (!ranker->tables[i].setting)
            ranker->chances[count++] = chance_of_sitting_badly(ranker, &ranker->tables[i], form);
    fit.tail = tail_of(ranker->chances, count, fit.against, ranker->chances + count);
    fit.poor = fit.tail < RUSH_POOR_FIT;
    return fit;
}
