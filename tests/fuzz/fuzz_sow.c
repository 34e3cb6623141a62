/* Any bytes as a table, behind a line `====` as a table of characters. The key that comes of them loads without a
 * fault, and its own tables come back the same. */
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "rushlight/rushlight.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

static const char *read_text(void *user, const char *name, rush_buffer *text)
{
    const rush_buffer *yaml = user;
    (void)name;
    rush_buffer_add(text, (rush_text){yaml->bytes, yaml->length});
    return NULL;
}

static void stop(const char *what, const rush_diagnostics *list, const rush_buffer *text)
{
    rush_buffer said = {0};
    rush_diagnostics_write(list, &said);
    fprintf(stderr, "%s\n%s----\n%s", what, said.length ? said.bytes : "",
            text->length ? text->bytes : "");
    abort();
}

typedef struct two_tables {
    rush_buffer taxa, characters;
} two_tables;

/* The tables of the key of some tables; `clean` says that nothing may be wrong with those. */
static bool sow_and_write(const rush_sowing *sowing, bool clean, two_tables *again)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_buffer yaml = {0};
    bool made = rush_sow(sowing, list, &yaml);
    if (clean && (!made || rush_diagnostics_count(list)))
        stop("a table of ours is refused", list, &again->taxa);
    rush_diagnostics_clear(list);
    if (made) {
        rush_key_files files = {read_text, &yaml, "fuzz.yaml"};
        rush_key *key = rush_key_load(&files, list);
        if (!key)
            stop("the key does not load", list, &yaml);
        rush_table_of_taxa(key, &again->taxa);
        rush_table_of_characters(key, &again->characters);
        rush_key_free(key);
    }
    rush_buffer_free(&yaml);
    rush_diagnostics_free(list);
    return made;
}

static void same(const rush_buffer *first, const rush_buffer *second)
{
    if (first->length == second->length &&
        memcmp(first->bytes, second->bytes, first->length) == 0)
        return;
    fprintf(stderr, "%s----\n%s", first->bytes, second->bytes);
    abort();
}

static rush_text text_of(const rush_buffer *buffer)
{
    return (rush_text){buffer->bytes, buffer->length};
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    static const char mark[] = "\n====\n";
    const size_t length = sizeof mark - 1;
    two_tables first = {{0}, {0}}, second = {{0}, {0}};
    size_t at = 0;
    while (at + length <= size && memcmp(bytes + at, mark, length) != 0)
        at++;
    bool two = at + length <= size;
    rush_sowing sowing = {.taxa = {"taxa.csv", {(const char *)bytes, two ? at : size}},
                          .id = "fuzz"};
    if (two)
        sowing.characters = (rush_table_text){
            "characters.csv", {(const char *)bytes + at + length, size - at - length}};
    if (sow_and_write(&sowing, false, &first)) {
        sowing.taxa.text = text_of(&first.taxa);
        sowing.characters = (rush_table_text){"characters.csv", text_of(&first.characters)};
        sow_and_write(&sowing, true, &second);
        same(&first.taxa, &second.taxa);
        same(&first.characters, &second.characters);
    }
    rush_buffer_free(&first.taxa);
    rush_buffer_free(&first.characters);
    rush_buffer_free(&second.taxa);
    rush_buffer_free(&second.characters);
    return 0;
}
