/* What sightings come to: a run's figures out of their ends.
 *
 * Layer: trial. Everything is made in the arena; sums go by the sightings' numbers. */
#ifndef RUSH_TRIAL_FIGURES_H
#define RUSH_TRIAL_FIGURES_H

#include "base/arena.h"
#include "trial/work.h"

void rush_figures_make(const rush_work *work, const rush_work_run *from, rush_arena *arena,
                       rush_trial_run *run);

enum { RUSH_CONFUSIONS_MAX = 50 }; /* of a run: the costliest */
/* confusion.c */
void rush_confusions_make(const rush_work *work, const rush_work_run *from, rush_arena *arena,
                          rush_trial_run *run);
/* mend.c: fills in what would mend it. */
void rush_confusion_mend(const rush_key *key, rush_reach reach, rush_arena *arena,
                         rush_confusion *confusion);

#endif
