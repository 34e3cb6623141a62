/* A drawing (SVG 1.1) made safe to stand inside another document.
 *
 * Layer: key. expat reads it; nothing of its text is passed on. What comes out is written anew from a list of
 * elements and attributes that can do no more than draw: no script, no link, no style, nothing that is fetched,
 * no name that could clash with another drawing's. The entities of a document type could grow without bound
 * and name other files, so a drawing with one is refused.
 * Ownership: the buffers are the caller's, whatever is returned. It uses no arena. */
#ifndef RUSH_KEY_SVG_H
#define RUSH_KEY_SVG_H

#include "diagnostic/diagnostic.h"

enum { RUSH_SVG_MAX_BYTES = 64 * 1024, RUSH_SVG_MAX_ELEMENTS = 2000, RUSH_SVG_MAX_DEPTH = 32 };

typedef struct rush_svg {
    rush_buffer markup; /* one <g> with all that is drawn */
    rush_buffer title;  /* of the drawing as a whole; or empty */
    double box[4];      /* its viewBox: left, top, width, height */
} rush_svg;

/* False when it cannot be used (`bad-figure`) or there is no memory, which a failed buffer says; what was left out
 * is told as `figure-cut`. */
bool rush_svg_read(rush_svg *svg, const rush_source *source, rush_diagnostics *list);

#endif
