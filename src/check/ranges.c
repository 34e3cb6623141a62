#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "check/check.h"

/* ---- too wide ------------------------------------------------------------------------------------- */

/* How many times the low end a printed range may reach: common practice, no published source. Within one
 * species of insect twice is much already. */
static double widest(const rush_character *character, rush_taxon_rank rank)
{
    bool length = strcmp(character->measure, "length") == 0;
    double species = length ? 4 : 12;
    return rank >= RUSH_RANK_SPECIES ? species
           : rank >= RUSH_RANK_GENUS ? 3 * species
                                     : 10 * species;
}

/* What is counted from nothing, or measured round a circle, has no such bound. */
static bool has_scale(const rush_character *character)
{
    return character->kind == RUSH_KIND_NUMBER && strcmp(character->measure, "count") != 0 &&
           strcmp(character->measure, "angle") != 0;
}

static void write_range(const rush_trait *trait, const rush_character *character,
                        rush_buffer *buffer)
{
    rush_buffer_number(buffer, trait->low, 3);
    if (trait->high > trait->low) {
        rush_buffer_byte(buffer, '-');
        rush_buffer_number(buffer, trait->high, 3);
    }
    if (character->unit[0])
        rush_buffer_format(buffer, " %s", character->unit);
}

static void check_width(rush_checker *checker, uint32_t taxon, uint32_t form,
                        const rush_trait *trait)
{
    const rush_key *key = checker->key;
    const rush_character *character = &key->characters[trait->character];
    if (trait->kind != RUSH_TRAIT_NUMBER || !trait->ranged || !has_scale(character) ||
        trait->low <= 0 || trait->high <= trait->low * widest(character, key->taxa[taxon].rank))
        return;
    checker->suspect[trait->character] = true;
    char times[RUSH_NUMBER_TEXT];
    rush_diagnostic *made =
        rush_find(checker, RUSH_WIDE_RANGE, rush_place_trait(key, taxon, form, trait->character),
                  "'%s' reaches %s times its low end in '%s'", character->id,
                  rush_number_text(times, trait->high / trait->low, 1), key->taxa[taxon].name);
    rush_diagnose_help(
        checker->list, made,
        "look for a digit too many or too few; what differs so much between forms is better "
        "given form by form");
}

static void check_widths(rush_checker *checker)
{
    const rush_key *key = checker->key;
    for (uint32_t t = 0; t < key->taxon_count; t++)
        for (uint32_t i = 0; i < key->taxa[t].trait_count; i++)
            check_width(checker, t, RUSH_NONE, key->taxa[t].traits[i]);
    for (uint32_t f = 0; f < key->form_count; f++)
        for (uint32_t i = 0; i < key->forms[f].trait_count; i++)
            check_width(checker, key->forms[f].taxon, f, key->forms[f].traits[i]);
}

/* ---- many times off -------------------------------------------------------------------------------- */

/* The means of a taxon's leaves for one character: their median, and the two at either end. */
typedef struct group {
    bool made;
    uint32_t count;
    double median, low[2], high[2];
} group;

typedef struct scale_check {
    rush_checker *checker;
    uint32_t character;
    double *means;  /* by leaf; 0: unscored */
    double *sorted; /* a workspace of as many */
    group *groups;  /* by taxon, and one more for the key */
} scale_check;

static int by_size(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return a < b ? -1 : a > b;
}

static const group *group_of(scale_check *with, uint32_t taxon)
{
    const rush_key *key = with->checker->key;
    group *made = &with->groups[taxon == RUSH_NONE ? key->taxon_count : taxon];
    if (made->made)
        return made;
    uint32_t first = taxon == RUSH_NONE ? 0 : key->taxa[taxon].first_leaf;
    uint32_t count = taxon == RUSH_NONE ? key->leaf_count : key->taxa[taxon].leaf_count;
    for (uint32_t i = first; i < first + count; i++)
        if (with->means[i] > 0)
            with->sorted[made->count++] = with->means[i];
    qsort(with->sorted, made->count, sizeof(double), by_size);
    made->made = true;
    if (made->count >= 2) {
        made->median = with->sorted[made->count / 2];
        memcpy(made->low, with->sorted, sizeof made->low);
        memcpy(made->high, with->sorted + made->count - 2, sizeof made->high);
    }
    return made;
}

/* How many times a mean is off the relatives' (above 1: more; below: less); 1 when it is not. */
static double off_by(const group *relatives, double mean, bool close)
{
    double ratio = mean / relatives->median;
    bool more = ratio > 1;
    double nearest = more ? relatives->high[mean >= relatives->high[1] ? 0 : 1]
                          : relatives->low[mean <= relatives->low[0] ? 1 : 0];
    double far = more ? ratio : 1 / ratio, gap = more ? mean / nearest : nearest / mean;
    bool off = close ? far >= 8 || (far >= 6 && gap >= 3) : far >= 6 && gap >= 4;
    return off ? ratio : 1;
}

/* The unit that somebody may have had in mind, when a length is so many times off. */
static const char *unit_of(const rush_character *character, double ratio)
{
    static const struct {
        const char *name;
        double mm;
    } units[] = {{"mm", 1}, {"cm", 10}, {"in", 25.4}, {"m", 1000}};
    double factor;
    if (strcmp(character->measure, "length") != 0)
        return NULL;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        bool known =
            rush_unit_factor(rush_text_of(units[i].name), rush_text_of(character->unit), &factor);
        double would = known ? ratio * factor : 1;
        if (known && factor != 1 && would > 0.6 && would < 1.7)
            return units[i].name;
    }
    return NULL;
}

static void complain_off(scale_check *with, uint32_t form, double ratio, const group *relatives)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    const rush_character *character = &key->characters[with->character];
    uint32_t from;
    const rush_trait *trait = rush_key_trait(key, form, with->character, &from);
    uint32_t taxon = from == RUSH_NONE ? key->forms[form].taxon : from;
    rush_buffer range = {0};
    char times[RUSH_NUMBER_TEXT], usual[RUSH_NUMBER_TEXT];
    write_range(trait, character, &range);
    rush_diagnostic *made = NULL;
    if (range.failed)
        rush_diagnose_out_of_memory(checker->list);
    else
        made = rush_find(
            checker, RUSH_FAR_OFF,
            rush_place_trait(key, taxon, from == RUSH_NONE ? form : RUSH_NONE, with->character),
            "%s is %s times %s than in the relatives of '%s', where '%s' is about %s",
            range.bytes, rush_number_text(times, ratio > 1 ? ratio : 1 / ratio, 1),
            ratio > 1 ? "more" : "less", key->taxa[taxon].name, character->id,
            rush_number_text(usual, relatives->median, 1));
    rush_buffer_free(&range);
    checker->suspect[with->character] = true;
    const char *unit = unit_of(character, ratio);
    if (unit)
        rush_diagnose_help(checker->list, made,
                           "in %s it would suit them: write the unit behind it", unit);
    else
        rush_diagnose_help(checker->list, made, "look for a decimal point, a digit or a unit");
}

/* The nearest taxon around with enough leaves that are scored; else the key. */
static void check_leaf(scale_check *with, uint32_t leaf)
{
    enum { ENOUGH = 4, ENOUGH_IN_KEY = 5 };
    const rush_key *key = with->checker->key;
    const rush_taxon *taxon = &key->taxa[key->leaves[leaf]];
    uint32_t around = taxon->parent;
    while (around != RUSH_NONE && group_of(with, around)->count < ENOUGH)
        around = key->taxa[around].parent;
    const group *relatives = group_of(with, around);
    bool close = around != RUSH_NONE && key->taxa[around].rank >= RUSH_RANK_FAMILY;
    if (with->means[leaf] <= 0 ||
        relatives->count < (around == RUSH_NONE ? ENOUGH_IN_KEY : ENOUGH))
        return;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
        const rush_trait *trait = rush_key_trait(key, f, with->character, NULL);
        if (!trait || trait->kind != RUSH_TRAIT_NUMBER || trait->mean <= 0)
            continue;
        double ratio = off_by(relatives, trait->mean, close);
        if (ratio != 1)
            complain_off(with, f, ratio, relatives);
    }
}

static void check_scale(scale_check *with)
{
    const rush_key *key = with->checker->key;
    memset(with->groups, 0, (key->taxon_count + 1) * sizeof *with->groups);
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        with->means[i] = 0;
        for (uint32_t f = taxon->first_form;
             f < taxon->first_form + taxon->form_count && with->means[i] <= 0; f++) {
            const rush_trait *trait = rush_key_trait(key, f, with->character, NULL);
            with->means[i] = trait && trait->kind == RUSH_TRAIT_NUMBER ? trait->mean : 0;
        }
    }
    for (uint32_t i = 0; i < key->leaf_count; i++)
        check_leaf(with, i);
}

void rush_check_ranges(rush_checker *checker)
{
    const rush_key *key = checker->key;
    check_widths(checker);
    scale_check with = {.checker = checker,
                        .means = RUSH_ARRAY(&checker->arena, double, key->leaf_count),
                        .sorted = RUSH_ARRAY(&checker->arena, double, key->leaf_count),
                        .groups = RUSH_ARRAY(&checker->arena, group, key->taxon_count + 1)};
    for (uint32_t c = 0; c < key->character_count; c++)
        if (has_scale(&key->characters[c]) && !rush_lost_character(checker, c)) {
            with.character = c;
            check_scale(&with);
        }
}
