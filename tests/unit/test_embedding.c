/* The library in other hands than the program's: what is left out, and calls in an order that nobody is told not to
 * take. */
#include "support/support.h"

#include <string.h>

static const char *key_path;
static rush_key *key;
static rush_diagnostics *list;

static int open_key(void **state)
{
    (void)state;
    key = support_key(key_path);
    list = rush_diagnostics_new();
    return 0;
}

static int close_key(void **state)
{
    (void)state;
    rush_diagnostics_free(list);
    rush_key_free(key);
    return 0;
}

/* ---- a language that the key does not have ------------------------------------------------------------------ */

static void write_sheet(uint32_t language, rush_buffer *out)
{
    rush_part_request request = {.within = rush_text_of("Lestes")};
    const rush_part *part = rush_part_choose(key, &request, list);
    const rush_couplets *couplets = rush_couplets_make(part, NULL);
    rush_sheet_request sheet = {
        .part = part, .couplets = couplets, .pairs = 3, .marks = 3, .language = language};
    rush_document *document = rush_sheet_make(&sheet);
    assert_non_null(document);
    rush_document_html(document, out);
    rush_document_markdown(document, out);
    rush_document_text(document, out);
    rush_document_json(document, out);
    rush_report_couplets_text(couplets, RUSH_COUPLETS_BRACKETED, language, out);
    rush_document_free(document);
    rush_couplets_free(couplets);
    rush_part_free(part);
}

static void write_ranking(uint32_t language, rush_buffer *out)
{
    rush_sighting *sighting = rush_sighting_new(key);
    rush_ranker *ranker = rush_ranker_new(key);
    support_sighting(sighting, "rest posture: folded; total length: 34 mm");
    rush_result result = {.ranker = ranker,
                          .ranking = rush_rank(ranker, sighting, NULL),
                          .file = "lines",
                          .line = 1,
                          .top = 3,
                          .language = language};
    rush_report_text(&result, out);
    rush_report_jsonl(&result, out);
    rush_sighting_write(sighting, language, out);
    rush_ranker_free(ranker);
    rush_sighting_free(sighting);
}

static void write_all(uint32_t language, rush_buffer *out)
{
    rush_report_key(key, language, out);
    rush_report_taxon(key, rush_key_taxon_count(key) - 1, language, out);
    rush_report_character(key, rush_key_find_character(key, rush_text_of("rest posture")),
                          language, out);
    write_ranking(language, out);
    write_sheet(language, out);
    assert_false(out->failed);
}

static void unknown_language(void **state)
{
    (void)state;
    rush_buffer usual = {0}, other = {0};
    const uint32_t unknown[] = {rush_key_language(key, rush_text_of("xx")),
                                rush_key_about(key)->language_count};
    write_all(0, &usual);
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++) {
        rush_buffer_clear(&other);
        write_all(unknown[i], &other);
        assert_string_equal(other.bytes, usual.bytes);
    }
    rush_buffer_free(&usual);
    rush_buffer_free(&other);
}

/* ---- what is left out ---------------------------------------------------------------------------------------- */

static void no_options(void **state)
{
    (void)state;
    rush_dialogue *dialogue = rush_dialogue_new(key, NULL);
    assert_int_equal(rush_dialogue_begin(dialogue)->reach, rush_dialogue_usual().reach);
    assert_int_equal(rush_dialogue_usual().reach, RUSH_REACH_CLOSE); /* as the program has it */
    rush_dialogue_free(dialogue);
    rush_drill *drill = rush_drill_new(key, NULL);
    assert_int_equal(rush_drill_begin(drill)->rounds, RUSH_DRILL_ROUNDS);
    rush_drill_free(drill);
}

/* What is usual, written out, is what NULL gives. */
static void usual_options(void **state)
{
    (void)state;
    rush_part_request request = {.within = rush_text_of("Sympetrum")};
    const rush_part *part = rush_part_choose(key, &request, list);
    const rush_couplets_options by_hand = rush_couplets_usual();
    const rush_couplets *usual = rush_couplets_make(part, NULL);
    const rush_couplets *written = rush_couplets_make(part, &by_hand);
    rush_buffer a = {0}, b = {0};
    rush_report_couplets_json(usual, 0, &a);
    rush_report_couplets_json(written, 0, &b);
    assert_string_equal(a.bytes, b.bytes);
    rush_buffer_free(&a);
    rush_buffer_free(&b);
    rush_couplets_free(usual);
    rush_couplets_free(written);
    rush_part_free(part);
}

static void usual_looks_and_lines(void **state)
{
    (void)state;
    uint32_t count, again;
    rush_sighting *sighting = rush_sighting_new(key);
    rush_ranker *ranker = rush_ranker_new(key);
    rush_adviser *adviser = rush_adviser_new(key);
    rush_line line = RUSH_LINE_USUAL;
    line.text = rush_text_of("folded; red"); /* bare: nothing was asked */
    assert_true(rush_sighting_read(sighting, &line, list));
    const rush_ranking *ranking = rush_rank(ranker, sighting, NULL);
    const rush_look_options usual = rush_look_usual();
    uint32_t first = rush_look_next(adviser, ranking, NULL, &count)->character;
    assert_int_equal(rush_look_next(adviser, ranking, &usual, &again)->character, first);
    assert_int_equal(count, again);
    rush_adviser_free(adviser);
    rush_ranker_free(ranker);
    rush_sighting_free(sighting);
}

static void a_trial_without_options(void **state)
{
    (void)state;
    rush_key *small =
        support_key_of_text("rushlight: 1\n"
                            "key: shells\n"
                            "title: Shells\n"
                            "characters:\n"
                            "  outline: {ask: Which outline?, states: [round, oval]}\n"
                            "taxa:\n"
                            "  A ficta: {rank: species, traits: {outline: round}}\n"
                            "  B ficta: {rank: species, traits: {outline: oval}}\n",
                            NULL);
    rush_trial *trial = rush_trial_hold(small, NULL);
    assert_int_equal(trial->options.sightings, RUSH_TRIAL_SIGHTINGS);
    assert_int_equal(trial->run_count, RUSH_OBSERVER_COUNT);
    rush_trial_free(trial);
    rush_key_free(small);
}

/* What answers say of a month is more than the names of its states. */
static void months_by_name(void **state)
{
    (void)state;
    uint32_t month = rush_key_find_character(key, rush_text_of("month"));
    assert_int_equal(rush_key_find_state(key, month, rush_text_of("july")), 6);
    static const char *const others[] = {"7", "07", "Jul", "2026-07-14"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        assert_int_equal(rush_key_find_state(key, month, rush_text_of(others[i])), RUSH_NONE);
}

/* ---- orders of calls ----------------------------------------------------------------------------------------- */

static void merged_with_itself(void **state)
{
    (void)state;
    rush_buffer before = {0}, after = {0};
    rush_sighting *sighting = rush_sighting_new(key);
    support_sighting(sighting, "rest posture: folded; total length: 34 mm; place: a pond");
    rush_sighting_write(sighting, 0, &before);
    assert_true(rush_sighting_merge(sighting, sighting));
    rush_sighting_write(sighting, 0, &after);
    assert_string_equal(after.bytes, before.bytes);
    rush_buffer_free(&before);
    rush_buffer_free(&after);
    rush_sighting_free(sighting);
}

/* A line to a conversation that nobody has begun does what it does to one that was. */
static void talk_without_a_beginning(void **state)
{
    (void)state;
    static const char *const lines[] = {".",          "",      "?",          "<",    "list",
                                        "why",        "apart", "apart 1, 2", "said", "help",
                                        "reach hand", "1",     "folded"};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        rush_dialogue *begun = rush_dialogue_new(key, NULL),
                      *not_begun = rush_dialogue_new(key, NULL);
        rush_dialogue_begin(begun);
        const rush_reply *wanted = rush_dialogue_step(begun, rush_text_of(lines[i]));
        const rush_reply *reply = rush_dialogue_step(not_begun, rush_text_of(lines[i]));
        assert_int_equal(reply->kind, wanted->kind);
        assert_int_equal(reply->asked, wanted->asked);
        rush_dialogue_free(begun);
        rush_dialogue_free(not_begun);
    }
    rush_dialogue *dialogue = rush_dialogue_new(key, NULL);
    assert_int_equal(rush_dialogue_end(dialogue)->kind, RUSH_REPLY_END);
    rush_dialogue_free(dialogue);
}

static void practice_without_a_beginning(void **state)
{
    (void)state;
    static const char *const lines[] = {"more", "hint", "marks", "give up",
                                        "why",  "?",    "quit",  "Aeshna cyanea"};
    const rush_screen screen = {80, 24, false};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        rush_buffer wanted = {0}, shown = {0};
        rush_drill *begun = rush_drill_new(key, NULL), *not_begun = rush_drill_new(key, NULL);
        rush_drill_begin(begun);
        rush_report_drill(rush_drill_step(begun, rush_text_of(lines[i])), &screen, &wanted);
        rush_report_drill(rush_drill_step(not_begun, rush_text_of(lines[i])), &screen, &shown);
        assert_string_equal(shown.bytes, wanted.bytes);
        rush_buffer_free(&wanted);
        rush_buffer_free(&shown);
        rush_drill_free(begun);
        rush_drill_free(not_begun);
    }
    rush_drill *drill = rush_drill_new(key, NULL);
    assert_int_equal(rush_drill_end(drill)->kind, RUSH_DRILL_END);
    rush_drill_free(drill);
}

/* The days on which a card comes back stay days that can be written down and read again. */
static void a_day_beyond_all_dates(void **state)
{
    (void)state;
    static const int32_t days[] = {INT32_MAX, INT32_MIN};
    static const char *const due[] = {"\"due\":\"9999-12-31\"", "\"due\":\"0001-01-01\""};
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        rush_drill_options how = rush_drill_usual();
        how.today = days[i];
        rush_buffer kept = {0};
        rush_drill *drill = rush_drill_new(key, &how);
        rush_drill_begin(drill);
        rush_drill_step(drill, rush_text_of("give up"));
        rush_drill_write(drill, &kept);
        assert_non_null(strstr(kept.bytes, due[i]));
        assert_true(rush_drill_read(drill, "kept", (rush_text){kept.bytes, kept.length}, list));
        rush_buffer_free(&kept);
        rush_drill_free(drill);
    }
}

int main(int count, char **arguments)
{
    if (count != 2)
        return 2;
    key_path = arguments[1];
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unknown_language),
        cmocka_unit_test(no_options),
        cmocka_unit_test(usual_options),
        cmocka_unit_test(usual_looks_and_lines),
        cmocka_unit_test(a_trial_without_options),
        cmocka_unit_test(months_by_name),
        cmocka_unit_test(merged_with_itself),
        cmocka_unit_test(talk_without_a_beginning),
        cmocka_unit_test(practice_without_a_beginning),
        cmocka_unit_test(a_day_beyond_all_dates),
    };
    return cmocka_run_group_tests(tests, open_key, close_key);
}
