/* Asks the cases of one NAME.cases.tsv of their key: reference FILE KEYS-FOLDER. README.md says what the
 * columns mean and where each value comes from. */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct reference_run {
    rush_key *key;
    rush_sighting *sighting;
    rush_ranker *ranker;
    rush_adviser *adviser;
    const rush_ranking *ranking;
    unsigned asked, wrong;
} reference_run;

static const char *cases_file, *keys_folder;

static uint32_t taxon(const reference_run *run, const char *name)
{
    uint32_t found = rush_key_find_taxon(run->key, rush_text_of(name));
    if (found == RUSH_NONE)
        fail_msg("no such taxon: %s", name);
    return found;
}

/* The gain of a character, however small; *place is its place in the listing. */
static double gain(const reference_run *run, const char *name, uint32_t *place)
{
    rush_look_options all = {RUSH_REACH_HAND, 0, false};
    uint32_t character = rush_key_find_character(run->key, rush_text_of(name)), count;
    const rush_look *looks = rush_look_next(run->adviser, run->ranking, &all, &count);
    for (uint32_t i = 0; i < count; i++)
        if (looks[i].character == character) {
            *place = i;
            return looks[i].gain;
        }
    fail_msg("not offered: %s", name);
    return 0;
}

static double entropy(const reference_run *run)
{
    double sum = 0, whole = 0;
    for (uint32_t i = 0; i < run->ranking->candidate_count; i++) {
        double p = run->ranking->candidates[i].probability;
        whole += p;
        sum -= p > 0 ? p * log2(p) : 0;
    }
    return sum / whole + log2(whole);
}

static bool within(const reference_run *run, uint32_t at, uint32_t above)
{
    for (; at != RUSH_NONE; at = rush_key_taxon(run->key, at)->parent)
        if (at == above)
            return true;
    return false;
}

/* Both sides of "A > B" or "A = B"; the text is cut in two. */
static char *other_side(char *subject, const char *sign)
{
    char *at = strstr(subject, sign);
    if (!at)
        fail_msg("no '%s' in %s", sign, subject);
    *at = '\0';
    return at + strlen(sign);
}

static bool tied(const reference_run *run, char *subject, double tolerance)
{
    char *second = other_side(subject, " = ");
    uint32_t a = rush_key_find_taxon(run->key, rush_text_of(subject)), first = 0, other = 0;
    if (a != RUSH_NONE) {
        uint32_t b = taxon(run, second);
        for (uint32_t i = 0; i < run->ranking->candidate_count; i++) {
            first = run->ranking->candidates[i].taxon;
            if (first == a || first == b)
                return first == a &&
                       fabs(run->ranking->taxa[a] - run->ranking->taxa[b]) <= tolerance;
        }
        return false;
    }
    double x = gain(run, subject, &first), y = gain(run, second, &other);
    return fabs(x - y) <= tolerance && first < other;
}

static bool holds(reference_run *run, const char *quantity, char *subject, double expected,
                  double tolerance, double *got)
{
    const rush_ranking *ranking = run->ranking;
    uint32_t place, count;
    *got = NAN;
    if (strcmp(quantity, "probability") == 0)
        return fabs((*got = ranking->taxa[taxon(run, subject)]) - expected) <= tolerance;
    if (strcmp(quantity, "gain") == 0)
        return fabs((*got = gain(run, subject, &place)) - expected) <= tolerance;
    if (strcmp(quantity, "entropy") == 0)
        return fabs((*got = entropy(run)) - expected) <= tolerance;
    if (strcmp(quantity, "first") == 0)
        return ranking->candidates[0].taxon == taxon(run, subject);
    if (strcmp(quantity, "safe") == 0)
        return ranking->verdict.safe && within(run, ranking->verdict.taxon, taxon(run, subject));
    if (strcmp(quantity, "sex") == 0)
        return strcmp(rush_sex_name(rush_key_form(run->key, ranking->candidates[0].form)->sex),
                      subject) == 0;
    if (strcmp(quantity, "ahead") == 0) {
        char *second = other_side(subject, " > ");
        return ranking->taxa[taxon(run, subject)] > ranking->taxa[taxon(run, second)];
    }
    if (strcmp(quantity, "look") == 0) {
        const rush_look *looks = rush_look_next(run->adviser, ranking, NULL, &count);
        return count &&
               looks[0].character == rush_key_find_character(run->key, rush_text_of(subject));
    }
    if (strcmp(quantity, "tie") == 0)
        return tied(run, subject, tolerance);
    fail_msg("no such quantity: %s", quantity);
    return false;
}

static void ask_case(reference_run *run, char *row, unsigned line)
{
    char *fields[6], *end;
    if (support_split(row, '\t', fields, 6) != 6 || !fields[5][0])
        fail_msg("%s:%u: six columns are wanted, the source last", cases_file, line);
    bool number = strcmp(fields[3], "yes") != 0;
    double expected = number ? strtod(fields[3], &end) : 0, got;
    double tolerance = strcmp(fields[4], "-") == 0 ? 0 : strtod(fields[4], &end);
    support_sighting(run->sighting, fields[0]);
    run->ranking = rush_rank(run->ranker, run->sighting, NULL);
    run->asked++;
    if (holds(run, fields[1], fields[2], expected, tolerance, &got))
        return;
    run->wrong++;
    print_error("%s:%u: %s of '%s' given '%s': wanted %s, got %.12g (%s)\n", cases_file, line,
                fields[1], fields[2], fields[0], fields[3], got, fields[5]);
}

static void key_path(char *path, size_t size, const char *text)
{
    static const char sign[] = "# key: ";
    if (strncmp(text, sign, sizeof sign - 1) == 0) {
        text += sizeof sign - 1;
        snprintf(path, size, "%s/%.*s", keys_folder, (int)strcspn(text, "\r\n"), text);
        return;
    }
    size_t stem = strlen(cases_file) - strlen(".cases.tsv");
    snprintf(path, size, "%.*s.yaml", (int)stem, cases_file);
}

static void reference(void **state)
{
    (void)state;
    rush_buffer text = {0};
    char path[1024];
    support_read(cases_file, &text);
    key_path(path, sizeof path, text.bytes);
    reference_run run = {.key = support_key(path)};
    run.sighting = rush_sighting_new(run.key);
    run.ranker = rush_ranker_new(run.key);
    run.adviser = rush_adviser_new(run.key);
    unsigned line = 1;
    for (char *row = text.bytes, *next; row && *row; row = next, line++) {
        next = strchr(row, '\n');
        if (next)
            *next++ = '\0';
        if (row[0] != '#' && row[0])
            ask_case(&run, row, line);
    }
    rush_sighting_free(run.sighting);
    rush_ranker_free(run.ranker);
    rush_adviser_free(run.adviser);
    rush_key_free(run.key);
    rush_buffer_free(&text);
    print_message("%u cases asked, %u wrong\n", run.asked, run.wrong);
    assert_true(run.asked > 0);
    assert_int_equal(run.wrong, 0);
}

int main(int argc, char **argv)
{
    if (argc != 3)
        return 2;
    cases_file = argv[1];
    keys_folder = argv[2];
    const struct CMUnitTest tests[] = {cmocka_unit_test(reference)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
