/* How alike forms look: what would be reported of each, and how often the likeliest taxon is then the right one.
 *
 * Layer: advise. */
#ifndef RUSH_ADVISE_LIKENESS_H
#define RUSH_ADVISE_LIKENESS_H

#include "base/arena.h"
#include "key/key.h"
#include "rushlight/apart.h"

/* A form that may be before one, with the chance that it is; those of one taxon stand together. */
typedef struct rush_likely_form {
    uint32_t form, taxon; /* the taxon is an index into those that are compared */
    double chance;        /* all of them sum to 1 */
} rush_likely_form;

typedef struct rush_likely_forms {
    rush_likely_form *forms;
    uint32_t count, taxa;
} rush_likely_forms;

/* The forms of these taxa in one sex (ANY: both), each taxon as likely as the next; a form of either sex counts
 * half for each. Empty when one of the taxa has none. */
rush_likely_forms rush_likely_of(rush_arena *arena, const rush_key *key, const rush_part *part,
                                 const uint32_t *taxa, uint32_t count, rush_sex sex);

/* Whether a character may be looked at to tell things apart. */
bool rush_may_tell(const rush_key *key, uint32_t character);
uint32_t rush_report_count(const rush_character *character);
/* P(report | form), for each of the forms in turn. */
double *rush_reports_by_form(rush_arena *arena, const rush_key *key, uint32_t character,
                             const rush_likely_forms *likely);
/* P(report | taxon), from the above. */
double *rush_reports_by_taxon(rush_arena *arena, const rush_likely_forms *likely,
                              const double *by_form, uint32_t reports);

/* Of one character: bits between the taxa, and the chance that the likeliest one is right. */
double rush_bits_between(const double *by_taxon, uint32_t taxa, uint32_t reports);
double rush_safe_alone(const double *by_taxon, uint32_t taxa, uint32_t reports);
/* A character that is looked at. */
typedef struct rush_looked_at {
    uint32_t character, reports;
    const double *by_form;
} rush_looked_at;

/* The same chance for several characters together, independent given the form. By drawing: the same numbers on
 * every machine, and the same reports of a character whichever others are there; the standard error is under
 * 0.01. */
double rush_safe_together(rush_arena *arena, const rush_likely_forms *likely,
                          const rush_looked_at *looks, uint32_t count);

#endif
