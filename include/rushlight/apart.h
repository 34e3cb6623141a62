/* Telling look-alikes apart: the few characters that separate them, what each shows, how safe that is.
 *
 * Layer: advise (above rank). Ownership: the result owns all that it points to until rush_apart_free; the key
 * must outlive it.
 * Bits are those of advice.h between just these taxa, each as probable as the others, forms by their shares.
 * Safe is the probability that the likeliest taxon, given the answers of a careful beginner, is the right one:
 * the sum over reports of the greatest P(taxon) P(reports | taxon) (Bayes' decision; one minus the Bayes error
 * of Duda and Hart 1973, Pattern Classification and Scene Analysis; from memory). */
#ifndef RUSHLIGHT_APART_H
#define RUSHLIGHT_APART_H

#include "rushlight/advice.h"
#include "rushlight/part.h"

enum { RUSH_APART_TAXA_MAX = 16, RUSH_APART_MARKS = 5 };

typedef struct rush_apart_options {
    const rush_part *part; /* forms that are left out of it do not count; NULL: all do */
    uint32_t
        marks;   /* shown in a view, at most; 0: the few that do it, RUSH_APART_MARKS at most */
    double safe; /* the threshold, as rush_rank_options has it */
} rush_apart_options;

/* What the insects of one taxon show of one character, in one sex. */
typedef struct rush_showing {
    rush_trait_kind kind; /* UNSCORED and INAPPLICABLE: of all forms */
    const double
        *weights; /* STATES: by state, over the forms that are scored and can show it; sum 1 */
    double low, high;   /* NUMBER: over the forms */
    uint32_t likeliest; /* STATES: the state with the greatest weight */
    double silent;      /* the part of the insects that is not scored or cannot show it: 0 to 1 */
} rush_showing;

typedef struct rush_apart_mark {
    uint32_t character;
    double gain;               /* bits */
    double safe;               /* alone */
    const rush_showing *shows; /* by taxon, in the order asked */
} rush_apart_mark;

/* One sex, or both where no mark differs between them. */
typedef struct rush_apart_view {
    rush_sex sex; /* ANY: both */
    const rush_apart_mark
        *marks; /* the best for its effort first, easy to see before hard; of more than
                                   * two taxa, at what those before it leave */
    uint32_t mark_count, more; /* more of them tell something, and are not shown */
    double together;           /* safe: all of these marks */
    double field;              /* safe: everything that needs no hand, shown or not */
    double hand;               /* safe: everything */
} rush_apart_view;

typedef struct rush_apart {
    const rush_key *key;
    const uint32_t *taxa; /* without children */
    uint32_t taxon_count;
    double safe;                  /* the threshold */
    const rush_apart_view *views; /* one, or a male and a female one */
    uint32_t view_count;
} rush_apart;

/* Taxa of any rank stand for all below them; the same one twice counts once. NULL when there are fewer than
 * two or more than RUSH_APART_TAXA_MAX of them (in the part), or when there is no memory. */
RUSH_PUBLIC const rush_apart *rush_apart_tell(const rush_key *key, const uint32_t *taxa,
                                              uint32_t count, const rush_apart_options *options);
RUSH_PUBLIC void rush_apart_free(const rush_apart *apart);

/* Two taxa that are easily confused. */
typedef struct rush_hard_pair {
    uint32_t taxon, other;
    rush_sex sex; /* the harder one; ANY: either */
    double safe;  /* everything that needs no hand; below 1 */
    double
        confused; /* (1 - safe) times the probability of the one that is met less, in the part */
} rush_hard_pair;

/* The pairs of the key (or of a part; NULL: the whole key) that are confused most often: how hard they are, and how
 * often both are met; the first is confused most. With `of`, a taxon without children, only those that it is one of; RUSH_NONE: all.
 * Fills `pairs` with at most `room` and returns how many; RUSH_NONE when there is no memory. */
RUSH_PUBLIC uint32_t rush_apart_hardest(const rush_key *key, const rush_part *part, uint32_t of,
                                        rush_hard_pair *pairs, uint32_t room);

/* A mark that tells fewer other taxa than this (a half: one, in one sex) is not worth its line. */
#define RUSH_MARK_LEAST 0.25

/* What marks one taxon out among the others of a part: each mark the best for its effort at telling those that the
 * ones before it leave; those of posture and colour that are seen from afar come first. A taxon that is the only one
 * of its part is told from all others of the key. */
typedef struct rush_own_marks {
    const uint32_t *characters;
    uint32_t count;
} rush_own_marks;

typedef struct rush_marks {
    const rush_part *part;
    const rush_own_marks *own; /* by leaf of the part */
} rush_marks;

/* At most `most` marks of each taxon of the part, none of which needs more than `reach`. The part must outlive
 * them. NULL when there is no memory. */
RUSH_PUBLIC const rush_marks *rush_marks_make(const rush_part *part, uint32_t most,
                                              rush_reach reach);
RUSH_PUBLIC void rush_marks_free(const rush_marks *marks);

#endif
