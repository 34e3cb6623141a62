/* A printed key out of a multi-access one: numbered couplets of leads, each taxon at the end of one or more.
 *
 * Layer: advise (above rank). Ownership: the couplets own all that they point to until rush_couplets_free; the
 * key and the part must outlive them.
 * How: the couplet that names most for its cost first, in bits about the taxon, each taxon counting alike;
 * where few are left the best of several such trees. The shortest tree cannot be found in reasonable time
 * (Hyafil and Rivest 1976, Inf. Process. Lett. 5:15-17); tests/unit compare with it on small keys.
 * What is promised: whoever reads each couplet rightly ends at the right name. A form goes along every lead
 * that it can take: each state that at least RUSH_LEAD_SHARE of its insects show, every lead where it is not
 * scored or cannot show the character, every part of a measure that its range reaches. */
#ifndef RUSHLIGHT_COUPLETS_H
#define RUSHLIGHT_COUPLETS_H

#include "rushlight/advice.h"
#include "rushlight/part.h"

enum { RUSH_LEADS_MAX = 8 };
/* What a smaller part of a form's insects show, a printed key does not follow. */
#define RUSH_LEAD_SHARE 0.1

typedef struct rush_couplets_options {
    uint32_t leads;   /* of a couplet, at most: 2 to RUSH_LEADS_MAX; 0: 2 */
    rush_reach reach; /* nothing is asked that needs more; 0 is RUSH_REACH_FAR */
} rush_couplets_options;

/* One thing to look at. States: one of these. A number: from low to high, in its unit; -INFINITY or INFINITY
 * where it is open. */
typedef struct rush_lead_mark {
    uint32_t character;
    const uint32_t *states; /* what is left in play can show, in the key's order */
    uint32_t state_count;
    double low, high;
} rush_lead_mark;

typedef struct rush_lead_taxon {
    uint32_t taxon;
    const uint32_t *forms; /* those of it that come this way */
    uint32_t form_count;
    bool all_forms; /* ... which are all that the part has */
    double met;     /* its part of all that is met, along this way */
    bool
        rarely; /* of what is met along this way, with those as rare together less than RUSH_LEAD_SHARE */
} rush_lead_taxon;

typedef struct rush_lead {
    const rush_lead_mark
        *marks; /* the first decides; the others hold of all that come this way too */
    uint32_t mark_count;
    uint32_t couplet; /* where it goes on; RUSH_NONE: it ends here */
    const rush_lead_taxon *
        taxa; /* that come this way, the rare ones last. At an end: the name, or a group that stays together */
    uint32_t taxon_count;
    const rush_look
        *needs; /* of a group: what would tell it, the best first; bits between just these */
    uint32_t need_count;
} rush_lead;

typedef struct rush_couplet {
    uint32_t from, from_lead; /* the way back; RUSH_NONE at the first */
    const rush_lead *leads;
    uint32_t lead_count;
} rush_couplet;

/* Where a leaf taxon keys out. */
typedef struct rush_key_out {
    uint32_t couplet, lead;
} rush_key_out;
typedef struct rush_key_outs {
    const rush_key_out *at;
    uint32_t count;
} rush_key_outs;

typedef struct rush_couplets {
    const rush_part *part;
    const rush_couplet
        *couplets; /* each one behind that which leads to it; none: nothing to tell apart */
    uint32_t couplet_count;
    const rush_key_outs *outs; /* by leaf of the part */
    /* Couplets to a name. A form that goes several ways takes each as often as it shows its states (evenly
     * where they are not known). */
    double mean;       /* weighted by the part's prior: over the insects that are met */
    double mean_alike; /* each taxon counting alike */
    uint32_t greatest;
    double
        grouped; /* the part of the insects met that ends without a name: in a group of which more than one
                       taxon is often met, or as the rare one of a group */
    double
        strayed; /* the part that shows something on its way which is too rare to be followed */
} rush_couplets;

/* Two leads, anything in the hand. */
RUSH_PUBLIC rush_couplets_options rush_couplets_usual(void);
/* `options` may be NULL: the usual ones. NULL when there is no memory. */
RUSH_PUBLIC const rush_couplets *rush_couplets_make(const rush_part *part,
                                                    const rush_couplets_options *options);
RUSH_PUBLIC void rush_couplets_free(const rush_couplets *couplets);

#endif
