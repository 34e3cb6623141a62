/* The adviser's storage, and the information that characters hold for the forms that count.
 *
 * Layer: advise. */
#ifndef RUSH_ADVISE_ADVISER_H
#define RUSH_ADVISE_ADVISER_H

#include "advise/reports.h"
#include "rushlight/advice.h"

struct rush_adviser {
    rush_arena arena;
    const rush_key *key;
    rush_look *looks;
    uint32_t look_count;
    rush_report_tables reports;

    double *mass; /* of each form that counts; 0: it does not */
    double whole; /* of all of them */
    /* Few of them are listed, in the key's order, and those of their taxa of which several count. */
    bool listed;
    uint32_t *forms, form_count;
    uint32_t *mixed, mixed_count;
    /* Many are not. */
    double *leaf_mass; /* by taxon without children */
    double *
        steady_mass; /* of the forms of taxa whose forms stand to each other as in the key; of others -1, and 0 where
                            a single one counts */
    uint32_t *leaf_of; /* by form: its taxon without children */

    double *by_profile[2]; /* sums of the masses of each profile; all 0 between two uses */
    uint32_t *profiles;    /* a list of them, */
    double *masses;        /* and the mass of each */
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
