/* Numbers as people write them, and the normal distribution.
 *
 * Layer: base. No locale is asked: a point or, between digits, a comma is the decimal sign. */
#ifndef RUSH_BASE_NUMBER_H
#define RUSH_BASE_NUMBER_H

#include "rushlight/text.h"

typedef struct rush_number {
    double value;
    double step; /* one unit of the last digit written: 1 for 34, 0.1 for 34.2 */
} rush_number;

/* A number at the start of the text, which then begins behind it; false when there is none.
 * At most 40 digits, of which 18 count, and no more than 18 before the point; no exponent. */
bool rush_number_take(rush_text *text, rush_number *number);
enum { RUSH_NUMBER_TEXT = 40 };
/* The number as rush_buffer_number writes it, into `text`, which is returned. */
const char *rush_number_text(char text[RUSH_NUMBER_TEXT], double value, int decimals);

/* The bytes of the hyphen or en dash at `at`, or 0. */
size_t rush_dash_at(rush_text text, size_t at);

/* How many `to` there are in one `from` ("cm" in "mm": 10): the lengths mm, cm, m, in; or 1 when
 * both are the same word. The inch is 25.4 mm (international yard and pound agreement, 1959).
 * False when they do not convert. */
bool rush_unit_factor(rush_text from, rush_text to, double *factor);

/* The standard normal distribution: P(a < Z < b), taken with erfc on the side of the tail, so that
 * it keeps its digits far out (C17 7.12.8.2). a may be -INFINITY, b INFINITY; 0 when b <= a. */
double rush_normal_between(double a, double b);

#endif
