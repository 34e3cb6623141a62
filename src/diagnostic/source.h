/* A text that a person wrote, and where its lines begin.
 *
 * Layer: diagnostic. Positions are byte spans until they are shown; this is the one place that turns
 * them into lines and columns. Lines end as YAML 1.1 has it (and libyaml): LF, CR, CR LF, NEL,
 * U+2028, U+2029. */
#ifndef RUSH_DIAGNOSTIC_SOURCE_H
#define RUSH_DIAGNOSTIC_SOURCE_H

#include "base/arena.h"
#include "rushlight/diagnostic.h"

typedef struct rush_span {
    uint32_t start, length; /* bytes */
} rush_span;

typedef struct rush_source {
    const char *name;
    rush_text text;
    uint32_t order;        /* among the files of one key */
    uint32_t first_line;   /* the number of the text's first line; 0 counts as 1 */
    const uint32_t *lines; /* where each line begins; NULL: the text is one line */
    uint32_t line_count;
    const rush_span
        *doubtful; /* lines that are not what their author meant: nothing more is said there */
    uint32_t doubtful_count;
} rush_source;

/* The text must outlive the source. */
void rush_source_init(rush_source *source, rush_arena *arena, const char *name, rush_text text);
/* Whether a span touches a line that is not what its author meant. */
bool rush_source_doubts(const rush_source *source, rush_span span);
/* The place of a span, clipped to its first line; its strings borrow from the source. */
rush_place rush_source_place(const rush_source *source, rush_span span);

#endif
