#include "report/document.h"

#include <stdlib.h>

#include "report/lead_words.h"

const char *rush_build_taken(rush_builder *builder)
{
    if (builder->words.failed)
        rush_arena_escape(builder->arena);
    const char *taken =
        rush_arena_copy(builder->arena, (rush_text){builder->words.bytes, builder->words.length});
    rush_buffer_clear(&builder->words);
    return taken;
}

/* ---- runs ------------------------------------------------------------------------------------------------ */

static void end_run(rush_wording *wording)
{
    if (!wording->builder->words.length && !wording->builder->words.failed)
        return;
    const char *text = rush_build_taken(wording->builder);
    *RUSH_PUSH(wording->builder->arena, &wording->runs) =
        (rush_run){text, wording->voice, wording->language, wording->target};
}

static void turn(rush_teller *teller, uint32_t language)
{
    rush_wording *wording = (rush_wording *)teller;
    end_run(wording);
    wording->language =
        language == RUSH_NONE ? NULL : rush_key_about(teller->key)->languages[language];
}

rush_wording rush_build_wording(rush_builder *builder, const rush_key *key, uint32_t language)
{
    return (rush_wording){.teller = {key, language, &builder->words, turn}, .builder = builder};
}

void rush_build_said(rush_wording *wording, rush_voice voice, const char *language,
                     const char *text, const char *target)
{
    end_run(wording);
    *RUSH_PUSH(wording->builder->arena, &wording->runs) =
        (rush_run){text, voice, language, target};
}

void rush_build_say(rush_wording *wording, const char *text)
{
    rush_buffer_string(wording->teller.words, text);
    end_run(wording);
}

void rush_build_taxon(rush_wording *wording, uint32_t taxon, bool brief, const char *target)
{
    rush_teller *teller = &wording->teller;
    rush_words vernacular = rush_key_taxon(teller->key, taxon)->vernacular;
    bool named = rush_key_words_language(teller->key, vernacular, teller->language) != RUSH_NONE;
    if (named) {
        wording->target = target;
        rush_tell(teller, vernacular);
        wording->target = NULL;
        if (brief)
            return;
        rush_build_say(wording, " (");
    }
    rush_build_said(wording, RUSH_VOICE_NAME, "la", rush_words_scientific(teller->key, taxon),
                    named ? NULL : target);
    if (named)
        rush_build_say(wording, ")");
}

rush_phrase rush_build_worded(rush_wording *wording)
{
    end_run(wording);
    return (rush_phrase){wording->runs.items, wording->runs.count};
}

rush_phrase rush_build_phrase(rush_builder *builder, const char *text)
{
    rush_run_list runs = {0};
    RUSH_PUSH(builder->arena, &runs)->text = text;
    return (rush_phrase){runs.items, runs.count};
}

/* ---- blocks ---------------------------------------------------------------------------------------------- */

rush_block *rush_build_block(rush_builder *builder, rush_block_kind kind)
{
    rush_block *block = RUSH_PUSH(builder->arena, &builder->blocks);
    block->kind = kind;
    return block;
}

void rush_build_heading(rush_builder *builder, uint32_t level, const char *id, rush_phrase words)
{
    rush_block *block = rush_build_block(builder, RUSH_BLOCK_HEADING);
    block->level = level;
    block->id = id;
    block->words = words;
}

void rush_build_paragraph(rush_builder *builder, rush_block_kind kind, const char *text)
{
    rush_phrase words = rush_build_phrase(builder, text);
    rush_build_block(builder, kind)->words = words;
}

void rush_build_list(rush_builder *builder, const rush_cell_list *cells)
{
    rush_block *block = rush_build_block(builder, RUSH_BLOCK_LIST);
    block->cells = cells->items;
    block->cell_count = cells->count;
    block->columns = 1;
}

void rush_build_pictures(rush_builder *builder, rush_phrase words,
                         const rush_picture_list *pictures)
{
    if (!pictures->count)
        return;
    rush_cell *cell = RUSH_NEW(builder->arena, rush_cell);
    cell->pictures = pictures->items;
    cell->picture_count = pictures->count;
    rush_block *block = rush_build_block(builder, RUSH_BLOCK_PICTURES);
    block->words = words;
    block->cells = cell;
    block->cell_count = block->columns = 1;
}

bool rush_block_is_told(const rush_block *block)
{
    return block->kind != RUSH_BLOCK_PICTURES || !block->cells[0].pictures[0].only_drawn;
}

void rush_document_free(rush_document *document)
{
    if (!document)
        return;
    rush_arena_free(&document->arena);
    free(document);
}
