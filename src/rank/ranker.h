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
    double *value, *misread, *log_value;
    double *log_unlisted; /* of each of the unlisted; NULL of a setting */
    double even;
    bool setting;
} rush_answer_table;

/* The tables of answers that came before, since most lines of a batch say the same things. */
typedef struct rush_table_cache rush_table_cache;

struct rush_ranker {
    rush_arena arena;
    const rush_key *key;
    rush_ranking ranking;
    const rush_part *part; /* or NULL: all of the key */
    bool no_occurrence;
    uint32_t *leaf_of_form;

    rush_answer_table *tables; /* by answer */
    uint32_t table_count;
    double *pool; /* numbers of the tables that the cache has no room for */
    rush_table_cache *cache;
    double *leaves; /* one number a taxon without children */

    /* The hypotheses that count, in their order: of a key with many, only those within reach of the best. */
    uint32_t *near;
    uint32_t near_count;
    bool many; /* more hypotheses than are all looked at */
    double
        least; /* forms below this probability do not count where all do together: 0 unless many */

    double *log_likelihood; /* of each hypothesis: forms, then unlisted */
    double *log_prior;      /* of each form, with the settings, not normalised */
    double *posterior;      /* of each hypothesis */
    double *taxa;
    rush_candidate *candidates;
    rush_candidate *slight; /* of a key with many: those that hardly count */
    rush_second_look *second_looks;
    double *rows;    /* one number a state, of the character with most */
    double *chances; /* one number an answer, and one more */
};

/* P(answer | hypothesis), and the part of it that came from true states outside. */
double rush_table_value(const rush_ranker *ranker, const rush_answer_table *table,
                        uint32_t hypothesis);
double rush_table_misread(const rush_ranker *ranker, const rush_answer_table *table,
                          uint32_t hypothesis);

/* tables.c. Reserving escapes through the ranker's arena. */
void rush_tables_reserve(rush_ranker *ranker);
void rush_tables_fill(rush_ranker *ranker, const rush_sighting *sighting);

/* fit.c: of the leading form. */
rush_fit rush_find_fit(rush_ranker *ranker, uint32_t form);
/* verdict.c: from the sums over taxa, the candidates and the fit. */
rush_verdict rush_find_verdict(rush_ranker *ranker, double safe);

#endif
