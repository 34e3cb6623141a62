/* A YAML text as a tree of nodes that keep their places.
 *
 * Layer: key. Read with libyaml's event interface: values are text and nothing is guessed from how
 * they look; anchors, aliases, tags and merge keys are refused; within the limits below.
 * Ownership: the tree lives in its buffer and the arena, and borrows from its source's text. */
#ifndef RUSH_KEY_TREE_H
#define RUSH_KEY_TREE_H

#include "base/arena.h"
#include "diagnostic/diagnostic.h"

enum {
    RUSH_TREE_MAX_BYTES = 64 * 1024 * 1024,
    RUSH_TREE_MAX_NODES = 16 * 1024 * 1024,
    RUSH_TREE_MAX_DEPTH = 64,
    RUSH_TREE_MAX_SCALAR = 64 * 1024
};

typedef enum rush_node_kind { RUSH_SCALAR, RUSH_SEQUENCE, RUSH_MAPPING } rush_node_kind;

/* The nodes stand on a tape, one behind the other as in the text, in two or three bytes each: a large key
 * has millions. */
typedef struct rush_tree {
    const rush_source *source;
    const char *tape;
    const rush_text *texts; /* of the scalars that are written otherwise than they read */
    uint32_t count;         /* of nodes; 0: nothing could be read */
    bool cut;               /* what stands behind them could not be read */
} rush_tree;

/* One node of one tree. The root stands at 0, and as a child it means that there is none. */
typedef struct rush_node {
    const rush_tree *tree;
    uint32_t at;    /* on the tape */
    uint32_t start; /* in the source */
} rush_node;

/* Reads a source onto a tape, which must live as long as the tree. Reads past faults of layout as far as it can (mend.h): they are in `list`, and the lines where something
 * else stands than what was meant are kept with the source. False when there is no tree to go on with; a
 * text with nothing in it gives a tree without nodes. */
bool rush_tree_read(rush_tree *tree, rush_arena *arena, rush_source *source, rush_buffer *tape,
                    rush_diagnostics *list);

rush_node rush_tree_root(const rush_tree *tree);
rush_node_kind rush_node_kind_of(rush_node node);
/* A scalar's text; empty for the others. */
rush_text rush_node_text(rush_node node);
/* A plain scalar without a character: `field:` and nothing behind it. */
bool rush_node_blank(rush_node node);
rush_span rush_node_span(rush_node node);
/* Children: the items of a sequence; of a mapping, each name and then its value. */
rush_node rush_node_first(rush_node node);
rush_node rush_node_next(rush_node node);
uint32_t rush_node_children(rush_node node);
/* Whether a line within the node is not what its author meant. */
bool rush_node_doubtful(rush_node node);
static inline bool rush_node_is(rush_node node)
{
    return node.at != 0;
}

#endif
