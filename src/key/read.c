#include "key/tree.h"

#include <string.h>
#include <yaml.h>

#include "base/table.h"
#include "base/unicode.h"
#include "key/mend.h"
#include "key/tape.h"

/* The names of one mapping's fields so far: by hash, where each stands on the tape. */
typedef struct field_names {
    struct {
        uint32_t hash, at, start;
    } * places;
    uint32_t capacity, room; /* powers of two: what is used of it, and all */
} field_names;

typedef struct tree_reader {
    rush_arena *arena;
    rush_diagnostics *list;
    const rush_source *source;
    rush_mender *mender;
    rush_text text; /* as libyaml reads it: the source's, or a copy that is mended */
    yaml_parser_t parser;
    yaml_event_t event;
    size_t index, offset; /* one position, in libyaml's code points and in bytes */
    rush_tape tape;
    field_names names;
    rush_fault fault;    /* what ended the reading, if libyaml did */
    bool whole, stopped; /* read to its end; or told why it goes no further */
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
    for (size_t at = mender->source->lines[0]; found < SHOWN; at += length) {
        at = rush_unicode_pass_plain(text, at);
        if (at >= text.length)
            break;
        length = 1;
        if (text.at[at] == '\n' || text.at[at] == '\t' || text.at[at] == '\r')
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

static bool are_ascii(const char *bytes)
{
    uint64_t eight;
    memcpy(&eight, bytes, sizeof eight);
    return !(eight & UINT64_C(0x8080808080808080));
}

/* libyaml counts code points, we count bytes: walk on from where we were. */
static uint32_t byte_offset(tree_reader *reader, size_t index)
{
    enum { STEP = sizeof(uint64_t) };
    rush_text text = reader->text;
    while (reader->index + STEP <= index && reader->offset + STEP < text.length &&
           are_ascii(text.at + reader->offset)) {
        reader->index += STEP;
        reader->offset += STEP;
    }
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
    if (!reader->tape.depth)
        return false;
    const rush_tape_frame *top = &reader->tape.open[reader->tape.depth - 1];
    return top->kind == RUSH_MAPPING && top->children % 2 == 0;
}

/* What an escape in quotes may have brought in. */
static void refuse_hostile(tree_reader *reader, rush_text value, rush_span span)
{
    size_t length;
    for (size_t at = rush_unicode_pass_plain(value, 0); at < value.length;
         at = rush_unicode_pass_plain(value, at + length)) {
        int32_t c = rush_unicode_at(value, at, &length);
        if (rush_unicode_hostile(c)) {
            rush_diagnose(reader->list, RUSH_CONTROL_CHARACTER, reader->source, span,
                          "an escape for the control character U+%04X", (unsigned)c);
            return;
        }
    }
}

/* A text that ends in a bracket which it does not open. */
static bool closes_nothing(rush_text text)
{
    char last = text.length ? text.at[text.length - 1] : 0;
    return (last == ']' && !memchr(text.at, '[', text.length)) ||
           (last == '}' && !memchr(text.at, '{', text.length));
}

static bool swallows(tree_reader *reader)
{
    yaml_scalar_style_t style = reader->event.data.scalar.style;
    if (reader->event.start_mark.line == reader->event.end_mark.line ||
        (style != YAML_SINGLE_QUOTED_SCALAR_STYLE && style != YAML_DOUBLE_QUOTED_SCALAR_STYLE))
        return false;
    byte_offset(reader, reader->event.start_mark.index);
    uint32_t from = (uint32_t)reader->offset;
    byte_offset(reader, reader->event.end_mark.index);
    return rush_quote_swallows(reader->text, from, (uint32_t)reader->offset);
}

/* False when the text has no end of its own, so that what is in it cannot be told. */
static bool add_scalar(tree_reader *reader)
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
    if (swallows(reader)) {
        reader->fault.found = true;
        return false;
    }
    if (at_field_name(reader) && plain && rush_text_equal(value, rush_text_of("<<"))) {
        refuse_extra(reader, span, "a merge key", "write the fields out");
        rush_mend_doubt(reader->mender, span.start);
    }

    if (plain && closes_nothing(value)) {
        uint32_t last = span.start + (span.length ? span.length - 1 : 0);
        rush_diagnostic *made =
            rush_diagnose(reader->list, RUSH_SYNTAX, reader->source, (rush_span){last, 1},
                          "a closing bracket without an opening one");
        rush_diagnose_help(reader->list, made,
                           "open the list or the fields, or put the text in quotes");
        rush_mend_doubt(reader->mender, last);
    }
    unsigned how = plain ? RUSH_TAPE_PLAIN : 0;
    if (!rush_text_equal(value, (rush_text){reader->source->text.at + span.start, span.length})) {
        refuse_hostile(reader, value, span);
        how |= RUSH_TAPE_REWRITTEN;
        *RUSH_PUSH(reader->arena, &reader->texts) =
            (rush_text){rush_arena_copy(reader->arena, value), value.length};
    }
    rush_tape_scalar(&reader->tape, span, how, reader->texts.count - 1);
    return true;
}

static bool open_collection(tree_reader *reader, rush_node_kind kind)
{
    rush_span span = event_span(reader);
    if (at_field_name(reader)) {
        rush_diagnose(reader->list, RUSH_WRONG_SHAPE, reader->source, span,
                      "a field's name must be text");
        return false;
    }
    if (reader->tape.depth == RUSH_TREE_MAX_DEPTH) {
        rush_diagnose(reader->list, RUSH_TOO_DEEP, reader->source, (rush_span){span.start, 1},
                      "nested more than %d deep", RUSH_TREE_MAX_DEPTH);
        return false;
    }
    rush_tape_open(&reader->tape, kind, span.start);
    return true;
}

static rush_tree tree_so_far(const tree_reader *reader)
{
    return (rush_tree){reader->source, reader->tape.bytes->bytes, reader->texts.items,
                       reader->tape.nodes, false};
}

static void repeated_field(tree_reader *reader, rush_node first, rush_node second)
{
    rush_text name = rush_node_text(second);
    rush_diagnostic *made =
        rush_diagnose(reader->list, RUSH_REPEATED_FIELD, reader->source, rush_node_span(second),
                      "'%.*s' is given twice", (int)name.length, name.at);
    rush_diagnose_other(reader->list, made, reader->source, rush_node_span(first),
                        "first given here");
}

/* Empties the table of names, with room for so many. */
static void forget_names(tree_reader *reader, uint32_t count)
{
    field_names *names = &reader->names;
    uint32_t wanted = 16;
    while (wanted < 2 * count)
        wanted *= 2;
    if (wanted > names->room) {
        rush_arena_give_back(reader->arena, names->places, names->room * sizeof *names->places);
        names->places = rush_arena_zeroed(reader->arena, wanted, sizeof *names->places);
        names->room = wanted;
    } else {
        memset(names->places, 0, wanted * sizeof *names->places);
    }
    names->capacity = wanted;
}

/* Names of a mapping's fields must differ: YAML 1.2.2, section 3.2.1.1; libyaml lets them pass. */
static void find_repeated_fields(tree_reader *reader, const rush_tape_frame *closed)
{
    rush_tree tree = tree_so_far(reader);
    field_names *names = &reader->names;
    if (closed->children <= 2)
        return; /* one field */
    forget_names(reader, closed->children / 2);
    rush_node value, name = rush_node_first((rush_node){&tree, closed->at, closed->start});
    for (; rush_node_is(name); name = rush_node_next(value)) {
        value = rush_node_next(name);
        rush_text text = rush_node_text(name);
        uint32_t hash = rush_table_hash(0, text), at = hash & (names->capacity - 1);
        for (; names->places[at].at; at = (at + 1) & (names->capacity - 1)) {
            rush_node other = {&tree, names->places[at].at, names->places[at].start};
            if (names->places[at].hash == hash && rush_text_equal(text, rush_node_text(other))) {
                repeated_field(reader, other, name);
                break;
            }
        }
        if (!names->places[at].at) {
            names->places[at].hash = hash;
            names->places[at].at = name.at;
            names->places[at].start = name.start;
        }
    }
}

static void close_collection(tree_reader *reader)
{
    uint32_t end = byte_offset(reader, reader->event.end_mark.index);
    rush_tape_frame closed = rush_tape_close(&reader->tape, end);
    if (closed.kind == RUSH_MAPPING)
        find_repeated_fields(reader, &closed);
}

/* False ends the reading. */
static bool take_event(tree_reader *reader)
{
    const yaml_event_t *event = &reader->event;
    if (reader->tape.nodes >= RUSH_TREE_MAX_NODES) {
        rush_diagnose(reader->list, RUSH_TOO_LARGE, reader->source, event_span(reader),
                      "more than %d values in one file", RUSH_TREE_MAX_NODES);
        return false;
    }
    switch (event->type) {
    case YAML_DOCUMENT_START_EVENT:
        if (!reader->tape.nodes)
            return true;
        rush_diagnose(reader->list, RUSH_SECOND_DOCUMENT, reader->source, event_span(reader),
                      "a second document begins here; a key file is one");
        reader->stopped = true;
        return false;
    case YAML_ALIAS_EVENT:
        refuse_extra(reader, event_span(reader), "an alias", write_out);
        rush_mend_doubt(reader->mender, event_span(reader).start);
        rush_tape_scalar(&reader->tape, event_span(reader), 0, 0);
        return true;
    case YAML_SCALAR_EVENT:
        refuse_properties(reader, event->data.scalar.anchor, event->data.scalar.tag);
        return add_scalar(reader);
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
    reader->whole = take_events(reader);
}

/* Reads the text as it is by now. */
static void read_once(tree_reader *reader)
{
    rush_mender *mender = reader->mender;
    rush_buffer *bytes = reader->tape.bytes;
    rush_buffer_clear(bytes);
    *reader = (tree_reader){.arena = mender->arena,
                            .list = mender->list,
                            .source = mender->source,
                            .mender = mender,
                            .text = rush_mender_text(mender),
                            .offset = mender->source->lines[0],
                            .tape = {.arena = mender->arena, .bytes = bytes}};
    bool memory = rush_arena_guard(reader->arena, read_events, reader);
    yaml_event_delete(&reader->event);
    yaml_parser_delete(&reader->parser);
    rush_arena_give_back(reader->arena, reader->names.places,
                         reader->names.room * sizeof *reader->names.places);
    if (!memory)
        rush_arena_escape(mender->arena);
}

/* What was open when the reading ended is closed there; what stands behind is doubtful. */
static void end_early(tree_reader *reader)
{
    uint32_t at = byte_offset(reader, reader->index);
    rush_mend_rest(reader->mender, at);
    while (reader->tape.depth) {
        const rush_tape_frame *open = &reader->tape.open[reader->tape.depth - 1];
        if (open->kind == RUSH_MAPPING && open->children % 2)
            rush_tape_scalar(&reader->tape, (rush_span){at, 0}, RUSH_TAPE_PLAIN, 0);
        rush_tape_close(&reader->tape, at);
    }
}

bool rush_tree_read(rush_tree *tree, rush_arena *arena, rush_source *source, rush_buffer *tape,
                    rush_diagnostics *list)
{
    *tree = (rush_tree){.source = source};
    if (!small_enough(source, list))
        return false;
    rush_mender *mender = RUSH_NEW(arena, rush_mender);
    *mender = (rush_mender){.arena = arena, .source = source, .list = list};
    tree_reader *reader = RUSH_NEW(arena, tree_reader);
    reader->mender = mender;
    reader->tape.bytes = tape;
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
    if (reader->tape.nodes)
        *tree = tree_so_far(reader);
    tree->cut = !reader->whole;
    return true;
}
