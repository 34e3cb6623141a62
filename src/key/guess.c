/* What is meant by the beginnings of a name's words. */
#include <string.h>

#include "base/unicode.h"
#include "key/key.h"

enum { BEGINNING_MIN = 3, OFFERED_MAX = 3 };

/* ---- how a name fits ------------------------------------------------------------------------------- */

typedef enum name_fit { FITS_NOT, FITS_WITHIN, FITS_FROM_START } name_fit;

/* The next word of a folded text, without full stops and commas behind it; empty at the end. */
static rush_text next_word(rush_text *rest)
{
    rush_text word = {rest->at, 0};
    while (rest->length && !word.length) {
        word = (rush_text){rest->at, 0};
        while (word.length < rest->length && rest->at[word.length] != ' ')
            word.length++;
        size_t taken = word.length < rest->length ? word.length + 1 : word.length;
        *rest = (rush_text){rest->at + taken, rest->length - taken};
        while (word.length && strchr(".,", word.at[word.length - 1]))
            word.length--;
    }
    return word;
}

/* "damselfly" also begins "damselflies". */
static bool word_begins(rush_text word, rush_text said)
{
    bool of_many = said.length > 1 && said.at[said.length - 1] == 'y' &&
                   word.length == said.length + 2 &&
                   memcmp(word.at + said.length - 1, "ies", 3) == 0;
    size_t length = said.length - of_many;
    return length <= word.length && memcmp(word.at, said.at, length) == 0;
}

/* Whether each word that was said begins a word of the name, in the same order; from the start: its first words, none
 * left out. Both are folded. */
static name_fit fit_of(rush_text name, rush_text said)
{
    rush_text word = next_word(&said);
    name_fit fit = word.length ? FITS_FROM_START : FITS_NOT;
    for (; word.length; word = next_word(&said)) {
        rush_text here = next_word(&name);
        for (; here.length && !word_begins(here, word); here = next_word(&name))
            fit = FITS_WITHIN;
        if (!here.length)
            return FITS_NOT;
    }
    return fit;
}

static name_fit fit_unfolded(const char *name, rush_text said)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(rush_text_of(name), folded);
    return length == SIZE_MAX ? FITS_NOT : fit_of((rush_text){folded, length}, said);
}

/* ---- searching ------------------------------------------------------------------------------------- */

/* What names are searched, and what was found. */
typedef struct name_search {
    const rush_key *key;
    const bool *among; /* by taxon; NULL: all */
    uint32_t language;
    rush_text said; /* folded */
    bool
        other_names; /* those of other languages and the taxon's further ones; or the common and the scientific */
    name_fit least;       /* that counts */
    uint32_t count;       /* taxa without children that fit, */
    uint32_t first, last; /* the outer ones of them, among the key's leaves, */
    uint32_t group;       /* the lowest group that fits and holds all of them, */
    rush_buffer names;    /* and names that fit, for a question */
} name_search;

static const char *common_name(const name_search *search, uint32_t taxon)
{
    const char *name =
        rush_key_words(search->key, search->key->taxa[taxon].vernacular, search->language);
    return name[0] ? name : NULL;
}

static const char *better_fit(const name_search *search, const char *name, name_fit *best,
                              const char *best_name)
{
    name_fit fit = name ? fit_unfolded(name, search->said) : FITS_NOT;
    if (fit <= *best || fit < search->least)
        return best_name;
    *best = fit;
    return name;
}

/* The name of a taxon that fits; NULL: none does. */
static const char *fitting_name(const name_search *search, uint32_t at)
{
    const rush_key *key = search->key;
    const rush_taxon *taxon = &key->taxa[at];
    name_fit best = FITS_NOT;
    const char *name = NULL;
    if (!search->other_names) {
        name = better_fit(search, common_name(search, at), &best, name);
        return better_fit(search, taxon->name, &best, name);
    }
    for (uint32_t l = 0; taxon->vernacular.in && l < key->header.language_count; l++)
        name = better_fit(search, taxon->vernacular.in[l], &best, name);
    for (uint32_t a = 0; a < taxon->also.count; a++)
        name = better_fit(search, taxon->also.names[a], &best, name);
    return name;
}

static bool is_searched(const name_search *search, uint32_t taxon)
{
    return !search->among || search->among[taxon];
}

static void note_name(name_search *search, const char *name)
{
    if (search->count <= OFFERED_MAX)
        rush_buffer_format(&search->names, "%s'%s'", search->count > 1 ? ", " : "", name);
}

static void search_leaves(name_search *search)
{
    const rush_key *key = search->key;
    search->count = 0;
    rush_buffer_clear(&search->names);
    for (uint32_t leaf = 0; leaf < key->leaf_count; leaf++) {
        uint32_t taxon = key->leaves[leaf];
        const char *name = is_searched(search, taxon) ? fitting_name(search, taxon) : NULL;
        if (!name)
            continue;
        if (!search->count++)
            search->first = leaf;
        search->last = leaf;
        note_name(search, name);
    }
}

/* Whether all that fits stands in the group. */
static bool holds_all(const name_search *search, const rush_taxon *group)
{
    return !search->count || (search->first >= group->first_leaf &&
                              search->last < group->first_leaf + group->leaf_count);
}

static void search_groups(name_search *search)
{
    const rush_key *key = search->key;
    search->group = RUSH_NONE;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        bool lower = search->group == RUSH_NONE || taxon->rank > key->taxa[search->group].rank;
        if (key->leaves[taxon->first_leaf] != t && is_searched(search, t) && lower &&
            fitting_name(search, t) && holds_all(search, taxon))
            search->group = t;
    }
}

/* False when no name fits. */
static bool search_once(name_search *search)
{
    search_leaves(search);
    search_groups(search);
    return search->count || search->group != RUSH_NONE;
}

/* Of several words the first ones of a name go before any of it; one alone may stand anywhere. */
static bool search_names(name_search *search)
{
    bool several = memchr(search->said.at, ' ', search->said.length) != NULL;
    for (int others = 0; others < 2; others++) {
        search->other_names = others;
        search->least = FITS_FROM_START;
        if (several && search_once(search))
            return true;
        search->least = FITS_WITHIN;
        if (search_once(search))
            return true;
    }
    return false;
}

uint32_t rush_key_guess_taxon(const rush_key *key, rush_text said, uint32_t language,
                              const bool *among, rush_buffer *several)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(said, folded);
    if (length == SIZE_MAX || length < BEGINNING_MIN)
        return RUSH_NONE;
    name_search search = {
        .key = key, .among = among, .language = language, .said = {folded, length}, .names = {0}};
    uint32_t taxon = RUSH_NONE;
    if (search_names(&search))
        taxon = search.count == 1 ? key->leaves[search.first] : search.group;
    if (taxon == RUSH_NONE && search.count && several) {
        rush_buffer_add(several, (rush_text){search.names.bytes, search.names.length});
        if (search.count > OFFERED_MAX)
            rush_buffer_format(several, " and %u more", search.count - OFFERED_MAX);
        several->failed |= search.names.failed;
    }
    rush_buffer_free(&search.names);
    return taxon;
}
