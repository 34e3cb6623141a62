/* Writing for a screen of some width: running text, paint, and cells side by side.
 *
 * Layer: report. */
#ifndef RUSH_REPORT_SCREEN_H
#define RUSH_REPORT_SCREEN_H

#include "report/words.h"

/* The least screen that a reply is laid out for. */
enum { RUSH_SCREEN_COLUMNS_MIN = 20, RUSH_SCREEN_ROWS_MIN = 10 };

/* A caller's screen, or the least one where it is smaller. */
rush_screen rush_screen_assumed(const rush_screen *screen);

typedef enum rush_paint { RUSH_PAINT_STRONG, RUSH_PAINT_SAFE, RUSH_PAINT_DOUBT } rush_paint;

/* Text between the two is painted where the screen has colour (ECMA-48 SGR). */
void rush_screen_paint(const rush_screen *screen, rush_paint paint, rush_buffer *buffer);
void rush_screen_plain(const rush_screen *screen, rush_buffer *buffer);

/* A part as running text behind `indent` spaces, and a line feed; the part is freed. */
void rush_screen_text(const rush_screen *screen, size_t indent, rush_buffer *part,
                      rush_buffer *buffer);
/* The same of a string. */
void rush_screen_string(const rush_screen *screen, size_t indent, const char *string,
                        rush_buffer *buffer);

#endif
