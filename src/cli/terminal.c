#include "terminal.h"

#include <editline/readline.h>
#include <locale.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

const char *const terminal_colours[] = {"auto", "always", "never", NULL};

/* ---- Ctrl-C --------------------------------------------------------------------------------------- */

static volatile sig_atomic_t interrupted;

static void on_interrupt(int number)
{
    (void)number;
    interrupted = 1;
}

/* So that Ctrl-C ends the conversation in good order, with the line that keeps it. */
static void catch_interrupt(void)
{
    struct sigaction action = {.sa_handler = on_interrupt};
    sigaction(SIGINT, &action, NULL);
}

/* ---- completion ----------------------------------------------------------------------------------- */

static terminal_completer completing; /* libedit's callbacks carry no pointer of ours */
static rush_buffer completions;
static size_t completions_at, completions_stem;

/* libedit asks for one completion after the other; each is the word that it knows of, whose end is our stem,
 * with that end replaced. */
static char *next_completion(const char *word, int state)
{
    if (!state) {
        rush_text line = {rl_line_buffer, (size_t)rl_point};
        rush_buffer_clear(&completions);
        completing.complete(completing.with, line, &completions_stem, &completions);
        completions_at = 0;
    }
    size_t length = strlen(word);
    if (completions.failed || completions_at >= completions.length || completions_stem > length)
        return NULL;
    const char *name = completions.bytes + completions_at, *stop = strchr(name, '\n');
    completions_at = (size_t)(stop + 1 - completions.bytes);
    rush_buffer whole = {0};
    rush_buffer_add(&whole, (rush_text){word, length - completions_stem});
    rush_buffer_add(&whole, (rush_text){name, (size_t)(stop - name)});
    char *copy = whole.failed || !whole.bytes ? NULL : strdup(whole.bytes);
    rush_buffer_free(&whole);
    return copy;
}

static char **complete(const char *word, int start, int end)
{
    (void)start;
    (void)end;
    return rl_completion_matches(word, next_completion);
}

static void open_editor(terminal_completer completer)
{
    static char breaks[] = ";";
    setlocale(LC_CTYPE, "");
    completing = completer;
    rl_initialize();
    rl_attempted_completion_function = complete;
    rl_completer_word_break_characters = breaks;
    rl_completion_append_character = '\0';
    rl_attempted_completion_over = 1;
    catch_interrupt();
}

/* ---- lines ---------------------------------------------------------------------------------------- */

bool terminal_open(rush_terminal *terminal, terminal_completer completer, terminal_colour colour)
{
    terminal->interactive = isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
    terminal->colour = colour;
    terminal->edited = NULL;
    if (!terminal->interactive)
        return input_open(&terminal->lines, "-");
    open_editor(completer);
    return true;
}

void terminal_close(rush_terminal *terminal)
{
    free(terminal->edited);
    rush_buffer_free(&completions);
    if (!terminal->interactive)
        input_close(&terminal->lines);
}

bool terminal_next(rush_terminal *terminal, rush_text *line)
{
    if (!terminal->interactive)
        return input_next(&terminal->lines, line);
    free(terminal->edited);
    terminal->edited = interrupted ? NULL : readline("> ");
    if (!terminal->edited || interrupted)
        return false;
    if (terminal->edited[0])
        add_history(terminal->edited);
    *line = rush_text_of(terminal->edited);
    return true;
}

/* ---- the screen ----------------------------------------------------------------------------------- */

/* A colour is wanted, or a person looks and has not said no: no-color.org for the variable. */
static bool is_coloured(const rush_terminal *terminal)
{
    const char *no_colour = getenv("NO_COLOR"), *kind = getenv("TERM");
    if (terminal->colour != COLOUR_AUTO)
        return terminal->colour == COLOUR_ALWAYS;
    return isatty(STDOUT_FILENO) && !(no_colour && no_colour[0]) && kind &&
           strcmp(kind, "dumb") != 0;
}

rush_screen terminal_screen(const rush_terminal *terminal)
{
    struct winsize size;
    rush_screen screen = {80, 24, is_coloured(terminal)};
    if (isatty(STDOUT_FILENO) && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0) {
        if (size.ws_col) /* 0: not known */
            screen.columns = size.ws_col;
        if (size.ws_row)
            screen.rows = size.ws_row;
    }
    return screen;
}
