/* Where: coordinates as somebody wrote them, understood as far as they can be, and blurred.
 *
 * Layer: report. Understood are decimal degrees (`52.65798, 1.71605`; `1.71605 E 52.65798 N`) and grid
 * references of one or two letters with an even number of digits, as in Ireland and Great Britain
 * (`TG 514 131`). Anything else is kept as written, and cannot be blurred. */
#ifndef RUSH_REPORT_LOCATION_H
#define RUSH_REPORT_LOCATION_H

#include "sighting/degrees.h"

typedef enum rush_location_kind {
    RUSH_LOCATION_NONE,
    RUSH_LOCATION_DEGREES,
    RUSH_LOCATION_GRID,
    RUSH_LOCATION_WRITTEN
} rush_location_kind;

/* A square of a lettered grid, named by its south-west corner. */
typedef struct rush_grid_square {
    char letters[3];
    int digits; /* of the easting, and as many of the northing: 5 is a square of a metre */
    uint32_t easting, northing;
} rush_grid_square;

typedef struct rush_location {
    rush_location_kind kind;
    rush_text written;
    rush_degrees latitude, longitude;
    rush_grid_square square;
    double uncertainty; /* metres, whole; 0: not known */
    bool blurred;       /* made coarser than it was written */
    bool withheld;      /* it could not be blurred, so that nothing is told */
} rush_location;

/* `uncertainty` in metres, 0 when not known: a grid square has one of its own, half its diagonal.
 * `blur` makes the location as coarse as a grid of squares of so many metres; 0 leaves it. */
rush_location rush_location_read(rush_text written, double uncertainty, uint32_t blur);
/* The grid reference in letters and digits: "TG514131". */
void rush_grid_square_write(const rush_grid_square *square, rush_buffer *buffer);

#endif
