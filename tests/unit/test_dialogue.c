/* The conversation, driven line by line as the terminal does: what each line does, and that the observation line
 * at the end gives the same verdict again. */
#include "support/observer.h"

#include <math.h>
#include <string.h>

static const char *key_path;

static const char shells[] =
    "rushlight: 1\n"
    "key: shells\n"
    "title: Shells\n"
    "characters:\n"
    "  outline: {ask: Which outline?, states: [round, oval, fan, needle], misread: 0.02}\n"
    "  colour: {ask: Which colour?, states: [brown, black, white, red], misread: 0.05}\n"
    "  rim: {ask: Which rim?, states: [smooth, toothed], misread: 0.02, reach: close}\n"
    "  hinge: {ask: Which hinge?, states: [straight, curved], misread: 0.02, reach: hand}\n"
    "taxa:\n"
    "  A ficta: {rank: species, traits: {outline: round, colour: brown, rim: smooth, hinge: straight}}\n"
    "  B ficta: {rank: species, traits: {outline: oval, colour: black, rim: toothed, hinge: curved}}\n"
    "  C ficta: {rank: species, traits: {outline: fan, colour: white, rim: smooth, hinge: curved}}\n"
    "  D ficta: {rank: species, traits: {outline: needle, colour: red, rim: toothed, hinge: straight}}\n";

typedef struct dialogue_talk {
    rush_key *key;
    rush_dialogue *dialogue;
    const rush_reply *reply;
} dialogue_talk;

static dialogue_talk begin_talk(rush_reach reach)
{
    rush_dialogue_options how = {.reach = reach};
    dialogue_talk with = {.key = support_key_of_text(shells, NULL)};
    assert_non_null(with.key);
    with.dialogue = rush_dialogue_new(with.key, &how);
    with.reply = rush_dialogue_begin(with.dialogue);
    return with;
}

static void say(dialogue_talk *with, const char *line)
{
    with->reply = rush_dialogue_step(with->dialogue, rush_text_of(line));
}

static void end_talk(dialogue_talk *with)
{
    rush_dialogue_free(with->dialogue);
    rush_key_free(with->key);
}

static const char *answer_to(const dialogue_talk *with, const char *character)
{
    uint32_t at = rush_key_find_character(with->key, rush_text_of(character));
    const rush_answer *answer = rush_sighting_find(with->reply->sighting, at);
    return answer ? answer->given.at : "";
}

static void short_answers(void **state)
{
    (void)state;
    dialogue_talk with = begin_talk(RUSH_REACH_HAND);
    assert_int_equal(with.reply->kind, RUSH_REPLY_ASK);
    say(&with, "outline: 1 or fan"); /* a named character takes names alone */
    assert_int_equal(with.reply->kind, RUSH_REPLY_UNREAD);
    const char *asked = rush_key_character(with.key, with.reply->asked)->id;
    assert_string_equal(asked, "outline"); /* the best look: four states, rarely misread */
    say(&with, "1 or 3?");
    assert_string_equal(answer_to(&with, "outline"), "round or fan?");
    say(&with, "<");
    assert_string_equal(answer_to(&with, "outline"), "");
    say(&with, "rou");
    assert_string_equal(answer_to(&with, "outline"), "round");
    say(&with, "outline: not oval");
    assert_string_equal(answer_to(&with, "outline"), "not oval");
    say(&with, "colour: white; rim: smooth");
    say(&with, "<<<<");
    assert_int_equal(rush_sighting_answer_count(with.reply->sighting), 0);
    end_talk(&with);
}

static void ambiguous_beginning(void **state)
{
    (void)state;
    dialogue_talk with = begin_talk(RUSH_REACH_HAND);
    say(&with, "outline: not needle");
    while (strcmp(rush_key_character(with.key, with.reply->asked)->id, "colour") != 0)
        say(&with, "");
    say(&with, "b");
    assert_int_equal(with.reply->kind, RUSH_REPLY_UNREAD);
    assert_non_null(
        strstr(rush_diagnostics_at(with.reply->diagnostics, 0)->message, "several names"));
    say(&with, "bl");
    assert_string_equal(answer_to(&with, "colour"), "black");
    end_talk(&with);
}

static void a_second_look(void **state)
{
    (void)state;
    dialogue_talk with = begin_talk(RUSH_REACH_HAND);
    say(&with, "outline: round; rim: smooth; hinge: straight; colour: red");
    assert_true(with.reply->contradicts);
    assert_true(with.reply->second_look);
    assert_string_equal(rush_key_character(with.key, with.reply->asked)->id, "colour");
    say(&with, "brown"); /* looked again, and corrected */
    assert_false(with.reply->contradicts);
    assert_string_equal(rush_key_taxon(with.key, with.reply->ranking->verdict.taxon)->name,
                        "A ficta");
    assert_int_equal(with.reply->kind, RUSH_REPLY_END); /* nothing is left to ask */
    end_talk(&with);
}

static void within_reach(void **state)
{
    (void)state;
    dialogue_talk with = begin_talk(RUSH_REACH_NEAR);
    say(&with, "outline: round or oval; colour: brown or black");
    assert_int_equal(with.reply->kind, RUSH_REPLY_END);
    assert_int_equal(with.reply->why_ended, RUSH_END_NO_LOOK);
    assert_true(with.reply->needed_count >= 2); /* the rim, closely; the hinge, in the hand */
    end_talk(&with);
    with = begin_talk(RUSH_REACH_NEAR);
    say(&with, "reach close");
    say(&with, "outline: round or oval; colour: brown or black");
    assert_string_equal(rush_key_character(with.key, with.reply->asked)->id, "rim");
    end_talk(&with);
}

static void words_of_command(void **state)
{
    (void)state;
    dialogue_talk with = begin_talk(RUSH_REACH_HAND);
    uint32_t asked = with.reply->asked;
    static const struct {
        const char *line;
        rush_reply_kind kind;
    } words[] = {{"list", RUSH_REPLY_IN_PLAY},   {"why", RUSH_REPLY_WHY},
                 {"apart", RUSH_REPLY_APART},    {"apart 1, 3", RUSH_REPLY_APART},
                 {"help", RUSH_REPLY_HELP},      {"said", RUSH_REPLY_SAID},
                 {"?", RUSH_REPLY_EXPLAIN},      {"apart x, y", RUSH_REPLY_UNREAD},
                 {"reach up", RUSH_REPLY_UNREAD}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        say(&with, words[i].line);
        assert_int_equal(with.reply->kind, words[i].kind);
        assert_int_equal(with.reply->asked, asked);
    }
    say(&with, "apart A ficta from D ficta");
    assert_string_equal(
        rush_key_taxon(with.key, rush_key_form(with.key, with.reply->second)->taxon)->name,
        "D ficta");
    say(&with, ".");
    assert_int_equal(with.reply->why_ended, RUSH_END_TOLD);
    say(&with, "place: the pier");
    assert_true(with.reply->noted);
    end_talk(&with);
}

static void completion(void **state)
{
    (void)state;
    dialogue_talk with = begin_talk(RUSH_REACH_HAND);
    rush_buffer names = {0};
    size_t stem;
    rush_dialogue_complete(with.dialogue, rush_text_of("rim: smooth; colour: black or b"), &stem,
                           &names);
    assert_int_equal(stem, 1);
    assert_string_equal(names.bytes, "brown\nblack\n");
    rush_buffer_clear(&names);
    rush_dialogue_complete(with.dialogue, rush_text_of("hin"), &stem, &names);
    assert_string_equal(names.bytes, "hinge: \n");
    rush_buffer_free(&names);
    end_talk(&with);
}

/* Over the shipped key: converse, write the line, read it anew, and be told the same. */
static void the_line_reproduces(void **state)
{
    (void)state;
    enum { INSECTS = 150, MOST = 40 };
    rush_key *key = support_key(key_path);
    simulated_observer observer = {key, {17}, 2};
    rush_sighting *again = rush_sighting_new(key), *set = rush_sighting_new(key);
    rush_ranker *ranker = rush_ranker_new(key);
    rush_buffer line = {0};
    support_sighting(set, "date: 2026-06-20; habitat: garden pond");
    for (int i = 0; i < INSECTS; i++) {
        uint32_t form = observer_meets(
            &observer, rush_random_below(&observer.random, rush_key_leaf_count(key)));
        rush_dialogue_options how = {.reach = RUSH_REACH_CLOSE, .set = set};
        rush_dialogue *dialogue = rush_dialogue_new(key, &how);
        const rush_reply *reply = rush_dialogue_begin(dialogue);
        for (int asked = 0; reply->kind != RUSH_REPLY_END && asked < MOST; asked++) {
            rush_buffer_clear(&line);
            if (observer_can_answer(&observer, form, reply->asked))
                observer_answers(&observer, form, reply->asked, &line);
            reply = rush_dialogue_step(dialogue,
                                       (rush_text){line.bytes ? line.bytes : "", line.length});
        }
        reply = rush_dialogue_end(dialogue);
        rush_buffer_clear(&line);
        rush_sighting_write(reply->sighting, 0, &line);
        support_sighting(again, line.bytes);
        const rush_ranking *first = reply->ranking, *second = rush_rank(ranker, again, NULL);
        assert_int_equal(first->verdict.safe, second->verdict.safe);
        assert_int_equal(first->verdict.taxon, second->verdict.taxon);
        assert_int_equal(first->verdict.sex, second->verdict.sex);
        assert_int_equal(first->fit.against, second->fit.against);
        assert_true(fabs(first->verdict.probability - second->verdict.probability) < 1e-12);
        rush_dialogue_free(dialogue);
    }
    rush_buffer_free(&line);
    rush_sighting_free(again);
    rush_sighting_free(set);
    rush_ranker_free(ranker);
    rush_key_free(key);
}

int main(int argc, char **argv)
{
    if (argc < 2)
        return 2;
    key_path = argv[1];
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(short_answers),      cmocka_unit_test(ambiguous_beginning),
        cmocka_unit_test(a_second_look),      cmocka_unit_test(within_reach),
        cmocka_unit_test(words_of_command),   cmocka_unit_test(completion),
        cmocka_unit_test(the_line_reproduces)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
