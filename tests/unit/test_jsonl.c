/* The JSON lines, read back with a reader that we did not write (jansson; RFC 8259). */
#include "support/support.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

static const char key_text[] =
    "rushlight: 1\n"
    "key: shells\n"
    "title: Shells\n"
    "version: 2026.1\n"
    "unlisted: 0.05\n"
    "characters:\n"
    "  outline: {ask: \"What \\\"shape\\\" \\\\ is it?\", states: [round, oval, fan], confused: [[round, oval]]}\n"
    "  width: {measure: length, reading_error: 10%}\n"
    "  shore: {setting: states, states: [sand, mud]}\n"
    "taxa:\n"
    "  Pectinidae: {rank: family}\n"
    "  Pecten: {rank: genus, within: Pectinidae, vernacular: scallops}\n"
    "  Pecten ficticius: {rank: species, within: Pecten, traits: {outline: fan, width: 60-110, shore: sand}}\n"
    "  Pecten inventus:\n"
    "    rank: species\n"
    "    within: Pecten\n"
    "    traits: {outline: {fan: 0.6, oval: 0.4}, width: 30-50}\n"
    "    forms: [{sex: female, form: pale, share: 0.8}, {sex: male, form: dark}]\n"
    "  Ovalia: {rank: species, traits: {outline: oval, width: 20-30}}\n";

static double number_of(const json_t *object, const char *name)
{
    const json_t *value = json_object_get(object, name);
    if (!json_is_number(value))
        fail_msg("'%s' is not a number", name);
    return json_number_value(value);
}

static json_t *read_back(const rush_buffer *out)
{
    json_error_t error;
    assert_int_equal(out->bytes[out->length - 1], '\n');
    assert_ptr_equal(memchr(out->bytes, '\n', out->length), out->bytes + out->length - 1);
    json_t *object = json_loadb(out->bytes, out->length, JSON_REJECT_DUPLICATES, &error);
    if (!object)
        fail_msg("not JSON at %d: %s\n%s", error.position, error.text, out->bytes);
    return object;
}

static void a_result(void **state)
{
    (void)state;
    rush_key *key = support_key_of_text(key_text, NULL);
    rush_sighting *sighting = rush_sighting_new(key);
    rush_ranker *ranker = rush_ranker_new(key);
    rush_adviser *adviser = rush_adviser_new(key);
    support_sighting(
        sighting,
        "outline: fan; width: about 5 cm; shore: mud?; id: \"a \"\"b\"\" \\ \xc3\xa9\"; "
        "notes: tab\there; count: 3");
    rush_result result = {.ranker = ranker,
                          .ranking = rush_rank(ranker, sighting, NULL),
                          .file = "x\x1b[31m.txt",
                          .line = 7,
                          .top = 99};
    result.looks = rush_look_next(adviser, result.ranking, NULL, &result.look_count);
    rush_buffer out = {0};
    rush_report_jsonl(&result, &out);
    json_t *object = read_back(&out);
    assert_int_equal(json_integer_value(json_object_get(object, "schema")), 1);
    assert_string_equal(json_string_value(json_object_get(object, "id")), "a \"b\" \\ \xc3\xa9");
    assert_string_equal(json_string_value(json_object_get(object, "file")), "x\x1b[31m.txt");
    const json_t *record = json_object_get(object, "record");
    assert_string_equal(json_string_value(json_object_get(record, "notes")), "tab\there");
    assert_string_equal(json_string_value(json_object_get(record, "count")), "3");
    assert_int_equal(json_array_size(json_object_get(object, "answers")), 3);

    /* With every candidate shown they sum to 1 - unlisted; forms sum to their candidate. */
    double all = number_of(object, "unlisted");
    const json_t *candidates = json_object_get(object, "candidates");
    assert_int_equal(json_array_size(candidates), 3);
    for (size_t i = 0; i < json_array_size(candidates); i++) {
        const json_t *candidate = json_array_get(candidates, i),
                     *forms = json_object_get(candidate, "forms");
        double probability = number_of(candidate, "probability"), sum = 0;
        for (size_t f = 0; f < json_array_size(forms); f++)
            sum += number_of(json_array_get(forms, f), "probability");
        assert_true(fabs(sum - probability) < 2e-6);
        all += probability;
    }
    assert_true(fabs(all - 1) < 5e-6);
    const json_t *verdict = json_object_get(object, "verdict");
    bool safe = json_is_true(json_object_get(verdict, "safe"));
    assert_int_equal(safe, json_is_string(json_object_get(verdict, "taxon")));
    assert_int_equal(safe, json_is_string(json_object_get(verdict, "rank")));
    assert_true(json_is_number(json_object_get(json_object_get(verdict, "fit"), "tail")));
    json_decref(object);
    rush_buffer_free(&out);
    rush_sighting_free(sighting);
    rush_ranker_free(ranker);
    rush_adviser_free(adviser);
    rush_key_free(key);
}

static void an_error(void **state)
{
    (void)state;
    rush_key *key = support_key_of_text(key_text, NULL);
    rush_sighting *sighting = rush_sighting_new(key);
    rush_diagnostics *list = rush_diagnostics_new();
    rush_line line = {rush_text_of("id: s7; outline: fam; width: \"tall\""), "f", 3, RUSH_NONE,
                      NULL};
    assert_false(rush_sighting_read(sighting, &line, list));
    rush_buffer out = {0};
    rush_report_jsonl_errors(sighting, "f", 3, list, &out);
    json_t *object = read_back(&out);
    const json_t *errors = json_object_get(object, "errors");
    assert_string_equal(json_string_value(json_object_get(object, "id")), "s7");
    assert_int_equal(json_array_size(errors), 2);
    const json_t *first = json_array_get(errors, 0);
    assert_string_equal(json_string_value(json_object_get(first, "slug")), "unknown-state");
    assert_int_equal(json_integer_value(json_object_get(first, "column")), 18);
    assert_string_equal(json_string_value(json_object_get(first, "help")), "did you mean 'fan'?");
    json_decref(object);
    rush_buffer_free(&out);
    rush_diagnostics_free(list);
    rush_sighting_free(sighting);
    rush_key_free(key);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_result), cmocka_unit_test(an_error)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
