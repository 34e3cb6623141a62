/* The ranker's storage, for src/rank and the layers that read a ranking closely.
 *
 * Layer: rank. */
#ifndef RUSH_RANK_RANKER_H
#define RUSH_RANK_RANKER_H

#include "rank/likelihood.h"
#include "rushlight/part.h"
#include "rushlight/ranking.h"

/* One answer's numbers by profile. Of the taxon character there are none: see rush_table_value. */
typedef struct rush_answer_table {
    const rush_answer *answer;
    const rush_column *column; /* NULL: the taxon character */
    const double *value;
    const float
        *misread; /* the part of the value, from 0 to 1, that came from true states outside;
                             NULL of a setting */
    const float *unlisted; /* the value of each of the unlisted; NULL of a setting */
    double least;          /* no value above 0 is less */
    double even;
    bool setting;
    uint32_t serial; /* tables of one serial number are the same; 0: it has none */
} rush_answer_table;

/* A table that is multiplied, and the profiles of its column. */
typedef struct rush_factor {
    const void *profiles; /* uint8_t or uint16_t, by form */
    bool narrow;
    const double *value;
    const rush_answer_table *table;
} rush_factor;

/* The tables of answers that came before, since most lines of a batch say the same things. */
typedef struct rush_table_cache rush_table_cache;
/* What fit.c found of profiles before. */
typedef struct rush_oddity rush_oddity;

struct rush_ranker {
    rush_arena arena;
    const rush_key *key;
    rush_ranking ranking;
    const rush_part *part; /* or NULL: all of the key */
    bool no_occurrence;

    uint32_t *leaf_of_form;
    uint32_t *leaf_begin; /* the first form of each leaf, and one past the last form */
    uint32_t *upwards; /* the taxa that stand within others, each before what it stands within, */
    uint32_t *parents; /* and that one */
    uint32_t upwards_count;

    rush_answer_table *tables; /* by answer */
    uint32_t table_count;
    double *pool; /* numbers of the tables that the cache has no room for */
    rush_table_cache *cache;
    rush_oddity *oddities;

    rush_factor *factors; /* what is multiplied, by answer */
    double *likelihood;   /* of each hypothesis: forms, then unlisted; times a power of two */
    int *exponents; /* ... which these hold while there are too many answers for one number */
    const double *prior; /* of each form, with the settings, not normalised; 0 outside the part */
    double *own_prior;   /* ... where it is not the key's */
    double all_shares, all_priors; /* over the whole key */
    double *posterior;             /* of each hypothesis */
    double of_unlisted;            /* the joint probability of all the unlisted and the marks */
    double *leaves;  /* the probability of each taxon without children; of its forms alone */
    double *taxa;    /* ... and of each taxon with all that is within it */
    uint32_t *heavy; /* the few forms that have most of the probability, in their order, */
    uint32_t heavy_count;
    double light; /* and what all the other forms have together */
    rush_candidate *candidates;
    rush_second_look *second_looks;
    double *rows;     /* one number a state, of the character with most */
    double *misreads; /* one number a profile, of the column with most */
    double *chances;  /* one number an answer, and one more */
};

/* P(answer | hypothesis). */
double rush_table_value(const rush_ranker *ranker, const rush_answer_table *table,
                        uint32_t hypothesis);
/* The probability, given the form, that the answer was misread: the part of its value that came from true states
 * outside. Of the taxon character, and of any. */
double rush_taxon_misread(const rush_ranker *ranker, const rush_answer_table *table,
                          uint32_t form);
static inline double rush_table_misread(const rush_ranker *ranker, const rush_answer_table *table,
                                        uint32_t form)
{
    return table->column ? (double)table->misread[rush_column_profile(table->column, form)]
                         : rush_taxon_misread(ranker, table, form);
}

/* tables.c. Reserving escapes through the ranker's arena. */
void rush_tables_reserve(rush_ranker *ranker);
void rush_tables_fill(rush_ranker *ranker, const rush_sighting *sighting);

/* products.c. Likelihoods are P(marks | hypothesis) but for a common factor; of the prior the settings are a part. */
void rush_find_prior(rush_ranker *ranker);
void rush_find_likelihood(rush_ranker *ranker); /* needs the prior */

/* fit.c: of the leading form. Reserving escapes as above. */
void rush_fit_reserve(rush_ranker *ranker);
void rush_fit_forget(rush_ranker *ranker); /* what it found of tables with a serial number */
rush_fit rush_find_fit(rush_ranker *ranker, uint32_t form);
/* verdict.c: from the sums over taxa, the candidates and the fit. */
rush_verdict rush_find_verdict(rush_ranker *ranker, double safe);

#endif
