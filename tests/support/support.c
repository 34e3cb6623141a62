#include "support/support.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* ---- files -------------------------------------------------------------------------------------- */

static const char *read_file(const char *path, rush_buffer *text)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        return strerror(errno);
    char block[4096];
    for (size_t got; (got = fread(block, 1, sizeof block, file)) > 0;)
        rush_buffer_add(text, (rush_text){block, got});
    fclose(file);
    return NULL;
}

void support_read(const char *path, rush_buffer *text)
{
    const char *problem = read_file(path, text);
    if (problem)
        fail_msg("%s: %s", path, problem);
    rush_buffer_add(text, (rush_text){"", 0});
    if (!text->bytes)
        rush_buffer_reserve(text, 1);
}

static const char *read_of_key(void *user, const char *name, rush_buffer *text)
{
    const char *path = user, *slash = strrchr(path, '/');
    char part[1024];
    if (!name)
        return read_file(path, text);
    snprintf(part, sizeof part, "%.*s%s", slash ? (int)(slash + 1 - path) : 0, path, name);
    return read_file(part, text);
}

rush_key *support_key(const char *path)
{
    char inside[1024];
    struct stat status;
    if (stat(path, &status) == 0 && S_ISDIR(status.st_mode)) {
        snprintf(inside, sizeof inside, "%s/key.yaml", path);
        path = inside;
    }
    rush_diagnostics *list = rush_diagnostics_new();
    rush_key_files files = {read_of_key, (void *)path, path};
    rush_key *key = rush_key_load(&files, list);
    if (!key) {
        support_show(list);
        fail_msg("%s does not load", path);
    }
    rush_diagnostics_free(list);
    return key;
}

static const char *read_of_text(void *user, const char *name, rush_buffer *text)
{
    if (name)
        return "no such file";
    rush_buffer_string(text, user);
    return NULL;
}

rush_key *support_key_of_text(const char *text, rush_diagnostics *list)
{
    rush_diagnostics *own = list ? list : rush_diagnostics_new();
    rush_key_files files = {read_of_text, (void *)text, "key.yaml"};
    rush_key *key = rush_key_load(&files, own);
    if (!list)
        rush_diagnostics_free(own);
    return key;
}

void support_show(const rush_diagnostics *list)
{
    rush_buffer text = {0};
    rush_diagnostics_write(list, &text);
    fprintf(stderr, "%s", text.bytes ? text.bytes : "");
    rush_buffer_free(&text);
}

/* ---- lines -------------------------------------------------------------------------------------- */

void support_sighting(rush_sighting *sighting, const char *text)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_line line = {rush_text_of(text), "line", 1, RUSH_NONE, NULL};
    bool good = rush_sighting_read(sighting, &line, list);
    if (!good)
        support_show(list);
    rush_diagnostics_free(list);
    if (!good)
        fail_msg("cannot be read: %s", text);
}

size_t support_split(char *text, char separator, char **fields, size_t most)
{
    size_t count = 0;
    while (count < most) {
        fields[count++] = text;
        text = strchr(text, separator);
        if (!text)
            break;
        *text++ = '\0';
    }
    return count;
}
