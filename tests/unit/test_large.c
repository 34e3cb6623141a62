/* A key with thousands of hypotheses, as Bayes' rule has it (Mitchell 1997, Machine Learning, section 6.2), here
 * multiplied out form by form; and answers so many that no product of them fits a number. */
#include "base/random.h"
#include "support/support.h"

#include <math.h>
#include <string.h>

enum { TAXA = 3000, CHARACTERS = 9, STATES = 5, LINES = 300 };

static rush_key *make_key(void)
{
    rush_random dice = rush_random_at(7, 0, 0);
    rush_buffer text = {0};
    rush_buffer_string(&text, "rushlight: 1\nkey: many\ncharacters:\n");
    for (int c = 0; c < CHARACTERS; c++)
        rush_buffer_format(&text, "  c%d: {states: [s0, s1, s2, s3, s4]}\n", c);
    rush_buffer_string(
        &text,
        "  width: {measure: length, reading_error: 10%}\n  shore: {setting: states, states: "
        "[north, south]}\ntaxa:\n");
    for (int g = 0; g < TAXA / 5; g++)
        rush_buffer_format(&text, "  G%d: {rank: genus}\n", g);
    for (int t = 0; t < TAXA; t++) {
        rush_buffer_format(&text,
                           "  G%d t%d: {rank: species, within: G%d, occurrence: %d, traits: {",
                           t / 5, t, t / 5, (int)rush_random_below(&dice, 30) + 1);
        for (int c = 0; c < CHARACTERS; c++)
            if (rush_random_unit(&dice) < 0.7)
                rush_buffer_format(&text, "c%d: s%d, ", c, (int)rush_random_below(&dice, STATES));
        int low = (int)rush_random_below(&dice, 60) + 10;
        rush_buffer_format(&text, "width: %d-%d, shore: %s}}\n", low, low + 8,
                           t % 3 ? "north" : "south");
    }
    assert_false(text.failed);
    rush_key *key = support_key_of_text(text.bytes, NULL);
    assert_non_null(key);
    rush_buffer_free(&text);
    return key;
}

static void say_something(rush_random *dice, rush_buffer *line)
{
    rush_buffer_clear(line);
    for (int c = 0; c < CHARACTERS; c++)
        if (rush_random_unit(dice) < 0.6)
            rush_buffer_format(line, "c%d: s%d; ", c, (int)rush_random_below(dice, STATES));
    rush_buffer_format(line, "width: about %d mm", (int)rush_random_below(dice, 60) + 12);
    if (rush_random_unit(dice) < 0.3)
        rush_buffer_string(line, "; shore: south");
}

/* occurrence x share x what each answer says */
static double multiplied(const rush_key *key, const rush_ranker *ranker, uint32_t answers,
                         uint32_t form)
{
    const rush_form *of = rush_key_form(key, form);
    double product = of->share * rush_key_taxon(key, of->taxon)->occurrence;
    for (uint32_t i = 0; i < answers; i++)
        product *= rush_answer_likelihood(ranker, i, form);
    return product;
}

static void compare(const rush_key *key, const rush_ranker *ranker, const rush_ranking *ranking)
{
    uint32_t answers = rush_sighting_answer_count(ranking->sighting),
             best = ranking->candidates[0].form;
    double most = multiplied(key, ranker, answers, best), sum = ranking->unlisted;
    for (uint32_t f = 0; f < rush_key_form_count(key); f++) {
        double wanted = multiplied(key, ranker, answers, f) / most,
               given = ranking->forms[f] / ranking->forms[best];
        sum += ranking->forms[f];
        if (fabs(given / wanted - 1) > 1e-9)
            fail_msg("form %u: %g of the best, and Bayes' rule has %g", f, given, wanted);
    }
    assert_true(fabs(sum - 1) < 1e-9);
    /* What differs by the rounding to single precision is a tie. */
    assert_int_equal(ranking->candidate_count, rush_key_leaf_count(key));
    for (uint32_t i = 1; i < ranking->candidate_count; i++)
        assert_true(ranking->candidates[i].probability <=
                    ranking->candidates[i - 1].probability * (1 + 1e-6));
}

/* The best few are the first of all. */
static void compare_top(rush_ranker *ranker, const rush_sighting *sighting,
                        const rush_ranking *all, uint32_t top)
{
    const rush_ranking *best = rush_rank(ranker, sighting, &(rush_rank_options){.top = top});
    uint32_t count = top < 2 ? 2 : top;
    assert_int_equal(best->candidate_count, count);
    assert_int_equal(best->in_play, all->in_play);
    assert_memory_equal(best->candidates, all->candidates, count * sizeof *best->candidates);
}

/* Each line is also ranked by a ranker that has seen none before: what was kept of earlier ones changes nothing. */
static void many_hypotheses(void **state)
{
    (void)state;
    rush_key *key = make_key();
    rush_ranker *used = rush_ranker_new(key);
    rush_sighting *sighting = rush_sighting_new(key);
    rush_random dice = rush_random_at(11, 0, 0);
    rush_buffer line = {0};
    for (int i = 0; i < LINES; i++) {
        say_something(&dice, &line);
        support_sighting(sighting, line.bytes);
        const rush_ranking *ranking = rush_rank(used, sighting, NULL);
        compare(key, used, ranking);
        if (i % 50)
            continue;
        rush_ranker *fresh = rush_ranker_new(key);
        const rush_ranking *again = rush_rank(fresh, sighting, NULL);
        for (uint32_t f = 0; f < rush_key_form_count(key); f++)
            assert_true(again->forms[f] == ranking->forms[f]);
        for (uint32_t top = 1; top < 40; top += 6)
            compare_top(fresh, sighting, ranking, top);
        rush_ranker_free(fresh);
    }
    rush_buffer_free(&line);
    rush_sighting_free(sighting);
    rush_ranker_free(used);
    rush_key_free(key);
}

/* Two taxa that are each wrong in every answer but one, so that each product is far below the least double; their
 * ratio is that of the two answers in which they differ. */
static void many_answers(void **state)
{
    (void)state;
    enum { ANSWERS = 150 };
    rush_buffer text = {0}, line = {0};
    rush_buffer_string(&text, "rushlight: 1\nkey: deep\nunlisted: 0\ncharacters:\n");
    for (int c = 0; c < ANSWERS; c++)
        rush_buffer_format(&text, "  c%d: {states: [a, b, c], misread: 0.000001}\n", c);
    rush_buffer_string(&text, "taxa:\n");
    for (int t = 0; t < 3; t++) {
        rush_buffer_format(&text, "  G t%d: {rank: species, traits: {", t);
        for (int c = 0; c < ANSWERS; c++)
            rush_buffer_format(&text, "c%d: %s, ", c, t == 2 ? "b" : c == t ? "c" : "a");
        rush_buffer_string(&text, "}}\n");
    }
    for (int c = 0; c < ANSWERS; c++)
        rush_buffer_format(&line, "c%d: c%s", c, c + 1 < ANSWERS ? "; " : "");
    rush_key *key = support_key_of_text(text.bytes, NULL);
    assert_non_null(key);
    rush_ranker *ranker = rush_ranker_new(key);
    rush_sighting *sighting = rush_sighting_new(key);
    support_sighting(sighting, line.bytes);
    const rush_ranking *ranking = rush_rank(ranker, sighting, NULL);
    assert_false(ranking->nothing_fits);
    assert_true(fabs(ranking->forms[0] / ranking->forms[1] - 1) < 1e-9);
    /* one answer less is right: (1 - e) against e / 2 */
    double error = rush_key_character(key, RUSH_BUILT_IN_CHARACTERS)->error;
    assert_true(fabs(ranking->forms[2] / ranking->forms[0] / (error / 2 / (1 - error)) - 1) <
                1e-9);
    rush_buffer_free(&text);
    rush_buffer_free(&line);
    rush_sighting_free(sighting);
    rush_ranker_free(ranker);
    rush_key_free(key);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(many_hypotheses),
                                       cmocka_unit_test(many_answers)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
