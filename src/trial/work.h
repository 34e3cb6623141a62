/* A trial's sightings, worked through by several threads.
 *
 * Layer: trial. What a sighting comes to depends on nothing but its run and its number, and is put into its own
 * place; what characters earned is summed in whole numbers. So it does not matter which thread does what. */
#ifndef RUSH_TRIAL_WORK_H
#define RUSH_TRIAL_WORK_H

#include "trial/session.h"

/* One run's part of the work. */
typedef struct rush_work_run {
    rush_observer observer;
    uint32_t blank;
    const rush_key *key;     /* under trial: the whole one, or one with a blank */
    rush_session_end *ends;  /* by number: `count` of them */
    rush_earnings *earnings; /* by character */
    uint32_t count;
} rush_work_run;

typedef struct rush_work {
    const rush_key *key; /* that insects are drawn from */
    const rush_trial_options *options;
    rush_meeting meeting;
    rush_work_run *runs;
    uint32_t run_count;
} rush_work;

/* Fills the ends and adds to the earnings of every run; false when there is no memory. */
bool rush_work_do(rush_work *work);

#endif
