/* What to ask next, and when to stop: the one rule of the conversation and of the simulated observers.
 *
 * Layer: advise. An answer that the rest makes doubtful is asked once more; a safe name must survive one
 * further answer, since most wrong names come from stopping at the first crossing; what has been passed over
 * is not asked again. */
#ifndef RUSH_ADVISE_ASKING_H
#define RUSH_ADVISE_ASKING_H

#include "rushlight/advice.h"

/* A name that is safe is asked to survive one more answer, if any promises this much: bits. */
#define RUSH_LEAST_CONFIRMATION 0.001

typedef struct rush_asking {
    bool *skipped;       /* by character: asked, and not seen */
    bool *looked_twice;  /* by character: its second look has been offered */
    uint32_t safe_taxon; /* the safe name before the last answer, or RUSH_NONE */
} rush_asking;

typedef enum rush_turn_kind {
    RUSH_TURN_LOOK,    /* ask `character` */
    RUSH_TURN_AGAIN,   /* ask it a second time */
    RUSH_TURN_SAFE,    /* the end: a safe name has survived a further answer */
    RUSH_TURN_NO_LOOK, /* the end: nothing left would help */
} rush_turn_kind;

typedef struct rush_turn {
    rush_turn_kind kind;
    uint32_t character;     /* RUSH_NONE at an end */
    const rush_look *looks; /* of LOOK: the adviser's, for when this one cannot be seen */
    uint32_t look_count;
} rush_turn;

/* False when there is no memory; to be freed all the same. */
bool rush_asking_begin(rush_asking *asking, const rush_key *key);
void rush_asking_free(rush_asking *asking);
/* For another sighting. */
void rush_asking_restart(rush_asking *asking, const rush_key *key);

/* `answered`: since the last turn an answer has been given, and the ranking is of it. */
rush_turn rush_asking_turn(rush_asking *asking, rush_adviser *adviser,
                           const rush_ranking *ranking, rush_reach reach, bool answered);
/* The first of some looks that has not been passed over; RUSH_NONE for none. */
uint32_t rush_asking_among(const rush_asking *asking, const rush_look *looks, uint32_t count);

#endif
