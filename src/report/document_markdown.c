#include <string.h>

#include "report/document.h"
#include "report/markdown.h"

/* A document as Markdown (CommonMark 0.31, with tables as in GitHub's extension of it). */

static void write_run(const rush_run *run, rush_buffer *buffer)
{
    static const char *const marks[] = {"", "**", "*"};
    const char *mark = run->text[strspn(run->text, " ")] ? marks[run->voice] : "";
    rush_buffer_string(buffer, run->target ? "[" : "");
    rush_buffer_string(buffer, mark);
    rush_markdown_text(buffer, rush_text_of(run->text));
    rush_buffer_string(buffer, mark);
    if (run->target)
        rush_buffer_format(buffer, "](#%s)", run->target);
}

static void write_phrase(const rush_phrase *phrase, rush_buffer *buffer)
{
    for (uint32_t i = 0; i < phrase->count; i++)
        write_run(&phrase->runs[i], buffer);
}

static void write_pictures(const rush_cell *cell, rush_buffer *buffer)
{
    for (uint32_t i = 0; i < cell->picture_count; i++) {
        const rush_picture *picture = &cell->pictures[i];
        rush_buffer_string(buffer, "- ");
        write_phrase(&picture->title, buffer);
        if (!picture->measured && picture->caption.count) {
            rush_buffer_string(buffer, ": ");
            write_phrase(&picture->caption, buffer);
        }
        rush_buffer_byte(buffer, '\n');
    }
}

static void write_table(const rush_block *block, rush_buffer *buffer)
{
    if (block->words.count) {
        write_phrase(&block->words, buffer);
        rush_buffer_string(buffer, "\n\n");
    }
    for (uint32_t at = 0; at < block->cell_count; at += block->columns) {
        for (uint32_t c = 0; c < block->columns; c++) {
            rush_buffer_string(buffer, "| ");
            write_phrase(&block->cells[at + c].words, buffer);
            rush_buffer_byte(buffer, ' ');
        }
        rush_buffer_string(buffer, "|\n");
        for (uint32_t c = 0; !at && c < block->columns; c++)
            rush_buffer_string(buffer, c + 1 < block->columns ? "|---" : "|---|\n");
    }
}

static void write_leads(const rush_block *block, rush_buffer *buffer)
{
    for (uint32_t at = 0; at < block->cell_count; at += block->columns) {
        if (!at) {
            rush_buffer_string(buffer, "**");
            write_phrase(&block->cells[at].words, buffer);
            rush_buffer_string(buffer, "**\n\n");
        }
        rush_buffer_string(buffer, "- ");
        write_phrase(&block->cells[at + 1].words, buffer);
        rush_buffer_string(buffer, " … ");
        write_phrase(&block->cells[at + 2].words, buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

static void write_block(const rush_block *block, rush_buffer *buffer)
{
    if (block->id)
        rush_buffer_format(buffer, "<a id=\"%s\"></a>\n\n", block->id);
    switch (block->kind) {
    case RUSH_BLOCK_HEADING:
        rush_buffer_fill(buffer, '#', block->level);
        rush_buffer_byte(buffer, ' ');
        write_phrase(&block->words, buffer);
        rush_buffer_byte(buffer, '\n');
        break;
    case RUSH_BLOCK_PARAGRAPH:
    case RUSH_BLOCK_CAUTION:
    case RUSH_BLOCK_NOTE:
        rush_buffer_string(buffer, block->kind == RUSH_BLOCK_CAUTION ? "> " : "");
        write_phrase(&block->words, buffer);
        rush_buffer_byte(buffer, '\n');
        break;
    case RUSH_BLOCK_LIST:
        for (uint32_t i = 0; i < block->cell_count; i++) {
            rush_buffer_string(buffer, "- ");
            if (block->cells[i].id)
                rush_buffer_format(buffer, "<a id=\"%s\"></a>", block->cells[i].id);
            write_phrase(&block->cells[i].words, buffer);
            rush_buffer_byte(buffer, '\n');
        }
        break;
    case RUSH_BLOCK_PICTURES:
        if (block->words.count) {
            write_phrase(&block->words, buffer);
            rush_buffer_string(buffer, ":\n\n");
        }
        write_pictures(&block->cells[0], buffer);
        break;
    case RUSH_BLOCK_TABLE:
        write_table(block, buffer);
        break;
    case RUSH_BLOCK_LEADS:
        write_leads(block, buffer);
        break;
    }
}

void rush_document_markdown(const rush_document *document, rush_buffer *buffer)
{
    for (uint32_t i = 0; i < document->block_count; i++) {
        if (!rush_block_is_told(&document->blocks[i]))
            continue;
        if (i)
            rush_buffer_byte(buffer, '\n');
        write_block(&document->blocks[i], buffer);
    }
}
