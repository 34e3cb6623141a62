/* The conversation beside the water: a line in, a reply out.
 *
 * Layer: dialogue (above check). It asks one character at a time, the best to look at next first. A line is
 * an answer to it (a name, the number of a choice, an unambiguous beginning), or any observation line, or one
 * of these:
 *
 *     (nothing)  not seen: go on          list         what is in play
 *     ?          how to look              why          what speaks for the first against the second
 *     <          back; << two steps       apart A, B   what tells two of them apart
 *     .          end                      reach near   how well it can be seen now
 *     help       these words              said         what has been answered
 *
 * Ownership: replies, and all that they point to, lie in the dialogue until the next step.
 * The conversation ends by itself when a safe name has survived one further answer, or when nothing left to
 * look at would help. */
#ifndef RUSHLIGHT_DIALOGUE_H
#define RUSHLIGHT_DIALOGUE_H

#include "rushlight/advice.h"

typedef enum rush_reply_kind {
    RUSH_REPLY_ASK,     /* look at `asked` */
    RUSH_REPLY_EXPLAIN, /* how to look at `asked`, which stays asked; so it does below */
    RUSH_REPLY_UNREAD,  /* the line was not understood: see `diagnostics` */
    RUSH_REPLY_IN_PLAY, /* list the candidates in play */
    RUSH_REPLY_WHY,     /* weigh the answers for form `first` against form `second` */
    RUSH_REPLY_APART,   /* tell form `first` from form `second` */
    RUSH_REPLY_SAID,    /* list what has been answered */
    RUSH_REPLY_HELP,
    RUSH_REPLY_END /* the verdict; `why_ended` says what ended it */
} rush_reply_kind;

typedef enum rush_end {
    RUSH_END_TOLD,   /* by the observer */
    RUSH_END_SAFE,   /* a safe name has survived a further answer */
    RUSH_END_NO_LOOK /* nothing left would help */
} rush_end;

typedef struct rush_reply {
    rush_reply_kind kind;
    rush_end why_ended;
    uint32_t asked;   /* a character; RUSH_NONE at the end */
    bool second_look; /* it is asked again, since the rest makes its answer doubtful */
    bool answered;    /* the line brought an answer, so that the ranking is news */
    bool contradicts; /* ... which sits badly with the rest, or makes another answer doubtful */
    bool noted;       /* the line brought fields of the record alone */
    const rush_ranking *ranking; /* of what has been answered so far */
    const rush_ranker *ranker;
    const rush_sighting *sighting;
    const rush_diagnostics *diagnostics;
    rush_adviser *adviser;
    rush_reach reach;
    uint32_t language;
    uint32_t first, second; /* forms, of WHY and APART; RUSH_NONE: there are no two to compare */
    const rush_look
        *needed; /* at an end that is not safe to a species: what would help, had it been seen */
    uint32_t needed_count;
} rush_reply;

typedef struct rush_dialogue_options {
    rush_rank_options rank;
    rush_reach reach; /* nothing is asked that needs more; 0 is RUSH_REACH_FAR */
    uint32_t language;
    const rush_sighting *set; /* what is known beforehand, or NULL */
} rush_dialogue_options;

typedef struct rush_dialogue rush_dialogue;

/* Reach close; all else 0, which is usual. */
RUSH_PUBLIC rush_dialogue_options rush_dialogue_usual(void);
/* `options` may be NULL: the usual ones. The key and the part in `rank` must outlive the dialogue; the set is copied.
 * NULL when there is no memory. */
RUSH_PUBLIC rush_dialogue *rush_dialogue_new(const rush_key *key,
                                             const rush_dialogue_options *options);
RUSH_PUBLIC void rush_dialogue_free(rush_dialogue *dialogue);
/* The first question. A step or an end without it begins by itself. */
RUSH_PUBLIC const rush_reply *rush_dialogue_begin(rush_dialogue *dialogue);
/* One line of the observer's, without its line break. After the end it gives the end again; a line that
 * brings fields of the record alone is still noted. */
RUSH_PUBLIC const rush_reply *rush_dialogue_step(rush_dialogue *dialogue, rush_text line);
/* The end, as if `.` had been said: for when the input ends. */
RUSH_PUBLIC const rush_reply *rush_dialogue_end(rush_dialogue *dialogue);

/* What the end of a line may go on to: names of states, characters and words of command, each followed by a
 * line feed. `stem` gets the length of that end of the line. */
RUSH_PUBLIC void rush_dialogue_complete(const rush_dialogue *dialogue, rush_text line,
                                        size_t *stem, rush_buffer *names);

#endif
