/* The drawings of a key: SVG files beside it.
 *
 * Layer: key. */
#ifndef RUSH_KEY_FIGURE_H
#define RUSH_KEY_FIGURE_H

#include "key/fields.h"

/* A drawing as it was read; a file that several states name is read once. */
typedef struct rush_figure_file {
    rush_buffer text;
    struct rush_svg *svg;
    const char *name;
    bool good;
    struct rush_figure_file *next;
} rush_figure_file;

/* `figures:` of the key: what holds of all drawings that do not say it themselves. */
void rush_load_figure_defaults(rush_loader *loader, rush_node node);
/* The value of a `figure:`, a file's name or fields; NULL, and told, when there is no drawing. */
const rush_figure *rush_load_figure(rush_loader *loader, rush_node node);
void rush_figure_files_free(rush_figure_file *files);

#endif
