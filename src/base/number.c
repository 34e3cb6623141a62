#include "base/number.h"

#include <math.h>
#include <string.h>

#include "base/unicode.h"

static bool is_digit(rush_text text, size_t at)
{
    return at < text.length && text.at[at] >= '0' && text.at[at] <= '9';
}

enum { SIGNIFICANT_MAX = 18, DIGITS_MAX = 40 };

bool rush_number_take(rush_text *text, rush_number *number)
{
    size_t at = text->length && text->at[0] == '-' ? 1 : 0;
    bool negative = at == 1;
    if (!is_digit(*text, at))
        return false;
    uint64_t digits = 0;
    int significant = 0, decimals = 0, written = 0;
    for (bool fraction = false; at < text->length; at++) {
        if (is_digit(*text, at)) {
            if (++written > DIGITS_MAX || (!fraction && significant >= SIGNIFICANT_MAX))
                return false;
            if (significant >= SIGNIFICANT_MAX)
                continue; /* more than a double can hold */
            digits = digits * 10 + (uint64_t)(text->at[at] - '0');
            significant += digits > 0;
            decimals += fraction;
        } else if ((text->at[at] == '.' || text->at[at] == ',') && !fraction &&
                   is_digit(*text, at + 1)) {
            fraction = true;
        } else {
            break;
        }
    }
    double power = 1;
    for (int i = 0; i < decimals; i++)
        power *= 10;
    number->value = (negative ? -1 : 1) * ((double)digits / power);
    number->step = 1 / power;
    text->at += at;
    text->length -= at;
    return true;
}

bool rush_text_number(rush_text text, double *value)
{
    rush_number number;
    if (!rush_number_take(&text, &number) || text.length)
        return false;
    *value = number.value;
    return true;
}

size_t rush_dash_at(rush_text text, size_t at)
{
    if (at < text.length && text.at[at] == '-')
        return 1;
    return at + 3 <= text.length && memcmp(text.at + at, "\xe2\x80\x93", 3) == 0 ? 3 : 0;
}

static bool length_in_mm(rush_text unit, double *mm)
{
    static const struct {
        const char *name;
        double mm;
    } lengths[] = {{"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", 25.4}};
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++)
        if (rush_text_equal(unit, rush_text_of(lengths[i].name))) {
            *mm = lengths[i].mm;
            return true;
        }
    return false;
}

bool rush_unit_factor(rush_text from, rush_text to, double *factor)
{
    char from_folded[RUSH_FOLD_MAX], to_folded[RUSH_FOLD_MAX];
    size_t from_length = rush_unicode_fold(from, from_folded);
    size_t to_length = rush_unicode_fold(to, to_folded);
    if (from_length == SIZE_MAX || to_length == SIZE_MAX)
        return false;
    rush_text a = {from_folded, from_length}, b = {to_folded, to_length};
    double from_mm, to_mm;
    *factor = 1;
    if (rush_text_equal(a, b))
        return true;
    if (!length_in_mm(a, &from_mm) || !length_in_mm(b, &to_mm))
        return false;
    *factor = from_mm / to_mm;
    return true;
}

double rush_normal_between(double a, double b)
{
    static const double root_half = 0.70710678118654752440;
    if (!(b > a))
        return 0;
    if (a > 0)
        return 0.5 * (erfc(a * root_half) - erfc(b * root_half));
    if (b < 0)
        return 0.5 * (erfc(-b * root_half) - erfc(-a * root_half));
    return 1 - 0.5 * (erfc(-a * root_half) + erfc(b * root_half));
}
