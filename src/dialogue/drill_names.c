/* Names as a learner gives them: whole, by the beginnings of their words, or misspelt. */
#include <stdlib.h>
#include <string.h>

#include "base/unicode.h"
#include "diagnostic/diagnostic.h"
#include "dialogue/choices.h"
#include "dialogue/drill.h"

const char *const rush_drill_words[] = {"more", "hint", "marks", "why", "give up", "quit", NULL};

enum { BEGINNING_MIN = 3, OFFERED_MAX = 3, NAME_MAX_SAID = 200 };

/* ---- how a name fits ------------------------------------------------------------------------------- */

typedef enum name_fit { FITS_NOT, FITS_WITHIN, FITS_FROM_START } name_fit;

/* The next word of a folded text, without a full stop or comma behind it; empty at the end. */
static rush_text next_word(rush_text *rest)
{
    rush_text word = {rest->at, 0};
    while (word.length < rest->length && rest->at[word.length] != ' ')
        word.length++;
    size_t taken = word.length < rest->length ? word.length + 1 : word.length;
    *rest = (rush_text){rest->at + taken, rest->length - taken};
    while (word.length && strchr(".,", word.at[word.length - 1]))
        word.length--;
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
    name_fit fit = FITS_FROM_START;
    for (rush_text word = next_word(&said); word.length; word = next_word(&said)) {
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
    const rush_drill *drill;
    rush_text said; /* folded */
    bool whole_key; /* or only what can be played */
    bool
        other_names; /* those of other languages and the taxon's further ones; or the common and the scientific */
    name_fit least;    /* that counts */
    uint32_t count;    /* taxa without children that fit, */
    uint32_t last;     /* the last of them, */
    uint32_t group;    /* the lowest group that fits and holds all of them, */
    rush_buffer names; /* and names that fit, for a question */
} name_search;

static const char *common_name(const rush_drill *drill, uint32_t taxon)
{
    const char *name =
        rush_key_words(drill->key, drill->key->taxa[taxon].vernacular, drill->options.language);
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
    const rush_key *key = search->drill->key;
    const rush_taxon *taxon = &key->taxa[at];
    name_fit best = FITS_NOT;
    const char *name = NULL;
    if (!search->other_names) {
        name = better_fit(search, common_name(search->drill, at), &best, name);
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
    const rush_part *part = search->drill->options.part;
    return search->whole_key || !part || part->taxa[taxon];
}

static void note_name(name_search *search, const char *name)
{
    if (search->count <= OFFERED_MAX)
        rush_buffer_format(&search->names, "%s'%s'", search->count > 1 ? ", " : "", name);
}

static void search_leaves(name_search *search)
{
    const rush_key *key = search->drill->key;
    search->count = 0;
    rush_buffer_clear(&search->names);
    for (uint32_t leaf = 0; leaf < key->leaf_count; leaf++) {
        uint32_t taxon = key->leaves[leaf];
        const char *name = is_searched(search, taxon) ? fitting_name(search, taxon) : NULL;
        if (!name)
            continue;
        search->count++;
        search->last = taxon;
        note_name(search, name);
    }
}

/* Whether all that fits stands in the group. */
static bool holds_all(const name_search *search, uint32_t group)
{
    const rush_key *key = search->drill->key;
    for (uint32_t t = 0; search->count && t < key->leaf_count; t++) {
        uint32_t taxon = key->leaves[t];
        if (is_searched(search, taxon) && !rush_key_within(key, taxon, group) &&
            fitting_name(search, taxon))
            return false;
    }
    return true;
}

static void search_groups(name_search *search)
{
    const rush_key *key = search->drill->key;
    search->group = RUSH_NONE;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        bool lower = search->group == RUSH_NONE || taxon->rank > key->taxa[search->group].rank;
        if (key->leaves[taxon->first_leaf] != t && is_searched(search, t) && lower &&
            fitting_name(search, t) && holds_all(search, t))
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
    for (int i = 0; i < 4; i++) {
        search->whole_key = i >= 2;
        search->other_names = i % 2;
        search->least = FITS_FROM_START;
        if (several && search_once(search))
            return true;
        search->least = FITS_WITHIN;
        if (search_once(search))
            return true;
    }
    return false;
}

/* ---- what is told ---------------------------------------------------------------------------------- */

static rush_diagnostic *tell(rush_drill *drill, rush_text line, const char *what)
{
    rush_source source = {.name = "name", .text = line};
    rush_span span = {0, (uint32_t)line.length};
    return rush_diagnose(drill->diagnostics, RUSH_UNKNOWN_TAXON, &source, span, "'%.*s' %s",
                         (int)line.length, line.at, what);
}

/* "'emerald' may be 'emerald damselfly', 'downy emerald' and 2 more" */
static void tell_several(rush_drill *drill, rush_text line, const name_search *search)
{
    rush_buffer what = {0};
    rush_buffer_format(&what, "may be %s", search->names.bytes);
    if (search->count > OFFERED_MAX)
        rush_buffer_format(&what, " and %u more", search->count - OFFERED_MAX);
    if (what.failed)
        rush_diagnose_out_of_memory(drill->diagnostics);
    else
        tell(drill, line, what.bytes);
    rush_buffer_free(&what);
}

static void offer_nearest(const rush_drill *drill, bool whole_key, rush_nearest *nearest)
{
    const rush_key *key = drill->key;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        if (!whole_key && drill->options.part && !drill->options.part->taxa[t])
            continue;
        rush_nearest_offer(nearest, common_name(drill, t));
        rush_nearest_offer(nearest, taxon->name);
        for (uint32_t l = 0; whole_key && taxon->vernacular.in && l < key->header.language_count;
             l++)
            rush_nearest_offer(nearest, taxon->vernacular.in[l]);
        for (uint32_t a = 0; whole_key && a < taxon->also.count; a++)
            rush_nearest_offer(nearest, taxon->also.names[a]);
    }
}

static void tell_unknown(rush_drill *drill, rush_text line)
{
    rush_buffer help = {0};
    if (line.length > NAME_MAX_SAID) {
        line.length = 0;
        tell(drill, line, "is no name: so long a line cannot be");
        return;
    }
    rush_diagnostic *made = tell(drill, line, "is not a name that this key knows");
    for (int whole_key = 0; whole_key < 2 && !help.length; whole_key++) {
        rush_nearest nearest;
        rush_suggest_init(drill->diagnostics, &nearest, line);
        offer_nearest(drill, whole_key, &nearest);
        rush_nearest_say(&nearest, &help);
    }
    if (!help.length)
        rush_buffer_string(
            &help, "any common or scientific name will do, or how its words begin; ? helps");
    rush_diagnose_help_from(drill->diagnostics, made, &help);
}

/* ---- names ----------------------------------------------------------------------------------------- */

/* What can be played goes before what the key has besides. RUSH_NONE: none fits, or several, which are told. */
static uint32_t find_taxon(rush_drill *drill, rush_text line)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(line, folded);
    uint32_t taxon = rush_key_find_taxon(drill->key, line);
    if (taxon != RUSH_NONE || length == SIZE_MAX || length < BEGINNING_MIN)
        return taxon;
    name_search search = {.drill = drill, .said = {folded, length}};
    if (search_names(&search)) {
        taxon = search.count == 1 ? search.last : search.group;
        if (taxon == RUSH_NONE)
            tell_several(drill, line, &search);
    }
    rush_buffer_free(&search.names);
    return taxon;
}

/* "azure damselfly, male", "female azure damselfly": takes the sex off. */
static rush_sex take_sex(rush_text *name)
{
    static const rush_sex sexes[] = {RUSH_SEX_FEMALE, RUSH_SEX_MALE}; /* the longer word first */
    for (size_t i = 0; i < sizeof sexes / sizeof *sexes; i++) {
        rush_text word = rush_text_of(rush_sex_name(sexes[i]));
        if (name->length < word.length + 2)
            continue;
        size_t rest = name->length - word.length;
        if (name->at[word.length] == ' ' && rush_begins(*name, word)) {
            *name = rush_text_trim((rush_text){name->at + word.length, rest});
            return sexes[i];
        }
        if ((name->at[rest - 1] == ' ' || name->at[rest - 1] == ',') &&
            rush_begins((rush_text){name->at + rest, word.length}, word)) {
            rest -= name->at[rest - 1] == ' ';
            rest -= rest && name->at[rest - 1] == ',';
            *name = rush_text_trim((rush_text){name->at, rest});
            return sexes[i];
        }
    }
    return RUSH_SEX_ANY;
}

uint32_t rush_drill_name(rush_drill *drill, rush_text line, rush_sex *sex)
{
    uint32_t taxon = find_taxon(drill, line);
    rush_text rest = line;
    *sex = RUSH_SEX_ANY;
    if (taxon == RUSH_NONE && !rush_diagnostics_count(drill->diagnostics)) {
        *sex = take_sex(&rest);
        taxon = *sex == RUSH_SEX_ANY ? RUSH_NONE : find_taxon(drill, rest);
    }
    if (taxon == RUSH_NONE && !rush_diagnostics_count(drill->diagnostics))
        tell_unknown(drill, rest);
    return taxon;
}

void rush_drill_complete(const rush_drill *drill, rush_text line, size_t *stem,
                         rush_buffer *names)
{
    const rush_key *key = drill->key;
    *stem = line.length;
    for (uint32_t t = 0; line.length && t < key->taxon_count; t++) {
        const char *common = common_name(drill, t);
        if (common && rush_begins(rush_text_of(common), line))
            rush_buffer_format(names, "%s\n", common);
        else if (rush_begins(rush_text_of(key->taxa[t].name), line))
            rush_buffer_format(names, "%s\n", key->taxa[t].name);
    }
    for (size_t w = 0; line.length && rush_drill_words[w]; w++)
        if (rush_begins(rush_text_of(rush_drill_words[w]), line))
            rush_buffer_format(names, "%s\n", rush_drill_words[w]);
}
