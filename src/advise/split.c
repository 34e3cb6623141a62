#include "advise/split.h"

#include <math.h>
#include <stdlib.h>

#include "rank/likelihood.h"

/* Bits under which a couplet is not worth its place. */
#define LEAST_SPLIT 0.05
/* States up to which every way to part them in two is tried; above, one is moved at a time. */
enum { ALL_WAYS = 6, STATES_MAX = 64 };
/* Of one character, how many are worth trying to the end: what is best here need not be so further down. */
enum { PER_CHARACTER = 3 };

typedef struct shortlist {
    rush_split *splits;
    uint32_t count, room;
} shortlist;

/* ---- the key, for going through it --------------------------------------------------------------------- */

static bool may_ask(const rush_key *key, uint32_t at, rush_reach reach)
{
    const rush_character *character = &key->characters[at];
    bool asked = at == RUSH_SEX_CHARACTER ||
                 (at >= RUSH_BUILT_IN_CHARACTERS && character->look_next && !character->setting);
    return asked && character->reach <= reach && character->state_count <= STATES_MAX &&
           key->model.columns[at].profile_count &&
           (character->kind == RUSH_KIND_STATES || character->kind == RUSH_KIND_NUMBER);
}

static rush_route route_of(const rush_character *character, const rush_profile *profile)
{
    rush_route route = {.weights = profile->weights};
    double error;
    switch (profile->kind) {
    case RUSH_PROFILE_STATE:
        route.shown = UINT64_C(1) << profile->state;
        break;
    case RUSH_PROFILE_STATES:
        for (uint32_t s = 0; s < character->state_count; s++)
            if (profile->weights[s] >= RUSH_LEAD_SHARE)
                route.shown |= UINT64_C(1) << s;
        break;
    case RUSH_PROFILE_NUMBER:
        error = rush_reading_error(character, NULL, profile->mean);
        route.low = profile->mean - 2 * profile->sd - error;
        route.high = profile->mean + 2 * profile->sd + error;
        route.mean = profile->mean;
        route.sd = hypot(profile->sd, error);
        break;
    default:
        route.open = true;
        route.cannot = profile->kind == RUSH_PROFILE_INAPPLICABLE;
    }
    route.open |= character->kind == RUSH_KIND_STATES && !route.shown;
    return route;
}

/* The chance that a true state is reported as another one (ranking.h's model); row by row. */
static const double *misreads_of(rush_arena *arena, const rush_character *character)
{
    uint32_t states = character->state_count;
    double *misreads = RUSH_ARRAY(arena, double, (size_t)states *states + 1);
    for (uint32_t state = 0; state < states; state++) {
        double *row = misreads + (size_t)state * states;
        uint32_t confused = 0;
        for (uint32_t i = 0; i < character->confused_count; i++) {
            const uint32_t *pair = character->confused[i];
            if (pair[0] == state || pair[1] == state) {
                row[pair[0] == state ? pair[1] : pair[0]] = 1;
                confused++;
            }
        }
        uint32_t others = states - 1 - confused;
        double part = !confused ? 0 : !others ? 1 : RUSH_CONFUSED_PART;
        for (uint32_t as = 0; as < states; as++)
            row[as] = as == state   ? 0
                      : row[as] > 0 ? character->error * part / confused
                                    : character->error * (1 - part) / others;
    }
    return misreads;
}

void rush_keying_init(rush_keying *keying, const rush_part *part,
                      const rush_couplets_options *options)
{
    const rush_key *key = part->key;
    keying->key = key;
    keying->part = part;
    keying->leads = options->leads ? options->leads : 2;
    if (keying->leads > RUSH_LEADS_MAX)
        keying->leads = RUSH_LEADS_MAX;
    keying->characters = RUSH_ARRAY(keying->arena, uint32_t, key->character_count);
    keying->routes = RUSH_ARRAY(keying->arena, const rush_route *, key->character_count);
    keying->leeways = RUSH_ARRAY(keying->arena, rush_leeway, key->character_count);
    keying->misreads = RUSH_ARRAY(keying->arena, const double *, key->character_count);
    uint32_t most = 1;
    for (uint32_t c = 0; c < key->character_count; c++) {
        keying->leeways[c] = (rush_leeway){UINT64_MAX, -INFINITY, INFINITY};
        if (!may_ask(key, c, options->reach))
            continue;
        const rush_column *column = &key->model.columns[c];
        rush_route *routes = RUSH_ARRAY(keying->arena, rush_route, column->profile_count);
        for (uint32_t p = 0; p < column->profile_count; p++)
            routes[p] = p < column->scored_count
                            ? route_of(&key->characters[c], &column->profiles[p])
                            : (rush_route){.open = true};
        keying->routes[c] = routes;
        keying->misreads[c] = misreads_of(keying->arena, &key->characters[c]);
        most = column->profile_count > most ? column->profile_count : most;
        keying->characters[keying->character_count++] = c;
    }
    keying->passages = RUSH_ARRAY(keying->arena, rush_passage, most);
}

static const rush_keyed_form *forms_of(const rush_keying *keying, rush_left left)
{
    return keying->stack.items + left.from;
}

bool rush_left_begins(const rush_keying *keying, rush_left left, uint32_t at)
{
    const rush_keyed_form *form = forms_of(keying, left) + at;
    const rush_form *forms = keying->key->forms;
    return !at || forms[form->form].taxon != forms[form[-1].form].taxon;
}

uint32_t rush_left_taxa(const rush_keying *keying, rush_left left)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < left.count; i++)
        count += rush_left_begins(keying, left, i);
    return count;
}

static int by_mass(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return a < b ? -1 : a > b;
}

double rush_rare_below(double *masses, uint32_t count)
{
    double all = 0, rarely = 0;
    qsort(masses, count, sizeof *masses, by_mass);
    for (uint32_t i = 0; i < count; i++)
        all += masses[i];
    for (uint32_t i = 0; i < count; i++) {
        rarely += masses[i];
        if (!(rarely < RUSH_LEAD_SHARE * all))
            return masses[i];
    }
    return 0;
}

/* ---- where a form goes ------------------------------------------------------------------------------ */

double rush_route_weight(const rush_route *route, uint64_t states)
{
    double sum = 0;
    states &= route->shown;
    if (!route->weights)
        return states != 0;
    for (; states; states &= states - 1)
        sum += route->weights[__builtin_ctzll(states)];
    return sum;
}

double rush_route_between(const rush_route *route, double low, double high)
{
    if (route->high <= low || route->low >= high)
        return 0;
    return rush_interval(fmax(low, route->low), fmin(high, route->high), route->mean, route->sd);
}

double rush_split_share(const rush_keying *keying, const rush_split *split, uint32_t lead,
                        uint32_t form)
{
    double shares[RUSH_LEADS_MAX];
    rush_split_shares(keying, split, rush_route_of(keying, split->character, form), shares);
    return shares[lead];
}

rush_left rush_split_follow(rush_keying *keying, rush_left left, const rush_split *split,
                            uint32_t lead)
{
    rush_left gone = {keying->stack.count, 0};
    for (uint32_t i = 0; i < left.count; i++) {
        rush_keyed_form form = keying->stack.items[left.from + i];
        double share = rush_split_share(keying, split, lead, form.form);
        if (!(share > 0))
            continue;
        *RUSH_PUSH(keying->arena, &keying->stack) = (rush_keyed_form){
            form.form, form.alike * share, form.met * share,
            form.kept * share *
                rush_route_followed(keying, split->character,
                                    rush_route_of(keying, split->character, form.form))};
        gone.count++;
    }
    return gone;
}

/* In single precision: what differs only by rounding is a tie, and the first stays. */
static float rate(const rush_split *split)
{
    return (float)(split->gain / split->cost);
}

/* ---- the best splits of one character --------------------------------------------------------------------- */

static bool same_split(const rush_split *a, const rush_split *b)
{
    uint32_t met = 0;
    for (uint32_t l = 0; l < a->leads; l++)
        for (uint32_t m = 0; m < b->leads; m++)
            met += a->of[l].states == b->of[m].states && a->of[l].low == b->of[m].low &&
                   a->of[l].high == b->of[m].high;
    return a->character == b->character && a->leads == b->leads && met == a->leads;
}

/* The best first; of equal ones, that which was made first. */
static void offer(shortlist *list, const rush_split *made)
{
    if (made->gain < LEAST_SPLIT)
        return;
    for (uint32_t i = 0; i < list->count; i++)
        if (same_split(&list->splits[i], made))
            return;
    uint32_t at = list->count;
    for (; at && rate(&list->splits[at - 1]) < rate(made); at--)
        if (at < list->room)
            list->splits[at] = list->splits[at - 1];
    if (at < list->room)
        list->splits[at] = *made;
    list->count += list->count < list->room;
}

/* States that what is left can show. */
static uint64_t shown_by(const rush_keying *keying, rush_left left, uint32_t character)
{
    uint64_t shown = 0;
    for (uint32_t i = 0; i < left.count; i++)
        shown |= rush_route_of(keying, character, forms_of(keying, left)[i].form)->shown;
    return shown & keying->leeways[character].states;
}

static void try_all_ways(rush_keying *keying, rush_left left, uint32_t character,
                         const uint32_t *states, uint32_t count, shortlist *list)
{
    rush_split made = {.character = character, .leads = 2};
    for (uint32_t way = 1; way < 1u << (count - 1); way++) {
        made.of[0].states = made.of[1].states = 0;
        for (uint32_t s = 0; s < count; s++)
            made.of[way >> s & 1].states |= UINT64_C(1) << states[s];
        rush_split_weigh(keying, left, &made);
        offer(list, &made);
    }
}

static void try_one_by_one(rush_keying *keying, rush_left left, uint32_t character,
                           const uint32_t *states, uint32_t count, shortlist *list)
{
    uint64_t all = 0;
    for (uint32_t s = 0; s < count; s++)
        all |= UINT64_C(1) << states[s];
    rush_split made = {.character = character, .leads = 2};
    for (uint32_t s = 0; s < count; s++) {
        made.of[1].states = UINT64_C(1) << states[s];
        made.of[0].states = all & ~made.of[1].states;
        rush_split_weigh(keying, left, &made);
        offer(list, &made);
    }
}

/* Moves a state to another lead, or to a new one, while that helps. */
static void improve(rush_keying *keying, rush_left left, rush_split *split,
                    const uint32_t *states, uint32_t count)
{
    for (bool better = true; better;) {
        rush_split best = *split;
        for (uint32_t s = 0; s < count; s++) {
            uint64_t bit = UINT64_C(1) << states[s];
            for (uint32_t to = 0; to < keying->leads && to <= split->leads; to++) {
                rush_split made = *split;
                bool empties = false;
                for (uint32_t l = 0; l < made.leads; l++) {
                    made.of[l].states &= ~bit;
                    empties |= !made.of[l].states && l != to;
                }
                if (to == made.leads)
                    made.of[made.leads++].states = 0;
                made.of[to].states |= bit;
                if (empties)
                    continue;
                rush_split_weigh(keying, left, &made);
                if (rate(&made) > rate(&best))
                    best = made;
            }
        }
        better = rate(&best) > rate(split);
        *split = best;
    }
}

static void split_states(rush_keying *keying, rush_left left, uint32_t character, shortlist *list)
{
    uint32_t states[STATES_MAX], count = 0;
    for (uint64_t s = shown_by(keying, left, character); s; s &= s - 1)
        states[count++] = (uint32_t)__builtin_ctzll(s);
    if (count < 2)
        return;
    if (count <= ALL_WAYS)
        try_all_ways(keying, left, character, states, count, list);
    else
        try_one_by_one(keying, left, character, states, count, list);
    if (list->count && (count > ALL_WAYS || keying->leads > 2)) {
        rush_split better = list->splits[0];
        improve(keying, left, &better, states, count);
        offer(list, &better);
    }
}

static int by_value(const void *left, const void *right)
{
    const rush_bound *a = left, *b = right;
    if (a->value != b->value)
        return a->value < b->value ? -1 : 1;
    return a->begins - b->begins;
}

/* As coarse as the character is read. */
static double as_read(const rush_character *character, double value)
{
    double step = character->resolution;
    return step > 0 && isfinite(value) ? round(value / step) * step : value;
}

/* Halfway between two bounds. */
static double cut_between(const rush_character *character, double low, double high)
{
    double cut = (low + high) / 2, rounded = as_read(character, cut);
    return rounded > low && rounded < high ? rounded : cut;
}

/* Between the ranges of what goes along each lead alone: a gap where nothing goes along both. */
static void open_gap(rush_keying *keying, rush_left left, rush_split *split)
{
    const rush_character *character = &keying->key->characters[split->character];
    double cut = split->of[1].low, below = -INFINITY, above = INFINITY;
    for (uint32_t i = 0; i < left.count; i++) {
        const rush_route *route =
            rush_route_of(keying, split->character, forms_of(keying, left)[i].form);
        double error = rush_reading_error(character, NULL, route->mean);
        if (route->open || (route->low < cut && route->high > cut))
            return;
        if (route->high <= cut)
            below = fmax(below, route->high - error);
        else
            above = fmin(above, route->low + error);
    }
    split->of[0].high = fmin(cut, as_read(character, below));
    split->of[1].low = fmax(cut, as_read(character, above));
}

/* Cuts where a range has ended and another begins: there the fewest go both ways. */
static void split_number(rush_keying *keying, rush_left left, uint32_t character, shortlist *list)
{
    const rush_leeway *leeway = &keying->leeways[character];
    keying->bounds.count = 0;
    for (uint32_t i = 0; i < left.count; i++) {
        const rush_route *route =
            rush_route_of(keying, character, forms_of(keying, left)[i].form);
        if (route->open)
            continue;
        *RUSH_PUSH(keying->arena, &keying->bounds) =
            (rush_bound){fmax(route->low, leeway->low), true};
        *RUSH_PUSH(keying->arena, &keying->bounds) =
            (rush_bound){fmin(route->high, leeway->high), false};
    }
    if (!keying->bounds.count)
        return;
    qsort(keying->bounds.items, keying->bounds.count, sizeof(rush_bound), by_value);
    for (uint32_t i = 0; i + 1 < keying->bounds.count; i++) {
        const rush_bound *bounds = keying->bounds.items + i;
        double low = bounds[0].value, high = bounds[1].value;
        if (bounds[0].begins || !bounds[1].begins || !(low < high))
            continue;
        double cut = cut_between(&keying->key->characters[character], low, high);
        rush_split made = {.character = character,
                           .leads = 2,
                           .of = {{0, leeway->low, cut}, {0, cut, leeway->high}}};
        rush_split_weigh(keying, left, &made);
        offer(list, &made);
    }
    for (uint32_t i = 0; i < list->count; i++)
        open_gap(keying, left, &list->splits[i]);
}

/* Whether an insect that is left could not answer: to it the character does not apply. */
static bool cannot_show(const rush_keying *keying, rush_left left, uint32_t character)
{
    for (uint32_t i = 0; i < left.count; i++)
        if (rush_route_of(keying, character, forms_of(keying, left)[i].form)->cannot)
            return true;
    return false;
}

static void split_character(rush_keying *keying, rush_left left, uint32_t character,
                            shortlist *list)
{
    if (cannot_show(keying, left, character))
        return;
    if (keying->key->characters[character].kind == RUSH_KIND_NUMBER)
        split_number(keying, left, character, list);
    else
        split_states(keying, left, character, list);
}

uint32_t rush_splits_find(rush_keying *keying, rush_left left, rush_split *splits, uint32_t room,
                          bool further)
{
    rush_split others[RUSH_FURTHER];
    shortlist first = {splits, 0, room}, second = {others, 0, further ? RUSH_FURTHER : 0};
    for (uint32_t i = 0; i < keying->character_count; i++) {
        rush_split best[PER_CHARACTER];
        shortlist list = {best, 0, further ? PER_CHARACTER : 1};
        split_character(keying, left, keying->characters[i], &list);
        for (uint32_t s = 0; s < list.count; s++)
            offer(s ? &second : &first, &best[s]);
    }
    for (uint32_t s = 0; s < second.count; s++)
        splits[first.count + s] = others[s];
    return first.count + second.count;
}

bool rush_split_sexes(rush_keying *keying, rush_left left, rush_split *split)
{
    if (!keying->routes[RUSH_SEX_CHARACTER])
        return false;
    uint64_t shown = shown_by(keying, left, RUSH_SEX_CHARACTER);
    if (__builtin_popcountll(shown) != 2)
        return false;
    uint64_t first = shown & (~shown + 1);
    *split = (rush_split){.character = RUSH_SEX_CHARACTER,
                          .leads = 2,
                          .of = {{first, 0, 0}, {shown & ~first, 0, 0}}};
    rush_split_weigh(keying, left, split);
    return true;
}
