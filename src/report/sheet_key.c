#include "report/lead_words.h"
#include "report/sheet.h"

/* The printed key of a handout. */

#define DRAWING_MM 14.0

/* Drawings of the states that decide, where all of a lead's have one and they are few. */
static void add_drawings(rush_sheet *sheet, const rush_lead *lead, rush_cell *cell)
{
    enum { DRAWN_MAX = 3 };
    const rush_lead_mark *mark = &lead->marks[0];
    rush_picture_list pictures = {0};
    if (!lead->mark_count || mark->state_count > DRAWN_MAX)
        return;
    const rush_character *character = rush_key_character(sheet->key, mark->character);
    for (uint32_t i = 0; i < mark->state_count; i++)
        if (!character->states[mark->states[i]].figure)
            return;
    for (uint32_t i = 0; i < mark->state_count; i++)
        *RUSH_PUSH(sheet->builder.arena, &pictures) =
            rush_sheet_drawing(sheet, character->states[mark->states[i]].figure, DRAWING_MM);
    cell->pictures = pictures.items;
    cell->picture_count = pictures.count;
}

static void add_name(rush_sheet *sheet, const rush_lead_taxon *taxon, rush_run_list *runs)
{
    rush_builder *builder = &sheet->builder;
    rush_build_taxon(builder, runs, sheet->key, taxon->taxon, sheet->language,
                     rush_sheet_taxon_id(sheet, taxon->taxon));
    rush_words_forms(sheet->part, taxon, &builder->words);
    if (!builder->words.length)
        return;
    rush_build_run(builder, runs, RUSH_VOICE_PLAIN, ", ");
    rush_build_run(builder, runs, RUSH_VOICE_PLAIN, rush_build_taken(builder));
}

static void add_end(rush_sheet *sheet, uint32_t couplet, const rush_lead *lead,
                    rush_run_list *runs)
{
    rush_builder *builder = &sheet->builder;
    for (uint32_t i = 0; i < lead->taxon_count; i++) {
        if (i)
            rush_build_run(builder, runs, RUSH_VOICE_PLAIN,
                           i + 1 < lead->taxon_count ? "; " : "; or ");
        add_name(sheet, &lead->taxa[i], runs);
    }
    rush_buffer *words = &builder->words;
    if (lead->taxon_count == 1) {
        rush_words_other_outs(sheet->request->couplets, lead->taxa[0].taxon, couplet, words);
        if (!words->length)
            return;
        rush_build_run(builder, runs, RUSH_VOICE_PLAIN, " [also at ");
        rush_build_run(builder, runs, RUSH_VOICE_PLAIN, rush_build_taken(builder));
        rush_build_run(builder, runs, RUSH_VOICE_PLAIN, "]");
        return;
    }
    rush_build_run(builder, runs, RUSH_VOICE_PLAIN, " – ");
    rush_words_needs(sheet->key, lead, sheet->language, words);
    rush_build_run(builder, runs, RUSH_VOICE_PLAIN, rush_build_taken(builder));
}

static void add_lead(rush_sheet *sheet, uint32_t at, uint32_t l, rush_cell *row)
{
    rush_builder *builder = &sheet->builder;
    const rush_couplet *couplet = &sheet->request->couplets->couplets[at];
    const rush_lead *lead = &couplet->leads[l];
    rush_run_list number = {0}, see = {0}, goal = {0};
    if (l) {
        rush_build_run(builder, &number, RUSH_VOICE_PLAIN, "–");
    } else {
        rush_buffer_format(&builder->words, "%u", at + 1);
        rush_build_run(builder, &number, RUSH_VOICE_PLAIN, rush_build_taken(builder));
    }
    if (!l && couplet->from != RUSH_NONE) {
        rush_buffer_format(&builder->words, " (%u)", couplet->from + 1);
        rush_build_run(builder, &number, RUSH_VOICE_PLAIN, rush_build_taken(builder));
        number.items[1].target = rush_sheet_couplet_id(sheet, couplet->from);
    }
    rush_words_lead(sheet->key, lead, sheet->language, &builder->words);
    rush_build_run(builder, &see, RUSH_VOICE_TOLD, rush_build_taken(builder));
    if (lead->couplet == RUSH_NONE) {
        add_end(sheet, at, lead, &goal);
    } else {
        rush_buffer_format(&builder->words, "%u", lead->couplet + 1);
        rush_build_run(builder, &goal, RUSH_VOICE_STRONG, rush_build_taken(builder));
        goal.items[0].target = rush_sheet_couplet_id(sheet, lead->couplet);
    }
    row[0].words = rush_phrase_of(&number);
    row[1].words = rush_phrase_of(&see);
    row[2].words = rush_phrase_of(&goal);
    add_drawings(sheet, lead, &row[1]);
}

static void add_couplet(rush_sheet *sheet, uint32_t at)
{
    const rush_couplet *couplet = &sheet->request->couplets->couplets[at];
    rush_cell *cells =
        RUSH_ARRAY(sheet->builder.arena, rush_cell, (size_t)couplet->lead_count * 3);
    for (uint32_t l = 0; l < couplet->lead_count; l++)
        add_lead(sheet, at, l, cells + (size_t)l * 3);
    rush_block *block = rush_build_block(&sheet->builder, RUSH_BLOCK_LEADS);
    block->id = rush_sheet_couplet_id(sheet, at);
    block->cells = cells;
    block->cell_count = couplet->lead_count * 3;
    block->columns = 3;
}

void rush_sheet_key(rush_sheet *sheet)
{
    const rush_couplets *couplets = sheet->request->couplets;
    if (!couplets || !couplets->couplet_count)
        return;
    rush_build_heading(&sheet->builder, 2, "key", "A key");
    rush_build_paragraph(
        &sheet->builder, RUSH_BLOCK_PARAGRAPH,
        "Begin at 1. Read all leads of a couplet before you choose one, then go to the number at its "
        "end, until there is a name. The number in brackets is the way back. An insect that can look "
        "in two ways has its name in two places. Then read its account, and doubt: what is not on "
        "this sheet cannot be found with it.");
    for (uint32_t c = 0; c < couplets->couplet_count; c++)
        add_couplet(sheet, c);
    rush_words_lengths(couplets, &sheet->builder.words);
    rush_build_paragraph(&sheet->builder, RUSH_BLOCK_PARAGRAPH,
                         rush_build_taken(&sheet->builder));
}
