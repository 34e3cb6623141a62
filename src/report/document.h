/* A document to be printed or read, as a tree of constant structs: built once, so that HTML, Markdown and plain text
 * say the same.
 *
 * Layer: report. Ownership: everything lies in the document's arena. Texts are plain, as they came from a key or a
 * person: each writer escapes what its format wants escaped. Only a picture's markup is SVG already, from a key's
 * loader (rush_figure) or from sheet_pictures.c. */
#ifndef RUSH_REPORT_DOCUMENT_H
#define RUSH_REPORT_DOCUMENT_H

#include "base/arena.h"
#include "report/teller.h"
#include "rushlight/report.h"

typedef enum rush_voice {
    RUSH_VOICE_PLAIN,
    RUSH_VOICE_STRONG,
    RUSH_VOICE_NAME /* a scientific name */
} rush_voice;

typedef struct rush_run {
    const char *text;
    rush_voice voice;
    const char *language; /* that it is in; NULL: the program's own English */
    const char *target;   /* the id of a block that it leads to; or NULL */
} rush_run;

typedef struct rush_phrase {
    const rush_run *runs;
    uint32_t count;
} rush_phrase;

typedef struct rush_picture {
    rush_phrase title; /* what it shows, in words */
    const char *markup;
    double box[4];        /* its viewBox */
    double width, height; /* on paper, in mm */
    rush_phrase caption;
    bool measured;   /* a bar: its title says in words all that it shows */
    bool only_drawn; /* of no use in words: the ruler */
} rush_picture;

typedef struct rush_cell {
    const char *id; /* of an item of a list; or NULL */
    rush_phrase words;
    bool apart; /* of a lead: does not fit behind what there is to see */
    const rush_picture *pictures;
    uint32_t picture_count;
} rush_cell;

typedef enum rush_block_kind {
    RUSH_BLOCK_HEADING, /* `words`, `level` 1 to 3 */
    RUSH_BLOCK_PARAGRAPH,
    RUSH_BLOCK_CAUTION, /* a paragraph that must be seen */
    RUSH_BLOCK_NOTE,    /* small print */
    RUSH_BLOCK_LIST,    /* a cell an item */
    RUSH_BLOCK_PICTURES, /* those of its first cell, beside each other; `words` is what they are of */
    RUSH_BLOCK_TABLE, /* `words` is its caption; the first row and the first column are heads */
    RUSH_BLOCK_LEADS  /* of a couplet: rows of three cells, number, what to see, where to go on */
} rush_block_kind;

typedef struct rush_block {
    rush_block_kind kind;
    uint32_t level;
    const char *id; /* or NULL */
    rush_phrase words;
    const rush_cell *cells; /* row by row */
    uint32_t cell_count, columns;
} rush_block;

struct rush_document {
    rush_arena arena;
    const char *title, *language; /* that was asked for */
    bool large;
    bool wide; /* a bar is too long for two columns */
    const rush_block *blocks;
    uint32_t block_count;
};

/* document_style.c. For the way out as HTML. */
extern const char rush_document_style[];

/* Whether there is anything in it for a way out in words. */
bool rush_block_is_told(const rush_block *block);

/* What a column of an A4 page, and what a narrow screen, can show. */
#define RUSH_COLUMN_MM 84.0
#define RUSH_NARROW_MM 80.0

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

/* Makes runs of words, one wherever the language or the voice turns. `teller` is the first member, so that what tells
 * with it tells into these runs. */
typedef struct rush_wording {
    rush_teller teller;
    rush_builder *builder;
    rush_run_list runs;
    rush_voice voice;
    const char *language, *target; /* of the words being gathered */
} rush_wording;

rush_wording rush_build_wording(rush_builder *builder, const rush_key *key, uint32_t language);
/* English words, and the end of a run. */
void rush_build_say(rush_wording *wording, const char *text);
/* One run, in a voice and perhaps leading somewhere; NULL for English. */
void rush_build_said(rush_wording *wording, rush_voice voice, const char *language,
                     const char *text, const char *target);
/* "azure damselfly (Coenagrion puella)", leading to `target`; short: the first name alone. */
void rush_build_taxon(rush_wording *wording, uint32_t taxon, bool brief, const char *target);
rush_phrase rush_build_worded(rush_wording *wording);

/* The words that were gathered, which are then empty again. */
const char *rush_build_taken(rush_builder *builder);
rush_phrase rush_build_phrase(rush_builder *builder, const char *text); /* English */
rush_block *rush_build_block(rush_builder *builder, rush_block_kind kind);
void rush_build_heading(rush_builder *builder, uint32_t level, const char *id, rush_phrase words);
void rush_build_paragraph(rush_builder *builder, rush_block_kind kind, const char *text);
void rush_build_list(rush_builder *builder, const rush_cell_list *cells);
/* Nothing when there are none. */
void rush_build_pictures(rush_builder *builder, rush_phrase words,
                         const rush_picture_list *pictures);

#endif
