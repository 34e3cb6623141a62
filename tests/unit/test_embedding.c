/* The library in other hands than the program's: what is left out, and calls in an order that nobody is told not to
 * take. */
#include "support/support.h"

#include <string.h>

static const char *key_path;
static rush_key *key;

static int open_key(void **state)
{
    (void)state;
    key = support_key(key_path);
    return 0;
}

static int close_key(void **state)
{
    (void)state;
    rush_key_free(key);
    return 0;
}

/* ---- a language that the key does not have ------------------------------------------------------------------ */

static void write_sheet(uint32_t language, rush_buffer *out)
{
    rush_part_request request = {.within = rush_text_of("Lestes")};
    const rush_part *part = rush_part_choose(key, &request, NULL);
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

int main(int count, char **arguments)
{
    if (count != 2)
        return 2;
    key_path = arguments[1];
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unknown_language),
    };
    return cmocka_run_group_tests(tests, open_key, close_key);
}
