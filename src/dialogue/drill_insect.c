/* The insect in play: what it shows, in which order, and what tells it from another. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "advise/effort.h"
#include "advise/look.h"
#include "advise/strikes.h"
#include "base/unicode.h"
#include "dialogue/drill.h"
#include "rushlight/apart.h"
#include "sighting/sighting.h"

/* ---- what can be played ---------------------------------------------------------------------------- */

static void add_sex(rush_drill *drill, uint32_t taxon, rush_sex sex, const double *weights)
{
    const rush_taxon *owner = &drill->key->taxa[taxon];
    for (uint32_t f = owner->first_form; f < owner->first_form + owner->form_count; f++) {
        rush_sex its = drill->key->forms[f].sex;
        if (sex == RUSH_SEX_ANY || its == RUSH_SEX_ANY || its == sex)
            drill->pool[f] = weights[f];
    }
}

/* In the sex in which each pair is hard. A part of one taxon has no pair: it stays as it is. */
static bool fill_with_pairs(rush_drill *drill, const double *weights)
{
    rush_hard_pair pairs[RUSH_DRILL_PAIRS];
    uint32_t count =
        rush_apart_hardest(drill->key, drill->options.part, RUSH_NONE, pairs, RUSH_DRILL_PAIRS);
    if (count == RUSH_NONE)
        return false;
    for (uint32_t i = 0; i < count; i++) {
        add_sex(drill, pairs[i].taxon, pairs[i].sex, weights);
        add_sex(drill, pairs[i].other, pairs[i].sex, weights);
    }
    if (!count)
        memcpy(drill->pool, weights, drill->key->form_count * sizeof *weights);
    return true;
}

bool rush_drill_fill_pool(rush_drill *drill)
{
    const rush_part *part = drill->options.part;
    const double *weights = part ? part->prior : drill->meeting.weights;
    if (drill->options.hard)
        return fill_with_pairs(drill, weights);
    memcpy(drill->pool, weights, drill->key->form_count * sizeof *weights);
    return true;
}

/* ---- the order of seeing --------------------------------------------------------------------------- */

static bool seen_before(const rush_key *key, uint32_t a, uint32_t b)
{
    const rush_character *one = &key->characters[a], *other = &key->characters[b];
    if (one->reach != other->reach)
        return one->reach < other->reach;
    if (rush_strikes(one) != rush_strikes(other))
        return rush_strikes(one) < rush_strikes(other);
    return a < b;
}

/* Whether a character tells anything about what can be played. */
static bool tells(const rush_drill *drill, uint32_t character, const double *mass)
{
    const rush_character *owner = &drill->key->characters[character];
    return owner->look_next && !owner->setting && owner->kind != RUSH_KIND_TAXON &&
           character != RUSH_SEX_CHARACTER && character != RUSH_FORM_CHARACTER &&
           owner->reach <= drill->options.reach &&
           !(drill->options.set && rush_sighting_find(drill->options.set, character)) &&
           rush_information(drill->adviser, character, mass) >= RUSH_LEAST_GAIN;
}

/* One taxon alone is told from all others of the key. */
void rush_drill_sort_characters(rush_drill *drill)
{
    double *mass = drill->meeting.weights, sum = 0;
    uint32_t taxa, due;
    rush_drill_count(drill, &taxa, &due);
    const double *weights = taxa > 1 ? drill->pool : drill->key->model.prior;
    for (uint32_t f = 0; f < drill->key->form_count; f++)
        sum += weights[f];
    for (uint32_t f = 0; f < drill->key->form_count; f++)
        mass[f] = weights[f] / sum;
    drill->order_count = 0;
    for (uint32_t c = 0; c < drill->key->character_count; c++) {
        if (!tells(drill, c, mass))
            continue;
        uint32_t at = drill->order_count++;
        for (; at && seen_before(drill->key, c, drill->order[at - 1]); at--)
            drill->order[at] = drill->order[at - 1];
        drill->order[at] = c;
    }
}

/* ---- an insect ------------------------------------------------------------------------------------- */

static bool is_scored(const rush_drill *drill, uint32_t character)
{
    const rush_trait *trait = rush_key_trait(drill->key, drill->view.form, character, NULL);
    return trait && (trait->kind == RUSH_TRAIT_STATES || trait->kind == RUSH_TRAIT_NUMBER);
}

/* A state that a form shows in 15 of a hundred, or at least a fifth as often as its likeliest; of an occasion, one that
 * the key lists for it. Our choice, no published source. */
static bool is_usual(const rush_drill *drill, uint32_t form, uint32_t character, uint32_t state)
{
    static const double least = 0.15, of_most = 0.2;
    const rush_character *owner = &drill->key->characters[character];
    const rush_trait *trait = rush_key_trait(drill->key, form, character, NULL);
    double most = 0;
    if (trait->kind != RUSH_TRAIT_STATES)
        return trait->kind == RUSH_TRAIT_NUMBER;
    for (uint32_t s = 0; s < owner->state_count; s++)
        most = fmax(most, trait->weights[s]);
    return owner->setting ? trait->weights[state] > 0
                          : trait->weights[state] >= fmin(least, of_most * most);
}

/* What is odd would teach the wrong thing: a darter with folded wings, another month. */
static bool see_state(const rush_drill *drill, uint32_t character, rush_seen *seen)
{
    enum { DRAWS = 200 };
    rush_view view = drill->view;
    for (int i = 0; i < DRAWS; i++, view.seed++)
        if (rush_view_look(&view, character, 0, seen) &&
            is_usual(drill, view.form, character, seen->state))
            return true;
    return false;
}

/* As somebody sees it who looks with care: a number is the mean of several looks. False when there is nothing to
 * see. */
static bool see(const rush_drill *drill, uint32_t character, rush_seen *seen)
{
    enum { LOOKS = 9 };
    double sum = 0;
    if (!is_scored(drill, character))
        return false;
    if (drill->key->characters[character].kind != RUSH_KIND_NUMBER)
        return see_state(drill, character, seen);
    for (uint32_t look = 0; look < LOOKS; look++) {
        if (!rush_view_look(&drill->view, character, look, seen))
            return false;
        sum += seen->value;
    }
    seen->value = round(sum / LOOKS / seen->step) * seen->step;
    return true;
}

static bool look(const rush_drill *drill, uint32_t character, rush_drill_mark *mark)
{
    rush_seen seen;
    if (!see(drill, character, &seen))
        return false;
    *mark = (rush_drill_mark){.character = character, .state = seen.state, .value = seen.value};
    return true;
}

static void know(rush_drill *drill, uint32_t character)
{
    rush_seen seen;
    if (see(drill, character, &seen))
        rush_seen_answer(&seen, character, drill->sighting);
}

static void draw_occasion(rush_drill *drill)
{
    rush_seen seen;
    for (uint32_t c = 0; c < drill->key->character_count; c++) {
        if (!drill->key->characters[c].setting || rush_sighting_find(drill->sighting, c) ||
            !see(drill, c, &seen))
            continue;
        drill->occasion[drill->occasion_count++] =
            (rush_drill_mark){.character = c, .state = seen.state, .value = seen.value};
        rush_seen_answer(&seen, c, drill->sighting);
    }
}

/* A taxon that the part leaves out is compared within the whole key. */
static const rush_ranking *rank(const rush_drill *drill, uint32_t named)
{
    const rush_part *part = drill->options.part;
    rush_rank_options options = {
        .part = part && (named == RUSH_NONE || part->taxa[named]) ? part : NULL};
    return rush_rank(drill->ranker, drill->sighting, &options);
}

bool rush_drill_play(rush_drill *drill, uint32_t form)
{
    drill->view = (rush_view){.key = drill->key,
                              .seed = drill->options.seed,
                              .number = drill->reply.round,
                              .form = form,
                              .in_mind = RUSH_NONE};
    drill->mark_count = drill->shown = drill->occasion_count = 0;
    rush_sighting_clear(drill->sighting);
    if (drill->options.set && !rush_sighting_merge(drill->sighting, drill->options.set))
        return false;
    draw_occasion(drill);
    for (uint32_t i = 0; i < drill->order_count; i++)
        drill->mark_count += look(drill, drill->order[i], &drill->marks[drill->mark_count]);
    rush_drill_drop_nonsense(drill);
    return true;
}

uint32_t rush_drill_show(rush_drill *drill, uint32_t count)
{
    uint32_t before = drill->shown;
    for (; drill->shown < drill->mark_count && drill->shown - before < count; drill->shown++) {
        drill->marks[drill->shown].seen = true;
        know(drill, drill->marks[drill->shown].character);
    }
    return drill->shown - before;
}

void rush_drill_bring_forward(rush_drill *drill)
{
    const rush_ranking *ranking = rank(drill, RUSH_NONE);
    uint32_t best = drill->shown;
    double most = -1;
    for (uint32_t m = drill->shown; m < drill->mark_count; m++) {
        uint32_t character = drill->marks[m].character;
        double gain = rush_information(drill->adviser, character, ranking->forms) /
                      rush_beginner_effort(&drill->key->characters[character]);
        if (gain > most) {
            most = gain;
            best = m;
        }
    }
    for (rush_drill_mark told = drill->marks[best]; best > drill->shown; best--) {
        drill->marks[best] = drill->marks[best - 1];
        drill->marks[best - 1] = told;
    }
}

/* ---- what tells ------------------------------------------------------------------------------------ */

static uint32_t answer_of(const rush_drill *drill, uint32_t character)
{
    uint32_t at = 0;
    while (rush_sighting_answer(drill->sighting, at)->character != character)
        at++;
    return at;
}

static bool opposite(rush_sex a, rush_sex b)
{
    return a != RUSH_SEX_ANY && b != RUSH_SEX_ANY && a != b;
}

/* How well a form may stand beside another: not of the other sex, then of the same name, then of the same sex. */
static unsigned likeness_of(const rush_form *form, const rush_form *truth)
{
    bool same_name = form->name && truth->name && strcmp(form->name, truth->name) == 0;
    bool same_sex = form->sex == truth->sex && truth->sex != RUSH_SEX_ANY;
    return 4 * !opposite(form->sex, truth->sex) + 2 * same_name + same_sex;
}

/* Like is compared with like, immature males with immature males: of a taxon the form that is most alike, of several
 * the likeliest. */
static uint32_t find_like(const rush_ranking *ranking, uint32_t taxon, const rush_form *truth)
{
    const rush_form *forms = ranking->key->forms;
    uint32_t best = ranking->key->taxa[taxon].first_form;
    uint32_t end = best + ranking->key->taxa[taxon].form_count;
    for (uint32_t f = best + 1; f < end; f++) {
        unsigned likeness = likeness_of(&forms[f], truth),
                 most = likeness_of(&forms[best], truth);
        if (likeness > most || (likeness == most && ranking->forms[f] > ranking->forms[best]))
            best = f;
    }
    return best;
}

/* The form to compare with: of the taxon that was named, else of the likeliest other one. */
static uint32_t find_other(const rush_ranking *ranking, uint32_t form, uint32_t named)
{
    const rush_form *truth = &ranking->key->forms[form];
    if (named != RUSH_NONE && named != truth->taxon)
        return find_like(ranking, named, truth);
    for (uint32_t i = 0; i < ranking->candidate_count; i++)
        if (ranking->candidates[i].taxon != truth->taxon)
            return find_like(ranking, ranking->candidates[i].taxon, truth);
    return RUSH_NONE;
}

/* The nearest genus or family of a taxon in which another stands too. */
static uint32_t find_shared(const rush_key *key, uint32_t taxon, uint32_t other)
{
    for (uint32_t at = taxon; at != RUSH_NONE; at = key->taxa[at].parent)
        if ((key->taxa[at].rank == RUSH_RANK_GENUS || key->taxa[at].rank == RUSH_RANK_FAMILY) &&
            rush_key_within(key, other, at))
            return at;
    return RUSH_NONE;
}

static double listed_part(const rush_ranking *ranking, uint32_t taxon)
{
    double listed = 1 - ranking->unlisted;
    return listed > 0 ? ranking->taxa[taxon] / listed : 0;
}

static bool is_known_of(const rush_drill *drill, uint32_t form, uint32_t character)
{
    const rush_trait *trait = rush_key_trait(drill->key, form, character, NULL);
    return trait && trait->kind != RUSH_TRAIT_UNSCORED;
}

/* Since no mark is misread, it fits what the key says or does not: a colour that could have been taken for another
 * fits no better for it. */
static bool fits(const rush_drill *drill, const rush_drill_mark *mark, uint32_t form)
{
    if (drill->key->characters[mark->character].kind == RUSH_KIND_NUMBER)
        return !rush_answer_sits_badly(drill->ranker, answer_of(drill, mark->character), form);
    return is_usual(drill, form, mark->character, mark->state);
}

/* Of the marks that tell two forms apart, the best in which this insect speaks for what it is and shows what the other
 * does not; none that is much weaker than the best. */
static void find_deciding(rush_drill *drill, uint32_t other)
{
    static const double least = 0.5; /* bits */
    rush_drill_outcome *outcome = &drill->outcome;
    uint32_t count;
    const rush_look *looks =
        rush_tell_apart(drill->adviser, outcome->form, other, drill->options.reach, &count);
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t m = 0; m < drill->mark_count; m++) {
            uint32_t character = drill->marks[m].character;
            if (character != looks[i].character ||
                outcome->deciding_count == RUSH_DRILL_DECIDING ||
                looks[i].gain < looks[0].gain / 3 || !is_known_of(drill, other, character) ||
                fits(drill, &drill->marks[m], other) ||
                rush_answer_bits(drill->ranker, answer_of(drill, character), outcome->form,
                                 other) < least)
                continue;
            drill->deciding[outcome->deciding_count] = drill->marks[m];
            drill->deciding[outcome->deciding_count++].gain = looks[i].gain;
        }
}

static void tell_marks(rush_drill *drill)
{
    uint32_t other = drill->outcome.other;
    for (uint32_t m = 0; m < drill->shown; m++) {
        rush_drill_mark *told = &drill->told[m];
        *told = drill->marks[m];
        if (other == RUSH_NONE || !is_known_of(drill, other, told->character))
            continue;
        told->fits = fits(drill, told, other);
        told->against = !told->fits;
    }
}

void rush_drill_judge(rush_drill *drill, rush_drill_result result, uint32_t named)
{
    uint32_t truth = drill->key->forms[drill->view.form].taxon;
    const rush_ranking *ranking = rank(drill, named);
    rush_drill_outcome *outcome = &drill->outcome;
    *outcome = (rush_drill_outcome){
        .result = result,
        .form = drill->view.form,
        .named = named,
        .sex = named == RUSH_NONE ? RUSH_SEX_ANY : outcome->sex,
        .group = result == RUSH_DRILL_WRONG ? find_shared(drill->key, truth, named) : RUSH_NONE,
        .other = find_other(ranking, drill->view.form, named),
        .marks = drill->told,
        .mark_count = drill->shown,
        .deciding = drill->deciding,
        .probability = listed_part(ranking, truth),
        .card = rush_drill_card_of(drill, truth)};
    if (outcome->other != RUSH_NONE)
        outcome->probability_other =
            listed_part(ranking, drill->key->forms[outcome->other].taxon);
    bool all_shown = drill->shown == drill->mark_count;
    outcome->fair =
        (result == RUSH_DRILL_WRONG || (result == RUSH_DRILL_GIVEN_UP && all_shown)) &&
        outcome->probability_other >= outcome->probability;
    tell_marks(drill);
    if (outcome->other == RUSH_NONE)
        return;
    for (uint32_t m = drill->shown; m < drill->mark_count; m++)
        know(drill, drill->marks[m].character);
    rank(drill, named);
    find_deciding(drill, outcome->other);
}
