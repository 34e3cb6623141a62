/* A question: what is asked, its choices with their numbers, sketches side by side.
 *
 * Layer: report. */
#ifndef RUSH_REPORT_QUESTION_H
#define RUSH_REPORT_QUESTION_H

#include "report/screen.h"

void rush_question_write(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer);
/* How to look: the tip, and every sketch. */
void rush_question_explain(const rush_reply *reply, const rush_screen *screen,
                           rush_buffer *buffer);

#endif
