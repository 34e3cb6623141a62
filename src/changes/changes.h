/* The steps of comparing two keys. Private to src/changes.
 *
 * Layer: changes. */
#ifndef RUSH_CHANGES_CHANGES_H
#define RUSH_CHANGES_CHANGES_H

#include "base/arena.h"
#include "key/key.h"
#include "rushlight/changes.h"

typedef struct rush_comparing {
    rush_arena arena;
    const rush_key *old, *now;
    /* By thing of the old key, its partner in the new one, and the other way round; RUSH_NONE: none. */
    uint32_t *character_now, *character_old, *taxon_now, *taxon_old;
    uint32_t **
        state_now; /* by character of the old key: by state; NULL: it has no partner, or no states */
    RUSH_LIST(rush_match) characters;
    RUSH_LIST(rush_match) taxa;
    RUSH_LIST(rush_state_change) states;
    RUSH_LIST(rush_form_change) forms;
    RUSH_LIST(rush_trait_change) traits;
    RUSH_LIST(rush_sighting_change) sightings;
    uint32_t compared;
} rush_comparing;

void rush_match_things(rush_comparing *with);   /* match.c: characters, taxa, states */
void rush_compare_things(rush_comparing *with); /* things.c: in what matched ones differ */
void rush_compare_traits(rush_comparing *with); /* traits.c: traits and forms */
/* sightings.c; false when there is no memory. */
bool rush_compare_sightings(rush_comparing *with);

/* match.c. A form's partner: of the same sex and name, in the partner of its taxon. */
uint32_t rush_partner_of_form(const rush_comparing *with, uint32_t old_form);
/* traits.c. Whether two traits of a matched character say the same; NULL: unscored. */
bool rush_same_trait(const rush_comparing *with, uint32_t old_character, const rush_trait *old,
                     const rush_trait *now);
/* Whether words say the same in the first language of each key. */
bool rush_same_words(const rush_comparing *with, rush_words old, rush_words now);
bool rush_same_string(const char *a, const char *b); /* NULL is one too */

#endif
