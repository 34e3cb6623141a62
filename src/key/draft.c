#include <string.h>

#include "key/mend.h"

void rush_draft_copy(rush_draft *to, const rush_draft *from)
{
    char *bytes = to->bytes;
    *to = *from;
    to->bytes = bytes;
    memcpy(to->bytes, from->bytes, from->length + 1);
}

/* What stands behind `at` moves by some bytes within the draft, and back by as many towards the source. */
static void add_shift(rush_draft *draft, uint32_t at, int32_t moved)
{
    uint32_t place = draft->shift_count++;
    for (; place && draft->shifts[place - 1].at > at; place--) {
        int64_t behind = (int64_t)draft->shifts[place - 1].at + moved;
        draft->shifts[place] =
            (rush_shift){behind > at ? (uint32_t)behind : at, draft->shifts[place - 1].by};
    }
    draft->shifts[place] =
        (rush_shift){(uint32_t)((int64_t)at + (moved > 0 ? moved : 0)), -moved};
}

bool rush_draft_splice(rush_draft *draft, uint32_t at, uint32_t removed, const char *insert)
{
    uint32_t added = (uint32_t)strlen(insert);
    if (draft->shift_count == RUSH_SHIFTS_MAX)
        return false;
    memmove(draft->bytes + at + added, draft->bytes + at + removed,
            draft->length - at - removed + 1);
    memcpy(draft->bytes + at, insert, added);
    draft->length = draft->length - removed + added;
    if (added != removed)
        add_shift(draft, at, (int32_t)added - (int32_t)removed);
    return true;
}

void rush_draft_blank(rush_draft *draft, uint32_t from, uint32_t to)
{
    for (uint32_t i = from; i < to; i++)
        if (draft->bytes[i] != '\n' && draft->bytes[i] != '\r')
            draft->bytes[i] = ' ';
}

uint32_t rush_draft_source(const rush_draft *draft, uint32_t at)
{
    int64_t source = at;
    for (uint32_t i = 0; i < draft->shift_count && draft->shifts[i].at <= at; i++)
        source += draft->shifts[i].by;
    return source > 0 ? (uint32_t)source : 0;
}
