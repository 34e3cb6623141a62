/* What is reported of each profile's insects, in a table for each character.
 *
 * Layer: advise. A row is P(report | profile), one number a report. Those of the mixtures, of which a large key has
 * many, are in single precision; their entropies are of the rounded rows, so that what rounding does to an information
 * is less than a ten-millionth of it. A character's tables are made at its first use, in memory reserved before. */
#ifndef RUSH_ADVISE_REPORTS_H
#define RUSH_ADVISE_REPORTS_H

#include "key/key.h"

/* A form that does not share the profile of the first form of its taxon. `bits` is what a report tells about the form,
 * given the taxon, when its forms stand to each other as in the key: of the taxon, per share of this form. Of several
 * in a taxon one has it, the others 0. */
typedef struct rush_differing {
    uint32_t form;
    uint16_t profile, of_first;
    double bits;
} rush_differing;

enum { RUSH_REPORT_LANES = 4 };

typedef struct rush_reports {
    uint32_t count;  /* of reports */
    uint32_t stride; /* of a row: a multiple of RUSH_REPORT_LANES; zeros behind the reports */
    bool kept;       /* or the rows are made for each use, since they are too many */
    double *rows;    /* of the profiles of scored forms */
    float *mixed;    /* of the mixtures */
    double *
        entropy; /* of every profile: the sum of -P log2 P, and of a setting, whose P sum to m, m log2 m */
    uint32_t inapplicable;     /* the profile of what cannot show it; or RUSH_NONE */
    uint16_t *of_leaf;         /* by taxon without children: the profile of its first form, */
    rush_differing *differing; /* and the forms that have another one */
    uint32_t differing_count;
    bool known, leaves_known; /* rows and entropies are made, and the last two */
} rush_reports;

/* One thread's tables of a key. */
typedef struct rush_report_tables {
    const rush_key *key;
    rush_reports *of;    /* by character */
    double *row, *whole; /* one row, of the character with most reports */
} rush_report_tables;

/* Escapes through the arena when there is no memory. */
void rush_reports_reserve(rush_report_tables *tables, const rush_key *key, rush_arena *arena);
/* The character's table, with rows and entropies. */
const rush_reports *rush_reports_of(rush_report_tables *tables, uint32_t character);
/* The same with the profiles by taxon. */
const rush_reports *rush_reports_of_leaves(rush_report_tables *tables, uint32_t character);
/* sums[r] += mass x P(r | profile); `sums` has room for a whole row. Returns mass x the profile's entropy. */
double rush_reports_add(const rush_report_tables *tables, uint32_t character, uint32_t profile,
                        double mass, double *sums);
/* The same over all profiles, with the mass of each, from sums of 0. */
double rush_reports_sum(const rush_report_tables *tables, uint32_t character, const double *mass,
                        double *sums);

/* What a report tells about which of some forms it is, with these profiles and masses: mass x bits. */
double rush_reports_told(const rush_report_tables *tables, uint32_t character,
                         const uint32_t *profiles, const double *masses, uint32_t count);

/* m H of numbers that sum to m. */
double rush_entropy(const double *numbers, uint32_t count);

#endif
