#include <string.h>

#include "report/csv.h"
#include "report/json.h"
#include "report/location.h"
#include "report/named.h"
#include "rushlight/record.h"

/* One row while it is written. */
typedef struct row_writer {
    const rush_result *result;
    const rush_record *record;
    const rush_key *key;
    const rush_sighting *sighting;
    rush_named named;
    rush_location where;
    int which; /* of what the column takes: a field, a rank */
} row_writer;

static row_writer begin_row(const rush_result *result, const rush_record *record)
{
    const rush_sighting *sighting = result->ranking->sighting;
    double uncertainty = 0;
    rush_text_number(rush_sighting_field(sighting, RUSH_RECORD_UNCERTAINTY), &uncertainty);
    return (row_writer){
        .result = result,
        .record = record,
        .key = result->ranking->key,
        .sighting = sighting,
        .named = rush_named_of(result),
        .where = rush_location_read(rush_sighting_field(sighting, RUSH_RECORD_COORDINATES),
                                    uncertainty, record->blur),
    };
}

/* ---- the occurrence ----------------------------------------------------------------------------- */

static void fill_id(const row_writer *row, rush_buffer *cell)
{
    rush_buffer_string(cell, row->record->id);
}

/* The sighting's own id, when it is not the record's. */
static void fill_number(const row_writer *row, rush_buffer *cell)
{
    rush_text id = rush_sighting_field(row->sighting, RUSH_RECORD_ID);
    if (!rush_text_equal(id, rush_text_of(row->record->id)))
        rush_buffer_add(cell, id);
}

/* The standard's words have been detected and notDetected since 2026-05-26, present and absent before;
 * some readers take notDetected for present as yet, so that none seen is told in the older word. */
static void fill_status(const row_writer *row, rush_buffer *cell)
{
    double count = 1;
    rush_text_number(rush_sighting_field(row->sighting, RUSH_RECORD_COUNT), &count);
    rush_buffer_string(cell, row->record->status ? row->record->status
                             : count > 0         ? "detected"
                                                 : "absent");
}

static void fill_field(const row_writer *row, rush_buffer *cell)
{
    rush_buffer_add(cell, rush_sighting_field(row->sighting, (rush_record_field)row->which));
}

static void fill_count(const row_writer *row, rush_buffer *cell)
{
    double count;
    if (rush_text_number(rush_sighting_field(row->sighting, RUSH_RECORD_COUNT), &count))
        rush_buffer_format(cell, "%llu", (unsigned long long)count);
}

/* What was seen of the water counts as the place's habitat when the key asks for it by that name. */
static void fill_habitat(const row_writer *row, rush_buffer *cell)
{
    uint32_t character = rush_key_find_character(row->key, rush_text_of("habitat"));
    const rush_answer *answer =
        character == RUSH_NONE ? NULL : rush_sighting_find(row->sighting, character);
    if (!answer || answer->denied || answer->unsure ||
        !rush_key_character(row->key, character)->setting)
        return;
    for (uint32_t s = 0; s < rush_key_character(row->key, character)->state_count; s++)
        if (answer->states[s / 64] >> s % 64 & 1) {
            rush_buffer_string(cell, cell->length ? " or " : "");
            rush_state_name(row->key, character, s, row->result->language, cell);
        }
}

/* The sex that is safe, else what the observer is sure to have seen, unless that looks misread. */
static void fill_sex(const row_writer *row, rush_buffer *cell)
{
    const rush_ranking *ranking = row->result->ranking;
    if (ranking->verdict.sex != RUSH_SEX_ANY) {
        rush_buffer_string(cell, rush_sex_name(ranking->verdict.sex));
        return;
    }
    const rush_answer *answer = rush_sighting_find(row->sighting, RUSH_SEX_CHARACTER);
    if (!answer || answer->unsure || answer->state_count != 1)
        return;
    for (uint32_t i = 0; i < ranking->second_look_count; i++)
        if (rush_sighting_answer(row->sighting, ranking->second_looks[i].answer) == answer)
            return;
    rush_buffer_string(cell,
                       rush_sex_name(answer->states[0] & 1 ? RUSH_SEX_MALE : RUSH_SEX_FEMALE));
}

/* ---- where -------------------------------------------------------------------------------------- */

/* A name of a place, and a note, can tell what the blurred coordinates no longer do. */
static bool withheld(const row_writer *row, rush_record_field field)
{
    return row->record->blur && !row->record->keep_place &&
           rush_sighting_field(row->sighting, field).length;
}

static void fill_place(const row_writer *row, rush_buffer *cell)
{
    if (!withheld(row, (rush_record_field)row->which))
        fill_field(row, cell);
}

enum { LATITUDE, LONGITUDE };

static void fill_degrees(const row_writer *row, rush_buffer *cell)
{
    const rush_degrees *degrees =
        row->which == LATITUDE ? &row->where.latitude : &row->where.longitude;
    if (row->where.kind == RUSH_LOCATION_DEGREES)
        rush_buffer_decimal(cell, degrees->value, degrees->decimals);
}

static void fill_datum(const row_writer *row, rush_buffer *cell)
{
    if (row->where.kind == RUSH_LOCATION_DEGREES)
        rush_buffer_string(cell, "EPSG:4326");
}

static void fill_uncertainty(const row_writer *row, rush_buffer *cell)
{
    if (row->where.uncertainty > 0)
        rush_buffer_decimal(cell, row->where.uncertainty, 0);
}

static void fill_verbatim(const row_writer *row, rush_buffer *cell)
{
    if (row->where.kind == RUSH_LOCATION_GRID && row->where.blurred)
        rush_grid_square_write(&row->where.square, cell);
    else if (row->where.kind == RUSH_LOCATION_GRID || row->where.kind == RUSH_LOCATION_WRITTEN)
        rush_buffer_add(cell, row->where.written);
}

static void fill_generalizations(const row_writer *row, rush_buffer *cell)
{
    if (!row->where.blurred)
        return;
    if (row->where.kind == RUSH_LOCATION_GRID)
        rush_buffer_string(cell, "grid reference cut to the square that is not finer than ");
    else
        rush_buffer_string(cell, "coordinates are the centre of their cell in a grid of ");
    rush_buffer_format(cell, "%u m", row->record->blur);
}

static void fill_withheld(const row_writer *row, rush_buffer *cell)
{
    const char *parts[] = {row->where.withheld ? "coordinates, of a kind that cannot be blurred"
                                               : NULL,
                           withheld(row, RUSH_RECORD_PLACE) ? "locality" : NULL,
                           withheld(row, RUSH_RECORD_NOTES) ? "remarks" : NULL};
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        if (parts[i])
            rush_buffer_format(cell, "%s%s", cell->length ? " | " : "", parts[i]);
}

/* ---- the identification ------------------------------------------------------------------------- */

static void fill_name(const row_writer *row, rush_buffer *cell)
{
    rush_buffer_string(cell, row->named.name);
    if (row->named.taxon == RUSH_NONE)
        return;
    const char *authority = rush_key_taxon(row->key, row->named.taxon)->authority;
    if (authority)
        rush_buffer_format(cell, " %s", authority);
}

static void fill_authorship(const row_writer *row, rush_buffer *cell)
{
    if (row->named.taxon != RUSH_NONE)
        rush_buffer_string(cell, rush_key_taxon(row->key, row->named.taxon)->authority);
}

static void fill_rank(const row_writer *row, rush_buffer *cell)
{
    rush_buffer_string(cell, row->named.rank);
}

static void fill_vernacular(const row_writer *row, rush_buffer *cell)
{
    if (row->named.taxon == RUSH_NONE)
        return;
    const rush_taxon *taxon = rush_key_taxon(row->key, row->named.taxon);
    rush_buffer_string(cell, rush_key_words(row->key, taxon->vernacular, row->result->language));
}

static void fill_taxon(const row_writer *row, rush_buffer *cell)
{
    uint32_t taxon = rush_named_at(&row->named, (rush_taxon_rank)row->which);
    if (taxon != RUSH_NONE)
        rush_buffer_string(cell, rush_key_taxon(row->key, taxon)->name);
}

/* The words of a species' name: the genus is the first, the epithet the last. */
static void fill_genus(const row_writer *row, rush_buffer *cell)
{
    fill_taxon(row, cell);
    uint32_t species = rush_named_at(&row->named, RUSH_RANK_SPECIES);
    if (cell->length || species == RUSH_NONE)
        return;
    const char *name = rush_key_taxon(row->key, species)->name, *space = strchr(name, ' ');
    if (space)
        rush_buffer_add(cell, (rush_text){name, (size_t)(space - name)});
}

static void fill_epithet(const row_writer *row, rush_buffer *cell)
{
    uint32_t species = rush_named_at(&row->named, (rush_taxon_rank)row->which);
    const char *space =
        species == RUSH_NONE ? NULL : strrchr(rush_key_taxon(row->key, species)->name, ' ');
    if (space)
        rush_buffer_string(cell, space + 1);
}

static void fill_qualifier(const row_writer *row, rush_buffer *cell)
{
    rush_named_qualifier(&row->named, cell);
}

/* The person looked and answered, the program named. */
static void fill_identifier(const row_writer *row, rush_buffer *cell)
{
    if (row->record->identified_by) {
        rush_buffer_string(cell, row->record->identified_by);
        return;
    }
    fill_field(row, cell);
    rush_buffer_string(cell, cell->length && row->record->program ? " | " : "");
    rush_buffer_string(cell, row->record->program);
}

static void fill_date_identified(const row_writer *row, rush_buffer *cell)
{
    rush_buffer_string(cell, row->record->date_identified);
}

static void fill_references(const row_writer *row, rush_buffer *cell)
{
    const rush_key_header *header = rush_key_about(row->key);
    rush_buffer_format(cell, "key %s", header->id);
    if (header->version)
        rush_buffer_format(cell, ", version %s", header->version);
    rush_buffer_format(cell, ", SHA-256 %s", rush_key_digest(row->key));
}

static void fill_remarks(const row_writer *row, rush_buffer *cell)
{
    rush_named_remarks(&row->named, cell);
}

/* ---- dynamicProperties: one line of JSON -------------------------------------------------------- */

static void write_candidate(rush_json *json, const row_writer *row, const char *role, uint32_t at)
{
    const rush_ranking *ranking = row->result->ranking;
    if (at >= ranking->candidate_count)
        return;
    rush_json_open(json, role, '{');
    rush_json_string(json, "scientificName",
                     rush_key_taxon(row->key, ranking->candidates[at].taxon)->name);
    rush_json_number(json, "posterior", ranking->candidates[at].probability);
    rush_json_close(json, '}');
}

static void write_answers(rush_json *json, const row_writer *row)
{
    rush_json_open(json, "answers", '{');
    for (uint32_t i = 0; i < rush_sighting_answer_count(row->sighting); i++) {
        const rush_answer *answer = rush_sighting_answer(row->sighting, i);
        rush_json_name(json, rush_key_character(row->key, answer->character)->id);
        rush_json_text(json, NULL, answer->given);
    }
    rush_json_close(json, '}');
}

static bool may_come_from_key(const char *term);

/* What the key says of all its records and has no column. */
static void write_rest(rush_json *json, const row_writer *row)
{
    const rush_key_header *header = rush_key_about(row->key);
    for (uint32_t i = 0; i < header->record_count; i++)
        if (!may_come_from_key(header->record[2 * i])) {
            rush_json_name(json, header->record[2 * i]);
            rush_json_string(json, NULL, header->record[2 * i + 1]);
        }
}

static void fill_properties(const row_writer *row, rush_buffer *cell)
{
    const rush_ranking *ranking = row->result->ranking;
    rush_json json = {cell, true};
    rush_json_open(&json, NULL, '{');
    if (row->named.taxon != RUSH_NONE)
        rush_json_number(&json, "posterior", ranking->taxa[row->named.taxon]);
    if (ranking->candidate_count && ranking->candidates[0].taxon != row->named.taxon)
        write_candidate(&json, row, "leading", 0);
    write_candidate(&json, row, "runnerUp", 1);
    if (ranking->verdict.form != RUSH_NONE)
        rush_json_string(&json, "form", rush_key_form(row->key, ranking->verdict.form)->name);
    rush_json_number(&json, "unlisted", ranking->unlisted);
    write_answers(&json, row);
    write_rest(&json, row);
    rush_json_close(&json, '}');
}

/* ---- the columns -------------------------------------------------------------------------------- */

/* One term: what fills it, then the key's `record:` where it may, then a word that holds otherwise. */
typedef struct column {
    const char *term;
    void (*fill)(const row_writer *row, rush_buffer *cell); /* or NULL */
    int which;
    bool of_key;
    const char *otherwise;
} column;

/* ORDER: files that exist have their columns so; a change makes them files of another kind. */
static const column columns[] = {
    {"occurrenceID", fill_id, 0, false, NULL},
    {"basisOfRecord", NULL, 0, true, "HumanObservation"},
    {"occurrenceStatus", fill_status, 0, false, NULL},
    {"eventDate", fill_field, RUSH_RECORD_DATE, false, NULL},
    {"scientificName", fill_name, 0, false, NULL},
    {"scientificNameAuthorship", fill_authorship, 0, false, NULL},
    {"taxonRank", fill_rank, 0, false, NULL},
    {"vernacularName", fill_vernacular, 0, false, NULL},
    {"kingdom", fill_taxon, RUSH_RANK_KINGDOM, true, NULL},
    {"phylum", fill_taxon, RUSH_RANK_PHYLUM, true, NULL},
    {"class", fill_taxon, RUSH_RANK_CLASS, true, NULL},
    {"order", fill_taxon, RUSH_RANK_ORDER, true, NULL},
    {"family", fill_taxon, RUSH_RANK_FAMILY, true, NULL},
    {"genus", fill_genus, RUSH_RANK_GENUS, true, NULL},
    {"specificEpithet", fill_epithet, RUSH_RANK_SPECIES, false, NULL},
    {"identificationQualifier", fill_qualifier, 0, false, NULL},
    {"identificationVerificationStatus", NULL, 0, false, "unverified"},
    {"identifiedBy", fill_identifier, RUSH_RECORD_RECORDER, false, NULL},
    {"dateIdentified", fill_date_identified, 0, false, NULL},
    {"identificationReferences", fill_references, 0, false, NULL},
    {"identificationRemarks", fill_remarks, 0, false, NULL},
    {"recordedBy", fill_field, RUSH_RECORD_RECORDER, false, NULL},
    {"recordNumber", fill_number, 0, false, NULL},
    {"individualCount", fill_count, 0, false, NULL},
    {"sex", fill_sex, 0, true, NULL},
    {"lifeStage", NULL, 0, true, NULL},
    {"behavior", fill_field, RUSH_RECORD_BEHAVIOUR, false, NULL},
    {"habitat", fill_habitat, 0, true, NULL},
    {"locality", fill_place, RUSH_RECORD_PLACE, false, NULL},
    {"decimalLatitude", fill_degrees, LATITUDE, false, NULL},
    {"decimalLongitude", fill_degrees, LONGITUDE, false, NULL},
    {"geodeticDatum", fill_datum, 0, false, NULL},
    {"coordinateUncertaintyInMeters", fill_uncertainty, 0, false, NULL},
    {"verbatimCoordinates", fill_verbatim, 0, false, NULL},
    {"dataGeneralizations", fill_generalizations, 0, false, NULL},
    {"informationWithheld", fill_withheld, 0, false, NULL},
    {"occurrenceRemarks", fill_place, RUSH_RECORD_NOTES, false, NULL},
    {"dynamicProperties", fill_properties, 0, false, NULL},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

static bool may_come_from_key(const char *term)
{
    for (size_t i = 0; i < COLUMNS; i++)
        if (columns[i].of_key && strcmp(columns[i].term, term) == 0)
            return true;
    return false;
}

void rush_darwin_core_header(rush_buffer *buffer)
{
    for (size_t i = 0; i < COLUMNS; i++)
        rush_csv_cell(rush_text_of(columns[i].term), i == 0, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void fill(row_writer *row, const column *wanted, rush_buffer *cell)
{
    row->which = wanted->which;
    if (wanted->fill)
        wanted->fill(row, cell);
    if (!cell->length && wanted->of_key)
        rush_buffer_string(cell, rush_named_by_key(row->key, wanted->term));
    if (!cell->length)
        rush_buffer_string(cell, wanted->otherwise);
}

void rush_darwin_core_row(const rush_result *result, const rush_record *record,
                          rush_buffer *buffer)
{
    row_writer row = begin_row(result, record);
    rush_buffer cell = {0};
    for (size_t i = 0; i < COLUMNS; i++) {
        cell.length = 0;
        fill(&row, &columns[i], &cell);
        rush_csv_cell((rush_text){cell.bytes, cell.length}, i == 0, buffer);
    }
    rush_buffer_byte(buffer, '\n');
    buffer->failed |= cell.failed;
    rush_buffer_free(&cell);
}
