#include "report/sheet.h"

#include <stdlib.h>
#include <string.h>

#include "report/apart_words.h"

/* ---- small things ---------------------------------------------------------------------------------------- */

static const char *numbered(rush_sheet *sheet, const char *what, uint32_t number)
{
    return rush_arena_format(sheet->builder.arena, "%s-%u", what, number);
}

const char *rush_sheet_taxon_id(rush_sheet *sheet, uint32_t taxon)
{
    return numbered(sheet, "taxon", taxon + 1);
}

const char *rush_sheet_couplet_id(rush_sheet *sheet, uint32_t couplet)
{
    return numbered(sheet, "couplet", couplet + 1);
}

const char *rush_sheet_source_id(rush_sheet *sheet, uint32_t number)
{
    return numbered(sheet, "source", number);
}

rush_wording rush_sheet_wording(rush_sheet *sheet)
{
    return rush_build_wording(&sheet->builder, sheet->key, sheet->language);
}

void rush_sheet_tell(rush_sheet *sheet, rush_teller *teller, uint32_t character,
                     const rush_showing *showing, double least)
{
    rush_showing said = *showing;
    if (said.kind == RUSH_TRAIT_STATES) {
        uint32_t states = rush_key_character(sheet->key, character)->state_count;
        double *weights = RUSH_ARRAY(sheet->builder.arena, double, states + 1);
        for (uint32_t s = 0; s < states; s++)
            weights[s] = showing->weights[s] < least - 1e-9 ? 0 : showing->weights[s];
        said.weights = weights;
    }
    rush_words_showing(teller, character, &said);
}

static bool taxon_shows(const rush_sheet *sheet, uint32_t leaf, uint32_t character,
                        uint32_t state)
{
    const rush_taxon *taxon = rush_key_taxon(sheet->key, sheet->part->leaves[leaf]);
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
        const rush_trait *trait = rush_key_trait(sheet->key, f, character, NULL);
        if (sheet->part->forms[f] && trait && trait->kind == RUSH_TRAIT_STATES &&
            trait->weights[state] >= 0.5)
            return true;
    }
    return false;
}

uint32_t rush_sheet_showing(const rush_sheet *sheet, uint32_t character, uint32_t state)
{
    uint32_t count = 0;
    for (uint32_t leaf = 0; leaf < sheet->part->leaf_count; leaf++)
        count += taxon_shows(sheet, leaf, character, state);
    return count;
}

/* ---- sections -------------------------------------------------------------------------------------------- */

/* The user's own words are taken to be in the sheet's language. */
static rush_phrase own_words(rush_sheet *sheet, const char *before, const char *text)
{
    rush_wording wording = rush_sheet_wording(sheet);
    rush_build_say(&wording, before);
    rush_build_said(&wording, RUSH_VOICE_PLAIN, sheet->builder.document->language, text, NULL);
    return rush_build_worded(&wording);
}

static void add_title(rush_sheet *sheet)
{
    rush_words of_key = rush_key_about(sheet->key)->title;
    rush_phrase words = own_words(sheet, "", sheet->builder.document->title);
    if (!sheet->request->title && rush_key_words(sheet->key, of_key, sheet->language)[0]) {
        rush_wording wording = rush_sheet_wording(sheet);
        rush_tell(&wording.teller, of_key);
        words = rush_build_worded(&wording);
    }
    rush_build_heading(&sheet->builder, 1, NULL, words);
}

static void add_own(rush_sheet *sheet, const char *before, const char *text)
{
    rush_phrase words = own_words(sheet, before, text);
    rush_build_block(&sheet->builder, RUSH_BLOCK_PARAGRAPH)->words = words;
}

static void add_head(rush_sheet *sheet)
{
    rush_builder *builder = &sheet->builder;
    const rush_key_header *about = rush_key_about(sheet->key);
    add_title(sheet);
    if (sheet->request->place)
        add_own(sheet, "", sheet->request->place);
    if (!sheet->part->whole)
        add_own(sheet, "What is on it: ", sheet->part->words);
    rush_buffer_format(&builder->words, "%u of the %u taxa of the key %s",
                       sheet->part->leaf_count, rush_key_leaf_count(sheet->key),
                       about->id ? about->id : "");
    if (about->version)
        rush_buffer_format(&builder->words, ", version %s", about->version);
    rush_buffer_string(&builder->words, ". What is not on this sheet may be met all the same.");
    if (sheet->language)
        rush_buffer_format(
            &builder->words,
            " Words of the key are in the language %s as far as it has them, else in %s; what the sheet itself "
            "says is English.",
            about->languages[sheet->language], about->languages[0]);
    rush_build_paragraph(builder, RUSH_BLOCK_PARAGRAPH, rush_build_taken(builder));
    rush_build_paragraph(
        builder, RUSH_BLOCK_CAUTION,
        "Take care. Stay where the ground is firm and somebody can see you; children beside an adult. No "
        "find is worth a risk, least of all at the water's edge. Look and photograph first. Net, hold or "
        "pick only where that is permitted, only when needed, gently, and let animals go where they were. Some "
        "species and places are protected by law and want a licence. Local law, the owner's leave and licensed "
        "practice come first.");
    rush_picture_list ruler = {0};
    rush_picture picture = rush_sheet_ruler(sheet);
    *RUSH_PUSH(builder->arena, &ruler) = picture;
    rush_build_pictures(builder, (rush_phrase){0}, &ruler);
}

/* ---- the end --------------------------------------------------------------------------------------------- */

/* Who made the key and the drawings, each once. */
static void add_credit(rush_sheet *sheet, const char *what, rush_words credit, rush_words licence,
                       rush_cell_list *cells)
{
    const rush_key *key = sheet->key;
    const char *made = rush_key_words(key, credit, sheet->language);
    const char *may = rush_key_words(key, licence, sheet->language);
    rush_wording wording = rush_sheet_wording(sheet);
    if (!made[0] && !may[0])
        return;
    rush_build_say(&wording, what);
    rush_tell(&wording.teller, credit);
    bool ended = made[0] && strchr(".!?", made[strlen(made) - 1]);
    rush_build_say(&wording, made[0] && may[0] && !ended ? "." : "");
    rush_build_say(&wording, made[0] && may[0] ? " Licence: " : may[0] ? "Licence: " : "");
    rush_tell(&wording.teller, licence);
    RUSH_PUSH(sheet->builder.arena, cells)->words = rush_build_worded(&wording);
}

static bool same_credit(const rush_sheet *sheet, const rush_figure *a, const rush_figure *b)
{
    const rush_key *key = sheet->key;
    return strcmp(rush_key_words(key, a->credit, sheet->language),
                  rush_key_words(key, b->credit, sheet->language)) == 0 &&
           strcmp(rush_key_words(key, a->licence, sheet->language),
                  rush_key_words(key, b->licence, sheet->language)) == 0;
}

static void add_credits(rush_sheet *sheet)
{
    const rush_key_header *about = rush_key_about(sheet->key);
    rush_cell_list cells = {0};
    add_credit(sheet, "The key: ", about->credit, about->licence, &cells);
    for (uint32_t i = 0; i < sheet->drawn.count; i++) {
        bool said = false;
        for (uint32_t j = 0; j < i; j++)
            said |= same_credit(sheet, sheet->drawn.items[i], sheet->drawn.items[j]);
        if (!said)
            add_credit(sheet, "Drawings: ", sheet->drawn.items[i]->credit,
                       sheet->drawn.items[i]->licence, &cells);
    }
    if (!cells.count)
        return;
    rush_build_heading(&sheet->builder, 2, "credits",
                       rush_build_phrase(&sheet->builder, "Credit and licence"));
    rush_build_list(&sheet->builder, &cells);
}

static void add_source(rush_sheet *sheet, uint32_t at, rush_cell *cell)
{
    const rush_source_entry *source = rush_key_source(sheet->key, at);
    rush_builder *builder = &sheet->builder;
    rush_buffer_string(&builder->words, source->cite ? source->cite : source->id);
    if (source->doi)
        rush_buffer_format(&builder->words, " doi:%s", source->doi);
    if (source->url)
        rush_buffer_format(&builder->words, " %s", source->url);
    const char *text = rush_build_taken(builder);
    rush_wording wording = rush_sheet_wording(sheet);
    rush_buffer_format(&builder->words, "[%u] ", sheet->cited[at]);
    rush_build_said(&wording, RUSH_VOICE_PLAIN, builder->document->language, text, NULL);
    cell->words = rush_build_worded(&wording);
}

static void add_sources(rush_sheet *sheet)
{
    rush_builder *builder = &sheet->builder;
    rush_cell_list cells = {0};
    if (!sheet->cited_count)
        return;
    for (uint32_t number = 1; number <= sheet->cited_count; number++) {
        uint32_t s = 0;
        while (sheet->cited[s] != number)
            s++;
        rush_cell *cell = RUSH_PUSH(builder->arena, &cells);
        cell->id = rush_sheet_source_id(sheet, number);
        add_source(sheet, s, cell);
    }
    rush_build_heading(builder, 2, "sources", rush_build_phrase(builder, "Sources"));
    rush_build_list(builder, &cells);
}

/* ---- the whole ------------------------------------------------------------------------------------------- */

static void build(void *with)
{
    rush_sheet *sheet = with;
    rush_document *document = sheet->builder.document;
    const rush_key_header *about = rush_key_about(sheet->key);
    const char *title = sheet->request->title
                            ? sheet->request->title
                            : rush_key_words(sheet->key, about->title, sheet->language);
    document->title = rush_arena_copy(&document->arena, rush_text_of(title[0]    ? title
                                                                     : about->id ? about->id
                                                                                 : ""));
    document->language = about->languages[sheet->language];
    document->large = sheet->request->large;
    sheet->cited = RUSH_ARRAY(&document->arena, uint32_t, rush_key_source_count(sheet->key) + 1);
    add_head(sheet);
    rush_sheet_key(sheet);
    rush_sheet_drawings(sheet);
    rush_sheet_look_alikes(sheet);
    rush_sheet_taxa(sheet);
    add_credits(sheet);
    add_sources(sheet);
    document->blocks = sheet->builder.blocks.items;
    document->block_count = sheet->builder.blocks.count;
}

/* The language asked for, else the default one. */
static uint32_t language_of(const rush_sheet_request *request)
{
    uint32_t count = rush_key_about(request->part->key)->language_count;
    return request->language < count ? request->language : 0;
}

rush_document *rush_sheet_make(const rush_sheet_request *request)
{
    rush_document *document = calloc(1, sizeof *document);
    if (!document)
        return NULL;
    rush_sheet sheet = {.builder = {.document = document, .arena = &document->arena},
                        .request = request,
                        .key = request->part->key,
                        .part = request->part,
                        .language = language_of(request),
                        .marks = rush_marks_make(request->part, request->marks, RUSH_REACH_HAND)};
    bool good = sheet.marks && rush_arena_guard(&document->arena, build, &sheet);
    rush_marks_free(sheet.marks);
    rush_apart_free(sheet.apart);
    rush_buffer_free(&sheet.builder.words);
    if (good)
        return document;
    rush_document_free(document);
    return NULL;
}
