#include "key/fields.h"

#include <string.h>

#include "base/number.h"

/* ---- diagnostics of nodes --------------------------------------------------------------------- */

/* The whole of a scalar; of a collection only where it begins. */
static rush_span shown_span(rush_node node)
{
    rush_span span = rush_node_span(node);
    if (rush_node_kind_of(node) != RUSH_SCALAR)
        span.length = 1;
    return span;
}

rush_mark rush_node_mark(rush_node node)
{
    return (rush_mark){node.tree->source, shown_span(node)};
}

rush_diagnostic *rush_node_diagnose(rush_loader *loader, rush_node node, rush_slug slug,
                                    const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    rush_diagnostic *made = rush_vdiagnose(loader->list, slug, node.tree->source,
                                           shown_span(node), format, arguments);
    va_end(arguments);
    return made;
}

rush_diagnostic *rush_piece_diagnose(rush_loader *loader, rush_node node, rush_text piece,
                                     rush_slug slug, const char *format, ...)
{
    rush_text whole = node.tree->source->text;
    bool inside = piece.at >= whole.at && piece.at < whole.at + whole.length;
    rush_span span = inside ? (rush_span){(uint32_t)(piece.at - whole.at), (uint32_t)piece.length}
                            : shown_span(node);
    va_list arguments;
    va_start(arguments, format);
    rush_diagnostic *made =
        rush_vdiagnose(loader->list, slug, node.tree->source, span, format, arguments);
    va_end(arguments);
    return made;
}

void rush_node_wrong_shape(rush_loader *loader, rush_node node, const char *wanted)
{
    static const char *const found[] = {"text", "a list", "fields"};
    bool scalar = rush_node_kind_of(node) == RUSH_SCALAR;
    const char *stands = rush_node_blank(node) ? "nothing"
                         : scalar && !rush_node_text(node).length
                             ? "an empty text"
                             : found[rush_node_kind_of(node)];
    rush_node_diagnose(loader, node, RUSH_WRONG_SHAPE, "%s where %s should stand", stands,
                       wanted);
}

/* ---- single values ---------------------------------------------------------------------------- */

static bool wants_scalar(rush_loader *loader, rush_node node, const char *wanted)
{
    if (rush_node_kind_of(node) == RUSH_SCALAR && rush_node_text(node).length)
        return true;
    rush_node_wrong_shape(loader, node, wanted);
    return false;
}

bool rush_value_string(rush_loader *loader, rush_node node, const char **string)
{
    if (!wants_scalar(loader, node, "a text"))
        return false;
    *string = rush_arena_copy(loader->arena, rush_node_text(node));
    return true;
}

bool rush_value_number(rush_loader *loader, rush_node node, double low, double high,
                       double *number)
{
    if (!wants_scalar(loader, node, "a number"))
        return false;
    rush_text text = rush_node_text(node);
    double value;
    if (!memchr(text.at, ',', text.length) && rush_text_number(text, &value)) {
        if (value >= low && value <= high) {
            *number = value;
            return true;
        }
        char least[RUSH_NUMBER_TEXT], most[RUSH_NUMBER_TEXT];
        rush_diagnostic *made = rush_node_diagnose(
            loader, node, RUSH_BAD_NUMBER, "%.*s is out of bounds", (int)text.length, text.at);
        if (low > 0 && low < 1e-3)
            rush_diagnose_help(loader->list, made, "it must be above 0 and at most %s",
                               rush_number_text(most, high, 6));
        else
            rush_diagnose_help(loader->list, made, "it goes from %s to %s",
                               rush_number_text(least, low, 6), rush_number_text(most, high, 6));
        return false;
    }
    rush_diagnostic *made = rush_node_diagnose(
        loader, node, RUSH_BAD_NUMBER, "'%.*s' is not a number", (int)text.length, text.at);
    bool percent = text.at[text.length - 1] == '%';
    rush_diagnose_help(loader->list, made,
                       percent ? "write 0.05 for 5 %%"
                               : "write digits and a decimal point, as in 0.05");
    return false;
}

static void refuse_choice(rush_loader *loader, rush_node node, const char *const *choices)
{
    rush_text text = rush_node_text(node);
    rush_diagnostic *made = rush_node_diagnose(
        loader, node, RUSH_BAD_CHOICE, "'%.*s' is not known here", (int)text.length, text.at);
    rush_nearest nearest;
    rush_suggest_init(loader->list, &nearest, text);
    for (int i = 0; choices[i]; i++)
        rush_nearest_offer(&nearest, choices[i]);
    if (nearest.count) {
        rush_diagnose_nearest(loader->list, made, &nearest, NULL);
        return;
    }
    rush_buffer all = {0};
    for (int i = 0; choices[i]; i++)
        rush_buffer_format(&all, "%s%s", i ? ", " : "it is one of: ", choices[i]);
    rush_diagnose_help_from(loader->list, made, &all);
}

bool rush_value_choice(rush_loader *loader, rush_node node, const char *const *choices,
                       int *choice)
{
    if (!wants_scalar(loader, node, "a word"))
        return false;
    for (int i = 0; choices[i]; i++)
        if (rush_text_equal(rush_node_text(node), rush_text_of(choices[i]))) {
            *choice = i;
            return true;
        }
    refuse_choice(loader, node, choices);
    return false;
}

static bool value_flag(rush_loader *loader, rush_node node, bool *flag)
{
    static const char *const choices[] = {"false", "true", NULL};
    int choice;
    if (!rush_value_choice(loader, node, choices, &choice))
        return false;
    *flag = choice == 1;
    return true;
}

bool rush_value_source(rush_loader *loader, rush_node node, uint32_t *source)
{
    if (!wants_scalar(loader, node, "a source's name"))
        return false;
    rush_text text = rush_node_text(node);
    uint32_t found = rush_key_find(loader->key, RUSH_SCOPE_SOURCES, text);
    if (found != RUSH_NONE) {
        *source = found;
        return true;
    }
    rush_nearest nearest;
    rush_suggest_init(loader->list, &nearest, text);
    for (uint32_t i = 0; i < loader->sources.count; i++)
        rush_nearest_offer(&nearest, loader->sources.items[i].id);
    rush_diagnostic *made =
        rush_node_diagnose(loader, node, RUSH_UNKNOWN_SOURCE, "the key has no source '%.*s'",
                           (int)text.length, text.at);
    rush_diagnose_nearest(loader->list, made, &nearest,
                          "list it under `sources:` with its `cite:`");
    return false;
}

bool rush_value_taxon(rush_loader *loader, rush_node node, const char *otherwise, uint32_t *taxon)
{
    rush_text text = rush_node_text(node);
    uint32_t found = rush_key_find(loader->key, RUSH_SCOPE_TAXA, text);
    if (found != RUSH_NONE) {
        *taxon = found;
        return true;
    }
    rush_nearest nearest;
    rush_suggest_init(loader->list, &nearest, text);
    for (uint32_t i = 0; i < loader->taxa.count; i++)
        rush_nearest_offer(&nearest, loader->taxa.items[i].name);
    rush_diagnostic *made =
        rush_node_diagnose(loader, node, RUSH_UNKNOWN_TAXON, "the key has no taxon '%.*s'",
                           (int)text.length, text.at);
    rush_diagnose_nearest(loader->list, made, &nearest, otherwise);
    return false;
}

/* The language that a field's name stands for. */
static uint32_t language_of(rush_loader *loader, rush_node name)
{
    rush_text text = rush_node_text(name);
    uint32_t language = rush_key_language(loader->key, text);
    if (language == RUSH_NONE) {
        rush_diagnostic *made =
            rush_node_diagnose(loader, name, RUSH_BAD_LANGUAGE,
                               "'%.*s' is not a language of this key", (int)text.length, text.at);
        rush_diagnose_help(
            loader->list, made,
            "write one text, or one for each of the key's `languages:`; a text with "
            "': ' in it needs quotes");
    }
    return language;
}

bool rush_value_words(rush_loader *loader, rush_node node, rush_words *words)
{
    const char **in = RUSH_ARRAY(loader->arena, const char *, loader->key->header.language_count);
    words->in = in;
    if (rush_node_kind_of(node) != RUSH_MAPPING)
        return rush_value_string(loader, node, &in[0]);
    bool good = true;
    for (rush_node name = rush_node_first(node); rush_node_is(name);) {
        rush_node value = rush_node_next(name);
        uint32_t language = language_of(loader, name);
        good &= language != RUSH_NONE && rush_value_string(loader, value, &in[language]);
        name = rush_node_next(value);
    }
    return good;
}

typedef RUSH_LIST(const char *) string_list;

static bool add_strings(rush_loader *loader, rush_node node, string_list *list)
{
    const char *string;
    if (rush_node_kind_of(node) == RUSH_SCALAR) {
        if (!rush_value_string(loader, node, &string))
            return false;
        *RUSH_PUSH(loader->arena, list) = string;
        return true;
    }
    bool good = true;
    for (rush_node item = rush_node_first(node); rush_node_is(item);
         item = rush_node_next(item)) {
        if (!rush_value_string(loader, item, &string)) {
            good = false;
            continue;
        }
        *RUSH_PUSH(loader->arena, list) = string;
    }
    return good;
}

bool rush_value_also(rush_loader *loader, rush_node node, rush_also *also)
{
    string_list list = {0};
    bool good = true;
    if (rush_node_kind_of(node) == RUSH_MAPPING) {
        for (rush_node name = rush_node_first(node); rush_node_is(name);) {
            rush_node value = rush_node_next(name);
            good &= language_of(loader, name) != RUSH_NONE && add_strings(loader, value, &list);
            name = rush_node_next(value);
        }
    } else {
        good = add_strings(loader, node, &list);
    }
    *also = (rush_also){list.items, list.count};
    return good;
}

bool rush_value_drawing(rush_loader *loader, rush_node node, size_t rows, size_t columns,
                        const char **drawing)
{
    if (!rush_value_string(loader, node, drawing))
        return false;
    size_t row = 0;
    for (const char *line = *drawing; *line; row++) {
        size_t length = strcspn(line, "\n");
        if (rush_text_columns((rush_text){line, length}) > columns || row >= rows) {
            rush_node_diagnose(loader, node, RUSH_BAD_SKETCH,
                               "line art here has at most %zu rows of %zu columns", rows,
                               columns);
            return false;
        }
        line += length + (line[length] == '\n');
    }
    return true;
}

/* ---- by table --------------------------------------------------------------------------------- */

static void read_value(rush_loader *loader, rush_node node, const rush_field *field, void *target)
{
    if (field->kind == RUSH_FIELD_PASSED)
        return;
    void *at = (char *)target + field->offset;
    switch (field->kind) {
    case RUSH_FIELD_STRING:
        rush_value_string(loader, node, at);
        break;
    case RUSH_FIELD_WORDS:
        rush_value_words(loader, node, at);
        break;
    case RUSH_FIELD_ALSO:
        rush_value_also(loader, node, at);
        break;
    case RUSH_FIELD_NUMBER:
        rush_value_number(loader, node, field->low, field->high, at);
        break;
    case RUSH_FIELD_FLAG:
        value_flag(loader, node, at);
        break;
    case RUSH_FIELD_CHOICE:
        rush_value_choice(loader, node, field->choices, at);
        break;
    case RUSH_FIELD_SOURCE:
        rush_value_source(loader, node, at);
        break;
    case RUSH_FIELD_NODE:
        *(rush_node *)at = node;
        break;
    case RUSH_FIELD_PASSED:
        break;
    }
}

static void list_fields(rush_loader *loader, rush_diagnostic *made, const rush_field *fields,
                        size_t count)
{
    rush_buffer names = {0};
    for (size_t i = 0; i < count; i++)
        rush_buffer_format(&names, "%s%s", i ? ", " : "it has: ", fields[i].name);
    rush_diagnose_help_from(loader->list, made, &names);
}

void rush_fields_read(rush_loader *loader, rush_node mapping, const rush_field *fields,
                      size_t count, const char *of, void *target)
{
    if (rush_node_kind_of(mapping) != RUSH_MAPPING) {
        rush_node_diagnose(loader, mapping, RUSH_WRONG_SHAPE,
                           "the fields of %s should stand here", of);
        return;
    }
    for (rush_node name = rush_node_first(mapping); rush_node_is(name);) {
        rush_node value = rush_node_next(name);
        rush_text text = rush_node_text(name);
        const rush_field *field = NULL;
        for (size_t i = 0; i < count && !field; i++)
            if (rush_text_equal(text, rush_text_of(fields[i].name)))
                field = &fields[i];
        if (field) {
            read_value(loader, value, field, target);
        } else if (!rush_text_equal(text, rush_text_of("<<"))) {
            rush_nearest nearest;
            rush_suggest_init(loader->list, &nearest, text);
            for (size_t i = 0; i < count; i++)
                rush_nearest_offer(&nearest, fields[i].name);
            rush_diagnostic *made =
                rush_node_diagnose(loader, name, RUSH_UNKNOWN_FIELD, "%s has no field '%.*s'", of,
                                   (int)text.length, text.at);
            if (nearest.count)
                rush_diagnose_nearest(loader->list, made, &nearest, NULL);
            else
                list_fields(loader, made, fields, count);
        }
        name = rush_node_next(value);
    }
}

rush_node rush_field_find(rush_node mapping, const char *name)
{
    if (rush_node_kind_of(mapping) == RUSH_MAPPING)
        for (rush_node at = rush_node_first(mapping); rush_node_is(at);
             at = rush_node_next(rush_node_next(at)))
            if (rush_text_equal(rush_node_text(at), rush_text_of(name)))
                return rush_node_next(at);
    return (rush_node){mapping.tree, 0};
}
