/* The families of findings, a file each.
 *
 * Layer: check. A family runs under a guard with an arena of its own. In a key with faults it passes over
 * what a fault may have caused: what is told must be worth mending by itself.
 * Cost: nothing grows with the square of the taxa or of the characters without a bound, which stands
 * beside it; beyond it a part is looked at, always the same one. */
#ifndef RUSH_CHECK_CHECK_H
#define RUSH_CHECK_CHECK_H

#include "diagnostic/diagnostic.h"
#include "key/key.h"
#include "key/place.h"
#include "rushlight/check.h"

/* How often the leaves are met: priors.c finds it. */
typedef struct rush_occurrences {
    double most, sum;
    uint32_t commonest;
} rush_occurrences;

typedef struct rush_checker {
    const rush_key *key;
    rush_diagnostics *list;
    rush_adviser *adviser;
    bool *suspect; /* by character: a number in it is so far off that it spoils the key's span */
    rush_occurrences occurrences;
    rush_arena arena; /* of the family that runs */
} rush_checker;

void rush_check_words(rush_checker *checker); /* words.c: words for numbers */
void rush_check_names(rush_checker *checker); /* names.c: names alike, endings, genera */
void rush_check_characters(
    rush_checker *checker);                     /* characters.c: misread, tips, unused states */
void rush_check_outdone(rush_checker *checker); /* outdone.c: needless characters */
void rush_check_separation(
    rush_checker *checker);                       /* separation.c: taxa, sexes, idle characters */
void rush_check_forms(rush_checker *checker);     /* forms.c: forms of one taxon */
void rush_check_ranges(rush_checker *checker);    /* ranges.c: numbers too wide, or far off */
void rush_check_seasons(rush_checker *checker);   /* seasons.c: months that do not join */
void rush_check_cells(rush_checker *checker);     /* cells.c: inapplicable; unscored */
void rush_check_gaps(rush_checker *checker);      /* gaps.c: scored in all relatives but one */
void rush_check_sources(rush_checker *checker);   /* sources.c */
void rush_check_priors(rush_checker *checker);    /* priors.c */
void rush_check_typical(rush_checker *checker);   /* typical.c: a taxon's own description */
void rush_check_sightings(rush_checker *checker); /* sightings.c: worked sightings */

/* A character of the animal itself, that an author has made. */
static inline bool rush_is_mark(const rush_key *key, uint32_t character)
{
    return character >= RUSH_BUILT_IN_CHARACTERS && !key->characters[character].setting;
}

/* Whether a fault has made it doubtful what the key says of a taxon; of a character, in some taxon at least. */
static inline bool rush_doubts_taxon(const rush_checker *checker, uint32_t taxon)
{
    return checker->key->taxon_doubts[taxon];
}

static inline bool rush_doubts_character(const rush_checker *checker, uint32_t character)
{
    return checker->key->character_doubts[character];
}

/* Whether what nothing in the key seems to use, or to need, may be used in a part that could not be read. */
static inline bool rush_part_is_lost(const rush_checker *checker)
{
    return checker->key->incomplete;
}

/* Whether it may not have the states that its author meant. */
static inline bool rush_lost_character(const rush_checker *checker, uint32_t character)
{
    return checker->key->character_lost[character];
}

/* A finding at a place. */
rush_diagnostic *rush_find(rush_checker *checker, rush_slug slug, rush_mark mark,
                           const char *format, ...) RUSH_FORMAT(4, 5);

/* priors.c: whether a taxon's occurrence is told of already, so that what follows from it need not be. */
bool rush_prior_drowns(const rush_checker *checker, uint32_t taxon);

/* separation.c: whether some character tells two taxa apart. */
typedef struct rush_separator {
    rush_checker *checker;
    double *mass;    /* of each form; zero but while it works */
    uint32_t *order; /* characters, those that tell most first */
    uint32_t order_count;
} rush_separator;

void rush_separator_begin(rush_separator *separator, rush_checker *checker);
/* In one sex, or RUSH_SEX_ANY: both together; true too when one of them has none of that sex. */
bool rush_separated(rush_separator *separator, uint32_t taxon, uint32_t other, rush_sex sex);
/* How much the marks that are scored in both tell of the one bit between two taxa, summed up until it is
 * `enough`; infinite when one of them has none of that sex. */
double rush_separation(rush_separator *separator, uint32_t taxon, uint32_t other, rush_sex sex,
                       double enough);
/* gaps.c: whether no mark at all is scored in a taxon. */
bool rush_is_bare(const rush_checker *checker, uint32_t leaf);
/* Whether a number that is far off hides what two taxa differ in: it spoils the span in which they are
 * compared. */
bool rush_may_differ(const rush_separator *separator, uint32_t taxon, uint32_t other);

#endif
