/* What a record gets from the machine: an identifier that is unique in the world, and today's date. */
#ifndef RUSH_CLI_RECORD_STAMP_H
#define RUSH_CLI_RECORD_STAMP_H

#include <stdbool.h>

enum { UUID_TEXT = 37, DATE_TEXT = 11 }; /* with their NUL */

/* A UUID of version 4 (RFC 9562, 5.4). False when the system gives no random numbers. */
bool record_uuid(char text[UUID_TEXT]);
/* The local date in ISO 8601: "2026-06-14". False when it is not known. */
bool record_today(char text[DATE_TEXT]);

#endif
