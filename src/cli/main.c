/* The program, on top of the library's public headers:
 *
 *     words -> command (options.c) -> its file command_NAME.c -> input_*.c -> the library -> output.c
 *
 * Only src/cli opens files, prints, asks the terminal and sets the exit status. */
#include <signal.h>
#include <string.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif

#include "command.h"
#include "output.h"

static void write_usage(rush_buffer *buffer)
{
    rush_buffer_string(buffer, "rushlight: an offline engine for identification keys\n\n"
                               "Usage: rushlight COMMAND [OPTION...]\n\nCommands:\n");
    for (size_t i = 0; commands[i]; i++) {
        rush_buffer_format(buffer, "  %s", commands[i]->name);
        rush_buffer_fill(buffer, ' ', 10 - strlen(commands[i]->name));
        rush_buffer_format(buffer, "%s\n", commands[i]->summary);
    }
}

static int help(void)
{
    rush_buffer text = {0};
    rush_buffer_string(&text, "Examples:\n"
                              "  rushlight ask\n"
                              "  echo 'folded; red; about 35 mm' | rushlight rank\n"
                              "  rushlight check my-key.yaml\n"
                              "  rushlight about 'rest posture'\n\n");
    write_usage(&text);
    rush_buffer_string(&text,
                       "\nrushlight COMMAND --help says more, with examples.\n"
                       "An opinion with a probability is not a determination: a record is for a "
                       "verifier to accept.\n");
    bool written = output_write(&text);
    rush_buffer_free(&text);
    return written ? EXIT_DONE : EXIT_FAULT;
}

static int usage_error(const char *word)
{
    rush_buffer text = {0};
    const char *names[16] = {0};
    for (size_t i = 0; commands[i] && i + 1 < COUNT(names); i++)
        names[i] = commands[i]->name;
    if (word) {
        const char *nearest = rush_text_nearest(rush_text_of(word), names);
        rush_buffer_string(&text, "rushlight: no such command '");
        rush_buffer_safe(&text, rush_text_of(word));
        rush_buffer_byte(&text, '\'');
        if (nearest)
            rush_buffer_format(&text, "; did you mean '%s'?", nearest);
        rush_buffer_string(&text, "\nsee rushlight --help\n");
    } else {
        write_usage(&text);
        rush_buffer_string(&text, "\nsee rushlight --help\n");
    }
    output_error(&text);
    rush_buffer_free(&text);
    return EXIT_USAGE;
}

static int version(void)
{
    rush_buffer text = {0};
    rush_buffer_string(&text, "rushlight " RUSHLIGHT_VERSION "\n");
    bool written = output_write(&text);
    rush_buffer_free(&text);
    return written ? EXIT_DONE : EXIT_FAULT;
}

int main(int argc, char **argv)
{
    /* A reader that has gone, a file that may grow no further: writing fails, and is reported. */
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN);
#ifdef __GLIBC__
    /* glibc: what is large is the system's again as soon as it is freed, and takes no memory before it is used; of what
     * is small some is asked for at a time, and kept. */
    mallopt(M_MMAP_THRESHOLD, 128 * 1024);
    mallopt(M_TOP_PAD, 1024 * 1024);
    mallopt(M_TRIM_THRESHOLD, 8 * 1024 * 1024);
#endif
    if (argc < 2)
        return usage_error(NULL);
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0)
        return help();
    if (strcmp(argv[1], "--version") == 0)
        return version();
    for (size_t i = 0; commands[i]; i++)
        if (strcmp(argv[1], commands[i]->name) == 0)
            return command_run(commands[i], argv + 2, argc - 2);
    return usage_error(argv[1]);
}
