/* The information that characters hold, for the layers above.
 *
 * Layer: advise. */
#ifndef RUSH_ADVISE_LOOK_H
#define RUSH_ADVISE_LOOK_H

#include "key/key.h"
#include "rushlight/advice.h"

/* I(T;R) in bits of a character (not a setting, not the taxon), for forms with these masses. */
double rush_information(rush_adviser *adviser, uint32_t character, const double *mass);
/* The same between two taxa alone. */
double rush_information_between(rush_adviser *adviser, uint32_t character, uint32_t taxon,
                                uint32_t other, const double *mass);

#endif
