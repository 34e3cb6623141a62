/* Writing the nodes of a tree, in the order of the text.
 *
 * Layer: key. A node is a byte that tells what it is and how far it stands behind the one before, and
 * - of a scalar its length, and the place of its text when that is rewritten;
 * - of a collection its length and where on the tape it ends, then its children and a byte that ends it.
 * Numbers are written seven bits a byte, the lowest first; those of a collection are known only at its
 * end, and take four bytes each.
 * Errors: the tape escapes through its arena when there is no memory. */
#ifndef RUSH_KEY_TAPE_H
#define RUSH_KEY_TAPE_H

#include "key/tree.h"

/* A collection that is open. */
typedef struct rush_tape_frame {
    uint32_t at, start; /* its node */
    uint32_t sizes;     /* where its two numbers go */
    uint32_t behind;    /* in the source: where its last child ends, or itself begins */
    uint32_t children;
    rush_node_kind kind;
} rush_tape_frame;

typedef struct rush_tape {
    rush_arena *arena;
    rush_buffer *bytes;
    rush_tape_frame open[RUSH_TREE_MAX_DEPTH];
    uint32_t depth, nodes;
} rush_tape;

enum { RUSH_TAPE_PLAIN = 1 << 2, RUSH_TAPE_REWRITTEN = 1 << 3 };

/* `how`: the two above; `text` is the place of a rewritten scalar's text. */
void rush_tape_scalar(rush_tape *tape, rush_span span, unsigned how, uint32_t text);
void rush_tape_open(rush_tape *tape, rush_node_kind kind, uint32_t start);
/* The innermost collection ends here in the source; returns what it was. */
rush_tape_frame rush_tape_close(rush_tape *tape, uint32_t end);

#endif
