#include "report/lead_words.h"
#include "report/sheet.h"

/* The printed key of a handout. */

/* The names at the end of a lead; there is no room for two names of each. */
static void add_end(rush_sheet *sheet, const rush_lead *lead, rush_wording *goal)
{
    for (uint32_t i = 0; i < lead->taxon_count; i++) {
        const rush_lead_taxon *taxon = &lead->taxa[i];
        rush_build_say(goal, rush_words_joint(lead, i));
        rush_build_taxon(goal, taxon->taxon, true, rush_sheet_taxon_id(sheet, taxon->taxon));
        rush_buffer forms = {0};
        rush_words_forms(sheet->part, taxon, &forms);
        if (forms.length)
            rush_buffer_format(goal->teller.words, ", %s", forms.bytes);
        goal->teller.words->failed |= forms.failed;
        rush_buffer_free(&forms);
        rush_build_say(goal, "");
    }
    if (lead->taxon_count < 2)
        return;
    rush_build_say(goal, " – ");
    goal->voice = RUSH_VOICE_PLAIN;
    rush_words_needs(&goal->teller, lead);
}

static rush_phrase number_of(rush_sheet *sheet, uint32_t at, uint32_t lead)
{
    const rush_couplet *couplet = &sheet->request->couplets->couplets[at];
    rush_wording number = rush_sheet_wording(sheet);
    if (lead)
        return rush_build_phrase(&sheet->builder, "–");
    rush_buffer_format(number.teller.words, "%u", at + 1);
    if (couplet->from == RUSH_NONE)
        return rush_build_worded(&number);
    rush_build_say(&number, " ");
    number.target = rush_sheet_couplet_id(sheet, couplet->from);
    rush_buffer_format(number.teller.words, "(%u)", couplet->from + 1);
    return rush_build_worded(&number);
}

static void add_lead(rush_sheet *sheet, uint32_t at, uint32_t l, rush_cell *row)
{
    const rush_couplet *couplet = &sheet->request->couplets->couplets[at];
    const rush_lead *lead = &couplet->leads[l];
    rush_wording see = rush_sheet_wording(sheet);
    row[0].words = number_of(sheet, at, l);
    rush_words_lead(&see.teller, couplet, l);
    row[1].words = rush_build_worded(&see);
    rush_wording goal = rush_sheet_wording(sheet);
    if (lead->couplet == RUSH_NONE) {
        add_end(sheet, lead, &goal);
    } else {
        goal.voice = RUSH_VOICE_STRONG;
        goal.target = rush_sheet_couplet_id(sheet, lead->couplet);
        rush_buffer_format(goal.teller.words, "%u", lead->couplet + 1);
    }
    row[2].words = rush_build_worded(&goal);
    row[2].apart = lead->taxon_count > 1 && lead->couplet == RUSH_NONE;
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
    rush_build_heading(&sheet->builder, 2, "key", rush_build_phrase(&sheet->builder, "A key"));
    rush_build_paragraph(
        &sheet->builder, RUSH_BLOCK_PARAGRAPH,
        "Begin at 1. Read all leads of a couplet before you choose one, then go to the number at its "
        "end, until there is a name. The number in brackets is the way back. What can look "
        "in two ways has its name in two places. Marks are drawn after the key. Then read the "
        "account, and doubt: what is not on this sheet cannot be found with it.");
    for (uint32_t c = 0; c < couplets->couplet_count; c++)
        add_couplet(sheet, c);
    rush_words_lengths(couplets, &sheet->builder.words);
    rush_build_paragraph(&sheet->builder, RUSH_BLOCK_NOTE, rush_build_taken(&sheet->builder));
}
