/* about: what a key says of itself, of a taxon or of a character. */
#include "command.h"
#include "input.h"
#include "output.h"

typedef struct about_settings {
    const char *key, *language;
} about_settings;

static const about_settings defaults = {0};

#define AT(member) offsetof(about_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    {"language", OPTION_STRING, AT(language), "L",
     "of names and texts; the key's first unless told", 0, 0, NULL},
};
#undef AT

static const char examples[] =
    "  rushlight about                         # the key: characters, taxa\n"
    "  rushlight about Pyrrhosoma nymphula     # a taxon, with sources\n"
    "  rushlight about rest posture            # a character, its states\n"
    "  rushlight about body                    # a topic of this key\n";

/* Several words are one name, so that it needs no quotes. */
static bool report_named(const rush_key *key, char **words, int count, uint32_t language,
                         rush_buffer *out)
{
    rush_buffer name = {0};
    for (int i = 0; i < count; i++)
        rush_buffer_format(&name, "%s%s", i ? " " : "", words[i]);
    rush_text text = {name.failed ? "" : name.bytes, name.failed ? 0 : name.length};
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
        rush_buffer message = {0};
        rush_buffer_string(&message,
                           "rushlight about: the key has no taxon, character or topic '");
        rush_buffer_safe(&message, text);
        rush_buffer_string(&message, "'\n`rushlight about` without a name lists them\n");
        output_error(&message);
        rush_buffer_free(&message);
    }
    rush_buffer_free(&name);
    return found;
}

static int run_about(const void *given, char **words, int count)
{
    const about_settings *settings = given;
    int status;
    uint32_t language;
    rush_key *key = input_key_for_command(settings->key, &status);
    if (!key)
        return status;
    status = EXIT_DONE;
    rush_buffer out = {0};
    if (!input_language(key, settings->language, &language))
        status = EXIT_USAGE;
    else if (!count)
        rush_report_key(key, language, &out);
    else if (!report_named(key, words, count, language, &out))
        status = EXIT_WRONG_INPUT;
    if (!output_write(&out))
        status = EXIT_FAULT;
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
