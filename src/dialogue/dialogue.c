#include "dialogue/dialogue.h"

#include <stdlib.h>
#include <string.h>

#include "diagnostic/diagnostic.h"
#include "dialogue/choices.h"
#include "sighting/answer.h"

/* ---- life --------------------------------------------------------------------------------------- */

static bool whole(const rush_dialogue *dialogue)
{
    return dialogue->sighting && dialogue->said && dialogue->ranker && dialogue->adviser &&
           dialogue->diagnostics;
}

rush_dialogue_options rush_dialogue_usual(void)
{
    return (rush_dialogue_options){.reach = RUSH_REACH_CLOSE};
}

rush_dialogue *rush_dialogue_new(const rush_key *key, const rush_dialogue_options *options)
{
    rush_dialogue *dialogue = calloc(1, sizeof *dialogue);
    if (!dialogue)
        return NULL;
    dialogue->key = key;
    dialogue->options = options ? *options : rush_dialogue_usual();
    dialogue->sighting = rush_sighting_new(key);
    dialogue->said = rush_sighting_new(key);
    dialogue->ranker = rush_ranker_new(key);
    dialogue->adviser = rush_adviser_new(key);
    dialogue->diagnostics = rush_diagnostics_new();
    dialogue->asked = RUSH_NONE;
    if (rush_asking_begin(&dialogue->asking, key) && whole(dialogue) &&
        (!dialogue->options.set ||
         rush_sighting_merge(dialogue->sighting, dialogue->options.set)))
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
    rush_buffer_free(&dialogue->written_out);
    rush_asking_free(&dialogue->asking);
    free(dialogue);
}

/* ---- replies ------------------------------------------------------------------------------------ */

const rush_reply *rush_dialogue_reply(rush_dialogue *dialogue, rush_reply_kind kind)
{
    rush_reply *made = &dialogue->reply;
    made->kind = kind;
    made->asked = dialogue->asked;
    made->ranker = dialogue->ranker;
    made->sighting = dialogue->sighting;
    made->diagnostics = dialogue->diagnostics;
    made->adviser = dialogue->adviser;
    made->reach = dialogue->options.reach;
    made->language = dialogue->options.language;
    return made;
}

static const rush_reply *end(rush_dialogue *dialogue, rush_end why)
{
    rush_reply *made = &dialogue->reply;
    dialogue->ended = true;
    dialogue->asked = RUSH_NONE;
    made->why_ended = why;
    made->second_look = false;
    made->needed = dialogue->needed;
    made->needed_count = 0;
    if (!made->ranking->nothing_fits) {
        uint32_t count;
        const rush_look *looks = rush_look_next(dialogue->adviser, made->ranking, NULL, &count);
        made->needed_count = count < RUSH_NEEDED_MAX ? count : RUSH_NEEDED_MAX;
        memcpy(dialogue->needed, looks, made->needed_count * sizeof *looks);
    }
    return rush_dialogue_reply(dialogue, RUSH_REPLY_END);
}

/* Whether what was just said sits badly with what leads, or has made an answer doubtful. */
static bool contradicts(const rush_dialogue *dialogue, const rush_ranking *ranking)
{
    if (ranking->nothing_fits || ranking->second_look_count)
        return true;
    for (uint32_t i = 0; i < rush_sighting_answer_count(dialogue->sighting); i++) {
        uint32_t character = rush_sighting_answer(dialogue->sighting, i)->character;
        if (rush_sighting_find(dialogue->said, character) &&
            rush_answer_sits_badly(dialogue->ranker, i, ranking->candidates[0].form))
            return true;
    }
    return false;
}

const rush_reply *rush_dialogue_ask_next(rush_dialogue *dialogue)
{
    rush_reply *made = &dialogue->reply;
    const rush_ranking *ranking =
        rush_rank(dialogue->ranker, dialogue->sighting, &dialogue->options.rank);
    made->ranking = ranking;
    made->contradicts = made->answered && contradicts(dialogue, ranking);
    rush_turn turn = rush_asking_turn(&dialogue->asking, dialogue->adviser, ranking,
                                      dialogue->options.reach, made->answered);
    made->second_look = turn.kind == RUSH_TURN_AGAIN;
    if (turn.character == RUSH_NONE)
        return end(dialogue, turn.kind == RUSH_TURN_SAFE ? RUSH_END_SAFE : RUSH_END_NO_LOOK);
    dialogue->asked = turn.character;
    return rush_dialogue_reply(dialogue, RUSH_REPLY_ASK);
}

static const rush_reply *out_of_memory(rush_dialogue *dialogue)
{
    rush_diagnose_out_of_memory(dialogue->diagnostics);
    return rush_dialogue_reply(dialogue, RUSH_REPLY_UNREAD);
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

static const rush_reply *go_back(rush_dialogue *dialogue, size_t steps)
{
    for (; steps && dialogue->step_count; steps--) {
        dialogue_step step = dialogue->steps[--dialogue->step_count];
        if (step.skipped != RUSH_NONE)
            dialogue->asking.skipped[step.skipped] = false;
        rush_sighting_free(dialogue->sighting);
        dialogue->sighting = step.before;
    }
    dialogue->asking.safe_taxon = RUSH_NONE;
    return rush_dialogue_ask_next(dialogue);
}

/* Not seen; of a second look: it stays as it was said. */
static const rush_reply *skip(rush_dialogue *dialogue)
{
    bool kept = dialogue->reply.second_look;
    if (!push(dialogue, kept ? RUSH_NONE : dialogue->asked))
        return out_of_memory(dialogue);
    if (!kept)
        dialogue->asking.skipped[dialogue->asked] = true;
    return rush_dialogue_ask_next(dialogue);
}

/* Reads the line into `said`; its faults are in the diagnostics. */
static bool read_said(rush_dialogue *dialogue, rush_text text)
{
    rush_line line = {text, "answer", 1, dialogue->asked, NULL};
    rush_diagnostics_clear(dialogue->diagnostics);
    return rush_sighting_read(dialogue->said, &line, dialogue->diagnostics);
}

/* Writes the line anew with the choices of each bare answer as names; true when that changes it. */
static bool write_out(rush_dialogue *dialogue, rush_text line, bool loosely)
{
    rush_buffer *out = &dialogue->written_out;
    bool changed = false;
    rush_buffer_clear(out);
    if (memchr(line.at, '"', line.length))
        return false;
    for (size_t from = 0; from <= line.length;) {
        const char *stop = memchr(line.at + from, ';', line.length - from);
        size_t to = stop ? (size_t)(stop - line.at) : line.length;
        rush_text part = {line.at + from, to - from};
        rush_buffer_string(out, from ? "; " : "");
        if (!memchr(part.at, ':', part.length) &&
            rush_choices_write_out(dialogue->key, dialogue->asked, part, loosely, out))
            changed = true;
        else
            rush_buffer_add(out, rush_text_trim(part));
        from = to + 1;
    }
    return changed && !out->failed;
}

static rush_text written_out(const rush_dialogue *dialogue)
{
    return (rush_text){dialogue->written_out.bytes, dialogue->written_out.length};
}

/* "'b' could be brown, black": when the beginning of a name is all that is wrong. */
static void explain_beginning(rush_dialogue *dialogue, rush_text line)
{
    const rush_key *key = dialogue->key;
    bool several = false;
    line = rush_text_trim(line);
    if (dialogue->asked != RUSH_NONE && key->characters[dialogue->asked].kind == RUSH_KIND_STATES)
        rush_choice(key, dialogue->asked, line, true, &several);
    if (!several)
        return;
    rush_source source = {.name = "answer", .text = line};
    rush_diagnostics_clear(dialogue->diagnostics);
    rush_diagnostic *made = rush_diagnose(
        dialogue->diagnostics, RUSH_UNKNOWN_STATE, &source, (rush_span){0, (uint32_t)line.length},
        "'%.*s' begins several names", (int)line.length, line.at);
    rush_diagnose_help(dialogue->diagnostics, made, "write a little more of it, or its number");
}

/* Reads the line as it stands, or with its choices written out when that changes it. */
static bool understand_as(rush_dialogue *dialogue, rush_text line, bool written, bool loosely)
{
    if (written && !write_out(dialogue, line, loosely)) {
        if (dialogue->written_out.failed)
            rush_diagnose_out_of_memory(dialogue->diagnostics);
        return false;
    }
    return read_said(dialogue, written ? written_out(dialogue) : line);
}

/* With numbers of choices as names; as it stands; with beginnings of names too. */
static bool understand(rush_dialogue *dialogue, rush_text line)
{
    static const struct {
        bool written, loosely;
    } ways[] = {{true, false}, {false, false}, {true, true}};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (understand_as(dialogue, line, ways[i].written, ways[i].loosely))
            return true;
        if (rush_diagnostics_out_of_memory(dialogue->diagnostics))
            return false;
    }
    read_said(dialogue, line); /* for its own diagnostics */
    explain_beginning(dialogue, line);
    return false;
}

static bool brings_fields(const rush_sighting *said)
{
    for (int f = 0; f < RUSH_RECORD_FIELD_COUNT; f++)
        if (rush_sighting_field(said, (rush_record_field)f).length)
            return true;
    return false;
}

static const rush_reply *take_answers(rush_dialogue *dialogue, rush_text line)
{
    if (!understand(dialogue, line))
        return rush_dialogue_reply(dialogue, RUSH_REPLY_UNREAD);
    if (!push(dialogue, RUSH_NONE) || !rush_sighting_merge(dialogue->sighting, dialogue->said))
        return out_of_memory(dialogue);
    dialogue->reply.answered = rush_sighting_answer_count(dialogue->said) > 0;
    dialogue->reply.noted = !dialogue->reply.answered && brings_fields(dialogue->said);
    return rush_dialogue_ask_next(dialogue);
}

/* ---- the whole ----------------------------------------------------------------------------------- */

const rush_reply *rush_dialogue_begin(rush_dialogue *dialogue)
{
    dialogue->reply.answered = rush_sighting_answer_count(dialogue->sighting) > 0;
    return rush_dialogue_ask_next(dialogue);
}

/* Whoever goes on without having begun begins with that. */
static void begin_first(rush_dialogue *dialogue)
{
    if (!dialogue->reply.ranking)
        rush_dialogue_begin(dialogue);
}

const rush_reply *rush_dialogue_end(rush_dialogue *dialogue)
{
    begin_first(dialogue);
    dialogue->reply.answered = false;
    return dialogue->ended ? &dialogue->reply : end(dialogue, RUSH_END_TOLD);
}

/* After the end: fields of the record only. */
static const rush_reply *note_late(rush_dialogue *dialogue, rush_text line)
{
    rush_reply *made = &dialogue->reply;
    made->answered = made->noted = false;
    if (!read_said(dialogue, line) || rush_sighting_answer_count(dialogue->said))
        return made;
    made->noted = rush_sighting_merge(dialogue->sighting, dialogue->said);
    if (!made->noted)
        rush_diagnose_out_of_memory(dialogue->diagnostics);
    return made;
}

static size_t steps_back(rush_text line)
{
    size_t steps = 0;
    while (steps < line.length && line.at[steps] == '<')
        steps++;
    return steps == line.length ? steps : 0;
}

const rush_reply *rush_dialogue_step(rush_dialogue *dialogue, rush_text line)
{
    begin_first(dialogue);
    if (dialogue->ended)
        return note_late(dialogue, line);
    line = rush_text_trim(line);
    if (line.length && line.at[line.length - 1] == '\r')
        line = rush_text_trim((rush_text){line.at, line.length - 1});
    rush_diagnostics_clear(dialogue->diagnostics);
    dialogue->reply.answered = dialogue->reply.noted = dialogue->reply.contradicts = false;
    if (!line.length || (line.length == 1 && line.at[0] == '-'))
        return skip(dialogue);
    if (line.length == 1 && line.at[0] == '?')
        return rush_dialogue_reply(dialogue, RUSH_REPLY_EXPLAIN);
    if (line.length == 1 && line.at[0] == '.')
        return end(dialogue, RUSH_END_TOLD);
    if (steps_back(line))
        return go_back(dialogue, steps_back(line));
    bool a_name = rush_key_find_state(dialogue->key, dialogue->asked, line) != RUSH_NONE;
    const rush_reply *obeyed = a_name ? NULL : rush_dialogue_obey(dialogue, line);
    return obeyed ? obeyed : take_answers(dialogue, line);
}
