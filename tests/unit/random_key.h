/* Small invented keys and sightings, made from a seed: as data, and as the texts that say the
 * same.
 *
 * The oracle reckons from the data, the library from the texts; neither sees the other's side.
 * Everything is plain values of fixed size; nothing is owned. */
#ifndef RUSHLIGHT_TEST_RANDOM_KEY_H
#define RUSHLIGHT_TEST_RANDOM_KEY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    MADE_CHARACTERS = 12,
    MADE_STATES = 12, /* of a character; months have as many */
    MADE_TAXA = 32,
    MADE_FORMS = 80,
    MADE_NAMES = 3, /* of forms */
    MADE_ANSWERS = 10,
    MADE_TEXT = 32 * 1024
};

/* The characters that every key has, in the order of the library. */
enum { MADE_SEX, MADE_FORM, MADE_TAXON, MADE_OWN };

typedef enum made_kind {
    MADE_OF_STATES,
    MADE_OF_NUMBERS,
    MADE_OF_MONTHS,
    MADE_OF_TAXA
} made_kind;

typedef struct made_character {
    char id[16];
    made_kind kind;
    bool setting;
    int states; /* of form: the names, and one for forms without a name */
    char state[MADE_STATES][16];
    bool confused[MADE_STATES][MADE_STATES];
    double misread, effort;
    bool misread_written, look_next;
    int reach; /* 0 far to 3 hand */
    /* numbers */
    bool counted; /* no unit */
    bool centimetres;
    double reading_error, resolution;
    bool reading_error_relative;
    double under, over; /* what the words `small` and `large` mean */
} made_character;

typedef enum made_trait_kind {
    TRAIT_SILENT, /* nothing is said here: inherited */
    TRAIT_UNKNOWN,
    TRAIT_INAPPLICABLE,
    TRAIT_STATES,
    TRAIT_NUMBER
} made_trait_kind;

typedef struct made_trait {
    made_trait_kind kind;
    bool long_form, listed;          /* how it is written */
    double weights[MADE_STATES];     /* of months: 1 or 0 */
    int run_first[2], run_length[2]; /* of months: as written; a length of 0: no such run */
    double low, high;                /* a range, or the mean less and plus 2 sd */
    double mean, sd;
    bool ranged;
} made_trait;

typedef enum made_rank {
    MADE_ORDER,
    MADE_FAMILY,
    MADE_GENUS,
    MADE_SPECIES,
    MADE_SUBSPECIES,
    MADE_RANKS
} made_rank;

typedef enum made_sex { MADE_MALE, MADE_FEMALE, MADE_ANY } made_sex;

typedef struct made_form {
    int taxon;
    made_sex sex;
    int name; /* -1: none */
    double share;
    bool share_written;
    made_trait traits[MADE_CHARACTERS];
} made_form;

typedef struct made_taxon {
    char name[16];
    made_rank rank;
    int parent; /* -1 at the top */
    bool leaf;
    const char *occurrence_word; /* NULL: not said, or the number below */
    double occurrence;           /* 0: not said */
    made_trait traits[MADE_CHARACTERS];
    int first_form, forms; /* of a leaf */
    bool forms_written;
} made_taxon;

typedef struct made_key {
    uint64_t seed;
    double unlisted, caution;
    bool odd_occurrence; /* the key gives numbers of its own to the words */
    int characters, taxa, forms, names;
    made_character character[MADE_CHARACTERS];
    made_taxon taxon[MADE_TAXA];
    made_form form[MADE_FORMS];
    bool in_parts;
    char text[MADE_TEXT]; /* the key file */
    char part[MADE_TEXT]; /* characters.yaml, when it is in parts */
} made_key;

typedef struct made_answer {
    int character;
    bool unsure, denied, about, measured;
    bool in[MADE_TAXA]; /* the states, or the leaf taxa, that are left */
    double low, high;   /* in the character's unit */
} made_answer;

typedef struct made_sighting {
    int answers;
    made_answer answer[MADE_ANSWERS];
    char line[2048];
} made_sighting;

/* What kind of key. */
typedef enum made_wish {
    MADE_USUAL,
    MADE_STRICT /* nothing is ever misread and nothing is unlisted */
} made_wish;

void make_key(made_key *key, uint64_t seed, made_wish wish);
void make_sighting(made_sighting *sighting, const made_key *key, uint64_t seed);

#endif
