#include "report/apart_words.h"
#include "report/sheet.h"
#include "report/words.h"

/* Look-alikes: the pairs of the part that are confused most, and what tells them apart. */

enum { MARKS = 3 };
#define DRAWING_MM 12.5
#define SAID_SHARE 0.1
/* A pair that is told apart more often than this is none of look-alikes. */
#define ALIKE 0.99

/* What most of them show, drawn; what is not drawn has no picture. */
static void add_drawing(rush_sheet *sheet, const rush_apart_mark *mark, const rush_showing *shows,
                        rush_cell *cell)
{
    if (shows->kind != RUSH_TRAIT_STATES || shows->weights[shows->likeliest] < 0.5)
        return;
    const rush_figure *figure =
        rush_key_character(sheet->key, mark->character)->states[shows->likeliest].figure;
    if (!figure)
        return;
    rush_picture *picture = RUSH_NEW(sheet->builder.arena, rush_picture);
    *picture = rush_sheet_drawing(sheet, figure, DRAWING_MM);
    cell->pictures = picture;
    cell->picture_count = 1;
}

static void add_mark(rush_sheet *sheet, const rush_apart_mark *mark, rush_cell_list *cells)
{
    rush_builder *builder = &sheet->builder;
    rush_wording name = rush_sheet_wording(sheet);
    rush_tell_character(&name.teller, mark->character);
    RUSH_PUSH(builder->arena, cells)->words = rush_build_worded(&name);
    for (uint32_t t = 0; t < sheet->apart->taxon_count; t++) {
        rush_cell cell = {0};
        rush_wording shows = rush_sheet_wording(sheet);
        rush_sheet_tell(sheet, &shows.teller, mark->character, &mark->shows[t], SAID_SHARE);
        cell.words = rush_build_worded(&shows);
        add_drawing(sheet, mark, &mark->shows[t], &cell);
        *RUSH_PUSH(builder->arena, cells) = cell;
    }
    rush_words_percent(mark->safe, &builder->words);
    const char *safe = rush_build_taken(builder);
    RUSH_PUSH(builder->arena, cells)->words = rush_build_phrase(builder, safe);
}

static void add_view(rush_sheet *sheet, const rush_apart_view *view)
{
    rush_builder *builder = &sheet->builder;
    const rush_apart *apart = sheet->apart;
    rush_cell_list cells = {0};
    RUSH_PUSH(builder->arena, &cells)->words = rush_build_phrase(builder, "mark");
    for (uint32_t t = 0; t < apart->taxon_count; t++) {
        rush_wording name = rush_sheet_wording(sheet);
        rush_build_said(&name, RUSH_VOICE_NAME, "la",
                        rush_key_taxon(sheet->key, apart->taxa[t])->name, NULL);
        RUSH_PUSH(builder->arena, &cells)->words = rush_build_worded(&name);
    }
    RUSH_PUSH(builder->arena, &cells)->words = rush_build_phrase(builder, "right by it alone");
    for (uint32_t m = 0; m < view->mark_count; m++)
        add_mark(sheet, &view->marks[m], &cells);
    rush_buffer_format(&builder->words, "%s: ", rush_words_sexes(apart->key, view->sex));
    rush_words_safety(apart, view, &builder->words);
    const char *caption = rush_build_taken(builder);
    rush_phrase words = rush_build_phrase(builder, caption);
    rush_block *block = rush_build_block(builder, RUSH_BLOCK_TABLE);
    block->words = words;
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
    rush_wording names = rush_sheet_wording(sheet);
    for (uint32_t t = 0; t < 2; t++) {
        rush_build_say(&names, t ? " and " : "");
        rush_build_taxon(&names, taxa[t], false, rush_sheet_taxon_id(sheet, taxa[t]));
    }
    rush_phrase words = rush_build_worded(&names);
    rush_build_heading(builder, 3, rush_arena_format(builder->arena, "alike-%u", number), words);
    for (uint32_t v = 0; v < sheet->apart->view_count; v++)
        if (sheet->apart->views[v].mark_count)
            add_view(sheet, &sheet->apart->views[v]);
        else
            rush_build_paragraph(builder, RUSH_BLOCK_PARAGRAPH,
                                 "The key knows no mark that tells them apart.");
}

void rush_sheet_look_alikes(rush_sheet *sheet)
{
    uint32_t wanted = sheet->request->pairs;
    rush_hard_pair *pairs = RUSH_ARRAY(sheet->builder.arena, rush_hard_pair, (size_t)wanted + 1);
    if (sheet->part->leaf_count < 2 || !wanted)
        return;
    uint32_t count = rush_apart_hardest(sheet->key, sheet->part, RUSH_NONE, pairs, wanted);
    if (count == RUSH_NONE)
        rush_arena_escape(sheet->builder.arena);
    uint32_t number = 0;
    for (uint32_t i = 0; i < count; i++) {
        if (pairs[i].safe > ALIKE)
            continue;
        if (!number)
            rush_build_heading(&sheet->builder, 2, "look-alikes",
                               rush_build_phrase(&sheet->builder, "Look-alikes"));
        add_pair(sheet, ++number, (uint32_t[2]){pairs[i].taxon, pairs[i].other});
    }
}
