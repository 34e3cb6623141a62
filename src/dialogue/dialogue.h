/* The conversation's own state, for src/dialogue.
 *
 * Layer: dialogue. */
#ifndef RUSH_DIALOGUE_DIALOGUE_H
#define RUSH_DIALOGUE_DIALOGUE_H

#include "advise/asking.h"
#include "key/key.h"
#include "rushlight/dialogue.h"

enum { RUSH_NEEDED_MAX = 8 };

/* One step that can be taken back: what was known before it, and what was skipped or kept. */
typedef struct dialogue_step {
    rush_sighting *before;
    uint32_t skipped; /* RUSH_NONE: the step brought answers, or kept one */
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
    rush_asking asking;
    uint32_t asked;
    bool ended;
    rush_buffer written_out; /* the line with its choices as names */
    rush_look needed[RUSH_NEEDED_MAX];
    rush_reply reply;
};

/* The reply of a kind, with all that every reply has. */
const rush_reply *rush_dialogue_reply(rush_dialogue *dialogue, rush_reply_kind kind);
/* Ranks what is known; asks for a second look, or the next thing, or ends. */
const rush_reply *rush_dialogue_ask_next(rush_dialogue *dialogue);
/* command.c: does what a word of command says; NULL when the line is none. */
const rush_reply *rush_dialogue_obey(rush_dialogue *dialogue, rush_text line);

/* The words of command, which NULL ends. */
extern const char *const rush_dialogue_words[];

#endif
