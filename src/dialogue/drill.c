#include "dialogue/drill.h"

#include <stdlib.h>
#include <string.h>

#include "base/unicode.h"
#include "diagnostic/diagnostic.h"

/* ---- life ------------------------------------------------------------------------------------------ */

static bool take_memory(rush_drill *drill)
{
    const rush_key *key = drill->key;
    drill->ranker = rush_ranker_new(key);
    drill->adviser = rush_adviser_new(key);
    drill->diagnostics = rush_diagnostics_new();
    drill->sighting = rush_sighting_new(key);
    drill->cards = calloc(key->leaf_count, sizeof *drill->cards);
    drill->last = calloc(key->leaf_count, sizeof *drill->last);
    drill->pool = calloc(key->form_count, sizeof *drill->pool);
    drill->explained = calloc(key->character_count, sizeof *drill->explained);
    drill->order = calloc(key->character_count, sizeof *drill->order);
    drill->marks = calloc(key->character_count, sizeof *drill->marks);
    drill->told = calloc(key->character_count, sizeof *drill->told);
    drill->occasion = calloc(key->character_count, sizeof *drill->occasion);
    return rush_meeting_begin(&drill->meeting, key, false) && drill->ranker && drill->adviser &&
           drill->diagnostics && drill->sighting && drill->cards && drill->last &&
           drill->explained && drill->pool && drill->order && drill->marks && drill->told &&
           drill->occasion;
}

rush_drill_options rush_drill_usual(void)
{
    return (rush_drill_options){.reach = RUSH_REACH_CLOSE, .rounds = RUSH_DRILL_ROUNDS};
}

rush_drill *rush_drill_new(const rush_key *key, const rush_drill_options *options)
{
    rush_drill *drill = calloc(1, sizeof *drill);
    if (!drill)
        return NULL;
    drill->key = key;
    drill->options = options ? *options : rush_drill_usual();
    drill->options.today = rush_drill_day_within(drill->options.today);
    if (!drill->options.rounds)
        drill->options.rounds = RUSH_DRILL_ROUNDS;
    if (!take_memory(drill) || !rush_drill_fill_pool(drill)) {
        rush_drill_free(drill);
        return NULL;
    }
    for (uint32_t leaf = 0; leaf < key->leaf_count; leaf++)
        drill->cards[leaf].taxon = key->leaves[leaf];
    rush_drill_sort_characters(drill);
    if (rush_drill_learn_sense(drill))
        return drill;
    rush_drill_free(drill);
    return NULL;
}

void rush_drill_free(rush_drill *drill)
{
    if (!drill)
        return;
    rush_ranker_free(drill->ranker);
    rush_adviser_free(drill->adviser);
    rush_diagnostics_free(drill->diagnostics);
    rush_sighting_free(drill->sighting);
    rush_meeting_free(&drill->meeting);
    rush_buffer_free(&drill->others);
    free(drill->cards);
    free(drill->last);
    free(drill->explained);
    free(drill->pool);
    free(drill->order);
    free(drill->first_state);
    free(drill->nonsense);
    free(drill->marks);
    free(drill->told);
    free(drill->occasion);
    free(drill);
}

/* ---- replies --------------------------------------------------------------------------------------- */

static const rush_drill_reply *answer(rush_drill *drill, rush_drill_kind kind)
{
    rush_drill_reply *made = &drill->reply;
    made->key = drill->key;
    made->language = drill->options.language;
    made->kind = kind;
    made->rounds = drill->options.rounds;
    made->occasion = drill->occasion;
    made->occasion_count = drill->occasion_count;
    made->marks = drill->marks;
    made->mark_count = drill->shown;
    made->left = drill->mark_count - drill->shown;
    made->diagnostics = drill->diagnostics;
    made->cards = drill->cards;
    made->card_count = drill->key->leaf_count;
    made->today = drill->options.today;
    made->hard = drill->options.hard;
    made->set = drill->options.set;
    return made;
}

static const rush_drill_reply *end(rush_drill *drill)
{
    drill->ended = true;
    return answer(drill, RUSH_DRILL_END);
}

static const rush_drill_reply *out_of_memory(rush_drill *drill)
{
    rush_diagnose_out_of_memory(drill->diagnostics);
    return end(drill);
}

static const rush_drill_reply *play_next(rush_drill *drill)
{
    if (drill->reply.round == drill->options.rounds)
        return end(drill);
    drill->reply.round++;
    if (!rush_drill_play(drill, rush_drill_choose(drill)))
        return out_of_memory(drill);
    drill->reply.newest = rush_drill_show(drill, DRILL_FIRST_MARKS);
    return answer(drill, RUSH_DRILL_LOOK);
}

static const rush_drill_reply *end_round(rush_drill *drill, rush_drill_result result,
                                         uint32_t named)
{
    rush_drill_card *card = rush_drill_card_of(drill, drill->key->forms[drill->view.form].taxon);
    rush_drill_judge(drill, result, named);
    drill->last[card - drill->cards] = drill->reply.round;
    if (drill->outcome.fair) {
        drill->reply.fair++;
    } else {
        bool right = result == RUSH_DRILL_RIGHT;
        rush_drill_score(drill, card, right);
        drill->reply.played++;
        drill->reply.right += right;
    }
    drill->reply.outcome = &drill->outcome;
    return play_next(drill);
}

/* ---- words of command ------------------------------------------------------------------------------ */

typedef enum drill_word { WORD_NONE, MORE, HINT, MARKS, WHY, HELP, GIVE_UP, QUIT } drill_word;

/* As names are compared: small, without hyphens. */
static drill_word word_of(rush_text line)
{
    static const struct {
        const char *said;
        drill_word word;
    } words[] = {{"", MORE},
                 {"more", MORE},
                 {"next", MORE},
                 {"hint", HINT},
                 {"h", HINT},
                 {"marks", MARKS},
                 {"why", WHY},
                 {"?", HELP},
                 {"help", HELP},
                 {"give up", GIVE_UP},
                 {"i give up", GIVE_UP},
                 {"skip", GIVE_UP},
                 {"pass", GIVE_UP},
                 {"tell me", GIVE_UP},
                 {"don't know", GIVE_UP},
                 {"i don't know", GIVE_UP},
                 {"dont know", GIVE_UP},
                 {"i dont know", GIVE_UP},
                 {"no idea", GIVE_UP},
                 {"quit", QUIT},
                 {"q", QUIT},
                 {".", QUIT},
                 {"exit", QUIT}};
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(line, folded);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (length == strlen(words[i].said) && memcmp(folded, words[i].said, length) == 0)
            return words[i].word;
    return WORD_NONE;
}

/* What was said, without what people set behind it when they ask or exclaim: "azure damselfly?" */
static rush_text plain_line(rush_text line)
{
    line = rush_text_trim(line);
    if (line.length && line.at[line.length - 1] == '\r')
        line = rush_text_trim((rush_text){line.at, line.length - 1});
    while (line.length > 1 && strchr("?!.", line.at[line.length - 1]))
        line = rush_text_trim((rush_text){line.at, line.length - 1});
    return line;
}

/* ---- steps ----------------------------------------------------------------------------------------- */

static const rush_drill_reply *show_more(rush_drill *drill)
{
    drill->reply.newest = rush_drill_show(drill, 1);
    return answer(drill, drill->reply.newest ? RUSH_DRILL_MORE : RUSH_DRILL_NO_MORE);
}

static const rush_drill_reply *hint(rush_drill *drill)
{
    rush_drill_bring_forward(drill);
    drill->reply.newest = rush_drill_show(drill, 1);
    if (!drill->reply.newest)
        return answer(drill, RUSH_DRILL_NO_MORE);
    bool *explained = &drill->explained[drill->marks[drill->shown - 1].character];
    drill->reply.explained = *explained;
    *explained = true;
    return answer(drill, RUSH_DRILL_HINT);
}

static const rush_drill_reply *why(rush_drill *drill)
{
    drill->reply.outcome = drill->reply.played || drill->reply.fair ? &drill->outcome : NULL;
    return answer(drill, RUSH_DRILL_WHY);
}

/* Whether a group has one taxon alone that can be played. */
static bool stands_for_one(const rush_drill *drill, uint32_t group)
{
    const rush_taxon *taxon = &drill->key->taxa[group];
    const rush_part *part = drill->options.part;
    uint32_t count = 0;
    for (uint32_t i = taxon->first_leaf; i < taxon->first_leaf + taxon->leaf_count; i++)
        count += !part || part->taxa[drill->key->leaves[i]];
    return count == 1;
}

static const rush_drill_reply *take_name(rush_drill *drill, rush_text line)
{
    const rush_key *key = drill->key;
    rush_sex sex;
    uint32_t truth = key->forms[drill->view.form].taxon;
    uint32_t named = rush_drill_name(drill, line, &sex);
    if (named == RUSH_NONE)
        return answer(drill, RUSH_DRILL_UNKNOWN);
    bool group = key->leaves[key->taxa[named].first_leaf] != named;
    bool within = rush_key_within(key, truth, named);
    if (group && !(within && stands_for_one(drill, named))) {
        drill->reply.group = named;
        drill->reply.within = within;
        return answer(drill, RUSH_DRILL_GROUP);
    }
    if (drill->options.part && !drill->options.part->taxa[named]) {
        drill->reply.group = named;
        return answer(drill, RUSH_DRILL_OUTSIDE);
    }
    drill->outcome.sex = sex;
    return end_round(drill, within ? RUSH_DRILL_RIGHT : RUSH_DRILL_WRONG, within ? truth : named);
}

const rush_drill_reply *rush_drill_begin(rush_drill *drill)
{
    rush_drill_count(drill, &drill->reply.taxa, &drill->reply.due);
    return play_next(drill);
}

const rush_drill_reply *rush_drill_end(rush_drill *drill)
{
    drill->reply.outcome = NULL;
    return drill->ended ? &drill->reply : end(drill);
}

const rush_drill_reply *rush_drill_step(rush_drill *drill, rush_text line)
{
    if (!drill->reply.round)
        rush_drill_begin(drill);
    if (drill->ended)
        return rush_drill_end(drill);
    line = plain_line(line);
    rush_diagnostics_clear(drill->diagnostics);
    drill->reply.outcome = NULL;
    drill->reply.newest = 0;
    switch (word_of(line)) {
    case MORE:
        return show_more(drill);
    case HINT:
        return hint(drill);
    case MARKS:
        return answer(drill, RUSH_DRILL_MARKS);
    case WHY:
        return why(drill);
    case HELP:
        return answer(drill, RUSH_DRILL_HELP);
    case GIVE_UP:
        return end_round(drill, RUSH_DRILL_GIVEN_UP, RUSH_NONE);
    case QUIT:
        return end(drill);
    default:
        return take_name(drill, line);
    }
}
