/* The names that exist, nearest to one that does not.
 *
 * Layer: base. Distance: edits with neighbours swapped as one (Damerau 1964, Comm. ACM 7:171-176, in the
 * restricted form). One edit is let pass in a name of up to five bytes, two in a longer one, so a
 * name that is like nothing gets no suggestion. */
#ifndef RUSH_BASE_NEAREST_H
#define RUSH_BASE_NEAREST_H

#include "rushlight/text.h"

enum { RUSH_NEAREST_MAX = 3 };

typedef struct rush_nearest {
    char wanted[64]; /* folded */
    size_t length;   /* 0: too long to help with */
    unsigned distance;
    uint32_t count;
    const char
        *names[RUSH_NEAREST_MAX]; /* the first three of the nearest, as they were offered */
} rush_nearest;

void rush_nearest_init(rush_nearest *nearest, rush_text wanted);
/* `name` must outlive the search. NULL is passed over. */
void rush_nearest_offer(rush_nearest *nearest, const char *name);
/* "did you mean 'a' or 'b'?" appended to the buffer; false and nothing when none is near. */
bool rush_nearest_say(const rush_nearest *nearest, rush_buffer *buffer);

#endif
