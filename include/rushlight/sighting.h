/* A sighting: one insect as somebody saw it, read from a line such as
 *
 *     rest posture: folded; abdomen colour: red or orange; total length: about 34 mm; date: 2026-06-14
 *
 * or from a row of a table, or from a JSON object.
 * Layer: sighting (above key). Ownership: a sighting owns all that it points to, until the next line is
 * read into it or rush_sighting_free. It is made for one key, which must outlive it. Reading a line
 * allocates only when the line is longer than any before it.
 * Errors: every fault of a line goes to the diagnostics, with its column; the line is then unread. */
#ifndef RUSHLIGHT_SIGHTING_H
#define RUSHLIGHT_SIGHTING_H

#include "rushlight/key.h"

enum { RUSH_LINE_MAX = 64 * 1024 }; /* bytes of an observation line */

/* The record's own fields, in the order in which they are shown. */
#define RUSH_RECORD_FIELDS(X)                                                                    \
    X(ID, "id")                                                                                  \
    X(DATE, "date") /* ISO 8601; gives the month */                                              \
    X(PLACE, "place")                                                                            \
    X(COORDINATES, "coordinates") /* as written */                                               \
    X(UNCERTAINTY, "uncertainty") /* of the coordinates, in metres, above 0 */                   \
    X(COUNT, "count")             /* of insects, a whole number */                               \
    X(RECORDER, "recorder")                                                                      \
    X(BEHAVIOUR, "behaviour")                                                                    \
    X(NOTES, "notes")

typedef enum rush_record_field {
#define X(name, word) RUSH_RECORD_##name,
    RUSH_RECORD_FIELDS(X)
#undef X
        RUSH_RECORD_FIELD_COUNT
} rush_record_field;

RUSH_PUBLIC const char *rush_record_field_name(rush_record_field field);

/* One character's part of a sighting. */
typedef struct rush_answer {
    uint32_t character;
    bool unsure;   /* a trailing `?` */
    bool denied;   /* `not ...`: `states` holds what is left */
    bool about;    /* a number: the reading error counts twice */
    bool measured; /* a number: with a ruler, reading error 1 % */
    bool implied;  /* it follows from the record's date */
    /* States, months, sex, form: a set of states, a bit for each. Taxon: of leaves, as
     * rush_key_leaf counts them. */
    const uint64_t *states;
    uint32_t state_count; /* how many are in the set */
    uint32_t taxon; /* of a taxon answer: the one that was named, or RUSH_NONE for several */
    /* Numbers, in the character's unit: from low to high; -INFINITY or INFINITY when open. */
    double low, high;
    rush_text given; /* as it was written, ended by a NUL */
    uint32_t column; /* where it begins in its line, in code points from 1 */
} rush_answer;

typedef struct rush_sighting rush_sighting;

/* NULL when there is no memory. */
RUSH_PUBLIC rush_sighting *rush_sighting_new(const rush_key *key);
RUSH_PUBLIC void rush_sighting_free(rush_sighting *sighting);
RUSH_PUBLIC void rush_sighting_clear(rush_sighting *sighting);

/* Where a line comes from, and how it is to be understood. */
typedef struct rush_line {
    rush_text text;   /* without its line break */
    const char *file; /* for diagnostics */
    uint32_t number;  /* from 1 */
    uint32_t asked;   /* the character that a bare answer goes to first, or RUSH_NONE; 0 is one */
    const rush_sighting
        *set; /* answers and fields that hold unless the line says them; or NULL */
} rush_line;

/* What a rush_line begins with, so that only the text is left to be said. */
#define RUSH_LINE_USUAL                                                                          \
    {                                                                                            \
        {NULL, 0}, "line", 1, RUSH_NONE, NULL                                                    \
    }

/* Reads a line in place of what the sighting held. False when something in it is wrong. */
RUSH_PUBLIC bool rush_sighting_read(rush_sighting *sighting, const rush_line *line,
                                    rush_diagnostics *diagnostics);

/* ---- tables and JSON lines: the same answers, written in other ways -------------------------------- */

/* What each column of a table stands for, from its header: a character by any of its names, a field of the
 * record, or the Darwin Core term for one. It may be read by any number of threads. */
typedef struct rush_columns rush_columns;

/* Reads the header of CSV (RFC 4180) with commas, semicolons or tabs between the cells, whichever the header
 * has. A column that stands for nothing is an error, and the others are good all the same. NULL when none
 * is, or there is no memory. The key must outlive them. */
RUSH_PUBLIC rush_columns *rush_columns_read(const rush_key *key, const rush_line *header,
                                            rush_diagnostics *diagnostics);
RUSH_PUBLIC void rush_columns_free(rush_columns *columns);
RUSH_PUBLIC char rush_columns_separator(const rush_columns *columns);

/* Reads a row, which has line breaks where a cell in quotation marks does; `line->number` is that of its
 * first line. A cell is an answer as in a line; an empty one was not answered. A line break in a cell
 * counts as a space. */
RUSH_PUBLIC bool rush_sighting_read_row(rush_sighting *sighting, const rush_line *line,
                                        const rush_columns *columns,
                                        rush_diagnostics *diagnostics);
/* A row without a sighting: nothing but empty cells. */
RUSH_PUBLIC bool rush_row_is_blank(rush_text text);
/* `sep=;`, which spreadsheets put above a header. What parts the cells is found out from the header. */
RUSH_PUBLIC bool rush_row_tells_separator(rush_text text);

/* Reads a line that is one JSON object (RFC 8259) of names and answers. An answer is a string as in a line, a
 * number, which counts as finely as it is written, or a list of them: one of these, unsure when one of them is,
 * and none of these when all of them deny; null was not answered. */
RUSH_PUBLIC bool rush_sighting_read_json(rush_sighting *sighting, const rush_line *line,
                                         rush_diagnostics *diagnostics);

/* Whether two lines begin one JSON text that goes on over lines, and no JSON lines: the first opens a list or an
 * object, and the next is no object of its own. */
RUSH_PUBLIC bool rush_json_is_split(rush_text first, rush_text next);

/* A diagnostic of a line that was read: `nothing-fits`, say, which is only known once it is ranked. */
RUSH_PUBLIC void rush_line_diagnose(const rush_line *line, rush_slug slug, const char *message,
                                    const char *help, rush_diagnostics *diagnostics);

/* A line without a sighting: empty, or a `#` comment. */
RUSH_PUBLIC bool rush_line_is_blank(rush_text text);

RUSH_PUBLIC uint32_t rush_sighting_answer_count(const rush_sighting *sighting);
RUSH_PUBLIC const rush_answer *rush_sighting_answer(const rush_sighting *sighting, uint32_t at);
/* The answer for a character, or NULL. */
RUSH_PUBLIC const rush_answer *rush_sighting_find(const rush_sighting *sighting,
                                                  uint32_t character);
/* A field of the record, ended by a NUL; empty when it is not given. */
RUSH_PUBLIC rush_text rush_sighting_field(const rush_sighting *sighting, rush_record_field field);

/* Adds the answers and fields of `more`, which beat those of one character or field that are there
 * already; both are of one key. False when there is no memory. */
RUSH_PUBLIC bool rush_sighting_merge(rush_sighting *sighting, const rush_sighting *more);
/* Takes back the answer for a character. */
RUSH_PUBLIC void rush_sighting_drop(rush_sighting *sighting, uint32_t character);

/* What an answer was understood as, in a language of the key: "red or orange", "33.5 to 34.5 mm". */
RUSH_PUBLIC void rush_answer_write(const rush_key *key, const rush_answer *answer,
                                   uint32_t language, rush_buffer *buffer);
/* The observation line that gives this sighting again. */
RUSH_PUBLIC void rush_sighting_write(const rush_sighting *sighting, uint32_t language,
                                     rush_buffer *buffer);
/* The same with no field but the date: it ranks alike, and tells neither where nor who. */
RUSH_PUBLIC void rush_sighting_write_seen(const rush_sighting *sighting, uint32_t language,
                                          rush_buffer *buffer);

/* A character's name for people, in a language: its label, else its id with spaces for hyphens. */
RUSH_PUBLIC void rush_character_name(const rush_key *key, uint32_t character, uint32_t language,
                                     rush_buffer *buffer);
/* The same for a state of it; for a kind NUMBER nothing. */
RUSH_PUBLIC void rush_state_name(const rush_key *key, uint32_t character, uint32_t state,
                                 uint32_t language, rush_buffer *buffer);

#endif
