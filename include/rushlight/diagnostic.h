/* Everything that an author or a user can be told about their text, as data.
 *
 * Layer: diagnostic (above base). Nothing here prints; src/cli decides where a diagnostic goes.
 * Ownership: a list owns its diagnostics and every string in them, until rush_diagnostics_free. Who takes a list
 * needs one: it may not be NULL.
 * Errors: a list that runs out of memory keeps what it has and answers true to
 * rush_diagnostics_out_of_memory. */
#ifndef RUSHLIGHT_DIAGNOSTIC_H
#define RUSHLIGHT_DIAGNOSTIC_H

#include "rushlight/text.h"

typedef enum rush_severity { RUSH_NOTE, RUSH_WARNING, RUSH_ERROR } rush_severity;

/* Every slug there is: name, slug, usual severity, what it means. A test holds that each one has a
 * fixture. Grouped by who meets it: everybody, authors (the file, its fields, names, values, the
 * key as a whole), observers. */
#define RUSH_SLUGS(X)                                                                            \
    X(OUT_OF_MEMORY, "out-of-memory", ERROR, "there was not enough memory to go on")             \
    X(CANNOT_OPEN, "cannot-open", ERROR, "a file cannot be opened or read")                      \
    X(BAD_UTF8, "bad-utf8", ERROR, "bytes that are not UTF-8 text")                              \
    X(CONTROL_CHARACTER, "control-character", ERROR, "a character that must not be shown")       \
    X(SYNTAX, "syntax", ERROR, "the text is not YAML")                                           \
    X(TAB, "tab", ERROR, "a tab where YAML wants spaces")                                        \
    X(TOO_LARGE, "too-large", ERROR, "more than a key may hold")                                 \
    X(TOO_DEEP, "too-deep", ERROR, "nested more deeply than any key needs")                      \
    X(YAML_EXTRA, "yaml-extra", ERROR, "an anchor, alias, tag or merge key")                     \
    X(SECOND_DOCUMENT, "second-document", ERROR, "a second YAML document in one file")           \
    X(EMPTY_FILE, "empty-file", ERROR, "a key file with nothing in it")                          \
    X(REPEATED_FIELD, "repeated-field", ERROR, "the same field twice in one place")              \
    X(UNKNOWN_FIELD, "unknown-field", ERROR, "a field that the format does not have")            \
    X(MISSING_FIELD, "missing-field", ERROR, "a field that must be there")                       \
    X(WRONG_SHAPE, "wrong-shape", ERROR, "text where a list or fields are wanted, or so")        \
    X(BAD_FORMAT_VERSION, "bad-format-version", ERROR, "a format version that is not known")     \
    X(BAD_LANGUAGE, "bad-language", ERROR, "a language that the key does not declare")           \
    X(BAD_NUMBER, "bad-number", ERROR, "not a number, or one out of its bounds")                 \
    X(BAD_CHOICE, "bad-choice", ERROR, "a word that is not one of the few allowed here")         \
    X(BAD_ID, "bad-id", ERROR, "a name that cannot be typed in an answer")                       \
    X(PART_OUTSIDE, "part-outside", ERROR, "a part that is not a file beside key.yaml")          \
    X(REPEATED_NAME, "repeated-name", ERROR, "one name for two things")                          \
    X(SHARED_NAME, "shared-name", WARNING, "a common name that two taxa share")                  \
    X(RESERVED_NAME, "reserved-name", ERROR, "a name that rushlight keeps for itself")           \
    X(UNKNOWN_CHARACTER, "unknown-character", ERROR, "a character that the key does not have")   \
    X(UNKNOWN_STATE, "unknown-state", ERROR, "a state that the character does not have")         \
    X(UNKNOWN_TAXON, "unknown-taxon", ERROR, "a taxon that the key does not have")               \
    X(UNKNOWN_SOURCE, "unknown-source", ERROR, "a source that the key does not list")            \
    X(UNKNOWN_UNIT, "unknown-unit", ERROR, "a unit that does not convert to the character's")    \
    X(TOO_FEW_STATES, "too-few-states", ERROR, "a character with fewer than two states")         \
    X(BAD_SKETCH, "bad-sketch", ERROR, "line art larger than five rows of sixteen columns")      \
    X(BAD_FIGURE, "bad-figure", ERROR, "a drawing that cannot be used")                          \
    X(FIGURE_CUT, "figure-cut", WARNING, "a drawing with something that is left out")            \
    X(BAD_RANGE, "bad-range", ERROR, "a range that is not low-high, or is reversed")             \
    X(BAD_MONTHS, "bad-months", ERROR, "months that cannot be read")                             \
    X(WRONG_TRAIT, "wrong-trait", ERROR, "a trait of another kind than its character")           \
    X(WEIGHTS_SUM, "weights-sum", ERROR, "weights that do not sum to 1")                         \
    X(SHARES_SUM, "shares-sum", ERROR, "shares of forms that do not sum to 1")                   \
    X(MISPLACED_FORMS, "misplaced-forms", ERROR, "forms on a taxon that has taxa within it")     \
    X(PARENT_LOOP, "parent-loop", ERROR, "a taxon that stands within itself")                    \
    X(MISRANKED, "rank-order", ERROR, "a taxon within one of the same or a lower rank")          \
    X(NO_TAXA, "no-taxa", ERROR, "a key that tells nothing apart")                               \
    X(NO_READING_ERROR, "no-reading-error", WARNING,                                             \
      "a measure that is said to be read exactly")                                               \
    X(NO_DIFFERENCE, "no-difference", WARNING, "two taxa that no character separates")           \
    X(IDLE_CHARACTER, "idle-character", WARNING, "a character that separates nothing")           \
    X(OUTDONE_CHARACTER, "outdone-character", NOTE,                                              \
      "a character that an easier one makes needless")                                           \
    X(UNUSED_STATE, "unused-state", WARNING, "a state that no taxon has")                        \
    X(NAMES_ALIKE, "names-alike", WARNING, "two names that a person could not tell apart")       \
    X(SEXES_ALIKE, "sexes-alike", NOTE, "two taxa that no character separates in one sex")       \
    X(HARDLY_APART, "hardly-apart", NOTE, "two taxa that all marks together do not tell apart")  \
    X(FORMS_ALIKE, "forms-alike", WARNING, "two forms of a taxon that no character separates")   \
    X(WIDE_RANGE, "wide-range", WARNING, "a range wider than one kind of animal varies")         \
    X(FAR_OFF, "far-off", WARNING, "a number many times off those of the relatives")             \
    X(ODD_SEASON, "odd-season", WARNING, "months that do not join, or the wrong way round")      \
    X(FAMILY_ENDING, "family-ending", WARNING, "a family-group name without its ending")         \
    X(OTHER_GENUS, "other-genus", WARNING, "a species that stands within another genus")         \
    X(INAPPLICABLE_SCORED, "inapplicable-scored", WARNING,                                       \
      "a trait where the character cannot show")                                                 \
    X(UNSCORED, "unscored", NOTE, "traits that are not known yet")                               \
    X(GAP, "gap", NOTE, "a trait that is scored in all relatives but one")                       \
    X(NO_SOURCE, "no-source", NOTE, "a trait that does not say where it comes from")             \
    X(UNUSED_SOURCE, "unused-source", WARNING, "a source that nothing rests on")                 \
    X(NO_TIP, "no-tip", NOTE, "a prompt that does not say how to look")                          \
    X(USELESS_MISREAD, "useless-misread", WARNING,                                               \
      "a character misread so often that it tells nothing")                                      \
    X(STRONG_PRIOR, "strong-prior", WARNING, "an occurrence that drowns what is seen")           \
    X(NOT_ITSELF, "not-itself", WARNING, "a taxon whose own description gives another first")    \
    X(SIGHTING_UNREAD, "sighting-unread", ERROR, "a worked sighting that cannot be read")        \
    X(SIGHTING_FAILS, "sighting-fails", ERROR, "a worked sighting that gives something else")    \
    X(LINE_TOO_LONG, "line-too-long", ERROR, "a line longer than any sighting")                  \
    X(UNCLOSED_QUOTE, "unclosed-quote", ERROR, "a quotation mark without its partner")           \
    X(REPEATED_ANSWER, "repeated-answer", ERROR, "one character answered twice")                 \
    X(WHICH_CHARACTER, "which-character", ERROR, "an answer that several characters know")       \
    X(UNKNOWN_ANSWER, "unknown-answer", ERROR, "an answer that no character knows")              \
    X(OR_NOT, "or-not", ERROR, "alternatives mixed with a denial")                               \
    X(NOTHING_LEFT, "nothing-left", ERROR, "an answer that leaves no state")                     \
    X(NOT_A_NUMBER, "not-a-number", ERROR, "a word where a number is wanted")                    \
    X(OFF_SCALE, "off-scale", WARNING, "a number far from all that the key has")                 \
    X(REVERSED, "reversed", ERROR, "a range whose end is below its beginning")                   \
    X(BAD_DATE, "bad-date", ERROR, "a date that is not of ISO 8601")                             \
    X(OTHER_MONTH, "other-month", WARNING, "a month that is not of the date beside it")          \
    X(BAD_COUNT, "bad-count", ERROR, "a count that is not a whole number")                       \
    X(BAD_UNCERTAINTY, "bad-uncertainty", ERROR, "an uncertainty that is not above 0 metres")    \
    X(BAD_COORDINATES, "bad-coordinates", WARNING, "coordinates that are no place on the earth") \
    X(EMPTY_PART, "empty-part", ERROR, "a part of the key that holds no taxon")                  \
    X(LEFT_OUT, "left-out", WARNING, "a listed taxon that the other options leave out")          \
    X(EXTRA_CELL, "extra-cell", ERROR, "a cell that stands under no column")                     \
    X(UNREAD_ROWS, "unread-rows", ERROR, "rows that are not read, for want of a header")         \
    X(BAD_JSON, "bad-json", ERROR, "a line that is not a JSON object")                           \
    X(BAD_VALUE, "bad-value", ERROR, "a JSON value that is no answer")                           \
    X(NO_ANSWERS, "no-answers", WARNING, "a sighting without an answer about what was seen")     \
    X(NOTHING_FITS, "nothing-fits", WARNING, "answers that no taxon of the key can show")

typedef enum rush_slug {
#define X(name, slug, severity, meaning) RUSH_##name,
    RUSH_SLUGS(X)
#undef X
        RUSH_SLUG_COUNT
} rush_slug;

RUSH_PUBLIC const char *rush_slug_name(rush_slug slug);
RUSH_PUBLIC const char *rush_slug_meaning(rush_slug slug);
RUSH_PUBLIC rush_severity rush_slug_severity(rush_slug slug);
/* A slug by its name; RUSH_SLUG_COUNT when there is none such. */
RUSH_PUBLIC rush_slug rush_slug_find(rush_text name);
/* The name nearest to one that is none, or NULL. */
RUSH_PUBLIC const char *rush_slug_nearest(rush_text name);
/* Whether its severity can be changed: not that of a fault without which there is no key or no answer. */
RUSH_PUBLIC bool rush_slug_adjustable(rush_slug slug);

/* What `check --explain` says: why it matters and what to do, with an example of wrong and of right, which
 * are sections of a key (the test of them adds those that are left out), or an observation line. */
typedef struct rush_explanation {
    rush_slug slug;
    const char *text;
    const char *wrong, *right; /* NULL: it cannot be shown in a few lines */
    bool line;                 /* the examples are observation lines */
} rush_explanation;

RUSH_PUBLIC const rush_explanation *rush_slug_explain(rush_slug slug);
RUSH_PUBLIC const char *rush_severity_name(rush_severity severity);

/* The severities that an author wishes the findings to have. */
typedef struct rush_grades {
    rush_severity of[RUSH_SLUG_COUNT];
    bool allowed[RUSH_SLUG_COUNT]; /* not told, and not counted */
} rush_grades;

/* As the table has them. */
RUSH_PUBLIC void rush_grades_usual(rush_grades *grades);

/* Where something stands. Lines and columns count from 1, columns in code points. */
typedef struct rush_place {
    const char *file;
    uint32_t order;          /* of the file among its key's files, for sorting */
    uint32_t line;           /* 0: the file as a whole */
    uint32_t column, end;    /* the first column, and the one behind the last */
    size_t offset, length;   /* the same in bytes of the file */
    rush_text excerpt;       /* the author's line, or a part of a long one */
    uint32_t excerpt_column; /* the column that the excerpt begins with */
} rush_place;

typedef struct rush_diagnostic {
    rush_slug slug;
    rush_severity severity;
    rush_place place;
    const char *message;       /* what is wrong */
    const char *help;          /* what to do, or NULL */
    const char *other_message; /* what stands at the other place, or NULL when there is none */
    rush_place other;
} rush_diagnostic;

typedef struct rush_diagnostics rush_diagnostics;

enum { RUSH_DIAGNOSTICS_MAX = 1000 }; /* more are counted and not kept */

/* NULL when there is no memory. */
RUSH_PUBLIC rush_diagnostics *rush_diagnostics_new(void);
RUSH_PUBLIC void rush_diagnostics_free(rush_diagnostics *list);
/* From now on findings get these severities. Copied. */
RUSH_PUBLIC void rush_diagnostics_grade(rush_diagnostics *list, const rush_grades *grades);
/* Empties the list for another use, with the usual severities. */
RUSH_PUBLIC void rush_diagnostics_clear(rush_diagnostics *list);
RUSH_PUBLIC size_t rush_diagnostics_count(const rush_diagnostics *list);
/* How many were passed over because the list was full. */
RUSH_PUBLIC size_t rush_diagnostics_dropped(const rush_diagnostics *list);
RUSH_PUBLIC size_t rush_diagnostics_errors(const rush_diagnostics *list);
/* The same of any severity; those that were passed over count too. */
RUSH_PUBLIC size_t rush_diagnostics_of(const rush_diagnostics *list, rush_severity severity);
RUSH_PUBLIC bool rush_diagnostics_out_of_memory(const rush_diagnostics *list);
/* `at` below the count. */
RUSH_PUBLIC const rush_diagnostic *rush_diagnostics_at(const rush_diagnostics *list, size_t at);
/* In the order of files, lines and columns; those of one place keep their order. */
RUSH_PUBLIC void rush_diagnostics_sort(rush_diagnostics *list);

/* What rushlight's caller found by itself, such as a file that it could not open: a diagnostic of
 * `file` as a whole. Texts are copied; help may be NULL. */
RUSH_PUBLIC void rush_diagnostics_note(rush_diagnostics *list, rush_slug slug, const char *file,
                                       const char *message, const char *help);

/* For people: `file:line:column: severity: message [slug]`, the line, a caret under the span, the
 * other place and the help. Every byte that came from a file is made safe for a terminal. */
RUSH_PUBLIC void rush_diagnostic_write(const rush_diagnostic *diagnostic, rush_buffer *buffer);
/* The whole list, with a last line for those dropped or for memory run out. */
RUSH_PUBLIC void rush_diagnostics_write(const rush_diagnostics *list, rush_buffer *buffer);

#endif
