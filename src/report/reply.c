#include "report/words.h"

/* ---- a question --------------------------------------------------------------------------------- */

static void write_choices(const rush_reply *reply, rush_buffer *buffer)
{
    const rush_key *key = reply->ranking->key;
    const rush_character *character = rush_key_character(key, reply->asked);
    rush_buffer line = {0};
    if (character->kind == RUSH_KIND_NUMBER) {
        rush_buffer_format(&line, "a number%s%s, as in 34, 30-36, about 34, under 40",
                           character->unit[0] ? " of " : "", character->unit);
        for (uint32_t i = 0; i < character->word_count; i++)
            rush_buffer_format(&line, ", %s", character->words[i].word);
    }
    for (uint32_t s = 0; s < character->state_count; s++) {
        rush_buffer_string(&line, s ? " | " : "");
        rush_state_name(key, reply->asked, s, reply->language, &line);
    }
    rush_buffer_string(buffer, "  ");
    rush_words_wrap_part(&line, 2, 78, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_question(const rush_reply *reply, rush_buffer *buffer)
{
    const rush_key *key = reply->ranking->key;
    const rush_character *character = rush_key_character(key, reply->asked);
    const char *ask = rush_key_words(key, character->ask, reply->language);
    rush_buffer_byte(buffer, '\n');
    rush_words_character(key, reply->asked, reply->language, buffer);
    rush_buffer_string(buffer, ask[0] ? ": " : "\n");
    if (ask[0]) {
        rush_buffer_safe(buffer, rush_text_of(ask));
        rush_buffer_byte(buffer, '\n');
    }
    if (character->reach == RUSH_REACH_HAND)
        rush_buffer_string(buffer,
                           "  (needs the hand: hold gently, only if you must and where it is "
                           "permitted;\n   some species may be handled only under licence)\n");
    write_choices(reply, buffer);
}

/* "3 in play; leading: Ischnura elegans (blue-tailed damselfly), 71.0 %" */
static void write_standing(const rush_reply *reply, rush_buffer *buffer)
{
    const rush_ranking *ranking = reply->ranking;
    if (!ranking->nothing_fits)
        rush_buffer_format(buffer, "  %u in play; ", ranking->in_play);
    else
        rush_buffer_string(buffer, "  ");
    rush_report_verdict(ranking, reply->language, buffer);
    rush_buffer_byte(buffer, '\n');
    for (uint32_t i = 0; i < ranking->second_look_count; i++) {
        const rush_answer *answer =
            rush_sighting_answer(ranking->sighting, ranking->second_looks[i].answer);
        rush_buffer_string(buffer, "  second look: ");
        rush_words_character(ranking->key, answer->character, reply->language, buffer);
        rush_buffer_string(buffer, " (you said: ");
        rush_buffer_safe(buffer, answer->given);
        rush_buffer_string(buffer, ")\n");
    }
}

/* ---- how to look -------------------------------------------------------------------------------- */

static void write_explanation(const rush_reply *reply, rush_buffer *buffer)
{
    const rush_key *key = reply->ranking->key;
    const rush_character *character = rush_key_character(key, reply->asked);
    const char *tip = rush_key_words(key, character->tip, reply->language);
    if (tip[0]) {
        rush_buffer_string(buffer, "  ");
        rush_words_wrap(rush_text_of(tip), 2, 78, buffer);
        rush_buffer_byte(buffer, '\n');
    }
    for (uint32_t s = 0; s < character->state_count; s++) {
        const rush_state *state = &character->states[s];
        if (!state->sketch)
            continue;
        rush_buffer_string(buffer, "  ");
        rush_words_state(key, reply->asked, s, reply->language, buffer);
        rush_buffer_byte(buffer, '\n');
        rush_words_drawing(state->sketch, 6, buffer);
    }
    rush_buffer_string(buffer, "  Enter: not seen   ?: how to look   <: back   .: end\n");
}

/* ---- the end ------------------------------------------------------------------------------------ */

/* The best marks to tell a runner-up from the leader. */
static void write_runner_up(const rush_reply *reply, uint32_t at, rush_buffer *buffer)
{
    enum { MARKS = 2 };
    const rush_ranking *ranking = reply->ranking;
    const rush_candidate *leader = &ranking->candidates[0], *other = &ranking->candidates[at];
    uint32_t count;
    const rush_look *marks =
        rush_tell_apart(reply->adviser, leader->form, other->form, RUSH_REACH_HAND, &count);
    rush_buffer_string(buffer, "  also in play: ");
    rush_words_taxon(ranking->key, other->taxon, reply->language, buffer);
    rush_buffer_string(buffer, ", ");
    rush_words_percent(other->probability, buffer);
    for (uint32_t i = 0; i < count && i < MARKS; i++) {
        const rush_trait *here =
            rush_key_trait(ranking->key, leader->form, marks[i].character, NULL);
        const rush_trait *there =
            rush_key_trait(ranking->key, other->form, marks[i].character, NULL);
        if (!here || !there)
            continue;
        rush_buffer_string(buffer, "\n      ");
        rush_words_character(ranking->key, marks[i].character, reply->language, buffer);
        rush_buffer_string(buffer, ": ");
        rush_words_trait(ranking->key, there, reply->language, buffer);
        rush_buffer_string(buffer, "; in the first: ");
        rush_words_trait(ranking->key, here, reply->language, buffer);
    }
    rush_buffer_byte(buffer, '\n');
}

static void write_end(const rush_reply *reply, rush_buffer *buffer)
{
    static const char *const why[] = {"", "The name has survived a further answer.\n",
                                      "Nothing left to look at would help.\n"};
    enum { RUNNERS_UP = 4 };
    const rush_ranking *ranking = reply->ranking;
    rush_buffer_byte(buffer, '\n');
    rush_buffer_string(buffer, why[reply->why_ended]);
    rush_report_verdict(ranking, reply->language, buffer);
    rush_buffer_byte(buffer, '\n');
    for (uint32_t i = 1; i < ranking->in_play && i <= RUNNERS_UP; i++)
        write_runner_up(reply, i, buffer);
    if (ranking->in_play > RUNNERS_UP + 1)
        rush_buffer_format(buffer, "  and %u more in play\n", ranking->in_play - RUNNERS_UP - 1);
    if (ranking->verdict.safe) {
        const rush_taxon *taxon = rush_key_taxon(ranking->key, ranking->verdict.taxon);
        const char *caution = rush_key_words(ranking->key, taxon->caution, reply->language);
        if (caution[0]) {
            rush_buffer_string(buffer, "  caution: ");
            rush_words_wrap(rush_text_of(caution), 11, 78, buffer);
            rush_buffer_byte(buffer, '\n');
        }
    }
    rush_buffer line = {0};
    rush_sighting_write(reply->sighting, reply->language, &line);
    rush_buffer_string(buffer, "observation line: ");
    rush_words_add_part(&line, buffer);
    rush_buffer_byte(buffer, '\n');
}

/* What was not understood, without the line: it stands right above. */
static void write_unread(const rush_reply *reply, rush_buffer *buffer)
{
    for (size_t i = 0; i < rush_diagnostics_count(reply->diagnostics); i++) {
        const rush_diagnostic *diagnostic = rush_diagnostics_at(reply->diagnostics, i);
        rush_buffer_string(buffer, "  ");
        rush_buffer_safe(buffer, rush_text_of(diagnostic->message));
        rush_buffer_string(buffer, diagnostic->help ? "; " : "");
        rush_buffer_safe(buffer, rush_text_of(diagnostic->help));
        rush_buffer_byte(buffer, '\n');
    }
    if (rush_diagnostics_out_of_memory(reply->diagnostics))
        rush_buffer_format(buffer, "  %s\n", rush_slug_meaning(RUSH_OUT_OF_MEMORY));
}

/* ---- the whole ---------------------------------------------------------------------------------- */

void rush_report_reply(const rush_reply *reply, rush_buffer *buffer)
{
    switch (reply->kind) {
    case RUSH_REPLY_ASK:
        if (reply->answered)
            write_standing(reply, buffer);
        write_question(reply, buffer);
        break;
    case RUSH_REPLY_EXPLAIN:
        write_explanation(reply, buffer);
        break;
    case RUSH_REPLY_UNREAD:
        write_unread(reply, buffer);
        break;
    case RUSH_REPLY_END:
        if (reply->answered)
            write_standing(reply, buffer);
        write_end(reply, buffer);
        break;
    }
}
