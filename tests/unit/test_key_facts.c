/* The adult key against published lengths, seasons and postures. The tables in tests/reference
 * (odonata-lengths.tsv, odonata-seasons.tsv, odonata-postures.tsv) name a source in each row, or memory. */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *key_path, *tables;
static rush_key *key;

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

static uint32_t character_named(const char *name)
{
    uint32_t found = rush_key_find_character(key, rush_text_of(name));
    assert_true(found != RUSH_NONE);
    return found;
}

typedef void (*take_row)(char **fields, void *with);

static void each_row(const char *table, size_t columns, take_row take, void *with)
{
    rush_buffer text = {0};
    char path[1024];
    snprintf(path, sizeof path, "%s/%s", tables, table);
    support_read(path, &text);
    for (char *row = text.bytes, *next; row && *row; row = next) {
        char *fields[8];
        next = strchr(row, '\n');
        if (next)
            *next++ = '\0';
        if (row[0] != '#' && support_split(row, '\t', fields, 8) == columns)
            take(fields, with);
    }
    rush_buffer_free(&text);
}

/* ---- lengths ------------------------------------------------------------------------------------- */

/* The widest range that the key gives for a taxon, over its forms of a sex. */
static bool key_range(uint32_t taxon, const char *sex, double *low, double *high)
{
    const rush_taxon *here = rush_key_taxon(key, taxon);
    uint32_t length = character_named("total-length");
    *low = INFINITY;
    *high = -INFINITY;
    for (uint32_t f = here->first_form; f < here->first_form + here->form_count; f++) {
        const rush_form *form = rush_key_form(key, f);
        const rush_trait *trait = rush_key_trait(key, f, length, NULL);
        bool fits = form->sex == RUSH_SEX_ANY || strcmp(sex, "any") == 0 ||
                    strcmp(rush_sex_name(form->sex), sex) == 0;
        if (!fits || !trait || trait->kind != RUSH_TRAIT_NUMBER)
            continue;
        *low = fmin(*low, trait->low);
        *high = fmax(*high, trait->high);
    }
    return *low <= *high;
}

static void check_length(char **fields, void *with)
{
    unsigned *rows = with;
    double low, high, published_low = strtod(fields[2], NULL),
                      published_high = strtod(fields[3], NULL);
    uint32_t taxon = rush_key_find_taxon(key, rush_text_of(fields[0]));
    assert_true(taxon != RUSH_NONE);
    if (!key_range(taxon, fields[1], &low, &high))
        fail_msg("%s has no total length", fields[0]);
    if (high < published_low || low > published_high)
        fail_msg("%s (%s): %g to %g mm in the key, %s to %s in %s", fields[0], fields[1], low,
                 high, fields[2], fields[3], fields[4]);
    ++*rows;
}

static void lengths(void **state)
{
    (void)state;
    unsigned rows = 0;
    each_row("odonata-lengths.tsv", 5, check_length, &rows);
    print_message("%u published length ranges overlap the key's\n", rows);
    assert_true(rows > 100);
}

/* ---- seasons ------------------------------------------------------------------------------------- */

enum { TAXA_MAX = 200, MONTHS = 12 };

typedef struct season_votes {
    unsigned agree[TAXA_MAX], all[TAXA_MAX]; /* by taxon */
} season_votes;

static unsigned months_apart(unsigned a, unsigned b)
{
    unsigned way = (a + MONTHS - b) % MONTHS;
    return way < MONTHS - way ? way : MONTHS - way;
}

/* First and last month of the season, 1 to 12; false when it is the whole year. */
static bool key_season(uint32_t taxon, unsigned *first, unsigned *last)
{
    const rush_trait *trait = rush_key_taxon_trait(key, taxon, character_named("month"), NULL);
    assert_true(trait && trait->kind == RUSH_TRAIT_STATES);
    *first = *last = 0;
    for (unsigned m = 0; m < MONTHS; m++) {
        if (trait->weights[m] > 0 && !(trait->weights[(m + MONTHS - 1) % MONTHS] > 0))
            *first = m + 1;
        if (trait->weights[m] > 0 && !(trait->weights[(m + 1) % MONTHS] > 0))
            *last = m + 1;
    }
    return *first > 0;
}

static void take_season(char **fields, void *with)
{
    season_votes *votes = with;
    unsigned first, last;
    uint32_t taxon = rush_key_find_taxon(key, rush_text_of(fields[0]));
    assert_true(taxon < TAXA_MAX);
    if (!key_season(taxon, &first, &last))
        return; /* seen in any month as an adult: a winterer, or a migrant without a season here */
    votes->all[taxon]++;
    votes->agree[taxon] += months_apart(first, (unsigned)strtoul(fields[1], NULL, 10)) <= 1 &&
                           months_apart(last, (unsigned)strtoul(fields[2], NULL, 10)) <= 1;
}

static void seasons(void **state)
{
    (void)state;
    static season_votes votes;
    unsigned taxa = 0, wrong = 0;
    each_row("odonata-seasons.tsv", 4, take_season, &votes);
    for (uint32_t t = 0; t < TAXA_MAX; t++) {
        taxa += votes.all[t] > 0;
        if (2 * votes.agree[t] >= votes.all[t])
            continue;
        wrong++;
        print_error("%s: only %u of %u published seasons agree within a month\n",
                    rush_key_taxon(key, t)->name, votes.agree[t], votes.all[t]);
    }
    print_message("the seasons of %u species compared\n", taxa);
    assert_true(taxa > 45);
    assert_int_equal(wrong, 0);
}

/* ---- postures -------------------------------------------------------------------------------------- */

/* What of an insect that settles with the wings flat or forward may be keyed as folded: the newly emerged. */
#define FOLDED_AT_MOST 0.02
/* What the postures that a source names have of the weight, at least: some vary with weather and age. */
#define NAMED_AT_LEAST 0.75

static double posture_weight(const rush_trait *trait, const char *posture)
{
    uint32_t at = character_named("rest-posture");
    const rush_character *character = rush_key_character(key, at);
    for (uint32_t s = 0; s < character->state_count; s++)
        if (strcmp(character->states[s].id, posture) == 0)
            return trait->weights[s];
    fail_msg("no posture '%s'", posture);
    return 0;
}

static void check_posture(char **fields, void *with)
{
    unsigned *rows = with;
    uint32_t taxon = rush_key_find_taxon(key, rush_text_of(fields[0]));
    assert_true(taxon != RUSH_NONE);
    const rush_trait *trait =
        rush_key_taxon_trait(key, taxon, character_named("rest-posture"), NULL);
    assert_true(trait && trait->kind == RUSH_TRAIT_STATES);
    /* A sun-bather draws them forward by degrees: flat and forward are one here. */
    bool spread = strcmp(fields[1], "folded") != 0 && strcmp(fields[1], "half-open") != 0;
    double folded = posture_weight(trait, "folded");
    double named = spread ? posture_weight(trait, "flat") + posture_weight(trait, "forward")
                          : posture_weight(trait, fields[1]);
    if (named < NAMED_AT_LEAST)
        fail_msg("%s: %g of the weight is on what %s names", fields[0], named, fields[2]);
    if (spread && folded > FOLDED_AT_MOST)
        fail_msg("%s: %g of the weight is on folded, against %s", fields[0], folded, fields[2]);
    ++*rows;
}

static void postures(void **state)
{
    (void)state;
    unsigned rows = 0;
    each_row("odonata-postures.tsv", 3, check_posture, &rows);
    print_message("the postures of %u species compared\n", rows);
    assert_true(rows > 45);
}

/* ---- sources -------------------------------------------------------------------------------------- */

static void count_memory(const rush_trait *const *traits, uint32_t count, unsigned *all,
                         unsigned *memory)
{
    for (uint32_t i = 0; i < count; i++) {
        uint32_t source = traits[i]->backing.source;
        if (traits[i]->kind == RUSH_TRAIT_UNSCORED)
            continue; /* `unknown`: that nothing is known has no source */
        if (source == RUSH_NONE)
            fail_msg("a trait of '%s' without a source",
                     rush_key_character(key, traits[i]->character)->id);
        ++*all;
        *memory += strcmp(rush_key_source(key, source)->id, "memory") == 0;
    }
}

/* Every trait has a source; memory alone stands behind less than a quarter. */
static void sources(void **state)
{
    (void)state;
    unsigned all = 0, memory = 0;
    for (uint32_t t = 0; t < rush_key_taxon_count(key); t++)
        count_memory(rush_key_taxon(key, t)->traits, rush_key_taxon(key, t)->trait_count, &all,
                     &memory);
    for (uint32_t f = 0; f < rush_key_form_count(key); f++)
        count_memory(rush_key_form(key, f)->traits, rush_key_form(key, f)->trait_count, &all,
                     &memory);
    print_message("%u traits, %.1f %% of them from memory\n", all, 100.0 * memory / all);
    assert_true(4 * memory < all);
}

int main(int argc, char **argv)
{
    if (argc < 3)
        return 2;
    key_path = argv[1];
    tables = argv[2];
    const struct CMUnitTest tests[] = {cmocka_unit_test(lengths), cmocka_unit_test(seasons),
                                       cmocka_unit_test(postures), cmocka_unit_test(sources)};
    return cmocka_run_group_tests(tests, open_key, close_key);
}
