#include <string.h>

#include "changes/changes.h"

bool rush_same_string(const char *a, const char *b)
{
    return a && b ? strcmp(a, b) == 0 : a == b;
}

bool rush_same_words(const rush_comparing *with, rush_words old, rush_words now)
{
    return strcmp(rush_key_words(with->old, old, 0), rush_key_words(with->now, now, 0)) == 0;
}

static uint32_t *nobody(rush_comparing *with, uint32_t count)
{
    uint32_t *partners = RUSH_ARRAY(&with->arena, uint32_t, count + 1);
    for (uint32_t i = 0; i < count; i++)
        partners[i] = RUSH_NONE;
    return partners;
}

static void pair(uint32_t *old_to_now, uint32_t *now_to_old, uint32_t old, uint32_t now)
{
    old_to_now[old] = now;
    now_to_old[now] = old;
}

/* ---- characters ------------------------------------------------------------------------------------------ */

static void pair_characters(rush_comparing *with, uint32_t old, uint32_t now)
{
    pair(with->character_now, with->character_old, old, now);
}

static bool is_free(const rush_comparing *with, uint32_t now)
{
    return now != RUSH_NONE && now >= RUSH_BUILT_IN_CHARACTERS &&
           with->character_old[now] == RUSH_NONE;
}

static bool same_kind(const rush_character *a, const rush_character *b)
{
    return a->kind == b->kind && a->setting == b->setting && rush_same_string(a->unit, b->unit);
}

/* The same states in the same order, or the same measure. */
static bool same_content(const rush_comparing *with, uint32_t old, uint32_t now)
{
    const rush_character *a = &with->old->characters[old], *b = &with->now->characters[now];
    if (!same_kind(a, b) || a->state_count != b->state_count)
        return false;
    for (uint32_t s = 0; s < a->state_count; s++)
        if (strcmp(a->states[s].id, b->states[s].id) != 0)
            return false;
    return a->kind != RUSH_KIND_NUMBER || rush_same_words(with, a->ask, b->ask);
}

/* Whether most of what the taxa are scored as is the same: two questions of yes or no are not one for that. */
static bool scored_alike(const rush_comparing *with, uint32_t old, uint32_t now)
{
    uint32_t alike = 0, scored = 0;
    for (uint32_t t = 0; t < with->old->taxon_count; t++) {
        if (with->taxon_now[t] == RUSH_NONE)
            continue;
        const rush_trait *a = rush_key_taxon_trait(with->old, t, old, NULL);
        const rush_trait *b = rush_key_taxon_trait(with->now, with->taxon_now[t], now, NULL);
        scored += a || b;
        if (!a || !b || a->kind != b->kind)
            continue;
        bool weights = a->kind == RUSH_TRAIT_STATES;
        uint32_t states = weights ? with->old->characters[old].state_count : 0, same = 0;
        for (uint32_t s = 0; s < states; s++)
            same += a->weights[s] == b->weights[s];
        alike += weights ? same == states : a->mean == b->mean;
    }
    return alike && alike * 4 >= scored * 3;
}

/* Of the characters without a partner, those that only one has the content of. */
static uint32_t only_like(const rush_comparing *with, uint32_t old)
{
    uint32_t found = RUSH_NONE;
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < with->now->character_count; c++)
        if (is_free(with, c) && same_content(with, old, c) && scored_alike(with, old, c)) {
            if (found != RUSH_NONE)
                return RUSH_NONE;
            found = c;
        }
    return found;
}

static void match_characters(rush_comparing *with)
{
    const rush_key *old = with->old, *now = with->now;
    for (uint32_t c = 0; c < RUSH_BUILT_IN_CHARACTERS; c++)
        pair_characters(with, c, c);
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < old->character_count; c++)
        for (uint32_t d = RUSH_BUILT_IN_CHARACTERS; d < now->character_count; d++)
            if (is_free(with, d) && strcmp(old->characters[c].id, now->characters[d].id) == 0)
                pair_characters(with, c, d);
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < old->character_count; c++) {
        if (with->character_now[c] != RUSH_NONE)
            continue;
        uint32_t known = rush_key_find_character(now, rush_text_of(old->characters[c].id));
        if (!is_free(with, known) || now->characters[known].kind != old->characters[c].kind)
            known = only_like(with, c);
        if (known != RUSH_NONE)
            pair_characters(with, c, known);
    }
}

/* ---- taxa -------------------------------------------------------------------------------------------------- */

static bool taxon_is_free(const rush_comparing *with, uint32_t now)
{
    return now != RUSH_NONE && with->taxon_old[now] == RUSH_NONE;
}

/* A taxon of the same rank whose own traits are as many and all the same; one without any is like all others. */
static bool says_the_same(const rush_comparing *with, uint32_t old, uint32_t now)
{
    const rush_taxon *a = &with->old->taxa[old], *b = &with->now->taxa[now];
    enum { LEAST = 2 };
    if (a->rank != b->rank || a->trait_count != b->trait_count || a->trait_count < LEAST)
        return false;
    for (uint32_t i = 0; i < a->trait_count; i++) {
        uint32_t c = with->character_now[a->traits[i]->character], from;
        const rush_trait *other =
            c == RUSH_NONE ? NULL : rush_key_taxon_trait(with->now, now, c, &from);
        if (!other || from != now ||
            !rush_same_trait(with, a->traits[i]->character, a->traits[i], other))
            return false;
    }
    return true;
}

static uint32_t only_taxon_like(const rush_comparing *with, uint32_t old)
{
    uint32_t found = RUSH_NONE;
    for (uint32_t t = 0; t < with->now->taxon_count; t++)
        if (taxon_is_free(with, t) && says_the_same(with, old, t)) {
            if (found != RUSH_NONE)
                return RUSH_NONE;
            found = t;
        }
    return found;
}

/* The names of old taxa that are gone, among the names that the new key knows: by scientific and common name. */
static uint32_t known_taxon(const rush_comparing *with, uint32_t old)
{
    const rush_taxon *taxon = &with->old->taxa[old];
    uint32_t known = rush_key_find_taxon(with->now, rush_text_of(taxon->name));
    const char *common = rush_key_words(with->old, taxon->vernacular, 0);
    if (!taxon_is_free(with, known) && common[0])
        known = rush_key_find_taxon(with->now, rush_text_of(common));
    return taxon_is_free(with, known) && with->now->taxa[known].rank == taxon->rank ? known
                                                                                    : RUSH_NONE;
}

static void match_taxa_by_name(rush_comparing *with)
{
    for (uint32_t t = 0; t < with->old->taxon_count; t++) {
        uint32_t now = rush_key_find_taxon(with->now, rush_text_of(with->old->taxa[t].name));
        if (taxon_is_free(with, now) &&
            strcmp(with->old->taxa[t].name, with->now->taxa[now].name) == 0)
            pair(with->taxon_now, with->taxon_old, t, now);
    }
    for (uint32_t t = 0; t < with->old->taxon_count; t++) {
        uint32_t known = with->taxon_now[t] == RUSH_NONE ? known_taxon(with, t) : RUSH_NONE;
        if (known != RUSH_NONE)
            pair(with->taxon_now, with->taxon_old, t, known);
    }
}

static void match_taxa_by_content(rush_comparing *with)
{
    for (uint32_t t = 0; t < with->old->taxon_count; t++) {
        uint32_t like = with->taxon_now[t] == RUSH_NONE ? only_taxon_like(with, t) : RUSH_NONE;
        if (like != RUSH_NONE)
            pair(with->taxon_now, with->taxon_old, t, like);
    }
}

/* ---- states ------------------------------------------------------------------------------------------------- */

/* Whether all taxa that have partners show one state as much as the other. */
static bool shown_alike(const rush_comparing *with, uint32_t c, uint32_t old, uint32_t now)
{
    bool any = false;
    for (uint32_t t = 0; t < with->old->taxon_count; t++) {
        if (with->taxon_now[t] == RUSH_NONE)
            continue;
        const rush_trait *a = rush_key_taxon_trait(with->old, t, c, NULL);
        const rush_trait *b =
            rush_key_taxon_trait(with->now, with->taxon_now[t], with->character_now[c], NULL);
        double one = a && a->kind == RUSH_TRAIT_STATES ? a->weights[old] : 0;
        double two = b && b->kind == RUSH_TRAIT_STATES ? b->weights[now] : 0;
        if (one != two)
            return false;
        any |= one > 0;
    }
    return any;
}

static void match_states_of(rush_comparing *with, uint32_t c)
{
    uint32_t d = with->character_now[c];
    const rush_character *a = &with->old->characters[c], *b = &with->now->characters[d];
    uint32_t *partners = nobody(with, a->state_count), *taken = nobody(with, b->state_count);
    with->state_now[c] = partners;
    for (uint32_t s = 0; s < a->state_count; s++)
        for (uint32_t r = 0; r < b->state_count; r++)
            if (taken[r] == RUSH_NONE && strcmp(a->states[s].id, b->states[r].id) == 0)
                pair(partners, taken, s, r);
    for (uint32_t s = 0; s < a->state_count; s++) {
        const char *label = rush_key_words(with->old, a->states[s].label, 0);
        uint32_t known = rush_key_find_state(with->now, d, rush_text_of(a->states[s].id));
        if (known == RUSH_NONE && label[0])
            known = rush_key_find_state(with->now, d, rush_text_of(label));
        if (partners[s] == RUSH_NONE && known != RUSH_NONE && taken[known] == RUSH_NONE)
            pair(partners, taken, s, known);
    }
    for (uint32_t s = 0; s < a->state_count; s++)
        for (uint32_t r = 0; r < b->state_count; r++)
            if (partners[s] == RUSH_NONE && taken[r] == RUSH_NONE && shown_alike(with, c, s, r))
                pair(partners, taken, s, r);
}

static void match_states(rush_comparing *with)
{
    with->state_now = RUSH_ARRAY(&with->arena, uint32_t *, with->old->character_count);
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < with->old->character_count; c++)
        if (with->character_now[c] != RUSH_NONE && with->old->characters[c].state_count)
            match_states_of(with, c);
}

/* ---- forms -------------------------------------------------------------------------------------------------- */

uint32_t rush_partner_of_form(const rush_comparing *with, uint32_t old_form)
{
    const rush_form *form = &with->old->forms[old_form];
    uint32_t now = with->taxon_now[form->taxon];
    if (now == RUSH_NONE)
        return RUSH_NONE;
    const rush_taxon *taxon = &with->now->taxa[now];
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        if (with->now->forms[f].taxon == now && with->now->forms[f].sex == form->sex &&
            rush_same_string(with->now->forms[f].name, form->name))
            return f;
    return RUSH_NONE;
}

void rush_match_things(rush_comparing *with)
{
    with->character_now = nobody(with, with->old->character_count);
    with->character_old = nobody(with, with->now->character_count);
    with->taxon_now = nobody(with, with->old->taxon_count);
    with->taxon_old = nobody(with, with->now->taxon_count);
    match_taxa_by_name(with);
    match_characters(with);
    match_states(with);
    match_taxa_by_content(with);
}
