#include "check/check.h"
#include "key/month.h"

/* How many taxa are about in each month, of those that say. */
typedef struct season_counts {
    uint32_t about[RUSH_MONTHS], scored;
} season_counts;

static unsigned months_of(const rush_trait *trait)
{
    unsigned months = 0;
    for (unsigned m = 0; m < RUSH_MONTHS; m++)
        months |= trait->weights[m] > 0 ? 1u << m : 0;
    return months;
}

static bool has_month(unsigned months, unsigned month)
{
    return months >> (month + RUSH_MONTHS) % RUSH_MONTHS & 1;
}

/* The first gap between two seasons, as its first and last month; false when all months join. */
static bool find_gap(unsigned months, unsigned *first, unsigned *last)
{
    unsigned gaps = 0, shortest = RUSH_MONTHS;
    for (unsigned m = 0; m < RUSH_MONTHS; m++) {
        if (has_month(months, m) || !has_month(months, m + RUSH_MONTHS - 1))
            continue;
        unsigned end = m;
        while (!has_month(months, end + 1) && end < m + RUSH_MONTHS)
            end++;
        gaps++;
        if (end - m + 1 < shortest) {
            shortest = end - m + 1;
            *first = m;
            *last = end % RUSH_MONTHS;
        }
    }
    return gaps > 1;
}

/* A long season over the turn of the year, where hardly any other taxon is about. */
static bool turned_round(unsigned months, const season_counts *counts)
{
    enum { FEW = 4 };
    if (!has_month(months, 0) || !has_month(months, RUSH_MONTHS - 1) || counts->scored < FEW)
        return false;
    uint32_t inside = 0, outside = 0, long_season = 0;
    for (unsigned m = 0; m < RUSH_MONTHS; m++) {
        long_season += has_month(months, m);
        if (has_month(months, m))
            inside += counts->about[m] - 1; /* itself */
        else
            outside += counts->about[m];
    }
    bool winter = counts->about[0] * 4 <= counts->scored;
    return long_season < RUSH_MONTHS && winter && outside > inside;
}

static void check_season(rush_checker *checker, uint32_t taxon, uint32_t form,
                         const rush_trait *trait, const season_counts *counts)
{
    const rush_key *key = checker->key;
    unsigned months = months_of(trait), first = 0, last = 0;
    if (trait->backing.note)
        return; /* the author has said why */
    rush_mark mark = rush_place_trait(key, taxon, form, trait->character);
    if (find_gap(months, &first, &last)) {
        rush_diagnostic *made =
            rush_find(checker, RUSH_ODD_SEASON, mark,
                      "the months of '%s' do not join: %s%s%s %s missing between",
                      key->taxa[taxon].name, rush_month_name(first), first == last ? "" : " to ",
                      first == last ? "" : rush_month_name(last), first == last ? "is" : "are");
        rush_diagnose_help(
            checker->list, made,
            "fill the gap; of two generations a year, say so in a `note:` of this trait");
    } else if (turned_round(months, counts)) {
        rush_diagnostic *made = rush_find(
            checker, RUSH_ODD_SEASON, mark,
            "the season of '%s' runs over the turn of the year, when hardly any other is about",
            key->taxa[taxon].name);
        rush_diagnose_help(
            checker->list, made,
            "the first month stands first, as in Apr-Oct; if it is about in winter, say so in a "
            "`note:` of this trait");
    }
}

static season_counts count_seasons(const rush_key *key, uint32_t character)
{
    season_counts counts = {0};
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        const rush_trait *trait = rush_key_taxon_trait(key, key->leaves[i], character, NULL);
        if (!trait || trait->kind != RUSH_TRAIT_STATES)
            continue;
        counts.scored++;
        for (unsigned m = 0; m < RUSH_MONTHS; m++)
            counts.about[m] += trait->weights[m] > 0;
    }
    return counts;
}

/* Traits are sorted by character. */
static const rush_trait *own_trait(const rush_trait *const *traits, uint32_t count,
                                   uint32_t character)
{
    for (uint32_t i = 0; i < count; i++)
        if (traits[i]->character == character && traits[i]->kind == RUSH_TRAIT_STATES)
            return traits[i];
    return NULL;
}

void rush_check_seasons(rush_checker *checker)
{
    const rush_key *key = checker->key;
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < key->character_count; c++) {
        if (key->characters[c].kind != RUSH_KIND_MONTHS)
            continue;
        season_counts counts = count_seasons(key, c);
        for (uint32_t t = 0; t < key->taxon_count; t++) {
            const rush_trait *own = own_trait(key->taxa[t].traits, key->taxa[t].trait_count, c);
            if (own)
                check_season(checker, t, RUSH_NONE, own, &counts);
        }
        for (uint32_t f = 0; f < key->form_count; f++) {
            const rush_trait *own = own_trait(key->forms[f].traits, key->forms[f].trait_count, c);
            if (own)
                check_season(checker, key->forms[f].taxon, f, own, &counts);
        }
    }
}
