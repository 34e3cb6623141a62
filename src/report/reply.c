/* The conversation's replies, in words. */
#include <math.h>

#include "report/question.h"

/* ---- how things stand ---------------------------------------------------------------------------- */

/* "3 in play; leading: Ischnura elegans (...), 71.0 %; safe to genus: Ischnura" */
static void write_standing(const rush_reply *reply, const rush_screen *screen,
                           rush_buffer *buffer)
{
    const rush_ranking *ranking = reply->ranking;
    const rush_verdict *verdict = &ranking->verdict;
    rush_buffer line = {0};
    if (ranking->nothing_fits) {
        rush_screen_string(screen, 2, "Nothing in this key fits these answers together.", buffer);
        return;
    }
    const rush_candidate *leader = &ranking->candidates[0];
    bool named = verdict->safe && verdict->taxon == leader->taxon;
    rush_buffer_format(&line, "%u in play; ", ranking->in_play);
    if (!named) {
        rush_buffer_string(&line, "leading: ");
        rush_words_taxon(ranking->key, leader->taxon, reply->language, &line);
        rush_buffer_string(&line, ", ");
        rush_words_percent(leader->probability, &line);
        rush_buffer_string(&line, "; ");
    }
    if (verdict->safe || ranking->fit.poor)
        rush_report_verdict(ranking, reply->language, &line);
    else
        rush_buffer_string(&line, "nothing safe yet");
    if (named)
        rush_screen_paint(screen, RUSH_PAINT_SAFE, buffer);
    rush_screen_text(screen, 2, &line, buffer);
    if (named)
        rush_screen_plain(screen, buffer);
}

static void write_contradiction(const rush_reply *reply, const rush_screen *screen,
                                rush_buffer *buffer)
{
    const rush_ranking *ranking = reply->ranking;
    if (!reply->contradicts)
        return;
    rush_buffer line = {0};
    rush_buffer_string(&line, "That does not go well with the rest");
    for (uint32_t i = 0; i < ranking->second_look_count; i++) {
        const rush_answer *answer =
            rush_sighting_answer(ranking->sighting, ranking->second_looks[i].answer);
        rush_buffer_string(&line, i ? ", " : "; doubtful: ");
        rush_words_character(ranking->key, answer->character, reply->language, &line);
        rush_buffer_format(&line, " (you said: %.*s)", (int)answer->given.length,
                           answer->given.at);
    }
    rush_buffer_byte(&line, '.');
    rush_screen_paint(screen, RUSH_PAINT_DOUBT, buffer);
    rush_screen_text(screen, 2, &line, buffer);
    rush_screen_plain(screen, buffer);
}

/* ---- what is in play ----------------------------------------------------------------------------- */

static void write_in_play(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    const rush_ranking *ranking = reply->ranking;
    for (uint32_t i = 0; i < ranking->in_play; i++) {
        rush_buffer line = {0};
        rush_buffer_format(&line, "%u. ", i + 1);
        rush_words_taxon(ranking->key, ranking->candidates[i].taxon, reply->language, &line);
        rush_buffer_string(&line, ", ");
        rush_words_percent(ranking->candidates[i].probability, &line);
        rush_screen_text(screen, 2, &line, buffer);
    }
    rush_buffer line = {0};
    rush_buffer_string(&line, "Something that is not in this key: ");
    rush_words_percent(ranking->unlisted, &line);
    rush_screen_text(screen, 2, &line, buffer);
}

static void write_said(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    rush_buffer line = {0};
    rush_sighting_write(reply->sighting, reply->language, &line);
    if (!line.length)
        rush_buffer_string(&line, "nothing yet");
    rush_screen_text(screen, 2, &line, buffer);
}

/* ---- two forms compared -------------------------------------------------------------------------- */

static void write_bits(double bits, rush_buffer *buffer)
{
    if (isinf(bits))
        rush_buffer_string(buffer, "beyond measure");
    else {
        rush_buffer_decimal(buffer, fabs(bits), 1);
        rush_buffer_string(buffer, " bit");
    }
}

static const char *form_taxon(const rush_reply *reply, uint32_t form)
{
    const rush_key *key = reply->ranking->key;
    return rush_key_taxon(key, rush_key_form(key, form)->taxon)->name;
}

/* "for Pyrrhosoma nymphula: leg colour (black), 2.1 bit" */
static void write_weight(const rush_reply *reply, const rush_screen *screen, double bits,
                         rush_buffer *what, rush_buffer *buffer)
{
    rush_buffer line = {0};
    if (fabs(bits) < 0.05)
        rush_buffer_string(&line, "for neither: ");
    else
        rush_buffer_format(
            &line, "for %s: ", form_taxon(reply, bits > 0 ? reply->first : reply->second));
    rush_buffer_add(&line, (rush_text){what->bytes, what->length});
    line.failed |= what->failed;
    rush_buffer_free(what);
    if (fabs(bits) >= 0.05) {
        rush_buffer_string(&line, ", ");
        write_bits(bits, &line);
    }
    rush_screen_text(screen, 2, &line, buffer);
}

/* Each answer's weight, and what is left for how often each is met. */
static void write_why(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    const rush_ranking *ranking = reply->ranking;
    if (reply->first == RUSH_NONE || ranking->nothing_fits) {
        rush_screen_string(screen, 2, "There are no two to compare.", buffer);
        return;
    }
    double left = log2(ranking->forms[reply->first]) - log2(ranking->forms[reply->second]);
    for (uint32_t i = 0; i < rush_sighting_answer_count(reply->sighting); i++) {
        const rush_answer *answer = rush_sighting_answer(reply->sighting, i);
        double bits = rush_answer_bits(reply->ranker, i, reply->first, reply->second);
        rush_buffer what = {0};
        rush_words_character(ranking->key, answer->character, reply->language, &what);
        rush_buffer_format(&what, " (%.*s)", (int)answer->given.length, answer->given.at);
        write_weight(reply, screen, bits, &what, buffer);
        left -= bits;
    }
    if (isfinite(left)) {
        rush_buffer what = {0};
        rush_buffer_string(&what, "how often each is met");
        write_weight(reply, screen, left, &what, buffer);
    }
    rush_screen_string(screen, 2, "One bit doubles the odds, three make them eightfold.", buffer);
}

static void write_mark(const rush_reply *reply, const rush_screen *screen, const rush_look *mark,
                       rush_buffer *buffer)
{
    const rush_key *key = reply->ranking->key;
    rush_buffer line = {0};
    rush_words_character(key, mark->character, reply->language, &line);
    rush_buffer_format(&line, " (%s, ",
                       rush_reach_name(rush_key_character(key, mark->character)->reach));
    write_bits(mark->gain, &line);
    rush_buffer_format(&line, "): %s ", form_taxon(reply, reply->first));
    rush_words_usual(key, reply->first, mark->character, reply->language, &line);
    rush_buffer_format(&line, "; %s ", form_taxon(reply, reply->second));
    rush_words_usual(key, reply->second, mark->character, reply->language, &line);
    rush_screen_text(screen, 4, &line, buffer);
}

static void write_apart(const rush_reply *reply, const rush_screen *screen, uint32_t most,
                        rush_buffer *buffer)
{
    uint32_t count;
    if (reply->first == RUSH_NONE || reply->first == reply->second) {
        rush_screen_string(screen, 2, "There are no two to tell apart.", buffer);
        return;
    }
    const rush_look *marks =
        rush_tell_apart(reply->adviser, reply->first, reply->second, RUSH_REACH_HAND, &count);
    if (!count)
        rush_screen_string(screen, 4, "The key knows no mark that tells them apart.", buffer);
    for (uint32_t i = 0; i < count && i < most; i++)
        write_mark(reply, screen, &marks[i], buffer);
}

/* ---- the end ------------------------------------------------------------------------------------- */

/* What the safe name does not say: that it is likelier none of those in the key, and which of a group leads. */
static void write_likeliest(const rush_reply *reply, const rush_screen *screen,
                            rush_buffer *buffer)
{
    const rush_ranking *ranking = reply->ranking;
    const rush_candidate *leading = &ranking->candidates[0];
    if (ranking->unlisted >= leading->probability) {
        rush_buffer line = {0};
        rush_buffer_string(&line, "likeliest: something that is not in this key, ");
        rush_words_percent(ranking->unlisted, &line);
        rush_screen_text(screen, 2, &line, buffer);
    }
    if (ranking->verdict.safe && ranking->verdict.taxon != leading->taxon) {
        rush_buffer line = {0};
        rush_buffer_string(&line, ranking->unlisted >= leading->probability
                                      ? "of those that are: "
                                      : "likeliest: ");
        rush_words_taxon(ranking->key, leading->taxon, reply->language, &line);
        rush_buffer_string(&line, ", ");
        rush_words_percent(leading->probability, &line);
        rush_screen_text(screen, 2, &line, buffer);
    }
}

static void write_runners_up(const rush_reply *reply, const rush_screen *screen,
                             rush_buffer *buffer)
{
    enum { RUNNERS_UP = 3, MARKS = 2 };
    const rush_ranking *ranking = reply->ranking;
    for (uint32_t i = 1; i < ranking->in_play && i <= RUNNERS_UP; i++) {
        rush_buffer line = {0};
        rush_buffer_string(&line, "still in play: ");
        rush_words_taxon(ranking->key, ranking->candidates[i].taxon, reply->language, &line);
        rush_buffer_string(&line, ", ");
        rush_words_percent(ranking->candidates[i].probability, &line);
        rush_screen_text(screen, 2, &line, buffer);
        rush_reply pair = *reply;
        pair.first = ranking->candidates[0].form;
        pair.second = ranking->candidates[i].form;
        write_apart(&pair, screen, MARKS, buffer);
    }
    if (ranking->in_play > RUNNERS_UP + 1) {
        rush_buffer line = {0};
        rush_buffer_format(&line, "and %u more in play", ranking->in_play - RUNNERS_UP - 1);
        rush_screen_text(screen, 2, &line, buffer);
    }
}

/* What would have helped: a mark out of reach, or one that was passed over. */
static void write_needed(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    enum { NEEDED = 3 };
    static const char *const how[] = {"a view on the wing", "a view from a few paces",
                                      "a close view, or a photograph that shows it",
                                      "having it in the hand, where that is permitted"};
    const rush_key *key = reply->ranking->key;
    bool species = reply->ranking->verdict.safe &&
                   rush_key_taxon(key, reply->ranking->verdict.taxon)->leaf_count == 1;
    for (uint32_t i = 0; !species && i < reply->needed_count && i < NEEDED; i++) {
        rush_buffer line = {0};
        uint32_t character = reply->needed[i].character;
        rush_buffer_string(&line, "would help: ");
        rush_words_character(key, character, reply->language, &line);
        rush_buffer_format(&line, " (%s, ", how[rush_key_character(key, character)->reach]);
        write_bits(reply->needed[i].gain, &line);
        rush_buffer_byte(&line, ')');
        rush_screen_text(screen, 2, &line, buffer);
    }
}

static void write_caution(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    const rush_ranking *ranking = reply->ranking;
    if (!ranking->verdict.safe)
        return;
    const rush_taxon *taxon = rush_key_taxon(ranking->key, ranking->verdict.taxon);
    const char *caution = rush_key_words(ranking->key, taxon->caution, reply->language);
    rush_buffer line = {0};
    if (!caution[0])
        return;
    rush_buffer_format(&line, "caution: %s", caution);
    rush_screen_text(screen, 2, &line, buffer);
}

static void write_end(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    const rush_ranking *ranking = reply->ranking;
    rush_buffer verdict = {0}, line = {0};
    rush_buffer_byte(buffer, '\n');
    if (reply->why_ended == RUSH_END_SAFE)
        rush_screen_string(screen, 0, "You can stop: the name has survived one answer more.",
                           buffer);
    if (reply->why_ended == RUSH_END_NO_LOOK)
        rush_screen_string(screen, 0, "You can stop: nothing is left to ask.",
                           buffer);
    rush_screen_paint(screen, ranking->verdict.safe ? RUSH_PAINT_SAFE : RUSH_PAINT_DOUBT, buffer);
    rush_report_verdict(ranking, reply->language, &verdict);
    rush_screen_text(screen, 0, &verdict, buffer);
    rush_screen_plain(screen, buffer);
    if (!ranking->nothing_fits) {
        write_likeliest(reply, screen, buffer);
        write_runners_up(reply, screen, buffer);
        write_needed(reply, screen, buffer);
        write_caution(reply, screen, buffer);
    }
    /* Not wrapped: it is to be copied whole. */
    rush_buffer_string(buffer, "observation line: ");
    rush_sighting_write(reply->sighting, reply->language, &line);
    rush_words_add_part(&line, buffer);
    rush_buffer_byte(buffer, '\n');
}

/* ---- the rest ------------------------------------------------------------------------------------ */

/* What was not understood, without the line: it stands right above. */
static void write_unread(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    for (size_t i = 0; i < rush_diagnostics_count(reply->diagnostics); i++) {
        const rush_diagnostic *diagnostic = rush_diagnostics_at(reply->diagnostics, i);
        rush_buffer line = {0};
        rush_buffer_format(&line, "%s%s%s", diagnostic->message, diagnostic->help ? "; " : "",
                           diagnostic->help ? diagnostic->help : "");
        rush_screen_text(screen, 2, &line, buffer);
    }
    if (rush_diagnostics_out_of_memory(reply->diagnostics))
        rush_screen_string(screen, 2, rush_slug_meaning(RUSH_OUT_OF_MEMORY), buffer);
}

static void write_help(const rush_screen *screen, rush_buffer *buffer)
{
    static const char *const lines[] = {
        "Answer by name, number or the beginning of a name; red or orange; not blue; 34 mm; about 34; "
        "add ? when unsure. Several at once: folded; red; 35 mm. Name any character: leg colour: black. "
        "Answer one again to change it.",
        "Enter: not seen",
        "?: how to look",
        "<: back; <<: two steps",
        "list: what is in play",
        "why: which answers speak for the first against the second",
        "apart A, B: what tells two of them apart (names, or numbers in the list)",
        "reach far, near, close or hand: how well you can see it now",
        "said: what you have answered",
        ".: end, with the verdict and the line that keeps it",
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        rush_screen_string(screen, 2, lines[i], buffer);
}

static void write_news(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    if (reply->noted)
        rush_screen_string(screen, 2, "Noted for the record.", buffer);
    if (!reply->answered)
        return;
    write_contradiction(reply, screen, buffer);
    write_standing(reply, screen, buffer);
}

void rush_report_reply(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    rush_screen assumed = rush_screen_assumed(screen);
    screen = &assumed;
    switch (reply->kind) {
    case RUSH_REPLY_ASK:
        write_news(reply, screen, buffer);
        rush_question_write(reply, screen, buffer);
        break;
    case RUSH_REPLY_EXPLAIN:
        rush_question_explain(reply, screen, buffer);
        break;
    case RUSH_REPLY_UNREAD:
        write_unread(reply, screen, buffer);
        break;
    case RUSH_REPLY_IN_PLAY:
        write_in_play(reply, screen, buffer);
        break;
    case RUSH_REPLY_WHY:
        write_why(reply, screen, buffer);
        break;
    case RUSH_REPLY_APART:
        write_apart(reply, screen, 5, buffer);
        break;
    case RUSH_REPLY_SAID:
        write_said(reply, screen, buffer);
        break;
    case RUSH_REPLY_HELP:
        write_help(screen, buffer);
        break;
    case RUSH_REPLY_END:
        write_news(reply, screen, buffer);
        write_end(reply, screen, buffer);
        break;
    }
}
