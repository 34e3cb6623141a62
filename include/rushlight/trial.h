/* How good is a key? Simulated observers work through its questions, as `ask` puts them.
 *
 * Layer: trial (above check). An insect is drawn from the key's prior, with settings that suit it (month,
 * habitat), which are told beforehand. It shows what the key's traits say; where they say nothing, what the
 * model holds likely from its relatives. An observer answers what is asked, misreading some of it, or has not
 * seen it. The key under trial ranks, asks and stops by the rules of the conversation.
 * Ownership: a trial owns all that it points to until rush_trial_free; it keeps a pointer to its key.
 * Errors: NULL when there is no memory.
 * The same key, options and seed give the same trial on every machine, whatever the number of jobs; the n-th
 * insect of a seed is the same for every observer, so that figures can be compared. */
#ifndef RUSHLIGHT_TRIAL_H
#define RUSHLIGHT_TRIAL_H

#include "rushlight/advice.h"

typedef enum rush_observer {
    RUSH_OBSERVER_CAREFUL,   /* misreads as often as the key says */
    RUSH_OBSERVER_POOR,      /* twice as often */
    RUSH_OBSERVER_HANGING,   /* mistakes hang together: RUSH_HANGING_* below */
    RUSH_OBSERVER_STRANGERS, /* careful, but each taxon in turn has been taken out of the key */
    RUSH_OBSERVER_COUNT
} rush_observer;

/* One word: "careful", "poor", "hanging", "strangers". */
RUSH_PUBLIC const char *rush_observer_name(rush_observer observer);

/* Of the observer whose mistakes hang together; rushlight's own figures, for which there is no source. A
 * second look shows such a one the same again. */
#define RUSH_HANGING_BAD_VIEW 0.2 /* of the sightings are seen so badly that */
#define RUSH_HANGING_BAD_TIMES                                                                   \
    3.0                           /* ... misreads are so many times as frequent in all of them; */
#define RUSH_HANGING_IN_MIND 0.2  /* of the sightings somebody has a look-alike in mind, */
#define RUSH_HANGING_LEANS   0.25 /* ... which so much of the answers lean to */

/* What is usual. */
#define RUSH_TRIAL_SEED      1
#define RUSH_TRIAL_SIGHTINGS 2000
#define RUSH_TRIAL_UNSEEN    0.2

/* A taxon's trait that is taken as unscored, in all within it, to see what it is worth. */
typedef struct rush_blank {
    uint32_t taxon, character;
} rush_blank;

/* Best begun with rush_trial_usual: of one that is all 0 no observer looks, and `within` is the first taxon. */
typedef struct rush_trial_options {
    uint64_t seed;
    uint32_t sightings; /* of each observer */
    bool observers[RUSH_OBSERVER_COUNT];
    bool evenly;      /* each taxon is met alike, whatever its occurrence; strangers always are */
    uint32_t within;  /* only insects of this taxon are met; RUSH_NONE: any */
    double unseen;    /* the part of the characters that a sighting does not show, 0 to 1 */
    rush_reach reach; /* nothing is asked that needs more; 0 is RUSH_REACH_FAR */
    double safe;      /* the threshold, as rush_rank_options has it */
    const rush_blank *blanks; /* each is tried by itself; they may go when the trial is done */
    uint32_t blank_count;
    uint32_t jobs; /* threads; 0 is 1 */
    /* Called now and then in the caller's own thread; or NULL. */
    void (*progress)(void *user, uint64_t done, uint64_t of);
    void *user;
} rush_trial_options;

/* How sightings ended. Right: safe, as the right taxon without children (or one that has no other within).
 * Wrong: safe as something that it is not. Group: safe as a larger group that it belongs to. Nothing: nothing
 * was safe. */
typedef enum rush_outcome {
    RUSH_OUTCOME_RIGHT,
    RUSH_OUTCOME_WRONG,
    RUSH_OUTCOME_GROUP,
    RUSH_OUTCOME_NOTHING,
    RUSH_OUTCOME_COUNT
} rush_outcome;

typedef struct rush_trial_tally {
    uint32_t sightings;
    uint32_t outcomes[RUSH_OUTCOME_COUNT];
    uint32_t sexed, sexed_right; /* a sex was safe beside the name, and was the insect's */
} rush_trial_tally;

/* Of whole numbers. A quartile is the least number that as much of them do not exceed. */
typedef struct rush_trial_spread {
    double mean, sd;
    uint32_t least, lower, median, upper, most;
} rush_trial_spread;

/* Verdicts by the probability that they stated; where nothing was safe, that of the leading taxon. */
enum { RUSH_TRIAL_BINS = 8 };
typedef struct rush_trial_bin {
    double from, to; /* the last takes its end in too */
    uint32_t sightings, right;
    double stated; /* the mean; 0 for none */
} rush_trial_bin;

/* What would mend a confusion of two taxa. */
typedef enum rush_mend {
    RUSH_MEND_NOTHING, /* nothing in the key: its characters tell them, or none that is scored does */
    RUSH_MEND_SCORE,   /* a character that is unscored in one of them and not in the other */
    RUSH_MEND_SHARPEN, /* one that shows several states in one or both, so that they overlap */
    RUSH_MEND_REACH,   /* none in the key: one that tells them needs more reach than was had */
    RUSH_MEND_MISREAD  /* one that is misread too often: tip, sketch, labels */
} rush_mend;

/* Two taxa without children that were taken for each other, or kept each other from being safe. */
typedef struct rush_confusion {
    uint32_t taxon, other;
    uint32_t taken, mistaken; /* `taxon` called safe as `other`; the other way round */
    uint32_t unsettled;       /* not safe to either, with the one in the way of the other */
    /* In wrong names. An unsettled sighting counts 1 - safe of one, at which rate a threshold of `safe`
     * weighs them (Chow 1970, IEEE Trans. Inf. Theory 16:41-46). */
    double cost;
    uint32_t form, other_form; /* the forms that it happened to most often */
    rush_mend mend;
    uint32_t character; /* RUSH_NONE with NOTHING */
    double bits;        /* what mending it would add to what it tells of the two forms now */
} rush_confusion;

/* What a character earned. */
typedef struct rush_trial_character {
    uint32_t asked, answered; /* second looks count again */
    uint32_t misread;         /* of the answers: not what the insect shows */
    /* The sum over the answers of log2 (P(the insect's taxon) after it / before it): what they told of the
     * truth. In the mean over a true model this is the information I(T;R) of advice.h. */
    double bits;
} rush_trial_character;

/* One observer on one key. */
typedef struct rush_trial_run {
    rush_observer observer;
    uint32_t blank; /* which of the blanks is blank; RUSH_NONE: none */
    rush_trial_tally all;
    rush_trial_tally by_sex[2];       /* of the insect: rush_sex */
    const rush_trial_tally *by_taxon; /* by leaf, as rush_key_leaf counts them */
    rush_trial_spread asked, answered;
    rush_trial_bin bins[RUSH_TRIAL_BINS];
    /* Means over the taxa without children and `unlisted` together. Brier (1950), 0 to 2; -log2 of the
     * probability that the truth got (Good 1952), in bits. */
    double brier, log_score;
    /* The mean entropy over the listed taxa, in bits, once the settings are known and nothing is answered. */
    double entropy;
    const rush_confusion *confusions; /* the costliest first */
    uint32_t confusion_count;
    const rush_trial_character *characters; /* by character */
} rush_trial_run;

/* A floor under the number of answers: no answer brings more than the capacity of its character, so the mean
 * number of answers that find the taxon beyond doubt is at least entropy / capacity (Shannon 1948, Bell Syst.
 * Tech. J. 27: the source coding theorem, and the capacity of a channel). The capacity is that of the best
 * character within reach, as look next sees it: its reports with the key's own misreads, numbers in 16 bins
 * (found by Arimoto's and Blahut's iteration, 1972, IEEE Trans. Inf. Theory 18:14-20 and 460-473). A name that
 * is only safe needs a little less. */
typedef struct rush_trial {
    const rush_key *key;
    rush_trial_options options; /* as given; `blanks` is a copy */
    const rush_trial_run *runs; /* the whole key's first, then those of each blank; by observer */
    uint32_t run_count;
    uint32_t best_character; /* RUSH_NONE: nothing can be asked */
    double capacity;         /* its, in bits an answer */
} rush_trial;

/* The usual seed, sightings of every observer and part unseen; reach close. */
RUSH_PUBLIC rush_trial_options rush_trial_usual(void);
/* `options` may be NULL: the usual ones. */
RUSH_PUBLIC rush_trial *rush_trial_hold(const rush_key *key, const rush_trial_options *options);
RUSH_PUBLIC void rush_trial_free(rush_trial *trial);

/* The run of an observer and a blank (RUSH_NONE: the whole key), or NULL. */
RUSH_PUBLIC const rush_trial_run *rush_trial_find(const rush_trial *trial, rush_observer observer,
                                                  uint32_t blank);

/* Shares of a tally, 0 to 1; 0 of nothing. */
RUSH_PUBLIC double rush_trial_share(const rush_trial_tally *tally, rush_outcome outcome);
/* Of what was called safe to any rank: the part that was right, groups too. */
RUSH_PUBLIC double rush_trial_safe_right(const rush_trial_tally *tally);
/* Where that share lies with a confidence of 95 % (Wilson 1927, J. Am. Stat. Assoc. 22:209-212); false when
 * nothing was called safe. */
RUSH_PUBLIC bool rush_trial_safe_interval(const rush_trial_tally *tally, double *low,
                                          double *high);
/* Answers: entropy / capacity; 0 when there is no capacity. */
RUSH_PUBLIC double rush_trial_floor(const rush_trial *trial, const rush_trial_run *run);

#endif
