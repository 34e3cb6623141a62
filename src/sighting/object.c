/* JSON objects. jansson says whether a line is one and decodes its strings; where each value stands, and the
 * digits of its numbers, it does not keep, so the text, now known to be good, is walked along with it. */
#include <jansson.h>
#include <string.h>

#include "base/unicode.h"
#include "sighting/answer.h"
#include "sighting/entry.h"

typedef struct object_reader {
    rush_entry_reader *entries;
    const json_t *root;
    rush_text text;
    size_t at;
} object_reader;

static const char between[] = " \t\r\n{}[],:";

static rush_text without_return(rush_text line)
{
    line = rush_text_trim(line);
    if (line.length && line.at[line.length - 1] == '\r')
        line = rush_text_trim((rush_text){line.at, line.length - 1});
    return line;
}

static bool opens_a_text(rush_text line)
{
    if (line.length && line.at[0] == '[' && line.at[line.length - 1] != ']')
        return true;
    for (size_t i = 0; i < line.length; i++)
        if (!memchr(" \t[{", line.at[i], 4))
            return false;
    return line.length > 0;
}

bool rush_json_is_split(rush_text first, rush_text next)
{
    next = without_return(next);
    bool object = next.length > 1 && next.at[0] == '{' && next.at[next.length - 1] == '}';
    return !object && opens_a_text(without_return(first));
}

/* ---- the walk ----------------------------------------------------------------------------------- */

/* Passes over what stands between values. */
static void skip_between(object_reader *object)
{
    while (object->at < object->text.length &&
           memchr(" \t\r\n{[,:", object->text.at[object->at], 8))
        object->at++;
}

static void skip_string(object_reader *object)
{
    for (object->at++; object->text.at[object->at] != '"'; object->at++)
        object->at += object->text.at[object->at] == '\\';
    object->at++;
}

/* The next string, number or word. */
static rush_span next_scalar(object_reader *object)
{
    skip_between(object);
    size_t start = object->at;
    if (object->text.at[start] == '"')
        skip_string(object);
    else
        while (object->at < object->text.length &&
               !memchr(" \t\r\n,]}", object->text.at[object->at], 7))
            object->at++;
    return (rush_span){(uint32_t)start, (uint32_t)(object->at - start)};
}

/* The next value whatever it is. */
static rush_span next_value(object_reader *object)
{
    while (memchr(" \t\r\n,:", object->text.at[object->at], 6))
        object->at++;
    size_t start = object->at, depth = 0;
    if (object->text.at[start] != '{' && object->text.at[start] != '[')
        return next_scalar(object);
    do {
        char c = object->text.at[object->at];
        if (c == '"') {
            skip_string(object);
            continue;
        }
        depth += c == '{' || c == '[';
        depth -= c == '}' || c == ']';
        object->at++;
    } while (depth);
    return (rush_span){(uint32_t)start, (uint32_t)(object->at - start)};
}

/* ---- values ------------------------------------------------------------------------------------- */

static void refuse_value(object_reader *object, rush_span span, const char *what,
                         const char *help)
{
    rush_diagnostic *made =
        rush_entry_complain(object->entries, RUSH_BAD_VALUE, span, "%s is no answer", what);
    rush_diagnose_help(object->entries->list, made, "%s", help);
}

/* A string without line breaks; the text as it stands in the line when that is the same. */
static bool string_text(object_reader *object, const json_t *value, rush_span span,
                        rush_text *text)
{
    *text = (rush_text){json_string_value(value), json_string_length(value)};
    rush_text raw = {object->text.at + span.start + 1, span.length - 2};
    if (rush_text_equal(raw, *text)) {
        *text = raw;
        return true;
    }
    bool breaks = false;
    size_t length;
    for (size_t at = 0; at < text->length; at += length) {
        int32_t c = rush_unicode_at(*text, at, &length);
        if (c == '\n' || c == '\r') {
            breaks = true;
        } else if (c != '\t' && rush_unicode_hostile(c)) {
            rush_diagnostic *made =
                rush_entry_complain(object->entries, RUSH_CONTROL_CHARACTER, span,
                                    "the control character U+%04X", (unsigned)c);
            rush_diagnose_help(object->entries->list, made, "delete it: it cannot be shown");
            return false;
        }
    }
    if (!breaks)
        return true;
    rush_buffer *unquoted = &object->entries->sighting->unquoted;
    size_t kept = unquoted->length;
    for (size_t i = 0; i < text->length; i++)
        rush_buffer_byte(unquoted,
                         text->at[i] == '\n' || text->at[i] == '\r' ? ' ' : text->at[i]);
    *text = unquoted->failed ? (rush_text){"", 0}
                             : (rush_text){unquoted->bytes + kept, unquoted->length - kept};
    return true;
}

/* The text of a string or a number, of null nothing; false, and said, for anything else. */
static bool scalar_text(object_reader *object, const json_t *value, rush_span span,
                        rush_text *text)
{
    *text = (rush_text){"", 0};
    switch (json_typeof(value)) {
    case JSON_STRING:
        return string_text(object, value, span, text);
    case JSON_INTEGER:
    case JSON_REAL:
        *text = (rush_text){object->text.at + span.start, span.length};
        return true;
    case JSON_NULL:
        return true;
    case JSON_TRUE:
    case JSON_FALSE:
        refuse_value(object, span, json_is_true(value) ? "true" : "false",
                     "name a state of the character: `rushlight about` lists them");
        return false;
    case JSON_ARRAY:
        refuse_value(object, span, "a list inside a list", "put all alternatives in one list");
        return false;
    default:
        refuse_value(object, span, "an object inside the object",
                     "give the answer itself, or a list of alternatives");
        return false;
    }
}

/* A list of alternatives while its members are put together as one answer. Each is read on its own: whatever its
 * place, one that is unsure makes the answer unsure, and one that denies wants all the others to deny. */
typedef struct alternatives {
    rush_buffer joined;
    uint32_t count, denials;
    bool unsure;
} alternatives;

/* False, and said, for a denial beside what is none. */
static bool add_alternative(object_reader *object, const rush_target *target, rush_text item,
                            rush_span span, alternatives *all)
{
    item = rush_text_trim(item);
    if (item.length && item.at[item.length - 1] == '?') {
        all->unsure = true;
        item = rush_text_trim((rush_text){item.at, item.length - 1});
    }
    if (rush_answer_is_empty(item))
        return true;
    if (rush_target_denies(object->entries, target, item, &item))
        all->denials++;
    rush_buffer_string(&all->joined, all->count++ ? " or " : "");
    rush_buffer_add(&all->joined, item);
    if (all->denials == 0 || all->denials == all->count)
        return true;
    rush_diagnostic *made = rush_entry_complain(object->entries, RUSH_OR_NOT, span,
                                                "a list cannot hold a denial beside an answer");
    rush_diagnose_help(
        object->entries->list, made,
        "list what it may be, or deny all: [\"not red\", \"not blue\"] is neither");
    return false;
}

/* Keeps a text that was put together until the sighting is read. */
static rush_text keep_joined(object_reader *object, const char *lead, const rush_buffer *joined,
                             const char *end)
{
    rush_buffer *unquoted = &object->entries->sighting->unquoted;
    size_t kept = unquoted->length;
    rush_buffer_string(unquoted, lead);
    rush_buffer_add(unquoted, (rush_text){joined->bytes, joined->length});
    rush_buffer_string(unquoted, end);
    unquoted->failed |= joined->failed;
    return unquoted->failed ? (rush_text){"", 0}
                            : (rush_text){unquoted->bytes + kept, unquoted->length - kept};
}

/* One of these. */
static bool list_of_answers(object_reader *object, const json_t *list, const rush_target *target,
                            rush_text *text)
{
    alternatives all = {0};
    bool good = true;
    for (size_t i = 0; good && i < json_array_size(list); i++) {
        rush_text item;
        rush_span span = next_value(object);
        good = scalar_text(object, json_array_get(list, i), span, &item) &&
               add_alternative(object, target, item, span, &all);
    }
    *text = keep_joined(object, all.denials ? "not " : "", &all.joined,
                        all.unsure && all.count ? "?" : "");
    rush_buffer_free(&all.joined);
    return good;
}

/* Of a field of the record: all of them. */
static bool list_of_texts(object_reader *object, const json_t *list, const rush_target *target,
                          rush_text *text)
{
    bool pair = target->kind == RUSH_TARGET_FIELD && target->which == RUSH_RECORD_COORDINATES;
    rush_buffer joined = {0};
    bool good = true;
    for (size_t i = 0; good && i < json_array_size(list); i++) {
        rush_text item;
        good = scalar_text(object, json_array_get(list, i), next_value(object), &item);
        if (!good || !item.length)
            continue;
        rush_buffer_string(&joined, !joined.length ? "" : pair ? ", " : " | ");
        rush_buffer_add(&joined, item);
    }
    *text = keep_joined(object, "", &joined, "");
    rush_buffer_free(&joined);
    return good;
}

static rush_target target_of(const object_reader *object, rush_text name)
{
    const rush_key *key = object->entries->sighting->key;
    const char *other;
    json_t *value;
    if (rush_name_is_long(name))
        json_object_foreach((json_t *)object->root, other, value)
        {
            rush_target target = rush_target_of(key, rush_text_of(other));
            if (rush_target_is_latitude(&target))
                return rush_target_longitude();
        }
    return rush_target_of(key, name);
}

static void take_member(object_reader *object, const char *name, const json_t *value)
{
    rush_entry entry = {.name = rush_text_trim(rush_text_of(name)),
                        .name_span = next_scalar(object)};
    rush_target target = target_of(object, entry.name);
    entry.value_span = next_value(object);
    size_t behind = object->at;
    bool good;
    if (json_is_array(value)) {
        object->at = entry.value_span.start + 1;
        good = target.kind == RUSH_TARGET_CHARACTER
                   ? list_of_answers(object, value, &target, &entry.value)
                   : list_of_texts(object, value, &target, &entry.value);
        object->at = behind;
    } else {
        good = scalar_text(object, value, entry.value_span, &entry.value);
    }
    if (target.kind == RUSH_TARGET_UNKNOWN)
        rush_entry_refuse_name(object->entries, &entry);
    else if (good)
        rush_entry_take(object->entries, &entry, &target);
}

/* ---- the object --------------------------------------------------------------------------------- */

/* jansson calls a string an invalid token when it has no memory for it: a second reading, which finds
 * something else, tells. */
static bool lacked_memory(const rush_entry_reader *entries, const json_error_t *error)
{
    rush_text text = entries->source.text;
    json_error_t again;
    json_t *root = json_loadb(text.at, text.length, JSON_REJECT_DUPLICATES, &again);
    json_decref(root);
    return root || again.position != error->position || strcmp(again.text, error->text) != 0;
}

/* The next token in a text of any kind; at its end, nothing. */
static rush_span next_token(rush_text text, size_t *at)
{
    while (*at < text.length && memchr(" \t\r\n", text.at[*at], 4))
        ++*at;
    size_t start = *at;
    if (start < text.length && text.at[start] == '"') {
        for (++*at; *at < text.length && text.at[*at] != '"'; ++*at)
            *at += text.at[*at] == '\\';
        *at = *at < text.length ? *at + 1 : text.length;
    } else if (start < text.length && memchr(between, text.at[start], sizeof between - 1)) {
        ++*at;
    } else {
        while (*at < text.length && text.at[*at] != '"' &&
               !memchr(between, text.at[*at], sizeof between - 1))
            ++*at;
    }
    return (rush_span){(uint32_t)start, (uint32_t)(*at - start)};
}

/* The token that reaches a place. */
static rush_span token_at(rush_text text, size_t place)
{
    rush_span token = {0, 0};
    for (size_t at = 0; at < place && at < text.length;)
        token = next_token(text, &at);
    return token;
}

/* A text without escapes, as it stands there. */
static bool plain_text(rush_text text, rush_span span, rush_text *plain)
{
    *plain = (rush_text){text.at + span.start + 1, span.length < 2 ? 0 : span.length - 2};
    return plain->length && text.at[span.start] == '"' && !memchr(plain->at, '\\', plain->length);
}

/* Of a line that is no object, whatever it has before its fault: `"id": "A-1",` in the outermost braces. */
static void keep_id(rush_entry_reader *entries, size_t fault)
{
    rush_text text = {entries->source.text.at, fault};
    rush_sighting *sighting = entries->sighting;
    rush_span token[4] = {{0, 0}}; /* the last ones */
    uint32_t depth = 0;
    for (size_t at = 0; at < text.length;) {
        memmove(token, token + 1, 3 * sizeof *token);
        token[3] = next_token(text, &at);
        if (!token[3].length)
            return;
        char last = text.at[token[3].start];
        rush_text name, id;
        bool member = depth == 1 && (last == ',' || last == '}') && token[2].length &&
                      text.at[token[1].start] == ':' && plain_text(text, token[0], &name);
        rush_target target = {0};
        if (member)
            target = rush_target_of(sighting->key, rush_text_trim(name));
        bool number = member && memchr("-0123456789", text.at[token[2].start], 11);
        if (rush_target_is_id(&target) && (number || plain_text(text, token[2], &id))) {
            if (number)
                id = (rush_text){text.at + token[2].start, token[2].length};
            rush_sighting_keep(sighting, &sighting->fields[RUSH_RECORD_ID], id);
            return;
        }
        depth += last == '{' || last == '[';
        depth -= depth && (last == '}' || last == ']');
    }
}

static const char one_a_line[] =
    "write one object a line, as in {\"id\": \"A-1\", \"legs\": \"black\"}";

/* Where it breaks off: at a text that is not closed, or at the end. */
static void refuse_open(rush_entry_reader *entries, rush_span last)
{
    rush_text text = entries->source.text;
    bool open = last.length && text.at[last.start] == '"' &&
                (last.length == 1 || text.at[last.start + last.length - 1] != '"');
    rush_span span = open ? (rush_span){last.start, 1} : (rush_span){(uint32_t)text.length, 0};
    rush_diagnostic *made = rush_entry_complain(entries, RUSH_BAD_JSON, span,
                                                open ? "a text without its closing quotation mark"
                                                     : "the line ends before its object does");
    rush_diagnose_help(entries->list, made, "%s", one_a_line);
}

static void refuse_json(rush_entry_reader *entries, const json_error_t *error)
{
    rush_text text = entries->source.text;
    if (json_error_code(error) == json_error_out_of_memory || lacked_memory(entries, error)) {
        entries->sighting->unquoted.failed = true;
        return;
    }
    rush_span span = token_at(text, error->position > 0 ? (size_t)error->position : 1);
    keep_id(entries, span.start);
    int shown = (int)span.length;
    const char *token = text.at + span.start, *help = one_a_line;
    rush_diagnostic *made;
    switch (json_error_code(error)) {
    case json_error_premature_end_of_input:
        refuse_open(entries, span);
        return;
    case json_error_duplicate_key:
        made = rush_entry_complain(entries, RUSH_BAD_JSON, span, "%.*s is named twice", shown,
                                   token);
        help = "for one of two states write a list: [\"red\", \"orange\"]";
        break;
    case json_error_end_of_input_expected:
        made = rush_entry_complain(entries, RUSH_BAD_JSON, span,
                                   "%.*s stands behind the end of the object", shown, token);
        break;
    case json_error_null_character:
    case json_error_null_byte_in_key:
        made =
            rush_entry_complain(entries, RUSH_BAD_JSON, span, "a text with the character U+0000");
        help = "delete it: it cannot be shown";
        break;
    case json_error_numeric_overflow:
        made = rush_entry_complain(entries, RUSH_BAD_JSON, span, "%.*s is too large a number",
                                   shown, token);
        help = "write what was measured or counted";
        break;
    case json_error_stack_overflow:
        made = rush_entry_complain(entries, RUSH_BAD_JSON, span, "lists within lists, too deep");
        break;
    default:
        made = rush_entry_complain(entries, RUSH_BAD_JSON, span,
                                   "'%.*s' is not what JSON has here", shown, token);
        if (text.at[rush_text_trim(text).at - text.at] == '{')
            help = "names and texts stand in double quotation marks, with : between and , behind";
    }
    rush_diagnose_help(entries->list, made, "%s", help);
}

bool rush_sighting_read_json(rush_sighting *sighting, const rush_line *line,
                             rush_diagnostics *diagnostics)
{
    rush_entry_reader entries;
    if (!rush_entries_begin(&entries, sighting, line, diagnostics)) {
        keep_id(&entries, entries.fault);
        return false;
    }
    rush_text text = entries.source.text;
    json_error_t error = {0};
    json_t *root = json_loadb(text.at, text.length, JSON_REJECT_DUPLICATES, &error);
    object_reader object = {&entries, root, text, 0};
    if (!root) {
        refuse_json(&entries, &error);
    } else if (!json_is_object(root)) {
        rush_diagnostic *made =
            rush_entry_complain(&entries, RUSH_BAD_JSON, (rush_span){0, (uint32_t)text.length},
                                "a list, where an object is wanted");
        rush_diagnose_help(diagnostics, made, "%s", one_a_line);
    } else {
        /* Reserved whole, so that values which point into it stay where they are: a list takes at most four
         * bytes more an item than it has in the line, and five more in all. */
        rush_buffer_reserve(&sighting->unquoted, 4 * text.length);
        const char *name;
        json_t *value;
        json_object_foreach(root, name, value) take_member(&object, name, value);
    }
    bool good = rush_entries_end(&entries);
    json_decref(root);
    return good;
}
