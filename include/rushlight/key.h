/* A key: characters, states, taxa, sources; read from YAML, checked, compiled, never changed again.
 *
 * Layer: key (above diagnostic). The library opens no file: the caller hands texts over.
 * Ownership: a rush_key owns all that it points to until rush_key_free; the structs below are read
 * through const pointers. A loaded key may be read by any number of threads.
 * Errors: rush_key_load returns NULL and adds what is wrong to the diagnostics.
 * Numbers: taxa, characters, states, forms and sources are counted from 0 in the key's own order;
 * RUSH_NONE means there is none. So what is left 0 in a struct of yours names the first of them, and where
 * none is meant RUSH_NONE has to be said. */
#ifndef RUSHLIGHT_KEY_H
#define RUSHLIGHT_KEY_H

#include "rushlight/diagnostic.h"

#define RUSH_NONE UINT32_MAX

/* Ranks of the classification, the highest first (ICZN, 4th ed., for the family group and below). */
#define RUSH_TAXON_RANKS(X)                                                                      \
    X(KINGDOM, "kingdom")                                                                        \
    X(PHYLUM, "phylum")                                                                          \
    X(CLASS, "class")                                                                            \
    X(ORDER, "order")                                                                            \
    X(SUBORDER, "suborder")                                                                      \
    X(INFRAORDER, "infraorder")                                                                  \
    X(SUPERFAMILY, "superfamily")                                                                \
    X(FAMILY, "family")                                                                          \
    X(SUBFAMILY, "subfamily")                                                                    \
    X(TRIBE, "tribe")                                                                            \
    X(GENUS, "genus")                                                                            \
    X(SUBGENUS, "subgenus")                                                                      \
    X(SPECIES, "species")                                                                        \
    X(SUBSPECIES, "subspecies")

typedef enum rush_taxon_rank {
#define X(name, word) RUSH_RANK_##name,
    RUSH_TAXON_RANKS(X)
#undef X
        RUSH_RANK_COUNT
} rush_taxon_rank;

RUSH_PUBLIC const char *rush_taxon_rank_name(rush_taxon_rank rank);

/* How well the insect must be seen. */
typedef enum rush_reach {
    RUSH_REACH_FAR,   /* on the wing, across the pond */
    RUSH_REACH_NEAR,  /* settled, a few paces */
    RUSH_REACH_CLOSE, /* binoculars that focus close, or a good photograph */
    RUSH_REACH_HAND,
    RUSH_REACH_COUNT
} rush_reach;

RUSH_PUBLIC const char *rush_reach_name(rush_reach reach);

typedef enum rush_sex { RUSH_SEX_MALE, RUSH_SEX_FEMALE, RUSH_SEX_ANY } rush_sex;

RUSH_PUBLIC const char *rush_sex_name(rush_sex sex);

/* One text, perhaps in several of the key's languages. Empty: `in` is NULL. */
typedef struct rush_words {
    const char *const *in; /* one for each language of the key; NULL where it is not given */
} rush_words;

/* Other names of a thing, of every language together. */
typedef struct rush_also {
    const char *const *names;
    uint32_t count;
} rush_also;

/* The source id, and what the author noted beside the fact. */
typedef struct rush_backing {
    uint32_t source;  /* RUSH_NONE: none is given */
    const char *note; /* or NULL */
} rush_backing;

typedef struct rush_source_entry {
    const char *id, *cite;
    const char *doi, *url; /* or NULL */
} rush_source_entry;

/* A drawing: an SVG file beside the key, made safe to stand inside a document (no script, link, style or id). */
typedef struct rush_figure {
    const char *file;
    const char *title; /* what the drawing says of itself; or "" */
    const char
        *markup;   /* an SVG <g> with all that is drawn, to stand in an <svg> of its viewBox */
    double box[4]; /* the viewBox: left, top, width, height */
    rush_words credit, licence; /* its own, else those of the key's drawings, else the key's */
} rush_figure;

typedef struct rush_state {
    const char *id;
    rush_words label;
    rush_also also;
    const char *sketch;        /* lines of at most 16 columns, at most 5; or NULL */
    const rush_figure *figure; /* or NULL */
} rush_state;

typedef enum rush_character_kind {
    RUSH_KIND_STATES, /* one of some states; `sex` and `form` too */
    RUSH_KIND_NUMBER, /* a number with a unit */
    RUSH_KIND_MONTHS, /* its twelve states are the months */
    RUSH_KIND_TAXON   /* what the observer is already sure of */
} rush_character_kind;

/* The characters that every key has. */
enum { RUSH_SEX_CHARACTER, RUSH_FORM_CHARACTER, RUSH_TAXON_CHARACTER, RUSH_BUILT_IN_CHARACTERS };

/* A word for a part of a number's range: `small: under 35`. */
typedef struct rush_number_word {
    const char *word, *means;
} rush_number_word;

typedef struct rush_character {
    const char *id;
    rush_words label, ask, tip;
    rush_also also;
    rush_character_kind kind;
    bool setting;   /* of the occasion, not of the insect */
    bool bare;      /* claims a bare answer that several characters know */
    bool look_next; /* may be offered as the next thing to look at */
    rush_reach reach;
    double effort;  /* above 0; 1 is a glance */
    double misread; /* as authored: the chance that a careful beginner picks another state */
    double error;   /* as the model has it: min(0.45, caution factor x misread) */

    const rush_state *states; /* of sex, form and kinds STATES and MONTHS */
    uint32_t state_count;
    const uint32_t (*confused)[2]; /* pairs of states that are taken for each other */
    uint32_t confused_count;

    /* of kind NUMBER, in `unit` */
    const char *measure, *unit;
    rush_words includes;
    double reading_error;        /* one sd of a reading by eye; 0: exact */
    bool reading_error_relative; /* ... as a part of the form's mean */
    double resolution;           /* the finest difference worth telling; 0: any */
    double low, high;            /* the least and the greatest that a taxon of the key shows */
    const rush_number_word *words;
    uint32_t word_count;
    const rush_figure *figure; /* how to look, or how to measure; or NULL */
} rush_character;

typedef enum rush_trait_kind {
    RUSH_TRAIT_UNSCORED, /* not known, or `unknown` */
    RUSH_TRAIT_INAPPLICABLE,
    RUSH_TRAIT_STATES, /* a weight for each state; of settings too */
    RUSH_TRAIT_NUMBER
} rush_trait_kind;

typedef struct rush_trait {
    uint32_t character;
    rush_trait_kind kind;
    const double *weights; /* STATES: one for each state. They sum to 1; of months: 1 or 0 */
    double mean, sd;       /* NUMBER */
    double low, high;      /* NUMBER: the printed range, or the mean less and plus 2 sd */
    uint32_t n;            /* NUMBER: how many were measured; 0: not said */
    bool ranged;           /* NUMBER: given as a range */
    bool lost;             /* UNSCORED: what stands there cannot be read; in a faulty key alone */
    uint32_t number;       /* among the key's different traits, from 0 */
    rush_backing backing;
} rush_trait;

typedef struct rush_form {
    uint32_t taxon;
    rush_sex sex;
    const char *name; /* or NULL */
    double share;     /* of the taxon; the shares of a taxon sum to 1 */
    rush_backing backing;
    const rush_trait *const *traits; /* its own; by character; alike ones are shared */
    uint32_t trait_count;
} rush_form;

typedef struct rush_taxon {
    const char *name;
    rush_taxon_rank rank;
    uint32_t parent; /* RUSH_NONE at the top */
    rush_words vernacular, caution;
    rush_also also;
    const char *authority; /* or NULL */
    double occurrence;     /* how often it is met, relative to the others */
    rush_backing backing;
    const rush_trait *const *traits; /* as those of a form */
    uint32_t trait_count;
    uint32_t first_leaf, leaf_count; /* the taxa without children at or below it: rush_key_leaf */
    uint32_t first_form, form_count; /* the forms at or below it */
} rush_taxon;

/* A worked sighting: the key's own test. */
typedef struct rush_worked_sighting {
    const char *saw;
    uint32_t expect;  /* a taxon; RUSH_NONE: nothing safe */
    rush_sex sex;     /* RUSH_SEX_ANY: not said */
    const char *form; /* or NULL */
    rush_backing backing;
} rush_worked_sighting;

/* Something that the key explains beside its characters and taxa: the parts of the body, say. */
typedef struct rush_topic {
    const char *name;
    rush_words text;
    const char *drawing; /* lines of at most 78 columns, at most 40; or NULL */
} rush_topic;

/* A word for how often a taxon is met. */
typedef struct rush_occurrence_word {
    const char *word;
    double value;
} rush_occurrence_word;

/* What the key says of itself. Texts may be NULL, words empty. */
typedef struct rush_key_header {
    const char *id, *version;
    rush_words title, credit, licence;
    const char *const *languages; /* the first is the default */
    uint32_t language_count;
    double unlisted, caution_factor;
    const rush_occurrence_word
        *occurrences; /* the key's own, then the usual ones; the first counts */
    uint32_t occurrence_count;
    rush_words admits;         /* what belongs in this key at all */
    rush_also mistakes;        /* what is commonly mistaken for it */
    const char *const *record; /* Darwin Core terms and values, in turn */
    uint32_t record_count;     /* of pairs */
    const rush_topic *topics;
    uint32_t topic_count;
    rush_words figure_credit, figure_licence; /* of drawings that do not say it themselves */
} rush_key_header;

typedef struct rush_key rush_key;

/* How the library asks for a file of the key. `name` is a plain file name beside the key, or NULL for
 * the key itself. The callback fills `text` and returns NULL, or returns why it cannot ("no such
 * file"), a string that lives until the load ends. It must not follow a link out of the folder. */
typedef struct rush_key_files {
    const char *(*read)(void *user, const char *name, rush_buffer *text);
    void *user;
    const char *shown; /* what to call the key file in diagnostics, as in "keys/shore.yaml" */
} rush_key_files;

/* The whole key: read, checked for faults, compiled. NULL when there is an error, all of which are
 * in `diagnostics`; warnings may be there beside a key. */
RUSH_PUBLIC rush_key *rush_key_load(const rush_key_files *files, rush_diagnostics *diagnostics);
/* The same without reading the drawings, for who shows none: every figure is NULL. */
RUSH_PUBLIC rush_key *rush_key_load_undrawn(const rush_key_files *files,
                                            rush_diagnostics *diagnostics);
/* The same for rush_check: the key remembers where each of its parts stands, and one with errors is there too
 * when it could be read far enough, so that all that is wrong with it can be told at once. Use such a key
 * for nothing else unless there is no error. */
RUSH_PUBLIC rush_key *rush_key_load_to_check(const rush_key_files *files,
                                             rush_diagnostics *diagnostics);
RUSH_PUBLIC void rush_key_free(rush_key *key);

RUSH_PUBLIC const rush_key_header *rush_key_about(const rush_key *key);
/* The SHA-256 digest of the texts of its files, one behind the other in the order of reading (the key,
 * then its parts as listed), as 64 hexadecimal digits: what `cat key.yaml PARTS | sha256sum` prints. Drawings
 * are not in it: they change no result. */
RUSH_PUBLIC const char *rush_key_digest(const rush_key *key);
RUSH_PUBLIC uint32_t rush_key_character_count(const rush_key *key);
RUSH_PUBLIC uint32_t rush_key_taxon_count(const rush_key *key);
RUSH_PUBLIC uint32_t rush_key_form_count(const rush_key *key);
RUSH_PUBLIC uint32_t rush_key_source_count(const rush_key *key);
RUSH_PUBLIC uint32_t rush_key_sighting_count(const rush_key *key);
/* Each index below its count. */
RUSH_PUBLIC const rush_character *rush_key_character(const rush_key *key, uint32_t character);
RUSH_PUBLIC const rush_taxon *rush_key_taxon(const rush_key *key, uint32_t taxon);
RUSH_PUBLIC const rush_form *rush_key_form(const rush_key *key, uint32_t form);
RUSH_PUBLIC const rush_source_entry *rush_key_source(const rush_key *key, uint32_t source);
RUSH_PUBLIC const rush_worked_sighting *rush_key_sighting(const rush_key *key, uint32_t sighting);
/* Taxa without children, ordered so that those of one enclosing taxon stand together. */
RUSH_PUBLIC uint32_t rush_key_leaf_count(const rush_key *key);
RUSH_PUBLIC uint32_t rush_key_leaf(const rush_key *key, uint32_t at);

/* Whether a taxon is another one, or stands within it. */
RUSH_PUBLIC bool rush_key_within(const rush_key *key, uint32_t taxon, uint32_t around);

/* The trait of a form, its own or the nearest inherited one; `from` (may be NULL) gets the taxon that
 * it stands on, RUSH_NONE for the form itself. NULL when nothing is said (unscored). */
RUSH_PUBLIC const rush_trait *rush_key_trait(const rush_key *key, uint32_t form,
                                             uint32_t character, uint32_t *from);
/* The same for a taxon. */
RUSH_PUBLIC const rush_trait *rush_key_taxon_trait(const rush_key *key, uint32_t taxon,
                                                   uint32_t character, uint32_t *from);

/* The words in a language (an index), else in the default one, else in any; "" when there are none. */
RUSH_PUBLIC const char *rush_key_words(const rush_key *key, rush_words words, uint32_t language);
/* The language that these words are then in; RUSH_NONE when there are none. */
RUSH_PUBLIC uint32_t rush_key_words_language(const rush_key *key, rush_words words,
                                             uint32_t language);
/* A language's index; RUSH_NONE when the key does not have it, which every report takes as the default one. */
RUSH_PUBLIC uint32_t rush_key_language(const rush_key *key, rush_text language);

/* Things by any of their names: RUSH_NONE when there is none such. A month is a state by its whole English name;
 * what else an answer may call it (`Jul`, `7`, a date) is for rush_sighting_read. Of a number, its word. Taxa are of
 * any rank. */
RUSH_PUBLIC uint32_t rush_key_find_character(const rush_key *key, rush_text name);
RUSH_PUBLIC uint32_t rush_key_find_state(const rush_key *key, uint32_t character, rush_text name);
RUSH_PUBLIC uint32_t rush_key_find_taxon(const rush_key *key, rush_text name);
/* The taxon that is meant by the beginnings of a name's words ("A. mixta", "emerald d"). The scientific name and the
 * common one of the language go before others; of several words the first of a name go before any of it, in their
 * order; of several taxa the lowest one that fits as well and holds all of them is meant. Only those of `among` count (by
 * taxon; NULL: all). RUSH_NONE: none, since fewer than three bytes say nothing; or several, of which some are added to
 * the buffer (NULL: not told): "'a', 'b', 'c' and 2 more". */
RUSH_PUBLIC uint32_t rush_key_guess_taxon(const rush_key *key, rush_text said, uint32_t language,
                                          const bool *among, rush_buffer *several);
RUSH_PUBLIC uint32_t rush_key_find_topic(const rush_key *key, rush_text name);

#endif
