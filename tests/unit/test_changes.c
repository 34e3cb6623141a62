/* What a revision changed, told once and in its place: renamed things, inherited traits, worked sightings. */
#include "support/support.h"

#include <string.h>

static const char head[] = "rushlight: 1\n"
                           "key: driftline\n"
                           "characters:\n"
                           "  outline: {states: [round, oval, fan]}\n"
                           "  gloss: {states: [no, yes]}\n"
                           "  ribs: {states: [no, yes]}\n"
                           "  width: {measure: length, reading_error: 10%}\n";

static const char taxa[] =
    "taxa:\n"
    "  Tidella: {rank: genus, traits: {outline: round, gloss: no}}\n"
    "  Tidella ficta: {rank: species, within: Tidella, traits: {ribs: no, width: 10-20}}\n"
    "  Tidella altera: {rank: species, within: Tidella, traits: {ribs: yes, width: 12-22}}\n"
    "  Murmica ficta:\n"
    "    rank: species\n"
    "    traits: {outline: fan, ribs: no, width: 40-50}\n"
    "    forms: [{form: pale, traits: {gloss: yes}}, {form: dark, traits: {gloss: no}}]\n"
    "sightings:\n"
    "  - {saw: \"outline: fan; ribs: no; width: 45 mm\", expect: Murmica ficta}\n";

/* A copy of a text with every `from` in it as `to`; "" leaves it as it is. */
static void put(rush_buffer *text, const char *whole, const char *from, const char *to)
{
    for (const char *at = whole; *at;)
        if (from[0] && strncmp(at, from, strlen(from)) == 0) {
            rush_buffer_string(text, to);
            at += strlen(from);
        } else {
            rush_buffer_byte(text, *at++);
        }
}

typedef struct revision {
    rush_key *old, *now;
    rush_changes *changes;
} revision;

/* The key of this file, and the same with `from` as `to`. */
static void revise(revision *with, const char *from, const char *to)
{
    rush_buffer whole = {0}, old = {0}, now = {0};
    rush_buffer_string(&whole, head);
    rush_buffer_string(&whole, taxa);
    put(&old, whole.bytes, "", "");
    put(&now, whole.bytes, from, to);
    with->old = support_key_of_text(old.bytes, NULL);
    with->now = support_key_of_text(now.bytes, NULL);
    assert_non_null(with->old);
    assert_non_null(with->now);
    with->changes = rush_changes_find(with->old, with->now);
    assert_non_null(with->changes);
    rush_buffer_free(&whole);
    rush_buffer_free(&old);
    rush_buffer_free(&now);
}

static void end(revision *with)
{
    rush_changes_free(with->changes);
    rush_key_free(with->old);
    rush_key_free(with->now);
}

static uint32_t changed(const rush_match *matches, uint32_t count, bool renamed)
{
    uint32_t found = 0;
    for (uint32_t i = 0; i < count; i++)
        found += rush_match_changed(&matches[i]) && (!renamed || matches[i].renamed);
    return found;
}

static void nothing_changed(void **state)
{
    (void)state;
    revision with;
    revise(&with, "", "");
    assert_false(rush_changes_any(with.changes));
    assert_int_equal(with.changes->sightings_compared, 1);
    end(&with);
}

/* What people are shown is the same: a label that is the id says nothing. */
static void label_of_its_id(void **state)
{
    (void)state;
    revision with;
    revise(&with, "gloss: {", "gloss: {label: gloss, ");
    assert_false(rush_changes_any(with.changes));
    end(&with);
    revise(&with, "[round, oval, fan]", "{round: {label: round}, oval: {}, fan: {}}");
    assert_false(rush_changes_any(with.changes));
    end(&with);
    revise(&with, "[round, oval, fan]", "{round: {label: quite round}, oval: {}, fan: {}}");
    assert_int_equal(with.changes->state_count, 1);
    end(&with);
}

/* Known by what it says; the other question of yes and no is not taken for it. */
static void renamed_character(void **state)
{
    (void)state;
    revision with;
    revise(&with, "ribs:", "ridges:");
    const rush_changes *changes = with.changes;
    assert_int_equal(changed(changes->characters, changes->character_count, true), 1);
    assert_int_equal(changed(changes->characters, changes->character_count, false), 1);
    assert_int_equal(changes->trait_count, 0);
    assert_int_equal(changes->state_count, 0);
    end(&with);
}

static void renamed_taxon(void **state)
{
    (void)state;
    revision with;
    revise(&with, "Murmica ficta", "Murmica nova");
    const rush_changes *changes = with.changes;
    assert_int_equal(changed(changes->taxa, changes->taxon_count, true), 1);
    assert_int_equal(changed(changes->taxa, changes->taxon_count, false), 1);
    assert_int_equal(changes->trait_count, 0);
    assert_int_equal(changes->form_count, 0);
    assert_int_equal(changes->sighting_count, 0); /* the same animal by another name */
    end(&with);
}

static void renamed_state(void **state)
{
    (void)state;
    revision with;
    revise(&with, "round", "circular");
    assert_int_equal(with.changes->state_count, 1);
    assert_true(with.changes->states[0].state.renamed);
    assert_int_equal(with.changes->trait_count, 0);
    end(&with);
}

/* Of a group: told where it stands, not for each that inherits it. */
static void inherited_trait(void **state)
{
    (void)state;
    revision with;
    revise(&with, "outline: round", "outline: [round, oval]");
    assert_int_equal(with.changes->trait_count, 1);
    const rush_trait_change *change = &with.changes->traits[0];
    assert_string_equal(rush_key_taxon(with.now, change->taxon)->name, "Tidella");
    assert_int_equal(change->form, RUSH_NONE);
    end(&with);
}

static void trait_of_a_form(void **state)
{
    (void)state;
    revision with;
    revise(&with, "pale, traits: {gloss: yes}", "pale");
    assert_int_equal(with.changes->trait_count, 1);
    assert_int_not_equal(with.changes->traits[0].form, RUSH_NONE);
    assert_non_null(with.changes->traits[0].old);
    assert_null(with.changes->traits[0].now);
    end(&with);
}

static void sighting_answers_otherwise(void **state)
{
    (void)state;
    revision with;
    revise(&with, "outline: fan, ribs: no, width: 40-50",
           "outline: fan, ribs: yes, width: 80-90");
    assert_int_equal(with.changes->sighting_count, 1);
    assert_true(with.changes->sightings[0].before.verdict.safe);
    assert_int_equal(with.changes->sightings[0].old, 0);
    assert_int_equal(with.changes->sightings[0].now, 0);
    assert_int_equal(with.changes->trait_count, 2);
    end(&with);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_changed),   cmocka_unit_test(label_of_its_id),
        cmocka_unit_test(renamed_character), cmocka_unit_test(renamed_taxon),
        cmocka_unit_test(renamed_state),     cmocka_unit_test(inherited_trait),
        cmocka_unit_test(trait_of_a_form),   cmocka_unit_test(sighting_answers_otherwise),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
