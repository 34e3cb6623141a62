#include <string.h>

#include "report/apart_words.h"
#include "report/words.h"

enum { SKETCH_ROWS = 5, SKETCH_COLUMNS = 20 };

static void write_paragraph(size_t indent, rush_buffer *words, rush_buffer *buffer)
{
    rush_buffer_fill(buffer, ' ', indent);
    rush_words_wrap_part(words, indent, RUSH_TEXT_COLUMNS, buffer);
    rush_buffer_byte(buffer, '\n');
}

/* ---- sketches side by side ---------------------------------------------------------------------------------- */

static const char *sketch_of(const rush_key *key, const rush_apart_mark *mark, uint32_t taxon)
{
    const rush_showing *shows = &mark->shows[taxon];
    const rush_character *character = rush_key_character(key, mark->character);
    return shows->kind == RUSH_TRAIT_STATES ? character->states[shows->likeliest].sketch : NULL;
}

static rush_text row_of(const char *sketch, uint32_t row)
{
    for (; sketch && row; row--) {
        sketch = strchr(sketch, '\n');
        sketch += sketch != NULL;
    }
    return (rush_text){sketch, sketch ? strcspn(sketch, "\n") : 0};
}

/* "C. puella" under its sketch. */
static void write_short_name(const char *name, rush_buffer *buffer)
{
    const char *space = strchr(name, ' ');
    if (space)
        rush_buffer_format(buffer, "%c.%s", name[0], space);
    else
        rush_buffer_string(buffer, name);
}

static void write_column(rush_text text, rush_buffer *buffer)
{
    size_t columns = rush_text_columns(text);
    rush_buffer_safe(buffer, text);
    rush_buffer_fill(buffer, ' ', columns < SKETCH_COLUMNS ? SKETCH_COLUMNS - columns : 1);
}

static void end_row(rush_buffer *buffer)
{
    while (buffer->length && buffer->bytes[buffer->length - 1] == ' ')
        buffer->length--;
    rush_buffer_byte(buffer, '\n');
}

/* Up to as many taxa as stand beside each other on a line; none when no state of theirs has one. */
/* One sketch for all says nothing. */
static bool all_alike(const rush_apart *apart, const rush_apart_mark *mark)
{
    const char *first = sketch_of(apart->key, mark, 0);
    for (uint32_t t = 1; t < apart->taxon_count; t++)
        if (sketch_of(apart->key, mark, t) != first)
            return false;
    return true;
}

static void write_sketches(const rush_apart *apart, const rush_apart_mark *mark, size_t indent,
                           rush_buffer *buffer)
{
    const uint32_t beside = (RUSH_TEXT_COLUMNS - (uint32_t)indent) / SKETCH_COLUMNS;
    uint32_t drawn = 0, rows = 0;
    for (uint32_t t = 0; t < apart->taxon_count; t++) {
        const char *sketch = sketch_of(apart->key, mark, t);
        drawn += sketch != NULL;
        for (uint32_t row = 0; row < SKETCH_ROWS; row++)
            if (row_of(sketch, row).length && row >= rows)
                rows = row + 1;
    }
    if (drawn < 2 || apart->taxon_count > beside || all_alike(apart, mark))
        return;
    for (uint32_t row = 0; row < rows; row++) {
        rush_buffer_fill(buffer, ' ', indent);
        for (uint32_t t = 0; t < apart->taxon_count; t++)
            write_column(row_of(sketch_of(apart->key, mark, t), row), buffer);
        end_row(buffer);
    }
    rush_buffer_fill(buffer, ' ', indent);
    for (uint32_t t = 0; t < apart->taxon_count; t++) {
        rush_buffer name = {0};
        write_short_name(rush_key_taxon(apart->key, apart->taxa[t])->name, &name);
        write_column((rush_text){name.bytes, name.length}, buffer);
        buffer->failed |= name.failed;
        rush_buffer_free(&name);
    }
    end_row(buffer);
}

/* ---- marks -------------------------------------------------------------------------------------------------- */

static void write_mark(const rush_apart *apart, const rush_apart_mark *mark, uint32_t number,
                       uint32_t language, rush_buffer *buffer)
{
    const rush_character *character = rush_key_character(apart->key, mark->character);
    rush_buffer words = {0};
    size_t widest = 0;
    rush_buffer_format(&words, "%u  ", number);
    rush_character_name(apart->key, mark->character, language, &words);
    rush_buffer_format(&words, " (%s): alone right in ", rush_reach_name(character->reach));
    rush_words_percent(mark->safe, &words);
    write_paragraph(2, &words, buffer);
    for (uint32_t t = 0; t < apart->taxon_count; t++) {
        size_t columns =
            rush_text_columns(rush_text_of(rush_key_taxon(apart->key, apart->taxa[t])->name));
        widest = columns > widest ? columns : widest;
    }
    for (uint32_t t = 0; t < apart->taxon_count; t++) {
        rush_text name = rush_text_of(rush_key_taxon(apart->key, apart->taxa[t])->name);
        size_t columns = rush_text_columns(name);
        rush_buffer_fill(buffer, ' ', 5);
        rush_buffer_safe(buffer, name);
        rush_buffer_fill(buffer, ' ', widest - columns + 2);
        rush_words_showing(&(rush_teller){apart->key, language, &words, NULL}, mark->character,
                           &mark->shows[t]);
        rush_words_wrap_part(&words, widest + 7, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
    write_sketches(apart, mark, 5, buffer);
}

static void write_view(const rush_apart *apart, const rush_apart_view *view, uint32_t language,
                       rush_buffer *buffer)
{
    rush_buffer words = {0};
    rush_buffer_format(buffer, "\n%s\n", rush_words_sexes(apart->key, view->sex));
    for (uint32_t m = 0; m < view->mark_count; m++)
        write_mark(apart, &view->marks[m], m + 1, language, buffer);
    if (!view->mark_count)
        rush_buffer_string(buffer, "  The key knows no mark that tells them apart.\n");
    if (view->mark_count > 1) {
        rush_buffer_string(&words, "these together: right in ");
        rush_words_percent(view->together, &words);
        write_paragraph(2, &words, buffer);
    }
    rush_words_safety(apart, view, &words);
    write_paragraph(2, &words, buffer);
    if (view->more)
        rush_buffer_format(buffer, "  %u more mark%s: --marks %u\n", view->more,
                           view->more == 1 ? " helps a little" : "s help a little",
                           view->mark_count + view->more);
}

static bool needs_hand(const rush_apart *apart)
{
    for (uint32_t v = 0; v < apart->view_count; v++) {
        const rush_apart_view *view = &apart->views[v];
        if (view->field < apart->safe && view->hand >= apart->safe)
            return true;
        for (uint32_t m = 0; m < view->mark_count; m++)
            if (rush_key_character(apart->key, view->marks[m].character)->reach ==
                RUSH_REACH_HAND)
                return true;
    }
    return false;
}

void rush_report_apart_text(const rush_apart *apart, uint32_t language, rush_buffer *buffer)
{
    rush_buffer words = {0};
    for (uint32_t t = 0; t < apart->taxon_count; t++) {
        rush_words_taxon(apart->key, apart->taxa[t], language, buffer);
        rush_buffer_byte(buffer, '\n');
    }
    for (uint32_t v = 0; v < apart->view_count; v++)
        write_view(apart, &apart->views[v], language, buffer);
    rush_buffer_string(&words,
                       "The figures are for a careful beginner who has ruled out everything "
                       "else, before whom each stands as often as the other.");
    if (apart->taxon_count > 2) {
        rush_buffer_format(&words, " A guess among %u is right in ", apart->taxon_count);
        rush_words_percent(1.0 / apart->taxon_count, &words);
        rush_buffer_byte(&words, '.');
    }
    rush_buffer_byte(buffer, '\n');
    write_paragraph(0, &words, buffer);
    if (!needs_hand(apart))
        return;
    rush_buffer_string(&words,
                       "Hold an animal only gently, only when needed and where it is permitted: "
                       "some species are protected by law and may be handled only under "
                       "licence.");
    write_paragraph(0, &words, buffer);
}

void rush_report_hard_pairs_text(const rush_hard_pairs *hard, rush_buffer *buffer)
{
    rush_buffer words = {0};
    if (!hard->count) {
        rush_buffer_string(buffer, "There are no two taxa to tell apart.\n");
        return;
    }
    rush_buffer_string(&words, "What ");
    if (hard->of != RUSH_NONE)
        rush_words_taxon(hard->key, hard->of, hard->language, &words);
    rush_buffer_format(&words,
                       "%s confused%s most often, by how hard it is to tell without taking it in "
                       "the hand and how often both are met, the worst first:",
                       hard->of != RUSH_NONE ? " is" : "is",
                       hard->of != RUSH_NONE ? " with" : "");
    write_paragraph(0, &words, buffer);
    rush_buffer_byte(buffer, '\n');
    for (uint32_t i = 0; i < hard->count; i++) {
        const rush_hard_pair *pair = &hard->pairs[i];
        rush_words_percent(pair->safe, &words);
        size_t columns = words.length;
        rush_buffer_fill(buffer, ' ', columns < 12 ? 12 - columns : 0);
        rush_words_add_part(&words, buffer);
        rush_buffer_string(buffer, "  ");
        if (pair->taxon != hard->of)
            rush_words_taxon(hard->key, pair->taxon, hard->language, &words);
        rush_buffer_string(&words, hard->of == RUSH_NONE ? " and " : "");
        if (pair->other != hard->of)
            rush_words_taxon(hard->key, pair->other, hard->language, &words);
        if (pair->sex != RUSH_SEX_ANY)
            rush_buffer_format(&words, ", %s", rush_words_sexes(hard->key, pair->sex));
        rush_words_wrap_part(&words, 14, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
    rush_buffer_string(&words,
                       "The figure says how often a careful beginner who sees everything is "
                       "right. `rushlight apart 'A, B'` says how to tell two of them; "
                       "--occurrence common leaves out what is met seldom.");
    rush_buffer_byte(buffer, '\n');
    write_paragraph(0, &words, buffer);
}
