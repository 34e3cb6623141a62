/* What the two ways out of changes share.
 *
 * Layer: report. */
#ifndef RUSH_REPORT_CHANGES_H
#define RUSH_REPORT_CHANGES_H

#include "rushlight/report.h"

/* "added", "removed", "renamed", "changed". */
const char *rush_change_name(const rush_match *match);
/* The word of one bit of `what`, or NULL behind the last: "question", "misread". */
const char *rush_character_field(unsigned bit);
const char *rush_taxon_field(unsigned bit);

#endif
