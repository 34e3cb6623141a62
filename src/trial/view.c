#include "trial/view.h"

#include <math.h>
#include <stdlib.h>

#include "sighting/sighting.h"
#include "trial/misread.h"

/* Draws of one character in one view, which must not depend on each other. */
enum { DRAW_UNSEEN, DRAW_TRUTH, DRAW_IN_MIND, DRAW_LOOK };

static rush_random draw_of(const rush_view *view, uint32_t character, uint32_t what)
{
    return rush_random_at(view->seed, view->number, (uint64_t)character << 32 | what);
}

/* What the insect shows. */
typedef struct shown {
    bool shows; /* the character applies */
    uint32_t state;
    double value;
} shown;

static shown show_number(const rush_profile *profile, rush_random *random)
{
    return (shown){true, 0, profile->mean + profile->sd * rush_random_normal(random)};
}

/* Nothing is known: any state, any number of the span. */
static shown show_anything(const rush_character *character, rush_random *random)
{
    shown any = {.shows = true};
    if (character->kind == RUSH_KIND_NUMBER)
        any.value =
            character->low + rush_random_unit(random) * (character->high - character->low);
    else
        any.state = rush_random_below(random, character->state_count);
    return any;
}

static double sum_of(const double *weights, uint32_t count)
{
    double sum = 0;
    for (uint32_t i = 0; i < count; i++)
        sum += weights[i];
    return sum;
}

/* The part of a mixture that this insect is; RUSH_NONE: it answers evenly. */
static uint32_t pick_part(const rush_key *key, uint32_t character, uint32_t mixture,
                          rush_random *random)
{
    double weight, left = rush_random_unit(random);
    rush_mixture_parts parts = rush_mixture_begin(key, character, mixture);
    uint32_t part, last = RUSH_NONE;
    while (rush_mixture_next(&parts, &part, &weight)) {
        left -= weight;
        if (left < 0)
            return part;
        last = part;
    }
    return parts.even > 0 ? RUSH_NONE : last;
}

static shown draw_profile(const rush_key *key, uint32_t character, uint32_t form,
                          rush_random *random)
{
    const rush_character *owner = &key->characters[character];
    const rush_column *column = &key->model.columns[character];
    if (!column->profile_count)
        return (shown){0};
    uint32_t at = rush_column_profile(column, form);
    if (at >= column->scored_count)
        at = pick_part(key, character, at, random);
    if (at == RUSH_NONE)
        return show_anything(owner, random);
    const rush_profile *profile = &column->profiles[at];
    switch (profile->kind) {
    case RUSH_PROFILE_STATE:
        return (shown){true, profile->state, 0};
    case RUSH_PROFILE_NUMBER:
        return show_number(profile, random);
    case RUSH_PROFILE_INAPPLICABLE:
        return (shown){0};
    default:
        return (shown){true,
                       rush_random_of(random, profile->weights, owner->state_count,
                                      sum_of(profile->weights, owner->state_count)),
                       0};
    }
}

/* ---- reading it ----------------------------------------------------------------------------------- */

static uint32_t misread_state(const rush_key *key, uint32_t character, uint32_t state,
                              rush_random *random)
{
    uint32_t states = key->characters[character].state_count, last = state;
    double left = rush_random_unit(random);
    for (uint32_t s = 0; s < states && left >= 0; s++) {
        double part = rush_misread_part(key, character, state, s);
        if (part > 0)
            last = s;
        left -= part;
    }
    return last;
}

/* As finely as somebody would write it: to the power of ten below one sd of the reading, at most to whole units,
 * and never finer than the character's resolution. So a plain number in an observation line says the same. */
static double written_step(const rush_character *character, double error)
{
    double sd = error > 0 ? error : (character->high - character->low) / 1000;
    double step = sd > 0 && sd < 1 ? pow(10, floor(log10(sd))) : 1;
    return fmax(step, character->resolution);
}

static void read_number(const rush_character *character, const shown *truth, bool wrong,
                        rush_random *random, rush_seen *seen)
{
    double error = character->reading_error;
    if (character->reading_error_relative)
        error *= fabs(truth->value);
    double value = truth->value + error * rush_random_normal(random);
    if (wrong)
        value = show_anything(character, random).value;
    seen->step = written_step(character, error);
    seen->value = round(value / seen->step) * seen->step;
    if (character->low >= 0)
        seen->value = fmax(seen->value, seen->step / 2); /* nobody reads a length below nothing */
}

/* Whether this look is at what the observer has in mind. */
static bool leans(const rush_view *view, uint32_t character)
{
    if (view->in_mind == RUSH_NONE)
        return false;
    rush_random random = draw_of(view, character, DRAW_IN_MIND);
    return rush_random_unit(&random) < view->leans;
}

static bool is_unseen(const rush_view *view, uint32_t character)
{
    rush_random random = draw_of(view, character, DRAW_UNSEEN);
    return rush_random_unit(&random) < view->unseen;
}

bool rush_view_look(const rush_view *view, uint32_t character, uint32_t look, rush_seen *seen)
{
    const rush_character *owner = &view->key->characters[character];
    rush_random random = draw_of(view, character, DRAW_TRUTH);
    shown truth = draw_profile(view->key, character, view->form, &random);
    *seen = (rush_seen){.state = truth.state};
    if (owner->setting)
        return truth.shows;
    if (!truth.shows || is_unseen(view, character))
        return false;
    random = draw_of(view, character, DRAW_LOOK + (view->stubborn ? 0 : look));
    bool wrong = rush_random_unit(&random) < fmin(owner->misread * view->misread, 1);
    uint32_t true_state = truth.state;
    bool leaning = leans(view, character);
    if (leaning) {
        shown expected = draw_profile(view->key, character, view->in_mind, &random);
        truth = expected.shows ? expected : truth;
        seen->state = truth.state;
    }
    if (owner->kind == RUSH_KIND_NUMBER) {
        read_number(owner, &truth, wrong, &random, seen);
        seen->misread = wrong || leaning;
        return true;
    }
    if (wrong)
        seen->state = misread_state(view->key, character, truth.state, &random);
    seen->misread = seen->state != true_state;
    return true;
}

void rush_seen_answer(const rush_seen *seen, uint32_t character, rush_sighting *sighting)
{
    rush_answer *answer = rush_sighting_add(sighting, character);
    if (!answer)
        return;
    if (sighting->key->characters[character].kind == RUSH_KIND_NUMBER) {
        answer->low = seen->value - seen->step / 2;
        answer->high = seen->value + seen->step / 2;
    } else {
        rush_sighting_set(sighting, character)[seen->state / 64] |= UINT64_C(1)
                                                                    << seen->state % 64;
        answer->state_count = 1;
    }
    answer->given = (rush_text){"", 0};
}

/* ---- what is met ---------------------------------------------------------------------------------- */

/* How many occasions suit a form: over the settings, the product of the sums of suitabilities. */
static double occasions(const rush_key *key, uint32_t form)
{
    double product = 1;
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_column *column = &key->model.columns[c];
        if (key->characters[c].setting && column->profile_count)
            product *= sum_of(column->profiles[rush_column_profile(column, form)].weights,
                              key->characters[c].state_count);
    }
    return product;
}

bool rush_meeting_begin(rush_meeting *meeting, const rush_key *key, bool evenly)
{
    *meeting = (rush_meeting){key, calloc(key->form_count, sizeof(double))};
    for (uint32_t f = 0; meeting->weights && f < key->form_count; f++) {
        meeting->weights[f] = key->forms[f].share;
        if (!evenly)
            meeting->weights[f] *= key->taxa[key->forms[f].taxon].occurrence * occasions(key, f);
    }
    return meeting->weights;
}

void rush_meeting_free(rush_meeting *meeting)
{
    free(meeting->weights);
    *meeting = (rush_meeting){0};
}

uint32_t rush_meeting_form(const rush_meeting *meeting, uint64_t seed, uint64_t number,
                           uint32_t within)
{
    const rush_key *key = meeting->key;
    uint32_t first = within == RUSH_NONE ? 0 : key->taxa[within].first_form;
    uint32_t count = within == RUSH_NONE ? key->form_count : key->taxa[within].form_count;
    const double *weights = meeting->weights + first;
    rush_random random = rush_random_at(seed, number, RUSH_COLUMN_OF_FORM);
    return first + rush_random_of(&random, weights, count, sum_of(weights, count));
}

static bool opposite(rush_sex a, rush_sex b)
{
    return a != RUSH_SEX_ANY && b != RUSH_SEX_ANY && a != b;
}

/* The weight of a form as a look-alike of another one. */
static double likeness(const rush_meeting *meeting, uint32_t form, uint32_t other, bool any_sex)
{
    const rush_form *forms = meeting->key->forms;
    bool fits = forms[other].taxon != forms[form].taxon &&
                (any_sex || !opposite(forms[other].sex, forms[form].sex));
    return fits ? meeting->weights[other] : 0;
}

/* By weight among the forms of a group; RUSH_NONE when it has none. */
static uint32_t pick_like(const rush_meeting *meeting, const rush_taxon *group, uint32_t form,
                          bool any_sex, rush_random *random)
{
    uint32_t end = group->first_form + group->form_count, last = RUSH_NONE;
    double total = 0;
    for (uint32_t f = group->first_form; f < end; f++)
        total += likeness(meeting, form, f, any_sex);
    double left = rush_random_unit(random) * total;
    for (uint32_t f = group->first_form; f < end && left >= 0; f++) {
        double weight = likeness(meeting, form, f, any_sex);
        if (weight > 0)
            last = f;
        left -= weight;
    }
    return last;
}

uint32_t rush_meeting_look_alike(const rush_meeting *meeting, uint32_t form, rush_random *random)
{
    const rush_key *key = meeting->key;
    const rush_taxon all = {.parent = RUSH_NONE, .form_count = key->form_count};
    uint32_t at = key->taxa[key->forms[form].taxon].parent;
    for (;; at = key->taxa[at].parent) {
        const rush_taxon *group = at == RUSH_NONE ? &all : &key->taxa[at];
        uint32_t like = pick_like(meeting, group, form, false, random);
        if (like == RUSH_NONE)
            like = pick_like(meeting, group, form, true, random);
        if (like != RUSH_NONE || at == RUSH_NONE)
            return like;
    }
}
