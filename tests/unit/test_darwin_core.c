/* Records, read back with a reader that we did not write (libcsv): names of terms against the standard's,
 * values against what a sighting says, coordinates blurred, words that are meant to do harm. */
#include "support/csv_table.h"
#include "support/support.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *reference;

static const char shells[] =
    "rushlight: 1\n"
    "key: shells\n"
    "title: Shells of an invented beach\n"
    "version: 2026.1\n"
    "unlisted: 0.02\n"
    "record: {lifeStage: adult, kingdom: Animalia, class: Bivalvia, samplingProtocol: strandline walk}\n"
    "characters:\n"
    "  outline: {ask: What shape?, states: [round, oval, fan], misread: 0.01}\n"
    "  ribs: {ask: Ribs?, states: [many, few], misread: 0.01}\n"
    "  width: {measure: length, reading_error: 10%}\n"
    "  habitat: {setting: states, states: {sand: {label: open sand}, mud: }}\n"
    "  month: {setting: months}\n"
    "taxa:\n"
    "  Pectinida: {rank: order}\n"
    "  Pectinidae: {rank: family, within: Pectinida, traits: {outline: fan}}\n"
    "  Pecten: {rank: genus, within: Pectinidae}\n"
    "  Pecten ficticius:\n"
    "    {rank: species, within: Pecten, vernacular: great scallop, authority: \"(Nobody, 1900)\", occurrence: 10,\n"
    "     traits: {width: 60-110, ribs: many}}\n"
    "  Pecten inventus: {rank: species, within: Pecten, occurrence: 10, traits: {width: 30-50, ribs: few}}\n"
    "  Ovalia minor: {rank: species, within: Pectinida, occurrence: 10, traits: {outline: oval, width: 10-20}}\n"
    "  Ovalia maior: {rank: species, within: Pectinida, occurrence: 10, traits: {outline: round, width: 10-20}}\n";

/* One row, and what made it. */
typedef struct written {
    rush_key *key;
    csv_table table;
    rush_buffer text;
    unsigned missing;
} written;

static written write_record(const char *key_text, const char *line, rush_record record)
{
    written made = {.key = support_key_of_text(key_text, NULL)};
    assert_non_null(made.key);
    rush_sighting *sighting = rush_sighting_new(made.key);
    rush_ranker *ranker = rush_ranker_new(made.key);
    support_sighting(sighting, line);
    rush_result result = {.ranker = ranker, .ranking = rush_rank(ranker, sighting, NULL)};
    if (!record.id)
        record.id = "urn:uuid:00000000-0000-4000-8000-000000000000";
    rush_darwin_core_header(&made.text);
    rush_darwin_core_row(&result, &record, &made.text);
    made.missing = rush_record_missing(&result, &record);
    assert_true(csv_table_read(&made.table, (rush_text){made.text.bytes, made.text.length}));
    assert_int_equal(made.table.rows, 2);
    rush_sighting_free(sighting);
    rush_ranker_free(ranker);
    return made;
}

static void free_written(written *made)
{
    csv_table_free(&made->table);
    rush_buffer_free(&made->text);
    rush_key_free(made->key);
}

static const char *cell(const written *made, const char *term)
{
    const char *found = csv_table_named(&made->table, 1, term);
    if (!found)
        fail_msg("no column %s", term);
    return found;
}

/* Pairs of term and value, ended by NULL. */
static void expect(const char *line, rush_record record, const char *const *pairs)
{
    written made = write_record(shells, line, record);
    for (; *pairs; pairs += 2)
        if (strcmp(cell(&made, pairs[0]), pairs[1]) != 0)
            fail_msg("%s\n%s is '%s', not '%s'", line, pairs[0], cell(&made, pairs[0]), pairs[1]);
    free_written(&made);
}

/* ---- what a row says ---------------------------------------------------------------------------- */

static void a_species(void **state)
{
    (void)state;
    static const char line[] =
        "fan; many; width: 85 mm; habitat: sand; date: 2026-06-14; place: the long spit; sex: female; "
        "coordinates: 52.65798, -1.71605; uncertainty: 30; count: 3; recorder: R. Invented; behaviour: "
        "lying open; notes: \"wet; worn\"; id: A-17";
    rush_record record = {.id = "0b7c6c1e-52a4-4c8f-9d3a-1f2e3d4c5b6a",
                          .program = "program 1.0",
                          .date_identified = "2026-06-15"};
    const char *const pairs[] = {"occurrenceID",
                                 "0b7c6c1e-52a4-4c8f-9d3a-1f2e3d4c5b6a",
                                 "recordNumber",
                                 "A-17",
                                 "basisOfRecord",
                                 "HumanObservation",
                                 "occurrenceStatus",
                                 "detected",
                                 "eventDate",
                                 "2026-06-14",
                                 "scientificName",
                                 "Pecten ficticius (Nobody, 1900)",
                                 "scientificNameAuthorship",
                                 "(Nobody, 1900)",
                                 "taxonRank",
                                 "species",
                                 "vernacularName",
                                 "great scallop",
                                 "kingdom",
                                 "Animalia",
                                 "class",
                                 "Bivalvia",
                                 "order",
                                 "Pectinida",
                                 "family",
                                 "Pectinidae",
                                 "genus",
                                 "Pecten",
                                 "specificEpithet",
                                 "ficticius",
                                 "identificationQualifier",
                                 "",
                                 "identificationVerificationStatus",
                                 "unverified",
                                 "identifiedBy",
                                 "R. Invented | program 1.0",
                                 "dateIdentified",
                                 "2026-06-15",
                                 "recordedBy",
                                 "R. Invented",
                                 "individualCount",
                                 "3",
                                 "sex",
                                 "female",
                                 "lifeStage",
                                 "adult",
                                 "behavior",
                                 "lying open",
                                 "habitat",
                                 "open sand",
                                 "locality",
                                 "the long spit",
                                 "decimalLatitude",
                                 "52.65798",
                                 "decimalLongitude",
                                 "-1.71605",
                                 "geodeticDatum",
                                 "EPSG:4326",
                                 "coordinateUncertaintyInMeters",
                                 "30",
                                 "verbatimCoordinates",
                                 "",
                                 "dataGeneralizations",
                                 "",
                                 "informationWithheld",
                                 "",
                                 "occurrenceRemarks",
                                 "wet; worn",
                                 NULL};
    expect(line, record, pairs);
    written made = write_record(shells, line, record);
    assert_int_equal(made.missing, 0);
    rush_buffer references = {0};
    rush_buffer_format(&references, "key shells, version 2026.1, SHA-256 %s",
                       rush_key_digest(made.key));
    assert_string_equal(cell(&made, "identificationReferences"), references.bytes);
    rush_buffer_free(&references);
    free_written(&made);
}

/* The observation line in the remarks gives the same probability, and the JSON says so too. */
static void the_grounds(void **state)
{
    (void)state;
    written made =
        write_record(shells, "fan; many; width: about 85 mm; place: the spit; date: 2026-06-14",
                     (rush_record){0});
    const char *remarks = cell(&made, "identificationRemarks");
    const char *line = strstr(remarks, "Observation line: ");
    assert_non_null(line);
    assert_string_equal(line + strlen("Observation line: "),
                        "date: 2026-06-14; outline: fan; ribs: many; width: about 85 mm");
    assert_non_null(strstr(remarks, "Runner-up: Pecten inventus, 0."));
    rush_sighting *sighting = rush_sighting_new(made.key);
    rush_ranker *ranker = rush_ranker_new(made.key);
    support_sighting(sighting, line + strlen("Observation line: "));
    rush_buffer again = {0};
    rush_buffer_string(&again, "Safe to species, probability ");
    rush_buffer_decimal(&again, rush_rank(ranker, sighting, NULL)->verdict.probability, 6);
    assert_int_equal(strncmp(remarks, again.bytes, again.length), 0);
    json_t *properties =
        json_loads(cell(&made, "dynamicProperties"), JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(properties);
    double posterior = json_number_value(json_object_get(properties, "posterior"));
    assert_true(fabs(posterior - rush_rank(ranker, sighting, NULL)->verdict.probability) < 1e-6);
    const json_t *answers = json_object_get(properties, "answers");
    assert_string_equal(json_string_value(json_object_get(answers, "width")), "about 85 mm");
    assert_string_equal(json_string_value(json_object_get(answers, "month")), "June");
    assert_string_equal(json_string_value(json_object_get(properties, "samplingProtocol")),
                        "strandline walk");
    assert_true(json_is_object(json_object_get(properties, "runnerUp")));
    json_decref(properties);
    rush_buffer_free(&again);
    rush_sighting_free(sighting);
    rush_ranker_free(ranker);
    free_written(&made);
}

static void no_more_than_is_safe(void **state)
{
    (void)state;
    const char *const genus[] = {"scientificName",
                                 "Pecten",
                                 "taxonRank",
                                 "genus",
                                 "genus",
                                 "Pecten",
                                 "specificEpithet",
                                 "",
                                 "vernacularName",
                                 "",
                                 "identificationQualifier",
                                 "not safe below genus",
                                 NULL};
    expect("fan; ribs: many or few", (rush_record){0}, genus);
    const char *const likely[] = {"scientificName", "Pecten", "identificationQualifier",
                                  "cf. Pecten ficticius", NULL};
    expect("fan; many?", (rush_record){0}, likely);
    const char *const order[] = {
        "scientificName",       "Pectinida", "family", "", "genus", "", "identificationQualifier",
        "not safe below order", NULL};
    expect("width: 15 mm", (rush_record){0}, order);
}

/* Nothing safe: the group that the key is for; without it what is more probable than not; else nothing. */
static void nothing_safe(void **state)
{
    (void)state;
    static const char head[] = "rushlight: 1\nkey: k\nunlisted: 0.4\n";
    static const char traits[] = "characters: {c: {states: [x, y]}}\ntaxa:\n";
    static const char order[] = "  Ordo: {rank: order}\n"
                                "  Unus primus: {rank: species, within: Ordo, traits: {c: x}}\n"
                                "  Unus alter: {rank: species, within: Ordo, traits: {c: y}}\n";
    static const char flat[] = "  Unus primus: {rank: species, traits: {c: x}}\n"
                               "  Unus alter: {rank: species, traits: {c: y}}\n";
    const struct {
        const char *record, *taxa, *name, *rank, *said;
    } cases[] = {
        {"record: {class: Insecta, phylum: Arthropoda}\n", order, "Insecta", "class",
         "that the key is for"},
        {"", order, "Ordo", "order", "best supported"},
        {"", flat, "", "", "no name"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        rush_buffer text = {0};
        rush_buffer_format(&text, "%s%s%s%s", head, cases[i].record, traits, cases[i].taxa);
        written made = write_record(text.bytes, "", (rush_record){0});
        assert_string_equal(cell(&made, "scientificName"), cases[i].name);
        assert_string_equal(cell(&made, "taxonRank"), cases[i].rank);
        assert_non_null(strstr(cell(&made, "identificationRemarks"), cases[i].said));
        assert_string_equal(cell(&made, "identificationQualifier"), "nothing is safe");
        assert_int_equal(made.missing, 15);
        free_written(&made);
        rush_buffer_free(&text);
    }
}

static void what_may_be_told(void **state)
{
    (void)state;
    const char *const none[] = {"occurrenceStatus", "absent", "individualCount", "0", NULL};
    expect("fan; count: 0", (rush_record){0}, none);
    const char *const told[] = {"occurrenceStatus", "present", "identifiedBy", "D. Invented",
                                NULL};
    expect("fan; recorder: R. Invented",
           (rush_record){.status = "present", .identified_by = "D. Invented"}, told);
    const char *const unsure[] = {"sex", "", NULL};
    expect("fan; sex: female?", (rush_record){0}, unsure);
    const char *const own_id[] = {"occurrenceID", "urn:x:1", "recordNumber", "", NULL};
    expect("fan; id: urn:x:1", (rush_record){.id = "urn:x:1"}, own_id);
    static const char *const global[] = {"0b7c6c1e-52a4-4c8f-9d3a-1f2e3d4c5b6a", "urn:x:1",
                                         "https://example.org/occurrence/1"};
    static const char *const local[] = {
        "",     "A-17",    "pond:3",  "0b7c6c1e52a44c8f9d3a1f2e3d4c5b6a",    "://x",
        "urn:", "urn:x 1", "1ab://x", "0b7c6c1e-52a4-4c8f-9d3a-1f2e3d4c5b6g"};
    for (size_t i = 0; i < sizeof global / sizeof *global; i++)
        assert_true(rush_record_is_global(rush_text_of(global[i])));
    for (size_t i = 0; i < sizeof local / sizeof *local; i++)
        assert_false(rush_record_is_global(rush_text_of(local[i])));
}

/* ---- where -------------------------------------------------------------------------------------- */

typedef struct place_case {
    const char *coordinates, *uncertainty; /* uncertainty may be NULL */
    uint32_t blur;
    const char *latitude, *longitude, *verbatim, *radius;
} place_case;

/* Grid references and how they are cut: Ordnance Survey, A Guide to Coordinate Systems in Great Britain
 * (TG 51409 13177), and its rule to truncate (TL 69154 37872 is within TL691378). Half the diagonal of a
 * square of 100 m is 70.7 m: Darwin Core's 71. The rest is computed by hand. */
static const place_case places[] = {
    {"52.65798, 1.71605", NULL, 0, "52.65798", "1.71605", "", ""},
    {"52.65798,1.71605", "30", 0, "52.65798", "1.71605", "", "30"},
    {"52.6580 N 1.7160 W", "0.2", 0, "52.6580", "-1.7160", "", "1"},
    {"w 1.5, s 52.5", NULL, 0, "-52.5", "-1.5", "", ""},
    {"52.5\xc2\xb0 N, 1.5\xc2\xb0 E", NULL, 0, "52.5", "1.5", "", ""},
    {"52, 1", NULL, 0, "52", "1", "", ""},
    {"-90, 180", NULL, 0, "-90", "180", "", ""},
    {"52 39", NULL, 0, "", "", "52 39", ""},
    {"52 39 27 N, 1 43 4 E", "9", 0, "", "", "52 39 27 N, 1 43 4 E", "9"},
    {"90.1, 1.2", NULL, 0, "", "", "90.1, 1.2", ""},
    {"52.5, 180.5", NULL, 0, "", "", "52.5, 180.5", ""},
    {"52.5 N, 1.5", NULL, 0, "", "", "52.5 N, 1.5", ""},
    {"-52.5 S, 1.5 E", NULL, 0, "", "", " -52.5 S, 1.5 E", ""},
    {"52.5 N, 1.5 S", NULL, 0, "", "", "52.5 N, 1.5 S", ""},
    {"behind the dunes", NULL, 1000, "", "", "", ""},
    {"TG 514 131", NULL, 0, "", "", "TG 514 131", "71"},
    {"TG 514 131", "5", 0, "", "", "TG 514 131", "5"},
    {"TG 51409 13177", NULL, 100, "", "", "TG514131", "71"},
    {"tg5140913177", NULL, 1000, "", "", "TG5113", "708"},
    {"TL 69154 37872", NULL, 100, "", "", "TL691378", "71"},
    {"TL 69154 37872", "5", 2000, "", "", "TL63", "7077"},
    {"TL 6915 3787", NULL, 100000, "", "", "TL", "70711"},
    {"TL 69 37", NULL, 100, "", "", "TL 69 37", "708"},
    {"O 15 34", NULL, 10000, "", "", "O13", "7072"},
    {"TL 0999 0999", NULL, 1000, "", "", "TL0909", "708"},
    {"TL 691 37", NULL, 1000, "", "", "", ""},
    {"TL 69154 378", NULL, 0, "", "", "TL 69154 378", ""},
    {"TI 691 378", NULL, 1000, "", "", "", ""},
    {"31U CT 12345 67890", NULL, 1000, "", "", "", ""},
    {"TL6837Y", NULL, 1000, "", "", "", ""},
};

static void where_it_was(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        const place_case *place = &places[i];
        rush_buffer line = {0};
        rush_buffer_format(&line, "fan; coordinates: %s", place->coordinates);
        if (place->uncertainty)
            rush_buffer_format(&line, "; uncertainty: %s", place->uncertainty);
        const char *const pairs[] = {"decimalLatitude",
                                     place->latitude,
                                     "decimalLongitude",
                                     place->longitude,
                                     "verbatimCoordinates",
                                     place->verbatim,
                                     "coordinateUncertaintyInMeters",
                                     place->radius,
                                     "geodeticDatum",
                                     place->latitude[0] ? "EPSG:4326" : "",
                                     NULL};
        expect(line.bytes, (rush_record){.blur = place->blur}, pairs);
        rush_buffer_free(&line);
    }
}

/* Great-circle distance on a sphere of the earth's mean radius: within 0.6 % of the ellipsoid's. */
static double metres_between(double latitude, double longitude, double other, double far)
{
    const double degree = acos(-1) / 180;
    double dy = sin((other - latitude) * degree / 2), dx = sin((far - longitude) * degree / 2);
    double h = dy * dy + cos(latitude * degree) * cos(other * degree) * dx * dx;
    return 2 * 6371008.8 * asin(sqrt(fmin(1, h)));
}

typedef struct blurred {
    double latitude, longitude, radius;
} blurred;

static blurred blur_at(double latitude, double longitude, uint32_t metres)
{
    rush_buffer line = {0};
    rush_buffer_string(&line, "coordinates: ");
    rush_buffer_decimal(&line, latitude, 7);
    rush_buffer_string(&line, ", ");
    rush_buffer_decimal(&line, longitude, 7);
    written made = write_record(shells, line.bytes, (rush_record){.blur = metres});
    blurred where = {strtod(cell(&made, "decimalLatitude"), NULL),
                     strtod(cell(&made, "decimalLongitude"), NULL),
                     strtod(cell(&made, "coordinateUncertaintyInMeters"), NULL)};
    free_written(&made);
    rush_buffer_free(&line);
    return where;
}

/* The radius holds the place; a blurred place is the centre of its own cell, so that nothing of the exact
 * one is left; the cell is no finer than was asked. */
static void blurring(void **state)
{
    (void)state;
    static const uint32_t grids[] = {10, 100, 1000, 2000, 10000, 100000};
    rush_random random = {7};
    for (int i = 0; i < 1500; i++) {
        uint32_t metres = grids[i % 6];
        double latitude = -75 + 150 * rush_random_unit(&random);
        double longitude = -180 + 360 * rush_random_unit(&random);
        blurred once = blur_at(latitude, longitude, metres);
        double away = metres_between(latitude, longitude, once.latitude, once.longitude);
        assert_true(away <= once.radius * 1.006 + 1);
        assert_true(once.radius >= metres * 0.702 && once.radius <= metres * 0.76 + 2);
        blurred twice = blur_at(once.latitude, once.longitude, metres);
        assert_true(once.latitude == twice.latitude && once.longitude == twice.longitude);
    }
    assert_true(blur_at(52.65798, 1.71605, 1000).radius == 708);
    assert_true(fabs(blur_at(90, 180, 1000).latitude) < 90);
}

/* Blurred: no trace of the place is left in the row, unless it is to be kept. */
static void no_trace(void **state)
{
    (void)state;
    static const char line[] =
        "fan; place: hidden hollow; coordinates: 52.65798, 1.71605; notes: by the "
        "hidden gate; date: 2026-06-14; recorder: R. Invented";
    written made = write_record(shells, line, (rush_record){.blur = 10000});
    static const char *const traces[] = {"hidden", "52.65798", "1.71605"};
    for (size_t i = 0; i < 3; i++)
        assert_null(strstr(made.text.bytes, traces[i]));
    assert_string_equal(cell(&made, "informationWithheld"), "locality | remarks");
    assert_non_null(strstr(cell(&made, "dataGeneralizations"), "10000 m"));
    free_written(&made);
    made = write_record(shells, line, (rush_record){.blur = 10000, .keep_place = true});
    assert_string_equal(cell(&made, "locality"), "hidden hollow");
    assert_string_equal(cell(&made, "informationWithheld"), "");
    free_written(&made);
    made = write_record(shells, "fan; coordinates: hidden hollow", (rush_record){.blur = 10000});
    assert_null(strstr(made.text.bytes, "hidden"));
    assert_true(made.missing & RUSH_MISSING_WHERE);
    free_written(&made);
}

/* ---- the standard ------------------------------------------------------------------------------- */

static bool is_date(const char *text)
{
    static const char shape[] = "dddd-dd-dd";
    size_t length = strlen(text);
    if (length != 7 && length != 10)
        return false;
    for (size_t i = 0; i < length; i++)
        if (shape[i] == 'd' ? text[i] < '0' || text[i] > '9' : text[i] != shape[i])
            return false;
    return true;
}

static bool is_of_kind(const char *value, const char *kind)
{
    if (strcmp(kind, "id") == 0)
        return value[0] != '\0';
    if (!value[0] || strcmp(kind, "text") == 0)
        return true;
    if (strcmp(kind, "date") == 0)
        return is_date(value);
    if (strcmp(kind, "above-0") == 0)
        return strtod(value, NULL) > 0;
    if (strcmp(kind, "whole") == 0)
        return strspn(value, "0123456789") == strlen(value);
    if (strcmp(kind, "latitude") == 0)
        return fabs(strtod(value, NULL)) <= 90;
    if (strcmp(kind, "longitude") == 0)
        return fabs(strtod(value, NULL)) <= 180;
    if (strcmp(kind, "sex") == 0)
        return strcmp(value, "male") == 0 || strcmp(value, "female") == 0;
    if (strcmp(kind, "json") == 0) {
        json_t *read = json_loads(value, JSON_REJECT_DUPLICATES, NULL);
        bool good = json_is_object(read) && !strchr(value, '\n');
        json_decref(read);
        return good;
    }
    static const char *const words[][2] = {{"basis", "HumanObservation"},
                                           {"status", "detected"},
                                           {"unverified", "unverified"},
                                           {"datum", "EPSG:4326"},
                                           {"rank", "species"},
                                           {"rank", "genus"},
                                           {"rank", "order"},
                                           {"rank", "class"}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(kind, words[i][0]) == 0 && strcmp(value, words[i][1]) == 0)
            return true;
    return false;
}

/* Every column is a term of the list, once; every cell is of the kind that the list gives. */
static void the_terms(void **state)
{
    (void)state;
    enum { TERMS = 64, FIELDS = 3 };
    static const char *const lines[] = {
        "fan; many; width: 85 mm; date: 2026-06-14; coordinates: 52.5, 1.5; uncertainty: 0.01; count: 2; sex: male",
        "fan; date: 2026-06; coordinates: TG 51409 13177",
        "width: 15 mm; coordinates: 0.00001, -0.00001; uncertainty: 99999999999",
        "",
    };
    rush_buffer file = {0};
    rush_buffer path = {0};
    char *rows[TERMS], *terms[TERMS][FIELDS];
    size_t count = 0;
    rush_buffer_format(&path, "%s/darwin-core-terms.tsv", reference);
    support_read(path.bytes, &file);
    size_t row_count = support_split(file.bytes, '\n', rows, TERMS);
    for (size_t i = 0; i < row_count; i++)
        if (rows[i][0] && rows[i][0] != '#')
            assert_int_equal(support_split(rows[i], '\t', terms[count++], FIELDS), FIELDS);
    for (size_t l = 0; l < sizeof lines / sizeof *lines * 2; l++) {
        written made =
            write_record(shells, lines[l / 2],
                         (rush_record){.blur = l % 2 * 1000, .date_identified = "2026-06-15"});
        assert_int_equal(made.table.columns, count);
        for (size_t i = 0; i < count; i++)
            if (!is_of_kind(cell(&made, terms[i][0]), terms[i][2]))
                fail_msg("%s: '%s' is not of the kind %s", terms[i][0], cell(&made, terms[i][0]),
                         terms[i][2]);
        free_written(&made);
    }
    rush_buffer_free(&path);
    rush_buffer_free(&file);
}

/* ISO 8601-1:2019, as far as Darwin Core's eventDate wants it: `x` in front of those that are none. */
static void dates(void **state)
{
    (void)state;
    static const char *const texts[] = {"2026-06-14",
                                        "2026-06",
                                        "2024-02-29",
                                        "2026-06-14/16",
                                        "2026-06-14/07-01",
                                        "2026-06/07",
                                        "2026-06-14/2027-01",
                                        "2026-06-14T11:20",
                                        "2026-06-14T11:20+01:00",
                                        "2026-06-14T11:20:05.25Z",
                                        "2026-06-14T11:20Z/2026-06-15T01:00Z",
                                        "x2026-02-29",
                                        "x2026-13",
                                        "x2026-06-31",
                                        "x2026-6-1",
                                        "x14-06-2026",
                                        "x2026-06-14/",
                                        "x2026-06-14/31",
                                        "x2026-06-14/x",
                                        "x2026-06-14T",
                                        "x2026-06-14T25",
                                        "x2026-06-14T11:",
                                        "x2026-06-14T11+",
                                        "x2026-06-14T11:20:61",
                                        "x2026-06-14 11:20",
                                        "x2026"};
    rush_key *key = support_key_of_text(shells, NULL);
    rush_sighting *sighting = rush_sighting_new(key);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        bool wrong = texts[i][0] == 'x';
        rush_buffer text = {0};
        rush_diagnostics *list = rush_diagnostics_new();
        rush_buffer_format(&text, "date: \"%s\"", texts[i] + wrong);
        rush_line line = {{text.bytes, text.length}, "line", 1, RUSH_NONE, NULL};
        if (rush_sighting_read(sighting, &line, list) == wrong)
            fail_msg("%s", texts[i]);
        rush_diagnostics_free(list);
        rush_buffer_free(&text);
    }
    rush_sighting_free(sighting);
    rush_key_free(key);
}

/* ---- words that are meant to do harm ------------------------------------------------------------ */

static bool is_harmless(const char *text)
{
    double number;
    for (const char *c = text; *c; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7f)
            return false;
    if (strstr(text, "\xe2\x80\xae") || strstr(text, "\xe2\x81\xa6") || strstr(text, "\xc2\x9b"))
        return false;
    return !text[0] || !strchr("=+-@\t\r", text[0]) ||
           rush_text_number(rush_text_of(text), &number);
}

static void harm(void **state)
{
    (void)state;
    static const char *const words[][2] = {
        {"=cmd|' /C calc'!A0", " =cmd|' /C calc'!A0"},
        {"@SUM(1,2)", " @SUM(1,2)"},
        {"+44", " +44"},
        {"-2+3", " -2+3"},
        {"-2.5", "-2.5"},
        {"=1\"\",\"\"=2", " =1\",\"=2"},
        {"\xef\xbc\x9d"
         "1+1",
         " \xef\xbc\x9d"
         "1+1"},
        {"one\ttwo", "one two"},
        {"he said \"\"no\"\", twice", "he said \"no\", twice"},
    };
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        rush_buffer line = {0};
        rush_buffer_format(&line, "fan; place: \"%s\"; recorder: \"%s\"", words[i][0],
                           words[i][0]);
        const char *const pairs[] = {"locality", words[i][1], "recordedBy", words[i][1], NULL};
        expect(line.bytes, (rush_record){0}, pairs);
        written made = write_record(
            shells, line.bytes,
            (rush_record){.status = "=x", .identified_by = "\x1b[31m\r\nb\tc\r\xe2\x80\xae"});
        for (size_t c = 0; c < made.table.columns; c++)
            assert_true(is_harmless(csv_table_cell(&made.table, 1, c)));
        assert_string_equal(cell(&made, "identifiedBy"), "<U+001B>[31m b c <U+202E>");
        free_written(&made);
        rush_buffer_free(&line);
    }
}

static void harm_from_a_key(void **state)
{
    (void)state;
    written made = write_record(
        "rushlight: 1\nkey: \"=k\"\nversion: \"1\\n2\"\nunlisted: 0\n"
        "record: {kingdom: \"=HYPERLINK(1)\", lifeStage: \"a\\nb\", rights: \"@x\"}\n"
        "characters: {c: {states: [x, y]}}\n"
        "taxa:\n  \"=Unus\": {rank: species, authority: \"+1\", vernacular: \"-v\\n,\\\"\", traits: {c: x}}\n",
        "x", (rush_record){0});
    for (size_t c = 0; c < made.table.columns; c++)
        assert_true(is_harmless(csv_table_cell(&made.table, 1, c)));
    assert_string_equal(cell(&made, "kingdom"), " =HYPERLINK(1)");
    assert_string_equal(cell(&made, "lifeStage"), "a b");
    free_written(&made);
}

static void ten_thousand_bytes(void **state)
{
    (void)state;
    rush_buffer line = {0};
    rush_buffer_string(&line, "fan; place: ");
    rush_buffer_fill(&line, 'x', 10 * 1024);
    written made = write_record(shells, line.bytes, (rush_record){0});
    assert_int_equal(strlen(cell(&made, "locality")), 10 * 1024);
    free_written(&made);
    rush_buffer_free(&line);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_species),
                                       cmocka_unit_test(the_grounds),
                                       cmocka_unit_test(no_more_than_is_safe),
                                       cmocka_unit_test(nothing_safe),
                                       cmocka_unit_test(what_may_be_told),
                                       cmocka_unit_test(where_it_was),
                                       cmocka_unit_test(blurring),
                                       cmocka_unit_test(no_trace),
                                       cmocka_unit_test(the_terms),
                                       cmocka_unit_test(dates),
                                       cmocka_unit_test(harm),
                                       cmocka_unit_test(harm_from_a_key),
                                       cmocka_unit_test(ten_thousand_bytes)};
    reference = argc > 1 ? argv[1] : ".";
    return cmocka_run_group_tests(tests, NULL, NULL);
}
