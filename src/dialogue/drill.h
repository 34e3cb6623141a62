/* A drill's own state, for src/dialogue.
 *
 * Layer: dialogue. Cards and `last` are by leaf. */
#ifndef RUSH_DIALOGUE_DRILL_H
#define RUSH_DIALOGUE_DRILL_H

#include "key/key.h"
#include "rushlight/drill.h"
#include "trial/view.h"

enum { DRILL_FIRST_MARKS = 3 };

struct rush_drill {
    const rush_key *key;
    rush_drill_options options;
    rush_ranker *ranker;
    rush_adviser *adviser;
    rush_diagnostics *diagnostics;
    rush_drill_card *cards;
    uint32_t *last;   /* the round of this drill in which a taxon was last played; 0: in none */
    uint32_t repeats; /* rounds since something new was played */
    bool *explained;  /* by character: how to look was told with a hint of this drill */
    double *pool;     /* by form: how often it is played */
    rush_meeting meeting; /* what may be played in this round */
    rush_buffer others;   /* lines of the learner's file that are not about this key's taxa */

    uint32_t *order; /* characters that tell something, in the order in which they are seen */
    uint32_t order_count;
    uint32_t *first_state; /* by character: its first one, counted over all */
    bool *
        nonsense; /* by state of all characters, then by place in the order: the two do not go together */
    rush_view view;          /* the insect in play */
    rush_sighting *sighting; /* what is known of it */
    rush_drill_mark *marks;  /* all that it shows */
    uint32_t mark_count, shown;
    rush_drill_mark *occasion;
    uint32_t occasion_count;

    rush_drill_mark *told; /* the marks of the round that has ended */
    rush_drill_mark deciding[RUSH_DRILL_DECIDING];
    rush_drill_outcome outcome;
    rush_drill_reply reply;
    bool ended;
};

/* The card of a taxon without children. */
rush_drill_card *rush_drill_card_of(const rush_drill *drill, uint32_t taxon);

/* drill_cards.c. The form to be played in the round of the reply. */
uint32_t rush_drill_choose(rush_drill *drill);
/* How many taxa can be played, and how many of them are due. */
void rush_drill_count(const rush_drill *drill, uint32_t *taxa, uint32_t *due);
/* Moves a card after a round. */
void rush_drill_score(const rush_drill *drill, rush_drill_card *card, bool right);
/* The day, or the nearest one of the years 1 to 9999, which dates have. */
int32_t rush_drill_day_within(int32_t day);
/* "2026-07-15", of such a day. */
void rush_drill_date(int32_t day, rush_buffer *buffer);

/* drill_insect.c. Fills `pool`; false when there is no memory. */
bool rush_drill_fill_pool(rush_drill *drill);
/* Fills `order`. */
void rush_drill_sort_characters(rush_drill *drill);
/* A new insect: its occasion and its marks, none shown yet. False when there is no memory. */
bool rush_drill_play(rush_drill *drill, uint32_t form);
/* Brings the mark that tells most before the others that are not shown yet. */
void rush_drill_bring_forward(rush_drill *drill);
/* Shows so many marks more, as far as there are any; returns how many. */
uint32_t rush_drill_show(rush_drill *drill, uint32_t count);
/* Compares what was shown with what was named. */
void rush_drill_judge(rush_drill *drill, rush_drill_result result, uint32_t named);

/* drill_sense.c. Finds what does not go together; false when there is no memory. Once `order` is filled. */
bool rush_drill_learn_sense(rush_drill *drill);
/* Takes out of the marks what cannot be where another one is. */
void rush_drill_drop_nonsense(rush_drill *drill);

/* drill_names.c. The taxon that a line names, of any rank, and the sex; RUSH_NONE, and told in the diagnostics. */
uint32_t rush_drill_name(rush_drill *drill, rush_text line, rush_sex *sex);

/* Words of command, which NULL ends. */
extern const char *const rush_drill_words[];

#endif
