#include "output.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "command.h"

static bool write_all(int file, const rush_buffer *buffer)
{
    for (size_t at = 0; at < buffer->length;) {
        ssize_t written = write(file, buffer->bytes + at, buffer->length - at);
        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        at += (size_t)written;
    }
    return true;
}

bool output_write(rush_buffer *buffer)
{
    static bool said;
    bool whole = !buffer->failed, written = whole && write_all(STDOUT_FILENO, buffer);
    if (!written && !said && !(whole && errno == EPIPE)) {
        rush_buffer message = {0};
        rush_buffer_format(&message, "rushlight: the output could not be written: %s\n",
                           whole ? strerror(errno) : "out of memory");
        output_error(&message);
        rush_buffer_free(&message);
        said = true;
    }
    rush_buffer_clear(buffer);
    return written;
}

void output_error(rush_buffer *buffer)
{
    write_all(STDERR_FILENO, buffer);
    rush_buffer_clear(buffer);
}

void output_diagnostics(rush_diagnostics *list)
{
    rush_buffer text = {0};
    rush_diagnostics_write(list, &text);
    output_error(&text);
    rush_buffer_free(&text);
    rush_diagnostics_clear(list);
}

int output_no_memory(void)
{
    rush_buffer message = {0};
    rush_buffer_format(&message, "rushlight: %s\n", rush_slug_meaning(RUSH_OUT_OF_MEMORY));
    output_error(&message);
    rush_buffer_free(&message);
    return EXIT_FAULT;
}
