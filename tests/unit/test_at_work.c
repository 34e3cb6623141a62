/* The shipped key at work, with simulated observers and fixed seeds. The thresholds are this project's own
 * promises; the figures reached are printed. */
#include "support/observer.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *key_path;

typedef struct bench_seat {
    rush_key *key;
    rush_sighting *sighting;
    rush_ranker *ranker;
    bool *used; /* by character */
} bench_seat;

static bench_seat sit(rush_key *key)
{
    bench_seat seat = {key, rush_sighting_new(key), rush_ranker_new(key),
                       calloc(rush_key_character_count(key), sizeof(bool))};
    assert_true(seat.sighting && seat.ranker && seat.used);
    return seat;
}

static void leave(bench_seat *seat)
{
    rush_sighting_free(seat->sighting);
    rush_ranker_free(seat->ranker);
    free(seat->used);
}

static void forget(bench_seat *seat)
{
    memset(seat->used, 0, rush_key_character_count(seat->key) * sizeof(bool));
}

static const rush_ranking *rank_line(bench_seat *seat, const rush_buffer *line)
{
    support_sighting(seat->sighting, line->bytes);
    return rush_rank(seat->ranker, seat->sighting, NULL);
}

static bool safe_as(const rush_ranking *ranking, uint32_t taxon)
{
    return ranking->verdict.safe && ranking->verdict.taxon == taxon;
}

/* One wrong answer more, in sightings of eight answers that are safe without it. */
static void a_wrong_answer(void **state)
{
    (void)state;
    enum { WANTED = 1000 };
    bench_seat seat = sit(support_key(key_path));
    simulated_observer observer = {seat.key, {20260625}, 1};
    unsigned tried = 0, first = 0, seen = 0;
    rush_buffer line = {0};
    while (tried < WANTED) {
        uint32_t leaf = rush_random_below(&observer.random, rush_key_leaf_count(seat.key));
        uint32_t taxon = rush_key_leaf(seat.key, leaf), form = observer_meets(&observer, leaf);
        forget(&seat);
        rush_buffer_clear(&line);
        observer_describes(&observer, form, 8, seat.used, &line);
        if (!safe_as(rank_line(&seat, &line), taxon))
            continue;
        uint32_t character;
        do
            character =
                rush_random_below(&observer.random, rush_key_character_count(seat.key));
        while (seat.used[character] || !observer_can_answer(&observer, form, character));
        if (!observer_errs(&observer, form, character, &line))
            continue;
        const rush_ranking *ranking = rank_line(&seat, &line);
        tried++;
        first += ranking->candidates[0].taxon == taxon;
        seen += ranking->second_look_count &&
                rush_sighting_answer(seat.sighting, ranking->second_looks[0].answer)->character ==
                    character;
    }
    print_message(
        "one wrong answer more: the right species first in %.1f of 100, it is the first second "
        "look in %.1f of 100\n",
        100.0 * first / WANTED, 100.0 * seen / WANTED);
    assert_true(first >= 0.80 * WANTED);
    assert_true(seen >= 0.75 * WANTED);
    rush_buffer_free(&line);
    rush_key_free(seat.key);
    leave(&seat);
}

/* ---- a species taken out ------------------------------------------------------------------------- */

typedef struct taken_out {
    const char *taxon; /* whose lines are left out */
} taken_out;

/* Cuts the block "  NAME:" up to the next line that is indented no deeper. */
static void cut_taxon(rush_buffer *text, const char *name)
{
    char head[256];
    snprintf(head, sizeof head, "\n  %s:\n", name);
    char *from = strstr(text->bytes, head);
    if (!from)
        return;
    char *to = from + strlen(head) - 1;
    while ((to = strchr(to, '\n')) &&
           (strncmp(to, "\n    ", 5) == 0 || to[1] == '\n' || to[1] == '#'))
        to++;
    if (!to) {
        text->length = (size_t)(from + 1 - text->bytes);
    } else {
        memmove(from, to, strlen(to) + 1);
        text->length -= (size_t)(to - from);
    }
    text->bytes[text->length] = '\0';
}

static const char *read_without(void *user, const char *name, rush_buffer *text)
{
    const taken_out *out = user;
    char path[1024];
    if (name && strncmp(name, "sightings", 9) == 0) {
        rush_buffer_string(text, "sightings: []\n");
        return NULL;
    }
    snprintf(path, sizeof path, "%s/%s", key_path, name ? name : "key.yaml");
    support_read(path, text);
    cut_taxon(text, out->taxon);
    return NULL;
}

static rush_key *key_without(const char *taxon)
{
    rush_diagnostics *list = rush_diagnostics_new();
    taken_out out = {taxon};
    rush_key_files files = {read_without, &out, "key.yaml"};
    rush_key *key = rush_key_load(&files, list);
    if (!key)
        support_show(list);
    rush_diagnostics_free(list);
    assert_non_null(key);
    assert_int_equal(rush_key_find_taxon(key, rush_text_of(taxon)), RUSH_NONE);
    return key;
}

static void a_stranger(void **state)
{
    (void)state;
    enum { EACH = 60 };
    rush_key *whole = support_key(key_path);
    simulated_observer observer = {whole, {19990704}, 1};
    unsigned tried = 0, species = 0, group = 0;
    rush_buffer line = {0};
    for (uint32_t leaf = 0; leaf < rush_key_leaf_count(whole); leaf++) {
        const rush_taxon *taxon = rush_key_taxon(whole, rush_key_leaf(whole, leaf));
        if (taxon->rank != RUSH_RANK_SPECIES || rush_key_taxon(whole, taxon->parent)->leaf_count <
                                                    2) /* its genus must stay a genus */
            continue;
        bench_seat seat = sit(key_without(taxon->name));
        for (int i = 0; i < EACH; i++) {
            forget(&seat);
            rush_buffer_clear(&line);
            observer_describes(&observer, observer_meets(&observer, leaf), 8, seat.used, &line);
            const rush_verdict *verdict = &rank_line(&seat, &line)->verdict;
            tried++;
            if (verdict->safe && rush_key_taxon(seat.key, verdict->taxon)->leaf_count == 1)
                species++;
            else
                group += verdict->safe;
        }
        rush_key_free(seat.key);
        leave(&seat);
    }
    print_message(
        "a species that is not in the key: called safe as another in %.1f of 100, safe as a group "
        "in %.1f of 100 (%u sightings)\n",
        100.0 * species / tried, 100.0 * group / tried, tried);
    assert_true(species <= 0.40 * tried);
    rush_buffer_free(&line);
    rush_key_free(whole);
}

/* ---- nonsense -------------------------------------------------------------------------------------- */

/* A state that the form shows and the other never does; RUSH_NONE when there is none. */
static uint32_t own_state(const rush_key *key, uint32_t form, uint32_t other, uint32_t character)
{
    const rush_trait *mine = rush_key_trait(key, form, character, NULL);
    const rush_trait *theirs = rush_key_trait(key, other, character, NULL);
    if (!mine || !theirs || mine->kind != RUSH_TRAIT_STATES || theirs->kind != RUSH_TRAIT_STATES)
        return RUSH_NONE;
    for (uint32_t s = 0; s < rush_key_character(key, character)->state_count; s++)
        if (mine->weights[s] >= 0.5 && theirs->weights[s] == 0)
            return s;
    return RUSH_NONE;
}

/* Up to `count` answers for the form's own marks against the other form. */
static uint32_t own_marks(bench_seat *seat, rush_random *random, uint32_t form, uint32_t other,
                          uint32_t count, rush_buffer *line)
{
    uint32_t all = rush_key_character_count(seat->key), made = 0;
    for (uint32_t tries = 0; made < count && tries < 8 * all; tries++) {
        uint32_t c = rush_random_below(random, all);
        const rush_character *character = rush_key_character(seat->key, c);
        if (c < RUSH_BUILT_IN_CHARACTERS || seat->used[c] || character->setting ||
            character->kind != RUSH_KIND_STATES)
            continue;
        uint32_t state = own_state(seat->key, form, other, c);
        if (state == RUSH_NONE)
            continue;
        seat->used[c] = true;
        made++;
        rush_buffer_format(line, "%s: %s; ", character->id, character->states[state].id);
    }
    return made;
}

/* Five marks of a damselfly and five of a dragonfly, which no insect combines. */
static void nonsense(void **state)
{
    (void)state;
    enum { WANTED = 1000, MARKS = 5 };
    bench_seat seat = sit(support_key(key_path));
    const rush_taxon *small =
        rush_key_taxon(seat.key, rush_key_find_taxon(seat.key, rush_text_of("Zygoptera")));
    const rush_taxon *large =
        rush_key_taxon(seat.key, rush_key_find_taxon(seat.key, rush_text_of("Anisoptera")));
    rush_random random = {7};
    unsigned tried = 0, safe = 0, species = 0;
    rush_buffer line = {0};
    while (tried < WANTED) {
        uint32_t a = small->first_form + rush_random_below(&random, small->form_count);
        uint32_t b = large->first_form + rush_random_below(&random, large->form_count);
        forget(&seat);
        rush_buffer_clear(&line);
        if (own_marks(&seat, &random, a, b, MARKS, &line) < MARKS ||
            own_marks(&seat, &random, b, a, MARKS, &line) < MARKS)
            continue;
        const rush_verdict *verdict = &rank_line(&seat, &line)->verdict;
        tried++;
        safe += verdict->safe;
        species += verdict->safe && rush_key_taxon(seat.key, verdict->taxon)->leaf_count == 1;
    }
    print_message(
        "half a damselfly, half a dragonfly: called safe to some rank in %.1f of 100, as a species "
        "in %.1f of 100\n",
        100.0 * safe / WANTED, 100.0 * species / WANTED);
    assert_true(safe <= 0.12 * WANTED);
    assert_true(species <= 0.02 * WANTED);
    rush_buffer_free(&line);
    rush_key_free(seat.key);
    leave(&seat);
}

int main(int argc, char **argv)
{
    if (argc < 2)
        return 2;
    key_path = argv[1];
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_wrong_answer),
                                       cmocka_unit_test(a_stranger), cmocka_unit_test(nonsense)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
