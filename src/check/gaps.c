#include "check/check.h"

/* A trait that is scored in all relatives but one: what was forgotten, or lost in a revision. An unscored one is
 * taken to be like its relatives, so that nobody sees what it would have told.
 *
 * Looked at from the highest taxon down: of a group in which nothing is scored, the group is told, once. */
typedef struct gap_check {
    rush_checker *checker;
    uint32_t character;
    uint32_t *open;  /* by form: how many of those before it are unscored, and nobody says so */
    uint32_t *known; /* ... are scored, or inapplicable */
    uint32_t *shown; /* ... are scored */
} gap_check;

/* Some forms that stand together. */
typedef struct form_range {
    uint32_t first, count;
} form_range;

static form_range forms_of(const rush_key *key, uint32_t taxon)
{
    if (taxon == RUSH_NONE)
        return (form_range){0, key->form_count};
    return (form_range){key->taxa[taxon].first_form, key->taxa[taxon].form_count};
}

static uint32_t among(const uint32_t *before, form_range range)
{
    return before[range.first + range.count] - before[range.first];
}

static void count_forms(gap_check *with)
{
    const rush_key *key = with->checker->key;
    for (uint32_t f = 0; f < key->form_count; f++) {
        const rush_trait *trait = rush_key_trait(key, f, with->character, NULL);
        bool shown =
            trait && (trait->kind == RUSH_TRAIT_STATES || trait->kind == RUSH_TRAIT_NUMBER);
        bool lost = key->taxon_lost[key->forms[f].taxon];
        bool known = trait && (trait->lost || trait->kind != RUSH_TRAIT_UNSCORED);
        with->open[f + 1] = with->open[f] + (!trait && !lost);
        with->known[f + 1] = with->known[f] + known;
        with->shown[f + 1] = with->shown[f] + shown;
    }
}

/* Whether nothing is scored in a part of a whole, and everything in the rest of it. */
static bool is_gap(const gap_check *with, form_range part, form_range whole)
{
    return part.count < whole.count && among(with->open, part) == part.count &&
           among(with->known, whole) == whole.count - part.count && among(with->shown, whole) > 0;
}

static uint32_t leaves_of(const rush_key *key, uint32_t taxon)
{
    return taxon == RUSH_NONE ? key->leaf_count : key->taxa[taxon].leaf_count;
}

static const char what_to_do[] =
    "score it, or write `unknown`: what is unscored is taken to be like its relatives";

static void complain_taxon(const gap_check *with, uint32_t taxon)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    uint32_t parent = key->taxa[taxon].parent,
             others = leaves_of(key, parent) - key->taxa[taxon].leaf_count;
    rush_diagnostic *made = rush_find(
        checker, RUSH_GAP, key->taxon_marks[taxon],
        "'%s' is not scored in '%s', though it is in the %u other%s of %s%s%s",
        key->characters[with->character].id, key->taxa[taxon].name, others,
        others == 1 ? "" : "s", parent == RUSH_NONE ? "" : "'",
        parent == RUSH_NONE ? "the key" : key->taxa[parent].name, parent == RUSH_NONE ? "" : "'");
    rush_diagnose_help(
        checker->list, made,
        "score it, or write `unknown`: what is unscored is taken to be like its relatives");
}

static void complain_form(const gap_check *with, uint32_t form)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    rush_diagnostic *made =
        rush_find(checker, RUSH_GAP, rush_place_form(key, form),
                  "'%s' is not scored in a form of '%s', though it is in its other forms",
                  key->characters[with->character].id, key->taxa[key->forms[form].taxon].name);
    rush_diagnose_help(checker->list, made, "%s", what_to_do);
}

/* ---- taken from far off ---------------------------------------------------------------------------- */

/* Whether a trait stands below a taxon: on a form, or on a taxon within it. */
static bool stands_below(const rush_key *key, uint32_t from, uint32_t taxon)
{
    if (from == RUSH_NONE)
        return true;
    for (from = key->taxa[from].parent; from != RUSH_NONE; from = key->taxa[from].parent)
        if (from == taxon)
            return true;
    return false;
}

/* How many forms of a range have a trait of their own, below a taxon; and where one that has none takes it from. */
static uint32_t own_among(const gap_check *with, form_range range, uint32_t taxon,
                          uint32_t *source)
{
    const rush_key *key = with->checker->key;
    uint32_t own = 0;
    for (uint32_t f = range.first; f < range.first + range.count; f++) {
        uint32_t from;
        const rush_trait *trait = rush_key_trait(key, f, with->character, &from);
        if (trait && stands_below(key, from, taxon))
            own++;
        else if (trait)
            *source = from;
    }
    return own;
}

/* A species without a trait of its own, where all others of its group have one: it takes that of the group, or of
 * what the group stands in, which may not be meant. Of two, one is often the exception to what their group has. */
static void check_inherited(const gap_check *with, uint32_t leaf)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    uint32_t parent = key->taxa[leaf].parent, source = RUSH_NONE;
    form_range part = forms_of(key, leaf), whole = forms_of(key, parent);
    if (parent == RUSH_NONE || key->taxa[parent].leaf_count <= 2 || among(with->open, whole) ||
        own_among(with, part, parent, &source) ||
        own_among(with, whole, parent, &source) != whole.count - part.count)
        return;
    rush_diagnostic *made =
        rush_find(checker, RUSH_GAP, key->taxon_marks[leaf],
                  "'%s' is taken from '%s' in '%s', though the %u others of '%s' have their own",
                  key->characters[with->character].id, key->taxa[source].name,
                  key->taxa[leaf].name, key->taxa[parent].leaf_count - 1, key->taxa[parent].name);
    rush_diagnose_help(checker->list, made, "score it here too, even if it is the same");
}

static void check_leaf(const gap_check *with, uint32_t leaf)
{
    const rush_key *key = with->checker->key;
    form_range forms = forms_of(key, leaf);
    check_inherited(with, leaf);
    for (uint32_t f = forms.first; f < forms.first + forms.count; f++)
        if (is_gap(with, (form_range){f, 1}, forms))
            complain_form(with, f);
}

static bool is_bare_leaf(const gap_check *with, uint32_t taxon)
{
    const rush_key *key = with->checker->key;
    return key->taxa[taxon].leaf_count == 1 &&
           key->leaves[key->taxa[taxon].first_leaf] == taxon &&
           rush_is_bare(with->checker, taxon);
}

static void check_character(gap_check *with)
{
    const rush_key *key = with->checker->key;
    count_forms(with);
    for (uint32_t t = 0; t < key->taxon_count; t++)
        if (!key->taxon_lost[t] && !is_bare_leaf(with, t) &&
            is_gap(with, forms_of(key, t), forms_of(key, key->taxa[t].parent)))
            complain_taxon(with, t);
    for (uint32_t i = 0; i < key->leaf_count; i++)
        if (!key->taxon_lost[key->leaves[i]])
            check_leaf(with, key->leaves[i]);
}

/* ---- nothing at all ---------------------------------------------------------------------------------- */

bool rush_is_bare(const rush_checker *checker, uint32_t leaf)
{
    const rush_key *key = checker->key;
    form_range forms = forms_of(key, leaf);
    for (uint32_t f = forms.first; f < forms.first + forms.count; f++)
        for (uint32_t c = 0; c < key->character_count; c++)
            if (rush_is_mark(key, c) && rush_key_trait(key, f, c, NULL))
                return false;
    return true;
}

static void check_bare(rush_checker *checker, uint32_t leaf)
{
    const rush_key *key = checker->key;
    if (key->taxon_lost[leaf] || !rush_is_bare(checker, leaf))
        return;
    rush_diagnostic *made = rush_find(checker, RUSH_GAP, key->taxon_marks[leaf],
                                      "nothing is scored in '%s'", key->taxa[leaf].name);
    rush_diagnose_help(checker->list, made,
                       "give its `traits:`, or leave it out until it has some");
}

void rush_check_gaps(rush_checker *checker)
{
    enum { LEAVES_MIN = 3 };
    const rush_key *key = checker->key;
    if (key->leaf_count < LEAVES_MIN)
        return;
    for (uint32_t i = 0; i < key->leaf_count; i++)
        check_bare(checker, key->leaves[i]);
    gap_check with = {.checker = checker,
                      .open = RUSH_ARRAY(&checker->arena, uint32_t, key->form_count + 1),
                      .known = RUSH_ARRAY(&checker->arena, uint32_t, key->form_count + 1),
                      .shown = RUSH_ARRAY(&checker->arena, uint32_t, key->form_count + 1)};
    for (uint32_t c = 0; c < key->character_count; c++)
        if (rush_is_mark(key, c) && key->model.columns[c].whole &&
            !rush_lost_character(checker, c)) {
            with.character = c;
            check_character(&with);
        }
}
