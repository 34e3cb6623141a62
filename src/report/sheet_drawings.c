#include "report/sheet.h"

/* Marks drawn once, for the whole sheet: the states that somebody has to choose between here. */

#define DRAWING_MM 17.0

/* Whether the sheet asks for it: in its key, or in an account. */
static bool asks(const rush_sheet *sheet, uint32_t character)
{
    const rush_couplets *couplets = sheet->request->couplets;
    for (uint32_t c = 0; couplets && c < couplets->couplet_count; c++)
        for (uint32_t l = 0; l < couplets->couplets[c].lead_count; l++)
            for (uint32_t m = 0; m < couplets->couplets[c].leads[l].mark_count; m++)
                if (couplets->couplets[c].leads[l].marks[m].character == character)
                    return true;
    for (uint32_t leaf = 0; leaf < sheet->part->leaf_count; leaf++)
        for (uint32_t m = 0; m < sheet->marks->own[leaf].count; m++)
            if (sheet->marks->own[leaf].characters[m] == character)
                return true;
    return false;
}

/* A number has one drawing, of how to measure it; other characters have one a state. */
static void add_character(rush_sheet *sheet, uint32_t at)
{
    const rush_character *character = rush_key_character(sheet->key, at);
    rush_picture_list pictures = {0};
    if (character->figure) {
        rush_picture picture = rush_sheet_drawing(sheet, character->figure, DRAWING_MM);
        *RUSH_PUSH(sheet->builder.arena, &pictures) = picture;
    }
    for (uint32_t s = 0; s < character->state_count; s++) {
        if (!character->states[s].figure || !rush_sheet_showing(sheet, at, s))
            continue;
        rush_wording caption = rush_sheet_wording(sheet);
        rush_picture picture = rush_sheet_drawing(sheet, character->states[s].figure, DRAWING_MM);
        rush_tell_state(&caption.teller, at, s);
        picture.caption = rush_build_worded(&caption);
        *RUSH_PUSH(sheet->builder.arena, &pictures) = picture;
    }
    if (!pictures.count)
        return;
    rush_wording name = rush_sheet_wording(sheet);
    rush_tell_character(&name.teller, at);
    rush_build_pictures(&sheet->builder, rush_build_worded(&name), &pictures);
}

void rush_sheet_drawings(rush_sheet *sheet)
{
    uint32_t before = sheet->builder.blocks.count;
    rush_build_heading(&sheet->builder, 2, "drawings",
                       rush_build_phrase(&sheet->builder, "Marks, drawn"));
    rush_build_paragraph(
        &sheet->builder, RUSH_BLOCK_NOTE,
        "Black is dark, white is pale, and grey is the colour that the words name.");
    uint32_t head = sheet->builder.blocks.count;
    for (uint32_t c = 0; c < rush_key_character_count(sheet->key); c++)
        if (asks(sheet, c))
            add_character(sheet, c);
    if (sheet->builder.blocks.count == head)
        sheet->builder.blocks.count = before; /* there is nothing to draw */
}
