/* Writing down the leads of a couplet once it is chosen.
 *
 * Layer: advise. */
#ifndef RUSH_ADVISE_LEAD_H
#define RUSH_ADVISE_LEAD_H

#include "advise/split.h"

/* What a lead says: the split's own mark, and further ones that hold of all who come this way and of none who
 * go another. `ways` is what goes along each lead. */
void rush_lead_marks(rush_keying *keying, const rush_split *split, const rush_left *ways,
                     uint32_t lead, rush_lead *into);
/* The taxa among the forms. */
void rush_lead_taxa(rush_keying *keying, rush_left left, rush_lead *into);
/* Of what is met, the part that ends here without a name: in a group, and where one name stands first, the others. */
double rush_lead_grouped(const rush_lead *lead);
/* Of a group that stays together: what would tell it. `mass` has room for each form of the key, all 0. */
void rush_lead_needs(rush_keying *keying, rush_left left, rush_adviser *adviser, double *mass,
                     rush_lead *into);

#endif
