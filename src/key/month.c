#include "key/month.h"

#include <string.h>

#include "base/number.h"
#include "base/unicode.h"

static const char *const names[RUSH_MONTHS] = {
    "January", "February", "March",     "April",   "May",      "June",
    "July",    "August",   "September", "October", "November", "December"};

const char *rush_month_name(unsigned month)
{
    return names[month];
}

bool rush_month_read(rush_text text, unsigned *month)
{
    char folded[RUSH_FOLD_MAX], name[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(text, folded);
    if (length == SIZE_MAX)
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

static bool digits(rush_text text, size_t at, size_t count, unsigned *value)
{
    *value = 0;
    if (at + count > text.length)
        return false;
    for (size_t i = at; i < at + count; i++) {
        if (text.at[i] < '0' || text.at[i] > '9')
            return false;
        *value = *value * 10 + (unsigned)(text.at[i] - '0');
    }
    return true;
}

static unsigned days_in(unsigned year, unsigned month)
{
    static const unsigned days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap);
}

bool rush_date_read(rush_text text, unsigned *month)
{
    unsigned year, number, day;
    if (!digits(text, 0, 4, &year) || text.length < 7 || text.at[4] != '-' ||
        !digits(text, 5, 2, &number) || number < 1 || number > RUSH_MONTHS)
        return false;
    *month = number - 1;
    size_t at = 7;
    if (at < text.length && text.at[at] == '-') {
        if (!digits(text, 8, 2, &day) || day < 1 || day > days_in(year, number))
            return false;
        at = 10;
        /* a time: only the shape of its characters is looked at */
        if (at < text.length && text.at[at] == 'T') {
            unsigned hour;
            if (!digits(text, 11, 2, &hour) || hour > 24)
                return false;
            while (++at < text.length && strchr("0123456789:.+-Z", text.at[at]) && text.at[at])
                continue;
        }
    }
    if (at == text.length)
        return true;
    if (text.at[at] != '/' || at + 1 == text.length)
        return false;
    for (at++; at < text.length; at++)
        if (!text.at[at] || !strchr("0123456789:.+-TZ", text.at[at]))
            return false;
    return true;
}
