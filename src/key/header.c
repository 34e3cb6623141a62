#include <string.h>

#include "key/fields.h"
#include "key/figure.h"

static bool known_version(rush_loader *loader, rush_node root)
{
    rush_node version = rush_field_find(root, "rushlight");
    if (!rush_node_is(version) && !rush_field_missing(root, "rushlight"))
        return false;
    if (!rush_node_is(version)) {
        rush_diagnostic *made = rush_diagnose(loader->list, RUSH_MISSING_FIELD, root.tree->source,
                                              (rush_span){rush_node_span(root).start, 1},
                                              "the key does not say its format version");
        rush_diagnose_help(loader->list, made, "begin the file with `rushlight: 1`");
        return false;
    }
    if (rush_text_equal(rush_node_text(version), rush_text_of("1")))
        return true;
    rush_diagnostic *made =
        rush_node_diagnose(loader, version, RUSH_BAD_FORMAT_VERSION,
                           "'%.*s' is not a format version that this program knows",
                           (int)rush_node_text(version).length, rush_node_text(version).at);
    rush_diagnose_help(loader->list, made, "write `rushlight: 1`");
    return false;
}

/* A tag as RFC 5646 (BCP 47) has it, section 2.1, as to its shape: letters, then more behind hyphens. */
static bool is_language_tag(rush_text tag)
{
    size_t length = 0, subtags = 0;
    for (size_t i = 0; i <= tag.length; i++) {
        char c = i < tag.length ? tag.at[i] : '-';
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        if (letter || (subtags && c >= '0' && c <= '9')) {
            length++;
            continue;
        }
        if (c != '-' || length > 8 || length < (subtags ? 1 : 2))
            return false;
        length = 0;
        subtags++;
    }
    return true;
}

static void check_language(rush_loader *loader, rush_node node)
{
    rush_text tag = rush_node_text(node);
    if (rush_node_kind_of(node) != RUSH_SCALAR || !tag.length || is_language_tag(tag))
        return;
    rush_diagnostic *made =
        rush_node_diagnose(loader, node, RUSH_BAD_LANGUAGE, "'%.*s' is not the tag of a language",
                           (int)tag.length, tag.at);
    rush_diagnose_help(loader->list, made, "write two or three letters, as in en, nl or de-AT");
    loader->recovered++;
}

static void read_languages(rush_loader *loader)
{
    static const char *const only[] = {"en"};
    rush_key_header *header = &loader->key->header;
    rush_node node = rush_load_section(loader, 0, "languages");
    rush_also languages = {0};
    if (rush_node_is(node) && rush_node_kind_of(node) != RUSH_MAPPING)
        rush_value_also(loader, node, &languages);
    else if (rush_node_is(node))
        rush_node_wrong_shape(loader, node, "a list of languages");
    if (rush_node_is(node) && rush_node_kind_of(node) == RUSH_SCALAR)
        check_language(loader, node);
    else if (rush_node_is(node) && rush_node_kind_of(node) == RUSH_SEQUENCE)
        for (rush_node tag = rush_node_first(node); rush_node_is(tag); tag = rush_node_next(tag))
            check_language(loader, tag);
    for (uint32_t i = 1; i < languages.count; i++)
        for (uint32_t j = 0; j < i; j++)
            if (strcmp(languages.names[i], languages.names[j]) == 0)
                rush_node_diagnose(loader, node, RUSH_REPEATED_NAME, "the language '%s' twice",
                                   languages.names[i]);
    header->languages = languages.count ? languages.names : only;
    header->language_count = languages.count ? languages.count : 1;
}

static void read_occurrences(rush_loader *loader, rush_node node)
{
    static const rush_occurrence_word usual[] = {
        {"common", 30}, {"local", 8}, {"scarce", 2}, {"rare", 0.5}};
    if (node.tree && rush_node_is(node)) {
        loader->key->occurrences_lost = rush_node_doubtful(node);
        if (rush_node_kind_of(node) != RUSH_MAPPING) {
            rush_node_wrong_shape(loader, node, "words with their numbers");
            loader->key->occurrences_lost = true;
        } else {
            for (rush_node name = rush_node_first(node); rush_node_is(name);) {
                rush_node value = rush_node_next(name);
                rush_occurrence_word *word = RUSH_PUSH(loader->arena, &loader->occurrences);
                word->word = rush_arena_copy(loader->arena, rush_node_text(name));
                word->value = 1;
                loader->key->occurrences_lost |=
                    !rush_value_number(loader, value, 1e-6, 1e6, &word->value);
                name = rush_node_next(value);
            }
        }
    }
    for (size_t i = 0; i < RUSH_COUNT(usual); i++)
        *RUSH_PUSH(loader->arena, &loader->occurrences) = usual[i];
}

static void read_record(rush_loader *loader, rush_node node, rush_key_header *header)
{
    if (rush_node_kind_of(node) != RUSH_MAPPING) {
        rush_node_wrong_shape(loader, node, "record terms with their values");
        return;
    }
    RUSH_LIST(const char *) pairs = {0};
    for (rush_node name = rush_node_first(node); rush_node_is(name);) {
        rush_node value = rush_node_next(name);
        const char *text;
        if (rush_value_string(loader, value, &text)) {
            *RUSH_PUSH(loader->arena, &pairs) =
                rush_arena_copy(loader->arena, rush_node_text(name));
            *RUSH_PUSH(loader->arena, &pairs) = text;
        }
        name = rush_node_next(value);
    }
    header->record = pairs.items;
    header->record_count = pairs.count / 2;
}

typedef struct header_draft {
    rush_key_header header;
    rush_node occurrence, admits, record, figures;
} header_draft;

#define AT(member) offsetof(header_draft, member)
static const rush_field header_fields[] = {
    {"rushlight", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"key", RUSH_FIELD_STRING, AT(header.id), 0, 0, NULL},
    {"title", RUSH_FIELD_WORDS, AT(header.title), 0, 0, NULL},
    {"version", RUSH_FIELD_STRING, AT(header.version), 0, 0, NULL},
    {"credit", RUSH_FIELD_WORDS, AT(header.credit), 0, 0, NULL},
    {"licence", RUSH_FIELD_WORDS, AT(header.licence), 0, 0, NULL},
    {"languages", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"unlisted", RUSH_FIELD_NUMBER, AT(header.unlisted), 0, 0.5, NULL},
    {"caution_factor", RUSH_FIELD_NUMBER, AT(header.caution_factor), 0.01, 100, NULL},
    {"occurrence", RUSH_FIELD_NODE, AT(occurrence), 0, 0, NULL},
    {"admits", RUSH_FIELD_NODE, AT(admits), 0, 0, NULL},
    {"record", RUSH_FIELD_NODE, AT(record), 0, 0, NULL},
    {"figures", RUSH_FIELD_NODE, AT(figures), 0, 0, NULL},
    {"topics", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"parts", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"sources", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"characters", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"taxa", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"sightings", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
};
#undef AT

static const rush_field admits_fields[] = {
    {"text", RUSH_FIELD_WORDS, offsetof(rush_key_header, admits), 0, 0, NULL},
    {"mistakes", RUSH_FIELD_ALSO, offsetof(rush_key_header, mistakes), 0, 0, NULL},
};

static const rush_field part_fields[] = {
    {"topics", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"sources", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"characters", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"taxa", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
    {"sightings", RUSH_FIELD_PASSED, 0, 0, 0, NULL},
};

void rush_load_header(rush_loader *loader)
{
    rush_node root = rush_tree_root(&loader->trees.items[0]);
    if (!known_version(loader, root) && rush_node_kind_of(root) != RUSH_MAPPING)
        return;
    read_languages(loader);
    header_draft draft = {.header = loader->key->header};
    draft.header.unlisted = 0.02;
    draft.header.caution_factor = 1.5;
    rush_fields_read(loader, root, header_fields, RUSH_COUNT(header_fields), "a key", &draft);
    read_occurrences(loader, draft.occurrence);
    draft.header.occurrences = loader->occurrences.items;
    draft.header.occurrence_count = loader->occurrences.count;
    if (draft.admits.tree)
        rush_fields_read(loader, draft.admits, admits_fields, RUSH_COUNT(admits_fields),
                         "`admits`", &draft.header);
    if (draft.record.tree)
        read_record(loader, draft.record, &draft.header);
    if (rush_field_missing(root, "key"))
        rush_node_diagnose(loader, root, RUSH_MISSING_FIELD,
                           "the key has no `key:`, its short name");
    loader->key->header = draft.header;
    rush_load_figure_defaults(loader, draft.figures);
    for (uint32_t i = 1; i < loader->trees.count; i++)
        rush_fields_read(loader, rush_tree_root(&loader->trees.items[i]), part_fields,
                         RUSH_COUNT(part_fields), "a part of a key", NULL);
}

static const rush_field source_fields[] = {
    {"cite", RUSH_FIELD_STRING, offsetof(rush_source_entry, cite), 0, 0, NULL},
    {"doi", RUSH_FIELD_STRING, offsetof(rush_source_entry, doi), 0, 0, NULL},
    {"url", RUSH_FIELD_STRING, offsetof(rush_source_entry, url), 0, 0, NULL},
};

void rush_load_sources(rush_loader *loader)
{
    for (uint32_t i = 0; i < loader->trees.count; i++) {
        rush_node sources = rush_load_section(loader, i, "sources");
        if (!rush_node_is(sources))
            continue;
        if (rush_node_kind_of(sources) != RUSH_MAPPING) {
            rush_node_wrong_shape(loader, sources, "sources by name");
            continue;
        }
        for (rush_node name = rush_node_first(sources); rush_node_is(name);) {
            rush_node body = rush_node_next(name);
            uint32_t at = loader->sources.count;
            rush_load_name(loader, RUSH_SCOPE_SOURCES, rush_node_text(name), at,
                           rush_node_mark(name), RUSH_REPEATED_NAME, "source");
            rush_source_entry entry = {.id =
                                           rush_arena_copy(loader->arena, rush_node_text(name))};
            rush_fields_read(loader, body, source_fields, RUSH_COUNT(source_fields), "a source",
                             &entry);
            if (!entry.cite && rush_node_kind_of(body) == RUSH_MAPPING &&
                rush_field_missing(body, "cite"))
                rush_node_diagnose(loader, name, RUSH_MISSING_FIELD,
                                   "the source '%s' has no `cite:`", entry.id);
            *RUSH_PUSH(loader->arena, &loader->sources) = entry;
            *RUSH_PUSH(loader->arena, &loader->source_nodes) = name;
            name = rush_node_next(body);
        }
    }
}

enum { DRAWING_ROWS = 40, DRAWING_COLUMNS = 78 };

typedef struct topic_reading {
    rush_topic topic;
    rush_node drawing;
} topic_reading;

static const rush_field topic_fields[] = {
    {"text", RUSH_FIELD_WORDS, offsetof(topic_reading, topic.text), 0, 0, NULL},
    {"drawing", RUSH_FIELD_NODE, offsetof(topic_reading, drawing), 0, 0, NULL},
};

void rush_load_topics(rush_loader *loader)
{
    RUSH_LIST(rush_topic) topics = {0};
    for (uint32_t i = 0; i < loader->trees.count; i++) {
        rush_node node = rush_load_section(loader, i, "topics");
        if (!rush_node_is(node))
            continue;
        if (rush_node_kind_of(node) != RUSH_MAPPING) {
            rush_node_wrong_shape(loader, node, "topics by name");
            continue;
        }
        for (rush_node name = rush_node_first(node); rush_node_is(name);) {
            rush_node body = rush_node_next(name);
            topic_reading reading = {.topic.name =
                                         rush_arena_copy(loader->arena, rush_node_text(name))};
            rush_load_name(loader, RUSH_SCOPE_TOPICS, rush_node_text(name), topics.count,
                           rush_node_mark(name), RUSH_REPEATED_NAME, "topic");
            rush_fields_read(loader, body, topic_fields, RUSH_COUNT(topic_fields), "a topic",
                             &reading);
            if (reading.drawing.tree)
                rush_value_drawing(loader, reading.drawing, DRAWING_ROWS, DRAWING_COLUMNS,
                                   &reading.topic.drawing);
            *RUSH_PUSH(loader->arena, &topics) = reading.topic;
            name = rush_node_next(body);
        }
    }
    loader->key->header.topics = topics.items;
    loader->key->header.topic_count = topics.count;
}
