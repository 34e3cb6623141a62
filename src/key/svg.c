#include "key/svg.h"

#include <expat.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- what may stand in a drawing ------------------------------------------------------------------ */

/* What an attribute's value is made of, besides letters and digits. No colon, backslash, quotation mark or
 * angle bracket is in any of them, so that no address and no markup can be. */
typedef struct attribute {
    const char *name, *signs;
} attribute;

static const char numbers[] = " \t\r\n,.+-%";
static const char words[] = " .,-#";
static const attribute attributes[] = {
    {"cx", numbers},
    {"cy", numbers},
    {"d", numbers},
    {"dx", numbers},
    {"dy", numbers},
    {"fill", words},
    {"fill-opacity", words},
    {"fill-rule", words},
    {"font-family", words},
    {"font-size", words},
    {"font-style", words},
    {"font-weight", words},
    {"height", numbers},
    {"opacity", words},
    {"points", numbers},
    {"r", numbers},
    {"rx", numbers},
    {"ry", numbers},
    {"stroke", words},
    {"stroke-dasharray", words},
    {"stroke-linecap", words},
    {"stroke-linejoin", words},
    {"stroke-miterlimit", words},
    {"stroke-opacity", words},
    {"stroke-width", words},
    {"text-anchor", words},
    {"transform", " \t\r\n,.+-()"},
    {"width", numbers},
    {"x", numbers},
    {"x1", numbers},
    {"x2", numbers},
    {"y", numbers},
    {"y1", numbers},
    {"y2", numbers},
};

/* Harmless and of no use here: left out without a word. */
static const char *const passed_attributes[] = {"class",   "id",        "preserveAspectRatio",
                                                "version", "xml:space", NULL};
static const char *const shapes[] = {"circle",  "ellipse",  "line", "path",
                                     "polygon", "polyline", "rect", NULL};
static const char *const texts[] = {"text", "tspan", NULL};

static bool is_one_of(const char *name, const char *const *names)
{
    for (; *names; names++)
        if (strcmp(name, *names) == 0)
            return true;
    return false;
}

static bool is_element(const char *name)
{
    return strcmp(name, "g") == 0 || is_one_of(name, shapes) || is_one_of(name, texts);
}

static const attribute *find_attribute(const char *name)
{
    for (size_t i = 0; i < sizeof attributes / sizeof *attributes; i++)
        if (strcmp(attributes[i].name, name) == 0)
            return &attributes[i];
    return NULL;
}

static bool is_plain(const char *value, const char *signs)
{
    for (; *value; value++) {
        bool letter = (*value >= 'a' && *value <= 'z') || (*value >= 'A' && *value <= 'Z') ||
                      (*value >= '0' && *value <= '9');
        if (!letter && !strchr(signs, *value))
            return false;
    }
    return true;
}

/* ---- reading -------------------------------------------------------------------------------------- */

enum { TOLD_MAX = 20 }; /* a drawing program's own file may be full of what is left out */

typedef struct reading {
    XML_Parser parser;
    rush_svg *svg;
    const rush_source *source;
    rush_diagnostics *list;
    uint32_t depth, elements, told;
    uint32_t skipped; /* the depth of the element that is left out with all in it; 0: none */
    uint32_t titled;  /* the depth of the title that is read; 0: none */
    uint32_t written; /* elements that are open in the markup */
    bool text;        /* the innermost one holds text */
    bool bad;
} reading;

static rush_span here(const reading *with)
{
    XML_Index at = XML_GetCurrentByteIndex(with->parser);
    int length = XML_GetCurrentByteCount(with->parser);
    return (rush_span){at < 0 ? 0 : (uint32_t)at, length > 0 ? (uint32_t)length : 1};
}

static void refuse(reading *with, const char *why, const char *help)
{
    if (with->bad)
        return;
    with->bad = true;
    rush_diagnostic *made =
        rush_diagnose(with->list, RUSH_BAD_FIGURE, with->source, here(with), "%s", why);
    if (help)
        rush_diagnose_help(with->list, made, "%s", help);
    XML_StopParser(with->parser, XML_FALSE);
}

/* The span of a word within the tag that is read. */
static rush_span word_here(const reading *with, const char *word)
{
    rush_span tag = here(with);
    size_t length = strlen(word);
    for (uint32_t i = 1;
         i + length <= tag.length && tag.start + i + length <= with->source->text.length; i++)
        if (memcmp(with->source->text.at + tag.start + i, word, length) == 0)
            return (rush_span){tag.start + i, (uint32_t)length};
    return tag;
}

static void leave_out(reading *with, const char *what, const char *name)
{
    if (with->told++ >= TOLD_MAX)
        return;
    rush_diagnostic *made =
        rush_diagnose(with->list, RUSH_FIGURE_CUT, with->source, word_here(with, name),
                      "%s '%s' is left out", what, name);
    if (with->told == 1)
        rush_diagnose_help(
            with->list, made,
            "a drawing holds plain shapes and text: no script, link, style, image or metadata");
}

static void escape(rush_buffer *buffer, const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        const char *entity = text[i] == '<'   ? "&lt;"
                             : text[i] == '>' ? "&gt;"
                             : text[i] == '&' ? "&amp;"
                             : text[i] == '"' ? "&quot;"
                                              : NULL;
        if (entity)
            rush_buffer_string(buffer, entity);
        else if ((unsigned char)text[i] < ' ')
            rush_buffer_byte(buffer, ' ');
        else
            rush_buffer_byte(buffer, text[i]);
    }
}

static void write_attributes(reading *with, const char **pairs, bool root)
{
    rush_buffer *markup = &with->svg->markup;
    for (; pairs[0]; pairs += 2) {
        bool of_root =
            root && (strcmp(pairs[0], "viewBox") == 0 || strcmp(pairs[0], "width") == 0 ||
                     strcmp(pairs[0], "height") == 0 || strcmp(pairs[0], "xmlns") == 0 ||
                     strcmp(pairs[0], "x") == 0 || strcmp(pairs[0], "y") == 0);
        if (of_root || is_one_of(pairs[0], passed_attributes) ||
            strncmp(pairs[0], "xmlns:", 6) == 0)
            continue;
        const attribute *known = find_attribute(pairs[0]);
        if (!known || !is_plain(pairs[1], known->signs)) {
            leave_out(with, known ? "the value of the attribute" : "the attribute", pairs[0]);
            continue;
        }
        rush_buffer_format(markup, " %s=\"", pairs[0]);
        escape(markup, pairs[1], strlen(pairs[1]));
        rush_buffer_byte(markup, '"');
    }
}

static bool read_box(const char *text, double box[4])
{
    for (int i = 0; i < 4; i++) {
        text += strspn(text, " ,\t\r\n");
        size_t length = strcspn(text, " ,\t\r\n");
        if (!rush_text_number((rush_text){text, length}, &box[i]) || fabs(box[i]) > 1e6)
            return false;
        text += length;
    }
    return !text[strspn(text, " \t\r\n")] && box[2] > 0 && box[3] > 0;
}

static void begin_root(reading *with, const char *name, const char **pairs)
{
    const char *box = NULL;
    for (const char **at = pairs; at[0]; at += 2)
        if (strcmp(at[0], "viewBox") == 0)
            box = at[1];
    if (strcmp(name, "svg") != 0) {
        refuse(with, "the file is not an SVG drawing", "its first element is <svg>");
        return;
    }
    if (!box || !read_box(box, with->svg->box)) {
        refuse(with, "the drawing has no size",
               "give <svg> a `viewBox` of four numbers: left, top, width, height");
        return;
    }
    rush_buffer_string(&with->svg->markup, "<g");
    write_attributes(with, pairs, true);
    rush_buffer_byte(&with->svg->markup, '>');
}

static void XMLCALL begin_element(void *user, const XML_Char *name, const XML_Char **pairs)
{
    reading *with = user;
    if (with->bad)
        return;
    if (++with->elements > RUSH_SVG_MAX_ELEMENTS || ++with->depth > RUSH_SVG_MAX_DEPTH) {
        refuse(with, "the drawing is too elaborate",
               "a drawing has at most 2000 elements, 32 within each other");
        return;
    }
    if (with->skipped)
        return;
    if (with->depth == 1) {
        begin_root(with, name, pairs);
        return;
    }
    if (strcmp(name, "title") == 0 && with->depth == 2 && !with->svg->title.length) {
        with->titled = with->skipped = with->depth;
        return;
    }
    if (!is_element(name)) {
        with->skipped = with->depth;
        if (strcmp(name, "title") != 0 && strcmp(name, "desc") != 0)
            leave_out(with, "the element", name);
        return;
    }
    with->text = is_one_of(name, texts);
    rush_buffer_format(&with->svg->markup, "<%s", name);
    write_attributes(with, pairs, false);
    rush_buffer_byte(&with->svg->markup, '>');
}

static void XMLCALL end_element(void *user, const XML_Char *name)
{
    reading *with = user;
    if (with->bad)
        return;
    uint32_t depth = with->depth--;
    if (with->skipped) {
        if (with->skipped == depth)
            with->skipped = with->titled = 0;
        return;
    }
    with->text = strcmp(name, "tspan") == 0;
    rush_buffer_format(&with->svg->markup, "</%s>", depth == 1 ? "g" : name);
}

static void XMLCALL take_text(void *user, const XML_Char *text, int length)
{
    reading *with = user;
    if (with->bad)
        return;
    if (with->titled && with->titled == with->depth)
        rush_buffer_add(&with->svg->title, (rush_text){text, (size_t)length});
    else if (!with->skipped && with->text)
        escape(&with->svg->markup, text, (size_t)length);
}

static void XMLCALL refuse_doctype(void *user, const XML_Char *name, const XML_Char *system,
                                   const XML_Char *public, int internal)
{
    (void)name, (void)system, (void)public, (void)internal;
    refuse(user, "a drawing has no document type", "take the line with <!DOCTYPE out");
}

static bool parse(reading *with)
{
    rush_text text = with->source->text;
    XML_SetUserData(with->parser, with);
    XML_SetElementHandler(with->parser, begin_element, end_element);
    XML_SetCharacterDataHandler(with->parser, take_text);
    XML_SetStartDoctypeDeclHandler(with->parser, refuse_doctype);
    bool good = XML_Parse(with->parser, text.at, (int)text.length, 1) == XML_STATUS_OK;
    if (!good && XML_GetErrorCode(with->parser) == XML_ERROR_NO_MEMORY)
        with->svg->markup.failed = true;
    else if (!good && !with->bad) {
        rush_span at = {(uint32_t)XML_GetCurrentByteIndex(with->parser), 1};
        rush_diagnose(with->list, RUSH_BAD_FIGURE, with->source, at,
                      "the drawing is not well-formed XML: %s",
                      XML_ErrorString(XML_GetErrorCode(with->parser)));
    }
    if (good && with->told > TOLD_MAX)
        rush_diagnose(with->list, RUSH_FIGURE_CUT, with->source, (rush_span){0, 1},
                      "%u more things are left out", with->told - TOLD_MAX);
    return good && !with->svg->markup.failed && !with->svg->title.failed;
}

bool rush_svg_read(rush_svg *svg, const rush_source *source, rush_diagnostics *list)
{
    /* The encoding is given, so that a declaration in the file cannot choose another one. */
    static const XML_Memory_Handling_Suite memory = {malloc, realloc, free};
    if (source->text.length > RUSH_SVG_MAX_BYTES) {
        rush_diagnose(list, RUSH_BAD_FIGURE, source, (rush_span){0},
                      "the drawing is larger than %d bytes", RUSH_SVG_MAX_BYTES);
        return false;
    }
    reading with = {.svg = svg, .source = source, .list = list};
    with.parser = XML_ParserCreate_MM("UTF-8", &memory, NULL);
    if (!with.parser) {
        svg->markup.failed = true;
        return false;
    }
    bool good = parse(&with);
    XML_ParserFree(with.parser);
    return good;
}
