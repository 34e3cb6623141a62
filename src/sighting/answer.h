/* Understanding one answer of one character: DESIGN's answer grammar, below the line.
 *
 * Layer: sighting. The text has no quotation marks any more. */
#ifndef RUSH_SIGHTING_ANSWER_H
#define RUSH_SIGHTING_ANSWER_H

#include "diagnostic/diagnostic.h"
#include "sighting/sighting.h"

/* Where faults go; a NULL list keeps quiet, for answers that are only tried. */
typedef struct rush_answer_reader {
    const rush_key *key;
    rush_diagnostics *list;
    const rush_source *source; /* the line */
    rush_span span;            /* of the answer in it */
    uint64_t *scratch;         /* a set as large as the key's largest */
} rush_answer_reader;

/* Reads `text` for answer->character; `set` is the answer's own and empty. False when it cannot be
 * understood. */
bool rush_answer_read(const rush_answer_reader *reader, rush_text text, rush_answer *answer,
                      uint64_t *set);
/* Nothing was seen: empty, `-` or `?`. */
bool rush_answer_is_empty(rush_text text);
/* Whether the character has a state, month or taxon of this name; `scratch` is a set as large as the key's largest. */
bool rush_answer_is_name(const rush_key *key, uint32_t character, rush_text text,
                         uint64_t *scratch);

enum { RUSH_PIECES_MAX = 64 };
/* Cuts alternatives at ` or `, `|`, `/` and `,`; returns how many there are. */
uint32_t rush_answer_split(rush_text text, rush_text pieces[RUSH_PIECES_MAX]);

/* The span of a piece of the answer, when the piece stands in the line as it is; else the answer's. */
rush_span rush_answer_piece(const rush_answer_reader *reader, rush_text piece);

/* measure.c: the same for a number. */
bool rush_measure_read(const rush_answer_reader *reader, rush_text text, rush_answer *answer);

/* The text behind a word at its start ("not blue" behind "not"); false when it does not begin so.
 * The word is ASCII and in lower case. */
bool rush_text_behind(rush_text text, const char *word, rush_text *rest);

#endif
