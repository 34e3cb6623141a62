#include "key/fields.h"

#include <string.h>

#include "base/number.h"
#include "base/unicode.h"

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

/* Whether a name stands in a line that is not what its author meant. */
static bool stands_in_doubt(const rush_loader *loader, rush_text name)
{
    for (uint32_t i = 0; i < loader->trees.count && name.length; i++) {
        const rush_source *source = loader->trees.items[i].source;
        for (uint32_t d = 0; d < source->doubtful_count; d++) {
            rush_span span = source->doubtful[d];
            const char *at = source->text.at + span.start;
            for (uint32_t from = 0; from + name.length <= span.length; from++)
                if (memcmp(at + from, name.at, name.length) == 0)
                    return true;
        }
    }
    return false;
}

static bool languages_lost(const rush_loader *loader)
{
    rush_node root = rush_tree_root(&loader->trees.items[0]),
              given = rush_field_find(root, "languages");
    return rush_node_is(given) ? rush_node_doubtful(given) : rush_node_doubtful(root);
}

static rush_slug unknown_in(uint32_t scope)
{
    return scope == RUSH_SCOPE_CHARACTERS    ? RUSH_UNKNOWN_CHARACTER
           : scope == RUSH_SCOPE_TAXA        ? RUSH_UNKNOWN_TAXON
           : scope == RUSH_SCOPE_SOURCES     ? RUSH_UNKNOWN_SOURCE
           : scope == RUSH_SCOPE_OCCURRENCES ? RUSH_BAD_CHOICE
           : scope == RUSH_SCOPE_LANGUAGES   ? RUSH_BAD_LANGUAGE
                                             : RUSH_UNKNOWN_STATE;
}

rush_diagnostic *rush_unknown_name(rush_loader *loader, rush_node node, uint32_t scope,
                                   const rush_nearest *nearest, const char *format, ...)
{
    bool elsewhere = loader->incomplete && !nearest->count && scope <= RUSH_SCOPE_SOURCES;
    elsewhere |= scope == RUSH_SCOPE_OCCURRENCES && loader->key->occurrences_lost;
    elsewhere |= scope == RUSH_SCOPE_LANGUAGES && languages_lost(loader);
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(rush_node_text(node), folded);
    rush_text name = {folded, length == SIZE_MAX ? 0 : length};
    uint32_t next = loader->unknown_list.count;
    uint32_t at = rush_table_add(loader->arena, &loader->unknown, scope, name, next);
    if (at == next)
        RUSH_PUSH(loader->arena, &loader->unknown_list);
    loader->unknown_list.items[at].places++;
    if (elsewhere || at < next ||
        (scope != RUSH_SCOPE_LANGUAGES && stands_in_doubt(loader, rush_node_text(node)))) {
        rush_diagnose_follows(loader->list);
        return NULL;
    }
    va_list arguments;
    va_start(arguments, format);
    rush_diagnostic *made = rush_vdiagnose(loader->list, unknown_in(scope), node.tree->source,
                                           shown_span(node), format, arguments);
    va_end(arguments);
    loader->unknown_list.items[at].told = made;
    return made;
}

uint32_t rush_meant_name(rush_loader *loader, uint32_t scope, const rush_nearest *nearest)
{
    uint32_t meant = RUSH_NONE;
    for (uint32_t i = 0; i < nearest->count; i++) {
        uint32_t found = rush_key_find(loader->key, scope, rush_text_of(nearest->names[i]));
        if (meant != RUSH_NONE && found != meant)
            return RUSH_NONE;
        meant = found;
    }
    loader->recovered += meant != RUSH_NONE;
    return meant;
}

size_t rush_losses(const rush_loader *loader)
{
    return rush_diagnostics_faults(loader->list) - loader->recovered;
}

void rush_unknown_names_told(rush_loader *loader)
{
    for (uint32_t i = 0; i < loader->unknown_list.count; i++) {
        const rush_unknown *unknown = &loader->unknown_list.items[i];
        if (!unknown->told || unknown->places < 2)
            continue;
        uint32_t more = unknown->places - 1;
        const char *help = unknown->told->help;
        rush_diagnose_help(loader->list, unknown->told, "%s%s%u more place%s ha%s it",
                           help ? help : "", help ? "; " : "", more, more == 1 ? "" : "s",
                           more == 1 ? "s" : "ve");
    }
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

/* Returns the only one that is near, or -1. */
static int refuse_choice(rush_loader *loader, rush_node node, const char *const *choices)
{
    rush_text text = rush_node_text(node);
    rush_diagnostic *made = rush_node_diagnose(loader, node, RUSH_BAD_CHOICE,
                                               "'%.*s' is not one of the words that fit here",
                                               (int)text.length, text.at);
    rush_nearest nearest;
    rush_suggest_init(loader->list, &nearest, text);
    for (int i = 0; choices[i]; i++)
        rush_nearest_offer(&nearest, choices[i]);
    if (nearest.count) {
        rush_diagnose_nearest(loader->list, made, &nearest, NULL);
        for (int i = 0; choices[i] && nearest.count == 1; i++)
            if (strcmp(choices[i], nearest.names[0]) == 0) {
                loader->recovered++;
                return i;
            }
        return -1;
    }
    rush_buffer all = {0};
    for (int i = 0; choices[i]; i++)
        rush_buffer_format(&all, "%s%s", i ? ", " : "it is one of: ", choices[i]);
    rush_diagnose_help_from(loader->list, made, &all);
    return -1;
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
    int meant = refuse_choice(loader, node, choices);
    *choice = meant >= 0 ? meant : *choice;
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
        rush_unknown_name(loader, node, RUSH_SCOPE_SOURCES, &nearest,
                          "the key has no source '%.*s'", (int)text.length, text.at);
    rush_diagnose_nearest(loader->list, made, &nearest,
                          "list it under `sources:` with its `cite:`");
    *source = rush_meant_name(loader, RUSH_SCOPE_SOURCES, &nearest);
    loader->recovered += *source == RUSH_NONE; /* a trait is no less known for it */
    loader->key->sources_lost |= *source == RUSH_NONE;
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
        rush_unknown_name(loader, node, RUSH_SCOPE_TAXA, &nearest, "the key has no taxon '%.*s'",
                          (int)text.length, text.at);
    rush_diagnose_nearest(loader->list, made, &nearest, otherwise);
    *taxon = rush_meant_name(loader, RUSH_SCOPE_TAXA, &nearest);
    return *taxon != RUSH_NONE;
}

/* The language that a field's name stands for. */
static uint32_t language_of(rush_loader *loader, rush_node name)
{
    rush_text text = rush_node_text(name);
    uint32_t language = rush_key_language(loader->key, text);
    if (language == RUSH_NONE) {
        rush_nearest none;
        rush_nearest_init(&none, text);
        rush_diagnostic *made =
            rush_unknown_name(loader, name, RUSH_SCOPE_LANGUAGES, &none,
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
    if (rush_node_kind_of(node) == RUSH_MAPPING) {
        rush_node_wrong_shape(loader, node, "a text or a list of texts");
        return false;
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

/* What a mapping may hold, for messages. */
typedef struct rush_field_table {
    const rush_field *fields;
    size_t count;
    const char *of;
} rush_field_table;

/* `rank:species`: the field `rank`, and its value, in one. */
static bool is_glued(rush_text text, const char *field)
{
    size_t length = strlen(field);
    return text.length > length && memcmp(text.at, field, length) == 0 && text.at[length] == ':';
}

/* Takes the value out of such a text, so that nothing follows from the mistake; false when it cannot be, and
 * something is lost. */
static bool read_glued(rush_loader *loader, rush_text text, const rush_field *field, void *target)
{
    size_t name = strlen(field->name) + 1;
    rush_text value = {text.at + name, text.length - name};
    void *to = (char *)target + field->offset;
    if (field->kind == RUSH_FIELD_NODE)
        return false;
    if (field->kind == RUSH_FIELD_SOURCE)
        *(uint32_t *)to = rush_key_find(loader->key, RUSH_SCOPE_SOURCES, value);
    for (int i = 0; field->kind == RUSH_FIELD_CHOICE && field->choices[i]; i++)
        if (rush_text_equal(value, rush_text_of(field->choices[i])))
            *(int *)to = i;
    return true;
}

static bool is_near(rush_text text, const char *field)
{
    rush_nearest nearest;
    rush_nearest_init(&nearest, text);
    rush_nearest_offer(&nearest, field);
    return nearest.count > 0;
}

/* Whether a field that may have been meant could have this value: a word of a choice is one of its words. */
static bool may_hold(const rush_field *field, rush_node value)
{
    if (field->kind != RUSH_FIELD_CHOICE)
        return true;
    for (int i = 0; field->choices[i]; i++)
        if (rush_text_equal(rush_node_text(value), rush_text_of(field->choices[i])))
            return true;
    return false;
}

/* A field that the format does not have. When there is one that was probably meant, and it is not given
 * too, that is returned, so that nothing more follows from the mistake. */
static const rush_field *refuse_field(rush_loader *loader, rush_node mapping, rush_node name,
                                      const rush_field_table *table, void *target)
{
    rush_text text = rush_node_text(name);
    rush_nearest nearest;
    rush_suggest_init(loader->list, &nearest, text);
    const rush_field *meant = NULL;
    const rush_field *glued = NULL;
    for (size_t i = 0; i < table->count; i++) {
        rush_nearest_offer(&nearest, table->fields[i].name);
        glued = is_glued(text, table->fields[i].name) ? &table->fields[i] : glued;
    }
    rush_diagnostic *made =
        rush_node_diagnose(loader, name, RUSH_UNKNOWN_FIELD, "%s has no field '%.*s'", table->of,
                           (int)text.length, text.at);
    if (glued) {
        rush_diagnose_help(loader->list, made, "put a space behind the colon of `%s:`",
                           glued->name);
        loader->recovered += read_glued(loader, text, glued, target);
        return NULL;
    }
    if (nearest.count)
        rush_diagnose_nearest(loader->list, made, &nearest, NULL);
    else
        list_fields(loader, made, table->fields, table->count);
    for (size_t i = 0; i < table->count && nearest.count == 1; i++)
        if (strcmp(table->fields[i].name, nearest.names[0]) == 0 &&
            !rush_node_is(rush_field_find(mapping, nearest.names[0])) &&
            may_hold(&table->fields[i], rush_node_next(name)))
            meant = &table->fields[i];
    loader->recovered += meant != NULL;
    return meant;
}

void rush_fields_read(rush_loader *loader, rush_node mapping, const rush_field *fields,
                      size_t count, const char *of, void *target)
{
    const rush_field_table table = {fields, count, of};
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
        if (!field && !rush_text_equal(text, rush_text_of("<<")))
            field = refuse_field(loader, mapping, name, &table, target);
        if (field)
            read_value(loader, value, field, target);
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
    return (rush_node){.tree = mapping.tree};
}

bool rush_field_missing(rush_node mapping, const char *name)
{
    if (rush_node_doubtful(mapping) || rush_node_is(rush_field_find(mapping, name)))
        return false;
    if (rush_node_kind_of(mapping) == RUSH_MAPPING)
        for (rush_node at = rush_node_first(mapping); rush_node_is(at);
             at = rush_node_next(rush_node_next(at)))
            if (is_near(rush_node_text(at), name) || is_glued(rush_node_text(at), name))
                return false;
    return true;
}

rush_node rush_load_section(rush_loader *loader, uint32_t tree, const char *name)
{
    static const char *const others[] = {"topics", "sources",   "characters",
                                         "taxa",   "sightings", "parts"};
    rush_node root = rush_tree_root(&loader->trees.items[tree]), meant = {.tree = root.tree};
    rush_node section = rush_field_find(root, name);
    if (rush_node_is(section) || rush_node_kind_of(root) != RUSH_MAPPING)
        return section;
    for (rush_node at = rush_node_first(root); rush_node_is(at);
         at = rush_node_next(rush_node_next(at))) {
        bool known = false;
        for (size_t i = 0; i < RUSH_COUNT(others); i++)
            known |= rush_text_equal(rush_node_text(at), rush_text_of(others[i]));
        if (!known && is_near(rush_node_text(at), name))
            meant = rush_node_next(at);
    }
    return meant;
}
