#include "sighting/known.h"

#include <stdlib.h>
#include <string.h>

#include "base/table.h"

enum { PLACES = 1024, SAID_MAX = 48 };

typedef struct known_entry {
    char said[SAID_MAX];
    uint32_t length; /* 0: nothing is here */
    rush_answer answer;
    uint64_t states;
} known_entry;

struct rush_known {
    known_entry entries[PLACES];
};

rush_known *rush_known_new(void)
{
    return calloc(1, sizeof(rush_known));
}

void rush_known_free(rush_known *known)
{
    free(known);
}

static uint32_t place_of(rush_text said)
{
    return rush_table_hash(0, said) % PLACES;
}

const rush_answer *rush_known_find(const rush_known *known, rush_text said, uint64_t *states)
{
    if (!said.length || said.length > SAID_MAX)
        return NULL;
    const known_entry *entry = &known->entries[place_of(said)];
    if (entry->length != said.length || memcmp(entry->said, said.at, said.length) != 0)
        return NULL;
    *states = entry->states;
    return &entry->answer;
}

void rush_known_learn(rush_known *known, rush_text said, const rush_answer *answer,
                      uint64_t states)
{
    if (!said.length || said.length > SAID_MAX)
        return;
    known_entry *entry = &known->entries[place_of(said)];
    memcpy(entry->said, said.at, said.length);
    entry->length = (uint32_t)said.length;
    entry->answer = *answer;
    entry->states = states;
}
