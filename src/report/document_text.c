#include "report/document.h"
#include "report/words.h"

/* A document as plain text. A picture is what its title says. */

static void write_phrase(const rush_phrase *phrase, rush_buffer *words)
{
    for (uint32_t i = 0; i < phrase->count; i++)
        rush_buffer_string(words, phrase->runs[i].text);
}

static void write_pictures(const rush_cell *cell, size_t indent, rush_buffer *buffer)
{
    for (uint32_t i = 0; i < cell->picture_count; i++) {
        rush_buffer words = {0};
        const rush_picture *picture = &cell->pictures[i];
        rush_buffer_string(&words, picture->measured ? "" : "[drawing: ");
        write_phrase(&picture->title, &words);
        rush_buffer_string(&words, picture->measured ? "" : "] ");
        if (!picture->measured)
            write_phrase(&picture->caption, &words);
        rush_buffer_fill(buffer, ' ', indent);
        rush_words_wrap_part(&words, indent, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

static void write_wrapped(const rush_phrase *phrase, const char *before, size_t indent,
                          rush_buffer *buffer)
{
    rush_buffer words = {0};
    rush_buffer_string(buffer, before);
    write_phrase(phrase, &words);
    rush_words_wrap_part(&words, indent, RUSH_TEXT_COLUMNS, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_heading(const rush_block *block, rush_buffer *buffer)
{
    static const char under[] = {'=', '=', '-', '.'};
    size_t from = buffer->length;
    rush_buffer words = {0};
    write_phrase(&block->words, &words);
    rush_words_add_part(&words, buffer);
    size_t columns = rush_text_columns((rush_text){buffer->bytes + from, buffer->length - from});
    rush_buffer_byte(buffer, '\n');
    rush_buffer_fill(buffer, under[block->level], columns);
    rush_buffer_byte(buffer, '\n');
}

/* A row is its first cell, and the others beneath it with what their column is called. */
static void write_table(const rush_block *block, rush_buffer *buffer)
{
    if (block->words.count)
        write_wrapped(&block->words, "", 0, buffer);
    for (uint32_t at = block->columns; at < block->cell_count; at += block->columns) {
        write_wrapped(&block->cells[at].words, "  ", 2, buffer);
        for (uint32_t c = 1; c < block->columns; c++) {
            rush_buffer words = {0};
            write_phrase(&block->cells[c].words, &words);
            rush_buffer_string(&words, ": ");
            write_phrase(&block->cells[at + c].words, &words);
            rush_buffer_string(buffer, "    ");
            rush_words_wrap_part(&words, 6, RUSH_TEXT_COLUMNS, buffer);
            rush_buffer_byte(buffer, '\n');
        }
    }
}

static void write_leads(const rush_block *block, rush_buffer *buffer)
{
    enum { NUMBER = 9 };
    for (uint32_t at = 0; at < block->cell_count; at += block->columns) {
        rush_buffer words = {0};
        size_t from = buffer->length;
        write_phrase(&block->cells[at].words, buffer);
        size_t columns =
            rush_text_columns((rush_text){buffer->bytes + from, buffer->length - from});
        rush_buffer_fill(buffer, ' ', columns < NUMBER ? NUMBER - columns : 1);
        write_phrase(&block->cells[at + 1].words, &words);
        rush_buffer_string(&words, " ... ");
        write_phrase(&block->cells[at + 2].words, &words);
        rush_words_wrap_part(&words, NUMBER, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

static void write_block(const rush_block *block, rush_buffer *buffer)
{
    switch (block->kind) {
    case RUSH_BLOCK_HEADING:
        write_heading(block, buffer);
        break;
    case RUSH_BLOCK_PARAGRAPH:
    case RUSH_BLOCK_NOTE:
        write_wrapped(&block->words, "", 0, buffer);
        break;
    case RUSH_BLOCK_CAUTION:
        write_wrapped(&block->words, "! ", 2, buffer);
        break;
    case RUSH_BLOCK_LIST:
        for (uint32_t i = 0; i < block->cell_count; i++)
            write_wrapped(&block->cells[i].words, "- ", 2, buffer);
        break;
    case RUSH_BLOCK_PICTURES:
        if (block->words.count)
            write_wrapped(&block->words, "", 0, buffer);
        write_pictures(&block->cells[0], block->words.count ? 2 : 0, buffer);
        break;
    case RUSH_BLOCK_TABLE:
        write_table(block, buffer);
        break;
    case RUSH_BLOCK_LEADS:
        write_leads(block, buffer);
        break;
    }
}

void rush_document_text(const rush_document *document, rush_buffer *buffer)
{
    for (uint32_t i = 0; i < document->block_count; i++) {
        if (!rush_block_is_told(&document->blocks[i]))
            continue;
        if (i)
            rush_buffer_byte(buffer, '\n');
        write_block(&document->blocks[i], buffer);
    }
}
