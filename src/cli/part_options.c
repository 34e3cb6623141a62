#include "part_options.h"

#include <errno.h>
#include <string.h>

#include "command.h"
#include "input.h"
#include "output.h"

enum { LIST_MAX = 1 << 20 }; /* bytes of a list of names */

static void complain(const char *file, const char *problem)
{
    rush_buffer message = {0};
    rush_buffer_string(&message, "rushlight: --taxa: ");
    rush_buffer_safe(&message, rush_text_of(file));
    rush_buffer_format(&message, ": %s\n", problem);
    output_error(&message);
    rush_buffer_free(&message);
}

static bool read_list(const char *file, rush_buffer *names)
{
    input_lines lines;
    rush_text line;
    if (!input_open(&lines, file)) {
        complain(file, strerror(errno));
        return false;
    }
    while (names->length <= LIST_MAX && input_next(&lines, &line)) {
        rush_buffer_add(names, line);
        rush_buffer_byte(names, '\n');
    }
    int problem = names->length > LIST_MAX ? EFBIG : errno;
    input_close(&lines);
    if (problem)
        complain(file, strerror(problem));
    return !problem;
}

static const rush_part *choose(const rush_key *key, const rush_part_request *request, int *status)
{
    rush_diagnostics *list = rush_diagnostics_new();
    const rush_part *part = list ? rush_part_choose(key, request, list) : NULL;
    if (!list) {
        *status = output_no_memory();
        return NULL;
    }
    if (!part)
        *status = rush_diagnostics_out_of_memory(list) ? EXIT_FAULT : EXIT_USAGE;
    else if (rush_diagnostics_errors(list))
        *status = EXIT_WRONG_INPUT;
    output_diagnostics(list);
    rush_diagnostics_free(list);
    return part;
}

bool part_or_whole(const rush_key *key, const part_settings *settings, uint32_t language,
                   const rush_part **part, int *status)
{
    rush_sighting *where = NULL;
    rush_buffer names = {0};
    *part = NULL;
    if (settings->where && !input_line(key, "--where", rush_text_of(settings->where), &where)) {
        *status = EXIT_USAGE;
    } else if (settings->taxa && !read_list(settings->taxa, &names)) {
        *status = EXIT_USAGE;
    } else if (names.failed) {
        *status = output_no_memory();
    } else {
        rush_part_request request = {
            where,          rush_text_of(settings->within), rush_text_of(settings->occurrence),
            settings->taxa, {names.bytes, names.length},    language};
        *part = choose(key, &request, status);
    }
    rush_sighting_free(where);
    rush_buffer_free(&names);
    return *part != NULL;
}

bool part_of_options(const rush_key *key, const part_settings *settings, uint32_t language,
                     const rush_part **part, int *status)
{
    *part = NULL;
    if (!settings->where && !settings->within && !settings->occurrence && !settings->taxa)
        return true;
    return part_or_whole(key, settings, language, part, status);
}
