#include <math.h>

#include "report/json.h"
#include "report/lead_words.h"
#include "rushlight/report.h"

static void write_words(rush_json *json, const char *name, rush_buffer *words)
{
    rush_json_text(json, name, (rush_text){words->bytes, words->length});
    json->buffer->failed |= words->failed;
    rush_buffer_free(words);
}

static void write_mark(const rush_key *key, const rush_lead_mark *mark, rush_json *json)
{
    const rush_character *character = rush_key_character(key, mark->character);
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "character", character->id);
    if (character->kind == RUSH_KIND_NUMBER) {
        rush_json_number(json, "low", mark->low);
        rush_json_number(json, "high", mark->high);
        rush_json_string(json, "unit", character->unit);
    } else {
        rush_json_open(json, "states", '[');
        for (uint32_t s = 0; s < mark->state_count; s++)
            rush_json_string(json, NULL, character->states[mark->states[s]].id);
        rush_json_close(json, ']');
    }
    rush_json_close(json, '}');
}

static void write_taxon(const rush_couplets *couplets, const rush_lead_taxon *taxon,
                        uint32_t language, rush_json *json)
{
    const rush_key *key = couplets->part->key;
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "taxon", rush_words_scientific(key, taxon->taxon));
    rush_json_string_or_null(json, "vernacular",
                             rush_words_vernacular(key, taxon->taxon, language));
    rush_json_flag(json, "all_forms", taxon->all_forms);
    rush_json_flag(json, "rarely", taxon->rarely);
    rush_json_open(json, "forms", '[');
    for (uint32_t f = 0; f < taxon->form_count; f++) {
        const rush_form *form = rush_key_form(key, taxon->forms[f]);
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "sex", rush_sex_name(form->sex));
        rush_json_string(json, "form", form->name);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
    rush_json_close(json, '}');
}

static void write_lead(const rush_couplets *couplets, const rush_couplet *couplet, uint32_t at,
                       uint32_t language, rush_json *json)
{
    const rush_lead *lead = &couplet->leads[at];
    const rush_key *key = couplets->part->key;
    rush_buffer words = {0};
    rush_json_open(json, NULL, '{');
    rush_words_lead(&(rush_teller){key, language, &words, NULL}, couplet, at);
    write_words(json, "says", &words);
    rush_json_open(json, "marks", '[');
    for (uint32_t m = 0; m < lead->mark_count; m++)
        write_mark(key, &lead->marks[m], json);
    rush_json_close(json, ']');
    if (lead->couplet == RUSH_NONE)
        rush_json_string(json, "goes_to", NULL);
    else
        rush_json_whole(json, "goes_to", lead->couplet + 1);
    rush_json_open(json, "taxa", '[');
    for (uint32_t t = 0; t < lead->taxon_count; t++)
        write_taxon(couplets, &lead->taxa[t], language, json);
    rush_json_close(json, ']');
    rush_json_open(json, "needs", '[');
    for (uint32_t n = 0; n < lead->need_count; n++)
        rush_json_string(json, NULL, rush_key_character(key, lead->needs[n].character)->id);
    rush_json_close(json, ']');
    rush_json_close(json, '}');
}

static void write_couplet(const rush_couplets *couplets, uint32_t at, uint32_t language,
                          rush_json *json)
{
    const rush_couplet *couplet = &couplets->couplets[at];
    rush_json_open(json, NULL, '{');
    rush_json_whole(json, "couplet", at + 1);
    if (couplet->from == RUSH_NONE)
        rush_json_string(json, "from", NULL);
    else
        rush_json_whole(json, "from", couplet->from + 1);
    rush_json_open(json, "leads", '[');
    for (uint32_t l = 0; l < couplet->lead_count; l++)
        write_lead(couplets, couplet, l, language, json);
    rush_json_close(json, ']');
    rush_json_close(json, '}');
}

void rush_report_couplets_json(const rush_couplets *couplets, uint32_t language,
                               rush_buffer *buffer)
{
    const rush_part *part = couplets->part;
    const rush_key_header *header = rush_key_about(part->key);
    rush_json json = {buffer, true};
    rush_json_open(&json, NULL, '{');
    rush_json_whole(&json, "schema", 1);
    rush_json_open(&json, "key", '{');
    rush_json_string(&json, "key", header->id);
    rush_json_string(&json, "version", header->version);
    rush_json_close(&json, '}');
    rush_json_string(&json, "part", part->words);
    rush_json_whole(&json, "taxa", part->leaf_count);
    rush_json_number(&json, "mean_length", couplets->mean);
    rush_json_number(&json, "mean_length_taxa_alike", couplets->mean_alike);
    rush_json_whole(&json, "greatest_length", couplets->greatest);
    rush_json_number(&json, "grouped", couplets->grouped);
    rush_json_open(&json, "couplets", '[');
    for (uint32_t c = 0; c < couplets->couplet_count; c++)
        write_couplet(couplets, c, language, &json);
    rush_json_close(&json, ']');
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
}
