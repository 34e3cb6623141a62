/* Memory that runs out: every allocation of a whole run fails once, the N-th for every N; each time the
 * library must answer with out-of-memory and let go of all that it had. malloc and its kin are wrapped by
 * the linker, libyaml's, jansson's and libcsv's among them, since they are linked in as archives. */
#include "support/support.h"

#include <stdlib.h>
#include <string.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
char *__real_strdup(const char *text);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);
char *__wrap_strdup(const char *text);

static bool counting;
static size_t made, fails_at;

static bool fails(void)
{
    return counting && ++made == fails_at;
}

void *__wrap_malloc(size_t size)
{
    return fails() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size)
{
    return fails() ? NULL : __real_calloc(count, size);
}

/* libcsv asks again for less when it is refused: that is refused too. */
void *__wrap_realloc(void *old, size_t size)
{
    static size_t refused;
    bool again = counting && fails_at && made == fails_at && size < refused;
    bool refuse = again || fails();
    refused = refuse ? size : 0;
    return refuse ? NULL : __real_realloc(old, size);
}

char *__wrap_strdup(const char *text)
{
    return fails() ? NULL : __real_strdup(text);
}

/* ---- a run that uses everything ------------------------------------------------------------------ */

static const char key_text[] =
    "rushlight: 1\n"
    "key: shells\n"
    "title: {en: Shells, nl: Schelpen}\n"
    "languages: [en, nl]\n"
    "sources: {book: {cite: \"An invented book\"}}\n"
    "characters:\n"
    "  outline:\n"
    "    ask: What shape?\n"
    "    states: {round: {figure: round.svg, label: {en: round, nl: rond}, also: [\"cir\\x63ular\"]}, oval: , fan: }\n"
    "    confused: [[round, oval]]\n"
    "  width: {measure: length, reading_error: 10%, words: {small: under 35}}\n"
    "  month: {setting: months}\n"
    "  shore: {setting: states, states: [sand, mud]}\n"
    "taxa:\n"
    "  Pectinidae: {rank: family}\n"
    "  Pecten: {rank: genus, within: Pectinidae, traits: {outline: {fan: 0.9, oval: 0.1}}}\n"
    "  Pecten ficticius: {rank: species, within: Pecten, traits: {width: {range: 60-110, source: book}}}\n"
    "  Pecten inventus:\n"
    "    rank: species\n"
    "    within: Pecten\n"
    "    forms: [{form: pale, share: 0.8}, {sex: female, form: dark, traits: {outline: inapplicable}}]\n"
    "  Ovalia: {rank: species, traits: {outline: [oval, round], month: Apr-Oct, shore: mud}}\n"
    "sightings:\n"
    "  - {saw: \"outline: fan; width: 90 mm\", expect: Pecten ficticius}\n"
    "  - {saw: \"outline: oval\", expect: none}\n";

static const char *read_text(void *user, const char *name, rush_buffer *text)
{
    rush_buffer_string(text,
                       !name ? user
                             : "<svg viewBox=\"0 0 9 9\"><title>A shell</title><script>1</script>"
                               "<text x=\"1\">&lt;9&gt;</text></svg>");
    return NULL;
}

static bool report_sheet(const rush_part *part, rush_buffer *out)
{
    rush_sheet_request request = {.part = part, .title = "Shells", .pairs = 2, .marks = 9};
    rush_document *document = rush_sheet_make(&request);
    if (!document)
        return false;
    rush_document_html(document, out);
    rush_document_markdown(document, out);
    rush_document_text(document, out);
    rush_document_json(document, out);
    rush_document_free(document);
    return true;
}

static bool report_table(const rush_key *key, rush_diagnostics *list, rush_buffer *out)
{
    rush_part_request all = {0};
    const rush_part *part = rush_part_choose(key, &all, list);
    if (part) {
        rush_trait_table table = {.part = part, .columns = 80};
        rush_report_trait_table(&table, out);
    }
    bool sheet = part && report_sheet(part, out);
    rush_part_free(part);
    return sheet;
}

static bool rank_and_report(const rush_key *key, rush_diagnostics *list, rush_buffer *out)
{
    rush_sighting *sighting = rush_sighting_new(key);
    rush_ranker *ranker = rush_ranker_new(key);
    rush_adviser *adviser = rush_adviser_new(key);
    rush_line line = {
        rush_text_of("fan or oval; width: about 7 cm; id: \"a;b\"; date: 2026-05-01; xx: 1"),
        "line", 1, RUSH_NONE, NULL};
    bool whole = sighting && ranker && adviser;
    if (whole) {
        rush_sighting_read(sighting, &line, list);
        const rush_ranking *ranking = rush_rank(ranker, sighting, NULL);
        rush_result result = {
            .ranker = ranker, .ranking = ranking, .file = "f", .line = 1, .top = 9};
        result.looks = rush_look_next(adviser, ranking, NULL, &result.look_count);
        rush_report_text(&result, out);
        rush_report_jsonl(&result, out);
        rush_csv_shape shape = {false, 3};
        rush_report_csv_header(&shape, out);
        rush_report_csv(&result, &shape, out);
        rush_record record = {.id = "urn:x:1", .program = "program 1", .blur = 1000};
        rush_darwin_core_header(out);
        rush_darwin_core_row(&result, &record, out);
        rush_report_jsonl_errors(sighting, "f", 1, list, out);
        rush_report_taxon(key, 0, 0, out);
        rush_report_character(key, 3, 1, out);
        rush_report_key(key, 0, out);
        whole = report_table(key, list, out);
    }
    rush_sighting_free(sighting);
    rush_ranker_free(ranker);
    rush_adviser_free(adviser);
    return whole;
}

/* The same sighting as a row of a table and as a JSON object, and one of each with a fault. */
static bool read_other_forms(const rush_key *key, rush_diagnostics *list, rush_buffer *out)
{
    static const char *const rows[] = {
        "\"a \"\"b\"\"\nc\",fan or oval,\"7,5 cm\",2026-05-01,52.5,1.7,", "x,\"oval\"y,7 cm,,,,"};
    static const char *const objects[] = {
        "{\"id\": \"a\\nb\", \"outline\": [\"fan\", \"oval\"], \"width\": 75.0, \"eventDate\": \"2026-05-01\"}",
        "{\"outline\": true}", "{\"outline\": \"fan\", \"outline\": \"fan\"}"};
    rush_sighting *sighting = rush_sighting_new(key);
    rush_line line = {rush_text_of("id,outline,width,date,decimalLatitude,decimalLongitude,shap"),
                      "table", 1, RUSH_NONE, NULL};
    rush_columns *columns = sighting ? rush_columns_read(key, &line, list) : NULL;
    rush_csv_shape shape = {true, 2};
    for (size_t i = 0; columns && i < sizeof rows / sizeof *rows; i++) {
        line.text = rush_text_of(rows[i]);
        rush_sighting_read_row(sighting, &line, columns, list);
    }
    for (size_t i = 0; sighting && i < sizeof objects / sizeof *objects; i++) {
        line.text = rush_text_of(objects[i]);
        rush_sighting_read_json(sighting, &line, list);
    }
    if (sighting)
        rush_report_csv_errors(sighting, &line, list, &shape, out);
    rush_columns_free(columns);
    rush_sighting_free(sighting);
    return columns != NULL;
}

static bool converse(const rush_key *key, rush_buffer *out)
{
    static const char *const lines[] = {
        "",     "<",          "?",        "fan",       "width: 80", "nonsense", "<",
        "sand", "why",        "list",     "apart 1 2", "1?",        "rou",      "outline: round",
        "said", "reach near", "place: x", "."};
    static const rush_screen screen = {80, 24, true};
    rush_buffer names = {0};
    size_t stem;
    rush_dialogue_options how = {.reach = RUSH_REACH_HAND};
    rush_dialogue *dialogue = rush_dialogue_new(key, &how);
    if (!dialogue)
        return false;
    rush_report_reply(rush_dialogue_begin(dialogue), &screen, out);
    bool whole = true;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        const rush_reply *reply = rush_dialogue_step(dialogue, rush_text_of(lines[i]));
        whole &= !rush_diagnostics_out_of_memory(reply->diagnostics);
        rush_report_reply(reply, &screen, out);
    }
    rush_dialogue_complete(dialogue, rush_text_of("outline: ro"), &stem, &names);
    rush_dialogue_complete(dialogue, rush_text_of("li"), &stem, &names);
    whole &= !names.failed;
    rush_buffer_free(&names);
    rush_dialogue_free(dialogue);
    return whole;
}

static bool practise(const rush_key *key, rush_diagnostics *list, rush_buffer *out)
{
    static const char *const lines[] = {"more", "hint", "nobody", "marks",
                                        "?", "give up", "why", "quit"};
    static const char kept[] = "{\"schema\":1,\"kept\":\"practice\"}\n"
                               "{\"key\":\"other\",\"taxon\":\"A\",\"box\":1,"
                               "\"due\":\"2026-07-15\",\"rounds\":1,\"right\":0}\n";
    const rush_screen screen = {80, 24, false};
    rush_drill_options how = {.seed = 1, .hard = true, .reach = RUSH_REACH_HAND};
    rush_drill *drill = rush_drill_new(key, &how);
    if (!drill)
        return false;
    rush_buffer names = {0};
    size_t stem;
    bool whole = rush_drill_read(drill, "kept.jsonl", rush_text_of(kept), list);
    rush_report_drill(rush_drill_begin(drill), &screen, out);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        const rush_drill_reply *reply = rush_drill_step(drill, rush_text_of(lines[i]));
        rush_report_drill(reply, &screen, out);
        whole &= !rush_diagnostics_out_of_memory(reply->diagnostics);
    }
    rush_drill_complete(drill, rush_text_of("p"), &stem, &names);
    rush_drill_write(drill, out);
    whole &= !names.failed;
    rush_buffer_free(&names);
    rush_drill_free(drill);
    return whole;
}

static bool try_out(const rush_key *key, rush_buffer *out)
{
    rush_trial_options how = rush_trial_usual();
    rush_blank blank = {1, 3};
    how.sightings = 6;
    how.blanks = &blank;
    how.blank_count = 1;
    rush_trial *trial = rush_trial_hold(key, &how);
    if (trial) {
        rush_report_trial(trial, 0, 3, out);
        rush_report_trial_json(trial, out);
    }
    rush_trial_free(trial);
    return trial;
}

static bool compare(const rush_key *key, rush_buffer *out)
{
    rush_changes *changes = rush_changes_find(key, key);
    if (changes) {
        rush_report_changes(changes, NULL, out);
        rush_report_changes_json(changes, NULL, out);
    }
    rush_changes_free(changes);
    return changes;
}

static const char taxa_table[] =
    "taxon,family,sex,form,share,vernacular:nl,also,outline,width (mm),ribs,month,shore (setting),outline source\n"
    "Pecten ficticius,Pectinidae,male,pale,0.4,\"verzonnen, mantel\",a|b,round 0.7|fan 0.3,30-36,12,Apr-Oct,sand,Book\n"
    "Pecten ficticius,Pectinidae,female,,0.6,,,fan,33\xc2\xb1"
    "2,n/a,May|Aug,mud|sand,\n"
    "Ovalia,,,,,,,\"\"\"unknown\"\"|oval\",40-30,unknown,,,A source of so many letters that it is called shorter\n";
static const char character_table[] =
    "character,state,label,label:nl,also,ask,states,confused,misread,words,sketch,odd\n"
    "outline,,,omtrek,shape,What?,round|oval|fan,round|oval; oval|fan,5%,,,\n"
    "outline,fan,,waaier,fanned,,,,,,\"\n  \\|/\n\",\n"
    "width,,,,,,,,,small: under 35; large: over 60,,\n"
    "sex,male,he,,him,,,,,,,\n";

static bool sow_and_write(const rush_key *key, rush_diagnostics *list, rush_buffer *out)
{
    const rush_sowing sowing = {.taxa = {"t.csv", rush_text_of(taxa_table)},
                                .characters = {"c.csv", rush_text_of(character_table)},
                                .id = "sown",
                                .title = "Sown"};
    bool sown = rush_sow(&sowing, list, out);
    rush_table_of_taxa(key, out);
    rush_table_of_characters(key, out);
    return sown || rush_diagnostics_out_of_memory(list);
}

/* False when some part of it had no memory. */
static bool whole_run(const char *text)
{
    rush_diagnostics *list = rush_diagnostics_new();
    if (!list)
        return false;
    rush_buffer out = {0};
    rush_key_files files = {read_text, (void *)text, "key.yaml"};
    rush_key *key = rush_key_load_to_check(&files, list);
    bool whole = true, sound = key && !rush_diagnostics_errors(list);
    if (key)
        rush_check(key, list);
    if (sound) {
        whole &= rank_and_report(key, list, &out);
        whole &= read_other_forms(key, list, &out);
        whole &= converse(key, &out);
        whole &= practise(key, list, &out);
        whole &= try_out(key, &out);
        whole &= compare(key, &out);
        whole &= sow_and_write(key, list, &out);
    }
    rush_diagnostics_write(list, &out);
    whole = whole && !rush_diagnostics_out_of_memory(list) && !out.failed;
    rush_buffer_free(&out);
    rush_key_free(key);
    rush_diagnostics_free(list);
    return whole;
}

static void fail_each(const char *text)
{
    counting = true;
    made = fails_at = 0;
    assert_true(whole_run(text));
    size_t all = made, silent = 0;
    assert_true(all > 20);
    for (fails_at = 1; fails_at <= all; fails_at++) {
        made = 0;
        if (whole_run(text)) {
            silent++;
            print_error("the failure of allocation %zu was not reported\n", fails_at);
        }
    }
    counting = false;
    print_message("%zu allocations, each failed once\n", all);
    assert_int_equal(silent, 0);
}

static void good_key(void **state)
{
    (void)state;
    fail_each(key_text);
}

static void faulty_key(void **state)
{
    (void)state;
    fail_each("rushlight: 1\nkey: k\nkey: again\ncharacters:\n  a: {states: [x, y], lable: z}\n"
              "taxa:\n  T: {rank: specie, within: U, traits: {a: w, b: x}}\n"
              "  T2: {rank: species, traits: {a: {x: 0.5}}}\n");
}

static void broken_yaml(void **state)
{
    (void)state;
    fail_each("rushlight: 1\nkey: [a, b\ntitle: 'x\n" /* and never closed */
              "characters: {a: {b: {c: {d: {e: {f: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(good_key), cmocka_unit_test(faulty_key),
                                       cmocka_unit_test(broken_yaml)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
