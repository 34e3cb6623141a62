/* The key compiled: what the model needs to answer quickly.
 *
 * Layer: key. Most forms share the same distribution over a character's states. So each character has
 * a small table of distinct profiles, and each hypothesis one profile number a character. The
 * hypotheses are the forms, then the unlisted ones: a relative for each genus and each family, and
 * a stranger. Everything here is in terms of DESIGN's model; ranges and sources are beside it. */
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
    RUSH_PROFILE_MIXTURE /* of earlier profiles of the character, and of an even answer */
} rush_profile_kind;

typedef struct rush_component {
    uint32_t profile;
    double weight;
} rush_component;

typedef struct rush_profile {
    rush_profile_kind kind;
    uint32_t state;                   /* STATE */
    const double *weights;            /* STATES and SETTING: one for each state */
    double mean, sd;                  /* NUMBER */
    const rush_component *components; /* MIXTURE; their weights and `even` sum to 1 */
    uint32_t component_count;
    double even; /* MIXTURE: the part that answers |A|/S */
} rush_profile;

/* One character. */
typedef struct rush_column {
    const rush_profile *profiles;
    uint32_t profile_count;
    const uint8_t *narrow;    /* the profile of each hypothesis when there are at most 256, */
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
    const double *log_prior;   /* of each form: log of occurrence x share, not normalised */
    const double *log_share;   /* of each form within its taxon */
    uint32_t set_words;        /* of the largest set of states, or of leaf taxa */
} rush_model;

static inline uint32_t rush_column_profile(const rush_column *column, uint32_t hypothesis)
{
    return column->narrow ? column->narrow[hypothesis] : column->wide[hypothesis];
}

struct rush_key;
/* Makes the model of a key that is read and linked. Escapes when there is no memory; false when a
 * character has more than 65,536 profiles. */
bool rush_model_compile(struct rush_key *key, rush_arena *arena);

#endif
