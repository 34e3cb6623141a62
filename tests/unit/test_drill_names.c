/* Practice with the shipped key: how names are taken, what is said of them, and what the insects show. */
#include "support/practice.h"

#include <string.h>

/* Whether a form shows a state in 15 of a hundred, or a fifth as often as its likeliest. */
static bool is_usual(uint32_t form, const rush_drill_mark *mark)
{
    const rush_trait *trait = rush_key_trait(practice_key, form, mark->character, NULL);
    for (uint32_t s = 0; s < rush_key_character(practice_key, mark->character)->state_count; s++)
        if (trait->weights[mark->state] < 0.15 &&
            trait->weights[mark->state] < trait->weights[s] * 0.2)
            return false;
    return true;
}

/* No mark is shown that the insect has but oddly, a darter's folded wings; and what fits another, that shows it. */
static void marks_are_usual(void **state)
{
    uint32_t fit = 0, against = 0;
    (void)state;
    for (uint64_t seed = 1; seed <= 300; seed++) {
        rush_drill *drill = practice_begin((rush_drill_options){.seed = seed, .rounds = 1});
        const rush_drill_reply *reply = rush_drill_begin(drill);
        while (reply->left)
            reply = practice_say(drill, "more");
        const rush_drill_outcome *outcome = practice_say(drill, "azure damselfly")->outcome;
        for (uint32_t i = 0; i < outcome->mark_count; i++) {
            const rush_drill_mark *mark = &outcome->marks[i];
            const rush_trait *trait = rush_key_trait(practice_key, outcome->form, mark->character,
                                                     NULL),
                             *its = rush_key_trait(practice_key, outcome->other, mark->character,
                                                   NULL);
            assert_false(mark->fits && mark->against);
            fit += mark->fits;
            against += mark->against;
            if (trait->kind == RUSH_TRAIT_STATES)
                assert_true(is_usual(outcome->form, mark));
            if (!its || its->kind == RUSH_TRAIT_UNSCORED)
                assert_false(mark->fits || mark->against);
            else if (its->kind == RUSH_TRAIT_STATES)
                assert_int_equal(mark->fits, is_usual(outcome->other, mark));
        }
        for (uint32_t i = 0; i < outcome->deciding_count; i++)
            if (rush_key_trait(practice_key, outcome->other, outcome->deciding[i].character, NULL)
                    ->kind == RUSH_TRAIT_STATES)
                assert_false(is_usual(outcome->other, &outcome->deciding[i]));
        rush_drill_free(drill);
    }
    assert_true(fit && against);
}

/* Groups and unknown names cost nothing. */
static void names(void **state)
{
    (void)state;
    rush_drill *drill = practice_begin((rush_drill_options){.seed = 1});
    practice_read_card(drill, "Pyrrhosoma nymphula", 1, "2026-07-15");
    rush_drill_begin(drill);
    const rush_drill_reply *reply = practice_say(drill, "Zygoptera");
    assert_int_equal(reply->kind, RUSH_DRILL_GROUP);
    assert_true(reply->within);
    reply = practice_say(drill, "Anisoptera");
    assert_int_equal(reply->kind, RUSH_DRILL_GROUP);
    assert_false(reply->within);
    reply = practice_say(drill, "azure or common blue");
    assert_int_equal(reply->kind, RUSH_DRILL_UNKNOWN);
    assert_non_null(strstr(rush_diagnostics_at(reply->diagnostics, 0)->help, "one name"));
    reply = practice_say(drill, "large rde damselfly");
    assert_int_equal(reply->kind, RUSH_DRILL_UNKNOWN);
    assert_non_null(
        strstr(rush_diagnostics_at(reply->diagnostics, 0)->help, "large red damselfly"));
    assert_int_equal(reply->played, 0);
    reply = practice_say(drill, "LARGE-RED D");
    assert_int_equal(reply->outcome ? reply->outcome->result : 9, RUSH_DRILL_RIGHT);
    rush_drill_free(drill);
}

/* Who has seen all that shows from afar, which spoke for another, and gives up, has not missed it. */
static void fair_to_give_up(void **state)
{
    enum { ROUNDS = 100 };
    uint32_t fair = 0, counted = 0;
    (void)state;
    rush_drill *drill = practice_begin(
        (rush_drill_options){.seed = 6, .rounds = ROUNDS, .reach = RUSH_REACH_NEAR});
    rush_drill_begin(drill);
    for (int i = 0; i < ROUNDS; i++) {
        while (practice_say(drill, "more")->left)
            ;
        const rush_drill_outcome *outcome = practice_say(drill, "give up")->outcome;
        fair += outcome->fair;
        counted += !outcome->fair;
        assert_int_equal(outcome->fair, outcome->probability_other >= outcome->probability);
        if (outcome->fair)
            assert_int_equal(outcome->card->now, outcome->card->now_right);
    }
    assert_true(fair && counted);
    rush_drill_free(drill);
    drill = practice_begin((rush_drill_options){.seed = 6});
    assert_int_equal(rush_drill_begin(drill)->fair, 0);
    assert_false(practice_say(drill, "give up")->outcome->fair); /* there was more to see */
    rush_drill_free(drill);
}

/* A wrong name for which the shown marks speak no less than for the right one does not count: the card stays as it
 * was, and the score too. */
static void fair_guesses(void **state)
{
    enum { ROUNDS = 300 };
    uint32_t fair = 0, wrong = 0;
    (void)state;
    rush_drill *drill = practice_begin((rush_drill_options){.seed = 6, .rounds = ROUNDS});
    rush_drill_begin(drill);
    for (int i = 0; i < ROUNDS; i++) {
        const rush_drill_reply *reply =
            practice_say(drill, i % 2 ? "common darter" : "azure damselfly");
        const rush_drill_outcome *outcome = reply->outcome;
        if (outcome->result != RUSH_DRILL_WRONG)
            continue;
        fair += outcome->fair;
        wrong += !outcome->fair;
        if (i == 0)
            assert_non_null(practice_say(drill, "why")->outcome);
        assert_int_equal(outcome->fair, outcome->probability_other >= outcome->probability);
        assert_int_equal(reply->fair, fair);
        assert_int_equal(reply->played, i + 1 - fair);
        if (!outcome->fair)
            assert_int_equal(outcome->card->box, 1);
    }
    assert_true(fair > 0 && wrong > 0);
    rush_drill_free(drill);
}

/* The beginnings of words name one taxon, or a group, which costs nothing even when it holds one species; where they
 * may be several, these are told. The names are the key's own. */
static void beginnings(void **state)
{
    static const struct {
        const char *line, *named;
    } cases[] = {{"A. mixta", "Aeshna mixta"},
                 {"C puella", "Coenagrion puella"},
                 {"cyathigerum", "Enallagma cyathigerum"},
                 {"Common Blue", "Enallagma cyathigerum"},
                 {"The common blue?", "Enallagma cyathigerum"},
                 {"a ruddy darter!", "Sympetrum sanguineum"},
                 {"emerald d", "Lestes sponsa"},
                 {"four chaser", "Libellula quadrimaculata"},
                 {"Aesh", "Aeshna"},
                 {"Calop", "Calopteryx"},
                 {"damselfly", "Zygoptera"},
                 {"Enallagma", "Enallagma"},
                 {"emerald", NULL},
                 {"common", NULL},
                 {"zz", NULL}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        rush_drill *drill = practice_begin((rush_drill_options){.seed = 1});
        practice_read_card(drill, "Anax imperator", 1, "2026-07-15");
        rush_drill_begin(drill);
        const rush_drill_reply *reply = practice_say(drill, cases[i].line);
        if (!cases[i].named)
            assert_int_equal(reply->kind, RUSH_DRILL_UNKNOWN);
        else if (reply->kind == RUSH_DRILL_GROUP)
            assert_string_equal(practice_name(reply->group), cases[i].named);
        else
            assert_string_equal(practice_name(reply->outcome->named), cases[i].named);
        rush_drill_free(drill);
    }
    rush_drill *drill = practice_begin((rush_drill_options){.seed = 1});
    rush_drill_begin(drill);
    const rush_drill_reply *reply = practice_say(drill, "emerald");
    assert_non_null(
        strstr(rush_diagnostics_at(reply->diagnostics, 0)->message, "'emerald damselfly'"));
    rush_drill_free(drill);
}

/* What was named is compared in the sex and the form of what was played, where it has such. */
static void like_with_like(void **state)
{
    enum { ROUNDS = 200 };
    uint32_t alike = 0;
    (void)state;
    rush_drill *drill = practice_begin((rush_drill_options){.seed = 4, .rounds = ROUNDS});
    rush_drill_begin(drill);
    for (int i = 0; i < ROUNDS; i++) {
        const rush_drill_outcome *outcome =
            practice_say(drill, i % 2 ? "blue-tailed damselfly" : "azure damselfly")->outcome;
        const rush_form *truth = rush_key_form(practice_key, outcome->form);
        if (outcome->result != RUSH_DRILL_WRONG)
            continue;
        const rush_form *other = rush_key_form(practice_key, outcome->other);
        assert_int_equal(other->taxon, outcome->named);
        const rush_taxon *taxon = rush_key_taxon(practice_key, other->taxon);
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
            const rush_form *form = rush_key_form(practice_key, f);
            if (form->sex != truth->sex || !form->name || !truth->name ||
                strcmp(form->name, truth->name) != 0)
                continue;
            assert_int_equal(other->sex, truth->sex);
            assert_string_equal(other->name, truth->name);
            alike++;
        }
    }
    assert_true(alike > 10);
    rush_drill_free(drill);
}

/* A sex before or behind a name, which costs nothing; a wrong name in the right genus is told so. */
static void near_misses(void **state)
{
    static const char *const lines[] = {"male azure damselfly", "azure damselfly, female",
                                        "Coenagrion puella", "puella female"};
    static const rush_sex sexes[] = {RUSH_SEX_MALE, RUSH_SEX_FEMALE, RUSH_SEX_ANY,
                                     RUSH_SEX_FEMALE};
    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        rush_drill *drill = practice_begin((rush_drill_options){.seed = 1});
        practice_read_card(drill, "Coenagrion puella", 1, "2026-07-15");
        rush_drill_begin(drill);
        const rush_drill_reply *reply = practice_say(drill, lines[i]);
        assert_int_equal(reply->outcome->result, RUSH_DRILL_RIGHT);
        assert_int_equal(reply->outcome->sex, sexes[i]);
        assert_int_equal(reply->outcome->group, RUSH_NONE);
        rush_drill_free(drill);
    }
    rush_drill *drill = practice_begin((rush_drill_options){.seed = 1});
    practice_read_card(drill, "Coenagrion puella", 1, "2026-07-15");
    rush_drill_begin(drill);
    const rush_drill_reply *reply = practice_say(drill, "variable damselfly");
    assert_int_equal(reply->outcome->result, RUSH_DRILL_WRONG);
    assert_string_equal(practice_name(reply->outcome->group), "Coenagrion");
    /* The same one comes back; of another genus only the family is right. */
    for (int i = 0; i < RUSH_DRILL_BETWEEN; i++)
        practice_say(drill, "skip");
    reply = practice_say(drill, "common blue damselfly");
    assert_string_equal(practice_name(rush_key_form(practice_key, reply->outcome->form)->taxon),
                        "Coenagrion puella");
    assert_string_equal(practice_name(reply->outcome->group), "Coenagrionidae");
    rush_drill_free(drill);
}

/* A hint shows each mark once, the most telling first; why tells the last insect again and changes nothing. */
static void hints_and_whys(void **state)
{
    (void)state;
    rush_drill *drill = practice_begin((rush_drill_options){.seed = 3});
    const rush_drill_reply *reply = rush_drill_begin(drill);
    bool shown[256] = {false};
    uint32_t all = reply->mark_count + reply->left;
    reply = practice_say(drill, "why");
    assert_int_equal(reply->kind, RUSH_DRILL_WHY);
    assert_null(reply->outcome);
    bool told[256] = {false};
    while ((reply = practice_say(drill, "hint"))->kind == RUSH_DRILL_HINT) {
        assert_int_equal(reply->newest, 1);
        assert_false(reply->explained);
        told[reply->marks[reply->mark_count - 1].character] = true;
    }
    assert_int_equal(reply->kind, RUSH_DRILL_NO_MORE);
    assert_int_equal(reply->mark_count, all);
    for (uint32_t i = 0; i < all; i++) {
        assert_false(shown[reply->marks[i].character]);
        shown[reply->marks[i].character] = true;
    }
    static const char *const ends[] = {"skip", "I don't know", "Pass"};
    for (uint32_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        reply = practice_say(drill, ends[i]);
        assert_int_equal(reply->outcome->result, RUSH_DRILL_GIVEN_UP);
        rush_drill_outcome before = *reply->outcome;
        reply = practice_say(drill, "why?");
        assert_int_equal(reply->outcome->form, before.form);
        assert_int_equal(reply->outcome->mark_count, before.mark_count);
        assert_int_equal(reply->played, i + 1);
    }
    /* How to look at a mark comes with the first hint of it. */
    while ((reply = practice_say(drill, "hint"))->kind == RUSH_DRILL_HINT)
        assert_int_equal(reply->explained, told[reply->marks[reply->mark_count - 1].character]);
    rush_drill_free(drill);
}

int main(int count, char **words)
{
    if (count != 2)
        return 2;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(marks_are_usual), cmocka_unit_test(names),
        cmocka_unit_test(fair_guesses),    cmocka_unit_test(fair_to_give_up),
        cmocka_unit_test(beginnings),      cmocka_unit_test(like_with_like),
        cmocka_unit_test(near_misses),     cmocka_unit_test(hints_and_whys),
    };
    practice_path = words[1];
    return cmocka_run_group_tests(tests, practice_open, practice_close);
}
