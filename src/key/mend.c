#include "key/mend.h"

#include <string.h>
#include <yaml.h>

#include "key/tree.h"

/* ---- the copy ---------------------------------------------------------------------------------- */

static rush_draft *new_draft(rush_mender *mender)
{
    rush_draft *draft = RUSH_NEW(mender->arena, rush_draft);
    rush_text text = mender->source->text;
    draft->bytes = RUSH_ARRAY(mender->arena, char,
                              text.length + (size_t)RUSH_SHIFTS_MAX * RUSH_INSERT_MAX + 1);
    draft->length = (uint32_t)text.length;
    return draft;
}

static void begin_copy(rush_mender *mender)
{
    if (mender->now)
        return;
    mender->now = new_draft(mender);
    if (mender->source->text.length)
        memcpy(mender->now->bytes, mender->source->text.at, mender->source->text.length);
}

rush_text rush_mender_text(const rush_mender *mender)
{
    return mender->now ? (rush_text){mender->now->bytes, mender->now->length}
                       : mender->source->text;
}

uint32_t rush_mender_source(const rush_mender *mender, uint32_t at)
{
    uint32_t source = mender->now ? rush_draft_source(mender->now, at) : at;
    uint32_t length = (uint32_t)mender->source->text.length;
    return source < length ? source : length;
}

/* ---- small mends ------------------------------------------------------------------------------- */

static rush_span line_around(rush_text text, uint32_t at)
{
    uint32_t from = at < text.length ? at : (uint32_t)text.length, to = from;
    while (from && text.at[from - 1] != '\n' && text.at[from - 1] != '\r')
        from--;
    while (to < text.length && text.at[to] != '\n' && text.at[to] != '\r')
        to++;
    return (rush_span){from, to - from};
}

void rush_mend_doubt(rush_mender *mender, uint32_t at)
{
    *RUSH_PUSH(mender->arena, &mender->doubtful) = line_around(mender->source->text, at);
}

void rush_mend_rest(rush_mender *mender, uint32_t at)
{
    *RUSH_PUSH(mender->arena, &mender->doubtful) =
        (rush_span){at, (uint32_t)mender->source->text.length - at};
}

void rush_mend_bytes(rush_mender *mender, rush_span span)
{
    begin_copy(mender);
    memset(mender->now->bytes + span.start, '?', span.length);
    rush_mend_doubt(mender, span.start);
}

/* ---- looking for faults ------------------------------------------------------------------------- */

/* How the nesting changes with an event. */
static int deeper(yaml_event_type_t type)
{
    switch (type) {
    case YAML_SEQUENCE_START_EVENT:
    case YAML_MAPPING_START_EVENT:
        return 1;
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        return -1;
    default:
        return 0;
    }
}

/* Where code point `index` of a text stands, in bytes. */
static uint32_t byte_of(rush_text text, size_t index)
{
    uint32_t at = 0;
    if (text.length >= 3 && memcmp(text.at, "\xef\xbb\xbf", 3) == 0)
        at = 3;
    for (; index && at < text.length; index--)
        do
            at++;
        while (at < text.length && ((unsigned char)text.at[at] & 0xc0) == 0x80);
    return at;
}

static rush_fault fault_of(const yaml_parser_t *parser, rush_text text)
{
    return (rush_fault){.found = true,
                        .problem = parser->problem,
                        .context = parser->context,
                        .at = byte_of(text, parser->problem_mark.index),
                        .context_at = byte_of(text, parser->context_mark.index)};
}

/* ---- quotation marks that are left open ---------------------------------------------------------- */

static uint32_t indent_at(rush_text text, uint32_t line)
{
    uint32_t at = line;
    while (at < text.length && text.at[at] == ' ')
        at++;
    return at - line;
}

/* `name: value`, `name:` or `- item`. */
static bool is_field_or_item(rush_text line)
{
    line = rush_text_trim(line);
    if (line.length > 1 && line.at[0] == '-' && line.at[1] == ' ')
        return true;
    for (size_t i = 1; i < line.length; i++)
        if (line.at[i] == ':' && (i + 1 == line.length || line.at[i + 1] == ' '))
            return true;
    return false;
}

bool rush_quote_swallows(rush_text text, uint32_t from, uint32_t to)
{
    rush_span opening = line_around(text, from);
    uint32_t indent = indent_at(text, opening.start);
    for (uint32_t at = opening.start + opening.length; at < to;) {
        bool pair = text.at[at] == '\r' && at + 1 < text.length && text.at[at + 1] == '\n';
        rush_span line = line_around(text, at + (pair ? 2 : 1));
        if (line.start > to || line.start <= at)
            return false;
        if (indent_at(text, line.start) <= indent &&
            is_field_or_item((rush_text){text.at + line.start, line.length}))
            return true;
        at = line.start + line.length;
    }
    return false;
}

static rush_fault open_quote(uint32_t at)
{
    return (rush_fault){.found = true,
                        .problem = "found unexpected end of stream",
                        .at = at,
                        .context_at = at,
                        .swallows = true};
}

/* A quotation mark that the event's text begins with, when it has no partner. */
static bool event_swallows(const yaml_event_t *event, rush_text text, rush_fault *fault)
{
    if (event->type != YAML_SCALAR_EVENT || event->start_mark.line == event->end_mark.line ||
        (event->data.scalar.style != YAML_SINGLE_QUOTED_SCALAR_STYLE &&
         event->data.scalar.style != YAML_DOUBLE_QUOTED_SCALAR_STYLE))
        return false;
    uint32_t from = byte_of(text, event->start_mark.index);
    if (!rush_quote_swallows(text, from, byte_of(text, event->end_mark.index)))
        return false;
    *fault = open_quote(from);
    return true;
}

rush_fault rush_yaml_probe(rush_arena *arena, rush_text text)
{
    yaml_parser_t parser;
    yaml_event_t event;
    rush_fault fault = {0};
    if (!yaml_parser_initialize(&parser))
        rush_arena_escape(arena);
    size_t mark = text.length >= 3 && memcmp(text.at, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
    yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&parser, (const unsigned char *)text.at + mark,
                                 text.length - mark);
    bool memory = true;
    for (int depth = 0; depth <= RUSH_TREE_MAX_DEPTH;) {
        if (!yaml_parser_parse(&parser, &event)) {
            memory = parser.error != YAML_MEMORY_ERROR;
            fault = fault_of(&parser, text);
            break;
        }
        depth += deeper(event.type);
        bool end = event.type == YAML_STREAM_END_EVENT || event_swallows(&event, text, &fault);
        yaml_event_delete(&event);
        if (end)
            break;
    }
    yaml_parser_delete(&parser);
    if (!memory)
        rush_arena_escape(arena);
    bool unended = fault.found && fault.context && strstr(fault.context, "quoted scalar") &&
                   strstr(fault.problem, "end of stream");
    if (unended && rush_quote_swallows(text, fault.context_at, (uint32_t)text.length))
        return open_quote(fault.context_at);
    return fault;
}

/* ---- mending a fault ---------------------------------------------------------------------------- */

static void tell(rush_mender *mender, const rush_repair *repair)
{
    rush_span span = {rush_mender_source(mender, repair->span.start), repair->span.length};
    rush_diagnostic *made =
        rush_diagnose(mender->list, repair->slug, mender->source, span, "%s", repair->ours);
    rush_diagnose_help(mender->list, made, "%s", repair->help);
    if (repair->began.length) {
        rush_span began = {rush_mender_source(mender, repair->began.start), repair->began.length};
        rush_diagnose_other(mender->list, made, mender->source, began, "it began here");
    }
}

/* Every line that differs from the copy as it was is doubtful. */
static void doubt_changes(rush_mender *mender)
{
    rush_text old = {mender->now->bytes, mender->now->length};
    rush_text new = {mender->best->bytes, mender->best->length};
    uint32_t i = 0, j = 0;
    while (i < old.length && j < new.length) {
        rush_span a = line_around(old, i), b = line_around(new, j);
        if (a.length != b.length || memcmp(old.at + a.start, new.at + b.start, a.length) != 0)
            rush_mend_doubt(mender, rush_mender_source(mender, a.start));
        i = a.start + a.length + 1;
        j = b.start + b.length + 1;
    }
}

bool rush_mend_fault(rush_mender *mender, const rush_fault *fault)
{
    begin_copy(mender);
    if (!mender->trial) {
        mender->trial = new_draft(mender);
        mender->best = new_draft(mender);
    }
    rush_repair repair = rush_repair_find(mender, fault);
    tell(mender, &repair);
    if (!repair.reaches || ++mender->mends > RUSH_MENDS_MAX)
        return false;
    doubt_changes(mender);
    rush_draft *before = mender->now;
    mender->now = mender->best;
    mender->best = before;
    return true;
}
