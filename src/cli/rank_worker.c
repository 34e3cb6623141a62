#include "rank_worker.h"

#include <stdlib.h>

#include "command.h"

struct rank_worker {
    const rank_plan *plan;
    rush_sighting *sighting;
    rush_ranker *ranker;
    rush_adviser *adviser;
    rush_diagnostics *diagnostics;
    rank_tally tally;
};

static bool shows_looks(const rank_settings *settings)
{
    return settings->next && settings->out != OUT_DARWIN_CORE;
}

rank_worker *rank_worker_new(const rank_plan *plan)
{
    rank_worker *worker = calloc(1, sizeof *worker);
    if (!worker)
        return NULL;
    worker->plan = plan;
    worker->sighting = rush_sighting_new(plan->key);
    worker->ranker = rush_ranker_new(plan->key);
    bool looks = shows_looks(plan->settings);
    worker->adviser = looks ? rush_adviser_new(plan->key) : NULL;
    worker->diagnostics = rush_diagnostics_new();
    if (worker->sighting && worker->ranker && (worker->adviser || !looks) && worker->diagnostics)
        return worker;
    rank_worker_free(worker);
    return NULL;
}

void rank_worker_free(rank_worker *worker)
{
    rush_sighting_free(worker->sighting);
    rush_ranker_free(worker->ranker);
    rush_adviser_free(worker->adviser);
    rush_diagnostics_free(worker->diagnostics);
    rush_buffer_free(&worker->tally.ids);
    free(worker);
}

void rank_worker_tally(const rank_worker *worker, rank_tally *tally)
{
    tally->wrong |= worker->tally.wrong;
    tally->records += worker->tally.records;
    for (unsigned i = 0; i < COUNT(tally->lacking); i++)
        tally->lacking[i] += worker->tally.lacking[i];
    rush_buffer_add(&tally->ids, (rush_text){worker->tally.ids.bytes, worker->tally.ids.length});
    tally->ids.failed |= worker->tally.ids.failed;
}

/* ---- a row -------------------------------------------------------------------------------------- */

void rank_report_errors(const rank_plan *plan, const rush_sighting *sighting,
                        const rush_line *line, const rush_diagnostics *list, row_batch *batch)
{
    if (plan->settings->out == OUT_JSONL)
        rush_report_jsonl_errors(sighting, line->file, line->number, list, &batch->out);
    else if (plan->settings->out == OUT_CSV)
        rush_report_csv_errors(sighting, line, list, &plan->shape, &batch->out);
    batch_complain(batch, list);
}

static void refuse_row(rank_worker *worker, const rush_line *line, row_batch *batch)
{
    worker->tally.wrong = true;
    rank_report_errors(worker->plan, worker->sighting, line, worker->diagnostics, batch);
}

/* FNV-1a (draft-eastlake-fnv) of the id in lower case, as UUIDs are compared: enough to find two that are alike. */
static void note_id(rank_tally *tally, rush_text id)
{
    uint64_t digest = UINT64_C(0xcbf29ce484222325);
    if (!rush_record_is_global(id))
        return;
    for (size_t i = 0; i < id.length; i++) {
        bool capital = id.at[i] >= 'A' && id.at[i] <= 'Z';
        digest ^= (unsigned char)(capital ? id.at[i] + ('a' - 'A') : id.at[i]);
        digest *= UINT64_C(0x100000001b3);
    }
    rush_buffer_add(&tally->ids, (rush_text){(const char *)&digest, sizeof digest});
}

static void write_record(rank_worker *worker, const rush_result *result, row_batch *batch)
{
    record_draft draft;
    if (!record_draft_of(&draft, &worker->plan->settings->record, worker->sighting)) {
        batch->faulty = true;
        return;
    }
    rush_darwin_core_row(result, &draft.record, &batch->out);
    unsigned missing = rush_record_missing(result, &draft.record);
    for (unsigned i = 0; i < COUNT(worker->tally.lacking); i++)
        worker->tally.lacking[i] += missing >> i & 1;
    worker->tally.records++;
    note_id(&worker->tally, rush_sighting_field(worker->sighting, RUSH_RECORD_ID));
}

static void write_result(rank_worker *worker, const rush_result *result, row_batch *batch)
{
    switch (worker->plan->settings->out) {
    case OUT_JSONL:
        rush_report_jsonl(result, &batch->out);
        break;
    case OUT_CSV:
        rush_report_csv(result, &worker->plan->shape, &batch->out);
        break;
    case OUT_DARWIN_CORE:
        write_record(worker, result, batch);
        break;
    default:
        rush_report_text(result, &batch->out);
    }
}

/* Settings say what may be met, not what was seen. */
static void warn(rank_worker *worker, const rush_line *line, const rush_ranking *ranking)
{
    if (!ranking->nothing_fits && !ranking->fit.of)
        rush_line_diagnose(
            line, RUSH_NO_ANSWERS, "nothing here says what was seen, so nothing is safe",
            "answer a character that is no setting; delete the row if it is no sighting",
            worker->diagnostics);
    if (ranking->nothing_fits)
        rush_line_diagnose(line, RUSH_NOTHING_FITS,
                           "no taxon of the key can show these answers together",
                           "look again, or leave out the answer that you are least sure of",
                           worker->diagnostics);
}

static void rank_row(rank_worker *worker, const rush_line *line, row_batch *batch)
{
    const rank_settings *settings = worker->plan->settings;
    rush_rank_options how = {.safe = settings->safe,
                             .no_occurrence = settings->no_occurrence,
                             .part = worker->plan->part,
                             .top = settings->top ? settings->top : 1};
    const rush_ranking *ranking = rush_rank(worker->ranker, worker->sighting, &how);
    rush_result result = {.ranker = worker->ranker,
                          .ranking = ranking,
                          .file = line->file,
                          .line = line->number,
                          .top = settings->top,
                          .language = worker->plan->language,
                          .warnings = worker->diagnostics};
    if (worker->adviser && !ranking->nothing_fits) {
        result.looks = rush_look_next(worker->adviser, ranking, NULL, &result.look_count);
        if (result.look_count > settings->next)
            result.look_count = settings->next;
    }
    warn(worker, line, ranking);
    if (rush_diagnostics_count(worker->diagnostics))
        batch_complain(batch, worker->diagnostics);
    if (settings->exit_safe && !ranking->verdict.safe)
        worker->tally.wrong = true;
    write_result(worker, &result, batch);
}

static bool read_row(rank_worker *worker, const rush_line *line, const batch_source *source)
{
    switch (worker->plan->settings->in) {
    case IN_CSV:
        return rush_sighting_read_row(worker->sighting, line, source->columns,
                                      worker->diagnostics);
    case IN_JSONL:
        return rush_sighting_read_json(worker->sighting, line, worker->diagnostics);
    default:
        return rush_sighting_read(worker->sighting, line, worker->diagnostics);
    }
}

void rank_worker_take(rank_worker *worker, row_batch *batch)
{
    for (uint32_t i = 0; i < batch->row_count && !batch->faulty; i++) {
        rush_line line = {batch_text(batch, i), batch->source->shown, batch->rows[i].number,
                          RUSH_NONE, worker->plan->set};
        rush_diagnostics_clear(worker->diagnostics);
        if (read_row(worker, &line, batch->source))
            rank_row(worker, &line, batch);
        else
            refuse_row(worker, &line, batch);
    }
}
