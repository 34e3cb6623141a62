/* A latitude and a longitude in decimal degrees, as people write them.
 *
 * Layer: sighting. Understood are `52.65798, 1.71605`, `52,65798; 1,71605` and `1.71605 E 52.65798 N`. */
#ifndef RUSH_SIGHTING_DEGREES_H
#define RUSH_SIGHTING_DEGREES_H

#include "rushlight/text.h"

typedef struct rush_degrees {
    double value;
    int decimals; /* as many as were written */
} rush_degrees;

typedef enum rush_degrees_kind {
    RUSH_DEGREES_NONE,   /* something else: a grid reference, say */
    RUSH_DEGREES_SINGLE, /* one number alone */
    RUSH_DEGREES_OFF,    /* a pair that is nowhere on the earth */
    RUSH_DEGREES_PAIR
} rush_degrees_kind;

/* Latitude and longitude are set when there are two. */
rush_degrees_kind rush_degrees_read(rush_text text, rush_degrees *latitude,
                                    rush_degrees *longitude);

#endif
