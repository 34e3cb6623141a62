/* What to look at next.
 *
 * Layer: advise (above rank). Everything is plain values; nothing is owned.
 * Formula: the expected information about the taxon that a report R of a character would bring, in
 * bits, I(T;R) = H(R) - sum over t of P(t) H(R|t) (Shannon 1948, Bell Syst. Tech. J. 27; Quinlan 1986,
 * Machine Learning 1:81-106 for choosing by it), over the listed taxa, by the character's effort.
 * Choosing the best one each time is usual and not optimal (Garey and Graham 1974, Acta Informatica
 * 3:347-355), and characters that go together are overrated by it. */
#ifndef RUSHLIGHT_ADVICE_H
#define RUSHLIGHT_ADVICE_H

#include "rushlight/ranking.h"

#define RUSH_LEAST_GAIN 0.02 /* bits; a look that promises less is not worth it */

typedef struct rush_look {
    uint32_t character;
    double gain; /* bits, 0 or more */
} rush_look;

typedef struct rush_look_options {
    rush_reach reach;   /* how well it can be seen: nothing that needs more is offered; 0: FAR */
    double least_gain;  /* bits; those that promise less are left out; 0: none is */
    bool any_character; /* settings, sex and form too, and what is answered (never the taxon) */
} rush_look_options;

typedef struct rush_adviser rush_adviser;

/* One thread's workspace; NULL when there is no memory. */
RUSH_PUBLIC rush_adviser *rush_adviser_new(const rush_key *key);
RUSH_PUBLIC void rush_adviser_free(rush_adviser *adviser);

/* Anything in the hand, RUSH_LEAST_GAIN. */
RUSH_PUBLIC rush_look_options rush_look_usual(void);
/* The characters that are worth a look, the best for its effort first; of equal ones in the key's own
 * order. `options` may be NULL: the usual ones. They lie in the adviser until the next call. Not offered:
 * what is answered, and what over half of the probability cannot show. */
RUSH_PUBLIC const rush_look *rush_look_next(rush_adviser *adviser, const rush_ranking *ranking,
                                            const rush_look_options *options, uint32_t *count);

/* The characters that would tell two forms apart, the best first, as rush_look_next has it: bits between
 * just these two, taken as equally probable. What is answered counts too. */
RUSH_PUBLIC const rush_look *rush_tell_apart(rush_adviser *adviser, uint32_t form, uint32_t other,
                                             rush_reach reach, uint32_t *count);

/* What would be reported of a character with states that may be looked at next, given the ranking: reports[r]
 * gets P(report r), of the listed forms together. `reports` has room for one number a state. */
RUSH_PUBLIC void rush_expect_reports(const rush_ranking *ranking, uint32_t character,
                                     double *reports);

#endif
