#include "key/month.h"

#include <string.h>

#include "base/number.h"
#include "base/unicode.h"

static const char *const names[RUSH_MONTHS] = {"January",   "February", "March",    "April",
                                               "May",       "June",     "July",     "August",
                                               "September", "October",  "November", "December"};

const char *rush_month_name(unsigned month)
{
    return names[month];
}

bool rush_month_read(rush_text text, unsigned *month)
{
    char folded[RUSH_FOLD_MAX], name[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(text, folded);
    if (length == SIZE_MAX || rush_dash_at(text, 0)) /* which folding would pass over */
        return false;
    for (unsigned i = 0; i < RUSH_MONTHS; i++) {
        size_t whole = rush_unicode_fold(rush_text_of(names[i]), name);
        bool cut = length == 3 || (length == 4 && i == 8);
        if ((length == whole || cut) && length <= whole && memcmp(folded, name, length) == 0) {
            *month = i;
            return true;
        }
    }
    if (length < 1 || length > 2)
        return false;
    unsigned value = 0;
    for (size_t i = 0; i < length; i++) {
        if (folded[i] < '0' || folded[i] > '9')
            return false;
        value = value * 10 + (unsigned)(folded[i] - '0');
    }
    *month = value - 1;
    return value >= 1 && value <= RUSH_MONTHS;
}

bool rush_months_read(rush_text text, unsigned *months)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(text, folded);
    if (length == 8 && memcmp(folded, "all year", 8) == 0) {
        *months = (1u << RUSH_MONTHS) - 1;
        return true;
    }
    unsigned first, last;
    if (rush_month_read(text, &first)) {
        *months = 1u << first;
        return true;
    }
    for (size_t i = 1; i + 1 < text.length; i++) {
        size_t dash = rush_dash_at(text, i);
        if (!dash || i + dash >= text.length)
            continue;
        rush_text from = rush_text_trim((rush_text){text.at, i});
        rush_text to = rush_text_trim((rush_text){text.at + i + dash, text.length - i - dash});
        if (!rush_month_read(from, &first) || !rush_month_read(to, &last))
            return false;
        *months = 0;
        for (unsigned m = first;; m = (m + 1) % RUSH_MONTHS) {
            *months |= 1u << m;
            if (m == last)
                return true;
        }
    }
    return false;
}

/* ---- dates --------------------------------------------------------------------------------------- */

/* `count` digits in front, as a number from low to high. */
static bool take_digits(rush_text *text, size_t count, const unsigned range[2], unsigned *value)
{
    *value = 0;
    if (count > text->length)
        return false;
    for (size_t i = 0; i < count; i++) {
        if (text->at[i] < '0' || text->at[i] > '9')
            return false;
        *value = *value * 10 + (unsigned)(text->at[i] - '0');
    }
    *text = (rush_text){text->at + count, text->length - count};
    return *value >= range[0] && *value <= range[1];
}

static bool take_sign(rush_text *text, char sign)
{
    if (!text->length || text->at[0] != sign)
        return false;
    *text = (rush_text){text->at + 1, text->length - 1};
    return true;
}

static const unsigned of_day[] = {0, 24}, of_sixty[] = {0, 60};

/* `11:20`, `11:20:05.5`, with `Z`, `+01` or `-03:30` behind. */
static bool take_time(rush_text *text)
{
    unsigned value;
    if (!take_digits(text, 2, of_day, &value))
        return false;
    for (int part = 0; part < 2 && take_sign(text, ':'); part++)
        if (!take_digits(text, 2, of_sixty, &value))
            return false;
    if (take_sign(text, '.'))
        do
            if (!take_digits(text, 1, of_sixty, &value))
                return false;
        while (text->length && text->at[0] >= '0' && text->at[0] <= '9');
    if (take_sign(text, 'Z') || !(take_sign(text, '+') || take_sign(text, '-')))
        return true;
    return take_digits(text, 2, of_day, &value) &&
           (!take_sign(text, ':') || take_digits(text, 2, of_sixty, &value));
}

static unsigned days_in(unsigned year, unsigned month)
{
    static const unsigned days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap);
}

/* A date as far as it goes; what an interval's end leaves out is as in its beginning. */
typedef struct date {
    unsigned year, month, day; /* day 0: not said */
} date;

static const unsigned of_years[] = {0, 9999}, of_months[] = {1, RUSH_MONTHS};

/* `2026-06` or `2026-06-14`, perhaps with a time. */
static bool take_date(rush_text *text, date *taken)
{
    taken->day = 0;
    if (!take_digits(text, 4, of_years, &taken->year) || !take_sign(text, '-') ||
        !take_digits(text, 2, of_months, &taken->month))
        return false;
    if (!take_sign(text, '-'))
        return true;
    const unsigned of_month[] = {1, days_in(taken->year, taken->month)};
    return take_digits(text, 2, of_month, &taken->day) &&
           (!take_sign(text, 'T') || take_time(text));
}

/* The end of an interval: a date, or what differs from the beginning: `06-16`, `16`, of months `07`. */
static bool take_end(rush_text *text, const date *from, date *end)
{
    *end = *from;
    if (text->length >= 5 && text->at[4] == '-')
        return take_date(text, end);
    if (!from->day)
        return take_digits(text, 2, of_months, &end->month);
    bool with_month = text->length >= 3 && text->at[2] == '-';
    if (with_month && (!take_digits(text, 2, of_months, &end->month) || !take_sign(text, '-')))
        return false;
    const unsigned of_month[] = {1, days_in(end->year, end->month)};
    return take_digits(text, 2, of_month, &end->day) &&
           (!take_sign(text, 'T') || take_time(text));
}

/* Of a date alone the end is its beginning. */
static bool read_interval(rush_text text, date *from, date *end)
{
    if (!take_date(&text, from))
        return false;
    *end = *from;
    if (take_sign(&text, '/') && !take_end(&text, from, end))
        return false;
    return !text.length;
}

static int months_between(const date *from, const date *end)
{
    return RUSH_MONTHS * ((int)end->year - (int)from->year) + (int)end->month - (int)from->month;
}

static bool is_reversed(const date *from, const date *end)
{
    int months = months_between(from, end);
    return months < 0 || (months == 0 && from->day && end->day && end->day < from->day);
}

bool rush_date_read(rush_text text, unsigned *months)
{
    date from, end;
    if (!read_interval(text, &from, &end) || is_reversed(&from, &end))
        return false;
    int more = months_between(&from, &end);
    *months = 0;
    for (int m = 0; m <= more && m < RUSH_MONTHS; m++)
        *months |= 1u << (from.month - 1 + (unsigned)m) % RUSH_MONTHS;
    return true;
}

bool rush_date_reversed(rush_text text)
{
    date from, end;
    return read_interval(text, &from, &end) && is_reversed(&from, &end);
}
