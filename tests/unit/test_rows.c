/* What is understood of a sighting, and what is said of one that is not: in lines, rows of CSV and JSON objects. */
#include "support/support.h"

#include <string.h>

static const char key_text[] =
    "rushlight: 1\n"
    "key: driftline\n"
    "characters:\n"
    "  outline: {states: [round, oval, fan]}\n"
    "  spur: {states: {there: {label: present}, gone: {label: not present}, broken: {}}}\n"
    "  width: {measure: length, reading_error: 10%, also: [long]}\n"
    "  ribs: {measure: count}\n"
    "  lean: {measure: angle, unit: degree, reading_error: 5}\n"
    "  month: {setting: months}\n"
    "taxa:\n"
    "  Tidella: {rank: genus}\n"
    "  Tidella ficta: {rank: species, within: Tidella, traits: {outline: round, width: 10-20, ribs: 2-6, lean: 0-20}}\n"
    "  Tidella nova: {rank: species, within: Tidella, traits: {outline: oval, width: 20-30}}\n"
    "  Murmica ficta: {rank: species, traits: {outline: fan, width: 30-50}}\n";

enum form { LINE, ROW, OBJECT };

typedef struct reading {
    enum form form;
    const char *text, *header; /* of a row */
    const char *understood;    /* "outline: round or oval; id: A-1"; NULL: it is refused */
    const char *said;          /* "7 or-not; 9 bad-date": columns and slugs; NULL: nothing */
} reading;

static void write_sighting(const rush_key *key, const rush_sighting *sighting, rush_buffer *text)
{
    for (uint32_t i = 0; i < rush_sighting_answer_count(sighting); i++) {
        const rush_answer *answer = rush_sighting_answer(sighting, i);
        rush_buffer_format(text, "%s%s: ", text->length ? "; " : "",
                           rush_key_character(key, answer->character)->id);
        rush_answer_write(key, answer, 0, text);
    }
    for (int f = 0; f < RUSH_RECORD_FIELD_COUNT; f++) {
        rush_text field = rush_sighting_field(sighting, (rush_record_field)f);
        if (field.length)
            rush_buffer_format(text, "%s%s: %s", text->length ? "; " : "",
                               rush_record_field_name((rush_record_field)f), field.at);
    }
}

static void write_said(const rush_diagnostics *list, rush_buffer *text)
{
    for (size_t i = 0; i < rush_diagnostics_count(list); i++) {
        const rush_diagnostic *said = rush_diagnostics_at(list, i);
        rush_buffer_format(text, "%s%u %s", text->length ? "; " : "", said->place.column,
                           rush_slug_name(said->slug));
    }
}

static bool read_as(const rush_key *key, rush_sighting *sighting, const reading *wanted,
                    rush_diagnostics *list)
{
    rush_line line = {rush_text_of(wanted->text), "rows", 2, RUSH_NONE, NULL};
    if (wanted->form == LINE)
        return rush_sighting_read(sighting, &line, list);
    if (wanted->form == OBJECT)
        return rush_sighting_read_json(sighting, &line, list);
    rush_line head = {rush_text_of(wanted->header), "rows", 1, RUSH_NONE, NULL};
    rush_columns *columns = rush_columns_read(key, &head, list);
    assert_non_null(columns);
    bool good = rush_sighting_read_row(sighting, &line, columns, list);
    rush_columns_free(columns);
    return good;
}

static void expect(const reading *wanted, size_t count)
{
    rush_key *key = support_key_of_text(key_text, NULL);
    rush_sighting *sighting = rush_sighting_new(key);
    rush_diagnostics *list = rush_diagnostics_new();
    for (size_t i = 0; i < count; i++) {
        rush_buffer understood = {0}, said = {0};
        rush_diagnostics_clear(list);
        bool good = read_as(key, sighting, &wanted[i], list);
        rush_buffer_string(&understood, "");
        rush_buffer_string(&said, "");
        write_sighting(key, sighting, &understood);
        write_said(list, &said);
        if (good != (wanted[i].understood != NULL))
            fail_msg("%s: %s: %s", wanted[i].text, good ? "taken" : "refused", said.bytes);
        if (good && strcmp(understood.bytes ? understood.bytes : "", wanted[i].understood) != 0)
            fail_msg("%s: understood as %s", wanted[i].text, understood.bytes);
        if (strcmp(said.bytes ? said.bytes : "", wanted[i].said ? wanted[i].said : "") != 0)
            fail_msg("%s: said: %s", wanted[i].text, said.bytes);
        rush_buffer_free(&understood);
        rush_buffer_free(&said);
    }
    rush_diagnostics_free(list);
    rush_sighting_free(sighting);
    rush_key_free(key);
}

#define EXPECT(readings) expect(readings, sizeof(readings) / sizeof *(readings))

/* A list says the same in any order. */
static void lists(void **state)
{
    (void)state;
    static const reading readings[] = {
        {OBJECT, "{\"outline\": [\"round\", \"oval\"]}", NULL, "outline: round or oval", NULL},
        {OBJECT, "{\"outline\": [\"not round\", \"oval\"]}", NULL, NULL, "27 or-not"},
        {OBJECT, "{\"outline\": [\"oval\", \"not round\"]}", NULL, NULL, "22 or-not"},
        {OBJECT, "{\"outline\": [\"not round\", \"not oval\"]}", NULL,
         "outline: not round or oval", NULL},
        {OBJECT, "{\"outline\": [\"round\", \"oval?\"]}", NULL, "outline: round or oval, unsure",
         NULL},
        {OBJECT, "{\"outline\": [\"oval?\", \"round\"]}", NULL, "outline: round or oval, unsure",
         NULL},
        {OBJECT, "{\"outline\": [\"not oval?\", null, \"-\", \"not round\"]}", NULL,
         "outline: not round or oval, unsure", NULL},
        {OBJECT, "{\"outline\": [\"-\", \"?\"]}", NULL, "", NULL},
        {OBJECT, "{\"spur\": [\"not present\", \"broken\"]}", NULL,
         "spur: \"not present\" or broken", NULL},
        {OBJECT, "{\"spur\": [\"broken\", \"not present\"]}", NULL,
         "spur: \"not present\" or broken", NULL},
        {OBJECT, "{\"spur\": [\"not not present\", \"not broken\"]}", NULL,
         "spur: not \"not present\" or broken", NULL},
        {OBJECT, "{\"taxon\": [\"not Tidella\", \"Murmica ficta\"]}", NULL, NULL, "27 or-not"},
        {OBJECT, "{\"taxon\": [\"Murmica ficta\", \"not Tidella\"]}", NULL, NULL, "29 or-not"},
        {OBJECT, "{\"taxon\": [\"not Tidella nova\", \"not Murmica ficta\"]}", NULL,
         "taxon: not Tidella nova or Murmica ficta", NULL},
        {OBJECT, "{\"taxon\": [\"Tidella?\", \"Murmica ficta\"]}", NULL,
         "taxon: Tidella or Murmica ficta, unsure", NULL},
        {OBJECT, "{\"month\": [\"not July\", \"8\"]}", NULL, NULL, "24 or-not"},
        {OBJECT, "{\"month\": [\"not July\", \"not 8\"]}", NULL, "month: not July or August",
         NULL},
        {OBJECT, "{\"month\": [\"7?\", \"Aug\"]}", NULL, "month: July or August, unsure", NULL},
        {OBJECT, "{\"month\": [7, 8]}", NULL, "month: July or August", NULL},
        {LINE, "spur: not present or broken", NULL, "spur: \"not present\" or broken", NULL},
        {LINE, "outline: not round or oval", NULL, "outline: not round or oval", NULL},
        {LINE, "outline: round or not oval", NULL, NULL, "19 or-not"},
    };
    EXPECT(readings);
}

/* Columns of coordinates as recorders call them; `long` is a longitude where a latitude stands beside it. */
static void latitudes(void **state)
{
    (void)state;
    static const char place[] = "coordinates: 52.5, 1.75";
    static const reading readings[] = {
        {ROW, "52.5,1.75", "lat,long", place, NULL},
        {ROW, "1.75,52.5", "Long,LAT", place, NULL},
        {ROW, "52.5,1.75", "latitude,longitude", place, NULL},
        {ROW, "52.5,1.75", "decimalLatitude,long", place, NULL},
        {ROW, "52.5;1,75", "lat;lon", place, NULL},
        {ROW, ",1.75", "lat,long", NULL, "2 missing-field"},
        {ROW, "15", "long", "width: 14.5 to 15.5 mm", NULL},
        {LINE, "lat: 52.5; long: 1.75", NULL, place, NULL},
        {LINE, "long: 15", NULL, "width: 14.5 to 15.5 mm", NULL},
        {LINE, "long: 15; notes: \"lat: 52.5\"", NULL, "width: 14.5 to 15.5 mm; notes: lat: 52.5",
         NULL},
        {LINE, "long: 15; lat: 52.5", NULL, "coordinates: 52.5, 15", NULL},
        {OBJECT, "{\"long\": 1.75, \"lat\": 52.5}", NULL, place, NULL},
        {OBJECT, "{\"long\": 15}", NULL, "width: 14.5 to 15.5 mm", NULL},
        {OBJECT, "{\"lon\": 1.75}", NULL, NULL, "2 missing-field"},
    };
    EXPECT(readings);
}

/* Numbers that cannot be, and those that can hardly be: the key has widths from 10 to 50 mm. */
static void impossible(void **state)
{
    (void)state;
    static const reading readings[] = {
        {LINE, "width: -5", NULL, NULL, "8 bad-number"},
        {LINE, "width: 0", NULL, NULL, "8 bad-number"},
        {LINE, "width: 0 mm?", NULL, NULL, "8 bad-number"},
        {LINE, "width: under 0", NULL, NULL, "8 bad-number"},
        {LINE, "width: over -3", NULL, NULL, "8 bad-number"},
        {LINE, "width: -3-5", NULL, NULL, "8 bad-number"},
        {LINE, "width: 0-5", NULL, "width: 0 to 5 mm", NULL},
        {LINE, "width: over 0", NULL, "width: over 0 mm", NULL},
        {LINE, "ribs: 0", NULL, "ribs: -0.5 to 0.5", NULL},
        {LINE, "ribs: -1", NULL, NULL, "7 bad-number"},
        {LINE, "lean: -1", NULL, "lean: -1.5 to -0.5 degree", NULL},
        {LINE, "width: 60", NULL, "width: 59.5 to 60.5 mm", NULL},
        {LINE, "width: 500", NULL, "width: 499.5 to 500.5 mm", "8 off-scale"},
        {LINE, "width: 501", NULL, "width: 500.5 to 501.5 mm", "8 off-scale"},
        {LINE, "width: 17 m", NULL, "width: 16500 to 17500 mm", "8 off-scale"},
        {LINE, "width: 0.9", NULL, "width: 0.85 to 0.95 mm", "8 off-scale"},
        {LINE, "width: under 0.9", NULL, "width: under 0.9 mm", "8 off-scale"},
        {LINE, "width: over 501", NULL, "width: over 501 mm", "8 off-scale"},
        {LINE, "width: under 501", NULL, "width: under 501 mm", NULL},
        {LINE, "width: 3.5", NULL, "width: 3.45 to 3.55 mm", "8 off-scale"},
        {LINE, "width: 6", NULL, "width: 5.5 to 6.5 mm", NULL},
        {LINE, "width: 300", NULL, "width: 299.5 to 300.5 mm", "8 off-scale"},
        {OBJECT, "{\"width\": 1700}", NULL, "width: 1699.5 to 1700.5 mm", "11 off-scale"},
        {ROW, "1700", "width", "width: 1699.5 to 1700.5 mm", "1 off-scale"},
        {LINE, "month: -1", NULL, NULL, "8 bad-months"},
        {LINE,
         "month: \xe2\x80\x93"
         "1",
         NULL, NULL, "8 bad-months"},
        /* What is warned of once is so again. */
        {LINE, "width: 501", NULL, "width: 500.5 to 501.5 mm", "8 off-scale"},
    };
    EXPECT(readings);
}

/* Anything may stand for coordinates, but not what only looks like degrees. */
static void coordinates(void **state)
{
    (void)state;
    static const reading readings[] = {
        {LINE, "coordinates: 52.5, 1.75", NULL, "coordinates: 52.5, 1.75", NULL},
        {LINE, "coordinates: TG 514 131", NULL, "coordinates: TG 514 131", NULL},
        {LINE, "coordinates: by the oak", NULL, "coordinates: by the oak", NULL},
        {LINE, "coordinates: 152.1, 3.2", NULL, "coordinates: 152.1, 3.2", "14 bad-coordinates"},
        {LINE, "coordinates: 52.1, -181", NULL, "coordinates: 52.1, -181", "14 bad-coordinates"},
        {LINE, "coordinates: 52,1", NULL, "coordinates: 52,1", "14 bad-coordinates"},
        {LINE, "coordinates: 651421, 313123", NULL, "coordinates: 651421, 313123", NULL},
        {LINE, "coordinates: 4523", NULL, "coordinates: 4523", NULL},
        {ROW, "\"52,5; 1,75\"", "coordinates", "coordinates: 52,5; 1,75", NULL},
        {ROW, "52.5", "coordinates", "coordinates: 52.5", "1 bad-coordinates"},
        {OBJECT, "{\"coordinates\": [52.5, 1.75]}", NULL, "coordinates: 52.5, 1.75", NULL},
        {OBJECT, "{\"coordinates\": [152.5, 1.75]}", NULL, "coordinates: 152.5, 1.75",
         "17 bad-coordinates"},
        {OBJECT, "{\"recorder\": [\"R. Sedge\", \"B. Rush\"]}", NULL,
         "recorder: R. Sedge | B. Rush", NULL},
    };
    EXPECT(readings);
}

/* The months of a date, and a month beside it. */
static void dates(void **state)
{
    (void)state;
    static const reading readings[] = {
        {LINE, "date: 2026-07-14", NULL, "month: July; date: 2026-07-14", NULL},
        {LINE, "date: 2026-11-30/2027-01-02", NULL,
         "month: January or November or December; date: 2026-11-30/2027-01-02", NULL},
        {LINE, "month: 2026-06-30/07-02", NULL, "month: June or July", NULL},
        {LINE, "date: 2026-10-31/2026-04-01", NULL, NULL, "7 reversed"},
        {LINE, "date: 2026-07-14; month: July", NULL, "month: July; date: 2026-07-14", NULL},
        {LINE, "date: 2026-07-14; month: Jul-Aug", NULL,
         "month: July or August; date: 2026-07-14", NULL},
        {LINE, "date: 2026-07-14; month: August", NULL, "month: August; date: 2026-07-14",
         "7 other-month"},
        {ROW, "8,2026-07-14", "month,eventDate", "month: August; date: 2026-07-14",
         "3 other-month"},
    };
    EXPECT(readings);
}

/* RFC 8259: where a text is none, at the first character of what is wrong. */
static void no_objects(void **state)
{
    (void)state;
    static const reading readings[] = {
        {OBJECT, "{\"outline\": round}", NULL, NULL, "13 bad-json"},
        {OBJECT, "{\"id\": 1, outline\": \"round\"}", NULL, NULL, "11 bad-json"},
        {OBJECT, "{\"outline\": \"fan\", \"outline\": \"round\"}", NULL, NULL, "20 bad-json"},
        {OBJECT, "{\"id\": \"A\"} and more", NULL, NULL, "13 bad-json"},
        {OBJECT, "{\"width\": 1e400}", NULL, NULL, "11 bad-json"},
        {OBJECT, "{\"id\": \"\xc3\xa9t\xc3\xa9\", \"width\": 1e400}", NULL, NULL, "24 bad-json"},
        {OBJECT, "{\"notes\": \"a\\u0000\"}", NULL, NULL, "11 bad-json"},
        {OBJECT, "{\"id\": \"A\"", NULL, NULL, "11 bad-json"},
        {OBJECT, "{\"id\": \"A", NULL, NULL, "8 bad-json"},
        {OBJECT, "[{\"id\": \"A\"}]", NULL, NULL, "1 bad-json"},
    };
    EXPECT(readings);
    rush_text member = rush_text_of("\"id\": 1"), object = rush_text_of("{\"id\": 1}\r");
    assert_true(rush_json_is_split(rush_text_of("["), member));
    assert_true(rush_json_is_split(rush_text_of(" [ {\r"), member));
    assert_true(rush_json_is_split(rush_text_of("[{\"id\": 1},"), member));
    assert_false(rush_json_is_split(rush_text_of("[{\"id\": 1}]"), member));
    assert_false(rush_json_is_split(rush_text_of("{\"id\": 1"), member));
    assert_false(rush_json_is_split(rush_text_of(""), member));
    assert_false(rush_json_is_split(rush_text_of("{\r"), object));
}

/* A sighting that cannot be read to its end keeps an id that stands whole before its fault. */
static void kept_ids(void **state)
{
    (void)state;
    static const struct {
        reading read;
        const char *id;
    } readings[] = {
        {{ROW, "A-1,fan,a\x1b", "id,outline,notes", NULL, NULL}, "A-1"},
        {{ROW, "\"A, 1\",f\xe9n,", "id,outline,notes", NULL, NULL}, "A, 1"},
        {{ROW, "fan,x\xe9,A-1", "outline,notes,id", NULL, NULL}, ""},
        {{ROW, "A-1\xe9,fan", "id,outline", NULL, NULL}, ""},
        {{LINE, "outline: fan; id: A-1; notes: \xe9", NULL, NULL, NULL}, "A-1"},
        {{LINE, "id: A-1\xe9; outline: fan", NULL, NULL, NULL}, ""},
        {{OBJECT, "{\"outline\": \"fan\", \"id\": \"A-1\", \"notes\": \"\xe9\"}", NULL, NULL,
          NULL},
         "A-1"},
        {{OBJECT, "{\"occurrenceID\": 12, \"outline\": fan}", NULL, NULL, NULL}, "12"},
        {{OBJECT, "{\"notes\": {\"id\": \"B-2\"}, \"id\": \"A-1\"} and", NULL, NULL, NULL},
         "A-1"},
        {{OBJECT, "{\"notes\": {\"id\": \"B-2\"}, \"outline\": fan}", NULL, NULL, NULL}, ""},
        {{OBJECT, "{\"id\": \"A-1", NULL, NULL, NULL}, ""},
    };
    rush_key *key = support_key_of_text(key_text, NULL);
    rush_sighting *sighting = rush_sighting_new(key);
    rush_diagnostics *list = rush_diagnostics_new();
    for (size_t i = 0; i < sizeof readings / sizeof *readings; i++) {
        assert_false(read_as(key, sighting, &readings[i].read, list));
        assert_string_equal(rush_sighting_field(sighting, RUSH_RECORD_ID).at, readings[i].id);
    }
    rush_diagnostics_free(list);
    rush_sighting_free(sighting);
    rush_key_free(key);
}

/* What a spreadsheet or a web page makes of spaces, and what people write for nothing. */
static void nothing_and_spaces(void **state)
{
    (void)state;
    static const reading readings[] = {
        {LINE,
         "width:\xc2\xa0"
         "12\xc2\xa0mm",
         NULL, "width: 11.5 to 12.5 mm", NULL},
        {LINE, "outline: round\xc2\xa0or\xc2\xa0oval", NULL, "outline: round or oval", NULL},
        {LINE, "spur: not\xc2\xa0present", NULL, "spur: \"not present\"", NULL},
        {ROW, "\xc2\xa0,round\xc2\xa0", "width,outline", "outline: round", NULL},
        {ROW, "\" 2026-07-14 \",\" 3\"", "date,count", "month: July; date: 2026-07-14; count: 3", NULL},
        {OBJECT, "{\"date\": \"2026-07-14\u00a0\"}", NULL, "month: July; date: 2026-07-14", NULL},
        {LINE, "count: 1,000", NULL, NULL, "8 bad-count"},
        {LINE, "count: 3.0; uncertainty: 12,5", NULL, "uncertainty: 12,5; count: 3.0", NULL},
        {LINE, "uncertainty: 1.000", NULL, NULL, "14 bad-uncertainty"},
        {LINE, "outline: n/a", NULL, NULL, "10 unknown-state"},
        {LINE, "outline: not seen", NULL, NULL, "10 unknown-state"},
    };
    EXPECT(readings);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lists),      cmocka_unit_test(latitudes),
        cmocka_unit_test(impossible), cmocka_unit_test(coordinates),
        cmocka_unit_test(dates),      cmocka_unit_test(no_objects),
        cmocka_unit_test(kept_ids),   cmocka_unit_test(nothing_and_spaces)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
