#include "support/observer.h"

#include <math.h>
#include <string.h>

bool observer_can_answer(const simulated_observer *observer, uint32_t form, uint32_t character)
{
    const rush_character *asked = rush_key_character(observer->key, character);
    if (character < RUSH_BUILT_IN_CHARACTERS || asked->setting || asked->reach == RUSH_REACH_HAND)
        return false;
    const rush_trait *trait = rush_key_trait(observer->key, form, character, NULL);
    return trait && (trait->kind == RUSH_TRAIT_STATES || trait->kind == RUSH_TRAIT_NUMBER);
}

uint32_t observer_meets(simulated_observer *observer, uint32_t leaf)
{
    const rush_taxon *taxon = rush_key_taxon(observer->key, rush_key_leaf(observer->key, leaf));
    double left = support_random_unit(&observer->random);
    for (uint32_t i = 0; i + 1 < taxon->form_count; i++) {
        left -= rush_key_form(observer->key, taxon->first_form + i)->share;
        if (left < 0)
            return taxon->first_form + i;
    }
    return taxon->first_form + taxon->form_count - 1;
}

static double normal(simulated_observer *observer)
{
    double u = 1 - support_random_unit(&observer->random),
           v = support_random_unit(&observer->random);
    return sqrt(-2 * log(u)) * cos(2 * acos(-1) * v); /* Box and Muller 1958 */
}

static uint32_t shown_state(simulated_observer *observer, const rush_trait *trait,
                            uint32_t states)
{
    return support_random_of(&observer->random, trait->weights, states, 1);
}

/* Four fifths of the misreads go to the states that are confused with the true one. */
static uint32_t misread_state(simulated_observer *observer, const rush_character *character,
                              uint32_t state)
{
    uint32_t confused[64], others[64], confused_count = 0, other_count = 0;
    for (uint32_t s = 0; s < character->state_count; s++) {
        bool is_confused = false;
        for (uint32_t i = 0; i < character->confused_count; i++) {
            const uint32_t *pair = character->confused[i];
            is_confused |=
                (pair[0] == state && pair[1] == s) || (pair[1] == state && pair[0] == s);
        }
        if (s == state)
            continue;
        if (is_confused)
            confused[confused_count++] = s;
        else
            others[other_count++] = s;
    }
    bool to_confused =
        confused_count && (!other_count || support_random_unit(&observer->random) < 0.8);
    return to_confused ? confused[support_random_below(&observer->random, confused_count)]
                       : others[support_random_below(&observer->random, other_count)];
}

static void write_state(const rush_character *character, uint32_t state, rush_buffer *line)
{
    rush_buffer_format(line, "%s: %s; ", character->id, character->states[state].id);
}

void observer_answers(simulated_observer *observer, uint32_t form, uint32_t character,
                      rush_buffer *line)
{
    const rush_character *asked = rush_key_character(observer->key, character);
    const rush_trait *trait = rush_key_trait(observer->key, form, character, NULL);
    bool wrong = support_random_unit(&observer->random) < asked->misread * observer->misread;
    if (asked->kind == RUSH_KIND_NUMBER) {
        double error = asked->reading_error * (asked->reading_error_relative ? trait->mean : 1);
        double value = trait->mean + hypot(trait->sd, error) * normal(observer);
        if (wrong)
            value =
                asked->low + support_random_unit(&observer->random) * (asked->high - asked->low);
        rush_buffer_format(line, "%s: ", asked->id);
        rush_buffer_decimal(line, fmax(value, 1), 0);
        rush_buffer_string(line, "; ");
        return;
    }
    uint32_t state = shown_state(observer, trait, asked->state_count);
    write_state(asked, wrong ? misread_state(observer, asked, state) : state, line);
}

bool observer_errs(simulated_observer *observer, uint32_t form, uint32_t character,
                   rush_buffer *line)
{
    const rush_character *asked = rush_key_character(observer->key, character);
    const rush_trait *trait = rush_key_trait(observer->key, form, character, NULL);
    uint32_t never[64], count = 0;
    if (asked->kind == RUSH_KIND_NUMBER)
        return false;
    for (uint32_t s = 0; s < asked->state_count; s++)
        if (trait->weights[s] == 0)
            never[count++] = s;
    if (!count)
        return false;
    write_state(asked, never[support_random_below(&observer->random, count)], line);
    return true;
}

void observer_describes(simulated_observer *observer, uint32_t form, uint32_t count, bool *used,
                        rush_buffer *line)
{
    uint32_t all = rush_key_character_count(observer->key), open[512], left = 0;
    for (uint32_t c = 0; c < all && left < 512; c++)
        if (!used[c] && observer_can_answer(observer, form, c))
            open[left++] = c;
    for (; count && left; count--) {
        uint32_t at = support_random_below(&observer->random, left);
        observer_answers(observer, form, open[at], line);
        used[open[at]] = true;
        open[at] = open[--left];
    }
}
