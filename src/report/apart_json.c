#include "report/apart_words.h"
#include "report/json.h"
#include "rushlight/report.h"

static void open_document(const rush_key *key, rush_json *json)
{
    const rush_key_header *header = rush_key_about(key);
    rush_json_open(json, NULL, '{');
    rush_json_whole(json, "schema", 1);
    rush_json_open(json, "key", '{');
    rush_json_string(json, "key", header->id);
    rush_json_string(json, "version", header->version);
    rush_json_close(json, '}');
}

static void write_taxon(const rush_key *key, uint32_t taxon, uint32_t language, rush_json *json)
{
    const rush_taxon *here = rush_key_taxon(key, taxon);
    rush_json_string(json, "taxon", here->name);
    rush_json_string_or_null(json, "vernacular", rush_key_words(key, here->vernacular, language));
}

static void write_showing(const rush_apart *apart, const rush_apart_mark *mark, uint32_t at,
                          uint32_t language, rush_json *json)
{
    const rush_character *character = rush_key_character(apart->key, mark->character);
    const rush_showing *shows = &mark->shows[at];
    rush_buffer words = {0};
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "taxon", rush_key_taxon(apart->key, apart->taxa[at])->name);
    rush_words_showing(&(rush_teller){apart->key, language, &words, NULL}, mark->character,
                       shows);
    rush_json_text(json, "says", (rush_text){words.bytes, words.length});
    json->buffer->failed |= words.failed;
    rush_buffer_free(&words);
    if (shows->kind == RUSH_TRAIT_NUMBER) {
        rush_json_number(json, "low", shows->low);
        rush_json_number(json, "high", shows->high);
    } else if (shows->kind == RUSH_TRAIT_STATES) {
        rush_json_open(json, "states", '[');
        for (uint32_t s = 0; s < character->state_count; s++) {
            if (!(shows->weights[s] > 0))
                continue;
            rush_json_open(json, NULL, '{');
            rush_json_string(json, "state", character->states[s].id);
            rush_json_number(json, "weight", shows->weights[s]);
            rush_json_close(json, '}');
        }
        rush_json_close(json, ']');
    }
    rush_json_number(json, "silent", shows->silent);
    rush_json_close(json, '}');
}

static void write_view(const rush_apart *apart, const rush_apart_view *view, uint32_t language,
                       rush_json *json)
{
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "sex", rush_sex_name(view->sex));
    rush_json_number(json, "safe_together", view->together);
    rush_json_number(json, "safe_in_field", view->field);
    rush_json_number(json, "safe_in_hand", view->hand);
    rush_json_whole(json, "marks_not_shown", view->more);
    rush_json_open(json, "marks", '[');
    for (uint32_t m = 0; m < view->mark_count; m++) {
        const rush_apart_mark *mark = &view->marks[m];
        const rush_character *character = rush_key_character(apart->key, mark->character);
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "character", character->id);
        rush_json_string(json, "reach", rush_reach_name(character->reach));
        rush_json_number(json, "gain_bits", mark->gain);
        rush_json_number(json, "safe_alone", mark->safe);
        rush_json_open(json, "shows", '[');
        for (uint32_t t = 0; t < apart->taxon_count; t++)
            write_showing(apart, mark, t, language, json);
        rush_json_close(json, ']');
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
    rush_json_close(json, '}');
}

void rush_report_apart_json(const rush_apart *apart, uint32_t language, rush_buffer *buffer)
{
    rush_json json = {buffer, true};
    open_document(apart->key, &json);
    rush_json_number(&json, "safe", apart->safe);
    rush_json_open(&json, "taxa", '[');
    for (uint32_t t = 0; t < apart->taxon_count; t++) {
        rush_json_open(&json, NULL, '{');
        write_taxon(apart->key, apart->taxa[t], language, &json);
        rush_json_close(&json, '}');
    }
    rush_json_close(&json, ']');
    rush_json_open(&json, "views", '[');
    for (uint32_t v = 0; v < apart->view_count; v++)
        write_view(apart, &apart->views[v], language, &json);
    rush_json_close(&json, ']');
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
}

void rush_report_hard_pairs_json(const rush_hard_pairs *hard, rush_buffer *buffer)
{
    rush_json json = {buffer, true};
    open_document(hard->key, &json);
    rush_json_open(&json, "pairs", '[');
    for (uint32_t i = 0; i < hard->count; i++) {
        const rush_hard_pair *pair = &hard->pairs[i];
        const uint32_t taxa[] = {pair->taxon, pair->other};
        rush_json_open(&json, NULL, '{');
        rush_json_open(&json, "taxa", '[');
        for (int t = 0; t < 2; t++) {
            rush_json_open(&json, NULL, '{');
            write_taxon(hard->key, taxa[t], hard->language, &json);
            rush_json_close(&json, '}');
        }
        rush_json_close(&json, ']');
        rush_json_string(&json, "sex", rush_sex_name(pair->sex));
        rush_json_number(&json, "safe_in_field", pair->safe);
        rush_json_close(&json, '}');
    }
    rush_json_close(&json, ']');
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
}
