/* The key compiled: what the model needs to answer quickly.
 *
 * Layer: key. Most forms share the same distribution over a character's states. So each character has
 * a small table of distinct profiles, and each form one profile number a character. Forms that are not
 * scored are like the scored ones of the nearest taxon around that has any: a profile that is a mixture,
 * of which only that taxon is kept, since its parts stand in the forms. The hypotheses are the forms, then
 * the unlisted ones: a relative for each genus and each family, and a stranger; what is expected of those
 * follows from the forms too. Ranges and sources are beside each field. */
#ifndef RUSH_KEY_MODEL_H
#define RUSH_KEY_MODEL_H

#include "base/arena.h"

/* The model's fixed figures; rushlight's own, chosen by simulation. */
#define RUSH_ERROR_MAX     0.45 /* no answer is worth less than this leaves */
#define RUSH_CONFUSED_PART 0.8  /* of the misreads, to the states confused with the true one */
#define RUSH_NEAREST_PART  0.8  /* of an unscored trait, from the nearest enclosing taxon */
#define RUSH_RELATIVE_PART 0.7  /* of an unlisted relative, like its taxon */
#define RUSH_STRANGER_PART 0.5  /* of a stranger, like the key as a whole */
#define RUSH_GENERA_MASS   0.4  /* of the unlisted mass, to the relatives of the genera */
#define RUSH_FAMILIES_MASS 0.4
#define RUSH_STRANGER_MASS 0.2
#define RUSH_OUT_OF_PLACE  0.03 /* suitability of a setting's state that is not listed */
#define RUSH_SEASON_EDGE   0.5  /* first and last month of a season of three or more */
#define RUSH_SEASON_NEXT   0.2  /* one month outside */
#define RUSH_SEASON_BEYOND 0.01
#define RUSH_LEAST_SD      0.035 /* of a printed range, as a part of its mean */
#define RUSH_OTHER_TAXON   0.01  /* likelihood outside the taxon that the observer is sure of */
#define RUSH_LEAST_WIDTH   1e-6  /* of a misread number's interval, as a part of the span */

typedef enum rush_profile_kind {
    RUSH_PROFILE_STATE,   /* always the same state */
    RUSH_PROFILE_STATES,  /* weights: the chance that the insect shows each state */
    RUSH_PROFILE_SETTING, /* weights: the suitability of each state */
    RUSH_PROFILE_NUMBER,  /* mean and sd */
    RUSH_PROFILE_INAPPLICABLE,
    RUSH_PROFILE_MIXTURE /* of the others, and of an even answer */
} rush_profile_kind;

/* What scored forms show. */
typedef struct rush_profile {
    rush_profile_kind kind;
    uint32_t state;        /* STATE */
    const double *weights; /* STATES and SETTING: one for each state */
    double mean, sd;       /* NUMBER */
} rush_profile;

/* One character. */
typedef struct rush_column {
    const rush_profile *profiles; /* those of scored forms come first, */
    uint32_t scored_count;
    const uint32_t
        *mixtures;          /* then the mixtures: each the taxon whose scored forms it is like, */
    uint32_t profile_count; /* RUSH_NONE: the key's as a whole; so many are there in all */
    const double
        *whole; /* by profile: its part of the key's scored forms; NULL: there are none */
    const uint8_t *narrow;    /* the profile of each form when there are at most 256, */
    const uint16_t *wide;     /* else this one */
    const uint64_t *confused; /* for each state, the set of those that it is confused with */
    uint32_t set_words;       /* 64-bit words of a set of states */
} rush_column;

typedef struct rush_unlisted {
    uint32_t taxon; /* the genus or family; RUSH_NONE: a stranger */
    double mass;    /* of the unlisted mass; all of them sum to 1 */
} rush_unlisted;

typedef struct rush_model {
    const rush_column *columns; /* by character */
    const rush_unlisted *unlisted;
    uint32_t unlisted_count;
    uint32_t hypothesis_count; /* forms and unlisted */
    const double *prior;       /* of each form: occurrence x share, not normalised */
    const double *share;       /* of each form within its taxon */
    uint32_t set_words;        /* of the largest set of states, or of leaf taxa */
} rush_model;

static inline uint32_t rush_column_profile(const rush_column *column, uint32_t form)
{
    return column->narrow ? column->narrow[form] : column->wide[form];
}

static inline rush_profile_kind rush_column_kind(const rush_column *column, uint32_t profile)
{
    return profile < column->scored_count ? column->profiles[profile].kind : RUSH_PROFILE_MIXTURE;
}

struct rush_key;

/* The parts of a mixture, one after the other; a profile may come more than once. Their weights and `even`,
 * the part that answers evenly, sum to 1. */
typedef struct rush_mixture_parts {
    const rush_column *column;
    const double *prior;
    uint32_t form, forms_end; /* of the taxon */
    double scale;             /* of a form's prior */
    uint32_t of_whole;        /* the next profile of the whole key */
    double whole, even;
} rush_mixture_parts;

rush_mixture_parts rush_mixture_begin(const struct rush_key *key, uint32_t character,
                                      uint32_t profile);
/* False when there are no more. */
bool rush_mixture_next(rush_mixture_parts *parts, uint32_t *profile, double *weight);

/* Makes the model of a key that is read and linked. `scratch` is freed by the caller. Escapes when there is
 * no memory; false when a character has more than 65,536 profiles. */
bool rush_model_compile(struct rush_key *key, rush_arena *arena, rush_arena *scratch);

#endif
