/* Any bytes as a table, of which the first line is the header and the rest one row, and as JSON lines. */
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "rushlight/rushlight.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

static const char key_text[] =
    "rushlight: 1\n"
    "key: shells\n"
    "title: Shells\n"
    "characters:\n"
    "  outline: {states: [round, oval, fan]}\n"
    "  lip: {label: edge, states: [thin, thick, \"red or blue\", \"not there\"]}\n"
    "  hinge: {also: [edge], states: [straight, curved]}\n"
    "  width: {measure: length, reading_error: 10%, words: {small: under 35}}\n"
    "  month: {setting: months}\n"
    "taxa:\n"
    "  Pecten ficticius: {rank: species, traits: {outline: fan, width: 60-110}}\n"
    "  Ovalia ficta: {rank: species, traits: {outline: [oval, round], month: Apr-Oct}}\n";

static const char *read_text(void *user, const char *name, rush_buffer *text)
{
    (void)user;
    (void)name;
    rush_buffer_string(text, key_text);
    return NULL;
}

static const rush_key *the_key(void)
{
    static rush_key *key;
    if (!key) {
        rush_diagnostics *list = rush_diagnostics_new();
        rush_key_files files = {read_text, NULL, "key.yaml"};
        key = rush_key_load(&files, list);
        rush_diagnostics_free(list);
    }
    return key;
}

/* However it was written, a sighting is one line, which gives the same sighting again. */
static void write_again(const rush_sighting *sighting, rush_sighting *other)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_buffer line = {0}, again = {0};
    rush_sighting_write(sighting, 0, &line);
    rush_line from = {{line.bytes ? line.bytes : "", line.length}, "f", 1, RUSH_NONE, NULL};
    if (line.length && memchr(line.bytes, '\n', line.length))
        __builtin_trap();
    if (line.length <= RUSH_LINE_MAX) {
        if (!rush_sighting_read(other, &from, list) ||
            rush_sighting_answer_count(other) != rush_sighting_answer_count(sighting))
            __builtin_trap();
        rush_sighting_write(other, 0, &again);
        if (again.length != line.length ||
            (line.length && memcmp(again.bytes, line.bytes, line.length) != 0))
            __builtin_trap();
    }
    rush_buffer_free(&line);
    rush_buffer_free(&again);
    rush_diagnostics_free(list);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    const rush_key *key = the_key();
    rush_sighting *sighting = rush_sighting_new(key), *other = rush_sighting_new(key);
    rush_diagnostics *list = rush_diagnostics_new();
    rush_buffer said = {0};
    const char *text = size ? (const char *)bytes : "";
    const char *stop = memchr(text, '\n', size);
    size_t header = stop ? (size_t)(stop - text) : size;
    rush_line line = {{text, header}, "f", 1, RUSH_NONE, NULL};
    rush_columns *columns = rush_columns_read(key, &line, list);
    if (columns && stop) {
        line = (rush_line){{stop + 1, size - header - 1}, "f", 2, RUSH_NONE, NULL};
        if (rush_sighting_read_row(sighting, &line, columns, list))
            write_again(sighting, other);
        rush_line_diagnose(&line, RUSH_NOTHING_FITS, "x", "y", list);
    }
    rush_columns_free(columns);
    for (size_t at = 0, length; at < size; at += length + 1) {
        stop = memchr(text + at, '\n', size - at);
        length = stop ? (size_t)(stop - text) - at : size - at;
        line = (rush_line){{text + at, length}, "f", 3, RUSH_NONE, NULL};
        if (rush_sighting_read_json(sighting, &line, list))
            write_again(sighting, other);
    }
    rush_diagnostics_write(list, &said);
    rush_buffer_free(&said);
    rush_diagnostics_free(list);
    rush_sighting_free(sighting);
    rush_sighting_free(other);
    return 0;
}
