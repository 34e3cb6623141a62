#include <string.h>

#include "report/document.h"

/* A document as one HTML file (the HTML Living Standard) that needs nothing else: no script, nothing fetched, which
 * its content security policy makes sure of. Lengths are in mm on paper, and in CSS's mm on a screen. */

static const char style[] =
    "@page{size:A4;margin:14mm 15mm}\n"
    "*{box-sizing:border-box}\n"
    "html{background:#fff;color:#111;-webkit-text-size-adjust:100%}\n"
    "body{margin:0 auto;max-width:52rem;padding:1rem;font:11pt/1.45 \"Source Sans 3\",\"Noto Sans\","
    "\"DejaVu Sans\",sans-serif;overflow-wrap:break-word}\n"
    "body.large{font-size:17pt}\n"
    "h1,h2,h3{font-family:\"Source Serif 4\",Charter,Georgia,\"DejaVu Serif\",serif;line-height:1.2;"
    "break-after:avoid}\n"
    "h1{font-size:2em;margin:.2em 0 .3em}\n"
    "h2{font-size:1.45em;margin:1.6em 0 .5em;border-bottom:.6mm solid #111;padding-bottom:.15em}\n"
    "h3{font-size:1.15em;margin:1.5em 0 .3em}\n"
    "p,ul{margin:.4em 0}\n"
    "ul{padding-left:1.2em}\n"
    "a{color:#111;text-decoration:underline;text-decoration-thickness:.2mm;text-underline-offset:.15em}\n"
    ".caution{border:.5mm solid #111;border-left-width:2.5mm;padding:.5em .8em;margin:.8em 0;"
    "break-inside:avoid}\n"
    ".pictures{display:flex;flex-wrap:wrap;gap:3mm 5mm;margin:.5em 0;align-items:flex-end}\n"
    "figure{margin:0;break-inside:avoid;max-width:100%;overflow-x:auto}\n"
    "figcaption{font-size:.85em;line-height:1.25}\n"
    "figure.drawn figcaption{max-width:30mm}\n"
    "body.large figure.drawn figcaption{max-width:45mm}\n"
    "svg{display:block;color:#111;font-family:\"DejaVu Sans\",\"Noto Sans\",sans-serif}\n"
    ".leads{display:grid;grid-template-columns:4.2em minmax(0,1fr) minmax(5em,32%);gap:.15em .7em;"
    "margin:.55em 0;break-inside:avoid;padding-top:.35em;border-top:.2mm solid #999}\n"
    ".leads>.number{font-weight:bold}\n"
    ".leads>.see{display:flex;flex-wrap:wrap;gap:.2em .8em;justify-content:space-between;"
    "align-items:flex-start}\n"
    ".leads>.see>span{flex:1 1 14em}\n"
    ".leads .pictures{margin:0;gap:2mm}\n"
    ".leads>.goal{text-align:right}\n"
    ".table{overflow-x:auto;margin:.6em 0}\n"
    "table{border-collapse:collapse;width:100%}\n"
    "caption{text-align:left;font-weight:bold;padding:.3em 0}\n"
    "th,td{border:.2mm solid #777;padding:.3em .5em;text-align:left;vertical-align:top}\n"
    "thead th{background:#eee}\n"
    "tr{break-inside:avoid}\n"
    "section.taxon>h3+*{break-before:avoid}\n"
    "@media(max-width:32rem){body{padding:.6rem}.leads{grid-template-columns:3.4em minmax(0,1fr)}"
    ".leads>.goal{grid-column:2;text-align:left}}\n"
    "@media print{body{max-width:none;padding:0;font-size:9.5pt;line-height:1.35}body.large{font-size:16pt}.new-page{break-before:page}"
    "a{text-decoration:none}.table,figure{overflow:visible}"
    "html{-webkit-print-color-adjust:exact;print-color-adjust:exact}}\n";

typedef struct html_page {
    const rush_document *document;
    rush_buffer *buffer;
    uint32_t section; /* the level of the innermost section that is open; 0: none */
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

static void write_run(html_page *page, const rush_run *run)
{
    bool told = run->voice == RUSH_VOICE_TOLD && strcmp(page->document->language, "en") != 0;
    if (run->target)
        rush_buffer_format(page->buffer, "<a href=\"#%s\">", run->target);
    if (run->voice == RUSH_VOICE_NAME)
        write_string(page, "<i lang=\"la\">");
    if (run->voice == RUSH_VOICE_STRONG)
        write_string(page, "<strong>");
    if (told) {
        write_string(page, "<span lang=\"");
        write_text(page, page->document->language);
        write_string(page, "\">");
    }
    write_text(page, run->text);
    write_string(page, told ? "</span>" : "");
    write_string(page, run->voice == RUSH_VOICE_STRONG ? "</strong>" : "");
    write_string(page, run->voice == RUSH_VOICE_NAME ? "</i>" : "");
    write_string(page, run->target ? "</a>" : "");
}

static void write_phrase(html_page *page, const rush_phrase *phrase)
{
    for (uint32_t i = 0; i < phrase->count; i++)
        write_run(page, &phrase->runs[i]);
}

/* ---- pictures --------------------------------------------------------------------------------------- */

static void write_number(html_page *page, const char *before, double number, const char *behind)
{
    write_string(page, before);
    rush_buffer_number(page->buffer, number, 3);
    write_string(page, behind);
}

static void write_picture(html_page *page, const rush_picture *picture)
{
    write_string(page, picture->caption_says_all ? "<figure>" : "<figure class=\"drawn\">");
    write_number(page, "<svg role=\"img\" width=\"", picture->width, "mm\"");
    write_number(page, " height=\"", picture->height, "mm\" viewBox=\"");
    for (int i = 0; i < 4; i++)
        write_number(page, i ? " " : "", picture->box[i], "");
    write_string(page, "\" aria-label=\"");
    write_text(page, picture->title);
    write_string(page, "\">");
    write_string(page, picture->markup);
    write_string(page, "</svg>");
    if (picture->caption.count) {
        write_string(page, "<figcaption>");
        write_phrase(page, &picture->caption);
        write_string(page, "</figcaption>");
    }
    write_string(page, "</figure>\n");
}

static void write_pictures(html_page *page, const rush_cell *cell)
{
    if (!cell->picture_count)
        return;
    write_string(page, "<div class=\"pictures\">\n");
    for (uint32_t i = 0; i < cell->picture_count; i++)
        write_picture(page, &cell->pictures[i]);
    write_string(page, "</div>\n");
}

/* ---- blocks ----------------------------------------------------------------------------------------- */

static void close_sections(html_page *page, uint32_t level)
{
    for (; page->section >= level && page->section > 1; page->section--)
        write_string(page, "</section>\n");
}

/* Headings of the second and third level begin a section, which they name. */
static void write_heading(html_page *page, const rush_block *block)
{
    if (block->level == 1) {
        write_string(page, "<h1>");
        write_phrase(page, &block->words);
        write_string(page, "</h1>\n");
        page->section = 1;
        return;
    }
    close_sections(page, block->level);
    rush_buffer_format(page->buffer,
                       "<section class=\"%s%s\" aria-labelledby=\"%s\">\n<h%u id=\"%s\">",
                       block->level == 3 ? "taxon" : "part", block->new_page ? " new-page" : "",
                       block->id, block->level, block->id);
    write_phrase(page, &block->words);
    rush_buffer_format(page->buffer, "</h%u>\n", block->level);
    page->section = block->level;
}

static void write_row(html_page *page, const rush_block *block, uint32_t at)
{
    write_string(page, "<tr>");
    for (uint32_t c = 0; c < block->columns; c++) {
        const char *tag = !at || !c ? "th" : "td";
        rush_buffer_format(page->buffer, "<%s%s>", tag,
                           !at  ? " scope=\"col\""
                           : !c ? " scope=\"row\""
                                : "");
        write_phrase(page, &block->cells[at + c].words);
        write_pictures(page, &block->cells[at + c]);
        rush_buffer_format(page->buffer, "</%s>", tag);
    }
    write_string(page, "</tr>\n");
}

static void write_table(html_page *page, const rush_block *block)
{
    write_string(page, "<div class=\"table\" tabindex=\"0\" role=\"group\" aria-label=\"");
    for (uint32_t i = 0; i < block->words.count; i++)
        write_text(page, block->words.runs[i].text);
    write_string(page, "\"><table><caption>");
    write_phrase(page, &block->words);
    write_string(page, "</caption>\n<thead>");
    write_row(page, block, 0);
    write_string(page, "</thead>\n<tbody>");
    for (uint32_t at = block->columns; at < block->cell_count; at += block->columns)
        write_row(page, block, at);
    write_string(page, "</tbody></table></div>\n");
}

static void write_leads(html_page *page, const rush_block *block)
{
    static const char *const classes[] = {"number", "see", "goal"};
    rush_buffer_format(page->buffer, "<div class=\"leads\" id=\"%s\">\n", block->id);
    for (uint32_t i = 0; i < block->cell_count; i++) {
        rush_buffer_format(page->buffer, "<div class=\"%s\">", classes[i % block->columns]);
        write_string(page, "<span>");
        write_phrase(page, &block->cells[i].words);
        write_string(page, "</span>");
        write_pictures(page, &block->cells[i]);
        write_string(page, "</div>\n");
    }
    write_string(page, "</div>\n");
}

static void write_list(html_page *page, const rush_block *block)
{
    write_string(page, "<ul>\n");
    for (uint32_t i = 0; i < block->cell_count; i++) {
        write_string(page, "<li>");
        write_phrase(page, &block->cells[i].words);
        write_string(page, "</li>\n");
    }
    write_string(page, "</ul>\n");
}

static void write_paragraph(html_page *page, const rush_block *block)
{
    bool caution = block->kind == RUSH_BLOCK_CAUTION;
    write_string(page, caution ? "<p class=\"caution\">" : "<p>");
    write_phrase(page, &block->words);
    write_string(page, "</p>\n");
}

static void write_block(html_page *page, const rush_block *block)
{
    switch (block->kind) {
    case RUSH_BLOCK_HEADING:
        write_heading(page, block);
        break;
    case RUSH_BLOCK_PARAGRAPH:
    case RUSH_BLOCK_CAUTION:
        write_paragraph(page, block);
        break;
    case RUSH_BLOCK_LIST:
        write_list(page, block);
        break;
    case RUSH_BLOCK_PICTURES:
        write_pictures(page, &block->cells[0]);
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
    html_page page = {document, buffer, 0};
    write_string(
        &page,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
        "style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
    write_text(&page, document->title);
    write_string(&page, "</title>\n<style>\n");
    write_string(&page, style);
    write_string(&page, document->large ? "</style>\n</head>\n<body class=\"large\">\n<main>\n"
                                        : "</style>\n</head>\n<body>\n<main>\n");
    for (uint32_t i = 0; i < document->block_count; i++)
        write_block(&page, &document->blocks[i]);
    close_sections(&page, 2);
    write_string(&page, "</main>\n</body>\n</html>\n");
}
