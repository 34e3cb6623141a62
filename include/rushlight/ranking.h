/* What a sighting can be: the posterior over forms and taxa of every rank, how safe a name is, how well
 * it fits, and which answers look misread.
 *
 * Layer: rank (above sighting). Ownership: a ranker is one thread's workspace for one key; the ranking
 * lies in it and is good until the next rush_rank. Ranking allocates nothing.
 * Probabilities go from 0 to 1. Formulas: Bayes' rule with answers independent given the form; the
 * Poisson-binomial law for the fit. Two scores, one relative and one absolute, as in Wayne et al.
 * (1984), J. Clin. Microbiol. 20:722-729. */
#ifndef RUSHLIGHT_RANKING_H
#define RUSHLIGHT_RANKING_H

#include "rushlight/sighting.h"

#define RUSH_SAFE_DEFAULT 0.95
#define RUSH_IN_PLAY_RATIO                                                                       \
    50.0 /* in play: at least one fiftieth as probable as the leading taxon */
#define RUSH_BADLY_RATIO      8.0 /* an answer sits badly under an eighth of what it could have had */
#define RUSH_POOR_FIT         0.02 /* a fit with a smaller tail is poor */
#define RUSH_SECOND_LOOK_FROM 0.3  /* the probability of a misread from which it is shown */

struct rush_part;
typedef struct rush_rank_options {
    /* The threshold; 0 and less, or no number: RUSH_SAFE_DEFAULT. It makes sense above 0.5, where one name of a
     * rank at most can reach it (at 0.5 and below the one given need not be the likeliest), and below 1, from where
     * on nothing is safe that is not certain. Nobody checks that. */
    double safe;
    bool no_occurrence; /* every taxon as likely beforehand as every other */
    const struct rush_part *
        part; /* listed taxa and forms that are left out of it have no probability; NULL: all have */
    uint32_t top; /* so many candidates, but 2 at least; 0: all */
} rush_rank_options;

/* A taxon without children. */
typedef struct rush_candidate {
    uint32_t taxon;
    uint32_t form; /* its likeliest form */
    double probability;
} rush_candidate;

typedef struct rush_verdict {
    bool safe; /* never without an answer that says what was seen, nor when the fit is poor */
    uint32_t taxon;     /* the lowest one that is safe; when none is, the leading candidate */
    double probability; /* of that taxon */
    double marks_alone; /* the same without occurrence and settings */
    rush_sex sex;       /* safe among the listed forms; RUSH_SEX_ANY: neither */
    uint32_t form;      /* one whose name is safe, given the taxon; or RUSH_NONE */
} rush_verdict;

/* How well the answers suit the leading form at all. */
typedef struct rush_fit {
    uint32_t against; /* answers that sit badly with it */
    uint32_t of;      /* answers that could: all but the settings */
    double tail;      /* the chance of as many or more */
    bool poor;
} rush_fit;

/* An answer that the rest of the sighting makes doubtful. */
typedef struct rush_second_look {
    uint32_t answer; /* of the sighting */
    double misread;  /* the probability that it was */
} rush_second_look;

typedef struct rush_ranking {
    const rush_key *key;
    const rush_sighting *sighting;
    bool nothing_fits; /* every likelihood is 0: no candidates, and all else is 0 */
    const double *forms,
        *taxa;       /* the probability of each; a genus's with its unlisted relatives' */
    double unlisted; /* that the insect is not in the key */
    /* As many as were asked for, the best first; of equal ones, in the key's own order. */
    const rush_candidate *candidates;
    uint32_t candidate_count; /* of the part alone */
    uint32_t in_play;
    rush_verdict verdict;
    rush_fit fit;
    const rush_second_look *second_looks; /* the likeliest first */
    uint32_t second_look_count;
} rush_ranking;

typedef struct rush_ranker rush_ranker;

/* NULL when there is no memory. */
RUSH_PUBLIC rush_ranker *rush_ranker_new(const rush_key *key);
RUSH_PUBLIC void rush_ranker_free(rush_ranker *ranker);

/* `options` may be NULL. The sighting is of the ranker's key and must live as long as the ranking. */
RUSH_PUBLIC const rush_ranking *rush_rank(rush_ranker *ranker, const rush_sighting *sighting,
                                          const rush_rank_options *options);

/* The likeliest form at or below a taxon; the first of equal ones. */
RUSH_PUBLIC uint32_t rush_likeliest_form(const rush_ranking *ranking, uint32_t taxon);

/* Of the last ranking. P(answer | form), and of a setting its suitability. */
RUSH_PUBLIC double rush_answer_likelihood(const rush_ranker *ranker, uint32_t answer,
                                          uint32_t form);
/* Whether an answer (not of a setting) sits badly with a form. */
RUSH_PUBLIC bool rush_answer_sits_badly(const rush_ranker *ranker, uint32_t answer,
                                        uint32_t form);
/* The weight of evidence of an answer for one form against another, in bits: log2 of the ratio of
 * their likelihoods (Good 1950, Probability and the Weighing of Evidence; from memory). */
RUSH_PUBLIC double rush_answer_bits(const rush_ranker *ranker, uint32_t answer, uint32_t form,
                                    uint32_t against);

#endif
