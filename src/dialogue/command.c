/* The words of command: what is asked of the program, not of the insect. */
#include <string.h>

#include "diagnostic/diagnostic.h"
#include "dialogue/choices.h"
#include "dialogue/dialogue.h"
#include "sighting/answer.h"

const char *const rush_dialogue_words[] = {"help", "list", "why", "apart", "reach", "said", NULL};

/* A taxon as people point at one: by any name, by its place in the list, by the beginning of a name. */
static uint32_t pointed_taxon(const rush_dialogue *dialogue, rush_text text)
{
    const rush_key *key = dialogue->key;
    const rush_ranking *ranking = dialogue->reply.ranking;
    double number;
    uint32_t taxon = rush_key_find_taxon(key, text), found = RUSH_NONE;
    if (taxon != RUSH_NONE)
        return taxon;
    if (rush_text_number(text, &number) && number >= 1 && number <= ranking->candidate_count)
        return ranking->candidates[(uint32_t)number - 1].taxon;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        if (!rush_begins(rush_text_of(key->taxa[t].name), text))
            continue;
        if (found != RUSH_NONE)
            return RUSH_NONE;
        found = t;
    }
    return found;
}

/* "A, B", "A and B", "A from B", or two numbers. */
static bool two_taxa(const rush_dialogue *dialogue, rush_text text, uint32_t pair[2])
{
    static const char *const between[] = {",", " and ", " from ", " or ", " "};
    for (size_t b = 0; b < sizeof between / sizeof *between; b++) {
        size_t length = strlen(between[b]);
        for (size_t i = 1; i + length < text.length; i++) {
            if (memcmp(text.at + i, between[b], length) != 0)
                continue;
            pair[0] = pointed_taxon(dialogue, rush_text_trim((rush_text){text.at, i}));
            pair[1] = pointed_taxon(
                dialogue,
                rush_text_trim((rush_text){text.at + i + length, text.length - i - length}));
            if (pair[0] != RUSH_NONE && pair[1] != RUSH_NONE)
                return true;
        }
    }
    return false;
}

static const rush_reply *compare(rush_dialogue *dialogue, rush_reply_kind kind, rush_text rest)
{
    const rush_ranking *ranking = dialogue->reply.ranking;
    rush_reply *made = &dialogue->reply;
    uint32_t pair[2];
    made->first = made->second = RUSH_NONE;
    if (rest.length && !two_taxa(dialogue, rest, pair)) {
        rush_source source = {.name = "answer", .text = rest};
        rush_diagnostic *problem =
            rush_diagnose(dialogue->diagnostics, RUSH_UNKNOWN_TAXON, &source,
                          (rush_span){0, (uint32_t)rest.length}, "'%.*s' is not two taxa",
                          (int)rest.length, rest.at);
        rush_diagnose_help(dialogue->diagnostics, problem,
                           "write their names with a comma between, or their numbers in `list`");
        return rush_dialogue_reply(dialogue, RUSH_REPLY_UNREAD);
    }
    if (rest.length) {
        made->first = rush_likeliest_form(ranking, pair[0]);
        made->second = rush_likeliest_form(ranking, pair[1]);
    } else if (ranking->candidate_count > 1) {
        made->first = ranking->candidates[0].form;
        made->second = ranking->candidates[1].form;
    }
    return rush_dialogue_reply(dialogue, kind);
}

static const rush_reply *set_reach(rush_dialogue *dialogue, rush_text word)
{
    for (int r = 0; r < RUSH_REACH_COUNT; r++)
        if (rush_text_equal(word, rush_text_of(rush_reach_name((rush_reach)r)))) {
            dialogue->options.reach = (rush_reach)r;
            return rush_dialogue_ask_next(dialogue);
        }
    rush_source source = {.name = "answer", .text = word};
    rush_diagnostic *made = rush_diagnose(dialogue->diagnostics, RUSH_BAD_CHOICE, &source,
                                          (rush_span){0, (uint32_t)word.length},
                                          "'%.*s' is not a reach", (int)word.length, word.at);
    rush_diagnose_help(dialogue->diagnostics, made,
                       "far (on the wing), near (a few paces), close (binoculars or a good "
                       "photograph), hand");
    return rush_dialogue_reply(dialogue, RUSH_REPLY_UNREAD);
}

const rush_reply *rush_dialogue_obey(rush_dialogue *dialogue, rush_text line)
{
    static const rush_text nothing = {"", 0};
    rush_text rest;
    if (rush_text_equal(line, rush_text_of("help")))
        return rush_dialogue_reply(dialogue, RUSH_REPLY_HELP);
    if (rush_text_equal(line, rush_text_of("list")))
        return rush_dialogue_reply(dialogue, RUSH_REPLY_IN_PLAY);
    if (rush_text_equal(line, rush_text_of("said")))
        return rush_dialogue_reply(dialogue, RUSH_REPLY_SAID);
    if (rush_text_equal(line, rush_text_of("why")))
        return compare(dialogue, RUSH_REPLY_WHY, nothing);
    if (rush_text_equal(line, rush_text_of("apart")))
        return compare(dialogue, RUSH_REPLY_APART, nothing);
    if (rush_text_behind(line, "apart", &rest))
        return compare(dialogue, RUSH_REPLY_APART, rest);
    if (rush_text_behind(line, "reach", &rest))
        return set_reach(dialogue, rest);
    return NULL;
}
