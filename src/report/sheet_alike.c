#include <stdlib.h>

#include "report/apart_words.h"
#include "report/sheet.h"
#include "report/words.h"

/* Look-alikes: the hardest pairs of the part, and what tells them apart. */

enum { MARKS = 4, PAIRS_ROOM = 60 };
#define DRAWING_MM 18.0

static rush_cell cell_of(rush_sheet *sheet, const rush_apart_mark *mark, uint32_t taxon)
{
    rush_builder *builder = &sheet->builder;
    const rush_showing *shows = &mark->shows[taxon];
    rush_run_list runs = {0};
    rush_cell cell = {0};
    uint32_t state;
    rush_words_showing(sheet->key, mark->character, shows, sheet->language, &builder->words);
    rush_build_run(builder, &runs, RUSH_VOICE_TOLD, rush_build_taken(builder));
    cell.words = rush_phrase_of(&runs);
    const rush_figure *figure =
        shows->kind == RUSH_TRAIT_STATES
            ? rush_sheet_figure(sheet, mark->character, shows->weights, &state)
            : NULL;
    if (figure) {
        rush_picture *picture = RUSH_NEW(builder->arena, rush_picture);
        *picture = rush_sheet_drawing(sheet, figure, DRAWING_MM);
        cell.pictures = picture;
        cell.picture_count = 1;
    }
    return cell;
}

static void add_view(rush_sheet *sheet, const rush_apart_view *view)
{
    rush_builder *builder = &sheet->builder;
    const rush_apart *apart = sheet->apart;
    rush_cell_list cells = {0};
    rush_run_list caption = {0};
    RUSH_PUSH(builder->arena, &cells)->words = rush_build_phrase(builder, "mark");
    for (uint32_t t = 0; t < apart->taxon_count; t++) {
        rush_run_list name = {0};
        rush_build_run(builder, &name, RUSH_VOICE_NAME,
                       rush_key_taxon(sheet->key, apart->taxa[t])->name);
        RUSH_PUSH(builder->arena, &cells)->words = rush_phrase_of(&name);
    }
    RUSH_PUSH(builder->arena, &cells)->words = rush_build_phrase(builder, "right by it alone");
    for (uint32_t m = 0; m < view->mark_count; m++) {
        rush_run_list name = {0};
        rush_character_name(sheet->key, view->marks[m].character, sheet->language,
                            &builder->words);
        rush_build_run(builder, &name, RUSH_VOICE_TOLD, rush_build_taken(builder));
        RUSH_PUSH(builder->arena, &cells)->words = rush_phrase_of(&name);
        for (uint32_t t = 0; t < apart->taxon_count; t++)
            *RUSH_PUSH(builder->arena, &cells) = cell_of(sheet, &view->marks[m], t);
        rush_words_percent(view->marks[m].safe, &builder->words);
        RUSH_PUSH(builder->arena, &cells)->words =
            rush_build_phrase(builder, rush_build_taken(builder));
    }
    rush_build_run(builder, &caption, RUSH_VOICE_PLAIN, rush_words_sexes(view->sex));
    rush_build_run(builder, &caption, RUSH_VOICE_PLAIN, ": ");
    rush_words_safety(apart, view, &builder->words);
    rush_build_run(builder, &caption, RUSH_VOICE_PLAIN, rush_build_taken(builder));
    rush_block *block = rush_build_block(builder, RUSH_BLOCK_TABLE);
    block->words = rush_phrase_of(&caption);
    block->cells = cells.items;
    block->cell_count = cells.count;
    block->columns = apart->taxon_count + 2;
}

static void add_pair(rush_sheet *sheet, uint32_t number, const uint32_t taxa[2])
{
    rush_builder *builder = &sheet->builder;
    rush_apart_options options = {.part = sheet->part, .marks = MARKS};
    rush_apart_free(sheet->apart);
    sheet->apart = rush_apart_tell(sheet->key, taxa, 2, &options);
    if (!sheet->apart)
        rush_arena_escape(builder->arena);
    rush_run_list runs = {0};
    for (uint32_t t = 0; t < 2; t++) {
        if (t)
            rush_build_run(builder, &runs, RUSH_VOICE_PLAIN, " and ");
        rush_build_taxon(builder, &runs, sheet->key, taxa[t], sheet->language, NULL);
    }
    rush_buffer_format(&builder->words, "alike-%u", number);
    const char *id = rush_build_taken(builder);
    rush_block *heading = rush_build_block(builder, RUSH_BLOCK_HEADING);
    heading->level = 3;
    heading->id = id;
    heading->words = rush_phrase_of(&runs);
    for (uint32_t v = 0; v < sheet->apart->view_count; v++)
        if (sheet->apart->views[v].mark_count)
            add_view(sheet, &sheet->apart->views[v]);
        else
            rush_build_paragraph(builder, RUSH_BLOCK_PARAGRAPH,
                                 "The key knows no mark that tells them apart.");
}

void rush_sheet_look_alikes(rush_sheet *sheet)
{
    rush_hard_pair *pairs = RUSH_ARRAY(sheet->builder.arena, rush_hard_pair, PAIRS_ROOM);
    if (sheet->part->leaf_count < 2 || !sheet->request->pairs)
        return;
    uint32_t count = rush_apart_hardest(sheet->key, sheet->part, pairs, PAIRS_ROOM), shown = 0;
    if (count == RUSH_NONE)
        rush_arena_escape(sheet->builder.arena);
    for (uint32_t i = 0; i < count && shown < sheet->request->pairs; i++) {
        bool again = false;
        for (uint32_t j = 0; j < i; j++)
            again |= pairs[j].taxon == pairs[i].taxon && pairs[j].other == pairs[i].other;
        if (again)
            continue;
        if (!shown)
            rush_build_heading(&sheet->builder, 2, "look-alikes", "Look-alikes")->new_page = true;
        add_pair(sheet, ++shown, (uint32_t[2]){pairs[i].taxon, pairs[i].other});
    }
}
