/* changes: what a revision of a key changed. */
#include "command.h"
#include "crew.h"
#include "input.h"
#include "output.h"

typedef struct changes_settings {
    int out;
    uint32_t trials, seed, jobs;
} changes_settings;

enum { OUT_TEXT, OUT_JSON };
static const char *const outs[] = {"text", "json", NULL};

static const changes_settings defaults = {.seed = 1};

#define AT(member) offsetof(changes_settings, member)
static const rush_option options[] = {
    {"trials", OPTION_WHOLE, AT(trials), "N",
     "try both keys with so many simulated sightings of each\n"
     "                          observer, and set the figures side by side",
     0, 1e7, NULL},
    {"seed", OPTION_WHOLE, AT(seed), "N", "of their random numbers", 0, UINT32_MAX, NULL},
    {"jobs", OPTION_WHOLE, AT(jobs), "N", "how many threads; 0: as many as there are cores", 0,
     1024, NULL},
    {"out", OPTION_CHOICE, AT(out), NULL, "text for people, or one JSON document", 0, 0, outs},
};
#undef AT

static const char examples[] =
    "  rushlight changes my-key-2025.yaml my-key.yaml\n"
    "  rushlight changes odonata-adults keys/odonata-adults     # the built-in key, and a folder\n"
    "  rushlight changes --trials 5000 --out json old.yaml new.yaml\n";

static const char more[] =
    "Told is what somebody who uses the key would notice: taxa, characters, states and forms that were\n"
    "added, removed or renamed; traits, with what they say now; worked sightings of either key that answer\n"
    "differently. A thing is renamed when the new key knows it by its old name too (under `also:`), or when\n"
    "it says just the same. Sources and notes are not compared.\n";

/* ---- trials --------------------------------------------------------------------------------------------- */

typedef struct both_trials {
    rush_trial *old, *now;
    rush_trial_column columns[2];
} both_trials;

static bool hold(const changes_settings *settings, const rush_changes *changes,
                 both_trials *trials)
{
    rush_trial_options asked = rush_trial_usual();
    asked.sightings = settings->trials;
    asked.seed = settings->seed;
    asked.jobs = settings->jobs ? settings->jobs : crew_cores();
    trials->old = rush_trial_hold(changes->old, &asked);
    trials->now = trials->old ? rush_trial_hold(changes->now, &asked) : NULL;
    trials->columns[0] = (rush_trial_column){"before", trials->old, RUSH_NONE};
    trials->columns[1] = (rush_trial_column){"now", trials->now, RUSH_NONE};
    return trials->now;
}

/* ---- the command ---------------------------------------------------------------------------------------- */

static int tell(const changes_settings *settings, const rush_changes *changes)
{
    both_trials trials = {0};
    if (settings->trials && !hold(settings, changes, &trials)) {
        rush_trial_free(trials.old);
        return output_no_memory();
    }
    const rush_trial_column *columns = settings->trials ? trials.columns : NULL;
    rush_buffer out = {0};
    if (settings->out == OUT_JSON)
        rush_report_changes_json(changes, columns, &out);
    else
        rush_report_changes(changes, columns, &out);
    bool written = output_write(&out);
    rush_buffer_free(&out);
    rush_trial_free(trials.old);
    rush_trial_free(trials.now);
    return written ? EXIT_DONE : EXIT_FAULT;
}

static int run_changes(const void *with, char **files, int count)
{
    if (count != 2) {
        rush_buffer text = {0};
        rush_buffer_string(&text, "rushlight changes: it takes two keys, the old one first\n"
                                  "see rushlight changes --help\n");
        output_error(&text);
        rush_buffer_free(&text);
        return EXIT_USAGE;
    }
    int status;
    rush_key *old = input_key_for_command(files[0], &status);
    rush_key *now = old ? input_key_for_command(files[1], &status) : NULL;
    if (now) {
        rush_changes *changes = rush_changes_find(old, now);
        status = changes ? tell(with, changes) : output_no_memory();
        rush_changes_free(changes);
    }
    rush_key_free(now);
    rush_key_free(old);
    return status;
}

const rush_command command_changes = {
    .name = "changes",
    .summary = "what a revision of a key changed",
    .operands = "OLD-KEY NEW-KEY",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .run = run_changes,
};
