/* Markdown (CommonMark 0.31): text that came from a key shows as it is, and is never markup.
 *
 * Layer: report. */
#ifndef RUSH_REPORT_MARKDOWN_H
#define RUSH_REPORT_MARKDOWN_H

#include "rushlight/text.h"

/* On one line, made safe; every ASCII punctuation mark that could begin markup is escaped. */
void rush_markdown_text(rush_buffer *buffer, rush_text text);
/* The same of a part, which is freed. */
void rush_markdown_part(rush_buffer *buffer, rush_buffer *part);

#endif
