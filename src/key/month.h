/* Months by name and number.
 *
 * Layer: key. English names, whole or by their first three letters ("Sept" too); numbers 1 to 12. */
#ifndef RUSH_KEY_MONTH_H
#define RUSH_KEY_MONTH_H

#include "rushlight/text.h"

enum { RUSH_MONTHS = 12 };

/* January is 0. */
const char *rush_month_name(unsigned month);
bool rush_month_read(rush_text text, unsigned *month);
/* `Apr-Oct`, `11-2` (over the end of the year), `May` or `all year`: a bit for each month. */
bool rush_months_read(rush_text text, unsigned *months);
/* A date of ISO 8601-1:2019, 2026-06-14 or 2026-06, or an interval that begins with one
 * (2026-06-14/16), perhaps with a time behind; a bit for each month that it touches. */
bool rush_date_read(rush_text text, unsigned *months);
/* An interval that would be one if it did not end before it begins. */
bool rush_date_reversed(rush_text text);

#endif
