#include "record_options.h"

#include <string.h>

#include "output.h"
#include "record_file.h"

/* ---- fields of the sighting --------------------------------------------------------------------- */

/* An observation line of one field, in quotation marks; line breaks and tabs become spaces. */
static void write_field(rush_record_field field, const char *value, rush_buffer *line)
{
    rush_buffer_format(line, "%s: \"", rush_record_field_name(field));
    for (; *value; value++) {
        if (*value == '"')
            rush_buffer_byte(line, '"');
        rush_buffer_byte(line, strchr("\t\r\n", *value) ? ' ' : *value);
    }
    rush_buffer_byte(line, '"');
}

/* Reads an option's value as a field; what is wrong goes to standard error under the option's name. */
static bool read_field(rush_sighting *sighting, const char *option, rush_record_field field,
                       const char *value)
{
    rush_buffer text = {0};
    rush_diagnostics *list = rush_diagnostics_new();
    write_field(field, value, &text);
    bool good = false;
    if (list && !text.failed) {
        rush_line line = {{text.bytes, text.length}, option, 1, RUSH_NONE, NULL};
        good = rush_sighting_read(sighting, &line, list);
        output_diagnostics(list);
    } else {
        output_no_memory();
    }
    rush_diagnostics_free(list);
    rush_buffer_free(&text);
    return good;
}

static bool merge_field(rush_sighting **set, const rush_key *key, const rush_sighting *read)
{
    if (!*set)
        *set = rush_sighting_new(key);
    if (*set && rush_sighting_merge(*set, read))
        return true;
    output_no_memory();
    return false;
}

bool record_fields(const rush_key *key, const record_settings *settings, rush_sighting **set)
{
    const struct {
        const char *option, *value;
        rush_record_field field;
        bool kept;
    } given[] = {
        {"--date", settings->date, RUSH_RECORD_DATE, true},
        {"--place", settings->place, RUSH_RECORD_PLACE, true},
        {"--coordinates", settings->coordinates, RUSH_RECORD_COORDINATES, true},
        {"--uncertainty", settings->uncertainty, RUSH_RECORD_UNCERTAINTY, true},
        {"--recorder", settings->recorder, RUSH_RECORD_RECORDER, true},
        {"--date-identified", settings->date_identified, RUSH_RECORD_DATE, false},
    };
    rush_sighting *read = rush_sighting_new(key);
    bool good = read != NULL;
    if (!good)
        output_no_memory();
    for (size_t i = 0; good && i < sizeof given / sizeof *given; i++)
        if (given[i].value)
            good = read_field(read, given[i].option, given[i].field, given[i].value) &&
                   (!given[i].kept || merge_field(set, key, read));
    rush_sighting_free(read);
    return good;
}

/* ---- the record --------------------------------------------------------------------------------- */

bool record_shaped(const record_settings *settings)
{
    return settings->identified_by || settings->date_identified || settings->status ||
           settings->blur || settings->keep_place;
}

static rush_record record_of(const record_settings *settings)
{
    return (rush_record){.identified_by = settings->identified_by,
                         .date_identified = settings->date_identified,
                         .program = "rushlight " RUSHLIGHT_VERSION,
                         .status = settings->status,
                         .blur = settings->blur,
                         .keep_place = settings->keep_place};
}

bool record_draft_of(record_draft *draft, const record_settings *settings,
                     const rush_sighting *sighting)
{
    rush_text id = rush_sighting_field(sighting, RUSH_RECORD_ID);
    draft->record = record_of(settings);
    if (!record_uuid(draft->uuid) || !record_today(draft->today)) {
        rush_buffer message = {0};
        rush_buffer_string(&message,
                           "rushlight: the system gives no random numbers or no date, which "
                           "a record needs\n");
        output_error(&message);
        rush_buffer_free(&message);
        return false;
    }
    draft->record.id = rush_record_is_global(id) ? id.at : draft->uuid;
    if (!draft->record.date_identified)
        draft->record.date_identified = draft->today;
    return true;
}

unsigned record_lacks(const rush_result *result, const record_settings *settings)
{
    rush_record record = record_of(settings);
    return rush_record_missing(result, &record);
}

/* ---- keeping ------------------------------------------------------------------------------------ */

static void say_kept(const char *file, const rush_result *result, const record_draft *draft,
                     rush_buffer *said)
{
    unsigned missing = rush_record_missing(result, &draft->record);
    rush_buffer_string(said, "kept in '");
    rush_buffer_safe(said, rush_text_of(file));
    rush_buffer_string(said, "' as ");
    rush_buffer_safe(said, rush_text_of(draft->record.id));
    rush_buffer_byte(said, '\n');
    if (!missing)
        return;
    rush_buffer_string(said, "warning: the record lacks ");
    rush_record_missing_words(missing, said);
    rush_buffer_string(said, "; records are accepted with what, where, when and who\n");
}

/* What is known of the occasion alone is no sighting. */
static bool saw_something(const rush_ranking *ranking)
{
    for (uint32_t i = 0; i < rush_sighting_answer_count(ranking->sighting); i++) {
        uint32_t character = rush_sighting_answer(ranking->sighting, i)->character;
        if (!rush_key_character(ranking->key, character)->setting)
            return true;
    }
    return false;
}

bool record_keep(const char *file, const rush_result *result, const record_settings *settings,
                 rush_buffer *said)
{
    record_draft draft;
    rush_buffer row = {0}, problem = {0};
    if (!saw_something(result->ranking)) {
        rush_buffer_string(said, "nothing is kept, since nothing was answered\n");
        return true;
    }
    if (!record_draft_of(&draft, settings, result->ranking->sighting))
        return false;
    rush_darwin_core_row(result, &draft.record, &row);
    bool kept =
        !row.failed && record_file_append(file, (rush_text){row.bytes, row.length}, &problem);
    if (kept)
        say_kept(file, result, &draft, said);
    else
        rush_buffer_format(said, "not kept: %s\n",
                           problem.length ? problem.bytes : "out of memory");
    rush_buffer_free(&row);
    rush_buffer_free(&problem);
    return kept;
}
