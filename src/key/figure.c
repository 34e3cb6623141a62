#include "key/figure.h"

#include <stdlib.h>
#include <string.h>

#include "key/svg.h"

enum { FIGURES_MAX = 1000 };

typedef struct figure_draft {
    rush_node file;
    rush_words credit, licence;
} figure_draft;

static const rush_field figure_fields[] = {
    {"file", RUSH_FIELD_NODE, offsetof(figure_draft, file), 0, 0, NULL},
    {"credit", RUSH_FIELD_WORDS, offsetof(figure_draft, credit), 0, 0, NULL},
    {"licence", RUSH_FIELD_WORDS, offsetof(figure_draft, licence), 0, 0, NULL},
};

static const rush_field figures_fields[] = {
    {"credit", RUSH_FIELD_WORDS, offsetof(figure_draft, credit), 0, 0, NULL},
    {"licence", RUSH_FIELD_WORDS, offsetof(figure_draft, licence), 0, 0, NULL},
};

void rush_load_figure_defaults(rush_loader *loader, rush_node node)
{
    figure_draft draft = {0};
    if (node.tree)
        rush_fields_read(loader, node, figures_fields, RUSH_COUNT(figures_fields), "`figures`",
                         &draft);
    rush_key_header *header = &loader->key->header;
    header->figure_credit = draft.credit.in ? draft.credit : header->credit;
    header->figure_licence = draft.licence.in ? draft.licence : header->licence;
}

void rush_figure_files_free(rush_figure_file *files)
{
    for (; files; files = files->next) {
        rush_buffer_free(&files->text);
        if (files->svg) {
            rush_buffer_free(&files->svg->markup);
            rush_buffer_free(&files->svg->title);
        }
    }
}

static bool ends_in_svg(rush_text name)
{
    return name.length > 4 && memcmp(name.at + name.length - 4, ".svg", 4) == 0;
}

static bool read_file(rush_loader *loader, rush_figure_file *file, rush_node node)
{
    const char *shown = rush_shown_name(loader, loader->files->shown, file->name);
    const char *problem = loader->files->read(loader->files->user, file->name, &file->text);
    if (file->text.failed)
        rush_arena_escape(loader->arena);
    if (problem) {
        rush_node_diagnose(loader, node, RUSH_CANNOT_OPEN, "cannot open '%s': %s", shown,
                           problem);
        return false;
    }
    rush_source *source = RUSH_NEW(loader->arena, rush_source);
    rush_source_init(source, loader->arena, shown,
                     (rush_text){file->text.bytes ? file->text.bytes : "", file->text.length});
    source->order = loader->file_count++;
    bool good = rush_svg_read(file->svg, source, loader->list);
    if (file->svg->markup.failed || file->svg->title.failed)
        rush_arena_escape(loader->arena);
    return good;
}

/* The file by its name, read when it is new; NULL when there are too many. */
static const rush_figure_file *find_file(rush_loader *loader, rush_node node)
{
    rush_text name = rush_node_text(node);
    uint32_t count = 0;
    rush_figure_file **end = &loader->key->figure_files;
    for (; *end; end = &(*end)->next, count++)
        if (rush_text_equal(rush_text_of((*end)->name), name))
            return *end;
    if (count == FIGURES_MAX) {
        rush_node_diagnose(loader, node, RUSH_TOO_LARGE, "a key has at most %d drawings",
                           FIGURES_MAX);
        return NULL;
    }
    rush_figure_file *file = RUSH_NEW(loader->arena, rush_figure_file);
    file->name = rush_arena_copy(loader->arena, name);
    file->svg = RUSH_NEW(loader->arena, rush_svg);
    *end = file;
    file->good = read_file(loader, file, node);
    return file;
}

static bool good_name(rush_loader *loader, rush_node node)
{
    rush_text name = rush_node_text(node);
    if (rush_node_kind_of(node) == RUSH_SCALAR && rush_beside_key(name) && ends_in_svg(name))
        return true;
    rush_diagnostic *made =
        rush_node_diagnose(loader, node, RUSH_BAD_FIGURE,
                           "'%.*s' is not a drawing beside the key", (int)name.length, name.at);
    rush_diagnose_help(loader->list, made,
                       "give the plain name of a .svg file in the key's folder");
    return false;
}

const rush_figure *rush_load_figure(rush_loader *loader, rush_node node)
{
    figure_draft draft = {.file = node};
    if (rush_node_kind_of(node) == RUSH_MAPPING) {
        draft.file = (rush_node){0};
        rush_fields_read(loader, node, figure_fields, RUSH_COUNT(figure_fields), "a figure",
                         &draft);
        if (!draft.file.tree) {
            if (rush_field_missing(node, "file"))
                rush_node_diagnose(loader, node, RUSH_MISSING_FIELD, "the figure has no `file:`");
            return NULL;
        }
    }
    if (!good_name(loader, draft.file) || loader->manner == RUSH_LOAD_UNDRAWN)
        return NULL;
    const rush_figure_file *file = find_file(loader, draft.file);
    if (!file || !file->good)
        return NULL;
    const rush_key_header *header = &loader->key->header;
    rush_figure *figure = RUSH_NEW(loader->arena, rush_figure);
    figure->file = file->name;
    figure->title = file->svg->title.length ? file->svg->title.bytes : "";
    figure->markup = file->svg->markup.bytes;
    memcpy(figure->box, file->svg->box, sizeof figure->box);
    figure->credit = draft.credit.in ? draft.credit : header->figure_credit;
    figure->licence = draft.licence.in ? draft.licence : header->figure_licence;
    return figure;
}
