#include "support/observer.h"

#include "trial/view.h"

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
    double left = rush_random_unit(&observer->random);
    for (uint32_t i = 0; i + 1 < taxon->form_count; i++) {
        left -= rush_key_form(observer->key, taxon->first_form + i)->share;
        if (left < 0)
            return taxon->first_form + i;
    }
    return taxon->first_form + taxon->form_count - 1;
}

static void write_state(const rush_character *character, uint32_t state, rush_buffer *line)
{
    rush_buffer_format(line, "%s: %s; ", character->id, character->states[state].id);
}

void observer_answers(simulated_observer *observer, uint32_t form, uint32_t character,
                      rush_buffer *line)
{
    const rush_character *asked = rush_key_character(observer->key, character);
    rush_view view = {.key = observer->key,
                      .number = rush_random_next(&observer->random),
                      .form = form,
                      .misread = observer->misread,
                      .in_mind = RUSH_NONE};
    rush_seen seen;
    assert_true(rush_view_look(&view, character, 0, &seen));
    if (asked->kind != RUSH_KIND_NUMBER) {
        write_state(asked, seen.state, line);
        return;
    }
    rush_buffer_format(line, "%s: ", asked->id);
    rush_buffer_number(line, seen.value, 6);
    rush_buffer_string(line, "; ");
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
    write_state(asked, never[rush_random_below(&observer->random, count)], line);
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
        uint32_t at = rush_random_below(&observer->random, left);
        observer_answers(observer, form, open[at], line);
        used[open[at]] = true;
        open[at] = open[--left];
    }
}
