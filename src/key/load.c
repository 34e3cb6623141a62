#include "key/load.h"

#include <stdlib.h>
#include <string.h>

#include "key/fields.h"

/* ---- files ------------------------------------------------------------------------------------ */

const char *rush_shown_name(rush_loader *loader, const char *key_file, const char *part)
{
    if (!part)
        return rush_arena_copy(loader->arena, rush_text_of(key_file));
    const char *slash = strrchr(key_file, '/');
    size_t folder = slash ? (size_t)(slash + 1 - key_file) : 0;
    return rush_arena_format(loader->arena, "%.*s%s", (int)folder, key_file, part);
}

/* One more file and its tree; false when it cannot be read. */
static bool read_file(rush_loader *loader, const rush_key_files *files, const char *part,
                      rush_node asked_by)
{
    rush_key_file *file = RUSH_NEW(loader->arena, rush_key_file);
    if (loader->last_file)
        loader->last_file->next = file;
    else
        loader->key->files = file;
    loader->last_file = file;
    const char *shown = rush_shown_name(loader, files->shown, part);
    const char *problem = files->read(files->user, part, &file->text);
    if (file->text.failed)
        rush_arena_escape(loader->arena);
    if (problem && asked_by.tree) {
        rush_node_diagnose(loader, asked_by, RUSH_CANNOT_OPEN, "cannot open '%s': %s", shown,
                           problem);
        return false;
    }
    if (problem) {
        rush_diagnostics_note(
            loader->list, RUSH_CANNOT_OPEN, shown, problem,
            "a key is named by the path of its file, or of a folder with a key.yaml in it");
        return false;
    }
    rush_source_init(&file->source, loader->arena, shown,
                     (rush_text){file->text.bytes ? file->text.bytes : "", file->text.length});
    file->source.order = loader->file_count++;
    rush_tree *tree = RUSH_PUSH(loader->arena, &loader->trees);
    if (!rush_tree_read(tree, loader->arena, &file->source, &file->tape, loader->list)) {
        loader->trees.count--;
        return false;
    }
    if (!tree->count) {
        loader->trees.count--;
        rush_diagnose(loader->list, RUSH_EMPTY_FILE, &file->source, (rush_span){0},
                      "the file has nothing in it");
        return false;
    }
    return true;
}

bool rush_beside_key(rush_text name)
{
    if (!name.length || name.at[0] == '.')
        return false;
    for (size_t i = 0; i < name.length; i++)
        if (strchr("/\\:", name.at[i]))
            return false;
    return true;
}

static bool read_parts(rush_loader *loader, const rush_key_files *files)
{
    rush_node parts = rush_load_section(loader, 0, "parts");
    enum { PARTS_MAX = 1000 };
    int listed = 0;
    bool good = true;
    if (!rush_node_is(parts))
        return true;
    if (rush_node_kind_of(parts) != RUSH_SEQUENCE) {
        rush_node_wrong_shape(loader, parts, "a list of files");
        return false;
    }
    for (rush_node part = rush_node_first(parts); rush_node_is(part);
         part = rush_node_next(part)) {
        rush_text name = rush_node_text(part);
        if (++listed > PARTS_MAX) {
            rush_node_diagnose(loader, part, RUSH_TOO_LARGE, "a key has at most %d parts",
                               PARTS_MAX);
            return false;
        }
        if (!rush_beside_key(name)) {
            rush_diagnostic *made = rush_node_diagnose(loader, part, RUSH_PART_OUTSIDE,
                                                       "'%.*s' is not a file beside the key",
                                                       (int)name.length, name.at);
            rush_diagnose_help(loader->list, made,
                               "give the plain name of a file in the key's folder");
            good = false;
            continue;
        }
        bool again = false;
        for (rush_node other = rush_node_first(parts); other.at != part.at;
             other = rush_node_next(other))
            again |= rush_text_equal(rush_node_text(other), name);
        if (again) {
            rush_node_diagnose(loader, part, RUSH_REPEATED_FIELD, "this part is listed twice");
            continue;
        }
        good &= read_file(loader, files, rush_arena_copy(loader->arena, name), part);
    }
    return good;
}

/* ---- the steps -------------------------------------------------------------------------------- */

/* What load_key hands to the guard. */
typedef struct whole_load {
    rush_loader loader;
    const rush_key_files *files;
    bool good;
} whole_load;

/* The texts, and the tapes, which are half as large: all that stays of them is copied. */
static void forget_places(rush_key *key)
{
    key->root.tree = NULL;
    for (rush_key_file *file = key->files; file; file = file->next) {
        rush_buffer_free(&file->text);
        rush_buffer_free(&file->tape);
        file->source.text = (rush_text){"", 0};
        file->source.doubtful_count = 0;
        file->source.lines = NULL; /* from now on every place is the first of the file */
    }
}

/* Before the names come: about one in so many nodes is one, in a key that is small; a large one is mostly traits. */
static void expect_names(rush_loader *loader)
{
    enum { NODES_A_NAME = 6, NAMES_MAX = 8192 };
    uint64_t nodes = 0;
    for (uint32_t i = 0; i < loader->trees.count; i++)
        nodes += loader->trees.items[i].count;
    uint32_t names =
        nodes / NODES_A_NAME < NAMES_MAX ? (uint32_t)(nodes / NODES_A_NAME) + 1 : NAMES_MAX;
    rush_table_reserve(loader->arena, &loader->key->names, names);
    loader->marks.items = RUSH_ARRAY(&loader->scratch, rush_mark, names);
    loader->marks.capacity = names;
}

static bool run_steps(rush_loader *loader, const rush_key_files *files)
{
    loader->files = files;
    size_t faults_before = rush_diagnostics_faults(loader->list);
    if (!read_file(loader, files, NULL, (rush_node){0}))
        return false;
    loader->incomplete = !read_parts(loader, files);
    rush_node parts = rush_load_section(loader, 0, "parts");
    loader->incomplete |= rush_node_is(parts) && rush_node_doubtful(parts);
    for (uint32_t i = 0; i < loader->trees.count; i++)
        loader->incomplete |= loader->trees.items[i].cut;
    expect_names(loader);
    rush_load_header(loader);
    rush_load_sources(loader);
    rush_load_topics(loader);
    rush_load_characters(loader);
    rush_load_taxa(loader);
    rush_load_sightings(loader);
    rush_load_link(loader);
    rush_unknown_names_told(loader);
    loader->key->faulty = rush_diagnostics_faults(loader->list) > faults_before;
    loader->key->incomplete = loader->incomplete;
    bool to_check = loader->manner == RUSH_LOAD_TO_CHECK;
    if (loader->key->faulty && !to_check)
        return false;
    rush_key_take_digest(loader->key);
    if (!to_check)
        forget_places(loader->key);
    rush_arena_free(&loader->scratch);
    if (rush_model_compile(loader->key, loader->arena, &loader->scratch))
        return true;
    rush_diagnose(loader->list, RUSH_TOO_LARGE, loader->trees.items[0].source, (rush_span){0},
                  "a character has more than 65536 different traits");
    return false;
}

static void load(void *with)
{
    whole_load *whole = with;
    whole->loader.scratch.escape = whole->loader.arena->escape;
    whole->good = run_steps(&whole->loader, whole->files);
}

static rush_key *load_key(const rush_key_files *files, rush_load_manner manner,
                          rush_diagnostics *diagnostics)
{
    rush_key *key = calloc(1, sizeof *key);
    if (!key) {
        rush_diagnose_out_of_memory(diagnostics);
        return NULL;
    }
    whole_load whole = {
        {.key = key, .arena = &key->arena, .list = diagnostics, .manner = manner}, files, false};
    if (!rush_arena_guard(&key->arena, load, &whole)) {
        rush_diagnose_out_of_memory(diagnostics);
        whole.good = false;
    }
    rush_arena_free(&whole.loader.scratch);
    rush_diagnostics_sort(diagnostics);
    if (whole.good)
        return key;
    rush_key_free(key);
    return NULL;
}

rush_key *rush_key_load(const rush_key_files *files, rush_diagnostics *diagnostics)
{
    return load_key(files, RUSH_LOAD_WHOLE, diagnostics);
}

rush_key *rush_key_load_undrawn(const rush_key_files *files, rush_diagnostics *diagnostics)
{
    return load_key(files, RUSH_LOAD_UNDRAWN, diagnostics);
}

rush_key *rush_key_load_to_check(const rush_key_files *files, rush_diagnostics *diagnostics)
{
    return load_key(files, RUSH_LOAD_TO_CHECK, diagnostics);
}
