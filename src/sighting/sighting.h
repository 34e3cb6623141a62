/* A sighting's storage, for src/sighting.
 *
 * Layer: sighting. Each character has a place of its own for a set of states in `sets`; the texts of
 * answers and fields stand in `texts`, held by offset since that buffer moves. */
#ifndef RUSH_SIGHTING_SIGHTING_H
#define RUSH_SIGHTING_SIGHTING_H

#include "key/key.h"
#include "rushlight/sighting.h"

typedef struct rush_kept_text {
    size_t at, length;
} rush_kept_text;

struct rush_sighting {
    const rush_key *key;
    rush_answer *answers;  /* in the order given; as many as the key has characters */
    rush_kept_text *given; /* of each answer */
    uint32_t count;
    uint64_t *sets;         /* of every character */
    const uint32_t *set_at; /* by character, and the end */
    uint64_t *scratch;      /* one set as large as the largest */
    rush_kept_text fields[RUSH_RECORD_FIELD_COUNT];
    rush_buffer texts;
    /* Of what is being read: */
    rush_buffer unquoted;      /* values without their quotation marks */
    rush_buffer line_starts;   /* of a row of several lines: uint32_t offsets */
    rush_kept_text degrees[2]; /* latitude and longitude */
    struct csv_parser *cells;  /* of rows; made when the first one is read */
    struct rush_known *known;  /* of lines; made when the first one is read */
};

uint32_t rush_set_words(const rush_key *key, uint32_t character);

/* A new answer for a character, all zero but for its empty set; NULL when it has one already. */
rush_answer *rush_sighting_add(rush_sighting *sighting, uint32_t character);
/* Where a set may be built before its answer is there. */
uint64_t *rush_sighting_set(rush_sighting *sighting, uint32_t character);
void rush_sighting_keep(rush_sighting *sighting, rush_kept_text *kept, rush_text text);
rush_text rush_sighting_kept(const rush_sighting *sighting, rush_kept_text kept);
/* row.c */
void rush_row_reader_free(rush_sighting *sighting);
/* Makes `given` of each answer point into the texts; to be called when they are settled. */
void rush_sighting_settle(rush_sighting *sighting);

#endif
