#include <string.h>

#include "changes/changes.h"

/* ---- labels ---------------------------------------------------------------------------------------------- */

/* A thing's label where it says more than people are shown without one: the id, with spaces. */
static const char *telling_label(const rush_key *key, rush_words label, const char *id)
{
    const char *words = rush_key_words(key, label, 0);
    size_t i = 0;
    while (id[i] && words[i] == (id[i] == '-' || id[i] == '_' ? ' ' : id[i]))
        i++;
    return id[i] || words[i] ? words : "";
}

static bool same_label(const rush_comparing *with, rush_words old, const char *old_id,
                       rush_words now, const char *now_id)
{
    return rush_same_words(with, old, now) || strcmp(telling_label(with->old, old, old_id),
                                                     telling_label(with->now, now, now_id)) == 0;
}

/* ---- characters ------------------------------------------------------------------------------------------ */

/* Pairs of states that are taken for each other: the same, as far as the states have partners. */
static bool same_confused(const rush_comparing *with, uint32_t old, uint32_t now)
{
    const rush_character *a = &with->old->characters[old], *b = &with->now->characters[now];
    const uint32_t *partner = with->state_now[old];
    if (a->confused_count != b->confused_count || !partner)
        return a->confused_count == b->confused_count;
    for (uint32_t i = 0; i < a->confused_count; i++) {
        uint32_t one = partner[a->confused[i][0]], two = partner[a->confused[i][1]];
        bool found = false;
        for (uint32_t j = 0; j < b->confused_count && !found; j++)
            found = (b->confused[j][0] == one && b->confused[j][1] == two) ||
                    (b->confused[j][0] == two && b->confused[j][1] == one);
        if (!found)
            return false;
    }
    return true;
}

static uint32_t character_differs(const rush_comparing *with, uint32_t old, uint32_t now)
{
    const rush_character *a = &with->old->characters[old], *b = &with->now->characters[now];
    uint32_t what = 0;
    what |= same_label(with, a->label, a->id, b->label, b->id) ? 0 : RUSH_CHANGED_LABEL;
    what |= rush_same_words(with, a->ask, b->ask) ? 0 : RUSH_CHANGED_ASK;
    what |= rush_same_words(with, a->tip, b->tip) ? 0 : RUSH_CHANGED_TIP;
    what |= a->kind == b->kind && rush_same_string(a->unit, b->unit) ? 0 : RUSH_CHANGED_KIND;
    what |= a->reach == b->reach ? 0 : RUSH_CHANGED_REACH;
    what |= a->effort == b->effort ? 0 : RUSH_CHANGED_EFFORT;
    bool read_alike = a->misread == b->misread && a->reading_error == b->reading_error &&
                      a->reading_error_relative == b->reading_error_relative;
    what |= read_alike ? 0 : RUSH_CHANGED_MISREAD;
    what |= same_confused(with, old, now) ? 0 : RUSH_CHANGED_CONFUSED;
    return what;
}

static void compare_characters(rush_comparing *with)
{
    for (uint32_t d = RUSH_BUILT_IN_CHARACTERS; d < with->now->character_count; d++) {
        uint32_t old = with->character_old[d];
        bool renamed = old != RUSH_NONE &&
                       strcmp(with->old->characters[old].id, with->now->characters[d].id) != 0;
        uint32_t what = old == RUSH_NONE ? 0 : character_differs(with, old, d);
        *RUSH_PUSH(&with->arena, &with->characters) = (rush_match){old, d, renamed, what};
    }
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < with->old->character_count; c++)
        if (with->character_now[c] == RUSH_NONE)
            *RUSH_PUSH(&with->arena, &with->characters) = (rush_match){c, RUSH_NONE, false, 0};
}

/* ---- states ------------------------------------------------------------------------------------------------ */

static void add_state(rush_comparing *with, uint32_t old_character, uint32_t character,
                      rush_match state)
{
    *RUSH_PUSH(&with->arena, &with->states) =
        (rush_state_change){old_character, character, state};
}

static void compare_states_of(rush_comparing *with, uint32_t c, uint32_t d)
{
    const rush_character *a = &with->old->characters[c], *b = &with->now->characters[d];
    for (uint32_t r = 0; r < b->state_count; r++) {
        uint32_t old = RUSH_NONE;
        for (uint32_t s = 0; s < a->state_count; s++)
            old = with->state_now[c][s] == r ? s : old;
        if (old == RUSH_NONE) {
            add_state(with, c, d, (rush_match){RUSH_NONE, r, false, 0});
            continue;
        }
        bool renamed = strcmp(a->states[old].id, b->states[r].id) != 0;
        bool label = !same_label(with, a->states[old].label, a->states[old].id,
                                 b->states[r].label, b->states[r].id);
        if (renamed || label)
            add_state(with, c, d, (rush_match){old, r, renamed, label ? RUSH_CHANGED_LABEL : 0});
    }
    for (uint32_t s = 0; s < a->state_count; s++)
        if (with->state_now[c][s] == RUSH_NONE)
            add_state(with, c, d, (rush_match){s, RUSH_NONE, false, 0});
}

/* ---- taxa --------------------------------------------------------------------------------------------------- */

static uint32_t taxon_differs(const rush_comparing *with, uint32_t old, uint32_t now)
{
    const rush_taxon *a = &with->old->taxa[old], *b = &with->now->taxa[now];
    uint32_t parent = a->parent == RUSH_NONE ? RUSH_NONE : with->taxon_now[a->parent];
    bool within = a->parent == RUSH_NONE ? b->parent == RUSH_NONE
                                         : parent != RUSH_NONE && parent == b->parent;
    /* A group's occurrence only serves those that have none of their own. */
    bool leaf = a->leaf_count == 1 && b->leaf_count == 1;
    uint32_t what = 0;
    what |= a->rank == b->rank ? 0 : RUSH_CHANGED_RANK;
    what |= within ? 0 : RUSH_CHANGED_WITHIN;
    what |= rush_same_words(with, a->vernacular, b->vernacular) ? 0 : RUSH_CHANGED_VERNACULAR;
    what |= !leaf || a->occurrence == b->occurrence ? 0 : RUSH_CHANGED_OCCURRENCE;
    what |= rush_same_words(with, a->caution, b->caution) ? 0 : RUSH_CHANGED_CAUTION;
    return what;
}

static void compare_taxa(rush_comparing *with)
{
    for (uint32_t t = 0; t < with->now->taxon_count; t++) {
        uint32_t old = with->taxon_old[t];
        bool renamed =
            old != RUSH_NONE && strcmp(with->old->taxa[old].name, with->now->taxa[t].name) != 0;
        uint32_t what = old == RUSH_NONE ? 0 : taxon_differs(with, old, t);
        *RUSH_PUSH(&with->arena, &with->taxa) = (rush_match){old, t, renamed, what};
    }
    for (uint32_t t = 0; t < with->old->taxon_count; t++)
        if (with->taxon_now[t] == RUSH_NONE)
            *RUSH_PUSH(&with->arena, &with->taxa) = (rush_match){t, RUSH_NONE, false, 0};
}

void rush_compare_things(rush_comparing *with)
{
    compare_characters(with);
    for (uint32_t d = RUSH_BUILT_IN_CHARACTERS; d < with->now->character_count; d++)
        if (with->character_old[d] != RUSH_NONE && with->state_now[with->character_old[d]])
            compare_states_of(with, with->character_old[d], d);
    compare_taxa(with);
}
