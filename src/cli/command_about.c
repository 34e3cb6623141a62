/* about: what a key says of itself, of a taxon or of a character; a part of it as a table. */
#include "command.h"
#include "input.h"
#include "output.h"
#include "part_options.h"
#include "terminal.h"

#include <stdlib.h>
#include <string.h>

typedef struct about_settings {
    const char *key, *language, *characters;
    part_settings part;
    bool table;
    int down;
    uint32_t columns;
} about_settings;

static const about_settings defaults = {0};
/* in the order of rush_table_way */
static const char *const downs[] = {"shorter", "taxa", "characters", NULL};

#define AT(member) offsetof(about_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    {"language", OPTION_STRING, AT(language), "L",
     "of names and texts; the key's first unless told", 0, 0, NULL},
    {"table", OPTION_FLAG, AT(table), NULL,
     "as a table, taxa by characters; the next ones mean it too", 0, 0, NULL},
    {"characters", OPTION_STRING, AT(characters), "NAMES",
     "only these, with commas between: \"wing spot, legs\"", 0, 0, NULL},
    PART_OPTIONS(about_settings, part),
    {"down", OPTION_CHOICE, AT(down), "taxa|characters|shorter",
     "what the rows are; the shorter way unless told", 0, 0, downs},
    {"columns", OPTION_WHOLE, AT(columns), "N", "how wide; 0 is as wide as the terminal, or 80",
     0, 1000, NULL},
};
#undef AT

static const char examples[] =
    "  rushlight about                         # the key: characters, taxa\n"
    "  rushlight about Pyrrhosoma nymphula     # a taxon, with sources\n"
    "  rushlight about rest posture            # a character, its states\n"
    "  rushlight about body                    # a topic of this key\n"
    "  rushlight about --table Lestes          # its taxa side by side\n"
    "  rushlight about --table Lestidae --characters \"spur, claspers\"\n";

static void complain(const char *before, rush_text name, const char *after)
{
    rush_buffer message = {0};
    rush_buffer_format(&message, "rushlight about: %s '", before);
    rush_buffer_safe(&message, name);
    rush_buffer_format(&message, "'%s\n", after);
    output_error(&message);
    rush_buffer_free(&message);
}

static bool report_named(const rush_key *key, rush_text text, uint32_t language, rush_buffer *out)
{
    uint32_t character = rush_key_find_character(key, text);
    uint32_t taxon = rush_key_find_taxon(key, text), topic = rush_key_find_topic(key, text);
    bool found = true;
    if (taxon != RUSH_NONE) {
        rush_report_taxon(key, taxon, language, out);
    } else if (character != RUSH_NONE) {
        rush_report_character(key, character, language, out);
    } else if (topic != RUSH_NONE) {
        rush_report_topic(key, topic, language, out);
    } else {
        found = false;
        complain("the key has no taxon, character or topic", text,
                 "\n`rushlight about` without a name lists them");
    }
    return found;
}

/* ---- tables ------------------------------------------------------------------------------------- */

/* One character by a name; RUSH_NONE, and said, when it has no traits. */
static uint32_t find_trait_character(const rush_key *key, rush_text name)
{
    uint32_t character = rush_key_find_character(key, name);
    if (character == RUSH_NONE) {
        complain("the key has no character", name, "; `rushlight about` lists them");
    } else if (character < RUSH_BUILT_IN_CHARACTERS) {
        complain("a table has no column", name, "");
        character = RUSH_NONE;
    }
    return character;
}

/* "wing spot, legs". The numbers go to `characters`, which has room for each comma and one more. */
static bool read_characters(const rush_key *key, const char *names, uint32_t *characters,
                            uint32_t *count)
{
    for (const char *at = names; at;) {
        const char *comma = strchr(at, ',');
        rush_text name = {at, comma ? (size_t)(comma - at) : strlen(at)};
        uint32_t found = find_trait_character(key, rush_text_trim(name));
        if (found == RUSH_NONE)
            return false;
        characters[(*count)++] = found;
        at = comma ? comma + 1 : NULL;
    }
    return true;
}

static bool wants_table(const about_settings *settings)
{
    const part_settings *part = &settings->part;
    return settings->table || settings->characters || settings->down || settings->columns ||
           part->where || part->within || part->occurrence || part->taxa;
}

static int report_table(const rush_key *key, const about_settings *settings, uint32_t language,
                        rush_buffer *out)
{
    int status = EXIT_DONE;
    const rush_part *part;
    if (!part_or_whole(key, &settings->part, language, &part, &status))
        return status;
    size_t names = settings->characters ? strlen(settings->characters) : 0;
    uint32_t *characters = malloc((names + 1) * sizeof *characters);
    rush_terminal none = {.colour = COLOUR_NEVER};
    rush_trait_table table = {.part = part,
                              .characters = characters,
                              .columns = settings->columns ? settings->columns
                                                           : terminal_screen(&none).columns,
                              .down = (rush_table_way)settings->down,
                              .language = language};
    if (!characters)
        status = output_no_memory();
    else if (!read_characters(key, settings->characters, characters, &table.character_count))
        status = EXIT_USAGE;
    else
        rush_report_trait_table(&table, out);
    free(characters);
    rush_part_free(part);
    return status;
}

/* `about --table NAME` is of the taxa within that one, or of that one character. */
static int report_named_table(const rush_key *key, const about_settings *settings,
                              const char *name, uint32_t language, rush_buffer *out)
{
    about_settings narrowed = *settings;
    rush_text text = rush_text_of(name);
    if (rush_key_find_taxon(key, text) != RUSH_NONE && !settings->part.within) {
        narrowed.part.within = name;
    } else if (rush_key_find_character(key, text) != RUSH_NONE && !settings->characters) {
        narrowed.characters = name;
    } else {
        complain("there is no table of", text, ": name a taxon or a character of the key, once");
        return EXIT_USAGE;
    }
    return report_table(key, &narrowed, language, out);
}

/* ---- the command -------------------------------------------------------------------------------- */

static int report(const rush_key *key, const about_settings *settings, const rush_buffer *name,
                  rush_buffer *out)
{
    uint32_t language;
    bool named = name->length > 0;
    if (!input_language(key, settings->language, &language))
        return EXIT_USAGE;
    if (name->failed)
        return output_no_memory();
    if (wants_table(settings))
        return named ? report_named_table(key, settings, name->bytes, language, out)
                     : report_table(key, settings, language, out);
    if (!named)
        rush_report_key(key, language, out);
    else if (!report_named(key, (rush_text){name->bytes, name->length}, language, out))
        return EXIT_WRONG_INPUT;
    return EXIT_DONE;
}

static int run_about(const void *given, char **words, int count)
{
    int status;
    rush_key *key = input_key_for_command(((const about_settings *)given)->key, &status);
    if (!key)
        return status;
    rush_buffer out = {0}, name = {0};
    for (int i = 0; i < count; i++) /* several words are one name, so that it needs no quotes */
        rush_buffer_format(&name, "%s%s", i ? " " : "", words[i]);
    status = report(key, given, &name, &out);
    if (!output_write(&out))
        status = EXIT_FAULT;
    rush_buffer_free(&name);
    rush_buffer_free(&out);
    rush_key_free(key);
    return status;
}

const rush_command command_about = {
    .name = "about",
    .summary = "what the key says of a taxon, a character or a topic",
    .operands = "[TAXON|CHARACTER|TOPIC]",
    .examples = examples,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .run = run_about,
};
