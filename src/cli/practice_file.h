/* A learner's own small file of practice, replaced whole or not at all. */
#ifndef RUSH_CLI_PRACTICE_FILE_H
#define RUSH_CLI_PRACTICE_FILE_H

#include "rushlight/rushlight.h"

/* Reads the file into `text`, which stays empty when it is not there yet. NULL, or why it cannot be used. */
const char *practice_file_read(const char *path, rush_buffer *text);
/* Writes the text to a file beside it (`.NAME.rushlight`), syncs it, and lets it take the old one's place in one
 * step: a kill at any moment leaves the old file or the new one. A link is followed, mode bits are kept. NULL, or
 * why it failed; the file is then as it was. */
const char *practice_file_write(const char *path, rush_text text);

/* Locks the file's folder, since the file itself is replaced, until the descriptor is closed: another drill waits. -1
 * when there is none to lock; writing then says why. */
int practice_file_lock(const char *path);

#endif
