#include <math.h>
#include <string.h>

#include "rank/likelihood.h"
#include "trial/capacity.h"
#include "trial/figures.h"
#include "trial/misread.h"

/* Less is not worth an author's while: bits. */
#define LEAST_SCORED  0.1
#define LEAST_SHARPER 0.1
#define LEAST_REACHED 0.3
#define LEAST_MISREAD 0.05

/* Two profiles of one character. */
typedef struct two_profiles {
    const rush_key *key;
    uint32_t character, one, other;
    uint32_t reports;
    double *law, *other_law; /* scratch: one number a report, */
    double *masses;          /* and one a profile */
} two_profiles;

static rush_profile_kind kind_at(const two_profiles *two, uint32_t at)
{
    return rush_column_kind(&two->key->model.columns[two->character], at);
}

/* Of one that is no mixture. */
static const rush_profile *profile_at(const two_profiles *two, uint32_t at)
{
    return &two->key->model.columns[two->character].profiles[at];
}

static void find_law(const two_profiles *two, uint32_t profile, double *law)
{
    memset(law, 0, two->reports * sizeof *law);
    if (two->key->characters[two->character].kind == RUSH_KIND_NUMBER)
        rush_reports_of_number(two->key, two->character, profile, 1, law);
    else
        rush_reports_of_states(two->key, two->character, profile, 1, law);
}

/* What it tells of the two as they stand. */
static double told(const two_profiles *two)
{
    find_law(two, two->one, two->law);
    find_law(two, two->other, two->other_law);
    return rush_divergence(two->law, two->other_law, two->reports);
}

/* Gathers the masses of the profiles of a group's scored forms, but those of two taxa; false when there are none. */
static bool gather(const two_profiles *two, const rush_taxon *group, uint32_t taxon,
                   uint32_t other)
{
    const rush_key *key = two->key;
    const rush_column *column = &key->model.columns[two->character];
    double total = 0;
    memset(two->masses, 0, column->scored_count * sizeof *two->masses);
    for (uint32_t f = group->first_form; f < group->first_form + group->form_count; f++) {
        uint32_t profile = rush_column_profile(column, f);
        if (key->forms[f].taxon == taxon || key->forms[f].taxon == other ||
            profile >= column->scored_count)
            continue;
        double mass = key->model.prior[f];
        two->masses[profile] += mass;
        total += mass;
    }
    for (uint32_t p = 0; p < column->scored_count && total > 0; p++)
        two->masses[p] /= total;
    return total > 0;
}

/* What is to be expected of it once the one that is unscored is known: it may be like any of its relatives in the
 * nearest group that has any scored. That the other one of the two is scored says nothing of it. */
static double told_once_scored(const two_profiles *two, uint32_t unscored, uint32_t scored,
                               uint32_t law)
{
    const rush_key *key = two->key;
    const rush_taxon all = {.parent = RUSH_NONE, .form_count = key->form_count};
    uint32_t taxon = key->forms[unscored].taxon, other = key->forms[scored].taxon;
    uint32_t at = key->taxa[taxon].parent;
    while (!gather(two, at == RUSH_NONE ? &all : &key->taxa[at], taxon, other)) {
        if (at == RUSH_NONE)
            return 0;
        at = key->taxa[at].parent;
    }
    double sum = 0;
    find_law(two, law, two->other_law);
    for (uint32_t p = 0; p < key->model.columns[two->character].scored_count; p++) {
        if (!(two->masses[p] > 0))
            continue;
        find_law(two, p, two->law);
        sum += two->masses[p] * rush_divergence(two->law, two->other_law, two->reports);
    }
    return sum;
}

/* The likeliest state of a profile; RUSH_NONE: it has no states. */
static uint32_t likeliest(const two_profiles *two, uint32_t at)
{
    if (kind_at(two, at) == RUSH_PROFILE_MIXTURE)
        return RUSH_NONE;
    const rush_profile *profile = profile_at(two, at);
    uint32_t best = 0;
    if (profile->kind == RUSH_PROFILE_STATE)
        return profile->state;
    if (profile->kind != RUSH_PROFILE_STATES)
        return RUSH_NONE;
    for (uint32_t s = 1; s < two->key->characters[two->character].state_count; s++)
        if (profile->weights[s] > profile->weights[best])
            best = s;
    return best;
}

/* How insects that all show one state are reported; that need not be a profile of the character. */
static void law_of_state(const two_profiles *two, uint32_t state, double *law)
{
    double error = two->key->characters[two->character].error;
    for (uint32_t s = 0; s < two->reports; s++)
        law[s] = s == state ? 1 - error
                            : error * rush_misread_part(two->key, two->character, state, s);
}

/* What it would tell if each showed its likeliest state alone. */
static double told_if_sharp(const two_profiles *two)
{
    uint32_t one = likeliest(two, two->one), other = likeliest(two, two->other);
    if (one == RUSH_NONE || other == RUSH_NONE || one == other)
        return 0;
    law_of_state(two, one, two->law);
    law_of_state(two, other, two->other_law);
    return rush_divergence(two->law, two->other_law, two->reports);
}

/* What the states alone tell, were they never misread. */
static void law_unread(const two_profiles *two, uint32_t at, double *law)
{
    double error = two->key->characters[two->character].error;
    find_law(two, at, law);
    if (kind_at(two, at) == RUSH_PROFILE_MIXTURE)
        return;
    const rush_profile *profile = profile_at(two, at);
    if (profile->kind == RUSH_PROFILE_NUMBER)
        for (uint32_t r = 0; r < two->reports; r++)
            law[r] = fmax(law[r] - error / two->reports, 0) / (1 - error);
    else if (profile->kind == RUSH_PROFILE_STATES)
        memcpy(law, profile->weights, two->reports * sizeof *law);
    else if (profile->kind == RUSH_PROFILE_STATE)
        for (uint32_t r = 0; r < two->reports; r++)
            law[r] = r == profile->state;
}

static double told_if_read(const two_profiles *two)
{
    law_unread(two, two->one, two->law);
    law_unread(two, two->other, two->other_law);
    return rush_divergence(two->law, two->other_law, two->reports);
}

/* ---- the best of them ----------------------------------------------------------------------------- */

/* The best that each way of mending offers. */
typedef struct offer {
    uint32_t character;
    double bits;
} offer;

static void take_better(offer *best, uint32_t character, double bits)
{
    if ((float)bits > (float)best->bits)
        *best = (offer){character, bits};
}

static void weigh(const two_profiles *two, const rush_confusion *confusion, rush_reach reach,
                  offer *offers)
{
    rush_profile_kind one = kind_at(two, two->one), other = kind_at(two, two->other);
    double now = told(two);
    if (two->key->characters[two->character].reach > reach) {
        take_better(&offers[RUSH_MEND_REACH], two->character, now);
        return;
    }
    if (one == RUSH_PROFILE_MIXTURE && other == RUSH_PROFILE_MIXTURE)
        return; /* nothing says that it would tell them apart */
    if (one == RUSH_PROFILE_MIXTURE || other == RUSH_PROFILE_MIXTURE) {
        bool first = one == RUSH_PROFILE_MIXTURE;
        double then =
            first ? told_once_scored(two, confusion->form, confusion->other_form, two->other)
                  : told_once_scored(two, confusion->other_form, confusion->form, two->one);
        take_better(&offers[RUSH_MEND_SCORE], two->character, then - now);
        return;
    }
    if (one == RUSH_PROFILE_STATES || other == RUSH_PROFILE_STATES)
        take_better(&offers[RUSH_MEND_SHARPEN], two->character, told_if_sharp(two) - now);
    take_better(&offers[RUSH_MEND_MISREAD], two->character, told_if_read(two) - now);
}

/* The way that is first in an author's power: to score what is unscored, to sharpen what is vague; then to see
 * it better; then to make it less misread. */
static void choose(const offer *offers, rush_confusion *confusion)
{
    static const struct {
        rush_mend mend;
        double least;
    } ways[] = {{RUSH_MEND_SCORE, LEAST_SCORED},
                {RUSH_MEND_SHARPEN, LEAST_SHARPER},
                {RUSH_MEND_REACH, LEAST_REACHED},
                {RUSH_MEND_MISREAD, LEAST_MISREAD}};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++)
        if (offers[ways[i].mend].bits >= ways[i].least) {
            confusion->mend = ways[i].mend;
            confusion->character = offers[ways[i].mend].character;
            confusion->bits = offers[ways[i].mend].bits;
            return;
        }
}

void rush_confusion_mend(const rush_key *key, rush_reach reach, rush_arena *arena,
                         rush_confusion *confusion)
{
    offer offers[RUSH_MEND_MISREAD + 1] = {0};
    uint32_t most = RUSH_BINS, most_profiles = 1;
    for (uint32_t c = 0; c < key->character_count; c++) {
        uint32_t profiles = key->model.columns[c].scored_count;
        most = key->characters[c].state_count > most ? key->characters[c].state_count : most;
        most_profiles = profiles > most_profiles ? profiles : most_profiles;
    }
    two_profiles two = {.key = key,
                        .law = RUSH_ARRAY(arena, double, most),
                        .other_law = RUSH_ARRAY(arena, double, most),
                        .masses = RUSH_ARRAY(arena, double, most_profiles)};
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        const rush_column *column = &key->model.columns[c];
        if (character->setting || !character->look_next || !column->profile_count)
            continue;
        two.character = c;
        two.reports = character->kind == RUSH_KIND_NUMBER ? RUSH_BINS : character->state_count;
        two.one = rush_column_profile(column, confusion->form);
        two.other = rush_column_profile(column, confusion->other_form);
        if (kind_at(&two, two.one) != RUSH_PROFILE_INAPPLICABLE &&
            kind_at(&two, two.other) != RUSH_PROFILE_INAPPLICABLE)
            weigh(&two, confusion, reach, offers);
    }
    choose(offers, confusion);
}
