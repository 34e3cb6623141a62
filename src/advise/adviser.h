/* The adviser's storage, and the information that characters hold for the forms that count.
 *
 * Layer: advise. */
#ifndef RUSH_ADVISE_ADVISER_H
#define RUSH_ADVISE_ADVISER_H

#include "advise/reports.h"
#include "rushlight/advice.h"

/* Some that stand side by side. */
typedef struct rush_stretch {
    uint32_t from, to;
} rush_stretch;

struct rush_adviser {
    rush_arena arena;
    const rush_key *key;
    rush_look *looks;
    uint32_t look_count;
    rush_report_tables reports;

    /* Forms that count, in the key's order, with their masses; and stretches of them: of taxa with several. */
    uint32_t *forms, form_count;
    double *mass;
    rush_stretch *mixed;
    uint32_t mixed_count;
    /* Steady taxa, whose forms stand to each other as in the key, count as taxa: when they are many by `leaf_mass`, else
     * in the list with their first form for all. */
    double *leaf_mass;     /* by taxon without children; 0: it is not steady */
    double *steady_mass;   /* by form of the key */
    uint32_t steady_count; /* of taxa */
    bool by_leaf;
    double whole; /* the mass of all */

    double *by_profile[2]; /* sums of the masses of each profile; all 0 between two uses */
    uint32_t *listed;      /* profiles */
    double *all;           /* a row of reports */
};

/* Escapes through the adviser's arena when there is no memory. */
void rush_information_reserve(rush_adviser *adviser);
/* From now on those forms count that have a mass; some that have next to none do not. */
void rush_count_all(rush_adviser *adviser, const double *mass);
/* ... two forms, alike in mass, as if they were taxa. */
void rush_count_two(rush_adviser *adviser, uint32_t form, uint32_t other);
/* I(T;R) in bits of a character (not the taxon) for the forms that count. `*cannot`, unless NULL, gets the mass of
 * those that cannot show it. */
double rush_information_of_counted(rush_adviser *adviser, uint32_t character, double *cannot);

#endif
