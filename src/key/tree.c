#include "key/tree.h"

#include <yaml.h>

#include "base/table.h"
#include "base/unicode.h"
#include "key/mend.h"

/* Small, since a large key has millions. */
struct rush_tree_node {
    uint32_t start, length; /* the span in the source */
    uint32_t next;          /* the next child of the same parent, or 0 */
    uint32_t first; /* the first child or 0; of a rewritten scalar, its place in `texts` */
    uint8_t kind;
    bool plain;
    bool rewritten; /* quoted, folded or escaped: its text is not the span of the source */
};

typedef struct frame {
    uint32_t node, last; /* the collection, and its last child so far */
    uint32_t children;
} frame;

typedef struct tree_reader {
    rush_arena *arena, scratch;
    rush_diagnostics *list;
    const rush_source *source;
    rush_mender *mender;
    rush_text text; /* as libyaml reads it: the source's, or a copy that is mended */
    yaml_parser_t parser;
    yaml_event_t event;
    size_t index, offset; /* one position, in libyaml's code points and in bytes */
    frame stack[RUSH_TREE_MAX_DEPTH];
    uint32_t depth;
    rush_fault fault;    /* what ended the reading, if libyaml did */
    bool whole, stopped; /* read to its end; or told why it goes no further */
    RUSH_LIST(rush_tree_node) nodes;
    RUSH_LIST(rush_text) texts;
} tree_reader;

/* ---- before libyaml sees the text ------------------------------------------------------------- */

static bool small_enough(const rush_source *source, rush_diagnostics *list)
{
    if (source->text.length <= RUSH_TREE_MAX_BYTES)
        return true;
    rush_diagnostic *made =
        rush_diagnose(list, RUSH_TOO_LARGE, source, (rush_span){0}, "the file is too large");
    rush_diagnose_help(list, made, "a key file may have %d bytes; split it into parts",
                       RUSH_TREE_MAX_BYTES);
    return false;
}

static void refuse_character(const rush_source *source, rush_span span, int32_t c,
                             rush_diagnostics *list)
{
    rush_diagnostic *made;
    if (c < 0) {
        made =
            rush_diagnose(list, RUSH_BAD_UTF8, source, span, "the byte 0x%02X is not UTF-8 text",
                          (unsigned)(unsigned char)source->text.at[span.start]);
        rush_diagnose_help(list, made, "save the file in the encoding UTF-8");
        return;
    }
    made = rush_diagnose(list, RUSH_CONTROL_CHARACTER, source, span,
                         "the control character U+%04X", (unsigned)c);
    rush_diagnose_help(list, made, "delete it: it cannot be shown");
}

/* What cannot be read is told of, and is passed over in a copy of the text; false when there is too much of
 * it to read on. */
static bool clean(rush_mender *mender)
{
    enum { SHOWN = 20 };
    unsigned found = 0;
    rush_text text = mender->source->text;
    size_t length;
    for (size_t at = mender->source->lines[0]; at < text.length && found < SHOWN; at += length) {
        unsigned char byte = (unsigned char)text.at[at];
        length = 1;
        if ((byte >= 0x20 && byte < 0x7f) || byte == '\n' || byte == '\t' || byte == '\r')
            continue;
        int32_t c = rush_unicode_at(text, at, &length);
        bool line_break = c == 0x85 || c == 0x2028 || c == 0x2029;
        if (c >= 0 && (line_break || !rush_unicode_hostile(c)))
            continue;
        rush_span span = {(uint32_t)at, (uint32_t)length};
        refuse_character(mender->source, span, c, mender->list);
        rush_mend_bytes(mender, span);
        found++;
    }
    return found < SHOWN;
}

/* ---- places ---------------------------------------------------------------------------------- */

static bool inside_character(rush_text text, size_t at)
{
    return at < text.length && ((unsigned char)text.at[at] & 0xc0) == 0x80;
}

/* libyaml counts code points, we count bytes: walk on from where we were. */
static uint32_t byte_offset(tree_reader *reader, size_t index)
{
    rush_text text = reader->text;
    while (reader->index < index && reader->offset < text.length) {
        do
            reader->offset++;
        while (inside_character(text, reader->offset));
        reader->index++;
    }
    while (reader->index > index) {
        do
            reader->offset--;
        while (inside_character(text, reader->offset));
        reader->index--;
    }
    return rush_mender_source(reader->mender, (uint32_t)reader->offset);
}

static rush_span event_span(tree_reader *reader)
{
    uint32_t start = byte_offset(reader, reader->event.start_mark.index);
    uint32_t end = byte_offset(reader, reader->event.end_mark.index);
    return (rush_span){start, end > start ? end - start : 0};
}

/* ---- building -------------------------------------------------------------------------------- */

static uint32_t add_node(tree_reader *reader, rush_node_kind kind, rush_span span)
{
    uint32_t at = reader->nodes.count;
    rush_tree_node *node = RUSH_PUSH(reader->arena, &reader->nodes);
    node->kind = (uint8_t)kind;
    node->start = span.start;
    node->length = span.length;
    if (reader->depth) {
        frame *parent = &reader->stack[reader->depth - 1];
        if (parent->last)
            reader->nodes.items[parent->last].next = at;
        else
            reader->nodes.items[parent->node].first = at;
        parent->last = at;
        parent->children++;
    }
    return at;
}

static void refuse_extra(tree_reader *reader, rush_span span, const char *what, const char *help)
{
    rush_diagnostic *made = rush_diagnose(reader->list, RUSH_YAML_EXTRA, reader->source, span,
                                          "%s is not used in keys", what);
    rush_diagnose_help(reader->list, made, "%s", help);
}

static const char write_out[] =
    "write the value out; a text that begins with '&', '*' or '!' needs quotes";

static void refuse_properties(tree_reader *reader, const void *anchor, const void *tag)
{
    if (anchor || tag)
        refuse_extra(reader, event_span(reader), anchor ? "an anchor" : "a tag", write_out);
}

static bool at_field_name(const tree_reader *reader)
{
    if (!reader->depth)
        return false;
    const frame *top = &reader->stack[reader->depth - 1];
    return reader->nodes.items[top->node].kind == RUSH_MAPPING && top->children % 2 == 0;
}

/* What an escape in quotes may have brought in. */
static void refuse_hostile(tree_reader *reader, rush_text value, rush_span span)
{
    size_t length;
    for (size_t at = 0; at < value.length; at += length) {
        int32_t c = rush_unicode_at(value, at, &length);
        if (rush_unicode_hostile(c)) {
            rush_diagnose(reader->list, RUSH_CONTROL_CHARACTER, reader->source, span,
                          "an escape for the control character U+%04X", (unsigned)c);
            return;
        }
    }
}

static void add_scalar(tree_reader *reader)
{
    rush_text value = {(const char *)reader->event.data.scalar.value,
                       reader->event.data.scalar.length};
    rush_span span = event_span(reader);
    if (value.length > RUSH_TREE_MAX_SCALAR) {
        rush_diagnose(reader->list, RUSH_TOO_LARGE, reader->source, span,
                      "a text of %zu bytes; %d are allowed", value.length, RUSH_TREE_MAX_SCALAR);
        value.length = 0;
    }
    bool plain = reader->event.data.scalar.style == YAML_PLAIN_SCALAR_STYLE;
    if (at_field_name(reader) && plain && rush_text_equal(value, rush_text_of("<<"))) {
        refuse_extra(reader, span, "a merge key", "write the fields out");
        rush_mend_doubt(reader->mender, span.start);
    }

    uint32_t at = add_node(reader, RUSH_SCALAR, span);
    rush_tree_node *node = &reader->nodes.items[at];
    node->plain = plain;
    if (!rush_text_equal(value, (rush_text){reader->source->text.at + span.start, span.length})) {
        refuse_hostile(reader, value, span);
        node->rewritten = true;
        node->first = reader->texts.count;
        *RUSH_PUSH(reader->arena, &reader->texts) =
            (rush_text){rush_arena_copy(reader->arena, value), value.length};
    }
}

static bool open_collection(tree_reader *reader, rush_node_kind kind)
{
    rush_span span = event_span(reader);
    if (at_field_name(reader)) {
        rush_diagnose(reader->list, RUSH_WRONG_SHAPE, reader->source, span,
                      "a field's name must be text");
        return false;
    }
    uint32_t node = add_node(reader, kind, span);
    if (reader->depth == RUSH_TREE_MAX_DEPTH) {
        rush_diagnose(reader->list, RUSH_TOO_DEEP, reader->source, (rush_span){span.start, 1},
                      "nested more than %d deep", RUSH_TREE_MAX_DEPTH);
        return false;
    }
    reader->stack[reader->depth++] = (frame){.node = node};
    return true;
}

static rush_text text_of(const tree_reader *reader, uint32_t at)
{
    const rush_tree_node *node = &reader->nodes.items[at];
    if (node->kind != RUSH_SCALAR)
        return (rush_text){"", 0};
    if (node->rewritten)
        return reader->texts.items[node->first];
    return (rush_text){reader->source->text.at + node->start, node->length};
}

static void repeated_field(tree_reader *reader, uint32_t first, uint32_t second)
{
    const rush_tree_node *a = &reader->nodes.items[first], *b = &reader->nodes.items[second];
    rush_text name = text_of(reader, second);
    rush_diagnostic *made = rush_diagnose(reader->list, RUSH_REPEATED_FIELD, reader->source,
                                          (rush_span){b->start, b->length},
                                          "'%.*s' is given twice", (int)name.length, name.at);
    rush_diagnose_other(reader->list, made, reader->source, (rush_span){a->start, a->length},
                        "first given here");
}

/* Names of a mapping's fields must differ: YAML 1.2.2, section 3.2.1.1; libyaml lets them pass. */
static void find_repeated_fields(tree_reader *reader, const frame *closed)
{
    rush_tree_node *nodes = reader->nodes.items;
    rush_table names = {0};
    enum { FEW = 16 };
    uint32_t seen[FEW], count = 0;
    for (uint32_t at = nodes[closed->node].first; at; at = nodes[nodes[at].next].next) {
        rush_text name = text_of(reader, at);
        if (closed->children / 2 > FEW) {
            uint32_t first = rush_table_add(&reader->scratch, &names, 0, name, at);
            if (first != at)
                repeated_field(reader, first, at);
            continue;
        }
        for (uint32_t i = 0; i < count; i++)
            if (rush_text_equal(text_of(reader, seen[i]), name)) {
                repeated_field(reader, seen[i], at);
                break;
            }
        seen[count++] = at;
    }
    rush_arena_free(&reader->scratch);
}

static void close_collection(tree_reader *reader)
{
    frame closed = reader->stack[--reader->depth];
    rush_tree_node *node = &reader->nodes.items[closed.node];
    uint32_t end = byte_offset(reader, reader->event.end_mark.index);
    if (end > node->start)
        node->length = end - node->start;
    if (node->kind == RUSH_MAPPING)
        find_repeated_fields(reader, &closed);
}

/* False ends the reading. */
static bool take_event(tree_reader *reader)
{
    const yaml_event_t *event = &reader->event;
    if (reader->nodes.count >= RUSH_TREE_MAX_NODES) {
        rush_diagnose(reader->list, RUSH_TOO_LARGE, reader->source, event_span(reader),
                      "more than %d values in one file", RUSH_TREE_MAX_NODES);
        return false;
    }
    switch (event->type) {
    case YAML_DOCUMENT_START_EVENT:
        if (!reader->nodes.count)
            return true;
        rush_diagnose(reader->list, RUSH_SECOND_DOCUMENT, reader->source, event_span(reader),
                      "a second document begins here; a key file is one");
        reader->stopped = true;
        return false;
    case YAML_ALIAS_EVENT:
        refuse_extra(reader, event_span(reader), "an alias", write_out);
        rush_mend_doubt(reader->mender, event_span(reader).start);
        add_node(reader, RUSH_SCALAR, event_span(reader));
        return true;
    case YAML_SCALAR_EVENT:
        refuse_properties(reader, event->data.scalar.anchor, event->data.scalar.tag);
        add_scalar(reader);
        return true;
    case YAML_SEQUENCE_START_EVENT:
        refuse_properties(reader, event->data.sequence_start.anchor,
                          event->data.sequence_start.tag);
        return open_collection(reader, RUSH_SEQUENCE);
    case YAML_MAPPING_START_EVENT:
        refuse_properties(reader, event->data.mapping_start.anchor,
                          event->data.mapping_start.tag);
        return open_collection(reader, RUSH_MAPPING);
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        close_collection(reader);
        return true;
    default:
        return true;
    }
}

static bool take_events(tree_reader *reader)
{
    yaml_parser_t *parser = &reader->parser;
    if (!yaml_parser_initialize(parser))
        rush_arena_escape(reader->arena);
    yaml_parser_set_encoding(parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(parser, (const unsigned char *)reader->text.at + reader->offset,
                                 reader->text.length - reader->offset);
    for (;;) {
        if (!yaml_parser_parse(parser, &reader->event)) {
            if (parser->error == YAML_MEMORY_ERROR)
                rush_arena_escape(reader->arena);
            reader->fault.found = true;
            return false;
        }
        bool end = reader->event.type == YAML_STREAM_END_EVENT;
        bool go_on = take_event(reader);
        yaml_event_delete(&reader->event);
        if (end || !go_on)
            return go_on;
    }
}

static void read_events(void *with)
{
    tree_reader *reader = with;
    reader->scratch.escape = reader->arena->escape;
    reader->whole = take_events(reader);
}

/* Reads the text as it is by now. */
static void read_once(tree_reader *reader)
{
    rush_mender *mender = reader->mender;
    *reader = (tree_reader){.arena = mender->arena,
                            .list = mender->list,
                            .source = mender->source,
                            .mender = mender,
                            .text = rush_mender_text(mender),
                            .offset = mender->source->lines[0]};
    bool memory = rush_arena_guard(reader->arena, read_events, reader);
    yaml_event_delete(&reader->event);
    yaml_parser_delete(&reader->parser);
    rush_arena_free(&reader->scratch);
    if (!memory)
        rush_arena_escape(mender->arena);
}

/* What was open when the reading ended is closed there; what stands behind is doubtful. */
static void end_early(tree_reader *reader)
{
    uint32_t at = byte_offset(reader, reader->index);
    rush_mend_rest(reader->mender, at);
    for (; reader->depth; reader->depth--) {
        const frame *open = &reader->stack[reader->depth - 1];
        rush_tree_node *node = &reader->nodes.items[open->node];
        if (node->kind == RUSH_MAPPING && open->children % 2)
            reader->nodes.items[add_node(reader, RUSH_SCALAR, (rush_span){at, 0})].plain = true;
        node = &reader->nodes.items[open->node];
        node->length = at > node->start ? at - node->start : 0;
    }
}

bool rush_tree_read(rush_tree *tree, rush_arena *arena, rush_source *source,
                    rush_diagnostics *list)
{
    *tree = (rush_tree){.source = source};
    if (!small_enough(source, list))
        return false;
    rush_mender *mender = RUSH_NEW(arena, rush_mender);
    *mender = (rush_mender){.arena = arena, .source = source, .list = list};
    tree_reader *reader = RUSH_NEW(arena, tree_reader);
    reader->mender = mender;
    if (!clean(mender))
        return false;
    for (bool again = true; again;) {
        source->doubtful = mender->doubtful.items;
        source->doubtful_count = mender->doubtful.count;
        read_once(reader);
        again = false;
        if (reader->fault.found) {
            rush_fault fault = rush_yaml_probe(arena, reader->text);
            again = rush_mend_fault(mender, &fault);
            reader->stopped |= !again;
        }
    }
    if (!reader->whole && !reader->stopped)
        return false;
    if (!reader->whole)
        end_early(reader);
    source->doubtful = mender->doubtful.items;
    source->doubtful_count = mender->doubtful.count;
    if (reader->nodes.count)
        *tree =
            (rush_tree){source, reader->nodes.items, reader->texts.items, reader->nodes.count};
    return true;
}

/* ---- reading the tree ------------------------------------------------------------------------- */

rush_node rush_tree_root(const rush_tree *tree)
{
    return (rush_node){tree, 0};
}

rush_node_kind rush_node_kind_of(rush_node node)
{
    return (rush_node_kind)node.tree->nodes[node.at].kind;
}

rush_text rush_node_text(rush_node node)
{
    const rush_tree_node *here = &node.tree->nodes[node.at];
    if (here->kind != RUSH_SCALAR)
        return (rush_text){"", 0};
    if (here->rewritten)
        return node.tree->texts[here->first];
    return (rush_text){node.tree->source->text.at + here->start, here->length};
}

bool rush_node_blank(rush_node node)
{
    const rush_tree_node *here = &node.tree->nodes[node.at];
    return here->kind == RUSH_SCALAR && here->plain && !here->rewritten && !here->length;
}

rush_span rush_node_span(rush_node node)
{
    const rush_tree_node *here = &node.tree->nodes[node.at];
    return (rush_span){here->start, here->length};
}

rush_node rush_node_first(rush_node node)
{
    const rush_tree_node *here = &node.tree->nodes[node.at];
    return (rush_node){node.tree, here->kind == RUSH_SCALAR ? 0 : here->first};
}

rush_node rush_node_next(rush_node node)
{
    return (rush_node){node.tree, node.tree->nodes[node.at].next};
}

bool rush_node_doubtful(rush_node node)
{
    return rush_source_doubts(node.tree->source, rush_node_span(node));
}
