#include <string.h>

#include "base/unicode.h"
#include "check/check.h"

/* ---- what each form is scored as ----------------------------------------------------------------- */

/* Above this weight a form surely shows a state. */
#define SURELY 0.95

enum { STATES_MAX = 64 };

typedef struct cell_check {
    rush_checker *checker;
    uint32_t character;      /* the one that may be inapplicable */
    const rush_trait **cell; /* by form: what is said of that character, or NULL */
    uint32_t *from;          /* by form: the taxon that says it; RUSH_NONE: the form itself */
} cell_check;

static rush_trait_kind kind_of(const rush_trait *trait)
{
    return trait ? trait->kind : RUSH_TRAIT_UNSCORED;
}

static bool is_scored(const rush_trait *trait)
{
    return kind_of(trait) == RUSH_TRAIT_STATES || kind_of(trait) == RUSH_TRAIT_NUMBER;
}

static bool surely_shows(const rush_key *key, uint32_t form, uint32_t character, uint32_t state)
{
    const rush_trait *trait = rush_key_trait(key, form, character, NULL);
    return kind_of(trait) == RUSH_TRAIT_STATES && trait->weights[state] >= SURELY;
}

static rush_mark place_of_cell(const cell_check *with, uint32_t form)
{
    const rush_key *key = with->checker->key;
    bool own = with->from[form] == RUSH_NONE;
    return rush_place_trait(key, own ? key->forms[form].taxon : with->from[form],
                            own ? form : RUSH_NONE, with->character);
}

/* ---- scored although what it stands within cannot show it ------------------------------------------ */

/* The nearest taxon above the one that scores it which says `inapplicable`; RUSH_NONE: none does. */
static uint32_t denied_above(const cell_check *with, uint32_t form)
{
    const rush_key *key = with->checker->key;
    uint32_t at = with->from[form] == RUSH_NONE ? key->forms[form].taxon
                                                : key->taxa[with->from[form]].parent;
    if (at == RUSH_NONE)
        return RUSH_NONE;
    uint32_t from;
    const rush_trait *above = rush_key_taxon_trait(key, at, with->character, &from);
    return kind_of(above) == RUSH_TRAIT_INAPPLICABLE ? from : RUSH_NONE;
}

static void complain_denied(const cell_check *with, uint32_t form, uint32_t above)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    rush_diagnostic *made =
        rush_find(checker, RUSH_INAPPLICABLE_SCORED, place_of_cell(with, form),
                  "'%s' is scored in '%s', though it is inapplicable to '%s'",
                  key->characters[with->character].id, key->taxa[key->forms[form].taxon].name,
                  key->taxa[above].name);
    rush_mark other = rush_place_trait(key, above, RUSH_NONE, with->character);
    rush_diagnose_other(checker->list, made, other.source, other.span, "it is said here");
    rush_diagnose_help(
        checker->list, made,
        "one of them is wrong: give `inapplicable` only where no member can show it");
}

/* ---- scored where another character says that there is nothing to see -------------------------------- */

/* Where character `on` is surely `state`, the character of the check is inapplicable. */
typedef struct rule {
    uint32_t on, state;
    uint32_t kept, broken; /* how many taxa keep to it, and how many do not */
    uint32_t others,
        denied; /* how many are scored in another state of `on`, or are inapplicable there */
} rule;

static bool says_absent(const char *id)
{
    static const char *const words[] = {"none",        "absent",  "no",     "missing",
                                        "not present", "without", "lacking"};
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(rush_text_of(id), folded);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (length == strlen(words[i]) && memcmp(folded, words[i], length) == 0)
            return true;
    return false;
}

/* A detail is named for what it is of, a plural's s aside: `stripes` and `stripe colour`. */
static bool is_part_of(const char *whole, const char *detail)
{
    char a[RUSH_FOLD_MAX], b[RUSH_FOLD_MAX];
    size_t one = rush_unicode_fold(rush_text_of(whole), a),
           two = rush_unicode_fold(rush_text_of(detail), b);
    if (one == SIZE_MAX || two == SIZE_MAX || !one)
        return false;
    one -= a[one - 1] == 's';
    size_t next = one + (one < two && b[one] == 's');
    return one > 1 && next < two && b[next] == ' ' && memcmp(a, b, one) == 0;
}

/* The state that a form surely shows, or RUSH_NONE. */
static uint32_t sure_state(const rush_key *key, uint32_t form, uint32_t character)
{
    for (uint32_t s = 0; s < key->characters[character].state_count; s++)
        if (surely_shows(key, form, character, s))
            return s;
    return RUSH_NONE;
}

/* Which taxa keep to the rules of one character, a rule for each of its states. A taxon counts once for
 * each, by its first form that tells. */
static void weigh_rules(const cell_check *with, uint32_t on, rule *rules)
{
    const rush_key *key = with->checker->key;
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        uint64_t told = 0;
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
            rush_trait_kind kind = kind_of(with->cell[f]);
            uint32_t s = kind == RUSH_TRAIT_UNSCORED ? RUSH_NONE : sure_state(key, f, on);
            bool known = kind != RUSH_TRAIT_INAPPLICABLE && denied_above(with, f) != RUSH_NONE;
            if (s == RUSH_NONE || told >> s % 64 & 1 || known)
                continue;
            told |= UINT64_C(1) << s % 64;
            rules[s].kept += kind == RUSH_TRAIT_INAPPLICABLE;
            rules[s].broken += kind != RUSH_TRAIT_INAPPLICABLE;
        }
    }
}

static bool is_named(const cell_check *with, const rule *tried)
{
    const rush_key *key = with->checker->key;
    const rush_character *on = &key->characters[tried->on];
    return says_absent(on->states[tried->state].id) &&
           is_part_of(on->id, key->characters[with->character].id);
}

/* A rule that the names tell needs no precedent. Another one the key itself must keep to in most places,
 * while it scores the character where the other one shows something else: else they only go together. */
static bool holds(const cell_check *with, const rule *tried)
{
    enum { PRECEDENTS = 3 };
    bool kept = tried->kept >= PRECEDENTS && tried->broken * 3 <= tried->kept;
    bool tells = tried->others >= PRECEDENTS && tried->denied * 4 <= tried->others;
    return tried->broken && (is_named(with, tried) || (kept && tells));
}

static void complain_rule(const cell_check *with, uint32_t form, const rule *broken)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    const rush_character *on = &key->characters[broken->on];
    rush_diagnostic *made = rush_find(
        checker, RUSH_INAPPLICABLE_SCORED, place_of_cell(with, form),
        "'%s' is scored in '%s', whose '%s' is '%s'", key->characters[with->character].id,
        key->taxa[key->forms[form].taxon].name, on->id, on->states[broken->state].id);
    if (broken->kept)
        rush_diagnose_help(
            checker->list, made,
            "write `inapplicable`, as %u other tax%s of which '%s' is '%s' ha%s it", broken->kept,
            broken->kept == 1 ? "on" : "a", on->id, on->states[broken->state].id,
            broken->kept == 1 ? "s" : "ve");
    else
        rush_diagnose_help(checker->list, made,
                           "write `inapplicable` where there is nothing to see");
}

/* The family of a form, or the highest taxon that it stands within below one. */
static uint32_t family_of(const rush_key *key, uint32_t form)
{
    uint32_t at = key->forms[form].taxon;
    while (key->taxa[at].rank > RUSH_RANK_FAMILY && key->taxa[at].parent != RUSH_NONE &&
           key->taxa[key->taxa[at].parent].rank >= RUSH_RANK_FAMILY)
        at = key->taxa[at].parent;
    return at;
}

/* Whether a relative keeps to the rule: what only strangers do may have another cause. */
static bool kept_nearby(const cell_check *with, const rule *tried, uint32_t form)
{
    const rush_key *key = with->checker->key;
    const rush_taxon *family = &key->taxa[family_of(key, form)];
    if (family->rank != RUSH_RANK_FAMILY)
        return true;
    for (uint32_t f = family->first_form; f < family->first_form + family->form_count; f++)
        if (kind_of(with->cell[f]) == RUSH_TRAIT_INAPPLICABLE &&
            surely_shows(key, f, tried->on, tried->state))
            return true;
    return false;
}

/* Told once for each trait, whichever taxa inherit it. */
static void apply_rule(const cell_check *with, const rule *best)
{
    const rush_key *key = with->checker->key;
    for (uint32_t f = 0; f < key->form_count; f++) {
        rush_mark mark = place_of_cell(with, f);
        if (is_scored(with->cell[f]) && surely_shows(key, f, best->on, best->state) &&
            denied_above(with, f) == RUSH_NONE &&
            (is_named(with, best) || kept_nearby(with, best, f)) &&
            !rush_diagnosed(with->checker->list, RUSH_INAPPLICABLE_SCORED, mark.source,
                            mark.span))
            complain_rule(with, f, best);
    }
}

/* The rule with the most precedents; of equal ones, the first in the key. */
static void check_rules(const cell_check *with)
{
    const rush_key *key = with->checker->key;
    rule best = {.on = RUSH_NONE};
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < key->character_count; c++) {
        const rush_character *on = &key->characters[c];
        if (c == with->character || on->kind != RUSH_KIND_STATES || on->setting ||
            on->state_count > STATES_MAX || rush_lost_character(with->checker, c))
            continue;
        rule rules[STATES_MAX] = {{.on = c}};
        uint32_t kept = 0, broken = 0;
        weigh_rules(with, c, rules);
        for (uint32_t s = 0; s < on->state_count; s++) {
            kept += rules[s].kept;
            broken += rules[s].broken;
        }
        for (uint32_t s = 0; s < on->state_count; s++) {
            rule tried = {c,
                          s,
                          rules[s].kept,
                          rules[s].broken,
                          broken - rules[s].broken,
                          kept - rules[s].kept};
            if (holds(with, &tried) && (best.on == RUSH_NONE || tried.kept > best.kept))
                best = tried;
        }
    }
    if (best.on != RUSH_NONE)
        apply_rule(with, &best);
}

static bool read_cells(cell_check *with)
{
    const rush_key *key = with->checker->key;
    bool any = false;
    for (uint32_t f = 0; f < key->form_count; f++) {
        with->cell[f] = rush_key_trait(key, f, with->character, &with->from[f]);
        any |= kind_of(with->cell[f]) == RUSH_TRAIT_INAPPLICABLE;
    }
    return any;
}

/* Whether the names alone may tell a rule: then it is worth looking without a precedent. */
static bool is_detail(const rush_key *key, uint32_t character)
{
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < key->character_count; c++)
        if (c != character && is_part_of(key->characters[c].id, key->characters[character].id))
            return true;
    return false;
}

static void check_inapplicable(rush_checker *checker)
{
    enum {
        WORK_MAX = 100 * 1000 * 1000
    }; /* looks at a trait: the first characters of a larger key */
    const rush_key *key = checker->key;
    cell_check with = {.checker = checker,
                       .cell = RUSH_ARRAY(&checker->arena, const rush_trait *, key->form_count),
                       .from = RUSH_ARRAY(&checker->arena, uint32_t, key->form_count)};
    uint64_t work = 0, step = (uint64_t)key->form_count * key->character_count * 4;
    for (uint32_t c = 0; c < key->character_count && work <= WORK_MAX; c++) {
        if (!rush_is_mark(key, c) || rush_lost_character(checker, c))
            continue;
        with.character = c;
        if (!read_cells(&with) && !is_detail(key, c))
            continue;
        for (uint32_t f = 0; f < key->form_count; f++)
            if (is_scored(with.cell[f]) && denied_above(&with, f) != RUSH_NONE)
                complain_denied(&with, f, denied_above(&with, f));
        check_rules(&with);
        work += step;
    }
}

/* ---- what is not known yet ------------------------------------------------------------------------- */

enum { NAMED = 3, WORTH_TELLING = 20, LEAVES_MIN = 5 }; /* one cell in so many, of so many taxa */

/* The ones with the largest part unscored, the first in the key first. */
typedef struct gaps {
    uint32_t at[NAMED], unscored[NAMED], of;
    uint32_t count;
} gaps;

static void add_gap(gaps *worst, uint32_t at, uint32_t unscored)
{
    if (!unscored)
        return;
    uint32_t place = worst->count < NAMED ? worst->count++ : NAMED;
    for (; place && worst->unscored[place - 1] < unscored; place--)
        if (place < NAMED) {
            worst->at[place] = worst->at[place - 1];
            worst->unscored[place] = worst->unscored[place - 1];
        }
    if (place < NAMED) {
        worst->at[place] = at;
        worst->unscored[place] = unscored;
    }
}

static bool leaf_unscored(const rush_key *key, uint32_t taxon, uint32_t character)
{
    for (uint32_t f = key->taxa[taxon].first_form;
         f < key->taxa[taxon].first_form + key->taxa[taxon].form_count; f++)
        if (kind_of(rush_key_trait(key, f, character, NULL)) != RUSH_TRAIT_UNSCORED)
            return false;
    return true;
}

static void write_gaps(const rush_key *key, const gaps *worst, bool taxa, rush_buffer *buffer)
{
    for (uint32_t i = 0; i < worst->count; i++)
        rush_buffer_format(buffer, "%s'%s' (%u of %u)", i ? ", " : "",
                           taxa ? key->taxa[worst->at[i]].name : key->characters[worst->at[i]].id,
                           worst->unscored[i], worst->of);
}

static void complain_unscored(rush_checker *checker, uint64_t unscored, uint64_t cells,
                              const gaps worst[2])
{
    rush_buffer help = {0};
    rush_buffer_string(&help, "most of them in the characters ");
    write_gaps(checker->key, &worst[0], false, &help);
    rush_buffer_string(&help, "; in the taxa ");
    write_gaps(checker->key, &worst[1], true, &help);
    rush_diagnostic *made =
        rush_find(checker, RUSH_UNSCORED, rush_place_header(checker->key, NULL),
                  "%zu of %zu traits are unscored: %zu %%", (size_t)unscored, (size_t)cells,
                  (size_t)((200 * unscored + cells) / (2 * cells)));
    rush_diagnose_help_from(checker->list, made, &help);
}

/* One note for the key: a cell is a taxon without children and a character of the animal. */
static void check_unscored(rush_checker *checker)
{
    const rush_key *key = checker->key;
    uint32_t *of_leaf = RUSH_ARRAY(&checker->arena, uint32_t, key->leaf_count), marks = 0;
    uint64_t unscored = 0;
    gaps worst[2] = {{.of = key->leaf_count}, {.of = 0}};
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!rush_is_mark(key, c) || rush_doubts_character(checker, c))
            continue;
        uint32_t here = 0;
        for (uint32_t i = 0; i < key->leaf_count; i++)
            if (!rush_doubts_taxon(checker, key->leaves[i]) &&
                leaf_unscored(key, key->leaves[i], c)) {
                here++;
                of_leaf[i]++;
            }
        marks++;
        unscored += here;
        add_gap(&worst[0], c, here);
    }
    worst[1].of = marks;
    for (uint32_t i = 0; i < key->leaf_count; i++)
        add_gap(&worst[1], key->leaves[i], of_leaf[i]);
    uint64_t cells = (uint64_t)marks * key->leaf_count;
    if (unscored && unscored * WORTH_TELLING >= cells && key->leaf_count >= LEAVES_MIN)
        complain_unscored(checker, unscored, cells, worst);
}

void rush_check_cells(rush_checker *checker)
{
    check_inapplicable(checker);
    check_unscored(checker);
}
