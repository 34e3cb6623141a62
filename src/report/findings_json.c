#include "report/json.h"
#include "rushlight/report.h"

static void write_place(rush_json *json, const rush_place *place)
{
    rush_json_string(json, "file", place->file);
    if (!place->line)
        return;
    rush_json_whole(json, "line", place->line);
    rush_json_whole(json, "column", place->column);
    rush_json_whole(json, "end_column", place->end);
    rush_json_whole(json, "offset", place->offset);
    rush_json_whole(json, "length", place->length);
}

static void write_finding(rush_json *json, const rush_diagnostic *finding)
{
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "slug", rush_slug_name(finding->slug));
    rush_json_string(json, "severity", rush_severity_name(finding->severity));
    write_place(json, &finding->place);
    rush_json_string(json, "message", finding->message);
    rush_json_string(json, "help", finding->help);
    if (finding->other_message) {
        rush_json_open(json, "other", '{');
        write_place(json, &finding->other);
        rush_json_string(json, "message", finding->other_message);
        rush_json_close(json, '}');
    }
    rush_json_close(json, '}');
}

static void write_key(rush_json *json, const rush_findings *key)
{
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "key", key->key);
    rush_json_flag(json, "read", key->read);
    rush_json_whole(json, "errors", rush_diagnostics_of(key->list, RUSH_ERROR));
    rush_json_whole(json, "warnings", rush_diagnostics_of(key->list, RUSH_WARNING));
    rush_json_whole(json, "notes", rush_diagnostics_of(key->list, RUSH_NOTE));
    rush_json_whole(json, "dropped", rush_diagnostics_dropped(key->list));
    rush_json_flag(json, "out_of_memory", rush_diagnostics_out_of_memory(key->list));
    rush_json_open(json, "findings", '[');
    for (size_t i = 0; i < rush_diagnostics_count(key->list); i++)
        write_finding(json, rush_diagnostics_at(key->list, i));
    rush_json_close(json, ']');
    rush_json_close(json, '}');
}

void rush_report_findings_json(const rush_findings *keys, uint32_t count, const char *version,
                               rush_buffer *buffer)
{
    rush_json json = {buffer, true};
    rush_json_open(&json, NULL, '{');
    rush_json_whole(&json, "schema", 1);
    rush_json_string(&json, "program", "rushlight");
    rush_json_string(&json, "version", version);
    rush_json_open(&json, "keys", '[');
    for (uint32_t i = 0; i < count; i++)
        write_key(&json, &keys[i]);
    rush_json_close(&json, ']');
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
}
