/* sow: a new key from a plain table, and any key as such a table. */
#include <string.h>

#include "command.h"
#include "input.h"
#include "output.h"

typedef struct sow_settings {
    const char *id, *title, *characters, *table, *character_table;
} sow_settings;

static const sow_settings defaults = {0};

#define AT(member) offsetof(sow_settings, member)
static const rush_option options[] = {
    {"id", OPTION_STRING, AT(id), "NAME",
     "the key's short name; the table's file name unless told", 0, 0, NULL},
    {"title", OPTION_STRING, AT(title), "TEXT", "what it is a key to", 0, 0, NULL},
    {"characters", OPTION_STRING, AT(characters), "FILE",
     "a second table, of what the characters are asked with", 0, 0, NULL},
    {"table", OPTION_STRING, AT(table), "KEY", "write this key out as a table instead", 0, 0,
     NULL},
    {"character-table", OPTION_STRING, AT(character_table), "KEY",
     "write its characters out as the second table", 0, 0, NULL},
};
#undef AT

static const char examples[] =
    "  rushlight sow shells.csv > shells.yaml   # then: rushlight check shells.yaml\n"
    "  rushlight sow --title 'Shells of one beach' shells.csv > shells.yaml\n"
    "  rushlight sow --table shells.yaml > shells.csv\n"
    "  rushlight sow --character-table shells.yaml > characters.csv\n"
    "  rushlight sow --characters characters.csv shells.csv > again.yaml\n";

static const char more[] =
    "A row of the table is a taxon, or a form of one; the first row names the columns. `taxon`, `rank`,\n"
    "`within` (or a column for a rank: `family`, `genus`), `sex`, `form`, `share`, `occurrence`,\n"
    "`vernacular` (`vernacular:nl`), `also`, `authority`, `caution`, `source` and `note` say what a row is;\n"
    "every other column is a character: `length (mm)`, `ribs (count)`, `month (months)`,\n"
    "`habitat (setting)`; `X source` and `X note` go with the column X. Cells: red, red|orange,\n"
    "red 0.7|orange 0.3, 30-36, 33\xc2\xb1"
    "2, Apr-Oct, inapplicable, unknown, or nothing.\n"
    "Without `within` a species stands within the genus that its name begins with. What is wrong in a cell\n"
    "is said, with its place, and left out; the exit status is then 1.\n\n"
    "The second table has a row for a `character`, or with its `state` filled in for one of its states:\n"
    "`label`, `ask`, `tip`, `includes` (or `label:nl`), `also`, `states`, `confused` (round|oval; oval|fan),\n"
    "`reach`, `effort`, `misread`, `bare`, `look next`, `setting`, `measure`, `unit`, `reading error`,\n"
    "`resolution`, `words` (small: under 35; large: over 60), `sketch`.\n";

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
    rush_buffer table, characters, id, yaml;
    rush_diagnostics *list;
} sowing;

/* A table's text by the name of its file; false, with a diagnostic, when it cannot be read. */
static bool read_table(const char *path, rush_buffer *text, rush_diagnostics *list,
                       rush_table_text *table)
{
    const char *problem = input_whole(path, text);
    if (problem)
        rush_diagnostics_note(list, RUSH_CANNOT_OPEN, path, problem, NULL);
    *table = (rush_table_text){strcmp(path, "-") == 0 ? "stdin" : path,
                               {text->bytes ? text->bytes : "", text->length}};
    return !problem;
}

static int sow_tables(const sow_settings *settings, const char *path, sowing *run)
{
    rush_sowing seed = {.title = settings->title};
    bool read = read_table(path, &run->table, run->list, &seed.taxa);
    if (settings->characters)
        read &= read_table(settings->characters, &run->characters, run->list, &seed.characters);
    if (settings->id)
        rush_buffer_string(&run->id, settings->id);
    else
        name_after(strcmp(path, "-") == 0 ? "new-key" : path, &run->id);
    seed.id = run->id.bytes;
    if (run->table.failed || run->characters.failed || run->id.failed)
        return output_no_memory();
    if (read)
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

static int write_table(const char *name, bool characters)
{
    int status;
    rush_key *key = input_key_for_command(name, &status);
    if (!key)
        return status;
    rush_buffer csv = {0};
    if (characters)
        rush_table_of_characters(key, &csv);
    else
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
    const char *out = settings->table ? settings->table : settings->character_table;
    if (settings->table && settings->character_table)
        return usage("one table is written at a time");
    if (out && (count || settings->id || settings->title || settings->characters))
        return usage("a table is written or read, not both");
    if (out)
        return write_table(out, out != settings->table);
    if (count != 1)
        return usage(count ? "one table makes one key" : "no table is given");
    if (!is_one_line(settings->title) || !is_one_line(settings->id) ||
        (settings->id && !*settings->id))
        return usage("--id and --title take a line of text");
    sowing run = {.list = rush_diagnostics_new()};
    int status = run.list ? sow_tables(settings, files[0], &run) : output_no_memory();
    rush_buffer_free(&run.table);
    rush_buffer_free(&run.characters);
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
