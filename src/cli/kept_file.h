/* Bytes that are to be kept: written whole, and on the disk. */
#ifndef RUSH_CLI_KEPT_FILE_H
#define RUSH_CLI_KEPT_FILE_H

#include "rushlight/text.h"

/* To an open file. False, and errno says why, when not all of it could be written. */
bool kept_file_write(int file, rush_text text);
/* Also for a folder. Some file systems cannot sync and say so; nothing more can be done there, and it is true. */
bool kept_file_sync(int file);

#endif
