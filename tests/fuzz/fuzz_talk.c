/* Any bytes as observation lines, and as a conversation, on a small key that has everything. */
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "rushlight/rushlight.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

static const char key_text[] =
    "rushlight: 1\n"
    "key: shells\n"
    "title: Shells\n"
    "languages: [en, nl]\n"
    "characters:\n"
    "  outline: {bare: true, states: {round: {label: {en: round, nl: rond}}, oval: , fan: }, confused: [[round, oval]]}\n"
    "  lip: {states: [thin, thick, \"red or blue\", \"not there\"]}\n"
    "  width: {measure: length, reading_error: 10%, words: {small: under 35}}\n"
    "  ribs: {measure: count}\n"
    "  month: {setting: months}\n"
    "  shore: {setting: states, states: [sand, mud]}\n"
    "taxa:\n"
    "  Pectinidae: {rank: family}\n"
    "  Pecten: {rank: genus, within: Pectinidae, traits: {outline: {fan: 0.9, oval: 0.1}}}\n"
    "  Pecten ficticius: {rank: species, within: Pecten, traits: {width: 60-110, ribs: 12-16}}\n"
    "  Pecten inventus:\n"
    "    rank: species\n"
    "    within: Pecten\n"
    "    forms: [{form: pale, share: 0.8}, {sex: female, form: dark, traits: {outline: inapplicable}}]\n"
    "  Ovalia: {rank: species, traits: {outline: [oval, round], month: Apr-Oct, shore: mud}}\n";

static const char *read_text(void *user, const char *name, rush_buffer *text)
{
    (void)user;
    (void)name;
    rush_buffer_string(text, key_text);
    return NULL;
}

static rush_key *the_key(void)
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

/* A record is one line, whatever stands in it. */
static void write_records(const rush_result *result, rush_buffer *out)
{
    for (uint32_t blur = 0; blur <= 1000; blur += 1000) {
        rush_record record = {.id = "urn:x:1", .blur = blur};
        size_t start = out->length;
        rush_darwin_core_row(result, &record, out);
        if (memchr(out->bytes + start, '\n', out->length - start) != out->bytes + out->length - 1)
            __builtin_trap();
    }
}

static void rank_line(rush_sighting *sighting, rush_ranker *ranker, rush_adviser *adviser,
                      rush_text text, rush_buffer *out)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_line line = {text, "f", 1, RUSH_NONE, NULL};
    rush_buffer again = {0};
    if (rush_sighting_read(sighting, &line, list)) {
        rush_result result = {.ranker = ranker,
                              .ranking = rush_rank(ranker, sighting, NULL),
                              .file = "f",
                              .line = 1,
                              .top = 9};
        result.looks = rush_look_next(adviser, result.ranking, NULL, &result.look_count);
        rush_report_text(&result, out);
        rush_report_jsonl(&result, out);
        write_records(&result, out);
        /* What is written must be read again, and be written alike. */
        rush_sighting_write(sighting, 0, &again);
        line.text = (rush_text){again.bytes ? again.bytes : "", again.length};
        if (again.length <= RUSH_LINE_MAX && !rush_sighting_read(sighting, &line, list))
            __builtin_trap();
    }
    rush_diagnostics_write(list, out);
    rush_buffer_free(&again);
    rush_diagnostics_free(list);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    const rush_key *key = the_key();
    rush_dialogue_options how = {.reach = RUSH_REACH_HAND};
    rush_dialogue *dialogue = rush_dialogue_new(key, &how);
    rush_sighting *sighting = rush_sighting_new(key);
    rush_ranker *ranker = rush_ranker_new(key);
    rush_adviser *adviser = rush_adviser_new(key);
    static const rush_screen screen = {60, 24, true};
    rush_buffer out = {0};
    rush_report_reply(rush_dialogue_begin(dialogue), &screen, &out);
    for (size_t at = 0; at < size;) {
        const uint8_t *stop = memchr(bytes + at, '\n', size - at);
        size_t length = stop ? (size_t)(stop - bytes) - at : size - at;
        rush_text text = {(const char *)bytes + at, length};
        rank_line(sighting, ranker, adviser, text, &out);
        rush_report_reply(rush_dialogue_step(dialogue, text), &screen, &out);
        size_t stem;
        rush_dialogue_complete(dialogue, text, &stem, &out);
        rush_buffer_clear(&out);
        at += length + 1;
    }
    rush_buffer_free(&out);
    rush_sighting_free(sighting);
    rush_ranker_free(ranker);
    rush_adviser_free(adviser);
    rush_dialogue_free(dialogue);
    return 0;
}
