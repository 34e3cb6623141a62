#include <math.h>

#include "report/json.h"
#include "rushlight/report.h"

static const char *vernacular(const rush_result *result, uint32_t taxon)
{
    const rush_key *key = result->ranking->key;
    return rush_key_words(key, rush_key_taxon(key, taxon)->vernacular, result->language);
}

static const char *character_id(const rush_result *result, uint32_t answer)
{
    const rush_ranking *ranking = result->ranking;
    return rush_key_character(ranking->key,
                              rush_sighting_answer(ranking->sighting, answer)->character)
        ->id;
}

static void write_record(rush_json *json, const rush_sighting *sighting)
{
    rush_text id = rush_sighting_field(sighting, RUSH_RECORD_ID);
    if (id.length)
        rush_json_text(json, "id", id);
    else
        rush_json_string(json, "id", NULL);
    rush_json_open(json, "record", '{');
    for (int f = 0; f < RUSH_RECORD_FIELD_COUNT; f++) {
        rush_text field = rush_sighting_field(sighting, (rush_record_field)f);
        if (field.length && f != RUSH_RECORD_ID)
            rush_json_text(json, rush_record_field_name((rush_record_field)f), field);
    }
    rush_json_close(json, '}');
}

/* The bits are for the first candidate against the second. */
static void write_answers(rush_json *json, const rush_result *result, rush_buffer *scratch)
{
    const rush_ranking *ranking = result->ranking;
    rush_json_open(json, "answers", '[');
    for (uint32_t i = 0; i < rush_sighting_answer_count(ranking->sighting); i++) {
        const rush_answer *answer = rush_sighting_answer(ranking->sighting, i);
        double bits = NAN;
        if (ranking->candidate_count > 1)
            bits = rush_answer_bits(result->ranker, i, ranking->candidates[0].form,
                                    ranking->candidates[1].form);
        rush_buffer_clear(scratch);
        rush_answer_write(ranking->key, answer, result->language, scratch);
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "character",
                         rush_key_character(ranking->key, answer->character)->id);
        rush_json_text(json, "given", answer->given);
        rush_json_text(json, "read_as", (rush_text){scratch->bytes, scratch->length});
        rush_json_number(json, "bits", bits);
        rush_json_close(json, '}');
        json->buffer->failed |= scratch->failed;
    }
    rush_json_close(json, ']');
}

static void write_verdict(rush_json *json, const rush_result *result)
{
    const rush_ranking *ranking = result->ranking;
    const rush_verdict *verdict = &ranking->verdict;
    const rush_taxon *taxon = verdict->safe ? rush_key_taxon(ranking->key, verdict->taxon) : NULL;
    rush_json_open(json, "verdict", '{');
    rush_json_flag(json, "safe", verdict->safe);
    rush_json_string(json, "rank", taxon ? rush_taxon_rank_name(taxon->rank) : NULL);
    rush_json_string(json, "taxon", taxon ? taxon->name : NULL);
    rush_json_string_or_null(json, "vernacular",
                             taxon ? vernacular(result, verdict->taxon) : NULL);
    rush_json_number(json, "probability", verdict->probability);
    rush_json_number(json, "marks_alone", verdict->marks_alone);
    rush_json_string(json, "sex",
                     verdict->sex == RUSH_SEX_ANY ? NULL : rush_sex_name(verdict->sex));
    rush_json_string(
        json, "form",
        verdict->form == RUSH_NONE ? NULL : rush_key_form(ranking->key, verdict->form)->name);
    rush_json_open(json, "fit", '{');
    rush_json_whole(json, "against", ranking->fit.against);
    rush_json_whole(json, "of", ranking->fit.of);
    rush_json_number(json, "tail", ranking->fit.tail);
    rush_json_flag(json, "poor", ranking->fit.poor);
    rush_json_close(json, '}');
    rush_json_close(json, '}');
}

static void write_candidate(rush_json *json, const rush_result *result,
                            const rush_candidate *candidate)
{
    const rush_ranking *ranking = result->ranking;
    const rush_taxon *taxon = rush_key_taxon(ranking->key, candidate->taxon);
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "taxon", taxon->name);
    rush_json_string_or_null(json, "vernacular", vernacular(result, candidate->taxon));
    rush_json_number(json, "probability", candidate->probability);
    rush_json_open(json, "forms", '[');
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
        const rush_form *form = rush_key_form(ranking->key, f);
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "sex", rush_sex_name(form->sex));
        rush_json_string(json, "form", form->name);
        rush_json_number(json, "probability", ranking->forms[f]);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
    rush_json_open(json, "against", '[');
    for (uint32_t i = 0; i < rush_sighting_answer_count(ranking->sighting); i++)
        if (rush_answer_sits_badly(result->ranker, i, candidate->form))
            rush_json_string(json, NULL, character_id(result, i));
    rush_json_close(json, ']');
    rush_json_close(json, '}');
}

static void write_looks(rush_json *json, const rush_result *result)
{
    const rush_ranking *ranking = result->ranking;
    rush_json_open(json, "second_looks", '[');
    for (uint32_t i = 0; i < ranking->second_look_count; i++) {
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "character",
                         character_id(result, ranking->second_looks[i].answer));
        rush_json_number(json, "misread", ranking->second_looks[i].misread);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
    rush_json_open(json, "look_next", '[');
    for (uint32_t i = 0; i < result->look_count; i++) {
        const rush_character *character =
            rush_key_character(ranking->key, result->looks[i].character);
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "character", character->id);
        rush_json_number(json, "gain_bits", result->looks[i].gain);
        rush_json_number(json, "effort", character->effort);
        rush_json_string(json, "reach", rush_reach_name(character->reach));
        rush_json_string_or_null(json, "ask",
                                 rush_key_words(ranking->key, character->ask, result->language));
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_diagnostics(rush_json *json, const char *name, const rush_diagnostics *list,
                              rush_severity severity)
{
    rush_json_open(json, name, '[');
    for (size_t i = 0; i < rush_diagnostics_count(list); i++) {
        const rush_diagnostic *diagnostic = rush_diagnostics_at(list, i);
        if (diagnostic->severity != severity)
            continue;
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "slug", rush_slug_name(diagnostic->slug));
        rush_json_whole(json, "line", diagnostic->place.line);
        rush_json_whole(json, "column", diagnostic->place.column);
        rush_json_string(json, "message", diagnostic->message);
        rush_json_string(json, "help", diagnostic->help);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_warnings(rush_json *json, const rush_diagnostics *list)
{
    if (list && rush_diagnostics_of(list, RUSH_WARNING))
        write_diagnostics(json, "warnings", list, RUSH_WARNING);
}

void rush_report_jsonl(const rush_result *result, rush_buffer *buffer)
{
    const rush_ranking *ranking = result->ranking;
    const rush_key_header *header = rush_key_about(ranking->key);
    rush_json json = {buffer, true};
    rush_buffer scratch = {0};
    rush_json_open(&json, NULL, '{');
    rush_json_whole(&json, "schema", 1);
    rush_json_open(&json, "key", '{');
    rush_json_string(&json, "key", header->id);
    rush_json_string(&json, "version", header->version);
    rush_json_close(&json, '}');
    rush_json_string(&json, "file", result->file);
    rush_json_whole(&json, "line", result->line);
    write_record(&json, ranking->sighting);
    write_answers(&json, result, &scratch);
    write_verdict(&json, result);
    rush_json_open(&json, "candidates", '[');
    for (uint32_t i = 0; i < ranking->candidate_count && i < result->top; i++)
        write_candidate(&json, result, &ranking->candidates[i]);
    rush_json_close(&json, ']');
    rush_json_number(&json, "unlisted", ranking->unlisted);
    rush_json_whole(&json, "in_play", ranking->in_play);
    write_looks(&json, result);
    write_warnings(&json, result->warnings);
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
    rush_buffer_free(&scratch);
}

void rush_report_jsonl_errors(const rush_sighting *sighting, const char *file, uint32_t line,
                              const rush_diagnostics *diagnostics, rush_buffer *buffer)
{
    rush_json json = {buffer, true};
    rush_text id = sighting ? rush_sighting_field(sighting, RUSH_RECORD_ID) : (rush_text){"", 0};
    rush_json_open(&json, NULL, '{');
    rush_json_whole(&json, "schema", 1);
    rush_json_string(&json, "file", file);
    rush_json_whole(&json, "line", line);
    if (id.length)
        rush_json_text(&json, "id", id);
    else
        rush_json_string(&json, "id", NULL);
    write_diagnostics(&json, "errors", diagnostics, RUSH_ERROR);
    write_warnings(&json, diagnostics);
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
}
