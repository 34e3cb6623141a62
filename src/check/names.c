#include <string.h>

#include "base/unicode.h"
#include "check/check.h"

/* ---- names alike ------------------------------------------------------------------------------- */

/* A name that was looked at, and whose it is. */
typedef struct seen_name {
    const char *name;
    uint32_t thing;
} seen_name;

/* Names in one scope, as they look at a glance; each to its place in the list. */
typedef struct name_search {
    rush_checker *checker;
    rush_table glances;
    RUSH_LIST(seen_name) seen;
    uint32_t scope;
    const char *what;
    rush_mark (*place)(const rush_key *key, uint32_t scope, uint32_t thing);
    bool (*apart)(const rush_key *key, uint32_t thing,
                  uint32_t other); /* never mixed up; or NULL */
} name_search;

static bool same_fold(const char *a, const char *b)
{
    char first[RUSH_FOLD_MAX], second[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(rush_text_of(a), first);
    return length == rush_unicode_fold(rush_text_of(b), second) && length != SIZE_MAX &&
           memcmp(first, second, length) == 0;
}

static void complain_alike(name_search *with, const seen_name *here, const seen_name *other)
{
    rush_checker *checker = with->checker;
    rush_diagnostic *made =
        rush_find(checker, RUSH_NAMES_ALIKE, with->place(checker->key, with->scope, here->thing),
                  "the %s '%s' looks like '%s'", with->what, here->name, other->name);
    rush_mark there = with->place(checker->key, with->scope, other->thing);
    rush_diagnose_other(checker->list, made, there.source, there.span, "the other one");
    rush_diagnose_help(checker->list, made,
                       "somebody who reads in haste takes one for the other: name what differs");
}

static void look_at_name(name_search *with, uint32_t thing, const char *name)
{
    char glance[RUSH_FOLD_MAX];
    size_t length = name ? rush_unicode_glance(rush_text_of(name), glance) : SIZE_MAX;
    if (length == SIZE_MAX || !length)
        return;
    rush_checker *checker = with->checker;
    const seen_name here = {name, thing};
    uint32_t next = with->seen.count;
    uint32_t at = rush_table_add(&checker->arena, &with->glances, with->scope,
                                 (rush_text){glance, length}, next);
    if (at == next) {
        *RUSH_PUSH(&checker->arena, &with->seen) = here;
        return;
    }
    const seen_name *other = &with->seen.items[at];
    bool mixed_up = other->thing != thing &&
                    !same_fold(name, other->name) && /* the loader's to tell */
                    !(with->apart && with->apart(checker->key, thing, other->thing));
    if (mixed_up)
        complain_alike(with, &here, other);
}

static void look_at_words(name_search *with, uint32_t thing, rush_words words)
{
    for (uint32_t l = 0; words.in && l < with->checker->key->header.language_count; l++)
        look_at_name(with, thing, words.in[l]);
}

static rush_mark place_of_state(const rush_key *key, uint32_t scope, uint32_t state)
{
    return rush_place_state(key, scope, state);
}

static rush_mark place_of_character(const rush_key *key, uint32_t scope, uint32_t character)
{
    (void)scope;
    return rush_place_character(key, character, NULL);
}

static rush_mark place_of_taxon(const rush_key *key, uint32_t scope, uint32_t taxon)
{
    (void)scope;
    return rush_place_taxon(key, taxon, NULL);
}

static void check_state_names(rush_checker *checker)
{
    const rush_key *key = checker->key;
    name_search with = {.checker = checker, .what = "state", .place = place_of_state};
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        if (character->kind != RUSH_KIND_STATES)
            continue;
        with.scope = c;
        for (uint32_t s = 0; s < character->state_count; s++) {
            look_at_name(&with, s, character->states[s].id);
            look_at_words(&with, s, character->states[s].label);
        }
    }
}

/* A family may have the plural of its species' name. */
static bool of_one_branch(const rush_key *key, uint32_t taxon, uint32_t other)
{
    return rush_key_within(key, taxon, other) || rush_key_within(key, other, taxon);
}

static void check_other_names(rush_checker *checker)
{
    const rush_key *key = checker->key;
    name_search characters = {
        .checker = checker, .what = "character", .place = place_of_character};
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < key->character_count; c++) {
        look_at_name(&characters, c, key->characters[c].id);
        look_at_words(&characters, c, key->characters[c].label);
    }
    name_search taxa = {
        .checker = checker, .what = "taxon", .place = place_of_taxon, .apart = of_one_branch};
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        look_at_name(&taxa, t, key->taxa[t].name);
        look_at_words(&taxa, t, key->taxa[t].vernacular);
    }
}

/* ---- names by the code -------------------------------------------------------------------------- */

static bool ends_in(const char *name, const char *ending)
{
    size_t length = strlen(name), part = strlen(ending);
    return length > part && strcmp(name + length - part, ending) == 0;
}

/* Article 29.2 of the International Code of Zoological Nomenclature (4th ed.). */
static const char *zoological_ending(rush_taxon_rank rank)
{
    switch (rank) {
    case RUSH_RANK_SUPERFAMILY:
        return "oidea";
    case RUSH_RANK_FAMILY:
        return "idae";
    case RUSH_RANK_SUBFAMILY:
        return "inae";
    case RUSH_RANK_TRIBE:
        return "ini";
    default:
        return NULL;
    }
}

/* A key says that it is not of animals in its record, or by names as the botanical code has them (the
 * International Code of Nomenclature for algae, fungi, and plants, articles 18 and 19; from memory). */
static bool under_another_code(const rush_key *key)
{
    for (uint32_t i = 0; i < key->header.record_count; i++)
        if (strcmp(key->header.record[2 * i], "kingdom") == 0)
            return strcmp(key->header.record[2 * i + 1], "Animalia") != 0;
    for (uint32_t t = 0; t < key->taxon_count; t++)
        if (key->taxa[t].rank == RUSH_RANK_FAMILY && ends_in(key->taxa[t].name, "aceae"))
            return true;
    return false;
}

static void check_endings(rush_checker *checker)
{
    const rush_key *key = checker->key;
    if (under_another_code(key))
        return;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        const char *ending = zoological_ending(taxon->rank);
        if (!ending || ends_in(taxon->name, ending))
            continue;
        rush_diagnostic *made =
            rush_find(checker, RUSH_FAMILY_ENDING, rush_place_taxon(key, t, NULL),
                      "the %s '%s' does not end in -%s", rush_taxon_rank_name(taxon->rank),
                      taxon->name, ending);
        rush_diagnose_help(
            checker->list, made,
            "the zoological code wants that ending at this rank (Art. 29.2): correct the "
            "name or `rank:`; a vernacular name belongs in `vernacular:`");
    }
}

/* The first word of a name is that of the genus. */
static bool names_genus(const char *name, const char *genus)
{
    size_t length = strcspn(name, " ");
    return !name[length] || (length && name[length - 1] == '.') ||
           rush_text_equal((rush_text){name, length}, rush_text_of(genus));
}

static void check_genera(rush_checker *checker)
{
    const rush_key *key = checker->key;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        uint32_t above = taxon->parent;
        while (above != RUSH_NONE && key->taxa[above].rank > RUSH_RANK_GENUS)
            above = key->taxa[above].parent;
        if (taxon->rank < RUSH_RANK_SPECIES || above == RUSH_NONE ||
            key->taxa[above].rank != RUSH_RANK_GENUS ||
            names_genus(taxon->name, key->taxa[above].name))
            continue;
        rush_diagnostic *made =
            rush_find(checker, RUSH_OTHER_GENUS, rush_place_taxon(key, t, "within"),
                      "'%s' stands within the genus '%s'", taxon->name, key->taxa[above].name);
        rush_diagnose_help(checker->list, made,
                           "the first word of a species' name is its genus: correct one of them");
    }
}

void rush_check_names(rush_checker *checker)
{
    check_state_names(checker);
    check_other_names(checker);
    check_endings(checker);
    check_genera(checker);
}
