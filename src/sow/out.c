#include "sow/out.h"

#include <string.h>

#include "report/csv.h"
#include "sow/plan.h"

/* Runs of spaces and line breaks become one space, as they do when a table is read. */
static void squeeze(rush_buffer *cell)
{
    size_t to = 0;
    for (size_t at = 0; at < cell->length; at++) {
        bool space = strchr(" \t\r\n", cell->bytes[at]) != NULL;
        if (!space)
            cell->bytes[to++] = cell->bytes[at];
        else if (to && cell->bytes[to - 1] != ' ')
            cell->bytes[to++] = ' ';
    }
    cell->length = to - (to && cell->bytes[to - 1] == ' ');
}

void rush_sow_end_cell(rush_sow_out *out)
{
    squeeze(&out->cell);
    rush_csv_cell((rush_text){out->cell.bytes ? out->cell.bytes : "", out->cell.length},
                  out->first, out->csv);
    out->csv->failed |= out->cell.failed;
    out->first = false;
    rush_buffer_clear(&out->cell);
}

void rush_sow_text_cell(rush_sow_out *out, const char *text)
{
    rush_buffer_string(&out->cell, text ? text : "");
    rush_sow_end_cell(out);
}

/* It begins with a line break, so that its first line keeps its spaces, and is no formula to a spreadsheet. */
void rush_sow_drawing_cell(rush_sow_out *out, const char *drawing)
{
    if (!drawing) {
        rush_sow_text_cell(out, NULL);
        return;
    }
    rush_buffer_string(out->csv, out->first ? "\"\n" : ",\"\n");
    for (const char *at = drawing; *at; at++) {
        if (*at == '"')
            rush_buffer_byte(out->csv, '"');
        rush_buffer_byte(out->csv, *at);
    }
    rush_buffer_byte(out->csv, '"');
    out->first = false;
}

void rush_sow_end_row(rush_sow_out *out)
{
    rush_buffer_byte(out->csv, '\n');
    out->first = true;
}

uint32_t rush_sow_languages(const rush_sow_out *out)
{
    uint32_t count = rush_key_about(out->key)->language_count;
    return count < RUSH_OUT_LANGUAGES ? count : RUSH_OUT_LANGUAGES;
}

void rush_sow_settle_languages(rush_sow_out *out, bool (*columns)[RUSH_OUT_LANGUAGES], int kinds)
{
    bool first = false, others = false;
    for (int kind = 0; kind < kinds; kind++)
        for (uint32_t l = 0; l < rush_sow_languages(out); l++) {
            first |= l == 0 && columns[kind][l];
            others |= l > 0 && columns[kind][l];
        }
    columns[0][0] |= others && !first;
    out->plain = !others && strcmp(rush_key_about(out->key)->languages[0], "en") == 0;
}

void rush_sow_words_head(rush_sow_out *out, const char *name,
                         const bool columns[RUSH_OUT_LANGUAGES])
{
    for (uint32_t l = 0; l < rush_sow_languages(out); l++)
        if (columns[l]) {
            rush_buffer_string(&out->cell, name);
            if (!out->plain)
                rush_buffer_format(&out->cell, ":%s", rush_key_about(out->key)->languages[l]);
            rush_sow_end_cell(out);
        }
}

const char *rush_sow_shown_name(const rush_key *key, const char *id, rush_words label)
{
    const char *words = rush_key_words(key, label, 0);
    return rush_sow_alike(rush_text_of(words), rush_text_of(id)) ? words : id;
}
