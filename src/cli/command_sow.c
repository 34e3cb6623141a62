/* sow: a new key from a plain table, and any key as such a table. */
#include <string.h>

#include "command.h"
#include "input.h"
#include "output.h"

typedef struct sow_settings {
    const char *id, *title, *table;
} sow_settings;

static const sow_settings defaults = {0};

#define AT(member) offsetof(sow_settings, member)
static const rush_option options[] = {
    {"id", OPTION_STRING, AT(id), "NAME",
     "the key's short name; the table's file name unless told", 0, 0, NULL},
    {"title", OPTION_STRING, AT(title), "TEXT", "what it is a key to", 0, 0, NULL},
    {"table", OPTION_STRING, AT(table), "KEY", "write this key out as a table instead", 0, 0,
     NULL},
};
#undef AT

static const char examples[] =
    "  rushlight sow shells.csv > shells.yaml   # then: rushlight check shells.yaml\n"
    "  rushlight sow --title 'Shells of one beach' shells.csv > shells.yaml\n"
    "  rushlight sow --table shells.yaml > shells.csv\n";

static const char more[] =
    "A row of the table is a taxon, or a form of one; the first row names the columns. `taxon`, `rank`,\n"
    "`within` (or a column for a rank: `family`, `genus`), `sex`, `form`, `share`, `occurrence`,\n"
    "`vernacular` (`vernacular:nl`), `also`, `authority`, `caution`, `source` and `note` say what a row is;\n"
    "every other column is a character: `length (mm)`, `ribs (count)`, `month (months)`,\n"
    "`habitat (setting)`; `X source` and `X note` go with the column X. Cells: red, red|orange,\n"
    "red 0.7|orange 0.3, 30-36, 33\xc2\xb1"
    "2, Apr-Oct, inapplicable, unknown, or nothing.\n"
    "Without `within` a species stands within the genus that its name begins with. What is wrong in a cell\n"
    "is said, with its place, and left out; the exit status is then 1.\n";

/* `beach/Shells 2.csv`: Shells-2. */
static void name_after(const char *path, rush_buffer *id)
{
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    const char *dot = strrchr(name, '.');
    size_t length = dot && dot != name ? (size_t)(dot - name) : strlen(name);
    for (size_t i = 0; i < length; i++) {
        char c = name[i];
        bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (plain)
            rush_buffer_byte(id, c);
        else if (id->length && id->bytes[id->length - 1] != '-')
            rush_buffer_byte(id, '-');
    }
    while (id->length && id->bytes[id->length - 1] == '-')
        id->bytes[--id->length] = '\0';
    if (!id->length)
        rush_buffer_string(id, "new-key");
}

static int usage(const char *problem)
{
    rush_buffer text = {0};
    rush_buffer_format(&text, "rushlight sow: %s\nsee rushlight sow --help\n", problem);
    output_error(&text);
    rush_buffer_free(&text);
    return EXIT_USAGE;
}

/* The texts of a run, and what is found in them. */
typedef struct sowing {
    rush_buffer table, id, yaml;
    rush_diagnostics *list;
} sowing;

static int sow_table(const sow_settings *settings, const char *path, sowing *run)
{
    const char *problem = input_whole(path, &run->table);
    if (problem) {
        rush_diagnostics_note(run->list, RUSH_CANNOT_OPEN, path, problem, NULL);
        output_diagnostics(run->list);
        return EXIT_WRONG_INPUT;
    }
    bool stdin_read = strcmp(path, "-") == 0;
    if (settings->id)
        rush_buffer_string(&run->id, settings->id);
    else
        name_after(stdin_read ? "new-key" : path, &run->id);
    if (run->table.failed || run->id.failed)
        return output_no_memory();
    rush_sowing seed = {
        .taxa = {stdin_read ? "stdin" : path, {run->table.bytes, run->table.length}},
        .id = run->id.bytes,
        .title = settings->title};
    rush_sow(&seed, run->list, &run->yaml);
    bool whole = !rush_diagnostics_out_of_memory(run->list);
    int status = !whole                               ? EXIT_FAULT
                 : rush_diagnostics_errors(run->list) ? EXIT_WRONG_INPUT
                                                      : EXIT_DONE;
    output_diagnostics(run->list);
    if (whole && !output_write(&run->yaml))
        status = EXIT_FAULT;
    return status;
}

static int write_table(const char *name)
{
    int status;
    rush_key *key = input_key_for_command(name, &status);
    if (!key)
        return status;
    rush_buffer csv = {0};
    rush_table_of_taxa(key, &csv);
    status = output_write(&csv) ? EXIT_DONE : EXIT_FAULT;
    rush_buffer_free(&csv);
    rush_key_free(key);
    return status;
}

/* A text that goes into the key as it is. */
static bool is_one_line(const char *text)
{
    for (; text && *text; text++)
        if ((unsigned char)*text < ' ' || *text == 0x7f)
            return false;
    return true;
}

static int run_sow(const void *given, char **files, int count)
{
    const sow_settings *settings = given;
    if (settings->table && (count || settings->id || settings->title))
        return usage("--table writes a key out: no table is read then");
    if (settings->table)
        return write_table(settings->table);
    if (count != 1)
        return usage(count ? "one table makes one key" : "no table is given");
    if (!is_one_line(settings->title) || !is_one_line(settings->id) ||
        (settings->id && !*settings->id))
        return usage("--id and --title take a line of text");
    sowing run = {.list = rush_diagnostics_new()};
    int status = run.list ? sow_table(settings, files[0], &run) : output_no_memory();
    rush_buffer_free(&run.table);
    rush_buffer_free(&run.id);
    rush_buffer_free(&run.yaml);
    rush_diagnostics_free(run.list);
    return status;
}

const rush_command command_sow = {
    .name = "sow",
    .summary = "begin a key from a table, or write a key as one",
    .operands = "[TABLE.csv]",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .run = run_sow,
};
