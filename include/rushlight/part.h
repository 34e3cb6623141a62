/* A part of a key: the taxa of one pond, month, group or list, and what of their forms can be met.
 *
 * Layer: rank (above sighting). Ownership: a part owns all that it points to until rush_part_free; the key
 * must outlive it. Afterwards it is never changed, so threads may share it.
 * The suitability of a setting is the model's (ranking.h); the rest is plain choosing. */
#ifndef RUSHLIGHT_PART_H
#define RUSHLIGHT_PART_H

#include "rushlight/sighting.h"

/* A taxon is left out when the settings together leave it a smaller suitability: one that lives elsewhere
 * (0.03) or flies more than a month away (0.01), not one at the edge of its season (0.2 and more). */
#define RUSH_PART_SUITABLE 0.1
/* A form can show a state that at least this part of its insects shows. */
#define RUSH_SHARE_SHOWN 0.05

/* What is wanted; all of it at once. All zero: the whole key. Texts are copied. */
typedef struct rush_part_request {
    /* Settings: taxa that suit them. Other answers: forms that can show them (those that are not scored can;
     * an unsure answer restricts nothing). NULL: everywhere, always. */
    const rush_sighting *where;
    rush_text within; /* taxa of any rank, by any name, with commas between them */
    rush_text
        occurrence; /* met at least this often: a word of the key's `occurrence:`, or a number */
    const char *list;  /* what the list of names below is called; NULL: there is none */
    rush_text names;   /* one a line, of any rank; `#` begins a comment */
    uint32_t language; /* of `words` */
} rush_part_request;

typedef struct rush_part {
    const rush_key *key;
    bool whole;        /* nothing is left out */
    const bool *forms; /* by form: it belongs to the part */
    const bool *taxa;  /* by taxon: a form at or below it does */
    const double
        *prior; /* by form: occurrence x share x suitability of the settings; they sum to 1 */
    const uint32_t *leaves; /* taxa without children that belong, in the order of rush_key_leaf */
    uint32_t leaf_count, form_count;
    const char
        *words; /* what it is, for a title: "habitat: garden pond; within Zygoptera"; or "" */
} rush_part;

/* NULL, and told in the diagnostics, when `within` or `occurrence` names nothing, when no taxon is left, or
 * when there is no memory. A name of the list that the key does not have is told as well, and passed over. */
RUSH_PUBLIC const rush_part *rush_part_choose(const rush_key *key,
                                              const rush_part_request *request,
                                              rush_diagnostics *diagnostics);
RUSH_PUBLIC void rush_part_free(const rush_part *part);

#endif
