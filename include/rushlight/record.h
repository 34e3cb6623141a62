/* A sighting and what it can be, as one occurrence with one identification in Darwin Core terms.
 *
 * Layer: report. Terms: Biodiversity Information Standards (TDWG), Darwin Core, version of 2026-05-26;
 * simple Darwin Core as CSV: RFC 4180 with a line feed behind each row.
 * Ownership: everything is borrowed; rows are appended to a buffer that the caller owns.
 * A row says no more than is safe: its name is that of the verdict, doubts stand beside it. What a key
 * gives under `record:` fills the columns of the classification, the stage and the like where the
 * sighting does not; other terms of it go to dynamicProperties. */
#ifndef RUSHLIGHT_RECORD_H
#define RUSHLIGHT_RECORD_H

#include "rushlight/report.h"

/* What is known beside the sighting. Its own fields say when, where and who. */
typedef struct rush_record {
    const char *id;              /* occurrenceID: unique in the world, a UUID or a URI */
    const char *identified_by;   /* NULL: the recorder, and the program */
    const char *date_identified; /* ISO 8601 */
    const char *program;         /* with its version */
    const char *status; /* the word for occurrenceStatus; NULL: "detected", of none "absent" */
    uint32_t
        blur; /* metres: coordinates are given as a square of a grid of these; 0: as they are */
    bool keep_place; /* although the coordinates are blurred */
} rush_record;

/* Whether a sighting's `id` can be an occurrenceID: a UUID (RFC 9562), or a URI that begins with
 * `urn:` or has `://` behind its scheme. */
RUSH_PUBLIC bool rush_record_is_global(rush_text id);

/* The first line of a file of records: the names of the terms, and a line feed. */
RUSH_PUBLIC void rush_darwin_core_header(rush_buffer *buffer);
/* One occurrence and a line feed. Of `result` the ranking and the language count. */
RUSH_PUBLIC void rush_darwin_core_row(const rush_result *result, const rush_record *record,
                                      rush_buffer *buffer);

/* What a record needs and this one lacks: a bit each. */
enum {
    RUSH_MISSING_WHAT = 1, /* nothing is safe */
    RUSH_MISSING_WHERE = 2,
    RUSH_MISSING_WHEN = 4,
    RUSH_MISSING_WHO = 8
};
RUSH_PUBLIC unsigned rush_record_missing(const rush_result *result, const rush_record *record);
/* The words for some of them: "where and who". */
RUSH_PUBLIC void rush_record_missing_words(unsigned missing, rush_buffer *buffer);

#endif
