#include "dialogue/choices.h"

#include <string.h>

#include "base/unicode.h"
#include "sighting/answer.h"

bool rush_begins(rush_text name, rush_text beginning)
{
    char whole[RUSH_FOLD_MAX], start[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, whole), part = rush_unicode_fold(beginning, start);
    return length != SIZE_MAX && part != SIZE_MAX && part && part <= length &&
           memcmp(whole, start, part) == 0;
}

static bool state_begins(const rush_key *key, const rush_state *state, rush_text text)
{
    if (rush_begins(rush_text_of(state->id), text))
        return true;
    for (uint32_t l = 0; state->label.in && l < key->header.language_count; l++)
        if (state->label.in[l] && rush_begins(rush_text_of(state->label.in[l]), text))
            return true;
    for (uint32_t a = 0; a < state->also.count; a++)
        if (rush_begins(rush_text_of(state->also.names[a]), text))
            return true;
    return false;
}

static uint32_t choice_number(const rush_character *character, rush_text text)
{
    uint32_t number = 0;
    for (size_t i = 0; i < text.length; i++) {
        if (text.at[i] < '0' || text.at[i] > '9' || i >= 3)
            return RUSH_NONE;
        number = number * 10 + (uint32_t)(text.at[i] - '0');
    }
    return number >= 1 && number <= character->state_count ? number - 1 : RUSH_NONE;
}

uint32_t rush_choice(const rush_key *key, uint32_t at, rush_text text, bool loosely,
                     bool *several)
{
    const rush_character *character = &key->characters[at];
    *several = false;
    uint32_t state = rush_key_find_state(key, at, text);
    if (state == RUSH_NONE && text.length)
        state = choice_number(character, text);
    for (uint32_t s = 0; state == RUSH_NONE && loosely && s < character->state_count; s++) {
        if (!state_begins(key, &character->states[s], text))
            continue;
        for (uint32_t other = s + 1; other < character->state_count; other++)
            *several |= state_begins(key, &character->states[other], text);
        return *several ? RUSH_NONE : s;
    }
    return state;
}

bool rush_choices_write_out(const rush_key *key, uint32_t asked, rush_text answer, bool loosely,
                            rush_buffer *buffer)
{
    if (asked == RUSH_NONE || key->characters[asked].kind != RUSH_KIND_STATES)
        return false;
    rush_text rest = rush_text_trim(answer), pieces[RUSH_PIECES_MAX];
    if (!rest.length || rush_key_find_state(key, asked, rest) != RUSH_NONE)
        return false;
    bool unsure = rest.at[rest.length - 1] == '?', denied, several;
    if (unsure)
        rest = rush_text_trim((rush_text){rest.at, rest.length - 1});
    denied = rush_text_behind(rest, "not", &rest);
    uint32_t count = rush_answer_split(rest, pieces), states[RUSH_PIECES_MAX];
    for (uint32_t i = 0; i < count; i++) {
        states[i] = rush_choice(key, asked, pieces[i], loosely, &several);
        if (states[i] == RUSH_NONE)
            return false;
    }
    rush_buffer_string(buffer, denied ? "not " : "");
    for (uint32_t i = 0; i < count; i++) {
        rush_buffer_string(buffer, i ? " or " : "");
        rush_state_name(key, asked, states[i], 0, buffer);
    }
    rush_buffer_string(buffer, unsure ? "?" : "");
    return true;
}
