/* Questions on screens of every size: they come to an end, and keep to the screen. */
#include "support/support.h"

#include <string.h>

enum { COLUMNS = 100, ROWS = 30, COLUMNS_LEAST = 20, ROWS_LEAST = 10 };

static const char *const *paths;

/* The columns of the widest line that has more than one word: one word may be wider than any screen. */
static size_t widest_line(const rush_buffer *shown)
{
    size_t widest = 0;
    for (const char *at = shown->bytes; *at;) {
        rush_text line = {at, strcspn(at, "\n")};
        at += line.length + (at[line.length] == '\n');
        rush_text words = rush_text_trim(line);
        size_t columns = rush_text_columns(line);
        if (words.length && memchr(words.at, ' ', words.length) && columns > widest)
            widest = columns;
    }
    return widest;
}

static void show(const rush_reply *reply, rush_screen screen, rush_buffer *shown)
{
    rush_buffer_clear(shown);
    rush_report_reply(reply, &screen, shown);
    assert_false(shown->failed);
}

/* Every question of the key, and how to look at each, shown by `look`. */
static void at_every_question(const rush_key *key,
                              void (*look)(const rush_reply *reply, rush_buffer *shown))
{
    rush_dialogue_options how = {.reach = RUSH_REACH_HAND};
    rush_dialogue *dialogue = rush_dialogue_new(key, &how);
    rush_reply reply = *rush_dialogue_begin(dialogue);
    rush_buffer shown = {0};
    for (uint32_t c = 0; c < rush_key_character_count(key); c++) {
        if (!rush_key_character(key, c)->look_next)
            continue;
        reply.asked = c;
        reply.kind = RUSH_REPLY_ASK;
        look(&reply, &shown);
        reply.kind = RUSH_REPLY_EXPLAIN;
        look(&reply, &shown);
    }
    rush_buffer_free(&shown);
    rush_dialogue_free(dialogue);
}

static void at_every_size(const rush_reply *reply, rush_buffer *shown)
{
    for (uint32_t columns = 0; columns <= COLUMNS; columns++) {
        size_t least = columns > COLUMNS_LEAST ? columns : COLUMNS_LEAST;
        for (uint32_t rows = 0; rows <= ROWS; rows++) {
            show(reply, (rush_screen){.columns = columns, .rows = rows}, shown);
            if (widest_line(shown) >= least)
                fail_msg("%s: %zu columns on a screen of %u by %u:\n%s",
                         rush_key_character(reply->ranking->key, reply->asked)->id,
                         widest_line(shown), columns, rows, shown->bytes);
        }
    }
}

static void every_screen(void **state)
{
    (void)state;
    for (const char *const *path = paths; *path; path++) {
        rush_key *key = support_key(*path);
        at_every_question(key, at_every_size);
        rush_key_free(key);
    }
}

/* What is smaller than the least screen is shown as on that. */
static void as_the_least(const rush_reply *reply, rush_buffer *shown)
{
    rush_buffer least = {0};
    show(reply, (rush_screen){.columns = COLUMNS_LEAST, .rows = ROWS_LEAST}, &least);
    show(reply, (rush_screen){0}, shown);
    assert_string_equal(shown->bytes, least.bytes);
    rush_buffer_free(&least);
}

static void smaller_than_the_least(void **state)
{
    (void)state;
    rush_key *key = support_key(paths[0]);
    at_every_question(key, as_the_least);
    rush_key_free(key);
}

static void practice_on_the_least(void **state)
{
    (void)state;
    const rush_screen least = {.columns = COLUMNS_LEAST, .rows = ROWS_LEAST}, none = {0};
    rush_key *key = support_key(paths[0]);
    rush_drill_options how = {.reach = RUSH_REACH_CLOSE};
    rush_drill *drill = rush_drill_new(key, &how);
    const rush_drill_reply *reply = rush_drill_begin(drill);
    rush_buffer shown = {0}, wanted = {0};
    rush_report_drill(reply, &none, &shown);
    rush_report_drill(reply, &least, &wanted);
    assert_string_equal(shown.bytes, wanted.bytes);
    rush_buffer_free(&shown);
    rush_buffer_free(&wanted);
    rush_drill_free(drill);
    rush_key_free(key);
}

int main(int count, char **arguments)
{
    if (count < 2)
        return 2;
    paths = (const char *const *)arguments + 1;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_screen),
        cmocka_unit_test(smaller_than_the_least),
        cmocka_unit_test(practice_on_the_least),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
