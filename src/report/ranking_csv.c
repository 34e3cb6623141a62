/* Rankings as tables: a row for each candidate, or, wide, one for each sighting. Each column is a row of a
 * table here; what a sighting does not have leaves its cells empty. */
#include "report/csv.h"
#include "rushlight/report.h"

/* One row while it is written: of a result, or of a sighting that could not be read. */
typedef struct table_row {
    const rush_result *result;     /* NULL: errors */
    const rush_sighting *sighting; /* NULL: of a header */
    const char *file;
    uint32_t line;
    const rush_diagnostics *diagnostics; /* or NULL */
    uint32_t candidate;                  /* from 0; RUSH_NONE: there is none */
} table_row;

typedef struct table_column {
    const char *name;
    void (*fill)(const table_row *row, rush_buffer *cell); /* of a row with a result */
} table_column;

enum { DECIMALS = 6 };

static const rush_candidate *candidate_of(const table_row *row)
{
    const rush_ranking *ranking = row->result->ranking;
    return row->candidate < ranking->candidate_count ? &ranking->candidates[row->candidate]
                                                     : NULL;
}

/* ---- the candidate ------------------------------------------------------------------------------ */

static void fill_candidate(const table_row *row, rush_buffer *cell)
{
    if (candidate_of(row))
        rush_buffer_format(cell, "%u", row->candidate + 1);
}

static void write_taxon(const table_row *row, uint32_t taxon, rush_buffer *cell)
{
    rush_buffer_string(cell, rush_key_taxon(row->result->ranking->key, taxon)->name);
}

static void write_vernacular(const table_row *row, uint32_t taxon, rush_buffer *cell)
{
    const rush_key *key = row->result->ranking->key;
    rush_buffer_string(
        cell, rush_key_words(key, rush_key_taxon(key, taxon)->vernacular, row->result->language));
}

static void fill_taxon(const table_row *row, rush_buffer *cell)
{
    if (candidate_of(row))
        write_taxon(row, candidate_of(row)->taxon, cell);
}

static void fill_vernacular(const table_row *row, rush_buffer *cell)
{
    if (candidate_of(row))
        write_vernacular(row, candidate_of(row)->taxon, cell);
}

static void fill_probability(const table_row *row, rush_buffer *cell)
{
    if (candidate_of(row))
        rush_buffer_decimal(cell, candidate_of(row)->probability, DECIMALS);
}

static void fill_sex(const table_row *row, rush_buffer *cell)
{
    if (candidate_of(row))
        rush_buffer_string(
            cell, rush_sex_name(
                      rush_key_form(row->result->ranking->key, candidate_of(row)->form)->sex));
}

static void fill_form(const table_row *row, rush_buffer *cell)
{
    if (candidate_of(row))
        rush_buffer_string(
            cell, rush_key_form(row->result->ranking->key, candidate_of(row)->form)->name);
}

static void write_character(const table_row *row, uint32_t character, rush_buffer *cell)
{
    rush_buffer_string(cell, cell->length ? " | " : "");
    rush_buffer_string(cell, rush_key_character(row->result->ranking->key, character)->id);
}

static void fill_against(const table_row *row, rush_buffer *cell)
{
    const rush_candidate *candidate = candidate_of(row);
    for (uint32_t i = 0; candidate && i < rush_sighting_answer_count(row->sighting); i++)
        if (rush_answer_sits_badly(row->result->ranker, i, candidate->form))
            write_character(row, rush_sighting_answer(row->sighting, i)->character, cell);
}

/* ---- the sighting ------------------------------------------------------------------------------- */

static const rush_verdict *safe_verdict(const table_row *row)
{
    const rush_verdict *verdict = &row->result->ranking->verdict;
    return verdict->safe ? verdict : NULL;
}

static void fill_safe(const table_row *row, rush_buffer *cell)
{
    rush_buffer_string(cell, safe_verdict(row) ? "true" : "false");
}

static void fill_safe_rank(const table_row *row, rush_buffer *cell)
{
    const rush_verdict *verdict = safe_verdict(row);
    if (verdict)
        rush_buffer_string(cell,
                           rush_taxon_rank_name(
                               rush_key_taxon(row->result->ranking->key, verdict->taxon)->rank));
}

static void fill_safe_taxon(const table_row *row, rush_buffer *cell)
{
    if (safe_verdict(row))
        write_taxon(row, safe_verdict(row)->taxon, cell);
}

static void fill_safe_vernacular(const table_row *row, rush_buffer *cell)
{
    if (safe_verdict(row))
        write_vernacular(row, safe_verdict(row)->taxon, cell);
}

static void fill_safe_probability(const table_row *row, rush_buffer *cell)
{
    if (safe_verdict(row))
        rush_buffer_decimal(cell, safe_verdict(row)->probability, DECIMALS);
}

static void fill_safe_sex(const table_row *row, rush_buffer *cell)
{
    const rush_verdict *verdict = safe_verdict(row);
    if (verdict && verdict->sex != RUSH_SEX_ANY)
        rush_buffer_string(cell, rush_sex_name(verdict->sex));
}

static void fill_unlisted(const table_row *row, rush_buffer *cell)
{
    rush_buffer_decimal(cell, row->result->ranking->unlisted, DECIMALS);
}

static void fill_in_play(const table_row *row, rush_buffer *cell)
{
    rush_buffer_format(cell, "%u", row->result->ranking->in_play);
}

static void fill_poor_fit(const table_row *row, rush_buffer *cell)
{
    rush_buffer_string(cell, row->result->ranking->fit.poor ? "true" : "false");
}

static void fill_second_looks(const table_row *row, rush_buffer *cell)
{
    const rush_ranking *ranking = row->result->ranking;
    for (uint32_t i = 0; i < ranking->second_look_count; i++)
        write_character(
            row, rush_sighting_answer(row->sighting, ranking->second_looks[i].answer)->character,
            cell);
}

static void fill_look_next(const table_row *row, rush_buffer *cell)
{
    for (uint32_t i = 0; i < row->result->look_count; i++)
        write_character(row, row->result->looks[i].character, cell);
}

/* ---- columns ------------------------------------------------------------------------------------ */

static const table_column of_candidate[] = {
    {"candidate", fill_candidate},     {"taxon", fill_taxon}, {"vernacular", fill_vernacular},
    {"probability", fill_probability}, {"sex", fill_sex},     {"form", fill_form},
    {"against", fill_against},
};
static const table_column of_candidate_wide[] = {
    {"taxon", fill_taxon}, {"probability", fill_probability}, {"against", fill_against}};
static const table_column of_sighting[] = {
    {"safe", fill_safe},
    {"safe_rank", fill_safe_rank},
    {"safe_taxon", fill_safe_taxon},
    {"safe_vernacular", fill_safe_vernacular},
    {"safe_probability", fill_safe_probability},
    {"safe_sex", fill_safe_sex},
    {"unlisted", fill_unlisted},
    {"in_play", fill_in_play},
    {"poor_fit", fill_poor_fit},
    {"second_looks", fill_second_looks},
    {"look_next", fill_look_next},
};

#define COUNT(array) (sizeof(array) / sizeof *(array))

void rush_report_csv_header(const rush_csv_shape *shape, rush_buffer *buffer)
{
    rush_buffer_string(buffer, "file,line,id");
    for (size_t i = 0; !shape->wide && i < COUNT(of_candidate); i++)
        rush_buffer_format(buffer, ",%s", of_candidate[i].name);
    for (size_t i = 0; i < COUNT(of_sighting); i++)
        rush_buffer_format(buffer, ",%s", of_sighting[i].name);
    rush_buffer_string(buffer, ",errors,warnings");
    for (uint32_t candidate = 0; shape->wide && candidate < shape->candidates; candidate++)
        for (size_t i = 0; i < COUNT(of_candidate_wide); i++)
            rush_buffer_format(buffer, ",%s_%u", of_candidate_wide[i].name, candidate + 1);
    rush_buffer_byte(buffer, '\n');
}

static void write_cells(const table_row *row, const table_column *columns, size_t count,
                        rush_buffer *buffer)
{
    rush_buffer cell = {0};
    for (size_t i = 0; i < count; i++) {
        rush_buffer_clear(&cell);
        if (row->result)
            columns[i].fill(row, &cell);
        buffer->failed |= cell.failed;
        rush_csv_cell((rush_text){cell.bytes, cell.length}, false, buffer);
    }
    rush_buffer_free(&cell);
}

/* "3:12: 'colour' has no state 'purple' [unknown-state]", and the others. */
static void write_diagnostics(const table_row *row, rush_severity severity, rush_buffer *buffer)
{
    rush_buffer cell = {0};
    size_t count = row->diagnostics ? rush_diagnostics_count(row->diagnostics) : 0;
    for (size_t i = 0; i < count; i++) {
        const rush_diagnostic *told = rush_diagnostics_at(row->diagnostics, i);
        if (told->severity == severity)
            rush_buffer_format(&cell, "%s%u:%u: %s [%s]", cell.length ? " | " : "",
                               told->place.line, told->place.column, told->message,
                               rush_slug_name(told->slug));
    }
    buffer->failed |= cell.failed;
    rush_csv_cell((rush_text){cell.bytes, cell.length}, false, buffer);
    rush_buffer_free(&cell);
}

static void write_row(table_row *row, const rush_csv_shape *shape, rush_buffer *buffer)
{
    rush_csv_cell(rush_text_of(row->file), true, buffer);
    rush_buffer_format(buffer, ",%u", row->line);
    rush_csv_cell(row->sighting ? rush_sighting_field(row->sighting, RUSH_RECORD_ID)
                                : (rush_text){"", 0},
                  false, buffer);
    if (!shape->wide)
        write_cells(row, of_candidate, COUNT(of_candidate), buffer);
    write_cells(row, of_sighting, COUNT(of_sighting), buffer);
    write_diagnostics(row, RUSH_ERROR, buffer);
    write_diagnostics(row, RUSH_WARNING, buffer);
    for (uint32_t candidate = 0; shape->wide && candidate < shape->candidates; candidate++) {
        row->candidate = candidate;
        write_cells(row, of_candidate_wide, COUNT(of_candidate_wide), buffer);
    }
    rush_buffer_byte(buffer, '\n');
}

void rush_report_csv(const rush_result *result, const rush_csv_shape *shape, rush_buffer *buffer)
{
    const rush_ranking *ranking = result->ranking;
    table_row row = {.result = result,
                     .sighting = ranking->sighting,
                     .file = result->file,
                     .line = result->line,
                     .diagnostics = result->warnings};
    uint32_t rows = ranking->candidate_count < shape->candidates ? ranking->candidate_count
                                                                 : shape->candidates;
    if (shape->wide || !rows)
        rows = 1;
    for (uint32_t i = 0; i < rows; i++) {
        row.candidate = shape->candidates ? i : RUSH_NONE;
        write_row(&row, shape, buffer);
    }
}

void rush_report_csv_errors(const rush_sighting *sighting, const rush_line *line,
                            const rush_diagnostics *diagnostics, const rush_csv_shape *shape,
                            rush_buffer *buffer)
{
    table_row row = {.sighting = sighting,
                     .file = line->file,
                     .line = line->number,
                     .diagnostics = diagnostics,
                     .candidate = RUSH_NONE};
    write_row(&row, shape, buffer);
}
