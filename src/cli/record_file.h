/* A file of records: CSV with the header of rush_darwin_core_header, over many sessions.
 *
 * Appending is whole or not at all. The folder is locked, the old file and the new row are written to a
 * file beside it (`.NAME.rushlight`) and synced, which then takes the old one's place in one step. So a
 * kill at any moment, a full disk or two sessions at once lose no earlier record and leave no half line;
 * what a killed session leaves beside it, the next one clears away. */
#ifndef RUSH_CLI_RECORD_FILE_H
#define RUSH_CLI_RECORD_FILE_H

#include "rushlight/rushlight.h"

/* Whether rows can be appended to the file at `path`: it is not there yet, or empty, or begins with our
 * header (a spreadsheet's byte order mark and CR LF are accepted). False, and `problem` says why in a
 * sentence that is safe for a terminal. Nothing is written. */
bool record_file_check(const char *path, rush_buffer *problem);

/* Appends one row, which ends with a line feed. A link is followed, mode bits are kept. False, and
 * `problem` says why; the file is then as it was, but for the one case that `problem` names: the row is
 * in it and the disk has not confirmed it. */
bool record_file_append(const char *path, rush_text row, rush_buffer *problem);

#endif
