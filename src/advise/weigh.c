#include <math.h>

#include "advise/effort.h"
#include "advise/split.h"
#include "rank/likelihood.h"

/* Bits that it costs when every form goes one way more: it is then keyed out so many times more. */
#define WAY_MORE 0.25
/* How much dearer a couplet is for each state that it lists beyond a few. */
#define STATE_MORE 0.04
enum { STATES_FEW = 4 };

/* ---- the way of a form ------------------------------------------------------------------------------------ */

void rush_split_shares(const rush_keying *keying, const rush_split *split,
                       const rush_route *route, double shares[RUSH_LEADS_MAX])
{
    bool number = keying->key->characters[split->character].kind == RUSH_KIND_NUMBER;
    double all = 0;
    for (uint32_t l = 0; l < split->leads && !route->open; l++) {
        const rush_leeway *of = &split->of[l];
        shares[l] = number ? rush_route_between(route, of->low, of->high)
                           : rush_route_weight(route, of->states);
        all += shares[l];
    }
    for (uint32_t l = 0; l < split->leads; l++)
        shares[l] = all > 0 ? shares[l] / all : 1.0 / split->leads;
}

double rush_route_followed(const rush_keying *keying, uint32_t character, const rush_route *route)
{
    uint64_t states = keying->leeways[character].states;
    double all = 0;
    if (route->open || !route->weights)
        return 1;
    for (uint32_t s = 0; s < keying->key->characters[character].state_count; s++)
        all += states >> s & 1 ? route->weights[s] : 0;
    return all > 0 ? rush_route_weight(route, states) / all : 1;
}

/* ---- how often it is misread ------------------------------------------------------------------------------ */

static double wrong_lead_of_states(const rush_keying *keying, const rush_split *split,
                                   const rush_route *route)
{
    uint32_t count = keying->key->characters[split->character].state_count;
    double wrong = 0, all = 0;
    for (uint32_t l = 0; l < split->leads; l++)
        for (uint64_t s = split->of[l].states & route->shown; s; s &= s - 1) {
            uint32_t state = (uint32_t)__builtin_ctzll(s);
            const double *misreads = keying->misreads[split->character] + (size_t)state * count;
            double weight = route->weights ? route->weights[state] : 1;
            for (uint32_t other = 0; other < split->leads; other++)
                for (uint64_t as = other == l ? 0 : split->of[other].states; as; as &= as - 1)
                    wrong += weight * misreads[__builtin_ctzll(as)];
            all += weight;
        }
    return all > 0 ? wrong / all : 0;
}

static double wrong_lead_of_number(const rush_character *character, const rush_split *split,
                                   const rush_route *route)
{
    double right = 0;
    for (uint32_t l = 0; l < split->leads; l++)
        if (rush_route_between(route, split->of[l].low, split->of[l].high) > 0)
            right += rush_interval(l ? split->of[l].low : -INFINITY,
                                   l + 1 < split->leads ? split->of[l + 1].low : INFINITY,
                                   route->mean, route->sd);
    return (1 - character->error) * (1 - fmin(right, 1)) + character->error / 2;
}

/* What is misread, or too rare to be followed, goes wrong. */
static double wrong_lead(const rush_keying *keying, const rush_split *split,
                         const rush_route *route)
{
    const rush_character *character = &keying->key->characters[split->character];
    if (route->open)
        return 0;
    if (character->kind == RUSH_KIND_NUMBER)
        return wrong_lead_of_number(character, split, route);
    return wrong_lead_of_states(keying, split, route) + 1 -
           rush_route_followed(keying, split->character, route);
}

/* Found once for each profile in a weighing. */
static const rush_passage *passage_of(rush_keying *keying, const rush_split *split, uint32_t form)
{
    const rush_column *column = &keying->key->model.columns[split->character];
    uint32_t profile = rush_column_profile(column, form);
    rush_passage *passage = &keying->passages[profile];
    if (passage->weighing == keying->weighings)
        return passage;
    const rush_route *route = &keying->routes[split->character][profile];
    double shares[RUSH_LEADS_MAX];
    rush_split_shares(keying, split, route, shares);
    passage->weighing = keying->weighings;
    passage->ways = 0;
    for (uint32_t l = 0; l < split->leads; l++) {
        passage->goes[l] = shares[l] > 0;
        passage->ways += passage->goes[l];
    }
    passage->wrong = wrong_lead(keying, split, route);
    return passage;
}

/* ---- what a split is worth -------------------------------------------------------------------------------- */

static double surprise(double mass)
{
    return mass > 0 ? -mass * log2(mass) : 0;
}

/* Of what is left, in the whole or along one lead: H(T) times the mass is sum(surprise of each taxon) less
 * the surprise of the whole. */
typedef struct entropy {
    double taxon, whole, sum;
} entropy;

static void end_taxon(entropy *of)
{
    of->sum += surprise(of->taxon);
    of->whole += of->taxon;
    of->taxon = 0;
}

static double entropy_of(const entropy *of)
{
    return of->sum - surprise(of->whole);
}

/* What an answer that is wrong with this chance is worth beside a right one: the capacity of the binary
 * symmetric channel (Shannon 1948). */
static double worth(double wrong)
{
    wrong = fmin(wrong, RUSH_ERROR_MAX);
    return 1 - (surprise(wrong) + surprise(1 - wrong));
}

static double reading_cost(const rush_keying *keying, const rush_split *split)
{
    const rush_character *character = &keying->key->characters[split->character];
    int listed = 0;
    for (uint32_t l = 0; l < split->leads && character->kind != RUSH_KIND_NUMBER; l++)
        listed += __builtin_popcountll(split->of[l].states);
    double more = listed > STATES_FEW ? STATE_MORE * (listed - STATES_FEW) : 0;
    return rush_beginner_effort(character) * (1 + more);
}

/* Gain: the information about the taxon, as if a form that goes several ways went each as often, so that rare
 * ways count as much as they take room; less what the further ways cost. Cost: the effort of looking and
 * reading, by what the answer is worth. */
void rush_split_weigh(rush_keying *keying, rush_left left, rush_split *split)
{
    const rush_keyed_form *forms = keying->stack.items + left.from;
    entropy whole = {0}, leads[RUSH_LEADS_MAX] = {0};
    double wrong = 0, more = 0, within = 0;
    uint32_t last = RUSH_NONE;
    keying->weighings++;
    for (uint32_t i = 0; i <= left.count; i++) {
        uint32_t taxon = i < left.count ? keying->key->forms[forms[i].form].taxon : RUSH_NONE;
        if (taxon != last) {
            end_taxon(&whole);
            for (uint32_t l = 0; l < split->leads; l++)
                end_taxon(&leads[l]);
        }
        last = taxon;
        if (i == left.count)
            break;
        const rush_passage *passage = passage_of(keying, split, forms[i].form);
        double mass = forms[i].alike;
        whole.taxon += mass;
        for (uint32_t l = 0; l < split->leads; l++)
            leads[l].taxon += passage->goes[l] ? mass / passage->ways : 0;
        more += mass * (passage->ways - 1);
        wrong += mass * passage->wrong;
    }
    for (uint32_t l = 0; l < split->leads; l++)
        within += entropy_of(&leads[l]);
    split->gain = (entropy_of(&whole) - within - WAY_MORE * more) / whole.whole;
    split->cost = reading_cost(keying, split) / worth(wrong / whole.whole);
}
