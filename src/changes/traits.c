#include <math.h>

#include "changes/changes.h"

static bool is_unscored(const rush_trait *trait)
{
    return !trait || trait->kind == RUSH_TRAIT_UNSCORED;
}

static bool close_to(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(1, fmax(fabs(a), fabs(b)));
}

static bool same_weights(const rush_comparing *with, uint32_t c, const rush_trait *old,
                         const rush_trait *now)
{
    const rush_character *a = &with->old->characters[c];
    const rush_character *b = &with->now->characters[with->character_now[c]];
    double matched = 0, all = 0;
    for (uint32_t s = 0; s < a->state_count; s++) {
        uint32_t r = with->state_now[c][s];
        double weight = r == RUSH_NONE ? 0 : now->weights[r];
        if (!close_to(old->weights[s], weight))
            return false;
        matched += weight;
    }
    for (uint32_t r = 0; r < b->state_count; r++)
        all += now->weights[r];
    return close_to(matched, all); /* nothing in states that are new */
}

bool rush_same_trait(const rush_comparing *with, uint32_t old_character, const rush_trait *old,
                     const rush_trait *now)
{
    if (is_unscored(old) || is_unscored(now))
        return is_unscored(old) && is_unscored(now);
    if (old->kind != now->kind)
        return false;
    if (old->kind == RUSH_TRAIT_NUMBER)
        return close_to(old->mean, now->mean) && close_to(old->sd, now->sd);
    return old->kind != RUSH_TRAIT_STATES ||
           (with->state_now[old_character] && same_weights(with, old_character, old, now));
}

/* ---- of taxa ------------------------------------------------------------------------------------------------- */

/* Whether a change of a taxon is that of the one around it, which is told there. */
static bool told_above(const rush_comparing *with, const rush_trait_change *change)
{
    uint32_t above = with->now->taxa[change->taxon].parent;
    uint32_t old_above = with->old->taxa[change->old_taxon].parent;
    if (above == RUSH_NONE || old_above == RUSH_NONE || with->taxon_old[above] != old_above)
        return false;
    return rush_key_taxon_trait(with->old, old_above, change->old_character, NULL) ==
               change->old &&
           rush_key_taxon_trait(with->now, above, change->character, NULL) == change->now;
}

static void compare_taxon(rush_comparing *with, uint32_t taxon, uint32_t character)
{
    rush_trait_change change = {.old_taxon = with->taxon_old[taxon],
                                .taxon = taxon,
                                .old_form = RUSH_NONE,
                                .form = RUSH_NONE,
                                .old_character = with->character_old[character],
                                .character = character};
    change.old = rush_key_taxon_trait(with->old, change.old_taxon, change.old_character, NULL);
    change.now = rush_key_taxon_trait(with->now, taxon, character, NULL);
    if (!rush_same_trait(with, change.old_character, change.old, change.now) &&
        !told_above(with, &change))
        *RUSH_PUSH(&with->arena, &with->traits) = change;
}

/* ---- of forms ------------------------------------------------------------------------------------------------- */

static void compare_form(rush_comparing *with, uint32_t old_form, uint32_t form,
                         uint32_t character)
{
    rush_trait_change change = {.old_taxon = with->old->forms[old_form].taxon,
                                .taxon = with->now->forms[form].taxon,
                                .old_form = old_form,
                                .form = form,
                                .old_character = with->character_old[character],
                                .character = character};
    change.old = rush_key_trait(with->old, old_form, change.old_character, NULL);
    change.now = rush_key_trait(with->now, form, character, NULL);
    bool as_taxon = rush_key_taxon_trait(with->old, change.old_taxon, change.old_character,
                                         NULL) == change.old &&
                    rush_key_taxon_trait(with->now, change.taxon, character, NULL) == change.now;
    if (!as_taxon && !rush_same_trait(with, change.old_character, change.old, change.now))
        *RUSH_PUSH(&with->arena, &with->traits) = change;
}

static bool comparable(const rush_comparing *with, uint32_t character)
{
    uint32_t old = with->character_old[character];
    return character >= RUSH_BUILT_IN_CHARACTERS && old != RUSH_NONE &&
           with->old->characters[old].kind == with->now->characters[character].kind;
}

/* The forms of a taxon itself, not of those within it. */
static void compare_forms(rush_comparing *with, uint32_t taxon)
{
    const rush_taxon *old = &with->old->taxa[with->taxon_old[taxon]];
    for (uint32_t f = old->first_form; f < old->first_form + old->form_count; f++) {
        uint32_t now = with->old->forms[f].taxon == with->taxon_old[taxon]
                           ? rush_partner_of_form(with, f)
                           : RUSH_NONE;
        for (uint32_t c = 0; now != RUSH_NONE && c < with->now->character_count; c++)
            if (comparable(with, c))
                compare_form(with, f, now, c);
    }
}

static void list_forms(rush_comparing *with, uint32_t taxon)
{
    uint32_t old_taxon = with->taxon_old[taxon];
    const rush_taxon *old = &with->old->taxa[old_taxon], *now = &with->now->taxa[taxon];
    bool *has = RUSH_ARRAY(&with->arena, bool, now->form_count + 1);
    for (uint32_t f = old->first_form; f < old->first_form + old->form_count; f++) {
        if (with->old->forms[f].taxon != old_taxon)
            return; /* a group: its forms are those of the taxa within it */
        uint32_t partner = rush_partner_of_form(with, f);
        if (partner != RUSH_NONE)
            has[partner - now->first_form] = true;
        if (partner == RUSH_NONE ||
            !close_to(with->old->forms[f].share, with->now->forms[partner].share))
            *RUSH_PUSH(&with->arena, &with->forms) = (rush_form_change){taxon, f, partner};
    }
    for (uint32_t f = now->first_form; f < now->first_form + now->form_count; f++)
        if (!has[f - now->first_form] && with->now->forms[f].taxon == taxon)
            *RUSH_PUSH(&with->arena, &with->forms) = (rush_form_change){taxon, RUSH_NONE, f};
}

void rush_compare_traits(rush_comparing *with)
{
    for (uint32_t t = 0; t < with->now->taxon_count; t++) {
        if (with->taxon_old[t] == RUSH_NONE)
            continue;
        for (uint32_t c = 0; c < with->now->character_count; c++)
            if (comparable(with, c))
                compare_taxon(with, t, c);
        compare_forms(with, t);
        list_forms(with, t);
    }
}
