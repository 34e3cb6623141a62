/* Observation lines for the benches, from a seed: make_lines KEY COUNT [SEED [FROM TO]]
 *
 * Insects as a survey meets them, each described in FROM to TO answers (4 to 8) by somebody who misreads at the
 * key's own rates, is unsure of one answer in twelve, gives two states for one in twelve and denies one in
 * twenty-five; with an id, mostly a date, and where the key asks for a habitat, often that. */
#include "support/observer.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DEFAULT_FROM = 4, DEFAULT_TO = 8 };

static bool chance(simulated_observer *observer, double probability)
{
    return rush_random_unit(&observer->random) < probability;
}

static uint32_t any_below(simulated_observer *observer, uint32_t count)
{
    return rush_random_below(&observer->random, count);
}

/* "eyes: apart; " -> "eyes: apart?; ", "eyes: apart or touching; ", "eyes: not touching; " */
static void write_answer(simulated_observer *observer, rush_buffer *answer, rush_buffer *line)
{
    const char *colon = strchr(answer->bytes, ':');
    uint32_t at = rush_key_find_character(
        observer->key, (rush_text){answer->bytes, (size_t)(colon - answer->bytes)});
    const rush_character *character = rush_key_character(observer->key, at);
    rush_text value = {colon + 2, answer->length - 2 - (size_t)(colon + 2 - answer->bytes)};
    bool number = character->kind == RUSH_KIND_NUMBER;
    const char *other =
        number ? "" : character->states[any_below(observer, character->state_count)].id;
    rush_buffer_string(line, "; ");
    rush_buffer_string(line, character->id);
    rush_buffer_string(line, ": ");
    if (number)
        rush_buffer_string(line, chance(observer, 0.5) ? "about " : "");
    else if (chance(observer, 0.04) && !rush_text_equal(value, rush_text_of(other))) {
        rush_buffer_format(line, "not %s", other);
        return;
    }
    rush_buffer_add(line, value);
    if (!number && chance(observer, 0.08) && !rush_text_equal(value, rush_text_of(other)))
        rush_buffer_format(line, " or %s", other);
    rush_buffer_string(line, number ? " mm" : chance(observer, 0.08) ? "?" : "");
}

static void write_occasion(simulated_observer *observer, rush_buffer *line)
{
    uint32_t habitat = rush_key_find_character(observer->key, rush_text_of("habitat"));
    if (chance(observer, 0.8))
        rush_buffer_format(line, "; date: 2026-%02u-%02u", 5 + any_below(observer, 5),
                           1 + any_below(observer, 28));
    if (habitat == RUSH_NONE || chance(observer, 0.5))
        return;
    const rush_character *character = rush_key_character(observer->key, habitat);
    rush_buffer_format(line, "; habitat: %s",
                       character->states[any_below(observer, character->state_count)].id);
}

/* An insect, each taxon as likely as it is met. */
static uint32_t meet(simulated_observer *observer, const double *occurrence, double total)
{
    uint32_t leaves = rush_key_leaf_count(observer->key);
    return observer_meets(observer,
                          rush_random_of(&observer->random, occurrence, leaves, total));
}

static void write_line(simulated_observer *observer, uint32_t form, uint32_t answers,
                       rush_buffer *line)
{
    uint32_t open[512], count = 0;
    for (uint32_t c = 0; c < rush_key_character_count(observer->key) && count < 512; c++)
        if (observer_can_answer(observer, form, c))
            open[count++] = c;
    rush_buffer answer = {0};
    for (; answers && count; answers--) {
        uint32_t at = any_below(observer, count);
        rush_buffer_clear(&answer);
        observer_answers(observer, form, open[at], &answer);
        write_answer(observer, &answer, line);
        open[at] = open[--count];
    }
    rush_buffer_free(&answer);
    write_occasion(observer, line);
}

int main(int argc, char **argv)
{
    if (argc < 3 || argc == 5 || argc > 6) {
        fputs("usage: make_lines KEY COUNT [SEED [FROM TO]]\n", stderr);
        return 2;
    }
    simulated_observer observer = {.key = support_key(argv[1]), .misread = 1};
    observer.random.state = argc > 3 ? strtoull(argv[3], NULL, 10) : 1;
    uint32_t from = argc > 4 ? (uint32_t)atoi(argv[4]) : DEFAULT_FROM;
    uint32_t to = argc > 5 ? (uint32_t)atoi(argv[5]) : DEFAULT_TO;
    uint32_t leaves = rush_key_leaf_count(observer.key);
    double *occurrence = calloc(leaves, sizeof *occurrence), total = 0;
    for (uint32_t i = 0; i < leaves; i++) {
        occurrence[i] = rush_key_taxon(observer.key, rush_key_leaf(observer.key, i))->occurrence;
        total += occurrence[i];
    }
    rush_buffer line = {0};
    for (long i = 1; i <= atol(argv[2]); i++) {
        uint32_t form = meet(&observer, occurrence, total);
        rush_buffer_clear(&line);
        rush_buffer_format(&line, "id: S-%06ld", i);
        write_line(&observer, form, from + any_below(&observer, to - from + 1), &line);
        rush_buffer_byte(&line, '\n');
        fwrite(line.bytes, 1, line.length, stdout);
    }
    rush_buffer_free(&line);
    free(occurrence);
    rush_key_free((rush_key *)observer.key);
    return fflush(stdout) != 0;
}
