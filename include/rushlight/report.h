/* Every way out: results as text for people, as JSON lines for programs.
 *
 * Layer: report (above dialogue). Functions append to a buffer that the caller owns and writes. What
 * came from a key or a line is made safe for a terminal, or escaped as JSON wants. Numbers look the
 * same on every machine. */
#ifndef RUSHLIGHT_REPORT_H
#define RUSHLIGHT_REPORT_H

#include "rushlight/advice.h"
#include "rushlight/apart.h"
#include "rushlight/couplets.h"
#include "rushlight/changes.h"
#include "rushlight/dialogue.h"
#include "rushlight/drill.h"
#include "rushlight/part.h"
#include "rushlight/trial.h"

/* One sighting's results, and what to show of them. */
typedef struct rush_result {
    const rush_ranker *ranker;
    const rush_ranking *ranking; /* the ranker's last */
    const rush_look *looks;      /* or NULL */
    uint32_t look_count;
    const char *file; /* where the line came from */
    uint32_t line;
    uint32_t top;                     /* how many candidates at most */
    uint32_t language;                /* of the key */
    const rush_diagnostics *warnings; /* of the line; or NULL */
} rush_result;

RUSH_PUBLIC void rush_report_text(const rush_result *result, rush_buffer *buffer);
/* One JSON object and a line feed: schema 1. Probabilities have six decimals. `warnings` is there when there are any. */
RUSH_PUBLIC void rush_report_jsonl(const rush_result *result, rush_buffer *buffer);
/* The object of a line that could not be read: `sighting` holds what was; of a header it is NULL. */
RUSH_PUBLIC void rush_report_jsonl_errors(const rush_sighting *sighting, const char *file,
                                          uint32_t line, const rush_diagnostics *diagnostics,
                                          rush_buffer *buffer);

/* Results as CSV (RFC 4180, with a line feed behind a row): a row for each candidate, or for each sighting.
 *
 *     of the row         file, line, id
 *     of the candidate   candidate (from 1), taxon, vernacular, probability, sex and form (the likeliest), against
 *     of the sighting    safe, safe_rank, safe_taxon, safe_vernacular, safe_probability, safe_sex, unlisted,
 *                        in_play, poor_fit, second_looks, look_next, errors, warnings
 *     wide               those of the sighting, then taxon_1, probability_1, against_1, taxon_2, ...
 *
 * Probabilities have six decimals; characters in one cell are parted by " | ". A sighting without candidates,
 * and one that could not be read, is a row too. */
typedef struct rush_csv_shape {
    bool wide;           /* a row for each sighting */
    uint32_t candidates; /* how many to show at most */
} rush_csv_shape;

RUSH_PUBLIC void rush_report_csv_header(const rush_csv_shape *shape, rush_buffer *buffer);
RUSH_PUBLIC void rush_report_csv(const rush_result *result, const rush_csv_shape *shape,
                                 rush_buffer *buffer);
/* The row of a line that could not be read: `sighting` holds what was; of a header it is NULL. */
RUSH_PUBLIC void rush_report_csv_errors(const rush_sighting *sighting, const rush_line *line,
                                        const rush_diagnostics *diagnostics,
                                        const rush_csv_shape *shape, rush_buffer *buffer);

/* The verdict in one line: "safe to species: Pyrrhosoma nymphula (large red damselfly), male, 97.9 %". */
RUSH_PUBLIC void rush_report_verdict(const rush_ranking *ranking, uint32_t language,
                                     rush_buffer *buffer);

/* What the key says of itself, of a taxon, of a character: with sources. */
RUSH_PUBLIC void rush_report_key(const rush_key *key, uint32_t language, rush_buffer *buffer);
RUSH_PUBLIC void rush_report_taxon(const rush_key *key, uint32_t taxon, uint32_t language,
                                   rush_buffer *buffer);
RUSH_PUBLIC void rush_report_character(const rush_key *key, uint32_t character, uint32_t language,
                                       rush_buffer *buffer);
RUSH_PUBLIC void rush_report_topic(const rush_key *key, uint32_t topic, uint32_t language,
                                   rush_buffer *buffer);

/* What the rows of a table are; whichever takes fewer lines when nothing is said. */
typedef enum rush_table_way {
    RUSH_DOWN_SHORTER,
    RUSH_DOWN_TAXA,
    RUSH_DOWN_CHARACTERS
} rush_table_way;

/* Taxa and characters of a part as a table: a row for each taxon, or for each of its forms where they differ. */
typedef struct rush_trait_table {
    const rush_part *part;
    const uint32_t *characters; /* none: all that are scored in the part */
    uint32_t character_count;
    rush_table_way down;
    uint32_t columns; /* of the screen; at least 20 are assumed. What is wider goes into blocks */
    uint32_t language;
} rush_trait_table;

RUSH_PUBLIC void rush_report_trait_table(const rush_trait_table *table, rush_buffer *buffer);

/* What tells look-alikes apart: for people, and as one JSON document, schema 1. */
RUSH_PUBLIC void rush_report_apart_text(const rush_apart *apart, uint32_t language,
                                        rush_buffer *buffer);
RUSH_PUBLIC void rush_report_apart_json(const rush_apart *apart, uint32_t language,
                                        rush_buffer *buffer);

typedef struct rush_hard_pairs {
    const rush_key *key;
    uint32_t of; /* a taxon without children that is one of each pair; RUSH_NONE: there is none */
    const rush_hard_pair *pairs;
    uint32_t count, language;
} rush_hard_pairs;

RUSH_PUBLIC void rush_report_hard_pairs_text(const rush_hard_pairs *hard, rush_buffer *buffer);
RUSH_PUBLIC void rush_report_hard_pairs_json(const rush_hard_pairs *hard, rush_buffer *buffer);

/* How a printed key stands on the page, in the styles of the trade: the leads of a couplet together, with the
 * way back in brackets; or each lead with what it goes on to behind it, set in. */
typedef enum rush_couplets_style {
    RUSH_COUPLETS_BRACKETED,
    RUSH_COUPLETS_INDENTED
} rush_couplets_style;

RUSH_PUBLIC void rush_report_couplets_text(const rush_couplets *couplets,
                                           rush_couplets_style style, uint32_t language,
                                           rush_buffer *buffer);
RUSH_PUBLIC void rush_report_couplets_markdown(const rush_couplets *couplets,
                                               rush_couplets_style style, uint32_t language,
                                               rush_buffer *buffer);
/* One JSON document, schema 1. Couplets count from 1; low and high of a number are null where they are open. */
RUSH_PUBLIC void rush_report_couplets_json(const rush_couplets *couplets, uint32_t language,
                                           rush_buffer *buffer);

/* A handout of a part of a key: its couplets, look-alikes, and an account of each taxon with size, season, marks
 * by sex and form, drawings, habitat and sources; with a caution, a ruler to check the print, and credits. */
typedef struct rush_sheet_request {
    const rush_part *part;
    const rush_couplets *couplets; /* of the part; NULL: none */
    const char *title, *place;     /* the user's own; or NULL */
    uint32_t language;             /* of the key */
    uint32_t pairs;                /* of look-alikes, at most */
    uint32_t marks; /* in an account: the characters that tell most in the part, at most */
    bool large;     /* large print */
} rush_sheet_request;

/* A document, from which each way out says the same. */
typedef struct rush_document rush_document;

/* NULL when there is no memory. The document keeps what it needs of the key by pointers, so that the key must
 * live as long as it. */
RUSH_PUBLIC rush_document *rush_sheet_make(const rush_sheet_request *request);
RUSH_PUBLIC void rush_document_free(rush_document *document);
/* One HTML file that needs no other: no script, nothing fetched. Printed on A4 its lengths are true. */
RUSH_PUBLIC void rush_document_html(const rush_document *document, rush_buffer *buffer);
RUSH_PUBLIC void rush_document_markdown(const rush_document *document, rush_buffer *buffer);
RUSH_PUBLIC void rush_document_text(const rush_document *document, rush_buffer *buffer);
/* The tree of blocks, for those who lay it out themselves. */
RUSH_PUBLIC void rush_document_json(const rush_document *document, rush_buffer *buffer);

/* What `check` found in one key. */
typedef struct rush_findings {
    const char *key; /* as it was named */
    const rush_diagnostics *list;
    bool read; /* there was something to check */
} rush_findings;

/* One JSON document, schema 1, of all the keys. Lines and columns count from 1, columns in code points,
 * `end_column` behind the last; `offset` and `length` are bytes. `version` is the program's. */
RUSH_PUBLIC void rush_report_findings_json(const rush_findings *keys, uint32_t count,
                                           const char *version, rush_buffer *buffer);
/* The same in the Static Analysis Results Interchange Format 2.1.0 (OASIS), as one run. */
RUSH_PUBLIC void rush_report_findings_sarif(const rush_findings *keys, uint32_t count,
                                            const char *version, rush_buffer *buffer);
/* What a slug means, what to do, and an example, for people. */
RUSH_PUBLIC void rush_report_slug(rush_slug slug, rush_buffer *buffer);

/* A trial for people, the long tables cut to `top` rows, with the difference that each blank makes. */
RUSH_PUBLIC void rush_report_trial(const rush_trial *trial, uint32_t language, uint32_t top,
                                   rush_buffer *buffer);
/* The whole of it: one JSON document, schema 1. */
RUSH_PUBLIC void rush_report_trial_json(const rush_trial *trial, rush_buffer *buffer);

/* Head figures side by side: of two keys, or of one with and without a blank. */
typedef struct rush_trial_column {
    const char *head; /* what the column is called */
    const rush_trial *trial;
    uint32_t blank; /* RUSH_NONE: the whole key */
} rush_trial_column;

/* A table for each observer that all columns have; of two columns also what the second has more. */
RUSH_PUBLIC void rush_report_trials_beside(const rush_trial_column *columns, uint32_t count,
                                           rush_buffer *buffer);

/* What a revision of a key changed, in the words of the keys; `trials` are of the old key and of the new one,
 * or NULL. The order is that of the new key. */
RUSH_PUBLIC void rush_report_changes(const rush_changes *changes,
                                     const rush_trial_column trials[2], rush_buffer *buffer);
/* The same as one JSON document, schema 1. */
RUSH_PUBLIC void rush_report_changes_json(const rush_changes *changes,
                                          const rush_trial_column trials[2], rush_buffer *buffer);

/* Where a conversation is shown. */
typedef struct rush_screen {
    uint32_t columns, rows; /* of fewer than 20 and 10, as many are assumed */
    bool colour;            /* it never carries what the words do not */
} rush_screen;

/* A step of the conversation, as lines of text. */
RUSH_PUBLIC void rush_report_reply(const rush_reply *reply, const rush_screen *screen,
                                   rush_buffer *buffer);
/* A step of practice. */
RUSH_PUBLIC void rush_report_drill(const rush_drill_reply *reply, const rush_screen *screen,
                                   rush_buffer *buffer);

#endif
