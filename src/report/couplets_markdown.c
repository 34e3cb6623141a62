#include "report/lead_words.h"
#include "report/markdown.h"
#include "rushlight/report.h"

/* A printed key as Markdown: the numbers of couplets are links. */
typedef struct key_page {
    const rush_couplets *couplets;
    const rush_key *key;
    uint32_t language;
    rush_buffer *buffer;
} key_page;

static void write_name(const key_page *page, const rush_lead_taxon *taxon)
{
    const char *vernacular = rush_words_vernacular(page->key, taxon->taxon, page->language);
    rush_buffer forms = {0};
    rush_buffer_string(page->buffer, "**");
    rush_markdown_text(page->buffer,
                       rush_text_of(rush_words_scientific(page->key, taxon->taxon)));
    rush_buffer_string(page->buffer, "**");
    if (vernacular[0]) {
        rush_buffer_string(page->buffer, " (");
        rush_markdown_text(page->buffer, rush_text_of(vernacular));
        rush_buffer_string(page->buffer, ")");
    }
    rush_words_forms(page->couplets->part, taxon, &forms);
    rush_buffer_string(page->buffer, forms.length ? ", " : "");
    rush_markdown_part(page->buffer, &forms);
}

static void write_goal(const key_page *page, uint32_t couplet, const rush_lead *lead)
{
    rush_buffer words = {0};
    rush_buffer_string(page->buffer, " … ");
    if (lead->couplet != RUSH_NONE) {
        rush_buffer_format(page->buffer, "[**%u**](#couplet-%u)", lead->couplet + 1,
                           lead->couplet + 1);
        return;
    }
    for (uint32_t i = 0; i < lead->taxon_count; i++) {
        rush_buffer_string(page->buffer, rush_words_joint(lead, i));
        write_name(page, &lead->taxa[i]);
    }
    if (lead->taxon_count == 1) {
        rush_words_other_outs(page->couplets, lead->taxa[0].taxon, couplet, &words);
        rush_buffer_string(page->buffer, words.length ? " (also at " : "");
        rush_buffer_add(page->buffer, (rush_text){words.bytes, words.length});
        rush_buffer_string(page->buffer, words.length ? ")" : "");
        rush_buffer_free(&words);
    } else {
        rush_words_needs(&(rush_teller){page->key, page->language, &words, NULL}, lead);
        rush_buffer_string(page->buffer, ": ");
        rush_markdown_part(page->buffer, &words);
    }
}

static void write_lead(const key_page *page, uint32_t couplet, uint32_t at)
{
    const rush_couplet *stands = &page->couplets->couplets[couplet];
    rush_buffer words = {0};
    rush_words_lead(&(rush_teller){page->key, page->language, &words, NULL}, stands, at);
    rush_markdown_part(page->buffer, &words);
    write_goal(page, couplet, &stands->leads[at]);
}

static void write_way_back(const key_page *page, const rush_couplet *couplet)
{
    if (couplet->from != RUSH_NONE)
        rush_buffer_format(page->buffer, " ([%u](#couplet-%u))", couplet->from + 1,
                           couplet->from + 1);
}

/* A heading for each couplet, its leads as a list. */
static void write_bracketed(const key_page *page)
{
    for (uint32_t c = 0; c < page->couplets->couplet_count; c++) {
        const rush_couplet *couplet = &page->couplets->couplets[c];
        rush_buffer_format(page->buffer, "\n<a id=\"couplet-%u\"></a>**%u**", c + 1, c + 1);
        write_way_back(page, couplet);
        rush_buffer_string(page->buffer, "\n\n");
        for (uint32_t l = 0; l < couplet->lead_count; l++) {
            rush_buffer_string(page->buffer, "- ");
            write_lead(page, c, l);
            rush_buffer_byte(page->buffer, '\n');
        }
    }
}

/* A list in a list for each couplet. */
static void write_indented(const key_page *page, uint32_t c, uint32_t depth)
{
    const rush_couplet *couplet = &page->couplets->couplets[c];
    for (uint32_t l = 0; l < couplet->lead_count; l++) {
        const rush_lead *lead = &couplet->leads[l];
        rush_buffer_fill(page->buffer, ' ', (size_t)2 * depth);
        rush_buffer_format(page->buffer, "- **%u%c** ", c + 1, 'a' + (int)l);
        if (!l)
            rush_buffer_format(page->buffer, "<a id=\"couplet-%u\"></a>", c + 1);
        write_lead(page, c, l);
        rush_buffer_byte(page->buffer, '\n');
        if (lead->couplet != RUSH_NONE)
            write_indented(page, lead->couplet, depth + 1);
    }
}

void rush_report_couplets_markdown(const rush_couplets *couplets, rush_couplets_style style,
                                   uint32_t language, rush_buffer *buffer)
{
    key_page page = {couplets, couplets->part->key, language, buffer};
    const rush_part *part = couplets->part;
    rush_buffer words = {0};
    rush_buffer_string(buffer, "# ");
    rush_markdown_text(buffer, rush_text_of(rush_key_words(
                                   page.key, rush_key_about(page.key)->title, language)));
    if (part->words[0]) {
        rush_buffer_string(buffer, ": ");
        rush_markdown_text(buffer, rush_text_of(part->words));
    }
    rush_buffer_string(buffer, "\n\n");
    rush_words_lengths(couplets, &words);
    rush_markdown_part(buffer, &words);
    rush_buffer_string(buffer, ".\n");
    if (couplets->couplet_count && style == RUSH_COUPLETS_INDENTED) {
        rush_buffer_byte(buffer, '\n');
        write_indented(&page, 0, 0);
    } else if (couplets->couplet_count) {
        write_bracketed(&page);
    }
    for (uint32_t i = 0; !couplets->couplet_count && i < part->leaf_count; i++) {
        rush_buffer_string(buffer, "\n- ");
        write_name(&page, &(rush_lead_taxon){.taxon = part->leaves[i], .all_forms = true});
    }
}
