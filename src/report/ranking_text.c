#include "report/words.h"

enum { NAME_COLUMNS = 26 };

static void write_answer_name(const rush_result *result, uint32_t answer, rush_buffer *buffer)
{
    const rush_ranking *ranking = result->ranking;
    rush_words_character(ranking->key, rush_sighting_answer(ranking->sighting, answer)->character,
                         result->language, buffer);
}

static void write_unsafe(const rush_ranking *ranking, uint32_t language, rush_buffer *buffer)
{
    if (ranking->nothing_fits) {
        rush_buffer_string(buffer, "nothing in this key fits these answers");
        return;
    }
    if (ranking->fit.poor)
        rush_buffer_format(buffer,
                           "nothing is safe: %u of %u answers sit badly with the leading ",
                           ranking->fit.against, ranking->fit.of);
    else
        rush_buffer_string(buffer, "nothing is safe yet; leading: ");
    rush_words_taxon(ranking->key, ranking->verdict.taxon, language, buffer);
    rush_buffer_string(buffer, ", ");
    rush_words_percent(ranking->verdict.probability, buffer);
}

void rush_report_verdict(const rush_ranking *ranking, uint32_t language, rush_buffer *buffer)
{
    const rush_verdict *verdict = &ranking->verdict;
    if (!verdict->safe) {
        write_unsafe(ranking, language, buffer);
        return;
    }
    const rush_taxon *taxon = rush_key_taxon(ranking->key, verdict->taxon);
    rush_buffer_format(buffer, "safe to %s: ", rush_taxon_rank_name(taxon->rank));
    rush_words_taxon(ranking->key, verdict->taxon, language, buffer);
    if (verdict->sex != RUSH_SEX_ANY)
        rush_buffer_format(buffer, ", %s", rush_sex_name(verdict->sex));
    if (verdict->form != RUSH_NONE) {
        rush_buffer_string(buffer, ", form ");
        rush_buffer_safe(buffer, rush_text_of(rush_key_form(ranking->key, verdict->form)->name));
    }
    rush_buffer_string(buffer, ", ");
    rush_words_percent(verdict->probability, buffer);
}

static void write_form(const rush_result *result, const rush_candidate *candidate,
                       rush_buffer *buffer)
{
    const rush_form *form = rush_key_form(result->ranking->key, candidate->form);
    if (form->sex == RUSH_SEX_ANY && !form->name)
        return;
    rush_buffer_string(buffer, "; likeliest ");
    if (form->sex != RUSH_SEX_ANY)
        rush_buffer_string(buffer, rush_sex_name(form->sex));
    if (form->name) {
        rush_buffer_string(buffer, form->sex == RUSH_SEX_ANY ? "form " : ", form ");
        rush_buffer_safe(buffer, rush_text_of(form->name));
    }
}

static void write_against(const rush_result *result, const rush_candidate *candidate,
                          rush_buffer *buffer)
{
    bool first = true;
    for (uint32_t i = 0; i < rush_sighting_answer_count(result->ranking->sighting); i++) {
        if (!rush_answer_sits_badly(result->ranker, i, candidate->form))
            continue;
        rush_buffer_string(buffer, first ? "; against: " : ", ");
        write_answer_name(result, i, buffer);
        first = false;
    }
}

/* "  97.9 %  Pyrrhosoma nymphula       large red damselfly; likeliest male" */
static void write_candidate(const rush_result *result, const rush_candidate *candidate,
                            rush_buffer *buffer)
{
    const rush_key *key = result->ranking->key;
    const rush_taxon *taxon = rush_key_taxon(key, candidate->taxon);
    const char *vernacular = rush_key_words(key, taxon->vernacular, result->language);
    size_t start = buffer->length;
    rush_buffer_decimal(buffer, candidate->probability * 100, 1);
    size_t width = buffer->length - start;
    buffer->length = start;
    rush_buffer_fill(buffer, ' ', width < 7 ? 7 - width : 0);
    rush_buffer_decimal(buffer, candidate->probability * 100, 1);
    rush_buffer_string(buffer, " %  ");
    rush_buffer_safe(buffer, rush_text_of(taxon->name));
    size_t columns = rush_text_columns(rush_text_of(taxon->name));
    if (vernacular[0]) {
        rush_buffer_fill(buffer, ' ', columns < NAME_COLUMNS ? NAME_COLUMNS - columns : 1);
        rush_buffer_safe(buffer, rush_text_of(vernacular));
    }
    write_form(result, candidate, buffer);
    write_against(result, candidate, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_caution(const rush_result *result, rush_buffer *buffer)
{
    const rush_verdict *verdict = &result->ranking->verdict;
    if (!verdict->safe)
        return;
    const rush_key *key = result->ranking->key;
    const char *caution =
        rush_key_words(key, rush_key_taxon(key, verdict->taxon)->caution, result->language);
    if (!caution[0])
        return;
    rush_buffer_string(buffer, "    caution: ");
    rush_words_wrap(rush_text_of(caution), 13, RUSH_TEXT_COLUMNS, buffer);
    rush_buffer_byte(buffer, '\n');
}

void rush_report_text(const rush_result *result, rush_buffer *buffer)
{
    const rush_ranking *ranking = result->ranking;
    rush_text id = rush_sighting_field(ranking->sighting, RUSH_RECORD_ID);
    rush_buffer_safe(buffer, rush_text_of(result->file));
    rush_buffer_format(buffer, ":%u", result->line);
    if (id.length) {
        rush_buffer_string(buffer, " ");
        rush_buffer_safe(buffer, id);
    }
    rush_buffer_string(buffer, ": ");
    rush_report_verdict(ranking, result->language, buffer);
    rush_buffer_byte(buffer, '\n');
    for (uint32_t i = 0; i < ranking->candidate_count && i < result->top; i++)
        write_candidate(result, &ranking->candidates[i], buffer);
    if (!ranking->nothing_fits) {
        rush_buffer_format(buffer, "    in play: %u; not in this key: ", ranking->in_play);
        rush_words_percent(ranking->unlisted, buffer);
        rush_buffer_byte(buffer, '\n');
    }
    write_caution(result, buffer);
    for (uint32_t i = 0; i < ranking->second_look_count; i++) {
        rush_buffer_string(buffer, "    second look: ");
        write_answer_name(result, ranking->second_looks[i].answer, buffer);
        rush_buffer_string(buffer, " (misread ");
        rush_words_percent(ranking->second_looks[i].misread, buffer);
        rush_buffer_string(buffer, ")\n");
    }
    for (uint32_t i = 0; i < result->look_count; i++) {
        const rush_character *character =
            rush_key_character(ranking->key, result->looks[i].character);
        const char *ask = rush_key_words(ranking->key, character->ask, result->language);
        rush_buffer_string(buffer, "    look next: ");
        rush_words_character(ranking->key, result->looks[i].character, result->language, buffer);
        rush_buffer_string(buffer, " (");
        rush_buffer_decimal(buffer, result->looks[i].gain, 2);
        rush_buffer_format(buffer, " bit, %s)%s", rush_reach_name(character->reach),
                           ask[0] ? ": " : "");
        rush_buffer_safe(buffer, rush_text_of(ask));
        rush_buffer_byte(buffer, '\n');
    }
}
