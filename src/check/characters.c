#include <math.h>

#include "check/check.h"

/* ---- misread ------------------------------------------------------------------------------------- */

enum { LEAST_PERCENT = 10 };

/* What an answer can tell at most, as a part of what it could without mistakes: the capacity of a symmetric
 * channel of so many states (Cover and Thomas, Elements of Information Theory, section 7.2; from memory). */
static double worth(uint32_t states, double error)
{
    double all = log2(states), doubt = error * log2(states - 1);
    if (error > 0)
        doubt -= error * log2(error) + (1 - error) * log2(1 - error);
    return all > 0 ? (all - doubt) / all : 0;
}

static void check_misread(rush_checker *checker, uint32_t at)
{
    static const double half = 0.45;
    const rush_character *character = &checker->key->characters[at];
    bool states = character->kind == RUSH_KIND_STATES && character->state_count >= 2;
    double part = states ? worth(character->state_count, character->error) : 1;
    rush_diagnostic *made = NULL;
    if (character->misread >= half || part * 100 < LEAST_PERCENT) {
        made = rush_find(
            checker, RUSH_USELESS_MISREAD, rush_place_character(checker->key, at, "misread"),
            "'%s' is misread so often that an answer tells next to nothing", character->id);
        rush_diagnose_help(
            checker->list, made,
            "a careful beginner misreads a posture 0.03 of the time, a colour near by 0.08, "
            "far off 0.15; what is misread more often than 0.2 is better left out, or asked in "
            "fewer states");
    }
    if (character->kind == RUSH_KIND_NUMBER && character->reading_error_relative &&
        character->reading_error >= 0.5) {
        made = rush_find(checker, RUSH_USELESS_MISREAD,
                         rush_place_character(checker->key, at, "reading_error"),
                         "'%s' is read so roughly that it tells next to nothing", character->id);
        rush_diagnose_help(checker->list, made, "10%% is usual for a length by eye");
    }
}

/* ---- prompts -------------------------------------------------------------------------------------- */

static void check_prompt(rush_checker *checker, uint32_t at)
{
    const rush_character *character = &checker->key->characters[at];
    if (character->setting || !character->look_next || !character->ask.in || character->tip.in)
        return;
    rush_diagnostic *made =
        rush_find(checker, RUSH_NO_TIP, rush_place_character(checker->key, at, "ask"),
                  "'%s' asks, and does not say how to look", character->id);
    rush_diagnose_help(
        checker->list, made,
        "add a `tip:`: where to look, what to compare with, what is easily mistaken");
}

/* ---- states ---------------------------------------------------------------------------------------- */

/* Marks the states that some traits show; `first` holds where each character's states begin. */
static void see_traits(const rush_trait *const *traits, uint32_t count, const rush_key *key,
                       const uint32_t *first, bool *seen)
{
    for (uint32_t i = 0; i < count; i++) {
        uint32_t c = traits[i]->character;
        seen[first[c]] = true;
        for (uint32_t s = 0;
             traits[i]->kind == RUSH_TRAIT_STATES && s < key->characters[c].state_count; s++)
            seen[first[c] + 1 + s] |= traits[i]->weights[s] > 0;
    }
}

enum { NAMED = 5 }; /* of the states that no taxon has */

static void complain_unused(rush_checker *checker, uint32_t at, uint32_t first, uint32_t count,
                            const char *names)
{
    rush_diagnostic *made =
        rush_find(checker, RUSH_UNUSED_STATE, rush_place_state(checker->key, at, first),
                  "no taxon has the state%s %s of '%s'", count > 1 ? "s" : "", names,
                  checker->key->characters[at].id);
    rush_diagnose_help(
        checker->list, made,
        "score it where it is seen, or leave it out: who answers it is led astray");
}

static void check_unused(rush_checker *checker, uint32_t at, const bool *seen)
{
    const rush_character *character = &checker->key->characters[at];
    if (character->kind != RUSH_KIND_STATES || !seen[0] || rush_doubts_character(checker, at))
        return;
    rush_buffer names = {0};
    uint32_t first = RUSH_NONE, count = 0;
    for (uint32_t s = 0; s < character->state_count; s++) {
        if (seen[1 + s])
            continue;
        first = count ? first : s;
        count++;
        if (count <= NAMED)
            rush_buffer_format(&names, "%s'%s'", count > 1 ? ", " : "", character->states[s].id);
    }
    if (count > NAMED)
        rush_buffer_format(&names, " and %u more", count - NAMED);
    if (names.failed)
        rush_diagnose_out_of_memory(checker->list);
    else if (count)
        complain_unused(checker, at, first, count, names.bytes);
    rush_buffer_free(&names);
}

static void check_states(rush_checker *checker)
{
    const rush_key *key = checker->key;
    uint32_t *first = RUSH_ARRAY(&checker->arena, uint32_t, key->character_count);
    uint32_t total = 0;
    for (uint32_t c = 0; c < key->character_count; c++) {
        first[c] = total;
        total += key->characters[c].state_count + 1; /* one more: anything at all is scored */
    }
    bool *seen = RUSH_ARRAY(&checker->arena, bool, total);
    for (uint32_t t = 0; t < key->taxon_count; t++)
        see_traits(key->taxa[t].traits, key->taxa[t].trait_count, key, first, seen);
    for (uint32_t f = 0; f < key->form_count; f++)
        see_traits(key->forms[f].traits, key->forms[f].trait_count, key, first, seen);
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < key->character_count; c++)
        check_unused(checker, c, seen + first[c]);
}

void rush_check_characters(rush_checker *checker)
{
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < checker->key->character_count; c++) {
        if (!checker->key->characters[c].setting)
            check_misread(checker, c);
        check_prompt(checker, c);
    }
    if (!rush_part_is_lost(checker))
        check_states(checker);
}
