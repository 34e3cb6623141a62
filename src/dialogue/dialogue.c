#include "rushlight/dialogue.h"

#include <stdlib.h>
#include <string.h>

#include "diagnostic/diagnostic.h"
#include "sighting/sighting.h"

/* One step that can be taken back: what was seen before it, and what was skipped. */
typedef struct dialogue_step {
    rush_sighting *before;
    uint32_t skipped; /* RUSH_NONE: the step brought answers */
} dialogue_step;

struct rush_dialogue {
    const rush_key *key;
    rush_dialogue_options options;
    rush_sighting *sighting; /* all that has been answered */
    rush_sighting *said;     /* the line being taken */
    rush_ranker *ranker;
    rush_adviser *adviser;
    rush_diagnostics *diagnostics;
    dialogue_step *steps;
    size_t step_count, step_room;
    bool *skipped; /* by character */
    uint32_t asked;
    uint32_t safe_taxon; /* the safe name before the last answer, or RUSH_NONE */
    bool ended;
    rush_reply reply;
};

/* ---- life --------------------------------------------------------------------------------------- */

rush_dialogue *rush_dialogue_new(const rush_key *key, const rush_dialogue_options *options)
{
    rush_dialogue *dialogue = calloc(1, sizeof *dialogue);
    if (!dialogue)
        return NULL;
    dialogue->key = key;
    dialogue->options = *options;
    dialogue->sighting = rush_sighting_new(key);
    dialogue->said = rush_sighting_new(key);
    dialogue->ranker = rush_ranker_new(key);
    dialogue->adviser = rush_adviser_new(key);
    dialogue->diagnostics = rush_diagnostics_new();
    dialogue->skipped = calloc(key->character_count, sizeof *dialogue->skipped);
    dialogue->asked = dialogue->safe_taxon = RUSH_NONE;
    if (dialogue->sighting && dialogue->said && dialogue->ranker && dialogue->adviser &&
        dialogue->diagnostics && dialogue->skipped &&
        (!options->set || rush_sighting_merge(dialogue->sighting, options->set)))
        return dialogue;
    rush_dialogue_free(dialogue);
    return NULL;
}

void rush_dialogue_free(rush_dialogue *dialogue)
{
    if (!dialogue)
        return;
    for (size_t i = 0; i < dialogue->step_count; i++)
        rush_sighting_free(dialogue->steps[i].before);
    free(dialogue->steps);
    rush_sighting_free(dialogue->sighting);
    rush_sighting_free(dialogue->said);
    rush_ranker_free(dialogue->ranker);
    rush_adviser_free(dialogue->adviser);
    rush_diagnostics_free(dialogue->diagnostics);
    free(dialogue->skipped);
    free(dialogue);
}

/* ---- replies ------------------------------------------------------------------------------------ */

static const rush_reply *reply(rush_dialogue *dialogue, rush_reply_kind kind)
{
    dialogue->reply.kind = kind;
    dialogue->reply.asked = dialogue->asked;
    dialogue->reply.ranker = dialogue->ranker;
    dialogue->reply.sighting = dialogue->sighting;
    dialogue->reply.diagnostics = dialogue->diagnostics;
    dialogue->reply.adviser = dialogue->adviser;
    dialogue->reply.language = dialogue->options.language;
    return &dialogue->reply;
}

static const rush_reply *end(rush_dialogue *dialogue, rush_end why)
{
    dialogue->ended = true;
    dialogue->asked = RUSH_NONE;
    dialogue->reply.why_ended = why;
    return reply(dialogue, RUSH_REPLY_END);
}

/* Ranks what is known; asks the next thing, or ends. */
static const rush_reply *ask_next(rush_dialogue *dialogue)
{
    const rush_ranking *ranking =
        rush_rank(dialogue->ranker, dialogue->sighting, &dialogue->options.rank);
    dialogue->reply.ranking = ranking;
    uint32_t safe = ranking->verdict.safe ? ranking->verdict.taxon : RUSH_NONE;
    bool leaf = safe != RUSH_NONE && dialogue->key->taxa[safe].leaf_count == 1;
    bool survived = leaf && dialogue->reply.answered && dialogue->safe_taxon == safe;
    if (dialogue->reply.answered)
        dialogue->safe_taxon = safe;
    if (survived)
        return end(dialogue, RUSH_END_SAFE);
    rush_look_options options = {dialogue->options.reach, leaf ? 0 : RUSH_LEAST_GAIN, false};
    uint32_t count;
    const rush_look *looks = rush_look_next(dialogue->adviser, ranking, &options, &count);
    for (uint32_t i = 0; i < count; i++)
        if (!dialogue->skipped[looks[i].character]) {
            dialogue->asked = looks[i].character;
            return reply(dialogue, RUSH_REPLY_ASK);
        }
    return end(dialogue, RUSH_END_NO_LOOK);
}

static const rush_reply *out_of_memory(rush_dialogue *dialogue)
{
    rush_diagnose_out_of_memory(dialogue->diagnostics);
    return reply(dialogue, RUSH_REPLY_UNREAD);
}

/* ---- steps -------------------------------------------------------------------------------------- */

/* Remembers how things stood. */
static bool push(rush_dialogue *dialogue, uint32_t skipped)
{
    if (dialogue->step_count == dialogue->step_room) {
        size_t room = dialogue->step_room ? dialogue->step_room * 2 : 16;
        dialogue_step *steps = realloc(dialogue->steps, room * sizeof *steps);
        if (!steps)
            return false;
        dialogue->steps = steps;
        dialogue->step_room = room;
    }
    rush_sighting *before = rush_sighting_new(dialogue->key);
    if (!before || !rush_sighting_merge(before, dialogue->sighting)) {
        rush_sighting_free(before);
        return false;
    }
    dialogue->steps[dialogue->step_count++] = (dialogue_step){before, skipped};
    return true;
}

static const rush_reply *go_back(rush_dialogue *dialogue)
{
    if (!dialogue->step_count)
        return ask_next(dialogue);
    dialogue_step step = dialogue->steps[--dialogue->step_count];
    if (step.skipped != RUSH_NONE)
        dialogue->skipped[step.skipped] = false;
    rush_sighting_free(dialogue->sighting);
    dialogue->sighting = step.before;
    dialogue->safe_taxon = RUSH_NONE;
    return ask_next(dialogue);
}

static const rush_reply *skip(rush_dialogue *dialogue)
{
    if (!push(dialogue, dialogue->asked))
        return out_of_memory(dialogue);
    dialogue->skipped[dialogue->asked] = true;
    return ask_next(dialogue);
}

static const rush_reply *take_answers(rush_dialogue *dialogue, rush_text text)
{
    rush_line line = {text, "answer", 1, dialogue->asked, NULL};
    if (!rush_sighting_read(dialogue->said, &line, dialogue->diagnostics))
        return reply(dialogue, RUSH_REPLY_UNREAD);
    if (!push(dialogue, RUSH_NONE) || !rush_sighting_merge(dialogue->sighting, dialogue->said))
        return out_of_memory(dialogue);
    dialogue->reply.answered = rush_sighting_answer_count(dialogue->said) > 0;
    return ask_next(dialogue);
}

const rush_reply *rush_dialogue_begin(rush_dialogue *dialogue)
{
    dialogue->reply.answered = false;
    return ask_next(dialogue);
}

const rush_reply *rush_dialogue_end(rush_dialogue *dialogue)
{
    dialogue->reply.answered = false;
    return dialogue->ended ? &dialogue->reply : end(dialogue, RUSH_END_TOLD);
}

const rush_reply *rush_dialogue_step(rush_dialogue *dialogue, rush_text line)
{
    if (dialogue->ended)
        return &dialogue->reply;
    line = rush_text_trim(line);
    if (line.length && line.at[line.length - 1] == '\r')
        line = rush_text_trim((rush_text){line.at, line.length - 1});
    rush_diagnostics_clear(dialogue->diagnostics);
    dialogue->reply.answered = false;
    if (!line.length)
        return skip(dialogue);
    if (line.length == 1 && line.at[0] == '?')
        return reply(dialogue, RUSH_REPLY_EXPLAIN);
    if (line.length == 1 && line.at[0] == '<')
        return go_back(dialogue);
    if (line.length == 1 && line.at[0] == '.')
        return end(dialogue, RUSH_END_TOLD);
    return take_answers(dialogue, line);
}
