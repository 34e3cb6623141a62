/* Cells of comma-separated values (RFC 4180, with a line feed behind a row, as Darwin Core's text guide
 * has it).
 *
 * Layer: report. A cell is made safe for a screen, as rush_buffer_safe does it, and for a spreadsheet:
 * one that it would run as a formula begins with a space, which changes nothing that it says. */
#ifndef RUSH_REPORT_CSV_H
#define RUSH_REPORT_CSV_H

#include "rushlight/text.h"

/* One more cell of a row; `first` says that none stands before it. */
void rush_csv_cell(rush_text text, bool first, rush_buffer *buffer);

#endif
