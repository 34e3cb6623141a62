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

/* A row of CSV that is being looked through for its end. */
typedef struct row_scan {
    size_t at;
    enum { FRESH, PLAIN, QUOTED, CLOSED } cell; /* CLOSED: behind its closing quotation mark */
    bool broken;                                /* something else stands behind one */
} row_scan;

static bool is_separator(const input_lines *lines, char c)
{
    return lines->separator ? c == lines->separator : c == ',' || c == ';' || c == '\t';
}

/* Goes on to the line break that ends the row; NULL when it is not in the window. A quotation mark counts
 * where a cell begins with it (RFC 4180), so that a stray one takes no further line with it. */
static char *row_end(const input_lines *lines, row_scan *scan)
{
    char *start = lines->bytes + lines->from;
    for (size_t waiting = lines->to - lines->from; scan->at < waiting; scan->at++) {
        char c = start[scan->at];
        if (scan->cell == QUOTED) {
            scan->cell = c == '"' ? CLOSED : QUOTED;
        } else if (c == '\n') {
            return start + scan->at;
        } else if (c == '"') {
            scan->cell = scan->cell == PLAIN ? PLAIN : QUOTED;
        } else if (is_separator(lines, c)) {
            scan->cell = FRESH;
        } else if (c != ' ' && c != '\r') {
            scan->broken |= scan->cell == CLOSED;
            scan->cell = PLAIN;
        }
    }
    return NULL;
}

static char *line_end(const input_lines *lines, row_scan *scan)
{
    if (lines->rows)
        return row_end(lines, scan);
    size_t waiting = lines->to - lines->from, looked = scan->at;
    scan->at = waiting;
    return memchr(lines->bytes + lines->from + looked, '\n', waiting - looked);
}

static uint32_t count_breaks(rush_text text)
{
    uint32_t count = 0;
    for (const char *at = text.at, *end = at + text.length;
         at < end && (at = memchr(at, '\n', (size_t)(end - at))); at++)
        count++;
    return count;
}

/* Takes a line of so many bytes out of the window, and its line break. */
static void take(input_lines *lines, size_t length, bool whole, rush_text *line)
{
    *line = (rush_text){lines->bytes + lines->from, length};
    lines->from += length + whole;
    lines->number += 1 + lines->breaks;
    lines->breaks = lines->rows ? count_breaks(*line) : 0;
    if (lines->number == 1 && length >= 3 && memcmp(line->at, "\xef\xbb\xbf", 3) == 0)
        *line = (rush_text){line->at + 3, length - 3};
}

/* A quotation mark that is never closed, or by the first one of another cell further down: the row ends
 * where its first line does, so that it alone is lost. */
static bool take_open_row(input_lines *lines, rush_text *line)
{
    char *start = lines->bytes + lines->from;
    char *stop = memchr(start, '\n', lines->to - lines->from);
    if (stop)
        take(lines, (size_t)(stop - start), true, line);
    return stop != NULL;
}

bool input_next(input_lines *lines, rush_text *line)
{
    errno = 0;
    if (lines->cut)
        skip_rest(lines);
    row_scan scan = {0};
    for (;;) {
        char *stop = line_end(lines, &scan);
        size_t waiting = lines->to - lines->from;
        bool too_long = !stop && waiting > RUSH_LINE_MAX;
        bool open = scan.broken || scan.cell == QUOTED;
        if (open && (stop || too_long || lines->ended) && take_open_row(lines, line))
            return true;
        if (stop || too_long || (lines->ended && waiting)) {
            take(lines, stop ? (size_t)(stop - lines->bytes) - lines->from : waiting,
                 stop != NULL, line);
            lines->cut = too_long;
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
    row_scan scan = {0};
    return !lines->cut && line_end(lines, &scan) != NULL;
}
