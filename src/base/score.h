/* Scores of probabilities against what happened.
 *
 * Layer: base. Both are strictly proper: Brier (1950), Monthly Weather Review 78:1-3; Good (1952), J. R.
 * Stat. Soc. B 14:107-114. */
#ifndef RUSH_BASE_SCORE_H
#define RUSH_BASE_SCORE_H

#include <stdbool.h>
#include <stdint.h>

/* (p - y)^2, 0 to 1, of the probability given to something that happened or not. */
double rush_score_brier(double probability, bool happened);
/* The sum over all classes, 0 to 2, of which `true_class` happened. */
double rush_score_brier_classes(const double *probabilities, uint32_t count, uint32_t true_class);
/* -log2 of the probability given to what happened: bits, 0 or more. */
double rush_score_log(double probability);

/* Where a share lies with a confidence of 95 %, when `some` of `all` were counted; all is above 0 (Wilson 1927, J.
 * Am. Stat. Assoc. 22:209-212). */
void rush_share_interval(uint32_t some, uint32_t all, double *low, double *high);

#endif
