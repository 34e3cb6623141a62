/* A shipped key against itself: what each form mostly looks like, fed back, gives its taxon first; safe as well
 * where the key promises it. */
#include "support/support.h"

#include <string.h>

static const char *key_path;
static bool must_be_safe; /* else it is enough to lead */
static rush_key *key;

enum { MONTHS = 12 };

static int open_key(void **state)
{
    (void)state;
    key = support_key(key_path);
    return 0;
}

static int close_key(void **state)
{
    (void)state;
    rush_key_free(key);
    return 0;
}

/* How many taxa list a state of a setting. */
static uint32_t listed_by(uint32_t character, uint32_t state)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < rush_key_leaf_count(key); i++) {
        const rush_trait *trait =
            rush_key_taxon_trait(key, rush_key_leaf(key, i), character, NULL);
        count += trait && trait->kind == RUSH_TRAIT_STATES && trait->weights[state] > 0;
    }
    return count;
}

/* Of a setting the listed state that is most its own; of a mark the most usual one. */
static bool more_typical(const rush_trait *trait, uint32_t state, uint32_t best)
{
    if (!rush_key_character(key, trait->character)->setting || !(trait->weights[best] > 0))
        return trait->weights[state] > trait->weights[best];
    return trait->weights[state] > 0 &&
           listed_by(trait->character, state) < listed_by(trait->character, best);
}

static void write_typical(const rush_trait *trait, rush_buffer *line)
{
    const rush_character *character = rush_key_character(key, trait->character);
    uint32_t best = 0;
    rush_buffer_format(line, "%s: ", character->id);
    if (character->kind == RUSH_KIND_NUMBER) {
        rush_buffer_decimal(line, trait->mean, 1);
    } else {
        uint32_t runs = 0, middle = 0;
        for (uint32_t s = 0; s < character->state_count; s++) {
            if (more_typical(trait, s, best))
                best = s;
            runs += trait->weights[s] > 0;
        }
        /* of months the middle one; a season over the turn of the year counts from its start */
        for (uint32_t s = 0; character->kind == RUSH_KIND_MONTHS && s < 2 * MONTHS; s++) {
            uint32_t m = s % MONTHS;
            if (trait->weights[m] > 0 &&
                (!(trait->weights[(m + MONTHS - 1) % MONTHS] > 0) || runs == MONTHS)) {
                middle = (m + runs / 2) % MONTHS;
                break;
            }
        }
        if (character->kind == RUSH_KIND_MONTHS)
            best = middle;
        rush_buffer_string(line, character->states[best].id);
    }
    rush_buffer_string(line, "; ");
}

static void typical_descriptions(void **state)
{
    (void)state;
    rush_sighting *sighting = rush_sighting_new(key);
    rush_ranker *ranker = rush_ranker_new(key);
    rush_buffer line = {0};
    unsigned wrong = 0;
    for (uint32_t f = 0; f < rush_key_form_count(key); f++) {
        const rush_form *form = rush_key_form(key, f);
        rush_buffer_clear(&line);
        if (form->sex != RUSH_SEX_ANY)
            rush_buffer_format(&line, "sex: %s; ", rush_sex_name(form->sex));
        for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < rush_key_character_count(key); c++) {
            const rush_trait *trait = rush_key_trait(key, f, c, NULL);
            if (trait && (trait->kind == RUSH_TRAIT_STATES || trait->kind == RUSH_TRAIT_NUMBER))
                write_typical(trait, &line);
        }
        support_sighting(sighting, line.bytes);
        const rush_ranking *ranking = rush_rank(ranker, sighting, NULL);
        bool safe = ranking->verdict.safe && ranking->verdict.taxon == form->taxon;
        if (safe || (!must_be_safe && ranking->candidates[0].taxon == form->taxon))
            continue;
        wrong++;
        print_error("%s, %s %s: %s leads with %.4f, %s\n", rush_key_taxon(key, form->taxon)->name,
                    rush_sex_name(form->sex), form->name ? form->name : "-",
                    rush_key_taxon(key, ranking->candidates[0].taxon)->name,
                    ranking->candidates[0].probability,
                    ranking->fit.poor ? "poor fit" : "not safe");
    }
    print_message("%u forms described by themselves\n", rush_key_form_count(key));
    rush_buffer_free(&line);
    rush_sighting_free(sighting);
    rush_ranker_free(ranker);
    assert_int_equal(wrong, 0);
}

int main(int argc, char **argv)
{
    if (argc < 3)
        return 2;
    key_path = argv[1];
    must_be_safe = strcmp(argv[2], "safe") == 0;
    const struct CMUnitTest tests[] = {cmocka_unit_test(typical_descriptions)};
    return cmocka_run_group_tests(tests, open_key, close_key);
}
