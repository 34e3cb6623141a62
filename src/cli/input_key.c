#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "built_in.h"
#include "command.h"
#include "input.h"
#include "output.h"

enum {
    FILE_MAX = 65 * 1024 * 1024
}; /* a little above what a key may hold, which the loader says */

/* ---- files -------------------------------------------------------------------------------------- */

static const char *read_whole(int file, rush_buffer *text)
{
    enum { STEP = 1 << 16 };
    for (;;) {
        if (!rush_buffer_reserve(text, STEP))
            return NULL; /* the loader sees that the buffer failed */
        ssize_t got = read(file, text->bytes + text->length, STEP);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return strerror(errno);
        if (got == 0)
            return NULL;
        text->length += (size_t)got;
        if (text->length > FILE_MAX)
            return NULL;
    }
}

typedef struct key_folder {
    const char *key; /* the path of the key file itself */
    int folder;      /* where its parts stand */
} key_folder;

/* Of a part only a plain file is read, and no link is followed: it must stand beside the key. */
static const char *open_part(const key_folder *folder, const char *name, int *file)
{
    *file = openat(folder->folder, name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (*file < 0)
        return errno == ELOOP ? "a link, which may lead out of the key's folder"
                              : strerror(errno);
    struct stat status;
    if (fstat(*file, &status) == 0 && S_ISREG(status.st_mode))
        return NULL;
    close(*file);
    return "not a plain file";
}

const char *input_whole(const char *name, rush_buffer *text)
{
    bool stands_in = strcmp(name, "-") == 0;
    int file = stands_in ? STDIN_FILENO : open(name, O_RDONLY | O_CLOEXEC);
    if (file < 0)
        return strerror(errno);
    const char *problem = read_whole(file, text);
    if (!stands_in)
        close(file);
    return problem;
}

static const char *read_from_folder(void *user, const char *name, rush_buffer *text)
{
    const key_folder *folder = user;
    int file;
    if (!name)
        return input_whole(folder->key, text);
    const char *problem = open_part(folder, name, &file);
    if (problem)
        return problem;
    problem = read_whole(file, text);
    close(file);
    return problem;
}

/* The folder that a path's file stands in. */
static int open_folder(const char *path)
{
    rush_buffer folder = {0};
    const char *slash = strrchr(path, '/');
    rush_buffer_add(&folder, (rush_text){path, slash ? (size_t)(slash - path + 1) : 0});
    int file =
        open(slash && !folder.failed ? folder.bytes : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    rush_buffer_free(&folder);
    return file;
}

typedef rush_key *key_loader(const rush_key_files *files, rush_diagnostics *diagnostics);

static rush_key *load_path(const char *path, key_loader *load, rush_diagnostics *diagnostics)
{
    key_folder folder = {path, open_folder(path)};
    rush_key_files files = {read_from_folder, &folder, strcmp(path, "-") == 0 ? "stdin" : path};
    rush_key *key = load(&files, diagnostics);
    if (folder.folder >= 0)
        close(folder.folder);
    return key;
}

/* ---- built in ----------------------------------------------------------------------------------- */

static const char *read_built_in(void *user, const char *name, rush_buffer *text)
{
    const built_in_key *key = user;
    for (size_t i = 0; i < key->file_count; i++)
        if (strcmp(key->files[i].name, name ? name : "key.yaml") == 0) {
            rush_buffer_add(text,
                            (rush_text){(const char *)key->files[i].bytes, key->files[i].size});
            return NULL;
        }
    return "no such part in the program";
}

static rush_key *load_built_in(const built_in_key *key, key_loader *load,
                               rush_diagnostics *diagnostics)
{
    rush_buffer shown = {0};
    rush_buffer_format(&shown, "built-in:%s/key.yaml", key->name);
    rush_key_files files = {read_built_in, (void *)key, shown.failed ? key->name : shown.bytes};
    rush_key *loaded = load(&files, diagnostics);
    rush_buffer_free(&shown);
    return loaded;
}

/* ---- by name ------------------------------------------------------------------------------------ */

static bool is_plain_name(const char *name)
{
    return !strchr(name, '/') && !strchr(name, '.');
}

static rush_key *load_named(const char *name, key_loader *load, rush_diagnostics *diagnostics)
{
    if (!name)
        return load_built_in(&built_in_keys[0], load, diagnostics);
    struct stat status;
    bool there = stat(name, &status) == 0;
    if (!there && is_plain_name(name))
        for (size_t i = 0; i < built_in_key_count; i++)
            if (strcmp(built_in_keys[i].name, name) == 0)
                return load_built_in(&built_in_keys[i], load, diagnostics);
    if (!there || !S_ISDIR(status.st_mode))
        return load_path(name, load, diagnostics);
    rush_buffer path = {0};
    size_t length = strlen(name);
    rush_buffer_format(&path, "%s%skey.yaml", name, length && name[length - 1] == '/' ? "" : "/");
    rush_key *key = path.failed ? NULL : load_path(path.bytes, load, diagnostics);
    rush_buffer_free(&path);
    return key;
}

rush_key *input_faulty_key(const char *name, rush_diagnostics *diagnostics)
{
    return load_named(name, rush_key_load_to_check, diagnostics);
}

static rush_key *load_for_command(const char *name, key_loader *load, int *status)
{
    rush_diagnostics *diagnostics = rush_diagnostics_new();
    *status = EXIT_KEY;
    if (!diagnostics) {
        *status = output_no_memory();
        return NULL;
    }
    rush_key *key = load_named(name, load, diagnostics);
    if (!key && rush_diagnostics_out_of_memory(diagnostics))
        *status = EXIT_FAULT;
    if (!key)
        output_diagnostics(diagnostics);
    rush_diagnostics_free(diagnostics);
    return key;
}

rush_key *input_key_for_command(const char *name, int *status)
{
    return load_for_command(name, rush_key_load_undrawn, status);
}

rush_key *input_drawn_key_for_command(const char *name, int *status)
{
    return load_for_command(name, rush_key_load, status);
}

bool input_language(const rush_key *key, const char *name, uint32_t *language)
{
    *language = name ? rush_key_language(key, rush_text_of(name)) : 0;
    if (*language != RUSH_NONE)
        return true;
    const rush_key_header *header = rush_key_about(key);
    rush_buffer message = {0};
    rush_buffer_string(&message, "rushlight: the key has no language '");
    rush_buffer_safe(&message, rush_text_of(name));
    rush_buffer_string(&message, "'; it has:");
    for (uint32_t i = 0; i < header->language_count; i++) {
        rush_buffer_byte(&message, ' ');
        rush_buffer_safe(&message, rush_text_of(header->languages[i]));
    }
    rush_buffer_byte(&message, '\n');
    output_error(&message);
    rush_buffer_free(&message);
    return false;
}

bool input_line(const rush_key *key, const char *shown, rush_text text, rush_sighting **sighting)
{
    rush_diagnostics *diagnostics = rush_diagnostics_new();
    *sighting = rush_sighting_new(key);
    bool good = false;
    if (diagnostics && *sighting) {
        rush_line line = {text, shown, 1, RUSH_NONE, NULL};
        good = rush_sighting_read(*sighting, &line, diagnostics);
        output_diagnostics(diagnostics);
    } else {
        output_no_memory();
    }
    rush_diagnostics_free(diagnostics);
    if (good)
        return true;
    rush_sighting_free(*sighting);
    *sighting = NULL;
    return false;
}

bool input_set(const rush_key *key, const char *text, rush_sighting **set)
{
    *set = NULL;
    return !text || input_line(key, "--set", rush_text_of(text), set);
}
