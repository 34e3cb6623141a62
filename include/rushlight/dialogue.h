/* The conversation beside the water: a line in, a reply out.
 *
 * Layer: dialogue (above advise). It asks one character at a time, the best to look at next first.
 * A line is an answer to it, or any observation line, or a word of command:
 *     (nothing)  not seen: go on     ?  how to look     <  back one step     .  end
 * Ownership: replies lie in the dialogue until the next step.
 * The conversation ends by itself when a safe name has survived one further answer, or when nothing
 * left to look at would help. */
#ifndef RUSHLIGHT_DIALOGUE_H
#define RUSHLIGHT_DIALOGUE_H

#include "rushlight/advice.h"

typedef enum rush_reply_kind {
    RUSH_REPLY_ASK,     /* look at `asked` */
    RUSH_REPLY_EXPLAIN, /* how to look at `asked`, which stays asked */
    RUSH_REPLY_UNREAD,  /* the line was not understood: see `diagnostics`; `asked` stays asked */
    RUSH_REPLY_END      /* the verdict; `why_ended` says what ended it */
} rush_reply_kind;

typedef enum rush_end {
    RUSH_END_TOLD,   /* by the observer */
    RUSH_END_SAFE,   /* a safe name has survived a further answer */
    RUSH_END_NO_LOOK /* nothing left would help */
} rush_end;

typedef struct rush_reply {
    rush_reply_kind kind;
    rush_end why_ended;
    uint32_t asked;              /* a character; RUSH_NONE at the end */
    const rush_ranking *ranking; /* of what has been answered so far */
    const rush_ranker *ranker;
    const rush_sighting *sighting;
    bool answered; /* the line brought an answer, so that the ranking is news */
    const rush_diagnostics *diagnostics;
    rush_adviser *adviser; /* at the end: for what tells those in play apart */
    uint32_t language;
} rush_reply;

typedef struct rush_dialogue_options {
    rush_rank_options rank;
    rush_reach reach;
    uint32_t language;
    const rush_sighting *set; /* what is known beforehand, or NULL */
} rush_dialogue_options;

typedef struct rush_dialogue rush_dialogue;

/* NULL when there is no memory. */
RUSH_PUBLIC rush_dialogue *rush_dialogue_new(const rush_key *key,
                                             const rush_dialogue_options *options);
RUSH_PUBLIC void rush_dialogue_free(rush_dialogue *dialogue);
/* The first question. */
RUSH_PUBLIC const rush_reply *rush_dialogue_begin(rush_dialogue *dialogue);
/* One line of the observer's, without its line break. After the end it gives the end again. */
RUSH_PUBLIC const rush_reply *rush_dialogue_step(rush_dialogue *dialogue, rush_text line);
/* The end, as if `.` had been said: for when the input ends. */
RUSH_PUBLIC const rush_reply *rush_dialogue_end(rush_dialogue *dialogue);

#endif
