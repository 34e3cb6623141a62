/* The name that a ranking can support in a record, and the grounds for it.
 *
 * Layer: report. Safe: the taxon of the verdict. Nothing safe: the group that the key as a whole is for,
 * which the observer granted by taking up the key; it is the lowest rank that the key's `record:` names.
 * A key that names none: the lowest of the taxa around the leading one that is as probable as any of them
 * and more probable than not, unless the fit is poor. Else there is no name. */
#ifndef RUSH_REPORT_NAMED_H
#define RUSH_REPORT_NAMED_H

#include "rushlight/report.h"

typedef struct rush_named {
    const rush_result *result;
    uint32_t taxon;   /* RUSH_NONE: none of the key's */
    const char *name; /* NULL: there is none */
    const char *rank;
} rush_named;

rush_named rush_named_of(const rush_result *result);
/* The taxon itself or the one around it that has a rank; RUSH_NONE when there is none. */
uint32_t rush_named_at(const rush_named *named, rush_taxon_rank rank);
/* What a key gives under `record:` for a term, or NULL. */
const char *rush_named_by_key(const rush_key *key, const char *term);

/* The doubt that stays below the name: "cf. Pyrrhosoma nymphula"; nothing when it is safe to species. */
void rush_named_qualifier(const rush_named *named, rush_buffer *buffer);
/* The grounds in words: probability, runner-up, what sits badly, the observation line. */
void rush_named_remarks(const rush_named *named, rush_buffer *buffer);

#endif
