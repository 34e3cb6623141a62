/* A key, its tables, the key of the tables: each form has the same trait of each character, with its source and its
 * note; with the second table each character is the same too; and the tables of that key are the same to the
 * byte. On the keys that ship and on random ones. */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "unit/random_key.h"

/* ---- keys ----------------------------------------------------------------------------------------- */

static const char *read_text(void *user, const char *name, rush_buffer *text)
{
    const rush_buffer *yaml = user;
    (void)name;
    rush_buffer_add(text, (rush_text){yaml->bytes, yaml->length});
    return NULL;
}

static const char *read_made(void *user, const char *name, rush_buffer *text)
{
    const made_key *made = user;
    rush_buffer_string(text, name ? made->part : made->text);
    return NULL;
}

static rush_key *load(const rush_key_files *files)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_key *key = rush_key_load(files, list);
    if (!key)
        support_show(list);
    rush_diagnostics_free(list);
    assert_non_null(key);
    return key;
}

/* The tables of a key as a key; nothing is wrong with it. */
static rush_key *key_of_tables(const rush_buffer *taxa, const rush_buffer *characters)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_buffer yaml = {0};
    rush_sowing sowing = {.taxa = {"table.csv", {taxa->bytes, taxa->length}}, .id = "again"};
    if (characters)
        sowing.characters =
            (rush_table_text){"characters.csv", {characters->bytes, characters->length}};
    bool good = rush_sow(&sowing, list, &yaml);
    if (!good || rush_diagnostics_count(list))
        support_show(list);
    assert_true(good);
    assert_int_equal(rush_diagnostics_count(list), 0);
    rush_diagnostics_free(list);
    rush_key_files files = {read_text, &yaml, "again.yaml"};
    rush_key *key = load(&files);
    rush_buffer_free(&yaml);
    return key;
}

/* ---- what must be the same ------------------------------------------------------------------------ */

static size_t compared, differences;

static void differ(const char *taxon, const char *what)
{
    if (differences++ < 20)
        print_error("%s: another %s\n", taxon, what);
}

static bool same_text(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

static bool near(double a, double b)
{
    return fabs(a - b) <= 1e-8 * fmax(1, fabs(a));
}

static const char *source_of(const rush_key *key, const rush_backing *backing)
{
    return backing->source == RUSH_NONE ? NULL : rush_key_source(key, backing->source)->id;
}

/* Line breaks and runs of spaces are single spaces in a table. */
static bool same_words(const char *a, const char *b)
{
    if (!a || !b)
        return a == b;
    for (;;) {
        bool gap_a = strspn(a, " \n") > 0, gap_b = strspn(b, " \n") > 0;
        a += strspn(a, " \n");
        b += strspn(b, " \n");
        if (!*a || !*b)
            return *a == *b;
        if (gap_a != gap_b || *a++ != *b++)
            return false;
    }
}

static bool same_weights(const rush_key *a, const rush_key *b, const rush_trait *first,
                         const rush_trait *second)
{
    const rush_character *of_a = rush_key_character(a, first->character);
    const rush_character *of_b = rush_key_character(b, second->character);
    double total_a = 0, total_b = 0;
    for (uint32_t s = 0; s < of_b->state_count; s++)
        total_b += second->weights[s];
    for (uint32_t s = 0; s < of_a->state_count; s++) {
        total_a += first->weights[s];
        uint32_t other =
            rush_key_find_state(b, second->character, rush_text_of(of_a->states[s].id));
        double weight = other == RUSH_NONE ? 0 : second->weights[other];
        if (!near(first->weights[s], weight))
            return false;
    }
    return near(total_a, total_b);
}

static bool same_trait(const rush_key *a, const rush_key *b, const rush_trait *first,
                       const rush_trait *second)
{
    if (!first || !second)
        return first == second;
    if (first->kind != second->kind ||
        !same_text(source_of(a, &first->backing), source_of(b, &second->backing)) ||
        !same_words(first->backing.note, second->backing.note))
        return false;
    if (first->kind == RUSH_TRAIT_NUMBER)
        return near(first->mean, second->mean) && near(first->sd, second->sd) &&
               near(first->low, second->low) && near(first->high, second->high) &&
               first->n == second->n && first->ranged == second->ranged;
    return first->kind != RUSH_TRAIT_STATES || same_weights(a, b, first, second);
}

static uint32_t same_character(const rush_key *a, const rush_key *b, uint32_t character)
{
    return rush_key_find_character(b, rush_text_of(rush_key_character(a, character)->id));
}

static void compare_forms(const rush_key *a, const rush_key *b, const rush_taxon *first,
                          const rush_taxon *second)
{
    for (uint32_t i = 0; i < first->form_count; i++) {
        uint32_t at_a = first->first_form + i, at_b = second->first_form + i;
        const rush_form *form_a = rush_key_form(a, at_a), *form_b = rush_key_form(b, at_b);
        if (form_a->sex != form_b->sex || !same_text(form_a->name, form_b->name) ||
            !near(form_a->share, form_b->share) ||
            !same_text(source_of(a, &form_a->backing), source_of(b, &form_b->backing)) ||
            !same_words(form_a->backing.note, form_b->backing.note))
            differ(first->name, "form");
        for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < rush_key_character_count(a); c++) {
            uint32_t other = same_character(a, b, c);
            const rush_trait *trait_a = rush_key_trait(a, at_a, c, NULL);
            const rush_trait *trait_b =
                other == RUSH_NONE ? NULL : rush_key_trait(b, at_b, other, NULL);
            compared++;
            if (!same_trait(a, b, trait_a, trait_b))
                differ(first->name, rush_key_character(a, c)->id);
        }
    }
}

static void compare_taxa(const rush_key *a, const rush_key *b)
{
    assert_int_equal(rush_key_taxon_count(a), rush_key_taxon_count(b));
    for (uint32_t t = 0; t < rush_key_taxon_count(a); t++) {
        const rush_taxon *first = rush_key_taxon(a, t), *second = rush_key_taxon(b, t);
        const char *above_a =
            first->parent == RUSH_NONE ? NULL : rush_key_taxon(a, first->parent)->name;
        const char *above_b =
            second->parent == RUSH_NONE ? NULL : rush_key_taxon(b, second->parent)->name;
        if (!same_text(first->name, second->name) || first->rank != second->rank ||
            !same_text(above_a, above_b) || first->form_count != second->form_count ||
            first->trait_count != second->trait_count ||
            !near(first->occurrence, second->occurrence) ||
            !same_text(first->authority, second->authority) ||
            first->also.count != second->also.count ||
            !same_words(rush_key_words(a, first->vernacular, 0),
                        rush_key_words(b, second->vernacular, 0)) ||
            !same_words(rush_key_words(a, first->caution, 0),
                        rush_key_words(b, second->caution, 0))) {
            differ(first->name, "taxon");
            continue;
        }
        if (rush_key_taxon(a, t)->leaf_count == 1)
            compare_forms(a, b, first, second);
    }
}

/* Characters that are shown keep their kind and their unit. */
static void compare_characters(const rush_key *a, const rush_key *b)
{
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < rush_key_character_count(b); c++) {
        uint32_t other = same_character(b, a, c);
        assert_int_not_equal(other, RUSH_NONE);
        const rush_character *now = rush_key_character(b, c),
                             *before = rush_key_character(a, other);
        if (now->kind != before->kind || now->setting != before->setting ||
            (now->kind == RUSH_KIND_NUMBER && strcmp(now->unit, before->unit) != 0))
            differ(now->id, "kind");
    }
}

/* In every language of the first key; a language that says nothing is no language of the second. */
static bool same_in_all(const rush_key *a, const rush_key *b, rush_words first, rush_words second)
{
    const rush_key_header *header = rush_key_about(a);
    for (uint32_t l = 0; l < header->language_count; l++) {
        uint32_t other = rush_key_language(b, rush_text_of(header->languages[l]));
        const char *text = other != RUSH_NONE && second.in ? second.in[other] : NULL;
        if (!same_words(first.in ? first.in[l] : NULL, text))
            return false;
    }
    return true;
}

/* Without a label in the first language the id stands for it. */
static bool same_label(const rush_key *a, const rush_key *b, rush_words first, rush_words second,
                       const char *id)
{
    const char *shown_a = first.in && first.in[0] ? first.in[0] : id;
    const char *shown_b = rush_key_words(b, second, 0);
    uint32_t count = rush_key_about(a)->language_count;
    for (uint32_t l = 1; l < count; l++) {
        uint32_t other = rush_key_language(b, rush_text_of(rush_key_about(a)->languages[l]));
        if (!same_words(first.in ? first.in[l] : NULL,
                        other != RUSH_NONE && second.in ? second.in[other] : NULL))
            return false;
    }
    return same_words(shown_a, shown_b[0] ? shown_b : id);
}

static bool same_also(const rush_also *a, const rush_also *b)
{
    bool same = a->count == b->count;
    for (uint32_t i = 0; same && i < a->count; i++)
        same = same_words(a->names[i], b->names[i]);
    return same;
}

static bool has_pair(const rush_character *character, uint32_t a, uint32_t b)
{
    for (uint32_t i = 0; i < character->confused_count; i++)
        if ((character->confused[i][0] == a && character->confused[i][1] == b) ||
            (character->confused[i][0] == b && character->confused[i][1] == a))
            return true;
    return false;
}

static bool same_states(const rush_key *a, const rush_key *b, const rush_character *first,
                        const rush_character *second)
{
    if (first->kind != RUSH_KIND_STATES)
        return true;
    if (first->state_count != second->state_count)
        return false;
    for (uint32_t s = 0; s < first->state_count; s++) {
        const rush_state *one = &first->states[s], *two = &second->states[s];
        if (!same_label(a, b, one->label, two->label, one->id) ||
            !same_also(&one->also, &two->also) || !same_text(one->sketch, two->sketch))
            return false;
        for (uint32_t other = 0; other < first->state_count; other++)
            if (has_pair(first, s, other) != has_pair(second, s, other))
                return false;
    }
    return true;
}

static bool same_number(const rush_key *a, const rush_key *b, const rush_character *first,
                        const rush_character *second)
{
    if (first->kind != RUSH_KIND_NUMBER)
        return true;
    bool same =
        same_text(first->measure, second->measure) && same_text(first->unit, second->unit) &&
        same_in_all(a, b, first->includes, second->includes) &&
        near(first->reading_error, second->reading_error) &&
        first->reading_error_relative == second->reading_error_relative &&
        near(first->resolution, second->resolution) && first->word_count == second->word_count;
    for (uint32_t i = 0; same && i < first->word_count; i++)
        same = same_text(first->words[i].word, second->words[i].word) &&
               same_text(first->words[i].means, second->words[i].means);
    return same;
}

/* With the second table: everything that is said of each character, in the same order. */
static void compare_details(const rush_key *a, const rush_key *b)
{
    assert_int_equal(rush_key_character_count(a), rush_key_character_count(b));
    for (uint32_t c = 0; c < rush_key_character_count(a); c++) {
        const rush_character *first = rush_key_character(a, c),
                             *second = rush_key_character(b, c);
        bool same = same_character(a, b, c) == c &&
                    same_label(a, b, first->label, second->label, first->id) &&
                    same_in_all(a, b, first->ask, second->ask) &&
                    same_in_all(a, b, first->tip, second->tip) &&
                    same_also(&first->also, &second->also) && first->kind == second->kind &&
                    first->setting == second->setting && first->bare == second->bare &&
                    first->look_next == second->look_next && first->reach == second->reach &&
                    near(first->effort, second->effort) &&
                    near(first->misread, second->misread) && same_states(a, b, first, second) &&
                    same_number(a, b, first, second);
        if (!same)
            differ(rush_key_about(a)->id, first->id);
    }
}

static void same_tables(const rush_key *key, const rush_buffer *taxa,
                        const rush_buffer *characters)
{
    rush_buffer again = {0};
    rush_table_of_taxa(key, &again);
    if (taxa->length != again.length || memcmp(taxa->bytes, again.bytes, again.length) != 0)
        differ("all", "table the second time");
    rush_buffer_clear(&again);
    rush_table_of_characters(key, &again);
    if (characters && (characters->length != again.length ||
                       memcmp(characters->bytes, again.bytes, again.length) != 0))
        differ("all", "table of characters the second time");
    rush_buffer_free(&again);
}

/* By the table of taxa alone, and with that of the characters. */
static void there_and_back(const rush_key *key)
{
    rush_buffer taxa = {0}, characters = {0};
    rush_table_of_taxa(key, &taxa);
    rush_table_of_characters(key, &characters);
    assert_false(taxa.failed || characters.failed);
    for (int both = 0; both < 2; both++) {
        rush_key *second = key_of_tables(&taxa, both ? &characters : NULL);
        compare_characters(key, second);
        compare_taxa(key, second);
        if (both)
            compare_details(key, second);
        same_tables(second, &taxa, both ? &characters : NULL);
        rush_key_free(second);
    }
    rush_buffer_free(&taxa);
    rush_buffer_free(&characters);
}

/* ---- the tests ------------------------------------------------------------------------------------ */

static char **paths;
static int path_count;

static void shipped_keys(void **state)
{
    (void)state;
    for (int i = 0; i < path_count; i++) {
        rush_key *key = support_key(paths[i]);
        compared = differences = 0;
        there_and_back(key);
        print_message("%s: %zu traits of forms\n", paths[i], compared);
        assert_int_equal(differences, 0);
        assert_true(compared > 500);
        rush_key_free(key);
    }
}

static void random_keys(void **state)
{
    (void)state;
    enum { KEYS = 400 };
    made_key *made = malloc(sizeof *made);
    assert_non_null(made);
    compared = differences = 0;
    for (uint64_t seed = 1; seed <= KEYS; seed++) {
        size_t before = differences;
        make_key(made, seed, MADE_USUAL);
        rush_key_files files = {read_made, made, "key.yaml"};
        rush_key *key = load(&files);
        there_and_back(key);
        rush_key_free(key);
        if (differences > before)
            print_error("seed %u\n", (unsigned)seed);
    }
    free(made);
    print_message("%zu traits of forms\n", compared);
    assert_int_equal(differences, 0);
    assert_true(compared > 5000);
}

/* Names that a table could take for something else. */
static void awkward_names(void **state)
{
    (void)state;
    static const char text[] =
        "rushlight: 1\nkey: awkward\nlanguages: [nl]\n"
        "sources: {'-5': {cite: a}, '=1+1': {cite: b}, b c: {cite: d}}\n"
        "characters:\n"
        "  rank: {states: [unknown, inapplicable, n/a]}\n"
        "  eyes (side): {states: ['a|b', 'c \"d\"', '\"e\"', 'x 0.5']}\n"
        "  eyes (side) source: {states: ['1', '2', 'May', 'no']}\n"
        "  sex: {ask: Which?, misread: 0.2, states: {male: {label: m, also: [he, '-x-']}, female: {also: h|er}}}\n"
        "  taxon: {also: [kind, 'a|b'], look_next: false}\n"
        "  edge: {also: [rim, lip], effort: 2.5, misread: 0.125, reach: hand, bare: true, look_next: false,\n"
        "    confused: [[thin, 'thick;'], ['thick;', 'r|ed', thin]],\n"
        "    states: {thin: {sketch: \"   /\\\\\\n  \\\"--\\\"\\n\\n =1\\n\"}, 'thick;': {sketch: '-='}, 'r|ed': {also: [a, b]}}}\n"
        "  shell: {also: [rim], states: [x, y], tip: '=Look, \"closely\"'}\n"
        "  width: {measure: length, unit: cm, reading_error: 12.5%, resolution: 0.5, includes: all,\n"
        "    words: {small: under 3, large: over 4}}\n"
        "  width note: {label: Width Note, states: {pale blue: {label: Pale Blue}, '=x': {label: y}}}\n"
        "  index: {measure: ratio, reading_error: 0}\n"
        "  species: {setting: states, states: [a, b]}\n"
        "  Season: {setting: months}\n"
        "taxa:\n"
        "  Tidella ficta: {rank: species, vernacular: 'x, y; \"z\"', authority: '(A, 1800)', also: ['a|b', '=c'],\n"
        "    source: '-5', note: 'two\n\n      lines',\n"
        "    traits: {rank: [unknown], eyes (side): 'a|b', width: {range: 3-3.6, source: '=1+1'}, index: -0.5--0.25,\n"
        "      species: {a: 1, b: 0.3}, Season: Nov-Feb}}\n"
        "  murmica: {rank: species, within: Gen, occurrence: 7.25, traits: {rank: [inapplicable, n/a],\n"
        "      eyes (side): {'x 0.5': 0.25, '\"e\"': 0.75}, eyes (side) source: '2', width: {mean: 4, sd: 0.1, n: 3},\n"
        "      width note: pale blue, species: [b], Season: [Jan, Mar-Apr, Dec]},\n"
        "    forms: [{traits: {eyes (side) source: [May, 'no']}}]}\n"
        "  Gen: {rank: genus, traits: {eyes (side) source: '1', width note: '=x', rank: unknown}}\n"
        "  Ovella nota ficta: {rank: subspecies, traits: {eyes (side): 'c \"d\"'},\n"
        "    forms: [{sex: male, share: 0.25}, {sex: male, form: '-x', source: b c, note: n}]}\n";
    rush_diagnostics *list = rush_diagnostics_new();
    rush_key *key = support_key_of_text(text, list);
    if (!key)
        support_show(list);
    rush_diagnostics_free(list);
    assert_non_null(key);
    compared = differences = 0;
    there_and_back(key);
    assert_int_equal(differences, 0);
    rush_key_free(key);
}

int main(int argc, char **argv)
{
    paths = argv + 1;
    path_count = argc - 1;
    const struct CMUnitTest tests[] = {cmocka_unit_test(shipped_keys),
                                       cmocka_unit_test(random_keys),
                                       cmocka_unit_test(awkward_names)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
