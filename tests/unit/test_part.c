/* Parts of the shipped key: what is left in, and that ranking within a part is ranking given the part. */
#include "support/support.h"

#include <math.h>
#include <string.h>

static const char *key_path;
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

static const rush_part *choose(rush_part_request request, size_t errors)
{
    rush_diagnostics *list = rush_diagnostics_new();
    const rush_part *part = rush_part_choose(key, &request, list);
    if (rush_diagnostics_errors(list) != errors)
        support_show(list);
    assert_int_equal(rush_diagnostics_errors(list), errors);
    rush_diagnostics_free(list);
    return part;
}

static const rush_part *choose_where(const char *line)
{
    rush_sighting *where = rush_sighting_new(key);
    support_sighting(where, line);
    const rush_part *part = choose((rush_part_request){.where = where}, 0);
    rush_sighting_free(where);
    assert_non_null(part);
    return part;
}

static bool holds(const rush_part *part, const char *name)
{
    uint32_t taxon = rush_key_find_taxon(key, rush_text_of(name));
    assert_true(taxon != RUSH_NONE);
    return part->taxa[taxon];
}

static void the_whole(void **state)
{
    (void)state;
    double sum = 0;
    const rush_part *part = choose((rush_part_request){0}, 0);
    assert_non_null(part);
    assert_true(part->whole);
    assert_int_equal(part->leaf_count, rush_key_leaf_count(key));
    assert_string_equal(part->words, "");
    for (uint32_t f = 0; f < rush_key_form_count(key); f++)
        sum += part->prior[f];
    assert_true(fabs(sum - 1) < 1e-12);
    rush_part_free(part);
}

/* Seasons and habitats as the key has them. */
static void settings(void **state)
{
    (void)state;
    const rush_part *part = choose_where("month: January");
    assert_false(holds(part, "Coenagrion") || holds(part, "Aeshna"));
    assert_true(holds(part, "Sympecma fusca") && holds(part, "Anax ephippiger"));
    rush_part_free(part);
    part = choose_where("month: October");
    assert_false(holds(part, "Brachytron pratense"));
    assert_true(holds(part, "Sympetrum striolatum"));
    rush_part_free(part);
    part = choose_where("habitat: garden pond; month: July");
    assert_false(holds(part, "Cordulegaster boltonii"));
    assert_true(holds(part, "Coenagrion puella") && holds(part, "Zygoptera"));
    assert_string_equal(part->words, "habitat: garden pond; month: July");
    rush_part_free(part);
}

static void marks(void **state)
{
    (void)state;
    const rush_part *part = choose_where("eyes: touching; sex: male");
    for (uint32_t f = 0; f < rush_key_form_count(key); f++)
        if (part->forms[f])
            assert_int_not_equal(rush_key_form(key, f)->sex, RUSH_SEX_FEMALE);
    assert_false(holds(part, "Zygoptera") || holds(part, "Gomphus vulgatissimus"));
    assert_true(holds(part, "Anax imperator"));
    rush_part_free(part);
    part = choose_where("total length: over 75 mm");
    assert_true(holds(part, "Anax imperator") && !holds(part, "Zygoptera"));
    rush_part_free(part);
    part = choose_where("eyes: touching?"); /* unsure: it restricts nothing */
    assert_true(part->whole);
    rush_part_free(part);
    part = choose_where("taxon: not Zygoptera");
    assert_false(holds(part, "Zygoptera"));
    rush_part_free(part);
}

static void names(void **state)
{
    (void)state;
    const rush_part *part =
        choose((rush_part_request){.list = "pond",
                                   .names = rush_text_of("# ours\nAzure damselfly # seen\r\n\n"
                                                         "LESTES\nCoenagrion puela\n")},
               1);
    assert_non_null(part);
    assert_int_equal(part->leaf_count, 4); /* one and three of Lestes */
    assert_true(holds(part, "Lestes dryas") && holds(part, "Coenagrion puella"));
    rush_part_free(part);
    part = choose((rush_part_request){.within = rush_text_of("Zygoptera, Anax"),
                                      .occurrence = rush_text_of("common")},
                  0);
    assert_true(holds(part, "Anax imperator") && holds(part, "Coenagrion puella"));
    assert_false(holds(part, "Anax parthenope") || holds(part, "Aeshna"));
    rush_part_free(part);
}

/* How names stand in lists that people have already. Authorities as the key has them; another's is refused. */
static void written_out(void **state)
{
    (void)state;
    const char *list =
        "- Ischnura elegans (blue-tailed damselfly)\n2. common darter (Sympetrum striolatum)\n"
        "Libellula quadrimaculata Linnaeus, 1758\n* Anax imperator (Leach, 1815)\n"
        "Coenagrion puella (large red damselfly)\nLestes dryas Linnaeus, 1758\n";
    const rush_part *part =
        choose((rush_part_request){.list = "pond", .names = rush_text_of(list)}, 2);
    assert_non_null(part);
    assert_int_equal(part->leaf_count, 4);
    assert_true(holds(part, "Ischnura elegans") && holds(part, "Sympetrum striolatum"));
    assert_true(holds(part, "Libellula quadrimaculata") && holds(part, "Anax imperator"));
    rush_part_free(part);
}

static void nothing(void **state)
{
    (void)state;
    assert_null(choose((rush_part_request){.within = rush_text_of("Zygoptra")}, 1));
    assert_null(choose((rush_part_request){.occurrence = rush_text_of("comon")}, 1));
    assert_null(choose((rush_part_request){.occurrence = rush_text_of("1e9")}, 1));
    assert_null(choose(
        (rush_part_request){.within = rush_text_of("Anax"), .occurrence = rush_text_of("100000")},
        1));
}

/* Bayes' rule: given that it is one of the part, the odds between its forms are those of the whole key. */
static void ranking_is_conditional(void **state)
{
    (void)state;
    const rush_part *part = choose((rush_part_request){.within = rush_text_of("Lestidae")}, 0);
    rush_ranker *ranker = rush_ranker_new(key), *within = rush_ranker_new(key);
    rush_sighting *saw = rush_sighting_new(key);
    support_sighting(saw, "abdomen colour: metallic green; wing spot: brown; month: August");
    const rush_ranking *all = rush_rank(ranker, saw, NULL);
    const rush_ranking *some = rush_rank(within, saw, &(rush_rank_options){.part = part});
    double all_of_it = 0, some_of_it = 0;
    for (uint32_t f = 0; f < rush_key_form_count(key); f++) {
        if (!part->forms[f])
            assert_true(some->forms[f] == 0);
        some_of_it += some->forms[f];
        all_of_it += part->forms[f] ? all->forms[f] : 0;
    }
    assert_true(fabs(some_of_it + some->unlisted - 1) < 1e-12);
    for (uint32_t f = 0; f < rush_key_form_count(key); f++)
        if (part->forms[f])
            assert_true(fabs(some->forms[f] / some_of_it - all->forms[f] / all_of_it) < 1e-12);
    assert_int_equal(some->candidate_count, part->leaf_count);
    rush_sighting_free(saw);
    rush_ranker_free(ranker);
    rush_ranker_free(within);
    rush_part_free(part);
}

int main(int argc, char **argv)
{
    if (argc < 2)
        return 2;
    key_path = argv[1];
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_whole),
                                       cmocka_unit_test(settings),
                                       cmocka_unit_test(marks),
                                       cmocka_unit_test(names),
                                       cmocka_unit_test(written_out),
                                       cmocka_unit_test(nothing),
                                       cmocka_unit_test(ranking_is_conditional)};
    return cmocka_run_group_tests(tests, open_key, close_key);
}
