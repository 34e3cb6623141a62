/* ask: prompts beside the water. */
#include <editline/readline.h>
#include <errno.h>
#include <locale.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "input.h"
#include "output.h"

typedef struct ask_settings {
    const char *key, *set, *language;
    double safe;
} ask_settings;

static const ask_settings defaults = {.safe = RUSH_SAFE_DEFAULT};

#define AT(member) offsetof(ask_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY", "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told", 0, 0, NULL},
    {"set", OPTION_STRING, AT(set), "LINE", "what is known beforehand: \"month: July; habitat: garden\n"
     "                          pond\"", 0, 0, NULL},
    {"safe", OPTION_NUMBER, AT(safe), "P", "the probability from which a name is safe", 0.51, 0.999999,
     NULL},
    {"language", OPTION_STRING, AT(language), "L", "of names and questions; the key's first unless told",
     0, 0, NULL},
};
#undef AT

static const char examples[] = "  rushlight ask\n"
                               "  rushlight ask --set 'month: July; habitat: garden pond'\n"
                               "  rushlight ask --key my-key.yaml\n";

static const char more[] =
    "At each question: a state, alternatives (red or orange), a denial (not blue), a number, with a\n"
    "trailing ? when unsure; or several answers at once, separated by `;`, whichever questions they\n"
    "belong to. Enter skips, ? explains how to look, < goes back, . ends. It ends with the line that\n"
    "gives the same result in `rushlight rank`.\n"
    "\n"
    "Watch from where you stand safely: no insect is worth a risk at the water's edge. Catch and hold\n"
    "only gently, only when needed and where it is permitted; some species are protected by law and may\n"
    "be handled only under licence. Local law and licensed practice come first.\n";

static volatile sig_atomic_t interrupted;

static void on_interrupt(int number)
{
    (void)number;
    interrupted = 1;
}

/* So that Ctrl-C ends the conversation in good order, with the line that keeps it. */
static void catch_interrupt(void)
{
    struct sigaction action = {.sa_handler = on_interrupt};
    sigaction(SIGINT, &action, NULL);
}

/* Where answers come from: a person at a terminal, or a pipe. */
typedef struct answer_source {
    bool terminal;
    char *edited;      /* the terminal's last line */
    input_lines lines; /* the pipe */
} answer_source;

static bool next_answer(answer_source *answers, rush_text *line)
{
    if (!answers->terminal)
        return input_next(&answers->lines, line);
    free(answers->edited);
    answers->edited = readline("> ");
    if (!answers->edited || interrupted)
        return false;
    if (answers->edited[0])
        add_history(answers->edited);
    *line = rush_text_of(answers->edited);
    return true;
}

static bool open_answers(answer_source *answers)
{
    answers->terminal = isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
    if (!answers->terminal)
        return input_open(&answers->lines, "-");
    setlocale(LC_CTYPE, "");
    rl_initialize();
    catch_interrupt();
    return true;
}

static void close_answers(answer_source *answers)
{
    free(answers->edited);
    if (!answers->terminal)
        input_close(&answers->lines);
}

static bool show(const rush_reply *reply, rush_buffer *out)
{
    rush_report_reply(reply, out);
    return output_write(out);
}

static int converse(rush_dialogue *dialogue, rush_buffer *out)
{
    answer_source answers = {0};
    if (!open_answers(&answers))
        return output_no_memory();
    const rush_reply *reply = rush_dialogue_begin(dialogue);
    bool written = show(reply, out);
    rush_text line;
    while (written && reply->kind != RUSH_REPLY_END) {
        if (next_answer(&answers, &line)) {
            reply = rush_dialogue_step(dialogue, line);
        } else {
            reply = rush_dialogue_end(dialogue);
        }
        written = show(reply, out);
    }
    close_answers(&answers);
    return written ? EXIT_DONE : EXIT_FAULT;
}

static int run_ask(const void *given, char **words, int count)
{
    const ask_settings *settings = given;
    int status;
    (void)words;
    if (count) {
        rush_buffer text = {0};
        rush_buffer_string(&text, "rushlight ask: it takes no words, only options\n"
                                  "see rushlight ask --help\n");
        output_error(&text);
        rush_buffer_free(&text);
        return EXIT_USAGE;
    }
    rush_key *key = input_key_for_command(settings->key, &status);
    if (!key)
        return status;
    rush_sighting *set = NULL;
    rush_dialogue_options how = {.rank = {.safe = settings->safe}, .reach = RUSH_REACH_HAND};
    status = EXIT_USAGE;
    if (input_language(key, settings->language, &how.language) &&
        input_set(key, settings->set, &set)) {
        how.set = set;
        rush_dialogue *dialogue = rush_dialogue_new(key, &how);
        rush_buffer out = {0};
        status = dialogue ? converse(dialogue, &out) : output_no_memory();
        rush_dialogue_free(dialogue);
        rush_buffer_free(&out);
    }
    rush_sighting_free(set);
    rush_key_free(key);
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
    .run = run_ask,
};
