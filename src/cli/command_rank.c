/* rank: observation lines in, ranked matches out. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "command.h"
#include "crew.h"
#include "input.h"
#include "output.h"
#include "rank_worker.h"

static const char *const ins[] = {"lines", "csv", "jsonl", NULL};
static const char *const outs[] = {"text", "jsonl", "csv", "darwin-core", NULL};

static const rank_settings defaults = {
    .top = 5, .next = 3, .first_line = 1, .safe = RUSH_SAFE_DEFAULT};

#define AT(member) offsetof(rank_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    {"in", OPTION_CHOICE, AT(in), NULL,
     "observation lines, a table whose header names characters,\n"
     "                          or one JSON object of answers a line",
     0, 0, ins},
    {"out", OPTION_CHOICE, AT(out), NULL,
     "text for people, one JSON object a line, a table with a row\n"
     "                          for each candidate, or records: CSV in Darwin Core terms",
     0, 0, outs},
    {"wide", OPTION_FLAG, AT(wide), NULL, "with --out csv: one row for each sighting", 0, 0,
     NULL},
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
    {"jobs", OPTION_WHOLE, AT(jobs), "N",
     "how many to rank at a time; 0: as many as there are cores.\n"
     "                          The output is the same whatever N",
     0, 256, NULL},
    {"first-line", OPTION_WHOLE, AT(first_line), "N",
     "the number of the first line: for a piece of a larger file", 1, 4e9, NULL},
    {"exit-safe", OPTION_FLAG, AT(exit_safe), NULL,
     "exit 1 when a sighting is not safe to any rank", 0, 0, NULL},
    PART_OPTIONS(rank_settings, part),
    RECORD_OPTIONS(rank_settings, record, "for lines that have none"),
};
#undef AT

static const char examples[] =
    "  echo 'rest posture: folded; abdomen colour: red; total length: about 35 mm' | rushlight rank\n"
    "  rushlight rank --out jsonl --set 'month: July; habitat: garden pond' sightings.txt\n"
    "  echo 'folded; red or orange; legs: black?' | rushlight rank --top 3\n"
    "  rushlight rank --in csv --out csv --wide season.csv >ranked.csv\n"
    "  rushlight rank --out darwin-core --recorder 'R. Invented' --blur 1000 sightings.txt >records.csv\n";

static const char more[] =
    "A line is `character: answer` separated by `;`. An answer is a state (folded), alternatives\n"
    "(red or orange), a denial (not blue), a number (34, 3.4 cm, 30-36 mm, about 34, measured 34.2,\n"
    "under 40), with a trailing ? when unsure. What only one character knows needs no name. The\n"
    "record's own fields ride along: id, date, place, coordinates, uncertainty, count, recorder,\n"
    "behaviour, notes. Empty lines and lines that begin with # are passed over.\n"
    "With --in csv a column of the header, with --in jsonl a member of the object, is called as the\n"
    "character or field in a line; Darwin Core's terms do for the fields. Cells are answers; JSON has\n"
    "texts, numbers, or lists of alternatives (of denials alone: none of them).\n"
    "A record is named at the rank that is safe. An id that is a UUID or a URI is its occurrenceID; any\n"
    "other is its recordNumber, beside a new UUID.\n";

/* All that one run needs. */
typedef struct rank_run {
    rank_plan plan;
    rank_tally tally;
    row_crew *crew;
    rush_diagnostics *diagnostics;
} rank_run;

/* ---- what the crew does ------------------------------------------------------------------------- */

static void *hire(void *with)
{
    return rank_worker_new(&((const rank_run *)with)->plan);
}

static void work(void *worker, row_batch *batch)
{
    rank_worker_take(worker, batch);
}

static void dismiss(void *with, void *worker)
{
    rank_worker_tally(worker, &((rank_run *)with)->tally);
    rank_worker_free(worker);
}

/* Once, at the end: what a verifier will ask for. */
static void warn_of_lacks(const rank_tally *tally)
{
    rush_buffer text = {0};
    for (unsigned i = 0; i < COUNT(tally->lacking); i++) {
        if (!tally->lacking[i])
            continue;
        rush_buffer_string(&text, text.length ? ", " : "rushlight rank: warning: missing: ");
        rush_record_missing_words(1u << i, &text);
        rush_buffer_format(&text, " in %u", tally->lacking[i]);
    }
    if (text.length)
        rush_buffer_format(&text,
                           " of %u records; they are accepted with what, where, when and who\n",
                           tally->records);
    output_error(&text);
    rush_buffer_free(&text);
}

static int compare_digests(const void *a, const void *b)
{
    const uint64_t *first = a, *second = b;
    return (*first > *second) - (*first < *second);
}

/* An occurrenceID that stands on two records makes one of them for whoever takes them in. */
static void warn_of_twins(const rank_tally *tally)
{
    size_t count = tally->ids.length / sizeof(uint64_t);
    uint64_t *ids = (uint64_t *)(void *)tally->ids.bytes;
    uint32_t twins = 0;
    rush_buffer text = {0};
    if (count > 1)
        qsort(ids, count, sizeof *ids, compare_digests);
    for (size_t i = 1; i < count; i++)
        twins += ids[i] == ids[i - 1] && (i == 1 || ids[i] != ids[i - 2]);
    if (twins)
        rush_buffer_format(
            &text,
            "rushlight rank: warning: occurrenceIDs that stand on several records: %u; "
            "who takes them in keeps one record of each\n",
            twins);
    output_error(&text);
    rush_buffer_free(&text);
}

/* ---- files in ----------------------------------------------------------------------------------- */

/* A batch of errors alone. False when the run has failed, which ends it; so below. */
static bool complain(rank_run *run)
{
    row_batch *batch = crew_batch(run->crew);
    if (!batch)
        return false;
    run->tally.wrong = true;
    batch_complain(batch, run->diagnostics);
    rush_diagnostics_clear(run->diagnostics);
    crew_give(run->crew, batch);
    return true;
}

/* The same with a row among the results: of a line of the file that no worker gets. */
static bool complain_of_line(rank_run *run, row_batch *batch, const rush_line *line)
{
    if (!batch)
        return false;
    run->tally.wrong = true;
    rank_report_errors(&run->plan, NULL, line, run->diagnostics, batch);
    rush_diagnostics_clear(run->diagnostics);
    crew_give(run->crew, batch);
    return true;
}

static bool complain_of_file(rank_run *run, const char *shown, int problem)
{
    rush_diagnostics_note(run->diagnostics, RUSH_CANNOT_OPEN, shown, strerror(problem), NULL);
    return complain(run);
}

static bool is_blank(const rank_run *run, rush_text text)
{
    switch (run->plan.settings->in) {
    case IN_CSV:
        return rush_row_is_blank(text);
    case IN_JSONL:
        return !rush_text_trim(text).length || (text.length == 1 && text.at[0] == '\r');
    default:
        return rush_line_is_blank(text);
    }
}

/* Why nothing of a file is read, which its first line shows. */
typedef struct refusal {
    rush_slug slug;
    const char *rows, *nothing; /* with how many rows, and of a file without further ones */
    const char *help;
} refusal;

/* Says so, and how many rows there are: those in the batch, which it takes out, and those behind them. */
static bool refuse_rows(rank_run *run, input_lines *lines, const refusal *why, rush_line first,
                        row_batch *batch)
{
    rush_buffer copy = {0}, message = {0};
    rush_text text;
    uint32_t count = batch->row_count;
    rush_buffer_add(&copy, first.text);
    first.text = (rush_text){copy.bytes, copy.length};
    batch->row_count = 0;
    while (input_next(lines, &text))
        count += !is_blank(run, text);
    int problem = errno;
    rush_buffer_string(&message, count ? why->rows : why->nothing);
    if (count)
        rush_buffer_format(&message, ": %u", count);
    if (!copy.failed && !message.failed)
        rush_line_diagnose(&first, why->slug, message.bytes, why->help, run->diagnostics);
    bool good = complain_of_line(run, batch, &first);
    rush_buffer_free(&copy);
    rush_buffer_free(&message);
    return good && (!problem || complain_of_file(run, first.file, problem));
}

/* False at the end. A batch ends where reading on would wait, so that lines which trickle in are answered
 * one by one. */
static bool fill(const rank_run *run, row_batch *batch, input_lines *lines)
{
    rush_text text;
    do {
        if (!input_next(lines, &text))
            return false;
        if (!is_blank(run, text))
            batch_add(batch, text, lines->number);
    } while (!batch->row_count || (!batch_full(batch) && input_waits(lines)));
    return true;
}

/* Of JSON that is no lines each line would be another riddle, so it is said once. */
static bool refuse_split(rank_run *run, input_lines *lines, const batch_source *source,
                         row_batch *batch)
{
    static const refusal split = {
        RUSH_BAD_JSON, "one JSON text over several lines, which are not read",
        "one JSON text over several lines, which is not read",
        "write one object a line, without brackets around them and commas between"};
    rush_line line = {batch_text(batch, 0), source->shown, batch->rows[0].number, RUSH_NONE,
                      NULL};
    return refuse_rows(run, lines, &split, line, batch);
}

static bool take_rows(rank_run *run, input_lines *lines, const batch_source *source)
{
    int problem = 0;
    bool first = run->plan.settings->in == IN_JSONL;
    for (bool left = true; left; first = false) {
        row_batch *batch = crew_batch(run->crew);
        if (!batch)
            return false;
        batch->source = source;
        left = fill(run, batch, lines);
        problem = left ? 0 : errno;
        if (first && batch->row_count > 1 &&
            rush_json_is_split(batch_text(batch, 0), batch_text(batch, 1)))
            return refuse_split(run, lines, source, batch);
        if (batch->row_count)
            crew_give(run->crew, batch);
    }
    return !problem || complain_of_file(run, source->shown, problem);
}

/* The first row that is not blank. Without a good column, *rows says, there are no rows to read. */
static bool take_header(rank_run *run, input_lines *lines, batch_source *source, bool *rows)
{
    rush_text text;
    *rows = false;
    lines->rows = true;
    do
        if (!input_next(lines, &text))
            return !errno || complain_of_file(run, source->shown, errno);
    while (rush_row_is_blank(text) || rush_row_tells_separator(text));
    rush_line line = {text, source->shown, lines->number, RUSH_NONE, NULL};
    source->columns = rush_columns_read(run->plan.key, &line, run->diagnostics);
    *rows = source->columns != NULL;
    if (!*rows) {
        static const refusal lost = {
            RUSH_UNREAD_ROWS, "rows that are not read, since their header cannot be",
            "nothing of this table is read, since its header cannot be",
            "the first line must name characters and fields, parted by commas, semicolons or "
            "tabs: delete what stands above it"};
        row_batch *batch = crew_batch(run->crew);
        return batch && refuse_rows(run, lines, &lost, line, batch);
    }
    lines->separator = rush_columns_separator(source->columns);
    return !rush_diagnostics_count(run->diagnostics) ||
           complain_of_line(run, crew_batch(run->crew), &line);
}

static bool take_file(rank_run *run, const char *name, batch_source *source, bool first)
{
    input_lines lines;
    source->shown = strcmp(name, "-") == 0 ? "stdin" : name;
    if (!input_open(&lines, name))
        return complain_of_file(run, source->shown, errno);
    uint32_t first_line = first ? run->plan.settings->first_line : 1;
    bool rows = true, table = run->plan.settings->in == IN_CSV;
    bool good = !table || take_header(run, &lines, source, &rows);
    if (first_line > 1)
        lines.number = first_line - 1, lines.breaks = 0;
    if (good && rows)
        good = take_rows(run, &lines, source);
    input_close(&lines);
    return good;
}

static bool write_header(const rank_run *run)
{
    rush_buffer header = {0};
    if (run->plan.settings->out == OUT_DARWIN_CORE)
        rush_darwin_core_header(&header);
    else if (run->plan.settings->out == OUT_CSV)
        rush_report_csv_header(&run->plan.shape, &header);
    bool written = output_write(&header);
    rush_buffer_free(&header);
    return written;
}

static int take_files(rank_run *run, char **files, int count)
{
    crew_trade trade = {run, hire, work, dismiss};
    batch_source *sources = calloc((size_t)count, sizeof *sources);
    run->diagnostics = rush_diagnostics_new();
    run->crew = sources && run->diagnostics ? crew_new(&trade, run->plan.settings->jobs) : NULL;
    int status = EXIT_DONE;
    if (!run->crew) {
        status = output_no_memory();
    } else {
        bool good = write_header(run);
        for (int i = 0; good && i < count; i++)
            good = take_file(run, files[i], &sources[i], i == 0);
        if (!crew_end(run->crew) || !good) {
            status = EXIT_FAULT;
        } else {
            warn_of_lacks(&run->tally);
            warn_of_twins(&run->tally);
        }
    }
    for (int i = 0; sources && i < count; i++)
        rush_columns_free(sources[i].columns);
    rush_diagnostics_free(run->diagnostics);
    rush_buffer_free(&run->tally.ids);
    free(sources);
    return status != EXIT_DONE ? status : run->tally.wrong ? EXIT_WRONG_INPUT : EXIT_DONE;
}

/* ---- the command -------------------------------------------------------------------------------- */

/* To be asked to blur and yet to tell the coordinates would be worse than to refuse. */
static bool outs_agree(const rank_settings *settings)
{
    bool shaped = settings->out != OUT_DARWIN_CORE && record_shaped(&settings->record);
    bool wide = settings->wide && settings->out != OUT_CSV;
    rush_buffer text = {0};
    if (shaped)
        rush_buffer_string(
            &text, "rushlight rank: --blur, --keep-place, --identified-by, --date-identified "
                   "and\n--occurrence-status go with --out darwin-core\n"
                   "see rushlight rank --help\n");
    else if (wide)
        rush_buffer_string(&text, "rushlight rank: --wide goes with --out csv\n"
                                  "see rushlight rank --help\n");
    output_error(&text);
    rush_buffer_free(&text);
    return !shaped && !wide;
}

/* No more candidates than there are taxa. */
static rush_csv_shape shape_of(const rush_key *key, const rank_settings *settings)
{
    uint32_t leaves = rush_key_leaf_count(key);
    return (rush_csv_shape){settings->wide, settings->top < leaves ? settings->top : leaves};
}

static int run_rank(const void *given, char **files, int count)
{
    char standard[] = "-", *standard_input[] = {standard};
    const rank_settings *settings = given;
    int status;
    rush_key *key = input_key_for_command(settings->key, &status);
    if (!key)
        return status;
    rank_run run = {.plan = {.settings = settings, .key = key, .shape = shape_of(key, settings)}};
    bool good = input_language(key, settings->language, &run.plan.language) &&
                input_set(key, settings->set, &run.plan.set) &&
                record_fields(key, &settings->record, &run.plan.set) && outs_agree(settings);
    int wrong = EXIT_DONE;
    if (!good)
        status = EXIT_USAGE;
    else if (!part_of_options(key, &settings->part, run.plan.language, &run.plan.part, &wrong))
        status = wrong;
    else
        status = count ? take_files(&run, files, count) : take_files(&run, standard_input, 1);
    if (status == EXIT_DONE)
        status = wrong;
    rush_sighting_free(run.plan.set);
    rush_part_free(run.plan.part);
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
