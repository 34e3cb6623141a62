#include "report/apart_words.h"

#include "report/words.h"

bool rush_words_has_sexes(const rush_key *key)
{
    for (uint32_t f = 0; f < rush_key_form_count(key); f++)
        if (rush_key_form(key, f)->sex != RUSH_SEX_ANY)
            return true;
    return false;
}

const char *rush_words_sexes(const rush_key *key, rush_sex sex)
{
    return sex == RUSH_SEX_MALE        ? "males"
           : sex == RUSH_SEX_FEMALE    ? "females"
           : rush_words_has_sexes(key) ? "both sexes"
                                       : "all";
}

/* How often, from the weight of a state; NULL: too seldom to be told. */
static const char *how_often(double weight)
{
    weight += 1e-9; /* a weight that is written as 0.1 is not less */
    return weight >= 0.95   ? ""
           : weight >= 0.6  ? "mostly "
           : weight >= 0.4  ? "often "
           : weight >= 0.1  ? "sometimes "
           : weight >= 0.03 ? "rarely "
                            : NULL;
}

/* The state that is next most usual behind `last` (RUSH_NONE: the first); of equal ones, in the key's order. */
static uint32_t next_state(const double *weights, uint32_t count, uint32_t last)
{
    uint32_t next = RUSH_NONE;
    for (uint32_t s = 0; s < count; s++) {
        bool left = last == RUSH_NONE || weights[s] < weights[last] ||
                    (weights[s] == weights[last] && s > last);
        if (left && (next == RUSH_NONE || weights[s] > weights[next]))
            next = s;
    }
    return next == RUSH_NONE || !how_often(weights[next]) ? RUSH_NONE : next;
}

/* "mostly red or orange; rarely yellow, brown or black" */
static void write_states(rush_teller *teller, uint32_t character, const rush_showing *showing)
{
    uint32_t count = rush_key_character(teller->key, character)->state_count;
    const char *said = NULL;
    for (uint32_t at = next_state(showing->weights, count, RUSH_NONE); at != RUSH_NONE;) {
        uint32_t behind = next_state(showing->weights, count, at);
        const char *often = how_often(showing->weights[at]);
        bool last = behind == RUSH_NONE || how_often(showing->weights[behind]) != often;
        if (said)
            rush_buffer_string(teller->words, often != said ? "; " : last ? " or " : ", ");
        if (often != said)
            rush_buffer_string(teller->words, often);
        rush_tell_state(teller, character, at);
        said = often;
        at = behind;
    }
}

void rush_words_showing(rush_teller *teller, uint32_t character, const rush_showing *showing)
{
    const rush_character *owner = rush_key_character(teller->key, character);
    rush_buffer *buffer = teller->words;
    if (showing->kind == RUSH_TRAIT_UNSCORED) {
        rush_buffer_string(buffer, "not known");
        return;
    }
    if (showing->kind == RUSH_TRAIT_INAPPLICABLE) {
        rush_buffer_string(buffer, "cannot show it");
        return;
    }
    if (showing->kind == RUSH_TRAIT_NUMBER) {
        rush_buffer_number(buffer, showing->low, 1);
        rush_buffer_string(buffer, " to ");
        rush_buffer_number(buffer, showing->high, 1);
        if (owner->unit[0])
            rush_buffer_format(buffer, " %s", owner->unit);
    } else {
        write_states(teller, character, showing);
    }
    if (showing->silent >= 0.3)
        rush_buffer_string(buffer, " (not in all forms)");
}

void rush_words_safety(const rush_apart *apart, const rush_apart_view *view, rush_buffer *buffer)
{
    if (view->field >= apart->safe) {
        rush_buffer_string(buffer,
                           "all that can be seen without taking it in the hand: right in ");
        rush_words_percent(view->field, buffer);
        return;
    }
    rush_buffer_string(buffer, "not safely told in the field (");
    rush_words_percent(apart->safe, buffer);
    rush_buffer_string(
        buffer, " is wanted): all that can be seen without taking it in the hand is right in ");
    rush_words_percent(view->field, buffer);
    static const double more = 0.005; /* is worth saying */
    if (view->hand < view->field + more) {
        rush_buffer_string(buffer, "; a sharp photograph of these marks lets somebody who knows "
                                   "them say more");
        return;
    }
    rush_buffer_string(buffer, "; with it in the hand in ");
    rush_words_percent(view->hand, buffer);
}
