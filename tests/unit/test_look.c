/* Look next against the textbook: H(R) - sum over t of P(t) H(R|t) (Quinlan 1986, Machine Learning 1:81-106), summed
 * form by form, of keys in which forms differ, are unscored or cannot show a character; from nothing answered to a
 * field of a few forms. */
#include "advise/look.h"
#include "base/random.h"
#include "rank/likelihood.h"
#include "support/support.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TAXA = 400, CHARACTERS = 12, SIGHTINGS = 2, ANSWERS = 9, REPORTS_MAX = 4300 };

static int differ, narrowed, wide;

/* ---- a key -------------------------------------------------------------------------------------- */

static int states_of(int character)
{
    return 2 + character % 7;
}

static bool is_number(int character)
{
    return character % 4 == 3;
}

static void say_trait(rush_random *dice, rush_buffer *text, int character)
{
    int states = states_of(character), first = (int)rush_random_below(dice, states);
    double kind = rush_random_unit(dice);
    rush_buffer_format(text, "c%d: ", character);
    if (kind < 0.06)
        rush_buffer_string(text, "inapplicable, ");
    else if (is_number(character)) {
        int low = 10 + (int)rush_random_below(dice, 100);
        rush_buffer_format(text, "%d-%d, ", low, low + 4 + (int)(kind * 16));
    } else if (kind < 0.3)
        rush_buffer_format(text, "[s%d, s%d], ", first, (first + 1) % states);
    else
        rush_buffer_format(text, "s%d, ", first);
}

static void say_traits(rush_random *dice, rush_buffer *text, double part)
{
    rush_buffer_string(text, "{");
    for (int c = 0; c < CHARACTERS; c++)
        if (rush_random_unit(dice) < part)
            say_trait(dice, text, c);
    rush_buffer_format(text, "shore: %s}", rush_random_unit(dice) < 0.5 ? "north" : "south");
}

static void say_characters(rush_buffer *text)
{
    rush_buffer_string(text, "rushlight: 1\nkey: many\ncharacters:\n");
    for (int c = 0; c < CHARACTERS; c++) {
        if (is_number(c)) {
            rush_buffer_format(
                text, "  c%d: {measure: length, misread: 0.002, reading_error: 10%%}\n", c);
            continue;
        }
        rush_buffer_format(text, "  c%d: {misread: 0.00%d, states: [s0", c, c % 5);
        for (int s = 1; s < states_of(c); s++)
            rush_buffer_format(text, ", s%d", s);
        rush_buffer_format(text, "]%s}\n", c % 3 ? "" : ", confused: [[s0, s1]]");
    }
    rush_buffer_string(text, "  shore: {setting: states, states: [north, south]}\ntaxa:\n");
}

/* One to three forms, of equal shares or not. */
static void say_forms(rush_random *dice, rush_buffer *text)
{
    static const char *const shares[] = {"", ", share: 0.3", ", share: 0.03"};
    int forms = 1 + (int)rush_random_below(dice, 3), share = (int)rush_random_below(dice, 3);
    if (forms == 1)
        return;
    rush_buffer_string(text, "    forms:\n");
    for (int f = 0; f < forms; f++) {
        rush_buffer_format(text, "      - {form: f%d%s, traits: ", f, f ? "" : shares[share]);
        say_traits(dice, text, 0.2);
        rush_buffer_string(text, "}\n");
    }
}

static rush_key *make_key(uint64_t seed)
{
    rush_random dice = rush_random_at(seed, 0, 0);
    rush_buffer text = {0};
    say_characters(&text);
    for (int t = 0; t < TAXA; t++) {
        if (t % 50 == 0)
            rush_buffer_format(&text, "  F%d: {rank: family}\n", t / 50);
        if (t % 5 == 0)
            rush_buffer_format(&text, "  G%d: {rank: genus, within: F%d}\n", t / 5, t / 50);
        rush_buffer_format(&text,
                           "  G%d t%d:\n    rank: species\n    within: G%d\n    occurrence: %d\n"
                           "    traits: ",
                           t / 5, t, t / 5, 1 + (int)rush_random_below(&dice, 30));
        say_traits(&dice, &text, 0.7);
        rush_buffer_string(&text, "\n");
        say_forms(&dice, &text);
    }
    assert_false(text.failed);
    rush_key *key = support_key_of_text(text.bytes, NULL);
    assert_non_null(key);
    rush_buffer_free(&text);
    return key;
}

/* ---- the textbook ------------------------------------------------------------------------------- */

/* m H of numbers that sum to m. */
static double entropy(const double *numbers, uint32_t count)
{
    double sum = 0, bits = 0;
    for (uint32_t i = 0; i < count; i++)
        sum += numbers[i];
    for (uint32_t i = 0; i < count; i++)
        if (numbers[i] > 0)
            bits -= numbers[i] * log2(numbers[i] / sum);
    return bits;
}

static double textbook(const rush_key *key, uint32_t character, const double *mass)
{
    static double all[REPORTS_MAX], of_taxon[REPORTS_MAX];
    const rush_column *column = &key->model.columns[character];
    bool number = key->characters[character].kind == RUSH_KIND_NUMBER;
    uint32_t reports = number ? RUSH_BINS : key->characters[character].state_count;
    double given = 0, whole = 0;
    wide += column->wide != NULL;
    memset(all, 0, sizeof all);
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        uint32_t first = rush_column_profile(column, taxon->first_form);
        memset(of_taxon, 0, sizeof of_taxon);
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
            uint32_t profile = rush_column_profile(column, f);
            differ += profile != first;
            (number ? rush_reports_of_number : rush_reports_of_states)(key, character, profile,
                                                                       mass[f], of_taxon);
        }
        given += entropy(of_taxon, reports);
        for (uint32_t r = 0; r < reports; r++) {
            all[r] += of_taxon[r];
            whole += of_taxon[r];
        }
    }
    return (entropy(all, reports) - given) / whole;
}

static void compare(rush_adviser *adviser, const rush_ranking *ranking)
{
    static const rush_look_options all = {RUSH_REACH_HAND, -1, true};
    uint32_t count, counted = 0;
    const rush_look *looks = rush_look_next(adviser, ranking, &all, &count);
    assert_true(count > 0);
    for (uint32_t i = 0; i < count; i++) {
        double wanted = textbook(ranking->key, looks[i].character, ranking->forms);
        if (fabs(looks[i].gain - wanted) > 1e-6)
            fail_msg("'%s' of %u answers: %.9f bits, and the textbook has %.9f",
                     ranking->key->characters[looks[i].character].id,
                     rush_sighting_answer_count(ranking->sighting), looks[i].gain, wanted);
    }
    for (uint32_t f = 0; f < ranking->key->form_count; f++)
        counted += ranking->forms[f] > 1e-9;
    narrowed += counted < ranking->key->form_count / 16;
}

/* ---- sightings ---------------------------------------------------------------------------------- */

static void say_answer(rush_random *dice, rush_buffer *line, int character)
{
    int state = (int)rush_random_below(dice, states_of(character));
    if (is_number(character))
        rush_buffer_format(line, "c%d: %d mm; ", character,
                           12 + (int)rush_random_below(dice, 100));
    else
        rush_buffer_format(line, "c%d: s%d; ", character, state);
}

static void look_next_is_the_textbooks(void **state)
{
    (void)state;
    rush_random dice = rush_random_at(5, 0, 0);
    rush_buffer line = {0};
    for (uint64_t seed = 1; seed <= 2; seed++) {
        rush_key *key = make_key(seed);
        rush_ranker *ranker = rush_ranker_new(key);
        rush_adviser *adviser = rush_adviser_new(key);
        rush_sighting *sighting = rush_sighting_new(key);
        for (int i = 0; i < SIGHTINGS; i++) {
            int first = (int)rush_random_below(&dice, CHARACTERS);
            rush_buffer_clear(&line);
            for (int a = 0; a <= ANSWERS; a++) {
                rush_sighting_clear(sighting);
                if (a)
                    support_sighting(sighting, line.bytes);
                if (a % 3 == 0)
                    compare(adviser, rush_rank(ranker, sighting, NULL));
                say_answer(&dice, &line, (first + a) % CHARACTERS);
            }
        }
        rush_sighting_free(sighting);
        rush_adviser_free(adviser);
        rush_ranker_free(ranker);
        rush_key_free(key);
    }
    rush_buffer_free(&line);
    assert_true(differ > 0 && narrowed > 0 &&
                wide > 0); /* or this has tested less than it says */
}

/* Two taxa, as if there were no others. */
static void between_two_taxa_it_is_too(void **state)
{
    (void)state;
    rush_key *key = make_key(4);
    rush_adviser *adviser = rush_adviser_new(key);
    double *mass = calloc(key->form_count, sizeof *mass);
    assert_non_null(mass);
    for (uint32_t i = 1; i < key->leaf_count; i += 7) {
        const uint32_t pair[] = {key->leaves[i - 1], key->leaves[i]};
        memset(mass, 0, key->form_count * sizeof *mass);
        for (int k = 0; k < 2; k++)
            for (uint32_t f = 0; f < key->taxa[pair[k]].form_count; f++)
                mass[key->taxa[pair[k]].first_form + f] = 0.1 + 0.2 * k + 0.1 * f;
        for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < key->character_count; c++) {
            double wanted = textbook(key, c, mass);
            assert_true(fabs(rush_information_between(adviser, c, pair[0], pair[1], mass) -
                             wanted) < 1e-6);
            assert_true(fabs(rush_information(adviser, c, mass) - wanted) < 1e-6);
        }
    }
    free(mass);
    rush_adviser_free(adviser);
    rush_key_free(key);
}

/* The names of forms are reports too, and of so many the tables are too large to be kept. */
static void many_names_of_forms(void **state)
{
    (void)state;
    enum { NAMES = 4200 };
    rush_buffer text = {0};
    rush_buffer_string(&text,
                       "rushlight: 1\nkey: names\ncharacters:\n  c: {states: [s0, s1]}\ntaxa:\n");
    for (int t = 0; t < NAMES / 2; t++)
        rush_buffer_format(
            &text,
            "  t%d: {rank: species, traits: {c: s%d}, forms: [{form: f%d}, {form: g%d}]}\n", t,
            t % 2, t, t);
    rush_key *key = support_key_of_text(text.bytes, NULL);
    rush_ranker *ranker = rush_ranker_new(key);
    rush_adviser *adviser = rush_adviser_new(key);
    rush_sighting *sighting = rush_sighting_new(key);
    compare(adviser, rush_rank(ranker, sighting, NULL));
    rush_sighting_free(sighting);
    rush_adviser_free(adviser);
    rush_ranker_free(ranker);
    rush_key_free(key);
    rush_buffer_free(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(look_next_is_the_textbooks),
                                       cmocka_unit_test(between_two_taxa_it_is_too),
                                       cmocka_unit_test(many_names_of_forms)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
