#include "report/document.h"
#include "report/json.h"

/* A document as JSON: the tree as it is, block by block, so that others can lay it out. */

static void write_phrase(rush_json *json, const char *name, const rush_phrase *phrase)
{
    static const char *const voices[] = {NULL, "strong", "name"};
    rush_json_open(json, name, '[');
    for (uint32_t i = 0; i < phrase->count; i++) {
        const rush_run *run = &phrase->runs[i];
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "text", run->text);
        rush_json_string(json, "language", run->language ? run->language : "en");
        if (voices[run->voice])
            rush_json_string(json, "voice", voices[run->voice]);
        if (run->target)
            rush_json_string(json, "leads_to", run->target);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_picture(rush_json *json, const rush_picture *picture)
{
    rush_json_open(json, NULL, '{');
    write_phrase(json, "title", &picture->title);
    write_phrase(json, "caption", &picture->caption);
    rush_json_number(json, "width_mm", picture->width);
    rush_json_number(json, "height_mm", picture->height);
    rush_json_open(json, "view_box", '[');
    for (int i = 0; i < 4; i++)
        rush_json_number(json, NULL, picture->box[i]);
    rush_json_close(json, ']');
    rush_json_string(json, "svg", picture->markup);
    rush_json_close(json, '}');
}

static void write_cell(rush_json *json, const rush_cell *cell)
{
    rush_json_open(json, NULL, '{');
    if (cell->id)
        rush_json_string(json, "id", cell->id);
    write_phrase(json, "words", &cell->words);
    if (cell->picture_count) {
        rush_json_open(json, "pictures", '[');
        for (uint32_t i = 0; i < cell->picture_count; i++)
            write_picture(json, &cell->pictures[i]);
        rush_json_close(json, ']');
    }
    rush_json_close(json, '}');
}

static void write_block(rush_json *json, const rush_block *block)
{
    static const char *const kinds[] = {"heading", "paragraph", "caution", "note",
                                        "list",    "pictures",  "table",   "couplet"};
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "kind", kinds[block->kind]);
    if (block->id)
        rush_json_string(json, "id", block->id);
    if (block->kind == RUSH_BLOCK_HEADING)
        rush_json_whole(json, "level", block->level);
    write_phrase(json, "words", &block->words);
    if (block->cell_count) {
        rush_json_open(json, "rows", '[');
        for (uint32_t at = 0; at < block->cell_count; at++) {
            if (at % block->columns == 0)
                rush_json_open(json, NULL, '[');
            write_cell(json, &block->cells[at]);
            if (at % block->columns + 1 == block->columns)
                rush_json_close(json, ']');
        }
        rush_json_close(json, ']');
    }
    rush_json_close(json, '}');
}

void rush_document_json(const rush_document *document, rush_buffer *buffer)
{
    rush_json json = {buffer, true};
    rush_json_open(&json, NULL, '{');
    rush_json_whole(&json, "schema", 1);
    rush_json_string(&json, "title", document->title);
    rush_json_string(&json, "language", document->language);
    rush_json_open(&json, "blocks", '[');
    for (uint32_t i = 0; i < document->block_count; i++)
        write_block(&json, &document->blocks[i]);
    rush_json_close(&json, ']');
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
}
