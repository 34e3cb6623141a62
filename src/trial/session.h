/* One simulated sighting, worked through from the first question to the end.
 *
 * Layer: trial. */
#ifndef RUSH_TRIAL_SESSION_H
#define RUSH_TRIAL_SESSION_H

#include "advise/asking.h"
#include "rushlight/trial.h"
#include "trial/view.h"

/* How it ended; forms and taxa are those of the key that insects are drawn from. */
typedef struct rush_session_end {
    uint32_t form; /* what the insect was */
    uint32_t
        rival; /* where it was not called right: the likeliest form of what stood against it; RUSH_NONE */
    uint32_t asked, answered;
    uint8_t outcome; /* rush_outcome */
    uint8_t sex,
        told_sex; /* rush_sex: of the insect; of the verdict, RUSH_SEX_ANY when none was safe */
    bool true_verdict;      /* what the verdict stated, safe or not, was so */
    double stated;          /* its probability */
    double brier, surprise; /* -log2 of what the truth got */
    double entropy;         /* before the first answer */
} rush_session_end;

/* What characters have earned, in whole millionths of a bit, so that sums do not depend on their order. */
typedef struct rush_earnings {
    uint32_t asked, answered, misread;
    int64_t microbits;
} rush_earnings;

/* One thread's place at one key. */
typedef struct rush_seat {
    const rush_key *key; /* under trial */
    const rush_key
        *nature;          /* that insects are drawn from: the same characters, and all the taxa */
    const uint32_t *taxa; /* nature's number of each taxon under trial; NULL: the same */
    rush_ranker *ranker;
    rush_adviser *adviser;
    rush_sighting *sighting;
    rush_asking asking;
    double *chances; /* one for each leaf, and one more */
    rush_rank_options rank;
    rush_reach reach;
    rush_earnings *earnings; /* by character; added to */
} rush_seat;

/* Fills what the seat owns; false when there is no memory. To be freed all the same. */
bool rush_seat_begin(rush_seat *seat);
void rush_seat_free(rush_seat *seat);

rush_session_end rush_session_hold(rush_seat *seat, const rush_view *view);

#endif
