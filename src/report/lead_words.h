/* What leads and forms are called in words, for every printed key.
 *
 * Layer: report. Texts are plain and not made safe for a terminal: whoever writes them out does that. */
#ifndef RUSH_REPORT_LEAD_WORDS_H
#define RUSH_REPORT_LEAD_WORDS_H

#include "report/teller.h"
#include "rushlight/couplets.h"

/* All the marks of a lead: "eyes: wide apart or nearly so; total length: 41 mm or more"; "(in the hand)" behind those
 * that need it. Of many states that the other leads leave, what it is not: "perch: other than hanging". */
void rush_words_lead(rush_teller *teller, const rush_couplet *couplet, uint32_t lead);
/* What stands before a name of a group: "", "; ", "; or ", "; rarely ". */
const char *rush_words_joint(const rush_lead *lead, uint32_t taxon);
/* Which forms of a taxon come this way: "male", "female (blue, green)"; nothing when all do. */
void rush_words_forms(const rush_part *part, const rush_lead_taxon *taxon, rush_buffer *buffer);
/* The taxon's name, scientific or vernacular, as the key has it; "" for a vernacular one that it lacks. */
const char *rush_words_scientific(const rush_key *key, uint32_t taxon);
const char *rush_words_vernacular(const rush_key *key, uint32_t taxon, uint32_t language);
/* "2, 17": the couplets where a taxon keys out but for this one; nothing when there are no others. */
void rush_words_other_outs(const rush_couplets *couplets, uint32_t taxon, uint32_t but,
                           rush_buffer *buffer);
/* "what would tell them: spur, tail pattern"; what needs the hand is said to. */
void rush_words_needs(rush_teller *teller, const rush_lead *lead);
/* "12 taxa, 15 couplets; to a name 4.1 on average over the insects that are met, 4.3 over the taxa, 7 at most",
 * and what ends in groups. */
void rush_words_lengths(const rush_couplets *couplets, rush_buffer *buffer);

#endif
