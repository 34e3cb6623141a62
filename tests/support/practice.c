#include "support/practice.h"

const char *practice_path;
rush_key *practice_key;

int practice_open(void **state)
{
    (void)state;
    practice_key = support_key(practice_path);
    return 0;
}

int practice_close(void **state)
{
    (void)state;
    rush_key_free(practice_key);
    return 0;
}

rush_drill *practice_begin(rush_drill_options how)
{
    how.reach = how.reach ? how.reach : RUSH_REACH_CLOSE;
    how.today = how.today ? how.today : PRACTICE_TODAY;
    rush_drill *drill = rush_drill_new(practice_key, &how);
    assert_non_null(drill);
    return drill;
}

const rush_drill_reply *practice_say(rush_drill *drill, const char *line)
{
    return rush_drill_step(drill, rush_text_of(line));
}

/* The taxon that was played, seen by giving up. */
uint32_t practice_give_up(rush_drill *drill)
{
    const rush_drill_reply *reply = practice_say(drill, "give up");
    assert_non_null(reply->outcome);
    return rush_key_form(practice_key, reply->outcome->form)->taxon;
}

const rush_drill_card *practice_card(const rush_drill_reply *reply, uint32_t taxon)
{
    return &reply->cards[rush_key_taxon(practice_key, taxon)->first_leaf];
}

const char *practice_name(uint32_t taxon)
{
    return rush_key_taxon(practice_key, taxon)->name;
}

/* A file of one card. */
void practice_read_card(rush_drill *drill, const char *taxon, unsigned box, const char *due)
{
    rush_buffer text = {0};
    rush_diagnostics *list = rush_diagnostics_new();
    rush_buffer_format(&text,
                       "{\"schema\":1,\"kept\":\"practice\"}\n{\"key\":\"%s\",\"taxon\":\"%s\","
                       "\"box\":%u,\"due\":\"%s\",\"rounds\":6,\"right\":4}\n",
                       rush_key_about(practice_key)->id, taxon, box, due);
    assert_true(rush_drill_read(drill, "kept", (rush_text){text.bytes, text.length}, list));
    rush_diagnostics_free(list);
    rush_buffer_free(&text);
}
