#include "output.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "command.h"

static bool write_all(int file, rush_text text)
{
    for (size_t at = 0; at < text.length;) {
        ssize_t written = write(file, text.at + at, text.length - at);
        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        at += (size_t)written;
    }
    return true;
}

/* Once is enough. */
static void say_unwritten(const char *why)
{
    static bool said;
    if (said)
        return;
    said = true;
    rush_buffer message = {0};
    rush_buffer_format(&message, "rushlight: the output could not be written: %s\n", why);
    output_error(&message);
    rush_buffer_free(&message);
}

bool output_text(rush_text text)
{
    if (write_all(STDOUT_FILENO, text))
        return true;
    if (errno != EPIPE)
        say_unwritten(strerror(errno));
    return false;
}

bool output_write(rush_buffer *buffer)
{
    bool written = false;
    if (buffer->failed)
        say_unwritten("out of memory");
    else
        written = output_text((rush_text){buffer->bytes, buffer->length});
    rush_buffer_clear(buffer);
    return written;
}

void output_error_text(rush_text text)
{
    write_all(STDERR_FILENO, text);
}

void output_error(rush_buffer *buffer)
{
    output_error_text((rush_text){buffer->bytes, buffer->length});
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
