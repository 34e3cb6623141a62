/* The model as the headers state it, reckoned in the slow and obvious way.
 *
 * It knows nothing of the library: it works on the data that an invented key was made from. Every
 * quantity is found anew wherever it is wanted, in long double where sums are long, and nothing
 * is cached, shared or taken out of a loop. See DEVELOPERS.md for the formulas' sources. */
#ifndef RUSHLIGHT_TEST_ORACLE_H
#define RUSHLIGHT_TEST_ORACLE_H

#include "random_key.h"

/* What one answer is worth for one hypothesis. */
typedef struct oracle_parts {
    double value;   /* P(answer | form), or the suitability of a setting */
    double misread; /* the part of it that came from a true state outside the answer */
} oracle_parts;

oracle_parts oracle_answer(const made_key *key, const made_answer *answer, int form);

/* Whether an answer sits badly: 8 times its value, and the largest that it could have had. */
typedef struct oracle_seat {
    double eightfold, largest;
} oracle_seat;

oracle_seat oracle_sits(const made_key *key, const made_answer *answer, int form);

/* The chance that an answer of the same breadth sits badly; below 0: not reckoned. */
double oracle_bad_chance(const made_key *key, const made_answer *answer, int form);
/* The chance of at least `least` of some events. */
double oracle_tail(const double *chances, int count, int least);

typedef struct oracle_options {
    bool no_occurrence;
    bool no_settings;
} oracle_options;

typedef struct oracle_posterior {
    bool nothing_fits;
    double forms[MADE_FORMS], taxa[MADE_TAXA];
    double unlisted;
} oracle_posterior;

void oracle_rank(const made_key *key, const made_sighting *sighting, oracle_options options,
                 oracle_posterior *posterior);

/* The probability that answer `at` was misread. */
double oracle_misread(const made_key *key, const made_sighting *sighting,
                      const oracle_posterior *posterior, int at);
/* The chance that the insect is male, whichever listed form it is, of the listed ones. */
double oracle_male(const made_key *key, const made_sighting *sighting,
                   const oracle_posterior *posterior);

/* Bits about the taxon that a report of a character (not a setting) would bring. */
double oracle_gain(const made_key *key, const oracle_posterior *posterior, int character);
/* Bits between two forms, taken as equally probable. */
double oracle_apart(const made_key *key, int form, int other, int character);
/* The part of the listed probability that cannot show a character. */
double oracle_cannot_show(const made_key *key, const oracle_posterior *posterior, int character);

bool oracle_stands_within(const made_key *key, int taxon, int above);

#endif
