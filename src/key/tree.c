#include "key/tree.h"

#include <string.h>

#include "key/tape.h"

/* The lowest bits of a node's first byte are its kind; the highest how far it stands behind. */
enum { KIND_BITS = 3, COLLECTION_ENDS = 3, GAP_SHIFT = 4, GAP_FOLLOWS = 15 };

/* ---- writing ---------------------------------------------------------------------------------- */

static void put_byte(rush_tape *tape, unsigned byte)
{
    rush_buffer *bytes = tape->bytes;
    if (bytes->capacity - bytes->length <= 1 && !rush_buffer_reserve(bytes, 1))
        rush_arena_escape(tape->arena);
    bytes->bytes[bytes->length++] = (char)byte;
}

static void put_number(rush_tape *tape, uint32_t number)
{
    for (; number >= 0x80; number >>= 7)
        put_byte(tape, number | 0x80);
    put_byte(tape, number);
}

static void put_node(rush_tape *tape, unsigned what, rush_span span)
{
    rush_tape_frame *parent = tape->depth ? &tape->open[tape->depth - 1] : NULL;
    int64_t gap = (int64_t)span.start - (parent ? parent->behind : 0);
    bool near = gap >= 0 && gap < GAP_FOLLOWS;
    put_byte(tape, what | (near ? (unsigned)gap : (unsigned)GAP_FOLLOWS) << GAP_SHIFT);
    if (!near) /* backwards too, in a text that is mended: the sign is the lowest bit */
        put_number(tape, (uint32_t)(gap < 0 ? -gap * 2 + 1 : gap * 2));
    if (parent) {
        parent->behind = span.start + span.length;
        parent->children++;
    }
    tape->nodes++;
}

/* Nothing stands behind the root. */
static void end_root(rush_tape *tape)
{
    if (!tape->depth)
        put_byte(tape, COLLECTION_ENDS);
}

void rush_tape_scalar(rush_tape *tape, rush_span span, unsigned how, uint32_t text)
{
    put_node(tape, RUSH_SCALAR | how, span);
    put_number(tape, span.length);
    if (how & RUSH_TAPE_REWRITTEN)
        put_number(tape, text);
    end_root(tape);
}

void rush_tape_open(rush_tape *tape, rush_node_kind kind, uint32_t start)
{
    uint32_t at = (uint32_t)tape->bytes->length;
    put_node(tape, kind, (rush_span){start, 0});
    tape->open[tape->depth++] = (rush_tape_frame){.at = at,
                                                  .start = start,
                                                  .sizes = (uint32_t)tape->bytes->length,
                                                  .behind = start,
                                                  .kind = kind};
    for (int i = 0; i < 8; i++)
        put_byte(tape, 0);
}

rush_tape_frame rush_tape_close(rush_tape *tape, uint32_t end)
{
    rush_tape_frame closed = tape->open[--tape->depth];
    uint32_t sizes[] = {end > closed.start ? end - closed.start : 0,
                        (uint32_t)tape->bytes->length};
    put_byte(tape, COLLECTION_ENDS);
    memcpy(tape->bytes->bytes + closed.sizes, sizes, sizeof sizes);
    if (tape->depth)
        tape->open[tape->depth - 1].behind = closed.start + sizes[0];
    end_root(tape);
    return closed;
}

/* ---- reading ---------------------------------------------------------------------------------- */

/* One node as it is read off the tape. */
typedef struct read_node {
    rush_node_kind kind;
    unsigned how;
    uint32_t length; /* in the source */
    uint32_t text;   /* of a rewritten scalar */
    uint32_t inside; /* of a collection: where its first child stands */
    uint32_t behind; /* where the next node stands */
} read_node;

static inline uint32_t take_number(const char *tape, uint32_t *at)
{
    uint32_t number = 0;
    for (unsigned shift = 0;; shift += 7) {
        unsigned byte = (unsigned char)tape[(*at)++];
        number |= (byte & 0x7f) << shift;
        if (byte < 0x80)
            return number;
    }
}

/* How far the node at a place stands behind the one before; steps over that. */
static inline int64_t take_gap(const char *tape, uint32_t *at)
{
    unsigned gap = (unsigned char)tape[(*at)++] >> GAP_SHIFT;
    if (gap != GAP_FOLLOWS)
        return gap;
    uint32_t number = take_number(tape, at);
    return number & 1 ? -(int64_t)(number / 2) : number / 2;
}

static inline read_node read_at(rush_node node)
{
    const char *tape = node.tree->tape;
    uint32_t at = node.at;
    unsigned what = (unsigned char)tape[at];
    read_node read = {.kind = (rush_node_kind)(what & KIND_BITS), .how = what};
    take_gap(tape, &at);
    if (read.kind == RUSH_SCALAR) {
        read.length = take_number(tape, &at);
        if (what & RUSH_TAPE_REWRITTEN)
            read.text = take_number(tape, &at);
        read.behind = at;
        return read;
    }
    uint32_t sizes[2];
    memcpy(sizes, tape + at, sizeof sizes);
    read.length = sizes[0];
    read.inside = at + (uint32_t)sizeof sizes;
    read.behind = sizes[1] + 1;
    return read;
}

/* The node at a place of the tape, behind a place of the source. */
static rush_node node_at(const rush_tree *tree, uint32_t at, uint32_t behind)
{
    if (((unsigned char)tree->tape[at] & KIND_BITS) == COLLECTION_ENDS)
        return (rush_node){tree, 0, 0};
    uint32_t place = at;
    return (rush_node){tree, at, (uint32_t)(behind + take_gap(tree->tape, &place))};
}

rush_node rush_tree_root(const rush_tree *tree)
{
    return tree->count ? node_at(tree, 0, 0) : (rush_node){tree, 0, 0};
}

rush_node_kind rush_node_kind_of(rush_node node)
{
    return (rush_node_kind)(node.tree->tape[node.at] & KIND_BITS);
}

rush_text rush_node_text(rush_node node)
{
    read_node here = read_at(node);
    if (here.kind != RUSH_SCALAR)
        return (rush_text){"", 0};
    if (here.how & RUSH_TAPE_REWRITTEN)
        return node.tree->texts[here.text];
    return (rush_text){node.tree->source->text.at + node.start, here.length};
}

bool rush_node_blank(rush_node node)
{
    read_node here = read_at(node);
    return here.kind == RUSH_SCALAR && here.how & RUSH_TAPE_PLAIN &&
           !(here.how & RUSH_TAPE_REWRITTEN) && !here.length;
}

rush_span rush_node_span(rush_node node)
{
    return (rush_span){node.start, read_at(node).length};
}

rush_node rush_node_first(rush_node node)
{
    read_node here = read_at(node);
    if (here.kind == RUSH_SCALAR)
        return (rush_node){node.tree, 0, 0};
    return node_at(node.tree, here.inside, node.start);
}

rush_node rush_node_next(rush_node node)
{
    read_node here = read_at(node);
    return node_at(node.tree, here.behind, node.start + here.length);
}

uint32_t rush_node_children(rush_node node)
{
    uint32_t count = 0;
    for (rush_node child = rush_node_first(node); rush_node_is(child);
         child = rush_node_next(child))
        count++;
    return count;
}

bool rush_node_doubtful(rush_node node)
{
    return rush_source_doubts(node.tree->source, rush_node_span(node));
}
