/* JSON text (RFC 8259), written straight into a buffer: commas and escapes in one place.
 *
 * Layer: report. jansson builds a tree for each value and prints numbers by significant digits; the
 * jsonl lines promise six decimals and are written by the hundred thousand, so they are written here
 * and read back with jansson in the tests. */
#ifndef RUSH_REPORT_JSON_H
#define RUSH_REPORT_JSON_H

#include "rushlight/text.h"

typedef struct rush_json {
    rush_buffer *buffer;
    bool
        first; /* nothing stands yet in the innermost object or array, or a name waits for its value */
} rush_json;

/* Names are words of our own, which need no escape; NULL inside an array, at the top, and behind
 * rush_json_name. */
void rush_json_open(rush_json *json, const char *name, char bracket); /* '{' or '[' */
void rush_json_close(rush_json *json, char bracket);                  /* '}' or ']' */
/* A name that comes from elsewhere, of the value that is written next. */
void rush_json_name(rush_json *json, const char *name);
void rush_json_text(rush_json *json, const char *name, rush_text text);
void rush_json_string(rush_json *json, const char *name, const char *string); /* NULL: null */
void rush_json_string_or_null(rush_json *json, const char *name, const char *string); /* "" too */
void rush_json_whole(rush_json *json, const char *name, uint64_t number);
void rush_json_number(rush_json *json, const char *name, double number); /* not finite: null */
void rush_json_flag(rush_json *json, const char *name, bool flag);

#endif
