/* ask: prompts beside the water. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "command.h"
#include "input.h"
#include "output.h"
#include "part_options.h"
#include "record_file.h"
#include "record_options.h"
#include "terminal.h"

typedef struct ask_settings {
    const char *key, *set, *language, *from, *keep;
    double safe;
    int reach, colour;
    record_settings record;
    part_settings part;
} ask_settings;

static const char *const reaches[] = {"far", "near", "close", "hand", NULL};

static const ask_settings defaults = {.safe = RUSH_SAFE_DEFAULT, .reach = RUSH_REACH_CLOSE};

#define AT(member) offsetof(ask_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    {"set", OPTION_STRING, AT(set), "LINE",
     "what is known beforehand: \"month: July; habitat: garden\n"
     "                          pond\"",
     0, 0, NULL},
    {"from", OPTION_STRING, AT(from), "LINE",
     "go on from an observation line, or from FILE:NUMBER, a line\n"
     "                          of a file",
     0, 0, NULL},
    {"reach", OPTION_CHOICE, AT(reach), NULL,
     "how well it can be seen; nothing is\n"
     "                          asked that needs more",
     0, 0, reaches},
    {"safe", OPTION_NUMBER, AT(safe), "P", "the probability from which a name is safe", 0.51,
     0.999999, NULL},
    {"language", OPTION_STRING, AT(language), "L",
     "of names and questions; the key's first unless told", 0, 0, NULL},
    {"color", OPTION_CHOICE, AT(colour), NULL, "colour on the screen; never needed", 0, 0,
     terminal_colours},
    {"keep", OPTION_STRING, AT(keep), "FILE",
     "append the sighting to a file of records: CSV in Darwin Core\n"
     "                          terms, made when it is not there",
     0, 0, NULL},
    PART_OPTIONS(ask_settings, part),
    RECORD_OPTIONS(ask_settings, record, "today unless told"),
};
#undef AT

static const char examples[] =
    "  rushlight ask\n"
    "  rushlight ask --set 'month: July; habitat: garden pond' --reach near\n"
    "  rushlight ask --from 'rest posture: folded; abdomen colour: blue'\n"
    "  rushlight ask --keep records.csv --recorder 'R. Invented' --place 'Marl Pit, an invented pond'\n";

static const char more[] =
    "At each question: a name, its number, or the beginning of a name; alternatives (red or orange), a\n"
    "denial (not blue), a number, with a trailing ? when unsure; or several answers at once, separated by\n"
    "`;`, whichever questions they belong to. Enter: not seen; ? how to look; < back; . end; help lists the\n"
    "rest. Tab completes names. It ends with the line that gives the same result in `rushlight rank`.\n"
    "\n"
    "Watch from where you stand safely: no insect is worth a risk at the water's edge. Catch and hold\n"
    "only gently, only when needed and where it is permitted; some species are protected by law and may\n"
    "be handled only under licence. Local law and licensed practice come first.\n";

/* ---- going on from a line -------------------------------------------------------------------------- */

/* "FILE:NUMBER", when there is such a file: the number; 0 otherwise. */
static uint32_t line_number(const char *from, rush_buffer *file)
{
    const char *colon = strrchr(from, ':');
    char *end;
    unsigned long number = colon ? strtoul(colon + 1, &end, 10) : 0;
    if (!number || *end || number > UINT32_MAX)
        return 0;
    rush_buffer_add(file, (rush_text){from, (size_t)(colon - from)});
    return file->failed || !file->length ? 0 : (uint32_t)number;
}

static bool read_line_of_file(const char *file, uint32_t number, rush_buffer *line)
{
    input_lines lines;
    rush_text text;
    if (!input_open(&lines, file))
        return false;
    bool found = false;
    while (!found && input_next(&lines, &text))
        if (lines.number == number) {
            rush_buffer_add(line, text);
            found = true;
        }
    input_close(&lines);
    return found && !line->failed;
}

/* What --from and --set say together; the line beats the rest. */
static bool read_beforehand(const rush_key *key, const ask_settings *settings,
                            rush_sighting **set)
{
    rush_buffer file = {0}, line = {0};
    rush_sighting *from = NULL;
    bool good = input_set(key, settings->set, set);
    if (good && settings->from) {
        uint32_t number = line_number(settings->from, &file);
        if (!number || !read_line_of_file(file.bytes, number, &line)) {
            rush_buffer_clear(&line);
            rush_buffer_string(&line, settings->from);
        }
        good = !line.failed &&
               input_line(key, "--from", (rush_text){line.bytes, line.length}, &from);
    }
    if (good && from && !*set) {
        *set = from;
        from = NULL;
    }
    if (good && from)
        good = rush_sighting_merge(*set, from);
    rush_sighting_free(from);
    rush_buffer_free(&file);
    rush_buffer_free(&line);
    return good;
}

/* ---- when it was ----------------------------------------------------------------------------------- */

static bool knows_when(const rush_key *key, const rush_sighting *set)
{
    if (!set)
        return false;
    for (uint32_t i = 0; i < rush_sighting_answer_count(set); i++)
        if (rush_key_character(key, rush_sighting_answer(set, i)->character)->kind ==
            RUSH_KIND_MONTHS)
            return true;
    return rush_sighting_field(set, RUSH_RECORD_DATE).length > 0;
}

/* Today, unless a date or a month is known. */
static bool settle_date(const rush_key *key, record_settings *record, rush_sighting **set,
                        char today[DATE_TEXT])
{
    if (!record->date && !knows_when(key, *set) && record_today(today))
        record->date = today;
    return record_fields(key, record, set);
}

static void write_date(const rush_sighting *set, rush_buffer *out)
{
    rush_text date = set ? rush_sighting_field(set, RUSH_RECORD_DATE) : rush_text_of("");
    if (!date.length)
        return;
    rush_buffer_string(out, "Seen on ");
    rush_buffer_safe(out, date);
    rush_buffer_string(out, "\n(if not: --date)\n");
}

/* ---- the conversation ------------------------------------------------------------------------------ */

typedef struct conversation {
    const rush_key *key;
    const ask_settings *settings;
    rush_dialogue *dialogue;
    rush_terminal terminal;
    rush_buffer out;
} conversation;

static bool show(conversation *with, const rush_reply *reply)
{
    rush_screen screen = terminal_screen(&with->terminal);
    rush_report_reply(reply, &screen, &with->out);
    return output_write(&with->out);
}

static rush_result result_of(const rush_reply *reply)
{
    return (rush_result){.ranker = reply->ranker,
                         .ranking = reply->ranking,
                         .file = "ask",
                         .line = 1,
                         .top = 5,
                         .language = reply->language};
}

/* Asks a person once for a field that the record lacks; Enter leaves it empty. */
static bool ask_field(conversation *with, rush_record_field field, const char *question)
{
    rush_text text;
    rush_buffer line = {0};
    rush_buffer_format(&with->out, "\n%s (Enter: leave it empty)\n", question);
    if (!output_write(&with->out))
        return false;
    if (terminal_next(&with->terminal, &text) && rush_text_trim(text).length) {
        rush_buffer_format(&line, "%s: \"", rush_record_field_name(field));
        for (size_t i = 0; i < text.length; i++)
            rush_buffer_string(&line, text.at[i] == '"' ? "\"\"" : (char[]){text.at[i], '\0'});
        rush_buffer_byte(&line, '"');
        if (!line.failed)
            rush_dialogue_step(with->dialogue, (rush_text){line.bytes, line.length});
    }
    rush_buffer_free(&line);
    return true;
}

static bool ask_lacking(conversation *with, const rush_reply *reply)
{
    rush_result result = result_of(reply);
    unsigned lacks = record_lacks(&result, &with->settings->record);
    if (!with->settings->keep || !with->terminal.interactive)
        return true;
    if (lacks & RUSH_MISSING_WHERE && !ask_field(with, RUSH_RECORD_PLACE, "Where was it?"))
        return false;
    return !(lacks & RUSH_MISSING_WHO) || ask_field(with, RUSH_RECORD_RECORDER, "Who saw it?");
}

/* The status of the whole: a record that could not be kept is a failed output. */
static int end_conversation(conversation *with, const rush_reply *reply)
{
    if (!ask_lacking(with, reply) || !show(with, reply))
        return EXIT_FAULT;
    if (!with->settings->keep)
        return EXIT_DONE;
    rush_result result = result_of(reply);
    bool kept = record_keep(with->settings->keep, &result, &with->settings->record, &with->out);
    if (kept)
        return output_write(&with->out) ? EXIT_DONE : EXIT_FAULT;
    output_error(&with->out);
    return EXIT_FAULT;
}

static int converse(conversation *with)
{
    const rush_reply *reply = rush_dialogue_begin(with->dialogue);
    bool written = reply->kind == RUSH_REPLY_END || show(with, reply);
    rush_text line;
    while (written && reply->kind != RUSH_REPLY_END) {
        bool more_lines = terminal_next(&with->terminal, &line);
        reply = more_lines ? rush_dialogue_step(with->dialogue, line)
                           : rush_dialogue_end(with->dialogue);
        written = reply->kind == RUSH_REPLY_END || show(with, reply);
    }
    return written ? end_conversation(with, reply) : EXIT_FAULT;
}

/* ---- the command ----------------------------------------------------------------------------------- */

static void complete(const void *dialogue, rush_text line, size_t *stem, rush_buffer *names)
{
    rush_dialogue_complete(dialogue, line, stem, names);
}

static int talk(const rush_key *key, const ask_settings *settings,
                const rush_dialogue_options *how)
{
    conversation with = {
        .key = key, .settings = settings, .dialogue = rush_dialogue_new(key, how)};
    if (!with.dialogue ||
        !terminal_open(&with.terminal, (terminal_completer){complete, with.dialogue},
                       (terminal_colour)settings->colour)) {
        rush_dialogue_free(with.dialogue);
        return output_no_memory();
    }
    write_date(how->set, &with.out);
    int status = converse(&with);
    terminal_close(&with.terminal);
    rush_dialogue_free(with.dialogue);
    rush_buffer_free(&with.out);
    return status;
}

/* A file that no record can go into is better known before the insect is watched. */
static bool can_keep(const char *file)
{
    rush_buffer problem = {0};
    bool good = !file || record_file_check(file, &problem);
    if (!good) {
        rush_buffer message = {0};
        rush_buffer_string(&message, "rushlight ask: ");
        rush_buffer_add(&message, (rush_text){problem.bytes, problem.length});
        rush_buffer_byte(&message, '\n');
        output_error(&message);
        rush_buffer_free(&message);
    }
    rush_buffer_free(&problem);
    return good;
}

static int ask_with_key(const rush_key *key, const void *given)
{
    ask_settings settings = *(const ask_settings *)given;
    rush_sighting *set = NULL;
    char today[DATE_TEXT];
    rush_dialogue_options how = {.rank = {.safe = settings.safe},
                                 .reach = (rush_reach)settings.reach};
    const rush_part *part = NULL;
    int status = EXIT_USAGE, wrong = EXIT_DONE;
    if (!can_keep(settings.keep)) {
        status = EXIT_FAULT;
    } else if (input_language(key, settings.language, &how.language) &&
               read_beforehand(key, &settings, &set) &&
               settle_date(key, &settings.record, &set, today)) {
        how.set = set;
        bool chosen = part_of_options(key, &settings.part, how.language, &part, &wrong);
        how.rank.part = part;
        status = chosen ? talk(key, &settings, &how) : wrong;
        if (status == EXIT_DONE)
            status = wrong;
    }
    rush_sighting_free(set);
    rush_part_free(part);
    return status;
}

const rush_command command_ask = {
    .name = "ask",
    .summary = "prompts beside the water, one character at a time",
    .operands = "",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .work = ask_with_key,
    .key_offset = offsetof(ask_settings, key),
};
