/* Practice with the shipped key: Leitner's boxes, what comes back and when, and that a seed is a seed. */
#include "support/support.h"

#include <string.h>

static const char *key_path;
static rush_key *key;

enum { TODAY = 20649 }; /* 2026-07-15 */

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

static rush_drill *begin(rush_drill_options how)
{
    how.reach = how.reach ? how.reach : RUSH_REACH_CLOSE;
    how.today = how.today ? how.today : TODAY;
    rush_drill *drill = rush_drill_new(key, &how);
    assert_non_null(drill);
    return drill;
}

static const rush_drill_reply *say(rush_drill *drill, const char *line)
{
    return rush_drill_step(drill, rush_text_of(line));
}

/* The taxon that was played, seen by giving up. */
static uint32_t give_up(rush_drill *drill)
{
    const rush_drill_reply *reply = say(drill, "give up");
    assert_non_null(reply->outcome);
    return rush_key_form(key, reply->outcome->form)->taxon;
}

static const rush_drill_card *card_of(const rush_drill_reply *reply, uint32_t taxon)
{
    return &reply->cards[rush_key_taxon(key, taxon)->first_leaf];
}

static const char *name_of(uint32_t taxon)
{
    return rush_key_taxon(key, taxon)->name;
}

/* A file of one card. */
static void read_card(rush_drill *drill, const char *taxon, unsigned box, const char *due)
{
    rush_buffer text = {0};
    rush_diagnostics *list = rush_diagnostics_new();
    rush_buffer_format(&text,
                       "{\"schema\":1,\"kept\":\"practice\"}\n{\"key\":\"%s\",\"taxon\":\"%s\","
                       "\"box\":%u,\"due\":\"%s\",\"rounds\":6,\"right\":4}\n",
                       rush_key_about(key)->id, taxon, box, due);
    assert_true(rush_drill_read(drill, "kept", (rush_text){text.bytes, text.length}, list));
    rush_diagnostics_free(list);
    rush_buffer_free(&text);
}

/* Day numbers: 1970-01-01 is 0 (POSIX, Seconds Since the Epoch, by days); 2000-02-29 was a day and 1900-02-29 was
 * not (the Gregorian rule). 2026-07-15 as `date -u -d 2026-07-15 +%s` has it, by 86400. */
static void days(void **state)
{
    (void)state;
    int32_t day;
    assert_true(rush_drill_day(rush_text_of("1970-01-01"), &day));
    assert_int_equal(day, 0);
    assert_true(rush_drill_day(rush_text_of("2026-07-15"), &day));
    assert_int_equal(day, TODAY);
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
        rush_drill *drill = begin((rush_drill_options){.seed = 1});
        read_card(drill, "Libellula depressa", steps[i].box, "2026-07-15");
        rush_drill_begin(drill);
        const rush_drill_reply *reply = say(drill, "Libellula depressa");
        assert_non_null(reply->outcome);
        assert_int_equal(reply->outcome->result, RUSH_DRILL_RIGHT);
        assert_int_equal(reply->outcome->card->box, steps[i].then);
        assert_int_equal(reply->outcome->card->due, TODAY + steps[i].days);
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
    const rush_part *part = rush_part_choose(key, &request, list);
    assert_non_null(part);
    rush_drill *drill = begin((rush_drill_options){.seed = 1, .rounds = 6, .part = part});
    rush_drill_begin(drill);
    for (int i = 0; i < 6; i++) {
        const rush_drill_reply *reply = say(drill, "Libellula depressa");
        assert_int_equal(reply->outcome->result, RUSH_DRILL_RIGHT);
        assert_int_equal(reply->outcome->card->box, 2);
        assert_int_equal(reply->outcome->card->due, TODAY + 1);
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
        rush_drill *drill = begin((rush_drill_options){.seed = seed, .rounds = 1});
        const rush_drill_reply *reply = rush_drill_begin(drill);
        rush_drill_mark shown[16];
        uint32_t count = reply->occasion_count;
        assert_true(count > 0 && count <= 16);
        memcpy(shown, reply->occasion, count * sizeof *shown);
        uint32_t form = say(drill, "give up")->outcome->form;
        for (uint32_t i = 0; i < count; i++) {
            const rush_trait *trait = rush_key_trait(key, form, shown[i].character, NULL);
            assert_true(!trait || trait->kind != RUSH_TRAIT_STATES ||
                        trait->weights[shown[i].state] > 0);
        }
        rush_drill_free(drill);
    }
}

/* Whether a form shows a state in 15 of a hundred, or a fifth as often as its likeliest. */
static bool is_usual(uint32_t form, const rush_drill_mark *mark)
{
    const rush_trait *trait = rush_key_trait(key, form, mark->character, NULL);
    for (uint32_t s = 0; s < rush_key_character(key, mark->character)->state_count; s++)
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
        rush_drill *drill = begin((rush_drill_options){.seed = seed, .rounds = 1});
        const rush_drill_reply *reply = rush_drill_begin(drill);
        while (reply->left)
            reply = say(drill, "more");
        const rush_drill_outcome *outcome = say(drill, "azure damselfly")->outcome;
        for (uint32_t i = 0; i < outcome->mark_count; i++) {
            const rush_drill_mark *mark = &outcome->marks[i];
            const rush_trait *trait = rush_key_trait(key, outcome->form, mark->character, NULL),
                             *its = rush_key_trait(key, outcome->other, mark->character, NULL);
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
            if (rush_key_trait(key, outcome->other, outcome->deciding[i].character, NULL)->kind ==
                RUSH_TRAIT_STATES)
                assert_false(is_usual(outcome->other, &outcome->deciding[i]));
        rush_drill_free(drill);
    }
    assert_true(fit && against);
}

static void a_box_falls(void **state)
{
    (void)state;
    for (unsigned box = 1; box <= RUSH_DRILL_BOXES; box++) {
        rush_drill *drill = begin((rush_drill_options){.seed = 1});
        read_card(drill, "Libellula depressa", box, "2026-07-15");
        rush_drill_begin(drill);
        const rush_drill_reply *reply = say(drill, "Anax imperator");
        assert_int_equal(reply->outcome->result, RUSH_DRILL_WRONG);
        assert_int_equal(reply->outcome->card->taxon,
                         rush_key_find_taxon(key, rush_text_of("Libellula depressa")));
        assert_int_equal(reply->outcome->card->box, 1);
        assert_int_equal(reply->outcome->card->due, TODAY);
        assert_int_equal(reply->outcome->card->right, 4);
        rush_drill_free(drill);
    }
}

/* What is not due is not played while there is something new. */
static void not_due(void **state)
{
    (void)state;
    rush_drill *drill = begin((rush_drill_options){.seed = 1, .rounds = 12});
    read_card(drill, "Libellula depressa", 2, "2026-07-16");
    rush_drill_begin(drill);
    for (int i = 0; i < 12; i++)
        assert_string_not_equal(name_of(give_up(drill)), "Libellula depressa");
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
        rush_drill *drill = begin((rush_drill_options){.seed = seed, .rounds = ROUNDS});
        rush_drill_begin(drill);
        for (int i = 0; i < ROUNDS; i++)
            order[i] = give_up(drill);
        for (int i = 0; i + 4 < ROUNDS; i++) {
            if (i < 4)
                assert_int_equal(order[i], order[i + 4]);
            for (int between = 1; between < 4; between++)
                assert_int_not_equal(order[i], order[i + between]);
        }
        for (int i = 0; i < 8; i++)
            assert_int_not_equal(order[8], order[i]); /* after four repeats */
        rush_drill_free(drill);
        drill = begin((rush_drill_options){.seed = seed, .rounds = ROUNDS});
        const rush_drill_reply *reply = rush_drill_begin(drill);
        const rush_drill_reply *after = say(drill, name_of(order[0]));
        assert_int_equal(after->outcome->result, RUSH_DRILL_RIGHT);
        for (int i = 1; i < ROUNDS; i++)
            give_up(drill);
        again += card_of(reply, order[0])->now > 1;
        rush_drill_free(drill);
    }
    assert_true(again <= 1);
}

static void write_all(uint64_t seed, rush_buffer *out)
{
    const rush_screen screen = {80, 24, false};
    rush_drill *drill = begin((rush_drill_options){.seed = seed, .rounds = 6});
    rush_report_drill(rush_drill_begin(drill), &screen, out);
    for (int i = 0; i < 6; i++) {
        rush_report_drill(say(drill, "more"), &screen, out);
        rush_report_drill(say(drill, "give up"), &screen, out);
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
        rush_drill *drill = begin((rush_drill_options){.seed = seed, .rounds = 1});
        const rush_drill_reply *reply = rush_drill_begin(drill);
        assert_int_equal(reply->mark_count, 3);
        while (reply->kind != RUSH_DRILL_NO_MORE)
            reply = say(drill, "");
        assert_true(reply->mark_count > 10);
        reply = say(drill, "give up");
        const rush_drill_outcome *outcome = reply->outcome;
        rush_reach reach = RUSH_REACH_FAR;
        for (uint32_t i = 0; i < outcome->mark_count; i++) {
            const rush_drill_mark *mark = &outcome->marks[i];
            const rush_character *character = rush_key_character(key, mark->character);
            const rush_trait *trait = rush_key_trait(key, outcome->form, mark->character, NULL);
            assert_true(character->reach >= reach && character->reach <= RUSH_REACH_CLOSE);
            reach = character->reach;
            if (trait->kind == RUSH_TRAIT_STATES)
                assert_true(trait->weights[mark->state] > 0);
        }
        rush_drill_free(drill);
    }
}

/* The hard ones are those of the hardest pairs. */
static void hard(void **state)
{
    (void)state;
    rush_hard_pair pairs[RUSH_DRILL_PAIRS];
    uint32_t count = rush_apart_hardest(key, NULL, pairs, RUSH_DRILL_PAIRS);
    rush_drill *drill = begin((rush_drill_options){.seed = 2, .rounds = 30, .hard = true});
    rush_drill_begin(drill);
    for (int i = 0; i < 30; i++) {
        uint32_t taxon = give_up(drill), found = 0;
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
    rush_drill *drill = begin((rush_drill_options){.seed = 1});
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
        drill = begin((rush_drill_options){.seed = 1});
        rush_diagnostics_clear(list);
        assert_false(rush_drill_read(drill, "kept", rush_text_of(strange[i]), list));
        assert_int_equal(rush_diagnostics_errors(list), 1);
        rush_drill_free(drill);
    }
    rush_diagnostics_free(list);
    rush_buffer_free(&first);
    rush_buffer_free(&second);
}

/* Groups and unknown names cost nothing. */
static void names(void **state)
{
    (void)state;
    rush_drill *drill = begin((rush_drill_options){.seed = 1});
    read_card(drill, "Pyrrhosoma nymphula", 1, "2026-07-15");
    rush_drill_begin(drill);
    const rush_drill_reply *reply = say(drill, "Zygoptera");
    assert_int_equal(reply->kind, RUSH_DRILL_GROUP);
    assert_true(reply->within);
    reply = say(drill, "Anisoptera");
    assert_int_equal(reply->kind, RUSH_DRILL_GROUP);
    assert_false(reply->within);
    reply = say(drill, "large rde damselfly");
    assert_int_equal(reply->kind, RUSH_DRILL_UNKNOWN);
    assert_non_null(
        strstr(rush_diagnostics_at(reply->diagnostics, 0)->help, "large red damselfly"));
    assert_int_equal(reply->played, 0);
    reply = say(drill, "LARGE-RED D");
    assert_int_equal(reply->outcome ? reply->outcome->result : 9, RUSH_DRILL_RIGHT);
    rush_drill_free(drill);
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
            rush_drill *drill = begin((rush_drill_options){.seed = seed});
            for (uint32_t leaf = 0; leaf < rush_key_leaf_count(key); leaf++)
                if (rush_key_taxon(key, rush_key_leaf(key, leaf))->occurrence >= cases[i].known)
                    read_card(drill, name_of(rush_key_leaf(key, leaf)), 2, "2026-07-16");
            rush_drill_begin(drill);
            double met = rush_key_taxon(key, give_up(drill))->occurrence;
            of_often += met >= cases[i].often;
            of_seldom += met <= cases[i].seldom;
            rush_drill_free(drill);
        }
        assert_true(of_seldom && of_often > cases[i].times * of_seldom);
    }
}

/* Who has seen all that shows from afar, which spoke for another, and gives up, has not missed it. */
static void fair_to_give_up(void **state)
{
    enum { ROUNDS = 100 };
    uint32_t fair = 0, counted = 0;
    (void)state;
    rush_drill *drill =
        begin((rush_drill_options){.seed = 6, .rounds = ROUNDS, .reach = RUSH_REACH_NEAR});
    rush_drill_begin(drill);
    for (int i = 0; i < ROUNDS; i++) {
        while (say(drill, "more")->left)
            ;
        const rush_drill_outcome *outcome = say(drill, "give up")->outcome;
        fair += outcome->fair;
        counted += !outcome->fair;
        assert_int_equal(outcome->fair, outcome->probability_other >= outcome->probability);
        if (outcome->fair)
            assert_int_equal(outcome->card->now, outcome->card->now_right);
    }
    assert_true(fair && counted);
    rush_drill_free(drill);
    drill = begin((rush_drill_options){.seed = 6});
    assert_int_equal(rush_drill_begin(drill)->fair, 0);
    assert_false(say(drill, "give up")->outcome->fair); /* there was more to see */
    rush_drill_free(drill);
}

/* A wrong name for which the shown marks speak no less than for the right one does not count: the card stays as it
 * was, and the score too. */
static void fair_guesses(void **state)
{
    enum { ROUNDS = 300 };
    uint32_t fair = 0, wrong = 0;
    (void)state;
    rush_drill *drill = begin((rush_drill_options){.seed = 6, .rounds = ROUNDS});
    rush_drill_begin(drill);
    for (int i = 0; i < ROUNDS; i++) {
        const rush_drill_reply *reply = say(drill, i % 2 ? "common darter" : "azure damselfly");
        const rush_drill_outcome *outcome = reply->outcome;
        if (outcome->result != RUSH_DRILL_WRONG)
            continue;
        fair += outcome->fair;
        wrong += !outcome->fair;
        if (i == 0)
            assert_non_null(say(drill, "why")->outcome);
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
        rush_drill *drill = begin((rush_drill_options){.seed = 1});
        read_card(drill, "Anax imperator", 1, "2026-07-15");
        rush_drill_begin(drill);
        const rush_drill_reply *reply = say(drill, cases[i].line);
        if (!cases[i].named)
            assert_int_equal(reply->kind, RUSH_DRILL_UNKNOWN);
        else if (reply->kind == RUSH_DRILL_GROUP)
            assert_string_equal(name_of(reply->group), cases[i].named);
        else
            assert_string_equal(name_of(reply->outcome->named), cases[i].named);
        rush_drill_free(drill);
    }
    rush_drill *drill = begin((rush_drill_options){.seed = 1});
    rush_drill_begin(drill);
    const rush_drill_reply *reply = say(drill, "emerald");
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
    rush_drill *drill = begin((rush_drill_options){.seed = 4, .rounds = ROUNDS});
    rush_drill_begin(drill);
    for (int i = 0; i < ROUNDS; i++) {
        const rush_drill_outcome *outcome =
            say(drill, i % 2 ? "blue-tailed damselfly" : "azure damselfly")->outcome;
        const rush_form *truth = rush_key_form(key, outcome->form);
        if (outcome->result != RUSH_DRILL_WRONG)
            continue;
        const rush_form *other = rush_key_form(key, outcome->other);
        assert_int_equal(other->taxon, outcome->named);
        const rush_taxon *taxon = rush_key_taxon(key, other->taxon);
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
            const rush_form *form = rush_key_form(key, f);
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
        rush_drill *drill = begin((rush_drill_options){.seed = 1});
        read_card(drill, "Coenagrion puella", 1, "2026-07-15");
        rush_drill_begin(drill);
        const rush_drill_reply *reply = say(drill, lines[i]);
        assert_int_equal(reply->outcome->result, RUSH_DRILL_RIGHT);
        assert_int_equal(reply->outcome->sex, sexes[i]);
        assert_int_equal(reply->outcome->group, RUSH_NONE);
        rush_drill_free(drill);
    }
    rush_drill *drill = begin((rush_drill_options){.seed = 1});
    read_card(drill, "Coenagrion puella", 1, "2026-07-15");
    rush_drill_begin(drill);
    const rush_drill_reply *reply = say(drill, "variable damselfly");
    assert_int_equal(reply->outcome->result, RUSH_DRILL_WRONG);
    assert_string_equal(name_of(reply->outcome->group), "Coenagrion");
    /* The same one comes back; of another genus only the family is right. */
    for (int i = 0; i < RUSH_DRILL_BETWEEN; i++)
        say(drill, "skip");
    reply = say(drill, "common blue damselfly");
    assert_string_equal(name_of(rush_key_form(key, reply->outcome->form)->taxon),
                        "Coenagrion puella");
    assert_string_equal(name_of(reply->outcome->group), "Coenagrionidae");
    rush_drill_free(drill);
}

/* A hint shows each mark once, the most telling first; why tells the last insect again and changes nothing. */
static void hints_and_whys(void **state)
{
    (void)state;
    rush_drill *drill = begin((rush_drill_options){.seed = 3});
    const rush_drill_reply *reply = rush_drill_begin(drill);
    bool shown[256] = {false};
    uint32_t all = reply->mark_count + reply->left;
    reply = say(drill, "why");
    assert_int_equal(reply->kind, RUSH_DRILL_WHY);
    assert_null(reply->outcome);
    bool told[256] = {false};
    while ((reply = say(drill, "hint"))->kind == RUSH_DRILL_HINT) {
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
        reply = say(drill, ends[i]);
        assert_int_equal(reply->outcome->result, RUSH_DRILL_GIVEN_UP);
        rush_drill_outcome before = *reply->outcome;
        reply = say(drill, "why?");
        assert_int_equal(reply->outcome->form, before.form);
        assert_int_equal(reply->outcome->mark_count, before.mark_count);
        assert_int_equal(reply->played, i + 1);
    }
    /* How to look at a mark comes with the first hint of it. */
    while ((reply = say(drill, "hint"))->kind == RUSH_DRILL_HINT)
        assert_int_equal(reply->explained, told[reply->marks[reply->mark_count - 1].character]);
    rush_drill_free(drill);
}

/* Two drills on one file: what is read again before it is written loses no round of either. */
static void two_at_once(void **state)
{
    (void)state;
    rush_drill *drills[] = {begin((rush_drill_options){.seed = 1}),
                            begin((rush_drill_options){.seed = 2})};
    rush_diagnostics *list = rush_diagnostics_new();
    rush_buffer file = {0};
    uint32_t played[2];
    for (int i = 0; i < 2; i++) {
        rush_drill_begin(drills[i]);
        played[i] = give_up(drills[i]);
        assert_true(
            rush_drill_read(drills[i], "kept", (rush_text){file.bytes, file.length}, list));
        rush_buffer_clear(&file);
        rush_drill_write(drills[i], &file);
    }
    assert_int_not_equal(played[0], played[1]);
    for (int i = 0; i < 2; i++) {
        assert_non_null(strstr(file.bytes, name_of(played[i])));
        rush_drill_free(drills[i]);
    }
    rush_buffer_free(&file);
    rush_diagnostics_free(list);
}

int main(int count, char **words)
{
    if (count != 2)
        return 2;
    key_path = words[1];
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days),
        cmocka_unit_test(a_box_rises),
        cmocka_unit_test(one_box_a_day),
        cmocka_unit_test(occasions_are_listed),
        cmocka_unit_test(marks_are_usual),
        cmocka_unit_test(a_box_falls),
        cmocka_unit_test(not_due),
        cmocka_unit_test(missed_comes_back),
        cmocka_unit_test(seeds),
        cmocka_unit_test(order_of_seeing),
        cmocka_unit_test(hard),
        cmocka_unit_test(kept),
        cmocka_unit_test(names),
        cmocka_unit_test(common_before_rare),
        cmocka_unit_test(fair_guesses),
        cmocka_unit_test(fair_to_give_up),
        cmocka_unit_test(beginnings),
        cmocka_unit_test(like_with_like),
        cmocka_unit_test(near_misses),
        cmocka_unit_test(hints_and_whys),
        cmocka_unit_test(two_at_once),
    };
    return cmocka_run_group_tests(tests, open_key, close_key);
}
