/* check: validate a key. The findings are the result, so they go to standard output. */
#include "command.h"
#include "input.h"
#include "output.h"

typedef struct check_settings {
    bool quiet;
} check_settings;

static const check_settings defaults = {0};

static const rush_option options[] = {
    {"quiet", OPTION_FLAG, offsetof(check_settings, quiet), NULL,
     "say nothing of a key without findings", 0, 0, NULL},
};

static const char examples[] =
    "  rushlight check my-key.yaml\n"
    "  rushlight check keys/shore-shells/      # the key.yaml of a folder\n"
    "  rushlight check odonata-adults          # a built-in key\n";

static const char more[] =
    "Reported are all faults of the file and its parts, and of a key that loads: pairs of taxa that no\n"
    "character separates, characters that separate nothing, worked sightings that give something else\n"
    "than they expect. An error makes the exit status 1; a warning does not.\n";

static void write_summary(const char *name, const rush_diagnostics *list, rush_buffer *out)
{
    size_t all = rush_diagnostics_count(list) + rush_diagnostics_dropped(list);
    size_t errors = rush_diagnostics_errors(list);
    rush_buffer_safe(out, rush_text_of(name));
    rush_buffer_format(out, ": %zu error%s, %zu other finding%s\n", errors,
                       errors == 1 ? "" : "s", all - errors, all - errors == 1 ? "" : "s");
}

/* The key file itself cannot be had: that is not a finding about it. */
static bool unreadable(const rush_diagnostics *list)
{
    return rush_diagnostics_count(list) == 1 &&
           rush_diagnostics_at(list, 0)->slug == RUSH_CANNOT_OPEN &&
           rush_diagnostics_at(list, 0)->place.line == 0;
}

static int check_one(const check_settings *settings, const char *name)
{
    rush_buffer out = {0};
    rush_diagnostics *list = rush_diagnostics_new();
    if (!list)
        return output_no_memory();
    rush_key *key = input_key(name, list);
    if (key)
        rush_check(key, list);
    int status = rush_diagnostics_errors(list) ? EXIT_WRONG_INPUT : EXIT_DONE;
    if (rush_diagnostics_out_of_memory(list))
        status = EXIT_FAULT;
    if (!key && unreadable(list)) {
        output_diagnostics(list);
        status = EXIT_KEY;
    } else if (!settings->quiet || rush_diagnostics_count(list)) {
        rush_diagnostics_write(list, &out);
        write_summary(name, list, &out);
    }
    if (!output_write(&out))
        status = EXIT_FAULT;
    rush_buffer_free(&out);
    rush_key_free(key);
    rush_diagnostics_free(list);
    return status;
}

static int run_check(const void *settings, char **files, int count)
{
    if (!count) {
        rush_buffer text = {0};
        rush_buffer_string(&text,
                           "rushlight check: no key file is given\nsee rushlight check --help\n");
        output_error(&text);
        rush_buffer_free(&text);
        return EXIT_USAGE;
    }
    int worst = EXIT_DONE;
    for (int i = 0; i < count; i++) {
        int status = check_one(settings, files[i]);
        if (status > worst)
            worst = status;
    }
    return worst;
}

const rush_command command_check = {
    .name = "check",
    .summary = "validate a key",
    .operands = "FILE...",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .run = run_check,
};
