#include <stdio.h>
#include <string.h>

#include "report/document.h"

/* A document as one HTML file (the HTML Living Standard) that needs nothing else: no script, nothing fetched, which
 * its content security policy makes sure of. Lengths are in mm on paper, and in CSS's mm on a screen. */

typedef struct html_page {
    const rush_document *document;
    rush_buffer *buffer;
    const char *language; /* of the element that is open */
    uint32_t pictures;    /* so far: each names its title */
    uint32_t section;     /* the level of the innermost section that is open; 0: none */
    bool body;            /* that of a section of level 2 is open */
} html_page;

/* ---- text ------------------------------------------------------------------------------------------- */

/* Safe first, so that no control and no reversing character gets into a page. */
static void write_text(html_page *page, const char *text)
{
    rush_buffer safe = {0};
    rush_buffer_safe(&safe, rush_text_of(text));
    for (size_t i = 0; i < safe.length; i++)
        switch (safe.bytes[i]) {
        case '<':
            rush_buffer_string(page->buffer, "&lt;");
            break;
        case '>':
            rush_buffer_string(page->buffer, "&gt;");
            break;
        case '&':
            rush_buffer_string(page->buffer, "&amp;");
            break;
        case '"':
            rush_buffer_string(page->buffer, "&quot;");
            break;
        case '\'':
            rush_buffer_string(page->buffer, "&#39;");
            break;
        default:
            rush_buffer_byte(page->buffer, safe.bytes[i]);
        }
    page->buffer->failed |= safe.failed;
    rush_buffer_free(&safe);
}

static void write_string(html_page *page, const char *markup)
{
    rush_buffer_string(page->buffer, markup);
}

/* Whether it makes a difference in which language this is read aloud. */
static bool has_letters(const char *text)
{
    for (; *text; text++) {
        unsigned char byte = (unsigned char)*text;
        if (byte == 0xe2 && text[1] && text[2])
            text += 2; /* a dash, a quotation mark or a sign: U+2000 to U+2FFF */
        else if (byte >= 0x80 || (byte >= 'A' && byte <= 'Z') || (byte >= 'a' && byte <= 'z'))
            return true;
    }
    return false;
}

static const char *language_of(const html_page *page, const rush_run *run)
{
    return !has_letters(run->text) ? page->language : run->language ? run->language : "en";
}

static void write_language(html_page *page, const char *language)
{
    write_string(page, " lang=\"");
    write_text(page, language);
    write_string(page, "\"");
}

static void write_run(html_page *page, const rush_run *run)
{
    static const char *const tags[] = {"span", "strong", "i"};
    const char *language = language_of(page, run);
    bool turns = strcmp(language, page->language) != 0;
    bool tagged = turns || run->voice != RUSH_VOICE_PLAIN;
    if (run->target)
        rush_buffer_format(page->buffer, "<a href=\"#%s\">", run->target);
    if (tagged)
        rush_buffer_format(page->buffer, "<%s", tags[run->voice]);
    if (turns)
        write_language(page, language);
    write_string(page, tagged ? ">" : "");
    write_text(page, run->text);
    if (tagged)
        rush_buffer_format(page->buffer, "</%s>", tags[run->voice]);
    write_string(page, run->target ? "</a>" : "");
}

static void write_runs(html_page *page, const rush_phrase *phrase)
{
    for (uint32_t i = 0; i < phrase->count; i++)
        write_run(page, &phrase->runs[i]);
}

/* An element whose language is that of its first words, with its attributes. */
static void write_element(html_page *page, const char *element, const char *attributes,
                          const rush_phrase *phrase)
{
    const char *around = page->language, *language = around;
    for (uint32_t i = 0; i < phrase->count && language == around; i++)
        if (phrase->runs[i].voice != RUSH_VOICE_NAME)
            language = language_of(page, &phrase->runs[i]);
    rush_buffer_format(page->buffer, "<%s%s", element, attributes);
    if (strcmp(language, around) != 0)
        write_language(page, language);
    write_string(page, ">");
    page->language = language;
    write_runs(page, phrase);
    page->language = around;
    rush_buffer_format(page->buffer, "</%s>", element);
}

/* ---- pictures --------------------------------------------------------------------------------------- */

static void write_number(html_page *page, const char *before, double number, const char *behind)
{
    write_string(page, before);
    rush_buffer_number(page->buffer, number, 3);
    write_string(page, behind);
}

/* A picture's name is plain text: no element may stand in it. */
static void write_title(html_page *page, const char *id, const rush_phrase *title)
{
    const char *language = page->language;
    for (uint32_t i = title->count; i-- > 0;)
        if (has_letters(title->runs[i].text))
            language = language_of(page, &title->runs[i]);
    rush_buffer_format(page->buffer, "<title%s", id);
    if (strcmp(language, page->language) != 0)
        write_language(page, language);
    write_string(page, ">");
    for (uint32_t i = 0; i < title->count; i++)
        write_text(page, title->runs[i].text);
    write_string(page, "</title>");
}

static void write_picture(html_page *page, const rush_picture *picture)
{
    char id[32];
    snprintf(id, sizeof id, " id=\"picture-%u\"", ++page->pictures);
    /* What a narrow screen has to scroll can be reached by keys. */
    bool scrolls = picture->measured && picture->width > RUSH_NARROW_MM;
    rush_buffer_format(page->buffer, "<figure class=\"%s\"%s>",
                       picture->measured ? "measured" : "drawn",
                       scrolls ? " tabindex=\"0\"" : "");
    write_number(page, "<svg role=\"img\" width=\"", picture->width, "mm\"");
    write_number(page, " height=\"", picture->height, "mm\" viewBox=\"");
    for (int i = 0; i < 4; i++)
        write_number(page, i ? " " : "", picture->box[i], "");
    rush_buffer_format(page->buffer, "\" aria-labelledby=\"picture-%u\">", page->pictures);
    write_title(page, id, &picture->title);
    write_string(page, picture->markup);
    write_string(page, "</svg>");
    if (picture->caption.count)
        write_element(page, "figcaption", "", &picture->caption);
    write_string(page, "</figure>\n");
}

/* Those of a cell; or of a block, which says what they are of. */
static void write_pictures(html_page *page, const rush_cell *cell, const rush_phrase *of)
{
    if (!cell->picture_count)
        return;
    write_string(page,
                 of && of->count ? "<div class=\"pictures of\">" : "<div class=\"pictures\">");
    if (of && of->count)
        write_element(page, "strong", "", of);
    write_string(page, "\n");
    for (uint32_t i = 0; i < cell->picture_count; i++)
        write_picture(page, &cell->pictures[i]);
    write_string(page, "</div>\n");
}

/* ---- blocks ----------------------------------------------------------------------------------------- */

static void close_sections(html_page *page, uint32_t level)
{
    for (; page->section >= level && page->section > 1; page->section--) {
        bool body = page->body && page->section == 2;
        write_string(page, body ? "</div>\n</section>\n" : "</section>\n");
        page->body &= !body;
    }
}

/* What stands in columns, behind the heading of a section and its first words: these can then be kept with it, which
 * what spans columns cannot. */
static void open_body(html_page *page, const rush_block *block)
{
    bool words = block->kind == RUSH_BLOCK_PARAGRAPH || block->kind == RUSH_BLOCK_NOTE ||
                 block->kind == RUSH_BLOCK_CAUTION;
    if (page->section != 2 || page->body || words ||
        (block->kind == RUSH_BLOCK_HEADING && block->level <= 2))
        return;
    write_string(page, "<div class=\"body\">\n");
    page->body = true;
}

/* Headings of the second and third level begin a section, which they name; the style knows the former by their ids. */
static void write_heading(html_page *page, const rush_block *block)
{
    if (block->level == 1) {
        write_element(page, "h1", "", &block->words);
        write_string(page, "\n");
        page->section = 1;
        return;
    }
    char attributes[64];
    close_sections(page, block->level);
    rush_buffer_format(page->buffer, "<section class=\"%s\" aria-labelledby=\"%s\">\n",
                       block->level == 3 ? "taxon" : block->id, block->id);
    snprintf(attributes, sizeof attributes, " id=\"%s\"", block->id);
    write_element(page, block->level == 2 ? "h2" : "h3", attributes, &block->words);
    write_string(page, "\n");
    page->section = block->level;
}

static void write_row(html_page *page, const rush_block *block, uint32_t at)
{
    write_string(page, "<tr>");
    for (uint32_t c = 0; c < block->columns; c++) {
        const rush_cell *cell = &block->cells[at + c];
        write_string(page, !at ? "<th scope=\"col\">" : !c ? "<th scope=\"row\">" : "<td>");
        write_pictures(page, cell, NULL);
        /* Words beside a drawing do not run on below it. */
        write_string(page, cell->picture_count ? "<div class=\"beside\">" : "");
        write_runs(page, &cell->words);
        write_string(page, cell->picture_count ? "</div>" : "");
        write_string(page, !at || !c ? "</th>" : "</td>");
    }
    write_string(page, "</tr>\n");
}

static void write_table(html_page *page, const rush_block *block)
{
    write_string(page, "<div class=\"table\" tabindex=\"0\" role=\"group\" aria-label=\"");
    for (uint32_t i = 0; i < block->words.count; i++)
        write_text(page, block->words.runs[i].text);
    write_string(page, "\"><table>");
    write_element(page, "caption", "", &block->words);
    write_string(page, "\n<thead>");
    write_row(page, block, 0);
    write_string(page, "</thead>\n<tbody>");
    for (uint32_t at = block->columns; at < block->cell_count; at += block->columns)
        write_row(page, block, at);
    write_string(page, "</tbody></table></div>\n");
}

static void write_leads(html_page *page, const rush_block *block)
{
    rush_buffer_format(page->buffer, "<div class=\"leads\" id=\"%s\">\n", block->id);
    for (uint32_t at = 0; at < block->cell_count; at += block->columns) {
        const rush_cell *row = &block->cells[at];
        write_string(page, "<p>");
        write_element(page, "span", " class=\"number\"", &row[0].words);
        write_element(page, "span", "", &row[1].words);
        write_string(page, " ");
        write_element(page, "span", row[2].apart ? " class=\"goal apart\"" : " class=\"goal\"",
                      &row[2].words);
        write_string(page, "</p>\n");
    }
    write_string(page, "</div>\n");
}

static void write_list(html_page *page, const rush_block *block)
{
    write_string(page, "<ul>\n");
    for (uint32_t i = 0; i < block->cell_count; i++) {
        char attributes[64] = "";
        if (block->cells[i].id)
            snprintf(attributes, sizeof attributes, " id=\"%s\"", block->cells[i].id);
        write_element(page, "li", attributes, &block->cells[i].words);
        write_string(page, "\n");
    }
    write_string(page, "</ul>\n");
}

static void write_paragraph(html_page *page, const rush_block *block)
{
    write_element(page, "p",
                  block->kind == RUSH_BLOCK_CAUTION ? " class=\"caution\""
                  : block->kind == RUSH_BLOCK_NOTE  ? " class=\"note\""
                                                    : "",
                  &block->words);
    write_string(page, "\n");
}

static void write_block(html_page *page, const rush_block *block)
{
    open_body(page, block);
    switch (block->kind) {
    case RUSH_BLOCK_HEADING:
        write_heading(page, block);
        break;
    case RUSH_BLOCK_PARAGRAPH:
    case RUSH_BLOCK_CAUTION:
    case RUSH_BLOCK_NOTE:
        write_paragraph(page, block);
        break;
    case RUSH_BLOCK_LIST:
        write_list(page, block);
        break;
    case RUSH_BLOCK_PICTURES:
        write_pictures(page, &block->cells[0], &block->words);
        break;
    case RUSH_BLOCK_TABLE:
        write_table(page, block);
        break;
    case RUSH_BLOCK_LEADS:
        write_leads(page, block);
        break;
    }
}

void rush_document_html(const rush_document *document, rush_buffer *buffer)
{
    html_page page = {document, buffer, document->language, 0, 0, false};
    write_string(&page, "<!DOCTYPE html>\n<html lang=\"");
    write_text(&page, document->language);
    write_string(
        &page,
        "\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
        "style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
    write_text(&page, document->title);
    write_string(&page, "</title>\n<style>\n");
    write_string(&page, rush_document_style);
    rush_buffer_format(buffer, "</style>\n</head>\n<body class=\"%s%s\">\n<main>\n",
                       document->large ? "large" : "normal", document->wide ? " wide" : "");
    for (uint32_t i = 0; i < document->block_count; i++)
        write_block(&page, &document->blocks[i]);
    close_sections(&page, 2);
    write_string(&page, "</main>\n</body>\n</html>\n");
}
