/* Marks that make no sense together: a colour of stripes where there are none. The format draws each character for
 * itself; but what holds of the forms that nearly always show a state holds of any insect that shows it. */
#include <stdlib.h>
#include <string.h>

#include "dialogue/drill.h"

/* So many forms must show a state, and such a part of those that are scored must be unable to show the other character.
 * Our choice, no published source. */
enum { FORMS_MIN = 3, WORK_MAX = 100000000 };
#define NEARLY_ALWAYS 0.85
#define CANNOT_PART   0.75

typedef struct sense_count {
    uint32_t can, cannot;
} sense_count;

/* The state that a form nearly always shows, counted over all characters; RUSH_NONE: there is none. */
static uint32_t main_state(const rush_drill *drill, uint32_t form, uint32_t character)
{
    const rush_character *owner = &drill->key->characters[character];
    const rush_trait *trait = rush_key_trait(drill->key, form, character, NULL);
    for (uint32_t s = 0; trait && trait->kind == RUSH_TRAIT_STATES && s < owner->state_count; s++)
        if (trait->weights[s] >= NEARLY_ALWAYS)
            return drill->first_state[character] + s;
    return RUSH_NONE;
}

/* `states` gets the main state of the form in each character of the order. */
static void count_form(const rush_drill *drill, uint32_t form, uint32_t *states,
                       sense_count *counts)
{
    uint32_t characters = drill->order_count;
    for (uint32_t o = 0; o < characters; o++)
        states[o] = main_state(drill, form, drill->order[o]);
    for (uint32_t o = 0; o < characters; o++) {
        const rush_trait *trait = rush_key_trait(drill->key, form, drill->order[o], NULL);
        if (!trait || trait->kind == RUSH_TRAIT_UNSCORED)
            continue;
        for (uint32_t i = 0; i < characters; i++) {
            if (states[i] == RUSH_NONE || i == o)
                continue;
            sense_count *count = &counts[(size_t)states[i] * characters + o];
            *(trait->kind == RUSH_TRAIT_INAPPLICABLE ? &count->cannot : &count->can) += 1;
        }
    }
}

bool rush_drill_learn_sense(rush_drill *drill)
{
    const rush_key *key = drill->key;
    uint32_t states = 0;
    drill->first_state = calloc((size_t)key->character_count + 1, sizeof *drill->first_state);
    for (uint32_t c = 0; drill->first_state && c < key->character_count; c++) {
        drill->first_state[c] = states;
        states +=
            key->characters[c].kind == RUSH_KIND_STATES ? key->characters[c].state_count : 0;
    }
    size_t size = (size_t)states * drill->order_count + 1;
    double work = (double)key->form_count * drill->order_count * drill->order_count;
    sense_count *counts = calloc(size, sizeof *counts);
    drill->nonsense = calloc(size, sizeof *drill->nonsense);
    uint32_t *of_form = calloc((size_t)drill->order_count + 1, sizeof *of_form);
    bool good = counts && drill->nonsense && drill->first_state && of_form;
    for (uint32_t f = 0; good && work < WORK_MAX && f < key->form_count; f++)
        count_form(drill, f, of_form, counts);
    for (size_t i = 0; good && i < size; i++)
        drill->nonsense[i] = counts[i].cannot >= FORMS_MIN &&
                             counts[i].cannot >= CANNOT_PART * (counts[i].cannot + counts[i].can);
    free(counts);
    free(of_form);
    return good;
}

static bool makes_sense(const rush_drill *drill, const rush_drill_mark *mark, uint32_t order)
{
    const rush_character *owner = &drill->key->characters[mark->character];
    return owner->kind != RUSH_KIND_STATES || mark->character == drill->order[order] ||
           !drill->nonsense[(size_t)(drill->first_state[mark->character] + mark->state) *
                                drill->order_count +
                            order];
}

static bool makes_sense_here(const rush_drill *drill, uint32_t order)
{
    for (uint32_t m = 0; m < drill->mark_count; m++)
        if (!makes_sense(drill, &drill->marks[m], order))
            return false;
    return true;
}

void rush_drill_drop_nonsense(rush_drill *drill)
{
    uint32_t kept = 0;
    for (uint32_t m = 0, order = 0; m < drill->mark_count; m++) {
        while (drill->order[order] != drill->marks[m].character)
            order++;
        drill->marks[m].against = !makes_sense_here(drill, order);
    }
    for (uint32_t m = 0; m < drill->mark_count; m++)
        if (!drill->marks[m].against)
            drill->marks[kept++] = drill->marks[m];
    drill->mark_count = kept;
}
