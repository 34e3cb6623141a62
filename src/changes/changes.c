#include "changes/changes.h"

#include <stdlib.h>

typedef struct whole_changes {
    rush_changes changes; /* first: what the caller has */
    rush_comparing with;
} whole_changes;

static void compare(void *with)
{
    rush_comparing *comparing = with;
    rush_match_things(comparing);
    rush_compare_things(comparing);
    rush_compare_traits(comparing);
}

static void show(whole_changes *whole)
{
    const rush_comparing *with = &whole->with;
    whole->changes = (rush_changes){.old = with->old,
                                    .now = with->now,
                                    .characters = with->characters.items,
                                    .character_count = with->characters.count,
                                    .taxa = with->taxa.items,
                                    .taxon_count = with->taxa.count,
                                    .states = with->states.items,
                                    .state_count = with->states.count,
                                    .forms = with->forms.items,
                                    .form_count = with->forms.count,
                                    .traits = with->traits.items,
                                    .trait_count = with->traits.count,
                                    .sightings = with->sightings.items,
                                    .sighting_count = with->sightings.count,
                                    .sightings_compared = with->compared};
}

rush_changes *rush_changes_find(const rush_key *old, const rush_key *now)
{
    whole_changes *whole = calloc(1, sizeof *whole);
    if (!whole)
        return NULL;
    whole->with.old = old;
    whole->with.now = now;
    if (!rush_arena_guard(&whole->with.arena, compare, &whole->with) ||
        !rush_compare_sightings(&whole->with)) {
        rush_changes_free(&whole->changes);
        return NULL;
    }
    show(whole);
    return &whole->changes;
}

void rush_changes_free(rush_changes *changes)
{
    whole_changes *whole = (whole_changes *)changes;
    if (whole)
        rush_arena_free(&whole->with.arena);
    free(whole);
}

bool rush_match_changed(const rush_match *match)
{
    return match->old == RUSH_NONE || match->now == RUSH_NONE || match->renamed || match->what;
}

bool rush_changes_any(const rush_changes *changes)
{
    bool any = changes->state_count || changes->form_count || changes->trait_count ||
               changes->sighting_count;
    for (uint32_t i = 0; i < changes->character_count; i++)
        any |= rush_match_changed(&changes->characters[i]);
    for (uint32_t i = 0; i < changes->taxon_count; i++)
        any |= rush_match_changed(&changes->taxa[i]);
    return any;
}
