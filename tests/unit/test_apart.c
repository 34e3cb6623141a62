/* Telling look-alikes apart: the figures against formulas, the shipped key against published accounts. */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *key_path, *tables;

/* Three characters of two states, each misread once in twenty. */
static const char three[] =
    "rushlight: 1\nkey: three\nversion: 1\ncaution_factor: 1\n"
    "characters:\n"
    "  a: {misread: 0.05, states: [yes, no]}\n"
    "  b: {misread: 0.05, states: [yes, no]}\n"
    "  c: {misread: 0.05, reach: hand, states: [yes, no]}\n"
    "taxa:\n"
    "  Ficta alba: {rank: species, traits: {a: 'yes', b: 'yes', c: 'yes'}}\n"
    "  Ficta nigra: {rank: species, traits: {a: 'no', b: 'no', c: 'no'}}\n";

static bool near(double a, double b, double by)
{
    return fabs(a - b) <= by;
}

/* One: right in 0.95, and the capacity of the binary symmetric channel, 1 - H(0.05) = 0.71360 bits (Shannon
 * 1948, Bell Syst. Tech. J. 27). Two that err alike: a tie is as good as a toss, 0.95 again. Three: the
 * majority, 0.95^3 + 3 x 0.95^2 x 0.05 = 0.99275 (the binomial law; Condorcet's jury). */
static void formulas(void **state)
{
    (void)state;
    rush_key *key = support_key_of_text(three, NULL);
    assert_non_null(key);
    uint32_t taxa[] = {0, 1};
    const rush_apart *apart = rush_apart_tell(key, taxa, 2, NULL);
    assert_non_null(apart);
    assert_int_equal(apart->view_count, 1);
    const rush_apart_view *view = &apart->views[0];
    assert_int_equal(view->mark_count, 3);
    for (int m = 0; m < 3; m++) {
        assert_true(near(view->marks[m].safe, 0.95, 1e-12));
        assert_true(near(view->marks[m].gain, 0.7136030, 1e-6));
    }
    assert_int_equal(rush_key_character(key, view->marks[2].character)->reach, RUSH_REACH_HAND);
    assert_true(near(view->field, 0.95, 0.01));
    assert_true(near(view->hand, 0.99275, 0.01));
    assert_true(near(view->together, 0.99275, 0.01));
    rush_apart_free(apart);
    assert_null(rush_apart_tell(key, taxa, 1, NULL));
    rush_hard_pair pairs[3];
    assert_int_equal(rush_apart_hardest(key, NULL, RUSH_NONE, pairs, 3), 1);
    assert_true(near(pairs[0].safe, 0.95, 0.01));
    assert_int_equal(pairs[0].sex, RUSH_SEX_ANY);
    assert_true(near(pairs[0].confused, (1 - pairs[0].safe) / 2, 1e-9)); /* both are met alike */
    rush_key_free(key);
}

/* ---- marks of one's own -------------------------------------------------------------------------------------- */

/* `a` tells two from two, and `d` the same two; `b` tells the others; `c` nothing. */
static const char squares[] =
    "rushlight: 1\nkey: squares\nversion: 1\ncaution_factor: 1\n"
    "characters:\n"
    "  c: {misread: 0.001, states: [yes, no]}\n"
    "  a: {misread: 0.001, states: [yes, no]}\n"
    "  d: {misread: 0.001, states: [yes, no]}\n"
    "  b: {misread: 0.001, states: [yes, no]}\n"
    "taxa:\n"
    "  Ficta alba: {rank: species, traits: {a: 'yes', b: 'yes', c: 'yes', d: 'yes'}}\n"
    "  Ficta rubra: {rank: species, traits: {a: 'yes', b: 'no', c: 'yes', d: 'yes'}}\n"
    "  Ficta viridis: {rank: species, traits: {a: 'no', b: 'yes', c: 'yes', d: 'no'}}\n"
    "  Ficta nigra: {rank: species, traits: {a: 'no', b: 'no', c: 'yes', d: 'no'}}\n";

static void own_marks(void **state)
{
    (void)state;
    rush_key *key = support_key_of_text(squares, NULL);
    assert_non_null(key);
    rush_diagnostics *list = rush_diagnostics_new();
    rush_part_request all = {0};
    const rush_part *part = rush_part_choose(key, &all, list);
    const rush_marks *marks = rush_marks_make(part, 9, RUSH_REACH_HAND);
    assert_non_null(marks);
    for (uint32_t leaf = 0; leaf < part->leaf_count; leaf++) {
        const rush_own_marks *own = &marks->own[leaf];
        assert_int_equal(own->count, 2);
        assert_string_equal(rush_key_character(key, own->characters[0])->id, "a");
        assert_string_equal(rush_key_character(key, own->characters[1])->id, "b");
    }
    rush_marks_free(marks);
    marks = rush_marks_make(part, 1, RUSH_REACH_HAND);
    assert_int_equal(marks->own[0].count, 1);
    rush_marks_free(marks);
    rush_part_free(part);
    rush_diagnostics_free(list);
    rush_key_free(key);
}

/* Of several, a mark that tells what another tells already is not among the few; it can be asked for. */
static void few(void **state)
{
    (void)state;
    rush_key *key = support_key_of_text(squares, NULL);
    assert_non_null(key);
    uint32_t taxa[] = {0, 1, 2, 3};
    const rush_apart *apart = rush_apart_tell(key, taxa, 4, NULL);
    assert_non_null(apart);
    const rush_apart_view *view = &apart->views[0];
    assert_int_equal(view->mark_count, 2);
    assert_int_equal(view->more, 1);
    assert_string_equal(rush_key_character(key, view->marks[0].character)->id, "a");
    assert_string_equal(rush_key_character(key, view->marks[1].character)->id, "b");
    assert_true(near(view->together, 0.999 * 0.999, 0.001));
    rush_apart_free(apart);
    rush_apart_options all = {.marks = 9};
    apart = rush_apart_tell(key, taxa, 4, &all);
    assert_int_equal(apart->views[0].mark_count, 3);
    assert_int_equal(apart->views[0].more, 0);
    rush_apart_free(apart);
    rush_hard_pair pairs[9];
    assert_int_equal(rush_apart_hardest(key, NULL, RUSH_NONE, pairs, 9), 6);
    assert_int_equal(rush_apart_hardest(key, NULL, 2, pairs, 9), 3);
    for (int i = 0; i < 3; i++)
        assert_true(pairs[i].taxon == 2 || pairs[i].other == 2);
    rush_key_free(key);
}

/* What is told in the hand does without `f`, but nobody has to take it in the hand for that. */
static const char held[] =
    "rushlight: 1\nkey: held\nversion: 1\ncaution_factor: 1\n"
    "characters:\n"
    "  f: {misread: 0.2, states: [one, two, three]}\n"
    "  h: {misread: 0.001, reach: hand, effort: 2, states: [one, two, three]}\n"
    "taxa:\n"
    "  Ficta alba: {rank: species, traits: {f: one, h: one}}\n"
    "  Ficta rubra: {rank: species, traits: {f: two, h: two}}\n"
    "  Ficta nigra: {rank: species, traits: {f: three, h: three}}\n";

static void few_without_a_hand(void **state)
{
    (void)state;
    rush_key *key = support_key_of_text(held, NULL);
    assert_non_null(key);
    uint32_t taxa[] = {0, 1, 2};
    const rush_apart *apart = rush_apart_tell(key, taxa, 3, NULL);
    assert_non_null(apart);
    assert_int_equal(apart->views[0].mark_count, 2);
    assert_string_equal(rush_key_character(key, apart->views[0].marks[0].character)->id, "f");
    rush_apart_free(apart);
    rush_key_free(key);
}

/* ---- published accounts -------------------------------------------------------------------------------------- */

static bool among(const char *list, const char *id)
{
    size_t length = strlen(id);
    for (const char *at = strstr(list, id); at; at = strstr(at + 1, id))
        if ((at == list || at[-1] == ',') && (!at[length] || at[length] == ','))
            return true;
    return false;
}

/* taxa, sex, the marks that the account gives */
static void check_row(const rush_key *key, char **fields)
{
    char *names[RUSH_APART_TAXA_MAX];
    uint32_t taxa[RUSH_APART_TAXA_MAX];
    size_t count = support_split(fields[0], ',', names, RUSH_APART_TAXA_MAX);
    for (size_t i = 0; i < count; i++) {
        taxa[i] = rush_key_find_taxon(key, rush_text_of(names[i]));
        assert_true(taxa[i] != RUSH_NONE);
    }
    const rush_apart *apart = rush_apart_tell(key, taxa, (uint32_t)count, NULL);
    assert_non_null(apart);
    bool seen = false;
    for (uint32_t v = 0; v < apart->view_count; v++) {
        const rush_apart_view *view = &apart->views[v];
        if (strcmp(fields[1], "any") != 0 && view->sex != RUSH_SEX_ANY &&
            strcmp(fields[1], rush_sex_name(view->sex)) != 0)
            continue;
        seen = true;
        assert_true(view->mark_count > 0);
        const char *first = rush_key_character(key, view->marks[0].character)->id;
        if (!among(fields[2], first))
            fail_msg("%s and others, %s: %s comes first, not one of %s", names[0],
                     rush_sex_name(view->sex), first, fields[2]);
        assert_true(view->together <= view->hand + 0.02);
        assert_true(view->field <= view->hand);
    }
    assert_true(seen);
    rush_apart_free(apart);
}

static void published_accounts(void **state)
{
    (void)state;
    rush_key *key = support_key(key_path);
    rush_buffer text = {0};
    char path[1024];
    unsigned rows = 0;
    snprintf(path, sizeof path, "%s/odonata-look-alikes.tsv", tables);
    support_read(path, &text);
    for (char *row = text.bytes, *next; row && *row; row = next) {
        char *fields[8];
        next = strchr(row, '\n');
        if (next)
            *next++ = '\0';
        if (row[0] == '#')
            continue;
        assert_int_equal(support_split(row, '\t', fields, 8), 5);
        check_row(key, fields);
        rows++;
    }
    assert_true(rows >= 6);
    rush_buffer_free(&text);
    rush_key_free(key);
}

static bool is_among(const rush_key *key, const rush_hard_pair *pairs, uint32_t count,
                     const char *one, const char *other)
{
    uint32_t a = rush_key_find_taxon(key, rush_text_of(one)),
             b = rush_key_find_taxon(key, rush_text_of(other));
    for (uint32_t i = 0; i < count; i++)
        if ((pairs[i].taxon == a && pairs[i].other == b) ||
            (pairs[i].taxon == b && pairs[i].other == a))
            return true;
    return false;
}

/* What everybody who begins mixes up, females before males: common practice, no published source. */
static void the_hardest(void **state)
{
    (void)state;
    enum { ROOM = 12 };
    rush_key *key = support_key(key_path);
    rush_hard_pair pairs[ROOM];
    assert_int_equal(rush_apart_hardest(key, NULL, RUSH_NONE, pairs, ROOM), ROOM);
    for (int i = 1; i < ROOM; i++)
        assert_true(pairs[i].confused <= pairs[i - 1].confused && pairs[i].safe < 1);
    assert_true(is_among(key, pairs, ROOM, "Coenagrion puella", "Enallagma cyathigerum"));
    assert_true(is_among(key, pairs, ROOM, "Coenagrion puella", "Coenagrion pulchellum"));
    assert_true(is_among(key, pairs, ROOM, "Sympetrum striolatum", "Sympetrum sanguineum"));
    assert_int_equal(pairs[0].sex, RUSH_SEX_FEMALE);
    rush_key_free(key);
}

int main(int argc, char **argv)
{
    if (argc < 3)
        return 2;
    key_path = argv[1];
    tables = argv[2];
    const struct CMUnitTest tests[] = {cmocka_unit_test(formulas),
                                       cmocka_unit_test(own_marks),
                                       cmocka_unit_test(few),
                                       cmocka_unit_test(few_without_a_hand),
                                       cmocka_unit_test(published_accounts),
                                       cmocka_unit_test(the_hardest)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
