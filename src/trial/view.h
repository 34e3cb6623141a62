/* One insect as one observer sees it.
 *
 * Layer: trial. All is drawn from the view's seed and number, the character and how often it has been looked at:
 * the order of looking changes nothing, and two observers of one number see the same insect. */
#ifndef RUSH_TRIAL_VIEW_H
#define RUSH_TRIAL_VIEW_H

#include "base/random.h"
#include "key/key.h"
#include "rushlight/sighting.h"

typedef struct rush_view {
    const rush_key *key;
    uint64_t seed, number;
    uint32_t form;    /* what the insect is */
    double misread;   /* times the key's own rates */
    double unseen;    /* the part of the characters that cannot be seen */
    uint32_t in_mind; /* a form that answers lean to by `leans`; RUSH_NONE: none */
    double leans;
    bool stubborn; /* a second look shows the same again */
} rush_view;

/* What was reported of a character. */
typedef struct rush_seen {
    uint32_t state; /* of kinds STATES and MONTHS */
    double value;   /* of a number, written with steps of `step` */
    double step;
    bool misread; /* not what the insect shows */
} rush_seen;

/* The `look`-th look, from 0. False when it cannot be seen, or does not show in this insect. Of a setting: what
 * the occasion is; it is neither unseen nor misread. */
bool rush_view_look(const rush_view *view, uint32_t character, uint32_t look, rush_seen *seen);
/* Adds it to a sighting that has no answer for the character. */
void rush_seen_answer(const rush_seen *seen, uint32_t character, rush_sighting *sighting);

/* Columns of the table of random numbers, behind those of the characters. */
#define RUSH_COLUMN_OF_FORM   UINT64_MAX
#define RUSH_COLUMN_OF_MANNER (UINT64_MAX - 1)

/* What is met. */
typedef struct rush_meeting {
    const rush_key *key;
    double *weights; /* by form: how often it is met, not normalised */
} rush_meeting;

/* Weights by the model's prior: occurrence x share x how many occasions suit it, so that what is known of the
 * insect once the settings are told is just the model's prior. Evenly: each taxon alike. False when there is no
 * memory. */
bool rush_meeting_begin(rush_meeting *meeting, const rush_key *key, bool evenly);
void rush_meeting_free(rush_meeting *meeting);
/* The form of a seed's insect with this number, of those of a taxon; RUSH_NONE: of any. */
uint32_t rush_meeting_form(const rush_meeting *meeting, uint64_t seed, uint64_t number,
                           uint32_t within);
/* A form of another taxon in the smallest group around a form that has any, of the same sex where there is
 * one; RUSH_NONE in a key of one taxon. */
uint32_t rush_meeting_look_alike(const rush_meeting *meeting, uint32_t form, rush_random *random);

#endif
