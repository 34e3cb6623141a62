/* Any bytes as a learner's file, and behind a line `====` as what the learner says. A file that is read is written so
 * that it can be read again, and comes out the same. */
#define _GNU_SOURCE /* memmem */
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
    "  outline: {bare: true, states: [round, oval, fan], confused: [[round, oval]]}\n"
    "  width: {measure: length, reading_error: 10%}\n"
    "  shore: {setting: states, states: [sand, mud]}\n"
    "taxa:\n"
    "  Pectinidae: {rank: family}\n"
    "  Pecten: {rank: genus, within: Pectinidae, traits: {outline: {fan: 0.9, oval: 0.1}}}\n"
    "  Pecten ficticius: {rank: species, within: Pecten, vernacular: {en: great fan}, traits: {width: 60-110}}\n"
    "  Pecten inventus: {rank: species, within: Pecten, traits: {width: 10-30}}\n"
    "  Ovalia: {rank: species, traits: {outline: [oval, round], shore: mud}}\n";

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
        if (!key)
            __builtin_trap();
    }
    return key;
}

static const rush_drill_options how = {
    .reach = RUSH_REACH_CLOSE, .rounds = 6, .seed = 1, .today = 20000};

static void read_again(const rush_drill *drill)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_drill *other = rush_drill_new(the_key(), &how);
    rush_buffer first = {0}, second = {0};
    rush_drill_write(drill, &first);
    if (!rush_drill_read(other, "kept", (rush_text){first.bytes, first.length}, list))
        __builtin_trap();
    rush_drill_write(other, &second);
    if (first.length != second.length || memcmp(first.bytes, second.bytes, first.length) != 0)
        __builtin_trap();
    rush_buffer_free(&first);
    rush_buffer_free(&second);
    rush_drill_free(other);
    rush_diagnostics_free(list);
}

static void talk(rush_drill *drill, rush_text all)
{
    static const rush_screen screen = {60, 24, true};
    rush_buffer out = {0};
    rush_report_drill(rush_drill_begin(drill), &screen, &out);
    for (size_t at = 0; at < all.length;) {
        const char *stop = memchr(all.at + at, '\n', all.length - at);
        rush_text line = {all.at + at, stop ? (size_t)(stop - all.at) - at : all.length - at};
        size_t stem;
        rush_report_drill(rush_drill_step(drill, line), &screen, &out);
        rush_drill_complete(drill, line, &stem, &out);
        rush_buffer_clear(&out);
        at += line.length + 1;
    }
    rush_report_drill(rush_drill_end(drill), &screen, &out);
    rush_buffer_free(&out);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    static const char mark[] = "====\n";
    const uint8_t *said = memmem(bytes, size, mark, sizeof mark - 1);
    size_t kept = said ? (size_t)(said - bytes) : size;
    rush_diagnostics *list = rush_diagnostics_new();
    rush_drill *drill = rush_drill_new(the_key(), &how);
    if (rush_drill_read(drill, "kept", (rush_text){(const char *)bytes, kept}, list)) {
        if (said)
            talk(drill, (rush_text){(const char *)said + sizeof mark - 1,
                                    size - kept - (sizeof mark - 1)});
        read_again(drill);
    }
    rush_drill_free(drill);
    rush_diagnostics_free(list);
    return 0;
}
