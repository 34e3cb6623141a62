/* check: validate keys. The findings are the result, so they go to standard output. */
#include <stdlib.h>
#include <string.h>

#include "command.h"
#include "input.h"
#include "output.h"

enum { OUT_TEXT, OUT_JSON, OUT_SARIF };

typedef struct check_settings {
    bool quiet, strict;
    const char *explain;
    int out;
    option_list grades; /* --error, --warning and --allow, in their order */
} check_settings;

static const check_settings defaults = {0};

static const char *const outs[] = {"text", "json", "sarif", NULL};

#define AT(member) offsetof(check_settings, member)
static const rush_option options[] = {
    {"error", OPTION_LISTED, AT(grades), "SLUG", "findings of this slug are errors", 0, 0, NULL},
    {"warning", OPTION_LISTED, AT(grades), "SLUG", "findings of this slug are warnings", 0, 0,
     NULL},
    {"allow", OPTION_LISTED, AT(grades), "SLUG",
     "findings of this slug are not told; the last option of a\n"
     "                          slug holds",
     0, 0, NULL},
    {"strict", OPTION_FLAG, AT(strict), NULL, "warnings are errors", 0, 0, NULL},
    {"explain", OPTION_STRING, AT(explain), "SLUG",
     "what it means, with an example; no key is read", 0, 0, NULL},
    {"out", OPTION_CHOICE, AT(out), NULL, "how the findings are written", 0, 0, outs},
    {"quiet", OPTION_FLAG, AT(quiet), NULL, "say nothing of a key without findings", 0, 0, NULL},
};
#undef AT

static const char examples[] =
    "  rushlight check my-key.yaml\n"
    "  rushlight check keys/shore-shells/      # the key.yaml of a folder\n"
    "  rushlight check odonata-adults          # a built-in key\n"
    "  rushlight check --explain not-itself\n"
    "  rushlight check --strict --allow no-tip --out sarif my-key.yaml > my-key.sarif\n";

static const char more[] =
    "Reported in one run are all faults of the file and its parts, what is weak in the key (what cannot\n"
    "be told apart, what no taxon has, numbers many times off, traits without a source ...), and worked\n"
    "sightings that give something else than they expect. Each finding ends in its [slug]. An error\n"
    "makes the exit status 1; a warning or a note does not. What stops a key from loading stays an error.\n";

/* ---- severities --------------------------------------------------------------------------------- */

static int slug_error(const char *option, const char *slug, const char *problem)
{
    rush_buffer text = {0};
    const char *nearest = problem ? NULL : rush_slug_nearest(rush_text_of(slug));
    rush_buffer_format(&text, "rushlight check: --%s: ", option);
    rush_buffer_string(&text, problem ? "'" : "there is no slug '");
    rush_buffer_safe(&text, rush_text_of(slug));
    rush_buffer_string(&text, "'");
    if (problem)
        rush_buffer_format(&text, " %s", problem);
    if (nearest)
        rush_buffer_format(&text, "; did you mean '%s'?", nearest);
    rush_buffer_string(&text, "\nsee rushlight check --help\n");
    output_error(&text);
    rush_buffer_free(&text);
    return EXIT_USAGE;
}

/* The severities that the options ask for. */
static int read_grades(const check_settings *settings, rush_grades *grades)
{
    rush_grades_usual(grades);
    for (uint32_t i = 0; i < settings->grades.count; i++) {
        const char *option = settings->grades.items[i].option;
        const char *name = settings->grades.items[i].value;
        rush_slug slug = rush_slug_find(rush_text_of(name));
        if (slug == RUSH_SLUG_COUNT)
            return slug_error(option, name, NULL);
        if (!rush_slug_adjustable(slug) && strcmp(option, "error") != 0)
            return slug_error(option, name, "stops a key from loading: it stays an error");
        grades->allowed[slug] = strcmp(option, "allow") == 0;
        grades->of[slug] = strcmp(option, "error") == 0     ? RUSH_ERROR
                           : strcmp(option, "warning") == 0 ? RUSH_WARNING
                                                            : grades->of[slug];
    }
    for (int i = 0; i < RUSH_SLUG_COUNT && settings->strict; i++)
        if (grades->of[i] == RUSH_WARNING)
            grades->of[i] = RUSH_ERROR;
    return EXIT_DONE;
}

/* ---- text --------------------------------------------------------------------------------------- */

static void write_count(size_t count, const char *what, const char *behind, rush_buffer *out)
{
    rush_buffer_format(out, "%zu %s%s%s", count, what, count == 1 ? "" : "s", behind);
}

static void write_summary(const rush_findings *key, rush_buffer *out)
{
    rush_buffer_safe(out, rush_text_of(key->key));
    rush_buffer_string(out, ": ");
    write_count(rush_diagnostics_of(key->list, RUSH_ERROR), "error", ", ", out);
    write_count(rush_diagnostics_of(key->list, RUSH_WARNING), "warning", ", ", out);
    write_count(rush_diagnostics_of(key->list, RUSH_NOTE), "note", "\n", out);
}

static bool write_text(const check_settings *settings, const rush_findings *keys, uint32_t count)
{
    bool written = true;
    for (uint32_t i = 0; i < count; i++) {
        rush_buffer text = {0};
        if (!keys[i].read) {
            rush_diagnostics_write(keys[i].list, &text);
            output_error(&text);
        } else if (!settings->quiet || rush_diagnostics_count(keys[i].list)) {
            rush_diagnostics_write(keys[i].list, &text);
            write_summary(&keys[i], &text);
            written &= output_write(&text);
        }
        rush_buffer_free(&text);
    }
    return written;
}

static bool write_findings(const check_settings *settings, const rush_findings *keys,
                           uint32_t count)
{
    if (settings->out == OUT_TEXT)
        return write_text(settings, keys, count);
    rush_buffer out = {0};
    if (settings->out == OUT_JSON)
        rush_report_findings_json(keys, count, RUSHLIGHT_VERSION, &out);
    else
        rush_report_findings_sarif(keys, count, RUSHLIGHT_VERSION, &out);
    bool written = output_write(&out);
    rush_buffer_free(&out);
    return written;
}

static int explain(const char *name)
{
    rush_slug slug = rush_slug_find(rush_text_of(name));
    if (slug == RUSH_SLUG_COUNT)
        return slug_error("explain", name, NULL);
    rush_buffer out = {0};
    rush_report_slug(slug, &out);
    bool written = output_write(&out);
    rush_buffer_free(&out);
    return written ? EXIT_DONE : EXIT_FAULT;
}

/* ---- the command -------------------------------------------------------------------------------- */

/* The key file itself cannot be had: that is not a finding about it. */
static bool unreadable(const rush_diagnostics *list)
{
    return rush_diagnostics_count(list) == 1 &&
           rush_diagnostics_at(list, 0)->slug == RUSH_CANNOT_OPEN &&
           rush_diagnostics_at(list, 0)->place.line == 0;
}

/* Fills a list that is graded; returns the exit status of this key. */
static int check_one(const char *name, rush_diagnostics *list, rush_findings *findings)
{
    rush_key *key = input_faulty_key(name, list);
    if (key)
        rush_check(key, list);
    *findings = (rush_findings){name, list, key || !unreadable(list)};
    rush_key_free(key);
    if (rush_diagnostics_out_of_memory(list))
        return EXIT_FAULT;
    return !findings->read                 ? EXIT_KEY
           : rush_diagnostics_errors(list) ? EXIT_WRONG_INPUT
                                           : EXIT_DONE;
}

static int check_all(const check_settings *settings, const rush_grades *grades, char **files,
                     uint32_t count, rush_findings *keys)
{
    int worst = EXIT_DONE;
    uint32_t done = 0;
    for (; done < count; done++) {
        rush_diagnostics *list = rush_diagnostics_new();
        if (!list)
            break;
        rush_diagnostics_grade(list, grades);
        int status = check_one(files[done], list, &keys[done]);
        worst = status > worst ? status : worst;
    }
    if (!write_findings(settings, keys, done))
        worst = EXIT_FAULT;
    if (done < count)
        worst = output_no_memory();
    for (uint32_t i = 0; i < done; i++)
        rush_diagnostics_free((rush_diagnostics *)keys[i].list);
    return worst;
}

static int run_check(const void *with, char **files, int count)
{
    const check_settings *settings = with;
    rush_grades grades;
    int status = read_grades(settings, &grades);
    if (status != EXIT_DONE)
        return status;
    if (settings->explain)
        return explain(settings->explain);
    if (!count) {
        rush_buffer text = {0};
        rush_buffer_string(&text,
                           "rushlight check: no key file is given\nsee rushlight check --help\n");
        output_error(&text);
        rush_buffer_free(&text);
        return EXIT_USAGE;
    }
    rush_findings *keys = calloc((size_t)count, sizeof *keys);
    if (!keys)
        return output_no_memory();
    status = check_all(settings, &grades, files, (uint32_t)count, keys);
    free(keys);
    return status;
}

const rush_command command_check = {
    .name = "check",
    .summary = "validate a key",
    .operands = "KEY...",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .run = run_check,
};
