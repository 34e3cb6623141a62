/* Where a conversation's answers come from, and how wide and bright its screen is: a person at a terminal,
 * through libedit, or a pipe, line by line. */
#ifndef RUSH_CLI_TERMINAL_H
#define RUSH_CLI_TERMINAL_H

#include "input.h"
#include "rushlight/rushlight.h"

typedef enum terminal_colour { COLOUR_AUTO, COLOUR_ALWAYS, COLOUR_NEVER } terminal_colour;
extern const char *const terminal_colours[]; /* their words, ended by NULL */

/* What Tab goes on to, as rush_dialogue_complete has it. */
typedef struct terminal_completer {
    void (*complete)(const void *with, rush_text line, size_t *stem, rush_buffer *names);
    const void *with;
} terminal_completer;

typedef struct rush_terminal {
    bool interactive;
    terminal_colour colour;
    char *edited;      /* the last line of a person */
    input_lines lines; /* of a pipe */
} rush_terminal;

/* What the completer stands on must live as long as the terminal. False: no memory. */
bool terminal_open(rush_terminal *terminal, terminal_completer completer, terminal_colour colour);
void terminal_close(rush_terminal *terminal);
/* The next line, good until the next call; false at the end of the input, at Ctrl-D or Ctrl-C. */
bool terminal_next(rush_terminal *terminal, rush_text *line);
/* As it is now: a window may have been resized. */
rush_screen terminal_screen(const rush_terminal *terminal);

#endif
