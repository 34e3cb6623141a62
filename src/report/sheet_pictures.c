#include <string.h>

#include "report/sheet.h"

enum { MONTHS = 12 };
#define RULER_MM    RUSH_NARROW_MM
#define LARGE       1.45  /* how much drawings grow in large print */
#define GREATEST_MM 170.0 /* what fits the width of a page */

rush_picture rush_sheet_drawing(rush_sheet *sheet, const rush_figure *figure, double width)
{
    bool known = false;
    for (uint32_t i = 0; i < sheet->drawn.count; i++)
        known |= sheet->drawn.items[i] == figure;
    if (!known)
        *RUSH_PUSH(sheet->builder.arena, &sheet->drawn) = figure;
    width *= sheet->request->large ? LARGE : 1;
    const char *title = figure->title[0] ? figure->title : figure->file;
    rush_wording words = rush_sheet_wording(sheet);
    rush_build_said(&words, RUSH_VOICE_PLAIN, rush_key_about(sheet->key)->languages[0], title,
                    NULL);
    rush_picture picture = {.title = rush_build_worded(&words),
                            .markup = figure->markup,
                            .width = width,
                            .height = width * figure->box[3] / figure->box[2]};
    memcpy(picture.box, figure->box, sizeof picture.box);
    return picture;
}

double rush_sheet_unit(const char *unit)
{
    static const struct {
        const char *unit;
        double mm;
    } units[] = {{"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", 25.4}};
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strcmp(units[i].unit, unit) == 0)
            return units[i].mm;
    return 0;
}

/* One unit of the picture is one mm on paper. */
static void set_size(rush_picture *picture, double width, double height)
{
    picture->box[0] = picture->box[1] = 0;
    picture->box[2] = picture->width = width;
    picture->box[3] = picture->height = height;
    picture->measured = true;
}

static void add_number(rush_builder *builder, const char *before, double number)
{
    rush_buffer_string(&builder->words, before);
    rush_buffer_number(&builder->words, number, 3);
}

/* Ticks below a bar, a longer one each 10 mm. */
static void add_ticks(rush_builder *builder, double y, double width, double step)
{
    rush_buffer_string(&builder->words,
                       "<path stroke=\"currentColor\" stroke-width=\"0.2\" d=\"");
    for (int i = 0; i * step <= width + 1e-9; i++) {
        bool tens = (int)(i * step + 0.5) % 10 == 0;
        add_number(builder, "M",
                   i * step < 0.1           ? 0.1
                   : i * step > width - 0.1 ? width - 0.1
                                            : i * step);
        add_number(builder, " ", y);
        add_number(builder, "v", tens ? 2 : 1);
    }
    rush_buffer_string(&builder->words, "\"/>");
}

bool rush_sheet_size(rush_sheet *sheet, uint32_t character, double least, double greatest,
                     rush_picture *picture)
{
    rush_builder *builder = &sheet->builder;
    if (!(least > 0) || greatest < least || greatest > GREATEST_MM)
        return false;
    *picture = (rush_picture){0};
    set_size(picture, greatest, 4.6);
    add_number(builder, "<path fill=\"currentColor\" d=\"M0 0H", least);
    rush_buffer_string(&builder->words, "V2.4H0Z\"/>");
    if (greatest > least + 0.5) {
        add_number(builder,
                   "<path fill=\"none\" stroke=\"currentColor\" stroke-width=\"0.3\" d=\"M",
                   least);
        add_number(builder, " 0.15H", greatest - 0.15);
        add_number(builder, "V2.25H", least);
        rush_buffer_string(&builder->words, "\"/>");
    }
    add_ticks(builder, 2.6, greatest, 10);
    picture->markup = rush_build_taken(builder);
    rush_buffer_number(&builder->words, least, 1);
    if (greatest > least) {
        rush_buffer_string(&builder->words, " to ");
        rush_buffer_number(&builder->words, greatest, 1);
    }
    rush_buffer_string(&builder->words, " mm");
    const char *words = rush_build_taken(builder);
    rush_wording title = rush_sheet_wording(sheet);
    rush_tell_character(&title.teller, character);
    rush_build_say(&title, ", a bar to true scale: ");
    rush_build_say(&title, words);
    picture->title = rush_build_worded(&title);
    picture->caption = rush_build_phrase(builder, words);
    return true;
}

/* The first letter of a month's name, a code point of UTF-8, for a picture's markup. */
static void add_initial(rush_sheet *sheet, uint32_t character, uint32_t month)
{
    rush_buffer *words = &sheet->builder.words;
    size_t from = words->length;
    rush_state_name(sheet->key, character, month, sheet->language,
                    words); /* markup: it has no language */
    size_t end = from + (from < words->length);
    while (end < words->length && ((unsigned char)words->bytes[end] & 0xc0) == 0x80)
        end++;
    if (words->failed || from == words->length)
        return;
    unsigned char first = (unsigned char)words->bytes[from];
    bool plain =
        first >= 0x80 || (first >= 'A' && first <= 'Z') || (first >= 'a' && first <= 'z');
    words->length = plain ? end : from;
    if (plain && first >= 'a' && first <= 'z')
        words->bytes[from] = (char)(first - 'a' + 'A');
    words->bytes[words->length] = '\0';
}

/* "May to September, November" */
static rush_phrase months_in_words(rush_sheet *sheet, uint32_t character, const double *months)
{
    rush_wording wording = rush_sheet_wording(sheet);
    rush_build_say(&wording, "season: ");
    bool first = true, all = true;
    for (uint32_t m = 0; m < MONTHS; m++)
        all &= months[m] > 0;
    if (all)
        rush_build_say(&wording, "all year");
    for (uint32_t m = 0; m < MONTHS && !all; m++) {
        if (!(months[m] > 0) || months[(m + MONTHS - 1) % MONTHS] > 0)
            continue;
        uint32_t last = m;
        while (months[(last + 1) % MONTHS] > 0)
            last = (last + 1) % MONTHS;
        rush_build_say(&wording, first ? "" : ", ");
        rush_tell_state(&wording.teller, character, m);
        rush_build_say(&wording, last != m ? " to " : "");
        if (last != m)
            rush_tell_state(&wording.teller, character, last);
        first = false;
    }
    return rush_build_worded(&wording);
}

rush_picture rush_sheet_season(rush_sheet *sheet, uint32_t character, const double *months)
{
    const double cell = 4.4, height = 4;
    rush_builder *builder = &sheet->builder;
    rush_picture picture = {0};
    set_size(&picture, MONTHS * cell + 0.4, height + 0.4);
    for (uint32_t m = 0; m < MONTHS; m++) {
        bool flies = months[m] > 0;
        add_number(builder, "<rect x=\"", 0.2 + m * cell);
        add_number(builder, "\" y=\"0.2\" width=\"", cell);
        add_number(builder, "\" height=\"", height);
        rush_buffer_format(&builder->words,
                           "\" stroke=\"currentColor\" stroke-width=\"0.3\" fill=\"%s\"/>",
                           flies ? "currentColor" : "none");
        add_number(builder, "<text text-anchor=\"middle\" font-size=\"2.9\" y=\"3.25\" x=\"",
                   0.2 + (m + 0.5) * cell);
        rush_buffer_format(&builder->words, "\" fill=\"%s\">", flies ? "white" : "currentColor");
        add_initial(sheet, character, m);
        rush_buffer_string(&builder->words, "</text>");
    }
    /* It is no measure: it may grow with the words. */
    picture.width *= sheet->request->large ? LARGE : 1;
    picture.height *= sheet->request->large ? LARGE : 1;
    picture.markup = rush_build_taken(builder);
    picture.title = months_in_words(sheet, character, months);
    return picture;
}

rush_picture rush_sheet_ruler(rush_sheet *sheet)
{
    rush_builder *builder = &sheet->builder;
    rush_picture picture = {0};
    set_size(&picture, RULER_MM, 9);
    add_number(builder, "<path fill=\"currentColor\" d=\"M0 0H", RULER_MM);
    rush_buffer_string(&builder->words, "V0.6H0Z\"/>");
    add_ticks(builder, 0.6, RULER_MM, 1);
    for (int mm = 0; mm <= (int)RULER_MM; mm += 10)
        rush_buffer_format(&builder->words,
                           "<text x=\"%d\" y=\"7.5\" font-size=\"3.4\" text-anchor=\"%s\" "
                           "fill=\"currentColor\">%d</text>",
                           mm,
                           mm == 0               ? "start"
                           : mm == (int)RULER_MM ? "end"
                                                 : "middle",
                           mm);
    picture.markup = rush_build_taken(builder);
    picture.title = rush_build_phrase(builder, "A ruler of 80 mm");
    picture.only_drawn = true;
    picture.caption = rush_build_phrase(
        builder, "Lay a ruler against this one: if it is not 80 mm long on paper, print "
                 "again at 100 %, without fitting to the page. Bars of size are then true.");
    return picture;
}
