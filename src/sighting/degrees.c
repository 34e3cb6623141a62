#include "sighting/degrees.h"

#include <math.h>
#include <string.h>

#include "base/number.h"

/* Blanks of every kind that a web page or a word processor puts between numbers. */
static void skip_blanks(rush_text *text)
{
    static const char *const blanks[] = {" ", "\t", "\xc2\xa0", "\xe2\x80\xaf"};
    for (size_t i = 0; i < sizeof blanks / sizeof *blanks;) {
        size_t length = strlen(blanks[i]);
        bool here = text->length >= length && memcmp(text->at, blanks[i], length) == 0;
        if (here)
            *text = (rush_text){text->at + length, text->length - length};
        i = here ? 0 : i + 1;
    }
}

/* The hemisphere's letter in front, in capitals; 0 when there is none. */
static char take_hemisphere(rush_text *text)
{
    const char *letter = text->length ? strchr("NSEWnsew", text->at[0]) : NULL;
    if (!letter || !*letter)
        return 0;
    text->at++;
    text->length--;
    return (char)(*letter & ~0x20);
}

typedef struct angle {
    rush_degrees degrees;
    char hemisphere; /* or 0 */
} angle;

/* "52.65798", "-1.7", "1.7 W", "W 1.7", with or without a degree sign. */
static bool take_angle(rush_text *text, angle *taken)
{
    static const char sign[] = "\xc2\xb0";
    rush_number number;
    skip_blanks(text);
    taken->hemisphere = take_hemisphere(text);
    skip_blanks(text);
    if (!rush_number_take(text, &number))
        return false;
    skip_blanks(text);
    if (text->length >= 2 && memcmp(text->at, sign, 2) == 0) {
        *text = (rush_text){text->at + 2, text->length - 2};
        skip_blanks(text);
    }
    if (!taken->hemisphere)
        taken->hemisphere = take_hemisphere(text);
    if (taken->hemisphere && number.value < 0)
        return false;
    bool minus = taken->hemisphere == 'S' || taken->hemisphere == 'W';
    int decimals = (int)lround(-log10(number.step));
    taken->degrees =
        (rush_degrees){minus ? -number.value : number.value, decimals < 9 ? decimals : 9};
    return true;
}

static bool along_meridian(char hemisphere)
{
    return hemisphere == 'N' || hemisphere == 'S';
}

/* Metres of a grid and the numbers of map sheets are larger, or whole. */
static bool may_be_degrees(const angle *taken)
{
    return fabs(taken->degrees.value) < 360;
}

/* Two bare numbers without a sign between them or a decimal point could be anything: degrees and minutes, say. */
rush_degrees_kind rush_degrees_read(rush_text text, rush_degrees *latitude,
                                    rush_degrees *longitude)
{
    angle first, second;
    if (!take_angle(&text, &first))
        return RUSH_DEGREES_NONE;
    skip_blanks(&text);
    if (!text.length)
        return may_be_degrees(&first) && first.degrees.decimals ? RUSH_DEGREES_SINGLE
                                                                : RUSH_DEGREES_NONE;
    bool parted = text.at[0] == ',' || text.at[0] == ';';
    if (parted)
        text = (rush_text){text.at + 1, text.length - 1};
    if (!take_angle(&text, &second))
        return RUSH_DEGREES_NONE;
    skip_blanks(&text);
    bool lettered = first.hemisphere && second.hemisphere;
    bool pointed = first.degrees.decimals && second.degrees.decimals;
    if (text.length || (!lettered && (first.hemisphere || second.hemisphere)) ||
        (lettered && along_meridian(first.hemisphere) == along_meridian(second.hemisphere)) ||
        !(parted || lettered || pointed))
        return RUSH_DEGREES_NONE;
    bool swapped = lettered && !along_meridian(first.hemisphere);
    *latitude = swapped ? second.degrees : first.degrees;
    *longitude = swapped ? first.degrees : second.degrees;
    if (fabs(latitude->value) <= 90 && fabs(longitude->value) <= 180)
        return RUSH_DEGREES_PAIR;
    bool whole = !first.degrees.decimals && !second.degrees.decimals;
    return !whole && may_be_degrees(&first) && may_be_degrees(&second) ? RUSH_DEGREES_OFF
                                                                       : RUSH_DEGREES_NONE;
}
