/* The likelihood of one answer under each profile of its character.
 *
 * Layer: rank. All values are for an answer as given: a set of states, an interval, perhaps unsure. */
#ifndef RUSH_RANK_LIKELIHOOD_H
#define RUSH_RANK_LIKELIHOOD_H

#include "key/key.h"
#include "rushlight/sighting.h"

/* Fills value[p] = P(A | profile p) and misread[p], the part of it that came from true states
 * outside A. `rows` has room for one number a state. Returns |A|/S, the value of an even answer. */
double rush_likelihood(const rush_key *key, const rush_answer *answer, double *value,
                       double *misread, double *rows);

/* In four parts, which a processor adds up at the same time; their order is the same on every machine. */
double rush_sum(const double *numbers, uint32_t count);

/* The likelihood of the unlisted, from the values by profile: unlisted[u] = P(A | u). A relative is like the mean of
 * its taxa and partly even, a stranger like the mean of the key. `leaves` has room for one number a taxon
 * without children. */
void rush_likelihood_unlisted(const rush_key *key, uint32_t character, const double *value,
                              double even, double *leaves, float *unlisted);

/* The suitability of a setting's answer under each profile. */
void rush_suitability(const rush_key *key, const rush_answer *answer, double *value);

/* How a profile's insects are reported: reports[r] = P(report r). `add` times it is added. An
 * inapplicable character reports evenly; a setting's reports are its suitabilities, which need not
 * sum to 1. */
void rush_reports_of_states(const rush_key *key, uint32_t character, uint32_t profile, double add,
                            double *reports);

enum { RUSH_BINS = 16 }; /* of a number's span, for look next */
/* The same for a number read by eye, in equal bins of the character's span; the first and the last
 * take what lies outside. */
void rush_reports_of_number(const rush_key *key, uint32_t character, uint32_t profile, double add,
                            double *reports);

/* One standard deviation of a reading of a form's mean, for an answer (NULL: a plain one by eye). */
double rush_reading_error(const rush_character *character, const rush_answer *answer,
                          double mean);
/* P(low < reading < high) of a normal with this mean and sd; a step when sd is 0. */
double rush_interval(double low, double high, double mean, double sd);
/* max(width of [low, high] within the span / span, 1e-6): what a misread number leaves to chance. */
double rush_even_width(const rush_character *character, double low, double high);

#endif
