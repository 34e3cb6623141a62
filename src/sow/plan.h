/* A new key while its table is read: what the columns are, and what the rows say. Private to src/sow.
 *
 * Layer: sow. Every function here may escape through the arena when there is no memory; faults go to the
 * diagnostics, what they concern is left out, and the reading goes on. So what is in the plan in the end
 * is a key that loads. */
#ifndef RUSH_SOW_PLAN_H
#define RUSH_SOW_PLAN_H

#include "base/table.h"
#include "sow/cell.h"
#include "sow/sheet.h"

/* The columns that are no characters, but for those of words in languages and those of ranks. */
typedef enum rush_sow_field {
    RUSH_SOW_TAXON,
    RUSH_SOW_RANK,
    RUSH_SOW_WITHIN,
    RUSH_SOW_SEX,
    RUSH_SOW_FORM,
    RUSH_SOW_SHARE,
    RUSH_SOW_OCCURRENCE,
    RUSH_SOW_ALSO,
    RUSH_SOW_AUTHORITY,
    RUSH_SOW_SOURCE,
    RUSH_SOW_NOTE,
    RUSH_SOW_FIELDS
} rush_sow_field;

typedef enum rush_sow_words {
    RUSH_SOW_VERNACULAR,
    RUSH_SOW_CAUTION,
    RUSH_SOW_WORDS
} rush_sow_words;

/* The columns of a table of characters; and those of words in languages. */
typedef enum rush_sow_detail {
    RUSH_DETAIL_CHARACTER,
    RUSH_DETAIL_STATE,
    RUSH_DETAIL_STATES,
    RUSH_DETAIL_CONFUSED,
    RUSH_DETAIL_ALSO,
    RUSH_DETAIL_REACH,
    RUSH_DETAIL_EFFORT,
    RUSH_DETAIL_MISREAD,
    RUSH_DETAIL_BARE,
    RUSH_DETAIL_LOOK_NEXT,
    RUSH_DETAIL_SETTING,
    RUSH_DETAIL_MEASURE,
    RUSH_DETAIL_UNIT,
    RUSH_DETAIL_READING_ERROR,
    RUSH_DETAIL_RESOLUTION,
    RUSH_DETAIL_WORDS,
    RUSH_DETAIL_SKETCH,
    RUSH_DETAIL_FIELDS
} rush_sow_detail;

typedef enum rush_sow_detail_words {
    RUSH_DETAIL_LABEL,
    RUSH_DETAIL_ASK,
    RUSH_DETAIL_TIP,
    RUSH_DETAIL_INCLUDES,
    RUSH_DETAIL_WORDED
} rush_sow_detail_words;

/* What a row of that table says of a character, or of one of its states. What is faulty is taken out. */
typedef struct rush_sow_details {
    const rush_cell *place;
    const rush_cell *fields[RUSH_DETAIL_FIELDS]; /* of no length: not said */
    const rush_cell **words[RUSH_DETAIL_WORDED]; /* by language; NULL: not said */
    RUSH_LIST(rush_text) also;
} rush_sow_details;

typedef enum rush_sow_kind {
    RUSH_SOW_STATES,
    RUSH_SOW_SETTING, /* states of the occasion */
    RUSH_SOW_NUMBER,
    RUSH_SOW_MONTHS
} rush_sow_kind;

/* A character, a state or a source: as it is written, and what the key calls it. */
typedef struct rush_sow_name {
    rush_text written, id;
    rush_sow_details *details; /* or NULL */
} rush_sow_name;

/* Two states that are taken for each other, and more; a word for a part of a number's range. */
typedef struct rush_sow_group {
    RUSH_LIST(uint32_t) states;
} rush_sow_group;

typedef struct rush_sow_range_word {
    rush_text word, means;
} rush_sow_range_word;

typedef struct rush_sow_character {
    const rush_cell *head;
    rush_sow_name name;
    rush_text bracket; /* what stands in brackets behind the name, or empty */
    rush_sow_kind kind;
    bool kind_given;
    rush_text measure, unit;                     /* NUMBER */
    uint32_t column, source_column, note_column; /* RUSH_NONE: none */
    RUSH_LIST(rush_sow_name) states;
    RUSH_LIST(rush_sow_group) confused;
    RUSH_LIST(rush_sow_range_word) range_words;
} rush_sow_character;

typedef struct rush_sow_part {
    uint32_t state;
    double weight; /* below 0: none */
} rush_sow_part;

typedef enum rush_sow_said {
    RUSH_SOW_SCORED,
    RUSH_SOW_UNKNOWN,
    RUSH_SOW_INAPPLICABLE
} rush_sow_said;

typedef struct rush_sow_trait {
    uint32_t character;
    rush_sow_said said;
    RUSH_LIST(rush_sow_part) parts; /* STATES, SETTING */
    rush_cell_number number;        /* in the character's unit */
    unsigned months;
    uint32_t source; /* RUSH_NONE: none */
    rush_text note;
} rush_sow_trait;

typedef RUSH_LIST(rush_sow_trait) rush_sow_traits;

typedef struct rush_sow_form {
    const rush_cell *place;
    rush_sex sex;
    rush_text name; /* or empty */
    double share;   /* below 0: not said */
    uint32_t source;
    rush_text note;
    rush_sow_traits traits;
} rush_sow_form;

typedef struct rush_sow_taxon {
    rush_text name;
    const rush_cell *place; /* where it is first named */
    bool made;              /* no row names it as its taxon */
    bool rowed;             /* a row of its own, not of a form, has been read */
    rush_taxon_rank rank;
    rush_text within; /* or empty */
    uint32_t parent;
    const rush_cell *fields[RUSH_SOW_FIELDS]; /* NULL: not said */
    const rush_cell **words[RUSH_SOW_WORDS];  /* by language */
    RUSH_LIST(rush_text) also;
    double occurrence; /* below 0: not said as a number */
    uint32_t source;
    rush_sow_traits traits;
    RUSH_LIST(rush_sow_form) forms;
} rush_sow_taxon;

typedef struct rush_sow_word_column {
    uint32_t column, language;
} rush_sow_word_column;

typedef RUSH_LIST(rush_sow_word_column) rush_sow_word_columns;

typedef struct rush_sow_plan {
    rush_arena *arena;
    rush_diagnostics *list;
    rush_sheet sheet, details; /* of taxa; of characters: without rows when there is none */
    uint32_t fields[RUSH_SOW_FIELDS]; /* columns, or RUSH_NONE */
    uint32_t groups[RUSH_RANK_COUNT];
    RUSH_LIST(rush_text) languages;
    rush_sow_word_columns words[RUSH_SOW_WORDS];
    RUSH_LIST(rush_sow_character) characters;
    uint32_t *character_of; /* by column of the sheet; RUSH_NONE: none */
    rush_sow_character built_in[RUSH_BUILT_IN_CHARACTERS]; /* those with details */
    uint32_t detail_fields[RUSH_DETAIL_FIELDS]; /* columns of `details`, or RUSH_NONE */
    rush_sow_word_columns detail_words[RUSH_DETAIL_WORDED];
    RUSH_LIST(rush_sow_taxon) taxa;
    RUSH_LIST(rush_sow_name) sources;
    rush_table
        names; /* folded, by scope: characters, taxa, rows, sources, then each character's states */
} rush_sow_plan;

enum {
    RUSH_SOW_SCOPE_CHARACTERS,
    RUSH_SOW_SCOPE_TAXA, /* an index into `taxa` */
    RUSH_SOW_SCOPE_ROWS, /* taxa that have a row of their own */
    RUSH_SOW_SCOPE_SOURCES,
    RUSH_SOW_SCOPE_HEADS, /* of characters: a column */
    RUSH_SOW_SCOPE_LANGUAGES,
    RUSH_SOW_SCOPE_FORMS,   /* named ones, with their taxon and sex */
    RUSH_SOW_SCOPE_DETAILS, /* characters that have a row of their own: an index */
    RUSH_SOW_SCOPE_LABELS,  /* all that a character may be called by: an index */
    RUSH_SOW_SCOPE_ALSO,    /* and the next ones: names that further characters share */
    RUSH_SOW_SCOPE_SEXES = RUSH_SOW_SCOPE_ALSO + 4,
    RUSH_SOW_SCOPE_STATES /* of the first character */
};

/* The steps, in their order. */
bool rush_sow_columns(rush_sow_plan *plan); /* columns.c; false: no taxon column */
void rush_sow_outline(
    rush_sow_plan *plan);                 /* outline.c: which characters the table of them has */
void rush_sow_kinds(rush_sow_plan *plan); /* kinds.c: what each character is, by its cells */
void rush_sow_refine(
    rush_sow_plan *plan);                /* refine.c: what the table of characters says of them */
void rush_sow_rows(rush_sow_plan *plan); /* rows.c */
void rush_sow_tree(rush_sow_plan *plan); /* tree.c: parents, shares */
void rush_sow_write(const rush_sow_plan *plan, const rush_sowing *sowing,
                    rush_buffer *yaml); /* write.c */

/* outline.c: what a row of the table of characters says; the row's column, or an empty cell. */
const rush_cell *rush_sow_detail_cell(const rush_sow_plan *plan, uint32_t row,
                                      rush_sow_detail field);
rush_sow_details *rush_sow_details_of(rush_sow_plan *plan, uint32_t row);
/* refine.c: a reach by its name; a number of that table, as in 0.05 or 5%, within the bounds of its field. */
rush_reach rush_sow_reach(rush_text word);
bool rush_sow_detail_number(const rush_cell *cell, rush_sow_detail field, double *number);

/* rows.c: the genus that a species' name begins with, or nothing. */
rush_text rush_sow_genus(rush_text name);

/* columns.c: a column of words in a language, of a table. */
void rush_sow_take_words(rush_sow_plan *plan, const rush_cell *head,
                         rush_sow_word_columns *columns, rush_text language, uint32_t column);
/* Columns with cells and without a name. */
void rush_sow_headless(rush_sow_plan *plan, const rush_sheet *sheet);
void rush_sow_take_once(rush_sow_plan *plan, const rush_cell *head, uint32_t *place,
                        uint32_t column);

/* traits.c: the trait in a cell of a character's column, with its source and note; false: none, or a faulty one. */
bool rush_sow_trait_read(rush_sow_plan *plan, uint32_t row, uint32_t character,
                         rush_sow_trait *trait);
/* The number of a state among those of its character, which gets it when it is new; RUSH_NONE: there are too many. */
uint32_t rush_sow_take_state(rush_sow_plan *plan, const rush_cell *cell, uint32_t character,
                             rush_text name);

/* names.c */
rush_diagnostic *rush_sow_diagnose(rush_sow_plan *plan, const rush_cell *cell, rush_slug slug,
                                   const char *format, ...) RUSH_FORMAT(4, 5);
/* The second place of a diagnostic. */
void rush_sow_other(rush_sow_plan *plan, rush_diagnostic *made, const rush_cell *cell,
                    const char *message);
/* The number of a name in a scope; RUSH_NONE: none such. */
uint32_t rush_sow_find(const rush_sow_plan *plan, uint32_t scope, rush_text name);
/* Adds a name unless it is there; returns the number that it has. */
uint32_t rush_sow_add(rush_sow_plan *plan, uint32_t scope, rush_text name, uint32_t number);
/* Whether a key can call something so; says why not. */
bool rush_sow_good_name(rush_sow_plan *plan, const rush_cell *cell, rush_text name,
                        const char *what);
/* Whether an observer's line can name a character so; says why not. */
bool rush_sow_good_character(rush_sow_plan *plan, const rush_cell *cell, rush_text name);
/* What to call a thing in the key: the name as it is when it is plain, else in lower case with
 * hyphens. */
rush_text rush_sow_id(rush_sow_plan *plan, rush_text name);
/* The source that a cell names; RUSH_NONE: none. */
uint32_t rush_sow_source(rush_sow_plan *plan, const rush_cell *cell);
/* The column's header, for messages. */
rush_text rush_sow_head(const rush_sow_plan *plan, uint32_t column);

/* fields.c: how headers name the columns; shared with the table that is written. */
bool rush_sow_field_named(rush_text head, rush_sow_field *field);
bool rush_sow_words_named(rush_text head, rush_sow_words *words, rush_text *language);
bool rush_sow_rank_named(rush_text head, rush_taxon_rank *rank);
/* The same of a table of characters. */
const char *rush_sow_detail_name(rush_sow_detail field);
const char *rush_sow_detail_words_name(rush_sow_detail_words words);
bool rush_sow_detail_named(rush_text head, rush_sow_detail *field);
bool rush_sow_detail_words_named(rush_text head, rush_sow_detail_words *words,
                                 rush_text *language);
const char *rush_sow_field_name(rush_sow_field field);
const char *rush_sow_words_name(rush_sow_words words);
/* `name (bracket)`: false without a bracket behind a name. */
bool rush_sow_bracket(rush_text head, rush_text *name, rush_text *bracket);
/* A kind that a bracket can name: states, setting, months, count, number. */
bool rush_sow_kind_named(rush_text bracket, rush_sow_kind *kind);
/* `X source`, `X note`: what X is. */
bool rush_sow_backing_named(rush_text head, rush_text *of, bool *note);
/* Whether two texts name the same, as everywhere in keys. */
bool rush_sow_alike(rush_text a, rush_text b);

#endif
