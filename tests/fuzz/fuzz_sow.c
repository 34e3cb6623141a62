/* Any bytes as a table. The key that comes of it loads without a fault, and its own table comes back the same. */
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

/* The table of the key of a table; `clean` says that nothing may be wrong with it. */
static bool sow_and_table(rush_text table, bool clean, rush_buffer *again)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_buffer yaml = {0};
    rush_sowing sowing = {{"table.csv", table}, "fuzz", NULL};
    bool made = rush_sow(&sowing, list, &yaml);
    if (clean && (!made || rush_diagnostics_count(list)))
        stop("a table of ours is refused", list, &yaml);
    rush_diagnostics_clear(list);
    if (made) {
        rush_key_files files = {read_text, &yaml, "fuzz.yaml"};
        rush_key *key = rush_key_load(&files, list);
        if (!key)
            stop("the key does not load", list, &yaml);
        rush_table_of_taxa(key, again);
        rush_key_free(key);
    }
    rush_buffer_free(&yaml);
    rush_diagnostics_free(list);
    return made;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    rush_buffer first = {0}, second = {0};
    if (sow_and_table((rush_text){(const char *)bytes, size}, false, &first)) {
        sow_and_table((rush_text){first.bytes, first.length}, true, &second);
        if (first.length != second.length || memcmp(first.bytes, second.bytes, first.length) != 0) {
            fprintf(stderr, "%s----\n%s", first.bytes, second.bytes);
            abort();
        }
    }
    rush_buffer_free(&first);
    rush_buffer_free(&second);
    return 0;
}
