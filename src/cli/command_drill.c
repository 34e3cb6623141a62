/* drill: practice. */
#include <errno.h>
#include <string.h>
#include <sys/random.h>
#include <unistd.h>

#include "command.h"
#include "input.h"
#include "output.h"
#include "part_options.h"
#include "practice_file.h"
#include "record_stamp.h"
#include "terminal.h"

typedef struct drill_settings {
    const char *key, *language, *progress, *date;
    part_settings part;
    uint32_t rounds, seed;
    int reach, colour;
    bool hard;
} drill_settings;

static const char *const reaches[] = {"far", "near", "close", "hand", NULL};

static const drill_settings defaults = {.rounds = RUSH_DRILL_ROUNDS, .reach = RUSH_REACH_CLOSE};

#define AT(member) offsetof(drill_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    PART_OPTIONS(drill_settings, part),
    {"hard", OPTION_FLAG, AT(hard), NULL, "only what is confused most often", 0, 0, NULL},
    {"rounds", OPTION_WHOLE, AT(rounds), "N", "how many to name", 1, 1000, NULL},
    {"reach", OPTION_CHOICE, AT(reach), NULL, "nothing is shown that needs more", 0, 0, reaches},
    {"progress", OPTION_STRING, AT(progress), "FILE",
     "keep the score by species in a file of one's own, made when\n"
     "                          it is not there; without it nothing is kept",
     0, 0, NULL},
    {"date", OPTION_STRING, AT(date), "DATE",
     "the day of the practice, as in 2026-06-14; today unless told", 0, 0, NULL},
    {"seed", OPTION_WHOLE, AT(seed), "N",
     "of the random numbers: the same ones again;\n"
     "                          0: others each time",
     0, UINT32_MAX, NULL},
    {"language", OPTION_STRING, AT(language), "L",
     "of names and texts; the key's first unless told", 0, 0, NULL},
    {"color", OPTION_CHOICE, AT(colour), NULL, "colour on the screen; never needed", 0, 0,
     terminal_colours},
};
#undef AT

static const char examples[] =
    "  rushlight drill\n"
    "  rushlight drill --where 'habitat: garden pond; month: July' --occurrence local\n"
    "  rushlight drill --within Zygoptera --progress my-practice.jsonl\n"
    "  rushlight drill --hard\n";

static const char more[] =
    "One of the key's taxa is played; you name it. First comes what is seen from afar, then what is seen\n"
    "nearer by; Enter shows one mark more, `hint` the one that tells most. Any name will do, or how its\n"
    "words begin (emerald d, A. mixta); `give up` tells. Then it says what fits, what does not, and which\n"
    "mark tells; `why` says all of it. `?` helps, `quit` ends.\n"
    "\n"
    "What was missed comes back behind three others; what was right comes back after 1, 2, 4 and 8 days\n"
    "(five boxes, after Leitner 1972), if --progress keeps it. The file is JSON lines: one a species, with\n"
    "its box, the day when it is due, and how often it was played and named rightly.\n"
    "\n"
    "At the water: watch from where you stand safely. Catch and hold only gently, only when needed and\n"
    "where it is permitted; some species are protected by law and may be handled only under licence.\n";

/* ---- the learner's file ---------------------------------------------------------------------------- */

static void complain(const char *what, const char *about, const char *why)
{
    rush_buffer message = {0};
    rush_buffer_format(&message, "rushlight drill: %s '", what);
    rush_buffer_safe(&message, rush_text_of(about));
    rush_buffer_format(&message, "': %s\n", why);
    output_error(&message);
    rush_buffer_free(&message);
}

static int read_progress(rush_drill *drill, const char *path)
{
    rush_buffer text = {0};
    const char *problem = practice_file_read(path, &text);
    rush_diagnostics *list = rush_diagnostics_new();
    int status = EXIT_DONE;
    if (problem) {
        complain("cannot use", path, problem);
        status = EXIT_FAULT;
    } else if (!list || text.failed) {
        status = output_no_memory();
    } else if (!rush_drill_read(drill, path, (rush_text){text.bytes, text.length}, list)) {
        status = rush_diagnostics_out_of_memory(list) ? EXIT_FAULT : EXIT_WRONG_INPUT;
        output_diagnostics(list);
    }
    rush_diagnostics_free(list);
    rush_buffer_free(&text);
    return status;
}

static int write_progress(const rush_drill *drill, const char *path)
{
    rush_buffer text = {0};
    rush_drill_write(drill, &text);
    const char *problem = text.failed
                              ? "out of memory"
                              : practice_file_write(path, (rush_text){text.bytes, text.length});
    if (problem)
        complain("the practice is not kept in", path, problem);
    rush_buffer_free(&text);
    return problem ? EXIT_FAULT : EXIT_DONE;
}

/* Read first each time, since another drill may have written to it. */
static int keep_progress(rush_drill *drill, const char *path)
{
    if (!path)
        return EXIT_DONE;
    int lock = practice_file_lock(path), status = read_progress(drill, path);
    if (status == EXIT_DONE)
        status = write_progress(drill, path);
    if (lock >= 0)
        close(lock);
    return status;
}

/* ---- the conversation ------------------------------------------------------------------------------ */

static void complete(const void *drill, rush_text line, size_t *stem, rush_buffer *names)
{
    rush_drill_complete(drill, line, stem, names);
}

static bool show(const rush_drill_reply *reply, const rush_terminal *terminal)
{
    rush_buffer out = {0};
    rush_screen screen = terminal_screen(terminal);
    rush_report_drill(reply, &screen, &out);
    bool written = output_write(&out);
    rush_buffer_free(&out);
    return written;
}

/* The file is written after each round, so that no round is lost however the drill ends. */
static int practise(rush_drill *drill, rush_terminal *terminal, const char *progress)
{
    const rush_drill_reply *reply = rush_drill_begin(drill);
    bool shown = show(reply, terminal);
    int status = EXIT_DONE;
    rush_text line;
    while (shown && status == EXIT_DONE && reply->kind != RUSH_DRILL_END) {
        uint32_t played = reply->played;
        reply =
            terminal_next(terminal, &line) ? rush_drill_step(drill, line) : rush_drill_end(drill);
        if (reply->played > played)
            status = keep_progress(drill, progress);
        shown = show(reply, terminal);
    }
    return !shown || rush_diagnostics_out_of_memory(reply->diagnostics) ? EXIT_FAULT : status;
}

static int talk(const rush_key *key, const drill_settings *settings,
                const rush_drill_options *how)
{
    rush_terminal terminal;
    rush_drill *drill = rush_drill_new(key, how);
    if (!drill)
        return output_no_memory();
    /* A file that cannot be written is better known before the first round. */
    int status = keep_progress(drill, settings->progress);
    if (status == EXIT_DONE && !terminal_open(&terminal, (terminal_completer){complete, drill},
                                              (terminal_colour)settings->colour))
        status = output_no_memory();
    else if (status == EXIT_DONE) {
        status = practise(drill, &terminal, settings->progress);
        terminal_close(&terminal);
    }
    rush_drill_free(drill);
    return status;
}

/* ---- the command ----------------------------------------------------------------------------------- */

static bool settle_day(const char *date, int32_t *day)
{
    char today[DATE_TEXT];
    if (!date && record_today(today))
        date = today;
    if (date && rush_drill_day(rush_text_of(date), day))
        return true;
    complain("--date", date ? date : "", "a day is wanted, as in 2026-06-14");
    return false;
}

/* Any other insects than the last time; without random numbers of the system, those of seed 1. */
static uint64_t settle_seed(uint32_t seed)
{
    uint64_t random;
    if (seed)
        return seed;
    ssize_t got;
    do
        got = getrandom(&random, sizeof random, 0);
    while (got < 0 && errno == EINTR);
    return got == sizeof random ? random : 1;
}

static int drill_with_key(const rush_key *key, const void *given)
{
    const drill_settings *settings = given;
    rush_drill_options how = {
        .hard = settings->hard, .reach = (rush_reach)settings->reach, .rounds = settings->rounds};
    rush_sighting *set = NULL;
    const rush_part *part = NULL;
    int status = EXIT_USAGE, wrong = EXIT_DONE;
    if (!input_language(key, settings->language, &how.language) ||
        !settle_day(settings->date, &how.today))
        return EXIT_USAGE;
    how.seed = settle_seed(settings->seed);
    if (!part_of_options(key, &settings->part, how.language, &part, &wrong))
        status = wrong;
    else if (!settings->part.where ||
             input_line(key, "--where", rush_text_of(settings->part.where), &set)) {
        how.part = part;
        how.set = set;
        status = talk(key, settings, &how);
        status = status == EXIT_DONE ? wrong : status;
    }
    rush_sighting_free(set);
    rush_part_free(part);
    return status;
}

const rush_command command_drill = {
    .name = "drill",
    .summary = "practice: a taxon of the key is played, you name it",
    .operands = "",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .work = drill_with_key,
    .key_offset = offsetof(drill_settings, key),
};
