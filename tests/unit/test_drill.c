/* Practice with the shipped key: Leitner's boxes, what comes back and when, and that a seed is a seed. */
#include "support/practice.h"

#include <string.h>

/* Day numbers: 1970-01-01 is 0 (POSIX, Seconds Since the Epoch, by days); 2000-02-29 was a day and 1900-02-29 was
 * not (the Gregorian rule). 2026-07-15 as `date -u -d 2026-07-15 +%s` has it, by 86400. */
static void days(void **state)
{
    (void)state;
    int32_t day;
    assert_true(rush_drill_day(rush_text_of("1970-01-01"), &day));
    assert_int_equal(day, 0);
    assert_true(rush_drill_day(rush_text_of("2026-07-15"), &day));
    assert_int_equal(day, PRACTICE_TODAY);
    assert_true(rush_drill_day(rush_text_of("2000-02-29"), &day));
    assert_int_equal(day, 11016);
    assert_true(rush_drill_day(rush_text_of("0001-01-01"), &day));
    assert_int_equal(day, -719162);
    assert_false(rush_drill_day(rush_text_of("1900-02-29"), &day));
    assert_false(rush_drill_day(rush_text_of("2026-13-01"), &day));
    assert_false(rush_drill_day(rush_text_of("2026-07"), &day));
    assert_false(rush_drill_day(rush_text_of("2026-07-1x"), &day));
}

/* Played when it is due, a right name moves it on: after 1, 2, 4 and 8 days; out of the last box it does not go. */
static void a_box_rises(void **state)
{
    static const struct {
        unsigned box, then;
        int32_t days;
    } steps[] = {{1, 2, 1}, {2, 3, 2}, {3, 4, 4}, {4, 5, 8}, {5, 5, 8}};
    (void)state;
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        rush_drill *drill = practice_begin((rush_drill_options){.seed = 1});
        practice_read_card(drill, "Libellula depressa", steps[i].box, "2026-07-15");
        rush_drill_begin(drill);
        const rush_drill_reply *reply = practice_say(drill, "Libellula depressa");
        assert_non_null(reply->outcome);
        assert_int_equal(reply->outcome->result, RUSH_DRILL_RIGHT);
        assert_int_equal(reply->outcome->card->box, steps[i].then);
        assert_int_equal(reply->outcome->card->due, PRACTICE_TODAY + steps[i].days);
        assert_int_equal(reply->outcome->card->rounds, 7);
        assert_int_equal(reply->outcome->card->right, 5);
        rush_drill_free(drill);
    }
}

/* However often it is named rightly in one day, it moves one box. */
static void one_box_a_day(void **state)
{
    (void)state;
    rush_diagnostics *list = rush_diagnostics_new();
    rush_part_request request = {.within = rush_text_of("Libellula depressa")};
    const rush_part *part = rush_part_choose(practice_key, &request, list);
    assert_non_null(part);
    rush_drill *drill =
        practice_begin((rush_drill_options){.seed = 1, .rounds = 6, .part = part});
    rush_drill_begin(drill);
    for (int i = 0; i < 6; i++) {
        const rush_drill_reply *reply = practice_say(drill, "Libellula depressa");
        assert_int_equal(reply->outcome->result, RUSH_DRILL_RIGHT);
        assert_int_equal(reply->outcome->card->box, 2);
        assert_int_equal(reply->outcome->card->due, PRACTICE_TODAY + 1);
        assert_int_equal(reply->outcome->card->rounds, i + 1);
    }
    rush_drill_free(drill);
    rush_part_free(part);
    rush_diagnostics_free(list);
}

/* Nothing flies out of its season, or where the key does not have it. */
static void occasions_are_listed(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 300; seed++) {
        rush_drill *drill = practice_begin((rush_drill_options){.seed = seed, .rounds = 1});
        const rush_drill_reply *reply = rush_drill_begin(drill);
        rush_drill_mark shown[16];
        uint32_t count = reply->occasion_count;
        assert_true(count > 0 && count <= 16);
        memcpy(shown, reply->occasion, count * sizeof *shown);
        uint32_t form = practice_say(drill, "give up")->outcome->form;
        for (uint32_t i = 0; i < count; i++) {
            const rush_trait *trait =
                rush_key_trait(practice_key, form, shown[i].character, NULL);
            assert_true(!trait || trait->kind != RUSH_TRAIT_STATES ||
                        trait->weights[shown[i].state] > 0);
        }
        rush_drill_free(drill);
    }
}

static void a_box_falls(void **state)
{
    (void)state;
    for (unsigned box = 1; box <= RUSH_DRILL_BOXES; box++) {
        rush_drill *drill = practice_begin((rush_drill_options){.seed = 1});
        practice_read_card(drill, "Libellula depressa", box, "2026-07-15");
        rush_drill_begin(drill);
        const rush_drill_reply *reply = practice_say(drill, "Anax imperator");
        assert_int_equal(reply->outcome->result, RUSH_DRILL_WRONG);
        assert_int_equal(reply->outcome->card->taxon,
                         rush_key_find_taxon(practice_key, rush_text_of("Libellula depressa")));
        assert_int_equal(reply->outcome->card->box, 1);
        assert_int_equal(reply->outcome->card->due, PRACTICE_TODAY);
        assert_int_equal(reply->outcome->card->right, 4);
        rush_drill_free(drill);
    }
}

/* What is not due is not played while there is something new. */
static void not_due(void **state)
{
    (void)state;
    rush_drill *drill = practice_begin((rush_drill_options){.seed = 1, .rounds = 12});
    practice_read_card(drill, "Libellula depressa", 2, "2026-07-16");
    rush_drill_begin(drill);
    for (int i = 0; i < 12; i++)
        assert_string_not_equal(practice_name(practice_give_up(drill)), "Libellula depressa");
    rush_drill_free(drill);
}

/* Missed: it is the fourth one behind, three others between, but nobody is held with the same four. Right: hardly
 * ever again among as many. */
static void missed_comes_back(void **state)
{
    enum { ROUNDS = 12 };
    (void)state;
    uint32_t order[ROUNDS], again = 0;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        rush_drill *drill = practice_begin((rush_drill_options){.seed = seed, .rounds = ROUNDS});
        rush_drill_begin(drill);
        for (int i = 0; i < ROUNDS; i++)
            order[i] = practice_give_up(drill);
        for (int i = 0; i + 4 < ROUNDS; i++) {
            if (i < 4)
                assert_int_equal(order[i], order[i + 4]);
            for (int between = 1; between < 4; between++)
                assert_int_not_equal(order[i], order[i + between]);
        }
        for (int i = 0; i < 8; i++)
            assert_int_not_equal(order[8], order[i]); /* after four repeats */
        rush_drill_free(drill);
        drill = practice_begin((rush_drill_options){.seed = seed, .rounds = ROUNDS});
        const rush_drill_reply *reply = rush_drill_begin(drill);
        const rush_drill_reply *after = practice_say(drill, practice_name(order[0]));
        assert_int_equal(after->outcome->result, RUSH_DRILL_RIGHT);
        for (int i = 1; i < ROUNDS; i++)
            practice_give_up(drill);
        again += practice_card(reply, order[0])->now > 1;
        rush_drill_free(drill);
    }
    assert_true(again <= 1);
}

static void write_all(uint64_t seed, rush_buffer *out)
{
    const rush_screen screen = {80, 24, false};
    rush_drill *drill = practice_begin((rush_drill_options){.seed = seed, .rounds = 6});
    rush_report_drill(rush_drill_begin(drill), &screen, out);
    for (int i = 0; i < 6; i++) {
        rush_report_drill(practice_say(drill, "more"), &screen, out);
        rush_report_drill(practice_say(drill, "give up"), &screen, out);
    }
    rush_drill_write(drill, out);
    assert_false(out->failed);
    rush_drill_free(drill);
}

static void seeds(void **state)
{
    (void)state;
    rush_buffer one = {0}, again = {0}, other = {0};
    write_all(3, &one);
    write_all(3, &again);
    write_all(4, &other);
    assert_string_equal(one.bytes, again.bytes);
    assert_string_not_equal(one.bytes, other.bytes);
    rush_buffer_free(&one);
    rush_buffer_free(&again);
    rush_buffer_free(&other);
}

/* Far before near before close, and the marks of an insect are such as its form can show. */
static void order_of_seeing(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 40; seed++) {
        rush_drill *drill = practice_begin((rush_drill_options){.seed = seed, .rounds = 1});
        const rush_drill_reply *reply = rush_drill_begin(drill);
        assert_int_equal(reply->mark_count, 3);
        while (reply->kind != RUSH_DRILL_NO_MORE)
            reply = practice_say(drill, "");
        assert_true(reply->mark_count > 10);
        reply = practice_say(drill, "give up");
        const rush_drill_outcome *outcome = reply->outcome;
        rush_reach reach = RUSH_REACH_FAR;
        for (uint32_t i = 0; i < outcome->mark_count; i++) {
            const rush_drill_mark *mark = &outcome->marks[i];
            const rush_character *character = rush_key_character(practice_key, mark->character);
            const rush_trait *trait =
                rush_key_trait(practice_key, outcome->form, mark->character, NULL);
            assert_true(character->reach >= reach && character->reach <= RUSH_REACH_CLOSE);
            reach = character->reach;
            if (trait->kind == RUSH_TRAIT_STATES)
                assert_true(trait->weights[mark->state] > 0);
        }
        rush_drill_free(drill);
    }
}

/* A colour of stripes is not shown where there are no stripes: common practice, no published source. */
static void marks_make_sense(void **state)
{
    static const char *const nothing[][3] = {{"shoulder-stripes", "none", "stripe-colour"},
                                             {"abdomen-pattern", "plain", "spot-colour"}};
    uint32_t without[2] = {0};
    (void)state;
    for (uint64_t seed = 1; seed <= 200; seed++) {
        rush_drill *drill = practice_begin((rush_drill_options){.seed = seed});
        const rush_drill_reply *reply = rush_drill_begin(drill);
        while (reply->kind != RUSH_DRILL_NO_MORE)
            reply = practice_say(drill, "");
        for (int i = 0; i < 2; i++) {
            uint32_t character =
                rush_key_find_character(practice_key, rush_text_of(nothing[i][0]));
            uint32_t none =
                rush_key_find_state(practice_key, character, rush_text_of(nothing[i][1]));
            uint32_t colour = rush_key_find_character(practice_key, rush_text_of(nothing[i][2]));
            bool absent = false, coloured = false;
            for (uint32_t m = 0; m < reply->mark_count; m++) {
                absent |= reply->marks[m].character == character && reply->marks[m].state == none;
                coloured |= reply->marks[m].character == colour;
            }
            without[i] += absent;
            assert_false(absent && coloured);
        }
        rush_drill_free(drill);
    }
    assert_true(without[0] > 5 && without[1] > 5);
}

/* The hard ones are those of the hardest pairs. */
static void hard(void **state)
{
    (void)state;
    rush_hard_pair pairs[RUSH_DRILL_PAIRS];
    uint32_t count = rush_apart_hardest(practice_key, NULL, RUSH_NONE, pairs, RUSH_DRILL_PAIRS);
    rush_drill *drill =
        practice_begin((rush_drill_options){.seed = 2, .rounds = 30, .hard = true});
    rush_drill_begin(drill);
    for (int i = 0; i < 30; i++) {
        uint32_t taxon = practice_give_up(drill), found = 0;
        for (uint32_t p = 0; p < count; p++)
            found += pairs[p].taxon == taxon || pairs[p].other == taxon;
        assert_true(found > 0);
    }
    rush_drill_free(drill);
}

/* What is written is read again; strange lines are refused. */
static void kept(void **state)
{
    (void)state;
    rush_buffer first = {0}, second = {0};
    rush_diagnostics *list = rush_diagnostics_new();
    write_all(5, &first);
    const char *text = strstr(first.bytes, "{\"schema\"");
    rush_drill *drill = practice_begin((rush_drill_options){.seed = 1});
    assert_true(rush_drill_read(drill, "kept", rush_text_of(text), list));
    rush_drill_write(drill, &second);
    assert_string_equal(text, second.bytes);
    rush_drill_free(drill);
    static const char *const strange[] = {
        "[]",
        "{\"schema\":2,\"kept\":\"practice\"}",
        "\xff",
        "{\"schema\":1,\"kept\":\"practice\"}\n{\"key\":3}",
        "{\"schema\":1,\"kept\":\"practice\"}\n{\"key\":\"k\",\"taxon\":\"T\",\"box\":1,"
        "\"due\":\"2026-02-30\",\"rounds\":1,\"right\":1}",
        "{\"schema\":1,\"kept\":\"practice\"}\n{\"key\":\"k\",\"taxon\":\"T\",\"box\":1,"
        "\"due\":\"2026-02-20\",\"rounds\":1,\"right\":2}"};
    for (size_t i = 0; i < sizeof strange / sizeof *strange; i++) {
        drill = practice_begin((rush_drill_options){.seed = 1});
        rush_diagnostics_clear(list);
        assert_false(rush_drill_read(drill, "kept", rush_text_of(strange[i]), list));
        assert_int_equal(rush_diagnostics_errors(list), 1);
        rush_drill_free(drill);
    }
    rush_diagnostics_free(list);
    rush_buffer_free(&first);
    rush_buffer_free(&second);
}

/* What is met often comes first, and still more than what is scarce once it has been named rightly; what is scarce
 * comes sometimes. */
static void common_before_rare(void **state)
{
    enum { DRAWS = 300 };
    static const struct {
        double often, seldom; /* occurrence */
        uint32_t times;
        double known; /* what is met so often has been named rightly */
    } cases[] = {{20, 5, 20, 1000}, {30, 3, 1, 10}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        uint32_t of_often = 0, of_seldom = 0;
        for (uint64_t seed = 1; seed <= DRAWS; seed++) {
            rush_drill *drill = practice_begin((rush_drill_options){.seed = seed});
            for (uint32_t leaf = 0; leaf < rush_key_leaf_count(practice_key); leaf++)
                if (rush_key_taxon(practice_key, rush_key_leaf(practice_key, leaf))->occurrence >=
                    cases[i].known)
                    practice_read_card(drill, practice_name(rush_key_leaf(practice_key, leaf)), 2,
                                       "2026-07-16");
            rush_drill_begin(drill);
            double met = rush_key_taxon(practice_key, practice_give_up(drill))->occurrence;
            of_often += met >= cases[i].often;
            of_seldom += met <= cases[i].seldom;
            rush_drill_free(drill);
        }
        assert_true(of_seldom && of_often > cases[i].times * of_seldom);
    }
}

/* Two drills on one file: what is read again before it is written loses no round of either. */
static void two_at_once(void **state)
{
    (void)state;
    rush_drill *drills[] = {practice_begin((rush_drill_options){.seed = 1}),
                            practice_begin((rush_drill_options){.seed = 2})};
    rush_diagnostics *list = rush_diagnostics_new();
    rush_buffer file = {0};
    uint32_t played[2];
    for (int i = 0; i < 2; i++) {
        rush_drill_begin(drills[i]);
        played[i] = practice_give_up(drills[i]);
        assert_true(
            rush_drill_read(drills[i], "kept", (rush_text){file.bytes, file.length}, list));
        rush_buffer_clear(&file);
        rush_drill_write(drills[i], &file);
    }
    assert_int_not_equal(played[0], played[1]);
    for (int i = 0; i < 2; i++) {
        assert_non_null(strstr(file.bytes, practice_name(played[i])));
        rush_drill_free(drills[i]);
    }
    rush_buffer_free(&file);
    rush_diagnostics_free(list);
}

int main(int count, char **words)
{
    if (count != 2)
        return 2;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days),
        cmocka_unit_test(a_box_rises),
        cmocka_unit_test(one_box_a_day),
        cmocka_unit_test(occasions_are_listed),
        cmocka_unit_test(a_box_falls),
        cmocka_unit_test(not_due),
        cmocka_unit_test(missed_comes_back),
        cmocka_unit_test(seeds),
        cmocka_unit_test(order_of_seeing),
        cmocka_unit_test(marks_make_sense),
        cmocka_unit_test(hard),
        cmocka_unit_test(kept),
        cmocka_unit_test(common_before_rare),
        cmocka_unit_test(two_at_once),
    };
    practice_path = words[1];
    return cmocka_run_group_tests(tests, practice_open, practice_close);
}
