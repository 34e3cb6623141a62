#include "base/nearest.h"

#include <string.h>

#include "base/unicode.h"

void rush_nearest_init(rush_nearest *nearest, rush_text wanted)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(wanted, folded);
    *nearest = (rush_nearest){.distance = length <= 5 ? 1 : 2};
    if (length > sizeof nearest->wanted || !length)
        return;
    memcpy(nearest->wanted, folded, length);
    nearest->length = length;
}

static unsigned smallest(unsigned a, unsigned b, unsigned c)
{
    unsigned least = a < b ? a : b;
    return least < c ? least : c;
}

static unsigned distance(const char *a, size_t a_length, const char *b, size_t b_length)
{
    unsigned rows[3][65];
    for (size_t j = 0; j <= b_length; j++)
        rows[0][j] = (unsigned)j;
    for (size_t i = 1; i <= a_length; i++) {
        unsigned *row = rows[i % 3], *above = rows[(i + 2) % 3], *two_above = rows[(i + 1) % 3];
        row[0] = (unsigned)i;
        for (size_t j = 1; j <= b_length; j++) {
            unsigned change = a[i - 1] != b[j - 1];
            row[j] = smallest(above[j] + 1, row[j - 1] + 1, above[j - 1] + change);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] &&
                two_above[j - 2] + 1 < row[j])
                row[j] = two_above[j - 2] + 1;
        }
    }
    return rows[a_length % 3][b_length];
}

void rush_nearest_offer(rush_nearest *nearest, const char *name)
{
    if (!name || !nearest->length)
        return;
    char folded[RUSH_FOLD_MAX];
    size_t length = strlen(name);
    if (length + 2 < nearest->length) /* folding seldom makes a name longer */
        return;
    length = rush_unicode_fold((rush_text){name, length}, folded);
    if (length > sizeof nearest->wanted || length > nearest->length + 2 ||
        nearest->length > length + 2)
        return;
    unsigned found = distance(nearest->wanted, nearest->length, folded, length);
    if (found > nearest->distance)
        return;
    if (found < nearest->distance) {
        nearest->distance = found;
        nearest->count = 0;
    }
    for (uint32_t i = 0; i < nearest->count; i++)
        if (strcmp(nearest->names[i], name) == 0)
            return;
    if (nearest->count < RUSH_NEAREST_MAX)
        nearest->names[nearest->count++] = name;
}

bool rush_nearest_say(const rush_nearest *nearest, rush_buffer *buffer)
{
    for (uint32_t i = 0; i < nearest->count; i++)
        rush_buffer_format(buffer, "%s'%s'",
                           i == 0                    ? "did you mean "
                           : i + 1 == nearest->count ? " or "
                                                     : ", ",
                           nearest->names[i]);
    if (nearest->count)
        rush_buffer_byte(buffer, '?');
    return nearest->count > 0;
}

const char *rush_text_nearest(rush_text wanted, const char *const *names)
{
    rush_nearest nearest;
    rush_nearest_init(&nearest, wanted);
    for (size_t i = 0; names[i]; i++)
        rush_nearest_offer(&nearest, names[i]);
    return nearest.count ? nearest.names[0] : NULL;
}
