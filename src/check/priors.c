#include <math.h>

#include "base/number.h"
#include "check/check.h"

/* Ten bits: as much as three or four good answers can make up for. */
#define STRONGEST 1024.0
/* Above this nothing is called safe without a great many answers. */
#define UNLISTED_MOST 0.2

/* The taxon that gives a leaf its occurrence. */
static uint32_t giver(const rush_key *key, uint32_t taxon)
{
    for (uint32_t at = taxon; at != RUSH_NONE; at = key->taxa[at].parent) {
        rush_mark name = rush_place_taxon(key, at, NULL),
                  own = rush_place_taxon(key, at, "occurrence");
        if (own.span.start != name.span.start)
            return at;
    }
    return taxon;
}

static void complain_rare(rush_checker *checker, uint32_t taxon, double most)
{
    const rush_key *key = checker->key;
    char times[RUSH_NUMBER_TEXT];
    uint32_t from = giver(key, taxon);
    rush_diagnostic *made = rush_find(
        checker, RUSH_STRONG_PRIOR, rush_place_taxon(key, from, "occurrence"),
        "'%s' is met %s times less often than the commonest taxon: what is seen of it hardly counts",
        key->taxa[from].name, rush_number_text(times, most / key->taxa[taxon].occurrence, 0));
    rush_diagnose_help(
        checker->list, made,
        "occurrence is for a suitable place and season; a hundred times is much for a vagrant");
}

static void complain_sure(rush_checker *checker, uint32_t taxon, double part)
{
    const rush_key *key = checker->key;
    char percent[RUSH_NUMBER_TEXT];
    rush_diagnostic *made = rush_find(
        checker, RUSH_STRONG_PRIOR, rush_place_taxon(key, giver(key, taxon), "occurrence"),
        "'%s' is %s %% likely before anything is seen", key->taxa[taxon].name,
        rush_number_text(percent, 100 * part, 1));
    rush_diagnose_help(checker->list, made,
                       "give the others their due, or it is called safe for nothing");
}

static void check_unlisted(rush_checker *checker)
{
    double unlisted = checker->key->header.unlisted;
    if (unlisted <= UNLISTED_MOST)
        return;
    char part[RUSH_NUMBER_TEXT];
    rush_diagnostic *made =
        rush_find(checker, RUSH_STRONG_PRIOR, rush_place_header(checker->key, "unlisted"),
                  "%s of all that is seen is taken not to be in the key",
                  rush_number_text(part, unlisted, 3));
    rush_diagnose_help(checker->list, made,
                       "0.02 is usual for a key that lists nearly all that is met");
}

static bool is_sure(const rush_occurrences *all)
{
    return all->commonest != RUSH_NONE && all->most < all->sum &&
           all->most >= RUSH_SAFE_DEFAULT * all->sum;
}

bool rush_prior_drowns(const rush_checker *checker, uint32_t taxon)
{
    const rush_occurrences *all = &checker->occurrences;
    return checker->key->taxa[taxon].occurrence * STRONGEST < all->most ||
           (is_sure(all) && taxon != all->commonest);
}

void rush_check_priors(rush_checker *checker)
{
    const rush_key *key = checker->key;
    rush_occurrences *all = &checker->occurrences;
    *all = (rush_occurrences){.commonest = RUSH_NONE};
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        double occurrence = key->taxa[key->leaves[i]].occurrence;
        all->sum += occurrence;
        if (occurrence > all->most) {
            all->most = occurrence;
            all->commonest = key->leaves[i];
        }
    }
    check_unlisted(checker);
    if (is_sure(all)) {
        complain_sure(checker, all->commonest, all->most / all->sum);
        return; /* the others are rare by comparison: one cause, one finding */
    }
    for (uint32_t i = 0; i < key->leaf_count; i++)
        if (key->taxa[key->leaves[i]].occurrence * STRONGEST < all->most)
            complain_rare(checker, key->leaves[i], all->most);
}
