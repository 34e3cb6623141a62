/* What a revision of a key changed that somebody who uses it would notice.
 *
 * Layer: changes (above trial). Things of the two keys are matched by name; what is left is taken for renamed when the
 * one key knows it by the other's name, or when it says the same of it.
 * Ownership: the changes own all that they point to until rush_changes_free, and keep pointers to both keys.
 * Errors: NULL when there is no memory.
 * Everywhere `old` counts in the old key and `now` in the new one; RUSH_NONE: it is not there. */
#ifndef RUSHLIGHT_CHANGES_H
#define RUSHLIGHT_CHANGES_H

#include "rushlight/ranking.h"

/* Two things that are the same, one that was removed (`now` is RUSH_NONE) or one that was added. */
typedef struct rush_match {
    uint32_t old, now;
    bool renamed;
    uint32_t what; /* of the bits below: in what they differ beside the name */
} rush_match;

/* In what characters differ. */
enum {
    RUSH_CHANGED_LABEL = 1,
    RUSH_CHANGED_ASK = 2,
    RUSH_CHANGED_TIP = 4,
    RUSH_CHANGED_KIND = 8, /* states, a number, its unit: its traits cannot be compared */
    RUSH_CHANGED_REACH = 16,
    RUSH_CHANGED_EFFORT = 32,
    RUSH_CHANGED_MISREAD = 64, /* of a number its reading error too */
    RUSH_CHANGED_CONFUSED = 128
};

/* In what taxa differ. */
enum {
    RUSH_CHANGED_RANK = 1,
    RUSH_CHANGED_WITHIN = 2,
    RUSH_CHANGED_VERNACULAR = 4,
    RUSH_CHANGED_OCCURRENCE = 8,
    RUSH_CHANGED_CAUTION = 16
};

/* A state of a matched character. */
typedef struct rush_state_change {
    uint32_t old_character, character;
    rush_match state;
} rush_state_change;

/* A form of a matched taxon: added, removed, or of another share. */
typedef struct rush_form_change {
    uint32_t taxon; /* of the new key */
    uint32_t old, now;
} rush_form_change;

/* A trait of matched taxa in a matched character. What a taxon inherits is told where it stands. */
typedef struct rush_trait_change {
    uint32_t old_taxon, taxon;
    uint32_t old_form, form; /* RUSH_NONE: the taxon as a whole */
    uint32_t old_character, character;
    const rush_trait *old, *now; /* NULL: unscored */
} rush_trait_change;

/* What one key says of a sighting. */
typedef struct rush_answered {
    bool read; /* it can be read with this key; else all below is nothing */
    bool nothing_fits;
    rush_verdict verdict;
} rush_answered;

/* A worked sighting of either key that answers differently. */
typedef struct rush_sighting_change {
    uint32_t old, now; /* among the worked sightings; both where both have it */
    const char *saw;
    rush_answered before, after;
} rush_sighting_change;

typedef struct rush_changes {
    const rush_key *old, *now;
    /* All things of both keys, in the order of the new key, what was removed behind. */
    const rush_match *characters, *taxa;
    uint32_t character_count, taxon_count;
    /* Only what changed. */
    const rush_state_change *states;
    const rush_form_change *forms;
    const rush_trait_change *traits;
    const rush_sighting_change *sightings;
    uint32_t state_count, form_count, trait_count, sighting_count;
    uint32_t sightings_compared;
} rush_changes;

RUSH_PUBLIC rush_changes *rush_changes_find(const rush_key *old, const rush_key *now);
RUSH_PUBLIC void rush_changes_free(rush_changes *changes);
/* Whether a match is worth telling: added, removed, renamed or different. */
RUSH_PUBLIC bool rush_match_changed(const rush_match *match);
/* Whether there is anything to tell. */
RUSH_PUBLIC bool rush_changes_any(const rush_changes *changes);

#endif
