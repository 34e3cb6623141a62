/* trial: how good is a key? Simulated observers work through it. */
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "crew.h"
#include "input.h"
#include "output.h"

typedef struct trial_settings {
    const char *key, *within, *language;
    int out, observer, reach;
    uint32_t sightings, seed, jobs, top;
    double unseen, safe;
    bool evenly;
    option_list blanks;
} trial_settings;

enum { OUT_TEXT, OUT_JSON };
static const char *const outs[] = {"text", "json", NULL};
enum { OBSERVER_ALL = RUSH_OBSERVER_COUNT };
static const char *const observers[] = {"careful", "poor", "hanging", "strangers", "all", NULL};
static const char *const reaches[] = {"far", "near", "close", "hand", NULL};

static const trial_settings defaults = {.observer = OBSERVER_ALL,
                                        .reach = RUSH_REACH_CLOSE,
                                        .sightings = RUSH_TRIAL_SIGHTINGS,
                                        .seed = RUSH_TRIAL_SEED,
                                        .top = 10,
                                        .unseen = RUSH_TRIAL_UNSEEN,
                                        .safe = RUSH_SAFE_DEFAULT};

#define AT(member) offsetof(trial_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    {"observer", OPTION_CHOICE, AT(observer), NULL, "who looks", 0, 0, observers},
    {"sightings", OPTION_WHOLE, AT(sightings), "N", "of each observer", 1, 1e7, NULL},
    {"seed", OPTION_WHOLE, AT(seed), "N", "of the random numbers", 0, UINT32_MAX, NULL},
    {"unseen", OPTION_NUMBER, AT(unseen), "P", "the part of the characters that cannot be seen",
     0, 1, NULL},
    {"reach", OPTION_CHOICE, AT(reach), NULL, "how well the insect is seen", 0, 0, reaches},
    {"safe", OPTION_NUMBER, AT(safe), "P", "the probability from which a name is safe", 0.51,
     0.999999, NULL},
    {"within", OPTION_STRING, AT(within), "TAXON", "only insects of this taxon are met", 0, 0,
     NULL},
    {"evenly", OPTION_FLAG, AT(evenly), NULL, "each taxon is met alike, whatever its occurrence",
     0, 0, NULL},
    {"blank", OPTION_LISTED, AT(blanks), "TAXON.CHARACTER",
     "take this trait as unscored, on the same sightings:\n"
     "                          what is it worth? may be given again",
     0, 0, NULL},
    {"out", OPTION_CHOICE, AT(out), NULL, "text for people, or one JSON document", 0, 0, outs},
    {"top", OPTION_WHOLE, AT(top), "N", "rows of the long tables", 0, 1e9, NULL},
    {"language", OPTION_STRING, AT(language), "L", "of names; the key's first unless told", 0, 0,
     NULL},
    {"jobs", OPTION_WHOLE, AT(jobs), "N",
     "how many threads; 0: as many as there are cores. The figures\n"
     "                          are the same",
     0, 1024, NULL},
};
#undef AT

static const char examples[] =
    "  rushlight trial\n"
    "  rushlight trial --key my-key.yaml --sightings 20000 --observer careful\n"
    "  rushlight trial --within Sympetrum --evenly --top 20\n"
    "  rushlight trial --blank 'Pyrrhosoma nymphula.leg colour'\n";

static const char more[] =
    "Insects are drawn from the key's own prior, with a month and habitat that suit them, which are told\n"
    "beforehand; the questions are those of `ask`. Observers: careful ones misread as often as the key\n"
    "says, poor ones twice as often, those of `hanging` in ways that hang together (a bad view, a\n"
    "look-alike in mind). Strangers are insects whose taxon has been taken out of the key, each in turn.\n"
    "A trial tells how well a key does if what it says is true. It does not tell whether it is true.\n";

/* ---- progress ------------------------------------------------------------------------------------- */

/* On a terminal: the whole per cent that was shown last. */
static void show_progress(void *user, uint64_t done, uint64_t of)
{
    uint32_t *shown = user, percent = (uint32_t)(100 * done / of);
    if (percent == *shown)
        return;
    *shown = percent;
    rush_buffer text = {0};
    rush_buffer_format(&text, "\rrushlight trial: %u %%", percent);
    output_error(&text);
    rush_buffer_free(&text);
}

static void clear_progress(void)
{
    rush_buffer text = {0};
    rush_buffer_string(&text, "\r                      \r");
    output_error(&text);
    rush_buffer_free(&text);
}

/* ---- names ---------------------------------------------------------------------------------------- */

static int unknown(const char *option, const char *what, rush_text name)
{
    rush_buffer text = {0};
    rush_buffer_format(&text, "rushlight trial: --%s: the key has no %s '", option, what);
    rush_buffer_safe(&text, name);
    rush_buffer_string(&text, "'\n`rushlight about` lists them\n");
    output_error(&text);
    rush_buffer_free(&text);
    return EXIT_USAGE;
}

/* "TAXON.CHARACTER"; a name may itself have a point in it. */
static int read_blank(const rush_key *key, const char *text, rush_blank *blank)
{
    size_t length = strlen(text);
    rush_text taxon = {text, 0}, character = rush_text_of(text);
    for (size_t at = length; at-- > 0;) {
        if (text[at] != '.')
            continue;
        taxon = (rush_text){text, at};
        character = (rush_text){text + at + 1, length - at - 1};
        blank->taxon = rush_key_find_taxon(key, taxon);
        blank->character = rush_key_find_character(key, character);
        if (blank->taxon != RUSH_NONE && blank->character != RUSH_NONE)
            break;
    }
    if (!taxon.length)
        return unknown("blank", "taxon and character that this names", rush_text_of(text));
    if (blank->taxon == RUSH_NONE)
        return unknown("blank", "taxon", taxon);
    if (blank->character == RUSH_NONE || blank->character < RUSH_BUILT_IN_CHARACTERS)
        return unknown("blank", "trait of the character", character);
    return EXIT_DONE;
}

/* ---- the run -------------------------------------------------------------------------------------- */

typedef struct trial_command {
    const trial_settings *settings;
    const rush_key *key;
    uint32_t language, shown;
    rush_blank blanks[OPTIONS_LISTED_MAX];
    rush_trial_options options;
} trial_command;

static int read_settings(trial_command *run)
{
    const trial_settings *settings = run->settings;
    if (!input_language(run->key, settings->language, &run->language))
        return EXIT_USAGE;
    run->options = (rush_trial_options){.seed = settings->seed,
                                        .sightings = settings->sightings,
                                        .evenly = settings->evenly,
                                        .within = RUSH_NONE,
                                        .unseen = settings->unseen,
                                        .reach = (rush_reach)settings->reach,
                                        .safe = settings->safe,
                                        .blanks = run->blanks,
                                        .blank_count = settings->blanks.count,
                                        .jobs = settings->jobs ? settings->jobs : crew_cores()};
    for (int o = 0; o < RUSH_OBSERVER_COUNT; o++)
        run->options.observers[o] = settings->observer == OBSERVER_ALL || settings->observer == o;
    if (settings->within) {
        run->options.within = rush_key_find_taxon(run->key, rush_text_of(settings->within));
        if (run->options.within == RUSH_NONE)
            return unknown("within", "taxon", rush_text_of(settings->within));
    }
    for (uint32_t i = 0; i < settings->blanks.count; i++) {
        int status = read_blank(run->key, settings->blanks.items[i].value, &run->blanks[i]);
        if (status != EXIT_DONE)
            return status;
    }
    if (isatty(STDERR_FILENO)) {
        run->options.progress = show_progress;
        run->options.user = &run->shown;
    }
    return EXIT_DONE;
}

static int hold(trial_command *run)
{
    int status = read_settings(run);
    if (status != EXIT_DONE)
        return status;
    rush_trial *trial = rush_trial_hold(run->key, &run->options);
    if (run->options.progress)
        clear_progress();
    if (!trial)
        return output_no_memory();
    rush_buffer out = {0};
    if (run->settings->out == OUT_JSON)
        rush_report_trial_json(trial, &out);
    else
        rush_report_trial(trial, run->language, run->settings->top, &out);
    if (!output_write(&out))
        status = EXIT_FAULT;
    rush_buffer_free(&out);
    rush_trial_free(trial);
    return status;
}

static int try_key(const rush_key *key, const void *settings)
{
    trial_command run = {.key = key, .settings = settings};
    return hold(&run);
}

const rush_command command_trial = {
    .name = "trial",
    .summary = "how good is a key? simulated observers try it",
    .operands = "",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .work = try_key,
    .key_offset = offsetof(trial_settings, key),
};
