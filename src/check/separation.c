#include <math.h>
#include <stdlib.h>

#include "advise/look.h"
#include "base/number.h"
#include "check/check.h"

/* ---- two taxa ---------------------------------------------------------------------------------------- */

/* Gives each form of a taxon that may be of this sex its share. */
static bool weigh(rush_separator *with, uint32_t leaf, rush_sex sex, double scale)
{
    const rush_key *key = with->checker->key;
    const rush_taxon *taxon = &key->taxa[leaf];
    bool any = false;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
        const rush_form *form = &key->forms[f];
        bool fits = sex == RUSH_SEX_ANY || form->sex == RUSH_SEX_ANY || form->sex == sex;
        with->mass[f] = fits ? form->share * scale : 0;
        any |= with->mass[f] > 0;
    }
    return any;
}

static void unweigh(rush_separator *with, uint32_t leaf)
{
    const rush_taxon *taxon = &with->checker->key->taxa[leaf];
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        with->mass[f] = 0;
}

/* Of one taxon: what some form of it says of a character, or something that is lost there. */
static const rush_trait *any_trait(const rush_key *key, uint32_t taxon, uint32_t character)
{
    const rush_trait *any = NULL;
    const rush_taxon *of = &key->taxa[taxon];
    for (uint32_t f = of->first_form; f < of->first_form + of->form_count; f++) {
        const rush_trait *trait = rush_key_trait(key, f, character, NULL);
        if (trait && (!any || trait->lost))
            any = trait;
    }
    return any;
}

bool rush_may_differ(const rush_separator *with, uint32_t a, uint32_t b)
{
    const rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!rush_is_mark(key, c) || (!checker->suspect[c] && !rush_doubts_character(checker, c)))
            continue;
        const rush_trait *one = any_trait(key, a, c), *two = any_trait(key, b, c);
        if (rush_lost_character(checker, c) && one && two)
            return true;
        if ((one && one->lost) || (two && two->lost))
            return true;
        if (checker->suspect[c] && one && two && one->kind == RUSH_TRAIT_NUMBER &&
            two->kind == RUSH_TRAIT_NUMBER && one != two)
            return true;
    }
    return false;
}

/* Whether something is scored in a taxon: what is not is guessed from the relatives, and separates nothing. */
static bool is_known(const rush_separator *with, uint32_t taxon, uint32_t character)
{
    const rush_key *key = with->checker->key;
    const rush_taxon *of = &key->taxa[taxon];
    for (uint32_t f = of->first_form; f < of->first_form + of->form_count; f++) {
        const rush_trait *trait = rush_key_trait(key, f, character, NULL);
        if (with->mass[f] > 0 && trait && trait->kind != RUSH_TRAIT_UNSCORED)
            return true;
    }
    return false;
}

double rush_separation(rush_separator *with, uint32_t a, uint32_t b, rush_sex sex, double enough)
{
    double bits = 0;
    bool one = weigh(with, a, sex, 0.5), other = weigh(with, b, sex, 0.5), both = one && other;
    for (uint32_t i = 0; i < with->order_count && both && bits < enough; i++)
        if (is_known(with, a, with->order[i]) && is_known(with, b, with->order[i]))
            bits += rush_information_between(with->checker->adviser, with->order[i], a, b,
                                             with->mass);
    unweigh(with, a);
    unweigh(with, b);
    return both ? bits : INFINITY;
}

bool rush_separated(rush_separator *with, uint32_t a, uint32_t b, rush_sex sex)
{
    bool one = weigh(with, a, sex, 0.5), other = weigh(with, b, sex, 0.5);
    bool apart = !one || !other;
    for (uint32_t i = 0; i < with->order_count && !apart; i++)
        apart = is_known(with, a, with->order[i]) && is_known(with, b, with->order[i]) &&
                rush_information_between(with->checker->adviser, with->order[i], a, b,
                                         with->mass) >= RUSH_LEAST_GAIN;
    unweigh(with, a);
    unweigh(with, b);
    return apart;
}

/* The character that comes closest to telling two taxa apart, and how many bits it gives. */
static uint32_t closest(rush_separator *with, uint32_t a, uint32_t b, rush_sex sex, double *bits)
{
    uint32_t best = RUSH_NONE;
    *bits = 0;
    weigh(with, a, sex, 0.5);
    weigh(with, b, sex, 0.5);
    for (uint32_t i = 0; i < with->order_count; i++) {
        double here =
            rush_information_between(with->checker->adviser, with->order[i], a, b, with->mass);
        if (here > *bits * (1 + 1e-9)) {
            *bits = here;
            best = with->order[i];
        }
    }
    unweigh(with, a);
    unweigh(with, b);
    return *bits >= 0.0005 ? best : RUSH_NONE;
}

/* ---- the order of characters ---------------------------------------------------------------------------- */

typedef struct told {
    uint32_t character;
    float bits;
} told;

static int by_bits(const void *left, const void *right)
{
    const told *a = left, *b = right;
    if (a->bits != b->bits)
        return a->bits > b->bits ? -1 : 1;
    return a->character < b->character ? -1 : a->character > b->character;
}

static told *weigh_characters(rush_separator *with)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    told *found = RUSH_ARRAY(&checker->arena, told, key->character_count);
    for (uint32_t i = 0; i < key->leaf_count; i++)
        weigh(with, key->leaves[i], RUSH_SEX_ANY, 1.0 / key->leaf_count);
    for (uint32_t c = 0; c < key->character_count; c++)
        if (rush_is_mark(key, c) &&
            !(key->faulty && key->characters[c].kind == RUSH_KIND_STATES &&
              key->characters[c].state_count < 2))
            found[with->order_count++] =
                (told){c, (float)rush_information(checker->adviser, c, with->mass)};
    for (uint32_t i = 0; i < key->leaf_count; i++)
        unweigh(with, key->leaves[i]);
    return found;
}

void rush_separator_begin(rush_separator *separator, rush_checker *checker)
{
    const rush_key *key = checker->key;
    *separator =
        (rush_separator){.checker = checker,
                         .mass = RUSH_ARRAY(&checker->arena, double, key->form_count),
                         .order = RUSH_ARRAY(&checker->arena, uint32_t, key->character_count)};
    told *found = weigh_characters(separator);
    qsort(found, separator->order_count, sizeof *found, by_bits);
    for (uint32_t i = 0; i < separator->order_count; i++)
        separator->order[i] = found[i].character;
}

/* ---- findings -------------------------------------------------------------------------------------------- */

static void complain_pair(rush_separator *with, uint32_t a, uint32_t b, rush_sex sex)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    const char *first = key->taxa[a].name, *second = key->taxa[b].name;
    rush_mark here = key->taxon_marks[b], other = key->taxon_marks[a];
    rush_diagnostic *made =
        sex == RUSH_SEX_ANY ? rush_find(checker, RUSH_NO_DIFFERENCE, here,
                                        "no character separates '%s' from '%s'", second, first)
                            : rush_find(checker, RUSH_SEXES_ALIKE, here,
                                        "no character separates the %ss of '%s' and '%s'",
                                        rush_sex_name(sex), second, first);
    rush_diagnose_other(checker->list, made, other.source, other.span, "the other one");
    double bits;
    char text[RUSH_NUMBER_TEXT];
    uint32_t best = made ? closest(with, a, b, sex, &bits) : RUSH_NONE;
    if (best != RUSH_NONE)
        rush_diagnose_help(
            checker->list, made,
            "'%s' comes closest, with %s of the 1 bit that is wanted: score it more sharply, or "
            "score a character in which they differ",
            key->characters[best].id, rush_number_text(text, bits, 3));
    else
        rush_diagnose_help(
            checker->list, made,
            "score a character in which they differ, or say in a `caution:` that they "
            "cannot be told apart");
}

/* To name one of two alike safely, what is left of the one bit between them must be no more than the doubt of a
 * verdict that is just safe: H(0.05) = 0.286 bits. The marks together tell no more than the sum of each (Fano's
 * inequality and the chain rule: Cover and Thomas, Elements of Information Theory, sections 2.5 and 2.10; from
 * memory). */
#define SAFELY_APART 0.714
enum { LEAVES_MIN = 4 }; /* the marks of a sketch are few */

static bool has_caution(const rush_key *key, uint32_t taxon)
{
    for (; taxon != RUSH_NONE; taxon = key->taxa[taxon].parent)
        if (key->taxa[taxon].caution.in)
            return true;
    return false;
}

static void complain_hardly(rush_separator *with, uint32_t a, uint32_t b, rush_sex sex,
                            double sum)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    char all[RUSH_NUMBER_TEXT], most[RUSH_NUMBER_TEXT];
    rush_diagnostic *made = rush_find(
        checker, RUSH_HARDLY_APART, key->taxon_marks[b],
        "%s%s'%s' and '%s' cannot be told apart safely: all marks together tell %s bit",
        sex == RUSH_SEX_ANY ? "" : rush_sex_name(sex), sex == RUSH_SEX_ANY ? "" : "s of ",
        key->taxa[b].name, key->taxa[a].name, rush_number_text(all, sum, 2));
    rush_mark other = key->taxon_marks[a];
    rush_diagnose_other(checker->list, made, other.source, other.span, "the other one");
    double bits;
    uint32_t best = made ? closest(with, a, b, sex, &bits) : RUSH_NONE;
    if (best != RUSH_NONE)
        rush_diagnose_help(checker->list, made,
                           "it takes 0.71 bit, and '%s' tells most, %s: score it more sharply, "
                           "score another mark, or say in a `caution:` what this needs",
                           key->characters[best].id, rush_number_text(most, bits, 2));
}

static void check_safely(rush_separator *with, uint32_t a, uint32_t b)
{
    const rush_key *key = with->checker->key;
    if (key->leaf_count < LEAVES_MIN || has_caution(key, a) || has_caution(key, b))
        return;
    double males = rush_separation(with, a, b, RUSH_SEX_MALE, SAFELY_APART);
    double females = rush_separation(with, a, b, RUSH_SEX_FEMALE, SAFELY_APART);
    if (males < SAFELY_APART && females < SAFELY_APART)
        complain_hardly(with, a, b, RUSH_SEX_ANY,
                        rush_separation(with, a, b, RUSH_SEX_ANY, SAFELY_APART));
    else if (males < SAFELY_APART)
        complain_hardly(with, a, b, RUSH_SEX_MALE, males);
    else if (females < SAFELY_APART)
        complain_hardly(with, a, b, RUSH_SEX_FEMALE, females);
}

/* A pair of which a fault may have taken the difference tells nothing. */
static void check_pair(rush_separator *with, uint32_t a, uint32_t b)
{
    const bool *lost = with->checker->key->taxon_lost;
    if (lost[a] || lost[b] || rush_is_bare(with->checker, a) || rush_is_bare(with->checker, b))
        return;
    bool males = rush_separated(with, a, b, RUSH_SEX_MALE);
    bool females = rush_separated(with, a, b, RUSH_SEX_FEMALE);
    if (rush_may_differ(with, a, b))
        return;
    if (males && females)
        check_safely(with, a, b);
    else if (!males && !females && !rush_separated(with, a, b, RUSH_SEX_ANY))
        complain_pair(with, a, b, RUSH_SEX_ANY);
    else
        complain_pair(with, a, b, males ? RUSH_SEX_FEMALE : RUSH_SEX_MALE);
    if (!males && !females && rush_separated(with, a, b, RUSH_SEX_ANY))
        complain_pair(with, a, b, RUSH_SEX_FEMALE);
}

/* ---- which pairs -------------------------------------------------------------------------------------------- */

/* All pairs of so many taxa are compared. Of more, those that are scored alike throughout, and those of one
 * enclosing taxon as long as it has no more than RELATIVES_MAX and the pairs are no more than all of that. */
enum { ALL_MAX = 1000, RELATIVES_MAX = 100 };

/* A taxon, and a number that is equal when every form is scored alike. */
typedef struct signed_leaf {
    uint64_t signature;
    uint32_t leaf;
} signed_leaf;

static uint64_t signature_of(const rush_key *key, uint32_t leaf)
{
    const rush_taxon *taxon = &key->taxa[leaf];
    uint64_t hash = 14695981039346656037u; /* FNV-1a, 64 bits */
    for (uint32_t c = 0; c < key->character_count; c++)
        for (uint32_t f = 0; rush_is_mark(key, c) && f < taxon->form_count; f++) {
            hash ^= rush_column_profile(&key->model.columns[c], taxon->first_form + f) + 1;
            hash *= 1099511628211u;
        }
    return hash;
}

static int by_signature(const void *left, const void *right)
{
    const signed_leaf *a = left, *b = right;
    if (a->signature != b->signature)
        return a->signature < b->signature ? -1 : 1;
    return a->leaf < b->leaf ? -1 : a->leaf > b->leaf;
}

/* Each against the first of its kind. */
static void check_alike(rush_separator *with)
{
    const rush_key *key = with->checker->key;
    signed_leaf *leaves = RUSH_ARRAY(&with->checker->arena, signed_leaf, key->leaf_count);
    for (uint32_t i = 0; i < key->leaf_count; i++)
        leaves[i] = (signed_leaf){signature_of(key, key->leaves[i]), key->leaves[i]};
    qsort(leaves, key->leaf_count, sizeof *leaves, by_signature);
    for (uint32_t i = 0, first = 0; i < key->leaf_count; i++) {
        if (leaves[i].signature != leaves[first].signature)
            first = i;
        if (i != first)
            check_pair(with, leaves[first].leaf, leaves[i].leaf);
    }
}

static void check_among(rush_separator *with, uint32_t first_leaf, uint32_t count)
{
    const rush_key *key = with->checker->key;
    for (uint32_t i = first_leaf; i < first_leaf + count; i++)
        for (uint32_t j = i + 1; j < first_leaf + count; j++)
            check_pair(with, key->leaves[i], key->leaves[j]);
}

static void check_relatives(rush_separator *with)
{
    const rush_key *key = with->checker->key;
    uint64_t left = (uint64_t)ALL_MAX * ALL_MAX / 2;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        uint64_t pairs = (uint64_t)taxon->leaf_count * taxon->leaf_count / 2;
        bool top =
            taxon->parent == RUSH_NONE || key->taxa[taxon->parent].leaf_count > RELATIVES_MAX;
        if (taxon->leaf_count < 2 || taxon->leaf_count > RELATIVES_MAX || !top || pairs > left)
            continue;
        left -= pairs;
        check_among(with, taxon->first_leaf, taxon->leaf_count);
    }
}

/* ---- idle characters ------------------------------------------------------------------------------------------ */

static void check_idle(rush_separator *with)
{
    static const double nothing = 1e-9; /* bits */
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    if (key->leaf_count < 2 || rush_part_is_lost(checker))
        return;
    for (uint32_t i = 0; i < key->leaf_count; i++)
        weigh(with, key->leaves[i], RUSH_SEX_ANY, 1.0 / key->leaf_count);
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!rush_is_mark(key, c) || rush_doubts_character(checker, c) ||
            rush_information(checker->adviser, c, with->mass) > nothing)
            continue;
        rush_diagnostic *made =
            rush_find(checker, RUSH_IDLE_CHARACTER, key->character_marks[c],
                      "the character '%s' separates nothing", key->characters[c].id);
        rush_diagnose_help(checker->list, made,
                           "score it in taxa that differ in it, or leave it out");
    }
}

void rush_check_separation(rush_checker *checker)
{
    rush_separator with;
    rush_separator_begin(&with, checker);
    if (checker->key->leaf_count <= ALL_MAX) {
        check_among(&with, 0, checker->key->leaf_count);
    } else {
        check_alike(&with);
        check_relatives(&with);
    }
    check_idle(&with);
}
