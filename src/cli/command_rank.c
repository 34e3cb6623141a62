/* rank: observation lines in, ranked matches out. */
#include <errno.h>
#include <string.h>

#include "command.h"
#include "input.h"
#include "output.h"
#include "record_options.h"

typedef struct rank_settings {
    const char *key, *set, *language;
    int out;
    uint32_t top, next;
    double safe;
    bool no_occurrence, exit_safe;
    record_settings record;
} rank_settings;

enum { OUT_TEXT, OUT_JSONL, OUT_DARWIN_CORE };
static const char *const outs[] = {"text", "jsonl", "darwin-core", NULL};

static const rank_settings defaults = {.top = 5, .next = 3, .safe = RUSH_SAFE_DEFAULT};

#define AT(member) offsetof(rank_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    {"out", OPTION_CHOICE, AT(out), NULL,
     "text for people, one JSON object a line, or records: CSV in\n"
     "                          Darwin Core terms",
     0, 0, outs},
    {"top", OPTION_WHOLE, AT(top), "N", "candidates to show, the best first", 0, 1e9, NULL},
    {"next", OPTION_WHOLE, AT(next), "N", "characters to look at next", 0, 1e9, NULL},
    {"safe", OPTION_NUMBER, AT(safe), "P", "the probability from which a name is safe", 0.51,
     0.999999, NULL},
    {"set", OPTION_STRING, AT(set), "LINE",
     "answers that hold for every line that does not say them:\n"
     "                          \"month: July; habitat: garden pond\"",
     0, 0, NULL},
    {"no-occurrence", OPTION_FLAG, AT(no_occurrence), NULL, "let no taxon be likelier beforehand",
     0, 0, NULL},
    {"language", OPTION_STRING, AT(language), "L",
     "of names and questions; the key's first unless told", 0, 0, NULL},
    {"exit-safe", OPTION_FLAG, AT(exit_safe), NULL,
     "exit 1 when a sighting is not safe to any rank", 0, 0, NULL},
    RECORD_OPTIONS(rank_settings, record, "for lines that have none"),
};
#undef AT

static const char examples[] =
    "  echo 'rest posture: folded; abdomen colour: red; total length: about 35 mm' | rushlight rank\n"
    "  rushlight rank --out jsonl --set 'month: July; habitat: garden pond' sightings.txt\n"
    "  echo 'folded; red or orange; legs: black?' | rushlight rank --top 3\n"
    "  rushlight rank --out darwin-core --recorder 'R. Invented' --blur 1000 sightings.txt >records.csv\n";

static const char more[] =
    "A line is `character: answer` separated by `;`. An answer is a state (folded), alternatives\n"
    "(red or orange), a denial (not blue), a number (34, 3.4 cm, 30-36 mm, about 34, measured 34.2,\n"
    "under 40), with a trailing ? when unsure. What only one character knows needs no name. The\n"
    "record's own fields ride along: id, date, place, coordinates, uncertainty, count, recorder,\n"
    "behaviour, notes. Empty lines and lines that begin with # are passed over.\n"
    "A record is named at the rank that is safe. An id that is a UUID or a URI is its occurrenceID; any\n"
    "other is its recordNumber, beside a new UUID.\n";

/* All that one run needs. */
typedef struct rank_run {
    const rank_settings *settings;
    const rush_key *key;
    uint32_t language;
    rush_sighting *set, *sighting;
    rush_ranker *ranker;
    rush_adviser *adviser;
    rush_diagnostics *diagnostics;
    rush_buffer out;
    uint32_t records;
    uint32_t lacking[4]; /* records without what, where, when, who */
    int status;
} rank_run;

static bool write_errors(rank_run *run, const char *file, uint32_t number)
{
    run->status = EXIT_WRONG_INPUT;
    if (run->settings->out == OUT_JSONL)
        rush_report_jsonl_errors(run->sighting, file, number, run->diagnostics, &run->out);
    output_diagnostics(run->diagnostics);
    return output_write(&run->out);
}

/* False when it cannot be stamped. */
static bool write_record(rank_run *run, const rush_result *result)
{
    record_draft draft;
    if (!record_draft_of(&draft, &run->settings->record, run->sighting))
        return false;
    rush_darwin_core_row(result, &draft.record, &run->out);
    unsigned missing = rush_record_missing(result, &draft.record);
    for (unsigned i = 0; i < COUNT(run->lacking); i++)
        run->lacking[i] += missing >> i & 1;
    run->records++;
    return true;
}

/* Once, at the end: what a verifier will ask for. */
static void warn_of_lacks(const rank_run *run)
{
    rush_buffer text = {0};
    for (unsigned i = 0; i < COUNT(run->lacking); i++) {
        if (!run->lacking[i])
            continue;
        rush_buffer_string(&text, text.length ? ", " : "rushlight rank: warning: missing: ");
        rush_record_missing_words(1u << i, &text);
        rush_buffer_format(&text, " in %u", run->lacking[i]);
    }
    if (text.length)
        rush_buffer_format(&text,
                           " of %u records; they are accepted with what, where, when and who\n",
                           run->records);
    output_error(&text);
    rush_buffer_free(&text);
}

static bool write_result(rank_run *run, const rush_result *result)
{
    switch (run->settings->out) {
    case OUT_JSONL:
        rush_report_jsonl(result, &run->out);
        break;
    case OUT_DARWIN_CORE:
        if (!write_record(run, result))
            return false;
        break;
    default:
        rush_report_text(result, &run->out);
    }
    return output_write(&run->out);
}

static bool take_line(rank_run *run, rush_text text, const char *file, uint32_t number)
{
    rush_line line = {text, file, number, RUSH_NONE, run->set};
    if (!rush_sighting_read(run->sighting, &line, run->diagnostics))
        return write_errors(run, file, number);
    rush_rank_options how = {run->settings->safe, run->settings->no_occurrence};
    const rush_ranking *ranking = rush_rank(run->ranker, run->sighting, &how);
    rush_result result = {.ranker = run->ranker,
                          .ranking = ranking,
                          .file = file,
                          .line = number,
                          .top = run->settings->top,
                          .language = run->language};
    bool shows_looks = run->settings->next && run->settings->out != OUT_DARWIN_CORE;
    if (shows_looks && !ranking->nothing_fits) {
        result.looks = rush_look_next(run->adviser, ranking, NULL, &result.look_count);
        if (result.look_count > run->settings->next)
            result.look_count = run->settings->next;
    }
    if (ranking->nothing_fits) {
        rush_line_diagnose(
            &line, RUSH_NOTHING_FITS, "no taxon of the key can show these answers together",
            "look again, or leave out the answer that you are least sure of", run->diagnostics);
        output_diagnostics(run->diagnostics);
    }
    if (run->settings->exit_safe && !ranking->verdict.safe)
        run->status = EXIT_WRONG_INPUT;
    return write_result(run, &result);
}

static void complain(rank_run *run, const char *file, const char *problem)
{
    run->status = EXIT_WRONG_INPUT;
    rush_diagnostics_note(run->diagnostics, RUSH_CANNOT_OPEN, file, problem, NULL);
    output_diagnostics(run->diagnostics);
}

/* False when the output has failed, which ends the run. */
static bool take_file(rank_run *run, const char *name)
{
    input_lines lines;
    const char *shown = strcmp(name, "-") == 0 ? "stdin" : name;
    if (!input_open(&lines, name)) {
        complain(run, shown, strerror(errno));
        return true;
    }
    rush_text text;
    bool writing = true;
    while (writing && input_next(&lines, &text))
        if (!rush_line_is_blank(text))
            writing = take_line(run, text, shown, lines.number);
    if (writing && errno)
        complain(run, shown, strerror(errno));
    input_close(&lines);
    return writing;
}

/* To be asked to blur and yet to tell the coordinates would be worse than to refuse. */
static bool outs_agree(const rank_settings *settings)
{
    if (settings->out == OUT_DARWIN_CORE || !record_shaped(&settings->record))
        return true;
    rush_buffer text = {0};
    rush_buffer_string(&text,
                       "rushlight rank: --blur, --keep-place, --identified-by, --date-identified "
                       "and\n--occurrence-status go with --out darwin-core\n"
                       "see rushlight rank --help\n");
    output_error(&text);
    rush_buffer_free(&text);
    return false;
}

static int run_with_key(rank_run *run, char **files, int count)
{
    char standard[] = "-", *standard_input[] = {standard};
    if (!input_language(run->key, run->settings->language, &run->language) ||
        !input_set(run->key, run->settings->set, &run->set) ||
        !record_fields(run->key, &run->settings->record, &run->set) || !outs_agree(run->settings))
        return EXIT_USAGE;
    run->sighting = rush_sighting_new(run->key);
    run->ranker = rush_ranker_new(run->key);
    run->adviser = rush_adviser_new(run->key);
    run->diagnostics = rush_diagnostics_new();
    if (!run->sighting || !run->ranker || !run->adviser || !run->diagnostics)
        return output_no_memory();
    if (!count) {
        files = standard_input;
        count = 1;
    }
    if (run->settings->out == OUT_DARWIN_CORE)
        rush_darwin_core_header(&run->out);
    if (!output_write(&run->out))
        return EXIT_FAULT;
    for (int i = 0; i < count; i++)
        if (!take_file(run, files[i]))
            return EXIT_FAULT;
    warn_of_lacks(run);
    return run->status;
}

static int run_rank(const void *settings, char **files, int count)
{
    int status;
    rank_run run = {.settings = settings};
    rush_key *key = input_key_for_command(run.settings->key, &status);
    if (!key)
        return status;
    run.key = key;
    status = run_with_key(&run, files, count);
    rush_sighting_free(run.set);
    rush_sighting_free(run.sighting);
    rush_ranker_free(run.ranker);
    rush_adviser_free(run.adviser);
    rush_diagnostics_free(run.diagnostics);
    rush_buffer_free(&run.out);
    rush_key_free(key);
    return status;
}

const rush_command command_rank = {
    .name = "rank",
    .summary = "observation lines in, ranked matches out",
    .operands = "[FILE...]",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .run = run_rank,
};
