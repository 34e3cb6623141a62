/* A document to be printed or read, as a tree of constant structs: built once, so that HTML, Markdown and plain text
 * say the same.
 *
 * Layer: report. Ownership: everything lies in the document's arena. Texts are plain, as they came from a key or a
 * person: each writer escapes what its format wants escaped. Only a picture's markup is SVG already, from a key's
 * loader (rush_figure) or from sheet_pictures.c. */
#ifndef RUSH_REPORT_DOCUMENT_H
#define RUSH_REPORT_DOCUMENT_H

#include "base/arena.h"
#include "rushlight/report.h"

typedef enum rush_voice {
    RUSH_VOICE_PLAIN,
    RUSH_VOICE_STRONG,
    RUSH_VOICE_NAME, /* a scientific name */
    RUSH_VOICE_TOLD  /* the key's words, in the language that was chosen */
} rush_voice;

typedef struct rush_run {
    const char *text;
    rush_voice voice;
    const char *target; /* the id of a block that it leads to; or NULL */
} rush_run;

typedef struct rush_phrase {
    const rush_run *runs;
    uint32_t count;
} rush_phrase;

typedef struct rush_picture {
    const char *title; /* what it shows, in words */
    const char *markup;
    double box[4];        /* its viewBox */
    double width, height; /* on paper, in mm */
    rush_phrase caption;
    bool caption_says_all; /* text leaves it at the caption */
} rush_picture;

typedef struct rush_cell {
    rush_phrase words;
    const rush_picture *pictures;
    uint32_t picture_count;
} rush_cell;

typedef enum rush_block_kind {
    RUSH_BLOCK_HEADING, /* `words`, `level` 1 to 3 */
    RUSH_BLOCK_PARAGRAPH,
    RUSH_BLOCK_CAUTION,  /* a paragraph that must be seen */
    RUSH_BLOCK_LIST,     /* a cell an item */
    RUSH_BLOCK_PICTURES, /* those of its first cell, beside each other */
    RUSH_BLOCK_TABLE, /* `words` is its caption; the first row and the first column are heads */
    RUSH_BLOCK_LEADS  /* of a couplet: rows of three cells, number, what to see, where to go on */
} rush_block_kind;

typedef struct rush_block {
    rush_block_kind kind;
    uint32_t level;
    bool new_page;  /* of a heading: begins a page */
    const char *id; /* or NULL */
    rush_phrase words;
    const rush_cell *cells; /* row by row */
    uint32_t cell_count, columns;
} rush_block;

struct rush_document {
    rush_arena arena;
    const char *title, *language; /* of what the key says; all else is English */
    bool large;
    const rush_block *blocks;
    uint32_t block_count;
};

/* ---- building ------------------------------------------------------------------------------------------ */

/* Used within rush_arena_guard: `words` must be freed by whoever called the guard. */
typedef struct rush_builder {
    rush_document *document;
    rush_arena *arena;
    RUSH_LIST(rush_block) blocks;
    rush_buffer words; /* for what is being put into words */
} rush_builder;

typedef RUSH_LIST(rush_run) rush_run_list;
typedef RUSH_LIST(rush_cell) rush_cell_list;
typedef RUSH_LIST(rush_picture) rush_picture_list;

/* The words that were gathered, which are then empty again. */
const char *rush_build_taken(rush_builder *builder);
void rush_build_run(rush_builder *builder, rush_run_list *runs, rush_voice voice,
                    const char *text);
/* "Azure damselfly (Coenagrion puella)", leading to `target`. */
void rush_build_taxon(rush_builder *builder, rush_run_list *runs, const rush_key *key,
                      uint32_t taxon, uint32_t language, const char *target);
rush_phrase rush_build_phrase(rush_builder *builder, const char *text);
rush_block *rush_build_block(rush_builder *builder, rush_block_kind kind);
rush_block *rush_build_heading(rush_builder *builder, uint32_t level, const char *id,
                               const char *text);
void rush_build_paragraph(rush_builder *builder, rush_block_kind kind, const char *text);
static inline rush_phrase rush_phrase_of(const rush_run_list *runs)
{
    return (rush_phrase){runs->items, runs->count};
}

#endif
