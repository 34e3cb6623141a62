/* Any bytes as a key file, which is also its own part; what loads is checked and asked. */
#include <stddef.h>
#include <stdint.h>

#include "rushlight/rushlight.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

typedef struct fuzz_text {
    const uint8_t *bytes;
    size_t size;
} fuzz_text;

static const char *read_bytes(void *user, const char *name, rush_buffer *text)
{
    const fuzz_text *all = user;
    (void)name;
    rush_buffer_add(text, (rush_text){(const char *)all->bytes, all->size});
    return NULL;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    fuzz_text all = {bytes, size};
    rush_key_files files = {read_bytes, &all, "key.yaml"};
    rush_diagnostics *list = rush_diagnostics_new();
    rush_key *key = rush_key_load_to_check(&files, list);
    rush_buffer out = {0};
    bool sound = key && !rush_diagnostics_errors(list);
    if (key)
        rush_check(key, list);
    if (sound) {
        rush_report_key(key, 0, &out);
        for (uint32_t t = 0; t < rush_key_taxon_count(key); t++)
            rush_report_taxon(key, t, 0, &out);
        for (uint32_t c = 0; c < rush_key_character_count(key); c++)
            rush_report_character(key, c, 0, &out);
    }
    rush_diagnostics_write(list, &out);
    rush_buffer_free(&out);
    rush_key_free(key);
    rush_diagnostics_free(list);
    return 0;
}
