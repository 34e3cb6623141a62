#include "advise/asking.h"

#include <stdlib.h>
#include <string.h>

#include "key/key.h"

bool rush_asking_begin(rush_asking *asking, const rush_key *key)
{
    asking->skipped = calloc(key->character_count, sizeof *asking->skipped);
    asking->looked_twice = calloc(key->character_count, sizeof *asking->looked_twice);
    asking->safe_taxon = RUSH_NONE;
    return asking->skipped && asking->looked_twice;
}

void rush_asking_free(rush_asking *asking)
{
    free(asking->skipped);
    free(asking->looked_twice);
    *asking = (rush_asking){0};
}

void rush_asking_restart(rush_asking *asking, const rush_key *key)
{
    memset(asking->skipped, 0, key->character_count * sizeof *asking->skipped);
    memset(asking->looked_twice, 0, key->character_count * sizeof *asking->looked_twice);
    asking->safe_taxon = RUSH_NONE;
}

/* The first doubtful answer that has not been looked at twice yet; RUSH_NONE for none. */
static uint32_t doubtful(const rush_asking *asking, const rush_ranking *ranking)
{
    for (uint32_t i = 0; i < ranking->second_look_count; i++) {
        uint32_t answer = ranking->second_looks[i].answer;
        uint32_t character = rush_sighting_answer(ranking->sighting, answer)->character;
        if (!asking->looked_twice[character] && character >= RUSH_BUILT_IN_CHARACTERS)
            return character;
    }
    return RUSH_NONE;
}

uint32_t rush_asking_among(const rush_asking *asking, const rush_look *looks, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++)
        if (!asking->skipped[looks[i].character])
            return looks[i].character;
    return RUSH_NONE;
}

rush_turn rush_asking_turn(rush_asking *asking, rush_adviser *adviser,
                           const rush_ranking *ranking, rush_reach reach, bool answered)
{
    uint32_t again = answered ? doubtful(asking, ranking) : RUSH_NONE;
    if (again != RUSH_NONE) {
        asking->looked_twice[again] = true;
        asking->safe_taxon = RUSH_NONE;
        return (rush_turn){.kind = RUSH_TURN_AGAIN, .character = again};
    }
    uint32_t safe = ranking->verdict.safe ? ranking->verdict.taxon : RUSH_NONE;
    bool named = safe != RUSH_NONE && ranking->key->taxa[safe].leaf_count == 1;
    bool survived = named && answered && asking->safe_taxon == safe;
    if (answered)
        asking->safe_taxon = safe;
    if (survived)
        return (rush_turn){.kind = RUSH_TURN_SAFE, .character = RUSH_NONE};
    rush_look_options options = {reach, named ? RUSH_LEAST_CONFIRMATION : RUSH_LEAST_GAIN, false};
    rush_turn turn = {.kind = RUSH_TURN_LOOK};
    turn.looks = rush_look_next(adviser, ranking, &options, &turn.look_count);
    turn.character = rush_asking_among(asking, turn.looks, turn.look_count);
    if (turn.character == RUSH_NONE)
        turn.kind = RUSH_TURN_NO_LOOK;
    return turn;
}
