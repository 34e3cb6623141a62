#include <string.h>

#include "report/lead_words.h"
#include "report/words.h"

/* A printed key as plain text, in the two styles of the trade. */
typedef struct key_page {
    const rush_couplets *couplets;
    const rush_key *key;
    uint32_t language;
    rush_buffer *buffer;
} key_page;

enum { NUMBER_COLUMNS = 9, STEP_IN = 2, DEEPEST_IN = 40 };

/* ---- pieces ---------------------------------------------------------------------------------------------- */

/* "Lestes sponsa (emerald damselfly), male" */
static void write_name(const key_page *page, const rush_lead_taxon *taxon, rush_buffer *words)
{
    const char *vernacular = rush_words_vernacular(page->key, taxon->taxon, page->language);
    rush_buffer forms = {0};
    rush_words_forms(page->couplets->part, taxon, &forms);
    rush_buffer_string(words, rush_words_scientific(page->key, taxon->taxon));
    if (vernacular[0])
        rush_buffer_format(words, " (%s)", vernacular);
    if (forms.length)
        rush_buffer_format(words, ", %s", forms.bytes);
    words->failed |= forms.failed;
    rush_buffer_free(&forms);
}

/* What stands at the end of a lead: a number, a name, or the names of a group. */
static void write_goal(const key_page *page, const rush_lead *lead, uint32_t couplet,
                       rush_buffer *words)
{
    rush_buffer others = {0};
    if (lead->couplet != RUSH_NONE) {
        rush_buffer_format(words, "%u", lead->couplet + 1);
        return;
    }
    for (uint32_t i = 0; i < lead->taxon_count; i++) {
        rush_buffer_string(words, rush_words_joint(lead, i));
        write_name(page, &lead->taxa[i], words);
    }
    if (lead->taxon_count == 1)
        rush_words_other_outs(page->couplets, lead->taxa[0].taxon, couplet, &others);
    if (others.length)
        rush_buffer_format(words, " [also at %s]", others.bytes);
    words->failed |= others.failed;
    rush_buffer_free(&others);
}

static size_t column_of(const rush_buffer *buffer)
{
    size_t from = buffer->length;
    while (from && buffer->bytes[from - 1] != '\n')
        from--;
    return rush_text_columns((rush_text){buffer->bytes + from, buffer->length - from});
}

/* Words behind dots at the right margin; where they do not fit, on lines of their own. */
static void write_behind_dots(rush_buffer *words, size_t indent, rush_buffer *buffer)
{
    enum { LEAST_DOTS = 3 };
    size_t columns = rush_text_columns((rush_text){words->bytes, words->length});
    size_t at = column_of(buffer);
    if (at + columns + LEAST_DOTS + 2 > RUSH_TEXT_COLUMNS) {
        rush_buffer_byte(buffer, '\n');
        rush_buffer_fill(buffer, ' ', indent);
        at = indent;
    } else {
        rush_buffer_byte(buffer, ' ');
        at++;
    }
    if (at + columns + LEAST_DOTS + 1 <= RUSH_TEXT_COLUMNS) {
        rush_buffer_fill(buffer, '.', RUSH_TEXT_COLUMNS - at - columns - 1);
        rush_buffer_byte(buffer, ' ');
        at = 0;
    }
    rush_words_wrap_part(words, indent, RUSH_TEXT_COLUMNS, buffer);
    rush_buffer_byte(buffer, '\n');
}

/* The lead's words and its goal, the first line begun already. */
static void write_lead(const key_page *page, uint32_t couplet, uint32_t at, size_t indent,
                       bool with_goal)
{
    const rush_couplet *stands = &page->couplets->couplets[couplet];
    const rush_lead *lead = &stands->leads[at];
    rush_buffer words = {0}, goal = {0};
    rush_words_lead(&(rush_teller){page->key, page->language, &words, NULL}, stands, at);
    rush_words_wrap_part(&words, indent, RUSH_TEXT_COLUMNS, page->buffer);
    if (with_goal) {
        write_goal(page, lead, couplet, &goal);
        write_behind_dots(&goal, indent, page->buffer);
    } else {
        rush_buffer_byte(page->buffer, '\n');
    }
    if (lead->taxon_count > 1 && lead->couplet == RUSH_NONE) {
        rush_buffer needs = {0};
        rush_words_needs(&(rush_teller){page->key, page->language, &needs, NULL}, lead);
        rush_buffer_fill(page->buffer, ' ', indent);
        rush_words_wrap_part(&needs, indent, RUSH_TEXT_COLUMNS, page->buffer);
        rush_buffer_byte(page->buffer, '\n');
    }
}

/* ---- bracketed ------------------------------------------------------------------------------------------- */

static void write_bracketed(const key_page *page)
{
    for (uint32_t c = 0; c < page->couplets->couplet_count; c++) {
        const rush_couplet *couplet = &page->couplets->couplets[c];
        for (uint32_t l = 0; l < couplet->lead_count; l++) {
            size_t start = page->buffer->length;
            if (l)
                rush_buffer_string(page->buffer, "-");
            else if (couplet->from == RUSH_NONE)
                rush_buffer_format(page->buffer, "%u", c + 1);
            else
                rush_buffer_format(page->buffer, "%u (%u)", c + 1, couplet->from + 1);
            size_t columns = page->buffer->length - start;
            rush_buffer_fill(page->buffer, ' ',
                             columns < NUMBER_COLUMNS ? NUMBER_COLUMNS - columns : 1);
            write_lead(page, c, l, NUMBER_COLUMNS, true);
        }
        rush_buffer_byte(page->buffer, '\n');
    }
}

/* ---- indented -------------------------------------------------------------------------------------------- */

/* Couplets stand behind those which lead to them, so that recursion goes no deeper than the key. */
static void write_indented(const key_page *page, uint32_t c, uint32_t depth)
{
    const rush_couplet *couplet = &page->couplets->couplets[c];
    size_t indent = (size_t)STEP_IN * depth;
    indent = indent < DEEPEST_IN ? indent : DEEPEST_IN;
    for (uint32_t l = 0; l < couplet->lead_count; l++) {
        const rush_lead *lead = &couplet->leads[l];
        rush_buffer number = {0};
        rush_buffer_format(&number, "%u%c  ", c + 1, 'a' + (int)l);
        rush_buffer_fill(page->buffer, ' ', indent);
        rush_buffer_add(page->buffer, (rush_text){number.bytes, number.length});
        write_lead(page, c, l, indent + number.length, lead->couplet == RUSH_NONE);
        page->buffer->failed |= number.failed;
        rush_buffer_free(&number);
        if (lead->couplet != RUSH_NONE)
            write_indented(page, lead->couplet, depth + 1);
    }
}

/* ---- the whole ------------------------------------------------------------------------------------------- */

static void write_paragraph(rush_buffer *words, rush_buffer *buffer)
{
    rush_words_wrap_part(words, 0, RUSH_TEXT_COLUMNS, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_heading(const key_page *page)
{
    rush_buffer words = {0};
    const rush_part *part = page->couplets->part;
    rush_buffer_string(
        &words, rush_key_words(page->key, rush_key_about(page->key)->title, page->language));
    if (part->words[0])
        rush_buffer_format(&words, ": %s", part->words);
    write_paragraph(&words, page->buffer);
    rush_words_lengths(page->couplets, &words);
    write_paragraph(&words, page->buffer);
    rush_buffer_byte(page->buffer, '\n');
}

/* Without couplets: what the one taxon is, or those that nothing tells apart. */
static void write_names(const key_page *page)
{
    const rush_part *part = page->couplets->part;
    rush_buffer words = {0};
    if (part->leaf_count > 1)
        rush_buffer_string(&words, "No couplet tells these apart: ");
    for (uint32_t i = 0; i < part->leaf_count; i++) {
        rush_buffer_string(&words, i ? "; " : "");
        write_name(page, &(rush_lead_taxon){.taxon = part->leaves[i], .all_forms = true}, &words);
    }
    write_paragraph(&words, page->buffer);
}

void rush_report_couplets_text(const rush_couplets *couplets, rush_couplets_style style,
                               uint32_t language, rush_buffer *buffer)
{
    key_page page = {couplets, couplets->part->key, language, buffer};
    write_heading(&page);
    if (!couplets->couplet_count)
        write_names(&page);
    else if (style == RUSH_COUPLETS_INDENTED)
        write_indented(&page, 0, 0);
    else
        write_bracketed(&page);
}
