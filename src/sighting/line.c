#include <string.h>

#include "sighting/entry.h"
#include "sighting/known.h"

bool rush_line_is_blank(rush_text text)
{
    text = rush_text_trim(text);
    return !text.length || text.at[0] == '#' || (text.length == 1 && text.at[0] == '\r');
}

static size_t skip_blanks(rush_text text, size_t at)
{
    while (at < text.length && (text.at[at] == ' ' || text.at[at] == '\t'))
        at++;
    return at;
}

/* A quoted value at `at`, a quotation mark; a doubled mark inside stands for one. What is behind it
 * up to the next `;` must be blank. Returns where the entry ends. */
static size_t take_quoted(rush_entry_reader *reader, size_t at, rush_entry *entry)
{
    rush_text text = reader->source.text;
    rush_buffer *unquoted = &reader->sighting->unquoted;
    size_t start = at, kept = unquoted->length;
    for (at++; at < text.length; at++) {
        if (text.at[at] == '"' && at + 1 < text.length && text.at[at + 1] == '"')
            at++;
        else if (text.at[at] == '"')
            break;
        rush_buffer_byte(unquoted, text.at[at]);
    }
    entry->value_span = (rush_span){(uint32_t)start, (uint32_t)(at + (at < text.length) - start)};
    if (at >= text.length) {
        rush_diagnostic *made =
            rush_entry_complain(reader, RUSH_UNCLOSED_QUOTE, (rush_span){(uint32_t)start, 1},
                                "a quotation mark without its partner");
        rush_diagnose_help(reader->list, made,
                           "close the quotation mark; one inside a quoted text is written twice");
        entry->broken = true;
        return text.length;
    }
    entry->value = (rush_text){unquoted->failed ? "" : unquoted->bytes + kept,
                               unquoted->failed ? 0 : unquoted->length - kept};
    at = skip_blanks(text, at + 1);
    if (at < text.length && text.at[at] != ';') {
        rush_diagnostic *made =
            rush_entry_complain(reader, RUSH_UNCLOSED_QUOTE, (rush_span){(uint32_t)at, 1},
                                "text behind a closing quotation mark");
        rush_diagnose_help(reader->list, made, "put a ';' behind the quotation mark");
        entry->broken = true;
    }
    while (at < text.length && text.at[at] != ';')
        at++;
    return at;
}

static rush_span span_of(const rush_entry_reader *reader, rush_text piece)
{
    return (rush_span){(uint32_t)(piece.at - reader->source.text.at), (uint32_t)piece.length};
}

/* The entry that begins at `at`; returns where it ends: at its `;` or at the end. */
static size_t take_entry(rush_entry_reader *reader, size_t at, rush_entry *entry)
{
    rush_text text = reader->source.text;
    *entry = (rush_entry){0};
    at = skip_blanks(text, at);
    if (at < text.length && text.at[at] == '"')
        return take_quoted(reader, at, entry);
    size_t start = at;
    while (at < text.length && text.at[at] != ':' && text.at[at] != ';')
        at++;
    if (at < text.length && text.at[at] == ':') {
        entry->name = rush_text_trim((rush_text){text.at + start, at - start});
        entry->name_span = span_of(reader, entry->name);
        start = at = skip_blanks(text, at + 1);
        if (at < text.length && text.at[at] == '"')
            return take_quoted(reader, at, entry);
        while (at < text.length && text.at[at] != ';')
            at++;
    }
    entry->value = rush_text_trim((rush_text){text.at + start, at - start});
    entry->value_span = span_of(reader, entry->value);
    if (entry->name.length)
        entry->said = (rush_text){entry->name.at, (size_t)(text.at + at - entry->name.at)};
    return at;
}

/* What the next name in the line stands for; `at` is then behind its colon. False when there is none. */
static bool next_target(const rush_entry_reader *reader, size_t *at, rush_target *target)
{
    rush_text text = reader->source.text;
    bool quoted = false;
    for (size_t start = *at; *at < text.length; ++*at) {
        quoted ^= text.at[*at] == '"';
        if (!quoted && text.at[*at] == ';')
            start = *at + 1;
        if (quoted || text.at[*at] != ':')
            continue;
        rush_text name = rush_text_trim((rush_text){text.at + start, *at - start});
        *target = rush_target_of(reader->sighting->key, name);
        ++*at;
        return true;
    }
    return false;
}

static bool has_latitude(const rush_entry_reader *reader)
{
    rush_target target;
    for (size_t at = 0; next_target(reader, &at, &target);)
        if (rush_target_is_latitude(&target))
            return true;
    return false;
}

/* Of a line that cannot be read to its end, so that it can be told which one that is. */
static void keep_id(rush_entry_reader *reader)
{
    rush_sighting *sighting = reader->sighting;
    reader->source.text.length = reader->fault;
    rush_text text = reader->source.text;
    rush_target target;
    for (size_t at = 0; next_target(reader, &at, &target);) {
        const char *end = memchr(text.at + at, ';', text.length - at);
        if (!rush_target_is_id(&target) || !end)
            continue;
        rush_text id = rush_text_trim((rush_text){text.at + at, (size_t)(end - text.at) - at});
        if (!memchr(id.at, '"', id.length))
            rush_sighting_keep(sighting, &sighting->fields[RUSH_RECORD_ID], id);
        return;
    }
}

bool rush_sighting_read(rush_sighting *sighting, const rush_line *line,
                        rush_diagnostics *diagnostics)
{
    rush_entry_reader reader;
    if (!rush_entries_begin(&reader, sighting, line, diagnostics)) {
        keep_id(&reader);
        return false;
    }
    reader.in_line = true;
    rush_text text = reader.source.text;
    /* Reserved whole, so that values which point into it stay where they are. */
    rush_buffer_reserve(&sighting->unquoted, text.length);
    if (!sighting->known && !(sighting->known = rush_known_new())) {
        rush_diagnose_out_of_memory(diagnostics);
        return false;
    }
    bool looked = false, latitude = false; /* once for the line, however often it says `long` */
    for (size_t at = 0; at < text.length; at++) {
        rush_entry entry;
        at = take_entry(&reader, at, &entry);
        bool degrees = rush_name_is_long(entry.name);
        if (degrees && !looked) {
            latitude = has_latitude(&reader);
            looked = true;
        }
        degrees = degrees && latitude;
        if (!degrees && rush_entry_take_known(&reader, &entry))
            continue;
        rush_target target =
            degrees ? rush_target_longitude() : rush_target_of(sighting->key, entry.name);
        rush_entry_take(&reader, &entry, &target);
    }
    return rush_entries_end(&reader);
}
