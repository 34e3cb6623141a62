#include "rushlight/record.h"

#include <string.h>

#include "report/location.h"

/* ---- an id -------------------------------------------------------------------------------------- */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_uuid(rush_text text)
{
    static const char shape[] = "xxxxxxxx-xxxx-xxxx-xxxx-xxxxxxxxxxxx";
    if (text.length != sizeof shape - 1)
        return false;
    for (size_t i = 0; i < text.length; i++) {
        bool hex =
            is_digit(text.at[i]) || ((text.at[i] | 0x20) >= 'a' && (text.at[i] | 0x20) <= 'f');
        if (shape[i] == '-' ? text.at[i] != '-' : !hex)
            return false;
    }
    return true;
}

/* RFC 3986: a scheme is a letter, then letters, digits, `+`, `-` and `.`; a space is nowhere. Of the
 * schemes without `://` only urn: is taken, since "pond:3" is one by its looks. */
static bool is_uri(rush_text text)
{
    size_t scheme = 0;
    for (size_t i = 0; i < text.length; i++)
        if ((unsigned char)text.at[i] <= ' ')
            return false;
    while (scheme < text.length &&
           (is_letter(text.at[scheme]) ||
            (scheme && (is_digit(text.at[scheme]) || memchr("+-.", text.at[scheme], 3)))))
        scheme++;
    rush_text rest = {text.at + scheme, text.length - scheme};
    if (scheme && rest.length > 3 && memcmp(rest.at, "://", 3) == 0)
        return true;
    return scheme == 3 && rest.length > 1 && rest.at[0] == ':' &&
           (memcmp(text.at, "urn", 3) == 0 || memcmp(text.at, "URN", 3) == 0);
}

bool rush_record_is_global(rush_text id)
{
    return is_uuid(id) || is_uri(id);
}

/* ---- what, where, when, who --------------------------------------------------------------------- */

static bool tells_where(const rush_sighting *sighting, const rush_record *record)
{
    rush_text coordinates = rush_sighting_field(sighting, RUSH_RECORD_COORDINATES);
    if (rush_location_read(coordinates, 0, record->blur).kind != RUSH_LOCATION_NONE)
        return true;
    return rush_sighting_field(sighting, RUSH_RECORD_PLACE).length &&
           (!record->blur || record->keep_place);
}

unsigned rush_record_missing(const rush_result *result, const rush_record *record)
{
    const rush_sighting *sighting = result->ranking->sighting;
    unsigned missing = 0;
    if (!result->ranking->verdict.safe)
        missing |= RUSH_MISSING_WHAT;
    if (!tells_where(sighting, record))
        missing |= RUSH_MISSING_WHERE;
    if (!rush_sighting_field(sighting, RUSH_RECORD_DATE).length)
        missing |= RUSH_MISSING_WHEN;
    if (!rush_sighting_field(sighting, RUSH_RECORD_RECORDER).length)
        missing |= RUSH_MISSING_WHO;
    return missing;
}

void rush_record_missing_words(unsigned missing, rush_buffer *buffer)
{
    static const char *const words[] = {"what", "where", "when", "who"};
    for (unsigned i = 0, left = missing; i < 4; i++) {
        if (!(missing >> i & 1))
            continue;
        left &= ~(1u << i);
        rush_buffer_string(buffer, words[i]);
        rush_buffer_string(buffer, !left ? "" : left & (left - 1) ? ", " : " and ");
    }
}
