/* How alike taxa look in one sex, character by character: the Bhattacharyya coefficient, the sum over reports of
 * sqrt(P(r|a) P(r|b)): 1 when they look the same, 0 when nothing is reported of both (Kailath 1967, IEEE Trans.
 * Commun. Technol. 15:52-60; from memory).
 *
 * Layer: advise. Everything lies in the arena. */
#ifndef RUSH_ADVISE_ROOTS_H
#define RUSH_ADVISE_ROOTS_H

#include "advise/likeness.h"

enum { RUSH_ROOT_SEXES = 2 };

typedef struct rush_roots {
    const rush_key *key;
    const uint32_t *leaves;
    uint32_t leaf_count;
    const double **of; /* by character: the roots by sex, leaf and report; NULL: not looked at */
    const uint8_t *there[RUSH_ROOT_SEXES]; /* by sex and leaf: it has such forms */
} rush_roots;

/* Of the leaves of a part (NULL: of the key), in all that needs no more than `reach`. */
rush_roots rush_roots_find(rush_arena *arena, const rush_key *key, const rush_part *part,
                           rush_reach reach);
/* Of two leaves that both have forms of the sex. */
double rush_roots_alike(const rush_roots *roots, uint32_t character, uint32_t sex, uint32_t a,
                        uint32_t b);

#endif
