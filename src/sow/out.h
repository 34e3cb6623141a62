/* Cells of a table on its way out.
 *
 * Layer: sow. */
#ifndef RUSH_SOW_OUT_H
#define RUSH_SOW_OUT_H

#include "rushlight/key.h"

enum { RUSH_OUT_LANGUAGES = 64 }; /* of a key, in its tables */

typedef struct rush_sow_out {
    const rush_key *key;
    rush_buffer *csv;
    rush_buffer cell; /* what is being put together for the next one */
    bool first;       /* no cell of this row is written yet */
    bool plain;       /* columns of words name no language: all are English */
} rush_sow_out;

/* What is in `cell`, in one line, goes out, and it is empty again. */
void rush_sow_end_cell(rush_sow_out *out);
/* The same of a text; NULL is an empty cell. */
void rush_sow_text_cell(rush_sow_out *out, const char *text);
/* The lines of a drawing as they are. */
void rush_sow_drawing_cell(rush_sow_out *out, const char *drawing);
void rush_sow_end_row(rush_sow_out *out);
/* Given which columns of words say something, by kind and language: settles whether they name their language, and
 * that the key's first language comes first. */
void rush_sow_settle_languages(rush_sow_out *out, bool (*columns)[RUSH_OUT_LANGUAGES], int kinds);
/* The header cells of one kind of them. */
void rush_sow_words_head(rush_sow_out *out, const char *name,
                         const bool columns[RUSH_OUT_LANGUAGES]);
/* How many languages of the key are looked at. */
uint32_t rush_sow_languages(const rush_sow_out *out);
/* What to call a state or a character: its label where that is the same name better written, else its id. */
const char *rush_sow_shown_name(const rush_key *key, const char *id, rush_words label);

#endif
