#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "input.h"

enum { WINDOW = 4 * RUSH_LINE_MAX };

bool input_open(input_lines *lines, const char *name)
{
    *lines = (input_lines){.file = STDIN_FILENO, .room = WINDOW};
    if (strcmp(name, "-") != 0)
        lines->file = open(name, O_RDONLY | O_CLOEXEC);
    if (lines->file < 0)
        return false;
    lines->bytes = malloc(lines->room);
    if (lines->bytes)
        return true;
    input_close(lines);
    errno = ENOMEM;
    return false;
}

void input_close(input_lines *lines)
{
    if (lines->file > STDIN_FILENO)
        close(lines->file);
    free(lines->bytes);
    lines->bytes = NULL;
}

/* Reads what there is, behind what is left of the window; false at the end or on an error. */
static bool fill(input_lines *lines)
{
    if (lines->from) {
        memmove(lines->bytes, lines->bytes + lines->from, lines->to - lines->from);
        lines->to -= lines->from;
        lines->from = 0;
    }
    ssize_t got;
    do
        got = read(lines->file, lines->bytes + lines->to, lines->room - lines->to);
    while (got < 0 && errno == EINTR);
    if (got > 0)
        lines->to += (size_t)got;
    lines->ended = got <= 0;
    return got > 0;
}

/* Drops the rest of a line that has been cut. */
static void skip_rest(input_lines *lines)
{
    for (;;) {
        char *stop = memchr(lines->bytes + lines->from, '\n', lines->to - lines->from);
        if (stop) {
            lines->from = (size_t)(stop + 1 - lines->bytes);
            break;
        }
        lines->from = lines->to;
        if (!fill(lines))
            break;
    }
    lines->cut = false;
}

bool input_next(input_lines *lines, rush_text *line)
{
    errno = 0;
    if (lines->cut)
        skip_rest(lines);
    size_t looked = 0;
    for (;;) {
        size_t waiting = lines->to - lines->from;
        char *start = lines->bytes + lines->from;
        char *stop = memchr(start + looked, '\n', waiting - looked);
        looked = waiting;
        bool whole = stop != NULL, too_long = !whole && waiting > RUSH_LINE_MAX;
        if (whole || too_long || (lines->ended && waiting)) {
            *line = (rush_text){start, whole ? (size_t)(stop - start) : waiting};
            lines->from += line->length + whole;
            lines->cut = too_long;
            lines->number++;
            if (lines->number == 1 && line->length >= 3 && memcmp(start, "\xef\xbb\xbf", 3) == 0)
                *line = (rush_text){start + 3, line->length - 3};
            return true;
        }
        if (lines->ended)
            return false;
        fill(lines);
        if (lines->ended && errno)
            return false;
    }
}

bool input_waits(const input_lines *lines)
{
    return !lines->cut &&
           memchr(lines->bytes + lines->from, '\n', lines->to - lines->from) != NULL;
}
