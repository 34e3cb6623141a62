#include "report/sheet.h"

#include <stdlib.h>
#include <string.h>

#include "report/lead_words.h"

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

const rush_figure *rush_sheet_figure(const rush_sheet *sheet, uint32_t character,
                                     const double *weights, uint32_t *state)
{
    const rush_character *owner = rush_key_character(sheet->key, character);
    if (owner->kind != RUSH_KIND_STATES)
        return NULL;
    for (uint32_t s = 0; s < owner->state_count; s++)
        if (weights[s] >= 0.5 && owner->states[s].figure) {
            *state = s;
            return owner->states[s].figure;
        }
    return NULL;
}

/* ---- sections -------------------------------------------------------------------------------------------- */

static void add_head(rush_sheet *sheet)
{
    rush_builder *builder = &sheet->builder;
    const rush_key_header *about = rush_key_about(sheet->key);
    rush_build_heading(builder, 1, NULL, builder->document->title);
    if (sheet->request->place)
        rush_build_paragraph(builder, RUSH_BLOCK_PARAGRAPH, sheet->request->place);
    if (!sheet->part->whole) {
        rush_buffer_format(&builder->words, "What is on it: %s.", sheet->part->words);
        rush_build_paragraph(builder, RUSH_BLOCK_PARAGRAPH, rush_build_taken(builder));
    }
    rush_buffer_format(&builder->words, "%u of the %u taxa of the key %s",
                       sheet->part->leaf_count, rush_key_leaf_count(sheet->key),
                       about->id ? about->id : "");
    if (about->version)
        rush_buffer_format(&builder->words, ", version %s", about->version);
    rush_buffer_string(&builder->words, ". What is not on this sheet may be met all the same.");
    rush_build_paragraph(builder, RUSH_BLOCK_PARAGRAPH, rush_build_taken(builder));
    rush_build_paragraph(
        builder, RUSH_BLOCK_CAUTION,
        "Take care. Stay where the bank is firm and somebody can see you; children beside an adult. No "
        "insect is worth a risk at the water's edge. Look and photograph first. Net or hold an insect "
        "only where that is permitted, only when needed, gently, and let it go where it was. Some species "
        "and places are protected by law and want a licence. Local law, the owner's leave and licensed "
        "practice come first.");
    rush_cell *cell = RUSH_NEW(builder->arena, rush_cell);
    rush_picture *ruler = RUSH_NEW(builder->arena, rush_picture);
    *ruler = rush_sheet_ruler(sheet);
    *cell = (rush_cell){.pictures = ruler, .picture_count = 1};
    rush_block *block = rush_build_block(builder, RUSH_BLOCK_PICTURES);
    block->cells = cell;
    block->cell_count = block->columns = 1;
}

static rush_cell cell_of_words(rush_builder *builder)
{
    return (rush_cell){.words = rush_build_phrase(builder, rush_build_taken(builder))};
}

static void add_list(rush_builder *builder, const rush_cell_list *cells)
{
    rush_block *block = rush_build_block(builder, RUSH_BLOCK_LIST);
    block->cells = cells->items;
    block->cell_count = cells->count;
    block->columns = 1;
}

static void add_sources(rush_sheet *sheet)
{
    rush_builder *builder = &sheet->builder;
    rush_cell_list cells = {0};
    for (uint32_t s = 0; s < rush_key_source_count(sheet->key); s++) {
        const rush_source_entry *source = rush_key_source(sheet->key, s);
        if (!sheet->cited[s])
            continue;
        rush_buffer_format(&builder->words, "%s: %s", source->id,
                           source->cite ? source->cite : "");
        if (source->doi)
            rush_buffer_format(&builder->words, " doi:%s", source->doi);
        if (source->url)
            rush_buffer_format(&builder->words, " %s", source->url);
        *RUSH_PUSH(builder->arena, &cells) = cell_of_words(builder);
    }
    if (!cells.count)
        return;
    rush_build_heading(builder, 2, "sources", "Sources");
    add_list(builder, &cells);
}

/* Who made the key and the drawings, each once. */
static void add_credit(rush_sheet *sheet, const char *what, rush_words credit, rush_words licence,
                       rush_cell_list *cells)
{
    rush_builder *builder = &sheet->builder;
    const char *made = rush_key_words(sheet->key, credit, sheet->language);
    const char *may = rush_key_words(sheet->key, licence, sheet->language);
    if (!made[0] && !may[0])
        return;
    rush_buffer_format(&builder->words, "%s: %s%s%s%s", what, made, made[0] && may[0] ? " " : "",
                       may[0] ? "Licence: " : "", may);
    const char *words = rush_build_taken(builder);
    for (uint32_t i = 0; i < cells->count; i++)
        if (strcmp(cells->items[i].words.runs[0].text, words) == 0)
            return;
    RUSH_PUSH(builder->arena, cells)->words = rush_build_phrase(builder, words);
}

static void add_credits(rush_sheet *sheet)
{
    const rush_key_header *about = rush_key_about(sheet->key);
    rush_cell_list cells = {0};
    add_credit(sheet, "The key", about->credit, about->licence, &cells);
    for (uint32_t i = 0; i < sheet->drawn.count; i++)
        add_credit(sheet, "Drawings", sheet->drawn.items[i]->credit,
                   sheet->drawn.items[i]->licence, &cells);
    if (!cells.count)
        return;
    rush_build_heading(&sheet->builder, 2, "credits", "Credit and licence");
    add_list(&sheet->builder, &cells);
}

/* ---- the order of marks ---------------------------------------------------------------------------------- */

/* What tells most among those of the part, before anything is seen of them. */
typedef struct telling {
    rush_sighting *sighting;
    rush_ranker *ranker;
    rush_adviser *adviser;
    const rush_look *looks;
    uint32_t count;
} telling;

static bool find_telling(const rush_part *part, telling *with)
{
    with->sighting = rush_sighting_new(part->key);
    with->ranker = rush_ranker_new(part->key);
    with->adviser = rush_adviser_new(part->key);
    if (!with->sighting || !with->ranker || !with->adviser)
        return false;
    rush_rank_options options = {.part = part, .no_occurrence = true};
    rush_look_options look = {.reach = RUSH_REACH_HAND};
    const rush_ranking *ranking = rush_rank(with->ranker, with->sighting, &options);
    with->looks = rush_look_next(with->adviser, ranking, &look, &with->count);
    return true;
}

static void free_telling(telling *with)
{
    rush_adviser_free(with->adviser);
    rush_ranker_free(with->ranker);
    rush_sighting_free(with->sighting);
}

static void order_marks(rush_sheet *sheet, const telling *with)
{
    uint32_t count = rush_key_character_count(sheet->key);
    bool *placed = RUSH_ARRAY(sheet->builder.arena, bool, count);
    sheet->order = RUSH_ARRAY(sheet->builder.arena, uint32_t, count);
    for (uint32_t i = 0; i < with->count + count; i++) {
        uint32_t c = i < with->count ? with->looks[i].character : i - with->count;
        if (placed[c] || c < RUSH_BUILT_IN_CHARACTERS ||
            rush_key_character(sheet->key, c)->setting)
            continue;
        placed[c] = true;
        sheet->order[sheet->order_count++] = c;
    }
}

/* ---- the whole ------------------------------------------------------------------------------------------- */

typedef struct sheet_work {
    rush_sheet sheet;
    telling telling;
} sheet_work;

static void build(void *with)
{
    sheet_work *work = with;
    rush_sheet *sheet = &work->sheet;
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
    sheet->cited = RUSH_ARRAY(&document->arena, bool, rush_key_source_count(sheet->key) + 1);
    order_marks(sheet, &work->telling);
    rush_sheet_common(sheet);
    add_head(sheet);
    rush_sheet_key(sheet);
    rush_sheet_look_alikes(sheet);
    rush_sheet_taxa(sheet);
    add_sources(sheet);
    add_credits(sheet);
    document->blocks = sheet->builder.blocks.items;
    document->block_count = sheet->builder.blocks.count;
}

rush_document *rush_sheet_make(const rush_sheet_request *request)
{
    rush_document *document = calloc(1, sizeof *document);
    if (!document)
        return NULL;
    sheet_work work = {.sheet = {.builder = {.document = document, .arena = &document->arena},
                                 .request = request,
                                 .key = request->part->key,
                                 .part = request->part,
                                 .language = request->language}};
    bool good = find_telling(request->part, &work.telling) &&
                rush_arena_guard(&document->arena, build, &work);
    free_telling(&work.telling);
    rush_apart_free(work.sheet.apart);
    rush_buffer_free(&work.sheet.builder.words);
    if (good)
        return document;
    rush_document_free(document);
    return NULL;
}
