/* Numbers from a seed, the same on every machine.
 *
 * Layer: base. The generator is SplitMix64 (Steele, Lea and Flood 2014, OOPSLA '14:453-472), which also
 * spreads the numbers of a place over its state, so that each place has numbers of its own whatever else was
 * drawn before it. */
#ifndef RUSH_BASE_RANDOM_H
#define RUSH_BASE_RANDOM_H

#include <stdint.h>

typedef struct rush_random {
    uint64_t state;
} rush_random;

/* The generator of one place in a table of them: the same for the same three numbers. */
rush_random rush_random_at(uint64_t seed, uint64_t row, uint64_t column);
uint64_t rush_random_next(rush_random *random);
/* 0 to below 1. */
double rush_random_unit(rush_random *random);
/* 0 to below `count`, which is above 0. */
uint32_t rush_random_below(rush_random *random, uint32_t count);
/* An index with the chances of some weights, which sum to `total`; none with a weight of 0. */
uint32_t rush_random_of(rush_random *random, const double *weights, uint32_t count, double total);
/* Standard normal (Box and Muller 1958, Ann. Math. Stat. 29:610-611). */
double rush_random_normal(rush_random *random);

#endif
