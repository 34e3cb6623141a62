#include <string.h>

#include "changes/changes.h"

/* What one key answers with. */
typedef struct answerer {
    rush_sighting *sighting;
    rush_ranker *ranker;
    rush_diagnostics *list;
} answerer;

static bool hire(answerer *with, const rush_key *key)
{
    *with = (answerer){rush_sighting_new(key), rush_ranker_new(key), rush_diagnostics_new()};
    return with->sighting && with->ranker && with->list;
}

static void dismiss(answerer *with)
{
    rush_sighting_free(with->sighting);
    rush_ranker_free(with->ranker);
    rush_diagnostics_free(with->list);
}

/* False when there is no memory. */
static bool answer(answerer *with, const char *saw, rush_answered *answered)
{
    rush_line line = {rush_text_of(saw), "sighting", 1, RUSH_NONE, NULL};
    rush_diagnostics_clear(with->list);
    *answered = (rush_answered){.read = rush_sighting_read(with->sighting, &line, with->list)};
    if (!answered->read)
        return !rush_diagnostics_out_of_memory(with->list);
    const rush_ranking *ranking = rush_rank(with->ranker, with->sighting, NULL);
    answered->nothing_fits = ranking->nothing_fits;
    answered->verdict = ranking->verdict;
    return true;
}

/* The same name, as safe, of the same sex and form. */
static bool same_answer(const rush_comparing *with, const rush_answered *before,
                        const rush_answered *after)
{
    const rush_verdict *a = &before->verdict, *b = &after->verdict;
    if (before->read != after->read || before->nothing_fits != after->nothing_fits)
        return false;
    if (!before->read || before->nothing_fits)
        return true;
    if (a->safe != b->safe || with->taxon_now[a->taxon] != b->taxon || a->sex != b->sex)
        return false;
    const char *form = a->form == RUSH_NONE ? NULL : with->old->forms[a->form].name;
    const char *other = b->form == RUSH_NONE ? NULL : with->now->forms[b->form].name;
    return rush_same_string(form, other);
}

static uint32_t find_sighting(const rush_key *key, const char *saw)
{
    for (uint32_t i = 0; i < key->sighting_count; i++)
        if (strcmp(key->sightings[i].saw, saw) == 0)
            return i;
    return RUSH_NONE;
}

typedef struct both_answer {
    rush_comparing *with;
    answerer old, now;
    bool memory;
} both_answer;

static void compare_one(both_answer *both, uint32_t old, uint32_t now)
{
    rush_comparing *with = both->with;
    rush_sighting_change change = {old,
                                   now,
                                   now == RUSH_NONE ? with->old->sightings[old].saw
                                                    : with->now->sightings[now].saw,
                                   {0},
                                   {0}};
    both->memory &= answer(&both->old, change.saw, &change.before) &&
                    answer(&both->now, change.saw, &change.after);
    with->compared++;
    if (both->memory && !same_answer(with, &change.before, &change.after))
        *RUSH_PUSH(&with->arena, &with->sightings) = change;
}

static void compare_all(void *with)
{
    both_answer *both = with;
    const rush_key *old = both->with->old, *now = both->with->now;
    for (uint32_t i = 0; i < now->sighting_count; i++)
        compare_one(both, find_sighting(old, now->sightings[i].saw), i);
    for (uint32_t i = 0; i < old->sighting_count; i++)
        if (find_sighting(now, old->sightings[i].saw) == RUSH_NONE)
            compare_one(both, i, RUSH_NONE);
}

bool rush_compare_sightings(rush_comparing *with)
{
    both_answer both = {.with = with};
    bool old = hire(&both.old, with->old), now = hire(&both.now, with->now);
    bool hired = old && now;
    both.memory = hired;
    both.memory = hired && rush_arena_guard(&with->arena, compare_all, &both) && both.memory;
    dismiss(&both.old);
    dismiss(&both.now);
    return both.memory;
}
