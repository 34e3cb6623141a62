/* Findings in the Static Analysis Results Interchange Format, version 2.1.0 (OASIS, 2020, with errata 01 of
 * 2023); the numbers of sections below are that standard's, as far as they are given, from memory. */
#include <string.h>

#include "report/json.h"
#include "rushlight/report.h"

/* ---- places ------------------------------------------------------------------------------------- */

/* A file name as a URI reference (RFC 3986, section 3.3): what may not stand in a path is written as %XX. A
 * colon in the first part would read as a scheme. */
static void write_uri(rush_json *json, const char *file)
{
    static const char plain[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/";
    rush_buffer uri = {0};
    rush_buffer_string(&uri, file[0] == '/' ? "file://" : "");
    for (const char *at = file; *at; at++)
        if (strchr(plain, *at))
            rush_buffer_byte(&uri, *at);
        else
            rush_buffer_format(&uri, "%%%02X", (unsigned)(unsigned char)*at);
    json->buffer->failed |= uri.failed;
    rush_json_string(json, "uri", uri.bytes ? uri.bytes : "");
    rush_buffer_free(&uri);
}

static void write_location(rush_json *json, const char *name, const rush_place *place,
                           uint32_t id, const char *message)
{
    rush_json_open(json, name, '{');
    if (id)
        rush_json_whole(json, "id", id);
    rush_json_open(json, "physicalLocation", '{');
    rush_json_open(json, "artifactLocation", '{');
    write_uri(json, place->file ? place->file : "");
    rush_json_close(json, '}');
    if (place->line) {
        rush_json_open(json, "region", '{');
        rush_json_whole(json, "startLine", place->line);
        rush_json_whole(json, "startColumn", place->column);
        rush_json_whole(json, "endColumn", place->end);
        rush_json_whole(json, "byteOffset", place->offset);
        rush_json_whole(json, "byteLength", place->length);
        rush_json_close(json, '}');
    }
    rush_json_close(json, '}');
    if (message) {
        rush_json_open(json, "message", '{');
        rush_json_string(json, "text", message);
        rush_json_close(json, '}');
    }
    rush_json_close(json, '}');
}

/* ---- what stays the same ------------------------------------------------------------------------ */

static uint64_t hash_text(uint64_t hash, rush_text text)
{
    for (size_t i = 0; i < text.length; i++) {
        hash ^= (unsigned char)text.at[i];
        hash *= 1099511628211u;
    }
    return (hash ^ 0xff) * 1099511628211u; /* FNV-1a, 64 bits; a byte of no text ends it */
}

/* Of the slug, the file, the line as it is written and the message: it does not change when lines above
 * come and go. */
static uint64_t fingerprint(const rush_diagnostic *finding)
{
    uint64_t hash = 14695981039346656037u;
    hash = hash_text(hash, rush_text_of(rush_slug_name(finding->slug)));
    hash = hash_text(hash, rush_text_of(finding->place.file ? finding->place.file : ""));
    hash = hash_text(hash, rush_text_trim(finding->place.excerpt));
    return hash_text(hash, rush_text_of(finding->message));
}

/* Equal ones are counted, in the order of the list. */
static void write_fingerprint(rush_json *json, const rush_diagnostics *list, size_t at)
{
    uint64_t hash = fingerprint(rush_diagnostics_at(list, at));
    uint32_t nth = 1;
    for (size_t i = 0; i < at; i++)
        nth += fingerprint(rush_diagnostics_at(list, i)) == hash;
    rush_buffer text = {0};
    rush_buffer_format(&text, "%08x%08x:%u", (unsigned)(hash >> 32), (unsigned)hash, nth);
    json->buffer->failed |= text.failed;
    rush_json_open(json, "partialFingerprints", '{');
    rush_json_string(json, "slugLineAndMessage/v1", text.bytes ? text.bytes : "");
    rush_json_close(json, '}');
    rush_buffer_free(&text);
}

/* ---- results ------------------------------------------------------------------------------------ */

/* A reader of the format shows the message alone, so what to do stands in it too. */
static void write_message(rush_json *json, const rush_diagnostic *finding)
{
    rush_buffer text = {0};
    rush_buffer_string(&text, finding->message);
    if (finding->help)
        rush_buffer_format(&text, "\n%s", finding->help);
    json->buffer->failed |= text.failed;
    rush_json_open(json, "message", '{');
    rush_json_string(json, "text", text.bytes ? text.bytes : "");
    rush_json_close(json, '}');
    rush_buffer_free(&text);
}

static void write_result(rush_json *json, const rush_diagnostics *list, size_t at)
{
    const rush_diagnostic *finding = rush_diagnostics_at(list, at);
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "ruleId", rush_slug_name(finding->slug));
    rush_json_whole(json, "ruleIndex", (uint64_t)finding->slug);
    rush_json_string(json, "level", rush_severity_name(finding->severity));
    write_message(json, finding);
    rush_json_open(json, "locations", '[');
    if (finding->place.file)
        write_location(json, NULL, &finding->place, 0, NULL);
    rush_json_close(json, ']');
    if (finding->other_message) {
        rush_json_open(json, "relatedLocations", '[');
        write_location(json, NULL, &finding->other, 1, finding->other_message);
        rush_json_close(json, ']');
    }
    write_fingerprint(json, list, at);
    rush_json_close(json, '}');
}

/* ---- rules -------------------------------------------------------------------------------------- */

static void write_text(rush_json *json, const char *name, const char *text)
{
    rush_json_open(json, name, '{');
    rush_json_string(json, "text", text);
    rush_json_close(json, '}');
}

/* Every slug, in the order of the table: a rule's index is its number. */
static void write_rules(rush_json *json)
{
    rush_json_open(json, "rules", '[');
    for (int i = 0; i < RUSH_SLUG_COUNT; i++) {
        const rush_explanation *explained = rush_slug_explain((rush_slug)i);
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "id", rush_slug_name((rush_slug)i));
        write_text(json, "shortDescription", rush_slug_meaning((rush_slug)i));
        write_text(json, "fullDescription", explained->text);
        rush_json_open(json, "defaultConfiguration", '{');
        rush_json_string(json, "level", rush_severity_name(rush_slug_severity((rush_slug)i)));
        rush_json_close(json, '}');
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_tool(rush_json *json, const char *version)
{
    rush_json_open(json, "tool", '{');
    rush_json_open(json, "driver", '{');
    rush_json_string(json, "name", "rushlight");
    rush_json_string(json, "semanticVersion", version);
    write_rules(json);
    rush_json_close(json, '}');
    rush_json_close(json, '}');
}

static void write_invocation(rush_json *json, const rush_findings *keys, uint32_t count)
{
    bool successful = true;
    for (uint32_t i = 0; i < count; i++)
        successful &= keys[i].read && !rush_diagnostics_out_of_memory(keys[i].list);
    rush_json_open(json, "invocations", '[');
    rush_json_open(json, NULL, '{');
    rush_json_flag(json, "executionSuccessful", successful);
    rush_json_close(json, '}');
    rush_json_close(json, ']');
}

/* Where a line ends in YAML 1.1 (section 5.4). */
static void write_line_breaks(rush_json *json)
{
    static const char *const breaks[] = {"\r\n",     "\n",           "\r",
                                         "\xc2\x85", "\xe2\x80\xa8", "\xe2\x80\xa9"};
    rush_json_open(json, "newlineSequences", '[');
    for (size_t i = 0; i < sizeof breaks / sizeof *breaks; i++)
        rush_json_string(json, NULL, breaks[i]);
    rush_json_close(json, ']');
}

void rush_report_findings_sarif(const rush_findings *keys, uint32_t count, const char *version,
                                rush_buffer *buffer)
{
    rush_json json = {buffer, true};
    rush_json_open(&json, NULL, '{');
    rush_json_string(&json, "$schema",
                     "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/"
                     "sarif-schema-2.1.0.json");
    rush_json_string(&json, "version", "2.1.0");
    rush_json_open(&json, "runs", '[');
    rush_json_open(&json, NULL, '{');
    write_tool(&json, version);
    write_invocation(&json, keys, count);
    rush_json_string(&json, "columnKind", "unicodeCodePoints");
    write_line_breaks(&json);
    rush_json_open(&json, "results", '[');
    for (uint32_t k = 0; k < count; k++)
        for (size_t i = 0; i < rush_diagnostics_count(keys[k].list); i++)
            write_result(&json, keys[k].list, i);
    rush_json_close(&json, ']');
    rush_json_close(&json, '}');
    rush_json_close(&json, ']');
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
}
