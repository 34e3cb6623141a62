/* A text made readable in spite of its faults of layout, so that what stands behind a fault is read and
 * checked too.
 *
 * Layer: key. libyaml stops at the first fault. Here each fault is answered with the smallest change to a
 * copy of the text that lets the reading get past it (a colon or a bracket put in, a line moved, at worst
 * a line left out), and what had to be changed is what the author is told. The author's text itself, and
 * every place in it, stays as it is. Lines are never added or taken away. */
#ifndef RUSH_KEY_MEND_H
#define RUSH_KEY_MEND_H

#include "diagnostic/diagnostic.h"

enum {
    RUSH_MENDS_MAX = 40, /* faults of layout that one file is read past */
    RUSH_SHIFTS_MAX = 8 * RUSH_MENDS_MAX,
    RUSH_INSERT_MAX = 64,             /* bytes of one change, at most */
    RUSH_MEND_WORK = 32 * 1024 * 1024 /* bytes that may be read again in search of the changes */
};

/* From `at` on, a place of the copy stands `by` bytes further on in the author's text. */
typedef struct rush_shift {
    uint32_t at;
    int32_t by;
} rush_shift;

/* The copy. */
typedef struct rush_draft {
    char *bytes;
    uint32_t length;
    rush_shift shifts[RUSH_SHIFTS_MAX]; /* in the order of `at` */
    uint32_t shift_count;
} rush_draft;

typedef struct rush_mender {
    rush_arena *arena;
    const rush_source *source;
    rush_diagnostics *list;
    rush_draft *now;               /* NULL: the text needs no change */
    rush_draft *trial, *best;      /* while a change is looked for */
    RUSH_LIST(rush_span) doubtful; /* lines of the author's text that are not what was meant */
    uint32_t mends;
    size_t work; /* bytes read again so far */
} rush_mender;

/* What libyaml says of a fault. */
typedef struct rush_fault {
    bool found;
    const char *problem, *context; /* its words; either may be NULL */
    uint32_t at, context_at;       /* in the text that it read */
    bool swallows; /* what begins at `at` is a quotation mark without its partner */
} rush_fault;

/* The text to read now: the author's own, or the copy. */
rush_text rush_mender_text(const rush_mender *mender);
/* Where a place of that text stands in the author's. */
uint32_t rush_mender_source(const rush_mender *mender, uint32_t at);

/* Characters that cannot be read become question marks; before any other mend. */
void rush_mend_bytes(rush_mender *mender, rush_span span);
/* The line at a place of the author's text is not what was meant; all that stands behind it. */
void rush_mend_doubt(rush_mender *mender, uint32_t at);
void rush_mend_rest(rush_mender *mender, uint32_t at);
/* Tells the author of a fault, and changes the copy so that reading gets past it; false when no change
 * does, or enough has been tried. */
bool rush_mend_fault(rush_mender *mender, const rush_fault *fault);

/* Reads a text for its faults alone: the first one. */
rush_fault rush_yaml_probe(rush_arena *arena, rush_text text);

/* Whether a text in quotation marks, from one to the other, holds a line that is a field or an item of what
 * it stands in: its closing mark is really the next text's opening one. libyaml lets that pass. */
bool rush_quote_swallows(rush_text text, uint32_t from, uint32_t to);

/* repair.c: tries changes, the most likely first; each that reads further than the best so far becomes
 * the best. Returns what to tell the author. */
typedef struct rush_repair {
    rush_slug slug;
    const char *ours, *help;
    rush_span span, began; /* in the copy as it was; `began` of no length: there is none */
    uint32_t reaches;      /* how far the reading gets, in bytes of the author's text */
} rush_repair;

rush_repair rush_repair_find(rush_mender *mender, const rush_fault *fault);

/* draft.c: changes to a draft. */
void rush_draft_copy(rush_draft *to, const rush_draft *from);
/* Puts `insert` in place of `removed` bytes; false when there is no room left for it. */
bool rush_draft_splice(rush_draft *draft, uint32_t at, uint32_t removed, const char *insert);
void rush_draft_blank(rush_draft *draft, uint32_t from, uint32_t to);
uint32_t rush_draft_source(const rush_draft *draft, uint32_t at);

#endif
