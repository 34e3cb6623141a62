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

void rush_build_run(rush_builder *builder, rush_run_list *runs, rush_voice voice,
                    const char *text)
{
    *RUSH_PUSH(builder->arena, runs) = (rush_run){text, voice, NULL};
}

void rush_build_taxon(rush_builder *builder, rush_run_list *runs, const rush_key *key,
                      uint32_t taxon, uint32_t language, const char *target)
{
    const char *vernacular = rush_words_vernacular(key, taxon, language);
    uint32_t first = runs->count;
    if (vernacular[0]) {
        rush_build_run(builder, runs, RUSH_VOICE_TOLD, vernacular);
        rush_build_run(builder, runs, RUSH_VOICE_PLAIN, " (");
    }
    rush_build_run(builder, runs, RUSH_VOICE_NAME, rush_words_scientific(key, taxon));
    if (vernacular[0])
        rush_build_run(builder, runs, RUSH_VOICE_PLAIN, ")");
    runs->items[first].target = target;
}

rush_phrase rush_build_phrase(rush_builder *builder, const char *text)
{
    rush_run_list runs = {0};
    rush_build_run(builder, &runs, RUSH_VOICE_PLAIN, text);
    return rush_phrase_of(&runs);
}

rush_block *rush_build_block(rush_builder *builder, rush_block_kind kind)
{
    rush_block *block = RUSH_PUSH(builder->arena, &builder->blocks);
    block->kind = kind;
    return block;
}

rush_block *rush_build_heading(rush_builder *builder, uint32_t level, const char *id,
                               const char *text)
{
    rush_phrase words = rush_build_phrase(builder, text);
    rush_block *block = rush_build_block(builder, RUSH_BLOCK_HEADING);
    block->level = level;
    block->id = id;
    block->words = words;
    return block;
}

void rush_build_paragraph(rush_builder *builder, rush_block_kind kind, const char *text)
{
    rush_phrase words = rush_build_phrase(builder, text);
    rush_build_block(builder, kind)->words = words;
}

void rush_document_free(rush_document *document)
{
    if (!document)
        return;
    rush_arena_free(&document->arena);
    free(document);
}
