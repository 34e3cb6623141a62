/* Files in: keys with their parts, and observation lines. */
#ifndef RUSH_CLI_INPUT_H
#define RUSH_CLI_INPUT_H

#include "rushlight/rushlight.h"

/* Loads a key from a file, from a folder's key.yaml, or a built-in one by its name; NULL: the one that
 * is built in for want of another. "-" is standard input. Its drawings are not read. What is wrong goes to
 * standard error, and *status is the exit status when there is no key. */
rush_key *input_key_for_command(const char *name, int *status);
/* The same with the drawings. */
rush_key *input_drawn_key_for_command(const char *name, int *status);
/* The same for `check`: a key with errors too, which is for rush_check alone. What is wrong is in the
 * diagnostics. */
rush_key *input_faulty_key(const char *name, rush_diagnostics *diagnostics);
/* A whole file; "-" is standard input. NULL, or why it cannot be read. */
const char *input_whole(const char *name, rush_buffer *text);
/* The language of --language; false, and said on standard error, when the key does not have it. */
bool input_language(const rush_key *key, const char *name, uint32_t *language);
/* The sighting of --set, NULL for none; false, and said on standard error, when it cannot be read. */
bool input_set(const rush_key *key, const char *text, rush_sighting **set);
/* The sighting of an observation line; what is wrong is said on standard error, as of the file `shown`. */
bool input_line(const rush_key *key, const char *shown, rush_text text, rush_sighting **sighting);

typedef struct input_lines {
    int file;
    uint32_t number; /* of the last line; of a row, its first one */
    char *bytes;     /* a window of the file */
    size_t from, to, room;
    bool ended, cut;
    bool rows;       /* of CSV: a line break in quotation marks does not end one */
    char separator;  /* of their cells; 0: not known yet, any that there may be */
    uint32_t breaks; /* line breaks within the last row */
} input_lines;

/* "-" is standard input. False when it cannot be opened: errno says why. */
bool input_open(input_lines *lines, const char *name);
/* The next line without its line break, good until the next call; a line too long for a sighting is cut
 * behind RUSH_LINE_MAX bytes. A row whose quotation mark is never closed is its first line alone. False
 * at the end, or with errno set when reading failed. */
bool input_next(input_lines *lines, rush_text *line);
/* Whether a whole line is in the window, so that input_next will not wait for one. */
bool input_waits(const input_lines *lines);
void input_close(input_lines *lines);

#endif
