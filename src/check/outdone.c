#include <math.h>
#include <string.h>

#include "advise/look.h"
#include "check/check.h"
#include "rank/likelihood.h"

/* What a character adds to an easier one, seen without mistakes: I(T; S | S') in bits, T the taxon, all alike,
 * S and S' what it truly shows of the two (Cover and Thomas, Elements of Information Theory, section 2.5;
 * from memory). A character that adds less than telling one pair of taxa apart would is needless.
 *
 * Cost: characters x characters x taxa x values x values. Of a key where that is more than WORK_MAX only
 * some taxa are looked at first, evenly spread; what is then still needless is looked at in all of them,
 * as long as that too costs no more. */
enum { WORK_MAX = 200 * 1000 * 1000, PROFILES_MAX = 4096 };
enum { LEAVES_MIN = 5 }; /* of fewer taxa nearly every character separates all */

typedef struct outdone_check {
    rush_checker *checker;
    double **shown;           /* by character: what each profile shows; NULL: not compared */
    double *joint, *of_taxon; /* of pairs of values */
    uint32_t most;            /* values of a character */
    uint64_t work;
} outdone_check;

/* The states, or bins of a number's span, and one for what is inapplicable. */
static uint32_t values_of(const rush_character *character)
{
    return (character->kind == RUSH_KIND_NUMBER ? (uint32_t)RUSH_BINS : character->state_count) +
           1;
}

static void show_number(const rush_character *character, const rush_profile *profile,
                        double *shown)
{
    double step = (character->high - character->low) / RUSH_BINS;
    for (int b = 0; b < RUSH_BINS; b++) {
        double low = b ? character->low + b * step : -INFINITY;
        double high = b + 1 < RUSH_BINS ? character->low + (b + 1) * step : INFINITY;
        shown[b] = rush_interval(low, high, profile->mean, profile->sd);
    }
}

/* What insects of a profile truly show. */
static void show_profile(const rush_key *key, uint32_t at, uint32_t p, double *all)
{
    const rush_character *character = &key->characters[at];
    const rush_profile *profile = &key->model.columns[at].profiles[p];
    uint32_t values = values_of(character);
    double *shown = all + (size_t)p * values;
    switch (profile->kind) {
    case RUSH_PROFILE_STATE:
        shown[profile->state] = 1;
        break;
    case RUSH_PROFILE_STATES:
        memcpy(shown, profile->weights, (values - 1) * sizeof *shown);
        break;
    case RUSH_PROFILE_NUMBER:
        show_number(character, profile, shown);
        break;
    case RUSH_PROFILE_INAPPLICABLE:
        shown[values - 1] = 1;
        break;
    default:
        break;
    }
}

/* The same of a mixture, from what its parts show. */
static void show_mixture(const rush_key *key, uint32_t at, uint32_t p, double *all)
{
    uint32_t values = values_of(&key->characters[at]), part;
    double weight, *shown = all + (size_t)p * values;
    rush_mixture_parts parts = rush_mixture_begin(key, at, p);
    for (uint32_t v = 0; v + 1 < values; v++)
        shown[v] = parts.even / (values - 1);
    while (rush_mixture_next(&parts, &part, &weight))
        for (uint32_t v = 0; v < values; v++)
            shown[v] += weight * all[(size_t)part * values + v];
}

static void show(outdone_check *with, uint32_t at)
{
    const rush_key *key = with->checker->key;
    const rush_column *column = &key->model.columns[at];
    uint32_t values = values_of(&key->characters[at]);
    if (!rush_is_mark(key, at) || rush_doubts_character(with->checker, at) ||
        with->checker->suspect[at] || values < 3 || column->profile_count > PROFILES_MAX)
        return;
    with->shown[at] =
        RUSH_ARRAY(&with->checker->arena, double, (size_t)column->profile_count *values);
    for (uint32_t p = 0; p < column->scored_count; p++)
        show_profile(key, at, p, with->shown[at]);
    for (uint32_t p = column->scored_count; p < column->profile_count; p++)
        show_mixture(key, at, p, with->shown[at]);
    with->most = values > with->most ? values : with->most;
}

/* H of all the pairs, less H of the second value alone. */
static double doubt_left(const double *joint, uint32_t first, uint32_t second)
{
    double bits = 0;
    for (uint32_t b = 0; b < second; b++) {
        double sum = 0;
        for (uint32_t a = 0; a < first; a++) {
            double here = joint[a * second + b];
            sum += here;
            bits -= here > 0 ? here * log2(here) : 0;
        }
        bits += sum > 0 ? sum * log2(sum) : 0;
    }
    return bits;
}

static void add_taxon(outdone_check *with, const rush_taxon *taxon, const uint32_t pair[2])
{
    const rush_key *key = with->checker->key;
    uint32_t first = values_of(&key->characters[pair[0]]),
             second = values_of(&key->characters[pair[1]]);
    memset(with->of_taxon, 0, (size_t)first * second * sizeof(double));
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
        const double *a = with->shown[pair[0]] +
                          (size_t)rush_column_profile(&key->model.columns[pair[0]], f) * first;
        const double *b = with->shown[pair[1]] +
                          (size_t)rush_column_profile(&key->model.columns[pair[1]], f) * second;
        for (uint32_t i = 0; i < first; i++)
            for (uint32_t j = 0; a[i] > 0 && j < second; j++)
                with->of_taxon[i * second + j] += key->forms[f].share * a[i] * b[j];
    }
}

/* What the first of a pair of characters adds to the second, over every `step`-th taxon; as a number of pairs
 * of taxa told apart. */
static double adds(outdone_check *with, const uint32_t pair[2], uint32_t step)
{
    const rush_key *key = with->checker->key;
    uint32_t first = values_of(&key->characters[pair[0]]),
             second = values_of(&key->characters[pair[1]]);
    uint32_t taxa = (key->leaf_count + step - 1) / step;
    double within = 0;
    memset(with->joint, 0, (size_t)first * second * sizeof(double));
    for (uint32_t i = 0; i < key->leaf_count; i += step) {
        add_taxon(with, &key->taxa[key->leaves[i]], pair);
        within += doubt_left(with->of_taxon, first, second) / taxa;
        for (uint32_t v = 0; v < first * second; v++)
            with->joint[v] += with->of_taxon[v] / taxa;
    }
    with->work += (uint64_t)taxa * first * second;
    return (doubt_left(with->joint, first, second) - within) * taxa / 2;
}

/* Whether one is no harder to look at than another, and seen no worse; of two alike, the first in the key. */
static bool is_easier(const rush_key *key, uint32_t easy, uint32_t hard)
{
    const rush_character *a = &key->characters[easy], *b = &key->characters[hard];
    if (a->effort > b->effort || a->reach > b->reach || a->error > b->error)
        return false;
    bool alike = a->effort == b->effort && a->reach == b->reach && a->error == b->error;
    return !alike || easy < hard;
}

static void complain(rush_checker *checker, uint32_t hard, uint32_t easy)
{
    const rush_key *key = checker->key;
    rush_diagnostic *made =
        rush_find(checker, RUSH_OUTDONE_CHARACTER, key->character_marks[hard],
                  "'%s' separates nothing that '%s' does not, which is no harder to see",
                  key->characters[hard].id, key->characters[easy].id);
    rush_mark other = key->character_marks[easy];
    rush_diagnose_other(checker->list, made, other.source, other.span, "the other one");
    rush_diagnose_help(
        checker->list, made,
        "leave it out, unless it confirms what is often misread, or score it more finely");
}

/* The first one that outdoes a character. */
static void check_one(outdone_check *with, uint32_t hard, uint32_t step)
{
    static const double needless = RUSH_LEAST_GAIN;
    const rush_key *key = with->checker->key;
    for (uint32_t easy = 0; easy < key->character_count && with->work <= 2u * WORK_MAX; easy++) {
        const uint32_t pair[2] = {hard, easy};
        if (easy == hard || !with->shown[easy] || !is_easier(key, easy, hard))
            continue;
        if (adds(with, pair, step) > needless || (step > 1 && adds(with, pair, 1) > needless))
            continue;
        complain(with->checker, hard, easy);
        return;
    }
}

void rush_check_outdone(rush_checker *checker)
{
    const rush_key *key = checker->key;
    outdone_check with = {.checker = checker,
                          .shown = RUSH_ARRAY(&checker->arena, double *, key->character_count)};
    if (key->leaf_count < LEAVES_MIN || rush_part_is_lost(checker))
        return;
    for (uint32_t c = 0; c < key->character_count; c++)
        show(&with, c);
    with.joint = RUSH_ARRAY(&checker->arena, double, (size_t)with.most *with.most);
    with.of_taxon = RUSH_ARRAY(&checker->arena, double, (size_t)with.most *with.most);
    double all = (double)key->character_count * key->character_count * key->leaf_count *
                 with.most * with.most / WORK_MAX;
    uint32_t step = all > 1 ? (uint32_t)all + 1 : 1;
    static const double nothing = 1e-9;
    double *mass = RUSH_ARRAY(&checker->arena, double, key->form_count);
    for (uint32_t f = 0; f < key->form_count; f++)
        mass[f] = key->forms[f].share;
    for (uint32_t c = 0; c < key->character_count; c++)
        if (with.shown[c] && rush_information(checker->adviser, c, mass) > nothing)
            check_one(&with, c, step);
}
