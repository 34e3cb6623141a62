#include <stdlib.h>

#include "advise/look.h"
#include "check/check.h"

/* Above this many taxa only those are compared that are scored alike throughout. */
enum { PAIRS_MAX_TAXA = 1500 };

/* A taxon, and a number that is equal when every form is scored alike. */
typedef struct signed_leaf {
    uint64_t signature;
    uint32_t leaf;
} signed_leaf;

typedef struct separation_check {
    const rush_key *key;
    rush_diagnostics *list;
    rush_adviser *adviser;
    double *mass; /* of each form */
    signed_leaf *leaves;
} separation_check;

static bool is_mark(const rush_key *key, uint32_t character)
{
    return character >= RUSH_BUILT_IN_CHARACTERS && !key->characters[character].setting;
}

/* Gives each form of a taxon that may be of this sex its share. */
static bool weigh(separation_check *with, uint32_t leaf, rush_sex sex, double scale)
{
    const rush_taxon *taxon = &with->key->taxa[leaf];
    bool any = false;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
        const rush_form *form = &with->key->forms[f];
        bool fits = sex == RUSH_SEX_ANY || form->sex == RUSH_SEX_ANY || form->sex == sex;
        with->mass[f] = fits ? form->share * scale : 0;
        any |= with->mass[f] > 0;
    }
    return any;
}

/* Whether some character tells the two apart, in either sex or both together. */
static bool separated(separation_check *with, uint32_t a, uint32_t b)
{
    const rush_key *key = with->key;
    static const rush_sex sexes[] = {RUSH_SEX_ANY, RUSH_SEX_MALE, RUSH_SEX_FEMALE};
    bool apart = false;
    for (size_t i = 0; i < sizeof sexes / sizeof *sexes && !apart; i++) {
        if (!weigh(with, a, sexes[i], 0.5) || !weigh(with, b, sexes[i], 0.5))
            continue;
        for (uint32_t c = 0; c < key->character_count && !apart; c++)
            apart = is_mark(key, c) && rush_information_between(with->adviser, c, a, b,
                                                                with->mass) >= RUSH_LEAST_GAIN;
    }
    return apart;
}

static uint64_t signature_of(const rush_key *key, uint32_t leaf)
{
    const rush_taxon *taxon = &key->taxa[leaf];
    uint64_t hash = 14695981039346656037u; /* FNV-1a, 64 bits */
    for (uint32_t c = 0; c < key->character_count; c++)
        for (uint32_t f = 0; is_mark(key, c) && f < taxon->form_count; f++) {
            hash ^= rush_column_profile(&key->model.columns[c], taxon->first_form + f) + 1;
            hash *= 1099511628211u;
        }
    return hash;
}

static void complain_pair(separation_check *with, uint32_t a, uint32_t b)
{
    const rush_key *key = with->key;
    rush_mark here = key->taxon_marks[b], other = key->taxon_marks[a];
    rush_diagnostic *made = rush_diagnose(with->list, RUSH_NO_DIFFERENCE, here.source, here.span,
                                          "no character separates '%s' from '%s'",
                                          key->taxa[b].name, key->taxa[a].name);
    rush_diagnose_other(with->list, made, other.source, other.span, "the other one");
    rush_diagnose_help(
        with->list, made,
        "score a character in which they differ, or say in a note that they cannot be "
        "told apart");
}

static void check_all_pairs(separation_check *with)
{
    const rush_key *key = with->key;
    for (uint32_t i = 0; i < key->leaf_count; i++)
        for (uint32_t j = i + 1; j < key->leaf_count; j++)
            if (!separated(with, key->leaves[i], key->leaves[j]))
                complain_pair(with, key->leaves[i], key->leaves[j]);
}

static int by_signature(const void *left, const void *right)
{
    const signed_leaf *a = left, *b = right;
    if (a->signature != b->signature)
        return a->signature < b->signature ? -1 : 1;
    return a->leaf < b->leaf ? -1 : a->leaf > b->leaf;
}

/* Of many taxa only those that are scored alike, each against the first of its kind. */
static void check_alike(separation_check *with)
{
    const rush_key *key = with->key;
    for (uint32_t i = 0; i < key->leaf_count; i++)
        with->leaves[i] = (signed_leaf){signature_of(key, key->leaves[i]), key->leaves[i]};
    qsort(with->leaves, key->leaf_count, sizeof *with->leaves, by_signature);
    for (uint32_t i = 0, first = 0; i < key->leaf_count; i++) {
        if (with->leaves[i].signature != with->leaves[first].signature)
            first = i;
        if (i != first && !separated(with, with->leaves[first].leaf, with->leaves[i].leaf))
            complain_pair(with, with->leaves[first].leaf, with->leaves[i].leaf);
    }
}

static void check_characters(separation_check *with)
{
    static const double nothing = 1e-9; /* bits */
    const rush_key *key = with->key;
    if (key->leaf_count < 2)
        return;
    for (uint32_t i = 0; i < key->leaf_count; i++)
        weigh(with, key->leaves[i], RUSH_SEX_ANY, 1.0 / key->leaf_count);
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!is_mark(key, c) || rush_information(with->adviser, c, with->mass) > nothing)
            continue;
        rush_mark mark = key->character_marks[c];
        rush_diagnostic *made =
            rush_diagnose(with->list, RUSH_IDLE_CHARACTER, mark.source, mark.span,
                          "the character '%s' separates nothing", key->characters[c].id);
        rush_diagnose_help(with->list, made,
                           "score it in taxa that differ in it, or leave it out");
    }
}

void rush_check_separation(const rush_key *key, rush_diagnostics *list)
{
    separation_check with = {.key = key,
                             .list = list,
                             .adviser = rush_adviser_new(key),
                             .mass = calloc(key->form_count, sizeof(double)),
                             .leaves = calloc(key->leaf_count, sizeof(signed_leaf))};
    if (with.adviser && with.mass && with.leaves) {
        if (key->leaf_count <= PAIRS_MAX_TAXA)
            check_all_pairs(&with);
        else
            check_alike(&with);
        check_characters(&with);
    } else {
        rush_diagnose_out_of_memory(list);
    }
    rush_adviser_free(with.adviser);
    free(with.mass);
    free(with.leaves);
}
