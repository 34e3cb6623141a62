#include "base/number.h"
#include "base/unicode.h"
#include "key/month.h"
#include "sighting/degrees.h"
#include "sighting/entry.h"

#include <math.h>
#include <string.h>

/* Terms of Darwin Core (Biodiversity Information Standards, version of 2026-05-26), as tables that come from
 * elsewhere head their columns; folded. Those without a term are what recorders call the same (common practice, no
 * published source), and are not offered. */
static const struct {
    const char *folded, *term;
    rush_target_kind kind;
    uint32_t which;
} terms[] = {
    {"occurrenceid", "occurrenceID", RUSH_TARGET_FIELD, RUSH_RECORD_ID},
    {"eventdate", "eventDate", RUSH_TARGET_FIELD, RUSH_RECORD_DATE},
    {"locality", "locality", RUSH_TARGET_FIELD, RUSH_RECORD_PLACE},
    {"verbatimcoordinates", "verbatimCoordinates", RUSH_TARGET_FIELD, RUSH_RECORD_COORDINATES},
    {"decimallatitude", "decimalLatitude", RUSH_TARGET_DEGREES, 0},
    {"decimallongitude", "decimalLongitude", RUSH_TARGET_DEGREES, 1},
    {"latitude", NULL, RUSH_TARGET_DEGREES, 0},
    {"lat", NULL, RUSH_TARGET_DEGREES, 0},
    {"longitude", NULL, RUSH_TARGET_DEGREES, 1},
    {"lon", NULL, RUSH_TARGET_DEGREES, 1},
    {"lng", NULL, RUSH_TARGET_DEGREES, 1},
    {"coordinateuncertaintyinmeters", "coordinateUncertaintyInMeters", RUSH_TARGET_FIELD,
     RUSH_RECORD_UNCERTAINTY},
    {"individualcount", "individualCount", RUSH_TARGET_FIELD, RUSH_RECORD_COUNT},
    {"recordedby", "recordedBy", RUSH_TARGET_FIELD, RUSH_RECORD_RECORDER},
    {"behavior", "behavior", RUSH_TARGET_FIELD, RUSH_RECORD_BEHAVIOUR},
    {"occurrenceremarks", "occurrenceRemarks", RUSH_TARGET_FIELD, RUSH_RECORD_NOTES},
};

static bool find_field(rush_text folded, rush_target *target)
{
    static const rush_text names[] = {
#define X(name, word) {word, sizeof word - 1},
        RUSH_RECORD_FIELDS(X)
#undef X
    };
    for (uint32_t f = 0; f < RUSH_RECORD_FIELD_COUNT; f++)
        if (rush_text_equal(folded, names[f])) {
            *target = (rush_target){.kind = RUSH_TARGET_FIELD, .which = f};
            return true;
        }
    return false;
}

static bool find_characters(const rush_key *key, rush_text folded, rush_target *target)
{
    uint32_t character;
    if (!rush_table_find(&key->names, RUSH_SCOPE_CHARACTERS, folded, &character))
        return false;
    *target = (rush_target){.kind = RUSH_TARGET_CHARACTER, .character_count = 1};
    target->characters[0] = character;
    for (uint32_t scope = RUSH_SCOPE_SHARED; scope < RUSH_SCOPE_STATES; scope++) {
        if (!rush_table_find(&key->names, scope, folded, &character))
            break; /* they stand in the first scopes that were free */
        target->characters[target->character_count++] = character;
    }
    return true;
}

rush_target rush_target_of(const rush_key *key, rush_text name)
{
    rush_target target = {0};
    char text[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, text);
    rush_text folded = {text, length};
    if (length == SIZE_MAX || !length || find_field(folded, &target) ||
        find_characters(key, folded, &target))
        return target;
    for (size_t i = 0; i < sizeof terms / sizeof *terms; i++)
        if (rush_text_equal(folded, rush_text_of(terms[i].folded)))
            return (rush_target){.kind = terms[i].kind, .which = terms[i].which};
    return target;
}

bool rush_target_is_id(const rush_target *target)
{
    return target->kind == RUSH_TARGET_FIELD && target->which == RUSH_RECORD_ID;
}

bool rush_target_is_latitude(const rush_target *target)
{
    return target->kind == RUSH_TARGET_DEGREES && target->which == 0;
}

bool rush_name_is_long(rush_text name)
{
    char text[RUSH_FOLD_MAX];
    return name.length == 4 && rush_unicode_fold(name, text) == 4 && memcmp(text, "long", 4) == 0;
}

rush_target rush_target_longitude(void)
{
    return (rush_target){.kind = RUSH_TARGET_DEGREES, .which = 1};
}

void rush_field_offer(rush_nearest *nearest)
{
    for (int f = 0; f < RUSH_RECORD_FIELD_COUNT; f++)
        rush_nearest_offer(nearest, rush_record_field_name((rush_record_field)f));
    for (size_t i = 0; i < sizeof terms / sizeof *terms; i++)
        if (terms[i].term)
            rush_nearest_offer(nearest, terms[i].term);
}

/* ---- values ------------------------------------------------------------------------------------- */

static void refuse(rush_entry_reader *reader, const rush_entry *entry, rush_slug slug,
                   const char *wanted, const char *help)
{
    rush_diagnostic *made =
        rush_entry_complain(reader, slug, entry->value_span, "'%.*s' is not %s",
                            (int)entry->value.length, entry->value.at, wanted);
    rush_diagnose_help(reader->list, made, "%s", help);
}

static void keep(rush_entry_reader *reader, const rush_entry *entry, rush_kept_text *kept)
{
    if (kept->length)
        rush_entry_complain(reader, RUSH_REPEATED_ANSWER, entry->name_span,
                            "'%.*s' is given twice", (int)entry->name.length, entry->name.at);
    rush_sighting_keep(reader->sighting, kept, entry->value);
}

static void take_degrees(rush_entry_reader *reader, const rush_entry *entry, uint32_t which)
{
    double number;
    if (!rush_text_number(entry->value, &number) || fabs(number) > (which ? 180 : 90))
        refuse(reader, entry, RUSH_NOT_A_NUMBER, which ? "a longitude" : "a latitude",
               which ? "write decimal degrees, -180 to 180; east of Greenwich above 0"
                     : "write decimal degrees, -90 to 90; north of the equator above 0");
    reader->degrees = entry->name_span;
    keep(reader, entry, &reader->sighting->degrees[which]);
}

/* Anything may stand there, but what looks like degrees should be some. */
static void look_at_coordinates(rush_entry_reader *reader, const rush_entry *entry)
{
    rush_degrees pair[2];
    rush_degrees_kind kind = rush_degrees_read(entry->value, &pair[0], &pair[1]);
    if (kind != RUSH_DEGREES_SINGLE && kind != RUSH_DEGREES_OFF)
        return;
    rush_diagnostic *made =
        rush_diagnose(reader->list, RUSH_BAD_COORDINATES, &reader->source, entry->value_span,
                      kind == RUSH_DEGREES_OFF ? "'%.*s' is nowhere on the earth"
                                               : "'%.*s' is one number, where two are a place",
                      (int)entry->value.length, entry->value.at);
    rush_diagnose_help(
        reader->list, made,
        "write a latitude (-90 to 90), then a longitude (-180 to 180): 52.65798, 1.71605");
}

/* A number above or at 0. 1,000 is a thousand to one writer and 1 to another: it is none. */
static bool read_amount(rush_text text, double *value)
{
    rush_number number;
    if (!rush_number_take(&text, &number) || text.length || lround(number.step * 1e6) == 1000)
        return false;
    *value = number.value;
    return number.value >= 0;
}

static void take_field(rush_entry_reader *reader, const rush_entry *entry, uint32_t field)
{
    double number;
    unsigned months;
    rush_text value = entry->value;
    switch (field) {
    case RUSH_RECORD_DATE:
        reader->date = entry->value_span;
        if (rush_date_reversed(value))
            refuse(reader, entry, RUSH_REVERSED, "an interval: it ends before it begins",
                   "write the earlier date first");
        else if (!rush_date_read(value, &months))
            refuse(reader, entry, RUSH_BAD_DATE, "a date",
                   "write 2026-06-14, or 2026-06 for the month alone");
        break;
    case RUSH_RECORD_COORDINATES:
        look_at_coordinates(reader, entry);
        break;
    case RUSH_RECORD_COUNT:
        if (!read_amount(value, &number) || number != (double)(uint64_t)number)
            refuse(reader, entry, RUSH_BAD_COUNT, "a count",
                   "write a whole number, its digits without a sign between them");
        break;
    case RUSH_RECORD_UNCERTAINTY:
        if (!read_amount(value, &number) || number <= 0)
            refuse(reader, entry, RUSH_BAD_UNCERTAINTY, "an uncertainty",
                   "write metres, above 0, such as 1000; leave it out when unknown");
        break;
    default:
        break;
    }
    keep(reader, entry, &reader->sighting->fields[field]);
}

void rush_field_take(rush_entry_reader *reader, const rush_entry *entry,
                     const rush_target *target)
{
    rush_entry trimmed = *entry;
    trimmed.value = rush_text_trim(entry->value);
    if (!trimmed.value.length)
        return;
    if (target->kind == RUSH_TARGET_DEGREES)
        take_degrees(reader, &trimmed, target->which);
    else
        take_field(reader, &trimmed, target->which);
}

/* ---- latitude and longitude ---------------------------------------------------------------------- */

/* One number with a point, whatever its decimal sign was. */
static void add_degrees(rush_text written, rush_buffer *text)
{
    written = rush_text_trim(written);
    for (size_t i = 0; i < written.length; i++)
        rush_buffer_byte(text, written.at[i] == ',' ? '.' : written.at[i]);
}

void rush_field_join_degrees(rush_entry_reader *reader)
{
    rush_sighting *sighting = reader->sighting;
    const rush_kept_text *degrees = sighting->degrees;
    if (!degrees[0].length && !degrees[1].length)
        return;
    if (!degrees[0].length || !degrees[1].length) {
        rush_diagnostic *made =
            rush_entry_complain(reader, RUSH_MISSING_FIELD, reader->degrees,
                                "a latitude needs a longitude, and the other way");
        rush_diagnose_help(reader->list, made, "give decimalLatitude and decimalLongitude");
        return;
    }
    if (sighting->fields[RUSH_RECORD_COORDINATES].length) {
        rush_entry_complain(reader, RUSH_REPEATED_ANSWER, reader->degrees,
                            "'coordinates' are given beside a latitude and a longitude");
        return;
    }
    rush_buffer text = {0};
    add_degrees(rush_sighting_kept(sighting, degrees[0]), &text);
    rush_buffer_string(&text, ", ");
    add_degrees(rush_sighting_kept(sighting, degrees[1]), &text);
    if (!text.failed)
        rush_sighting_keep(sighting, &sighting->fields[RUSH_RECORD_COORDINATES],
                           (rush_text){text.bytes, text.length});
    sighting->texts.failed |= text.failed;
    rush_buffer_free(&text);
}
