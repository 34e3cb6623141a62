#include <stdlib.h>

#include "advise/adviser.h"

static void reserve(void *with)
{
    rush_adviser *adviser = with;
    adviser->looks = RUSH_ARRAY(&adviser->arena, rush_look, adviser->key->character_count);
    rush_information_reserve(adviser);
}

rush_adviser *rush_adviser_new(const rush_key *key)
{
    rush_adviser *adviser = calloc(1, sizeof *adviser);
    if (!adviser)
        return NULL;
    adviser->key = key;
    if (rush_arena_guard(&adviser->arena, reserve, adviser))
        return adviser;
    rush_adviser_free(adviser);
    return NULL;
}

void rush_adviser_free(rush_adviser *adviser)
{
    if (adviser)
        rush_arena_free(&adviser->arena);
    free(adviser);
}

/* ---- what to offer ------------------------------------------------------------------------------ */

/* Whatever it tells. */
static bool may_be_offered(const rush_ranking *ranking, uint32_t at,
                           const rush_look_options *options)
{
    const rush_key *key = ranking->key;
    const rush_character *character = &key->characters[at];
    if (character->kind == RUSH_KIND_TAXON || !key->model.columns[at].profile_count)
        return false;
    if (options->any_character)
        return true;
    return character->look_next && character->reach <= options->reach &&
           !rush_sighting_find(ranking->sighting, at);
}

static void insert(rush_adviser *adviser, uint32_t character, double gain)
{
    const rush_character *characters = adviser->key->characters;
    float rate = (float)(gain / characters[character].effort);
    uint32_t at = adviser->look_count++;
    for (; at; at--) {
        const rush_look *before = &adviser->looks[at - 1];
        if ((float)(before->gain / characters[before->character].effort) >= rate)
            break;
        adviser->looks[at] = *before;
    }
    adviser->looks[at] = (rush_look){character, gain};
}

rush_look_options rush_look_usual(void)
{
    return (rush_look_options){.reach = RUSH_REACH_HAND, .least_gain = RUSH_LEAST_GAIN};
}

const rush_look *rush_look_next(rush_adviser *adviser, const rush_ranking *ranking,
                                const rush_look_options *options, uint32_t *count)
{
    const rush_look_options usual = rush_look_usual();
    if (!options)
        options = &usual;
    adviser->look_count = 0;
    rush_count_all(adviser, ranking->forms);
    for (uint32_t c = 0; c < adviser->key->character_count; c++) {
        if (!may_be_offered(ranking, c, options))
            continue;
        double cannot, gain = rush_information_of_counted(adviser, c, &cannot);
        bool mostly_inapplicable = cannot > adviser->whole / 2;
        if (gain >= options->least_gain && (options->any_character || !mostly_inapplicable))
            insert(adviser, c, gain);
    }
    *count = adviser->look_count;
    return adviser->looks;
}

/* ---- two forms ---------------------------------------------------------------------------------- */

static bool both_show(const rush_key *key, uint32_t character, uint32_t a, uint32_t b)
{
    const rush_column *column = &key->model.columns[character];
    return rush_column_kind(column, rush_column_profile(column, a)) !=
               RUSH_PROFILE_INAPPLICABLE &&
           rush_column_kind(column, rush_column_profile(column, b)) != RUSH_PROFILE_INAPPLICABLE;
}

const rush_look *rush_tell_apart(rush_adviser *adviser, uint32_t form, uint32_t other,
                                 rush_reach reach, uint32_t *count)
{
    const rush_key *key = adviser->key;
    adviser->look_count = 0;
    rush_count_two(adviser, form, other);
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        if (!key->model.columns[c].profile_count || character->kind == RUSH_KIND_TAXON ||
            character->setting || !character->look_next || character->reach > reach ||
            !both_show(key, c, form, other))
            continue;
        double gain = rush_information_of_counted(adviser, c, NULL);
        if (gain >= RUSH_LEAST_GAIN)
            insert(adviser, c, gain);
    }
    *count = adviser->look_count;
    return adviser->looks;
}
