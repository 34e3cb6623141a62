#include <math.h>
#include <string.h>

#include "key/key.h"
#include "key/month.h"

enum { PROFILES_MAX = 65536 };

/* One character while it is compiled. */
typedef struct column_draft {
    rush_key *key;
    rush_arena *arena, *scratch;
    uint32_t character;
    RUSH_LIST(rush_profile) profiles;
    RUSH_LIST(uint32_t) mixtures;
    rush_table contents;  /* of profiles, so that equal ones are one */
    uint32_t *profile_of; /* of each form; RUSH_NONE: unscored */
    uint32_t *of_trait;   /* the profile of each trait of the key; RUSH_NONE: not made yet */
    const rush_trait **of_taxon;            /* what each taxon is scored as, inherited or not */
    uint32_t *by_rank;                      /* the taxa, those that enclose others first */
    uint32_t *next_of_taxon, *next_of_form; /* of their own traits, the first not used yet */
    uint32_t *scored_before;                /* how many scored forms stand before each form */
    uint32_t *mixture_of;   /* of each taxon, for its unscored forms; RUSH_NONE: not made yet */
    uint32_t whole_mixture; /* the same for those whose branch is not scored */
    bool *scored;           /* of each character: something in the key is scored in it */
    const uint8_t *zeros;   /* the profile of every form where nothing is; NULL: not made yet */
    double *suitability;    /* one number a state, of the character with most */
} column_draft;

/* ---- profiles of scored forms ------------------------------------------------------------------- */

static uint32_t direct_profile(column_draft *draft, rush_profile profile, rush_text content)
{
    uint32_t next = draft->profiles.count;
    uint32_t at =
        rush_table_add(draft->scratch, &draft->contents, (uint32_t)profile.kind, content, next);
    if (at == next)
        *RUSH_PUSH(draft->scratch, &draft->profiles) = profile;
    return at;
}

static uint32_t one_state_profile(column_draft *draft, uint32_t state)
{
    rush_profile profile = {.kind = RUSH_PROFILE_STATE, .state = state};
    return direct_profile(draft, profile, (rush_text){(const char *)&state, sizeof state});
}

/* The weights live as long as the key. */
static uint32_t weights_profile(column_draft *draft, const double *weights)
{
    uint32_t states = draft->key->characters[draft->character].state_count;
    for (uint32_t s = 0; s < states; s++)
        if (weights[s] == 1)
            return one_state_profile(draft, s);
    rush_profile profile = {.kind = RUSH_PROFILE_STATES, .weights = weights};
    return direct_profile(draft, profile,
                          (rush_text){(const char *)weights, states * sizeof *weights});
}

static uint32_t number_profile(column_draft *draft, const rush_trait *trait)
{
    double content[] = {trait->mean, trait->sd};
    rush_profile profile = {.kind = RUSH_PROFILE_NUMBER, .mean = trait->mean, .sd = trait->sd};
    return direct_profile(draft, profile, (rush_text){(const char *)content, sizeof content});
}

/* ---- settings ----------------------------------------------------------------------------------- */

/* How suitable each month is: a season is a run of months, and the year wraps. */
static void season(const double *months, double *suitability)
{
    unsigned count = 0;
    for (unsigned m = 0; m < RUSH_MONTHS; m++)
        count += months[m] > 0;
    for (unsigned m = 0; m < RUSH_MONTHS; m++)
        suitability[m] = count == RUSH_MONTHS ? 1 : RUSH_SEASON_BEYOND;
    for (unsigned first = 0; first < RUSH_MONTHS; first++) {
        unsigned before = (first + RUSH_MONTHS - 1) % RUSH_MONTHS, length = 1;
        if (months[first] == 0 || months[before] > 0)
            continue; /* not where a season begins */
        while (length < RUSH_MONTHS && months[(first + length) % RUSH_MONTHS] > 0)
            length++;
        unsigned last = (first + length - 1) % RUSH_MONTHS, after = (last + 1) % RUSH_MONTHS;
        double edge = length >= 3 ? RUSH_SEASON_EDGE : 1;
        for (unsigned i = 1; i + 1 < length; i++)
            suitability[(first + i) % RUSH_MONTHS] = 1;
        suitability[first] = suitability[last] = edge;
        suitability[before] = fmax(suitability[before], RUSH_SEASON_NEXT);
        suitability[after] = fmax(suitability[after], RUSH_SEASON_NEXT);
    }
}

/* A listed state is suitable; of weighted ones, in proportion to the likeliest. */
static void places(const double *weights, uint32_t states, double *suitability)
{
    double most = 0;
    for (uint32_t s = 0; s < states; s++)
        most = fmax(most, weights[s]);
    for (uint32_t s = 0; s < states; s++)
        suitability[s] = fmax(RUSH_OUT_OF_PLACE, most > 0 ? weights[s] / most : 1);
}

static uint32_t setting_profile(column_draft *draft, const rush_trait *trait)
{
    const rush_character *character = &draft->key->characters[draft->character];
    size_t size = character->state_count * sizeof(double);
    double *suitability = draft->suitability;
    if (!trait || trait->kind != RUSH_TRAIT_STATES)
        for (uint32_t s = 0; s < character->state_count; s++)
            suitability[s] = 1;
    else if (character->kind == RUSH_KIND_MONTHS)
        season(trait->weights, suitability);
    else
        places(trait->weights, character->state_count, suitability);
    uint32_t made = draft->profiles.count;
    rush_profile profile = {.kind = RUSH_PROFILE_SETTING};
    uint32_t at = direct_profile(draft, profile, (rush_text){(const char *)suitability, size});
    if (at == made)
        draft->profiles.items[at].weights =
            memcpy(RUSH_ARRAY(draft->arena, double, character->state_count), suitability, size);
    return at;
}

/* ---- what forms show ---------------------------------------------------------------------------- */

static uint32_t sex_profile(column_draft *draft, rush_sex sex)
{
    static const double either[] = {0.5, 0.5};
    if (sex == RUSH_SEX_ANY)
        return weights_profile(draft, either);
    return one_state_profile(draft, sex == RUSH_SEX_MALE ? 0 : 1);
}

static uint32_t form_name_profile(column_draft *draft, const char *name)
{
    uint32_t states = draft->key->characters[RUSH_FORM_CHARACTER].state_count;
    if (!name)
        return one_state_profile(draft, states - 1);
    return one_state_profile(
        draft, rush_key_find_state(draft->key, RUSH_FORM_CHARACTER, rush_text_of(name)));
}

static uint32_t make_profile(column_draft *draft, const rush_trait *trait)
{
    if (draft->key->characters[draft->character].setting)
        return setting_profile(draft, trait);
    switch (trait->kind) {
    case RUSH_TRAIT_UNSCORED:
        return RUSH_NONE;
    case RUSH_TRAIT_INAPPLICABLE:
        return direct_profile(draft, (rush_profile){.kind = RUSH_PROFILE_INAPPLICABLE},
                              (rush_text){"", 0});
    case RUSH_TRAIT_NUMBER:
        return number_profile(draft, trait);
    default:
        return weights_profile(draft, trait->weights);
    }
}

static uint32_t profile_of_trait(column_draft *draft, const rush_trait *trait)
{
    if (!trait)
        return draft->key->characters[draft->character].setting ? setting_profile(draft, NULL)
                                                                : RUSH_NONE;
    uint32_t *known = &draft->of_trait[trait->number];
    if (*known == RUSH_NONE)
        *known = make_profile(draft, trait);
    return *known;
}

/* The next trait of a list when it is one of this character. Characters come in their order, as traits do. */
static const rush_trait *take_trait(const rush_trait *const *traits, uint32_t count,
                                    uint32_t *next, uint32_t character)
{
    if (*next < count && traits[*next]->character == character)
        return traits[(*next)++];
    return NULL;
}

static void find_shown(column_draft *draft)
{
    const rush_key *key = draft->key;
    uint32_t character = draft->character;
    for (uint32_t i = 0; i < key->taxon_count; i++) {
        uint32_t t = draft->by_rank[i];
        const rush_taxon *taxon = &key->taxa[t];
        const rush_trait *own =
            take_trait(taxon->traits, taxon->trait_count, &draft->next_of_taxon[t], character);
        draft->of_taxon[t] = own                          ? own
                             : taxon->parent != RUSH_NONE ? draft->of_taxon[taxon->parent]
                                                          : NULL;
    }
    for (uint32_t f = 0; f < key->form_count; f++) {
        const rush_form *form = &key->forms[f];
        const rush_trait *own =
            take_trait(form->traits, form->trait_count, &draft->next_of_form[f], character);
        draft->profile_of[f] = profile_of_trait(draft, own ? own : draft->of_taxon[form->taxon]);
    }
}

static void find_built_in(column_draft *draft)
{
    const rush_key *key = draft->key;
    for (uint32_t f = 0; f < key->form_count; f++)
        draft->profile_of[f] = draft->character == RUSH_SEX_CHARACTER
                                   ? sex_profile(draft, key->forms[f].sex)
                                   : form_name_profile(draft, key->forms[f].name);
}

/* ---- mixtures ----------------------------------------------------------------------------------- */

static uint32_t add_mixture(column_draft *draft, uint32_t taxon)
{
    *RUSH_PUSH(draft->scratch, &draft->mixtures) = taxon;
    return draft->profiles.count + draft->mixtures.count - 1;
}

/* Of the unscored forms of a taxon: like the scored forms of the nearest taxon that has any, and a little
 * like the key. */
static uint32_t unscored_profile(column_draft *draft, uint32_t taxon)
{
    if (taxon == RUSH_NONE) {
        if (draft->whole_mixture == RUSH_NONE)
            draft->whole_mixture = add_mixture(draft, RUSH_NONE);
        return draft->whole_mixture;
    }
    if (draft->mixture_of[taxon] == RUSH_NONE) {
        const rush_taxon *here = &draft->key->taxa[taxon];
        bool scored = draft->scored_before[here->first_form + here->form_count] >
                      draft->scored_before[here->first_form];
        draft->mixture_of[taxon] =
            scored ? add_mixture(draft, taxon) : unscored_profile(draft, here->parent);
    }
    return draft->mixture_of[taxon];
}

/* The part of each profile in the key's scored forms. */
static const double *find_whole(column_draft *draft)
{
    const rush_key *key = draft->key;
    double total = 0, *whole = RUSH_ARRAY(draft->arena, double, draft->profiles.count);
    for (uint32_t f = 0; f < key->form_count; f++)
        if (draft->profile_of[f] != RUSH_NONE) {
            whole[draft->profile_of[f]] += key->model.prior[f];
            total += key->model.prior[f];
        }
    for (uint32_t p = 0; total > 0 && p < draft->profiles.count; p++)
        whole[p] /= total;
    return total > 0 ? whole : NULL;
}

static void mix(column_draft *draft)
{
    const rush_key *key = draft->key;
    memset(draft->mixture_of, 0xff, key->taxon_count * sizeof *draft->mixture_of);
    for (uint32_t f = 0; f < key->form_count; f++)
        draft->scored_before[f + 1] =
            draft->scored_before[f] + (draft->profile_of[f] != RUSH_NONE);
    for (uint32_t f = 0; f < key->form_count; f++)
        if (draft->profile_of[f] == RUSH_NONE)
            draft->profile_of[f] = unscored_profile(draft, key->forms[f].taxon);
}

rush_mixture_parts rush_mixture_begin(const rush_key *key, uint32_t character, uint32_t profile)
{
    const rush_column *column = &key->model.columns[character];
    uint32_t taxon = column->mixtures[profile - column->scored_count];
    rush_mixture_parts parts = {.column = column, .prior = key->model.prior};
    parts.even = column->whole ? 0 : 1;
    parts.whole = taxon == RUSH_NONE ? 1 : 1 - RUSH_NEAREST_PART;
    if (taxon == RUSH_NONE)
        return parts;
    double total = 0;
    parts.form = key->taxa[taxon].first_form;
    parts.forms_end = parts.form + key->taxa[taxon].form_count;
    for (uint32_t f = parts.form; f < parts.forms_end; f++)
        if (rush_column_profile(column, f) < column->scored_count)
            total += parts.prior[f];
    parts.scale = RUSH_NEAREST_PART / total;
    return parts;
}

bool rush_mixture_next(rush_mixture_parts *parts, uint32_t *profile, double *weight)
{
    const rush_column *column = parts->column;
    while (parts->form < parts->forms_end) {
        uint32_t form = parts->form++;
        *profile = rush_column_profile(column, form);
        *weight = parts->scale * parts->prior[form];
        if (*profile < column->scored_count)
            return true;
    }
    if (!column->whole || parts->of_whole == column->scored_count)
        return false;
    *profile = parts->of_whole++;
    *weight = parts->whole * column->whole[*profile];
    return true;
}

/* ---- a column ----------------------------------------------------------------------------------- */

static void forget(column_draft *draft)
{
    draft->profiles.count = draft->mixtures.count = 0;
    rush_table_clear(&draft->contents);
    draft->whole_mixture = RUSH_NONE;
}

static const uint64_t *confused_sets(rush_arena *arena, const rush_character *character,
                                     uint32_t words)
{
    uint64_t *sets = RUSH_ARRAY(arena, uint64_t, (size_t)character->state_count * words);
    for (uint32_t i = 0; i < character->confused_count; i++) {
        uint32_t a = character->confused[i][0], b = character->confused[i][1];
        sets[a * words + b / 64] |= UINT64_C(1) << b % 64;
        sets[b * words + a / 64] |= UINT64_C(1) << a % 64;
    }
    return sets;
}

static const void *copy_of(column_draft *draft, const void *items, uint32_t count, size_t size)
{
    void *copy = rush_arena_zeroed(draft->arena, count, size);
    if (count)
        memcpy(copy, items, count * size);
    return copy;
}

static void finish_profiles(column_draft *draft, rush_column *column)
{
    const rush_character *character = &draft->key->characters[draft->character];
    column->profiles =
        copy_of(draft, draft->profiles.items, draft->profiles.count, sizeof *column->profiles);
    column->scored_count = draft->profiles.count;
    column->mixtures =
        copy_of(draft, draft->mixtures.items, draft->mixtures.count, sizeof *column->mixtures);
    column->profile_count = draft->profiles.count + draft->mixtures.count;
    column->set_words = (character->state_count + 63) / 64;
    if (character->confused_count)
        column->confused = confused_sets(draft->arena, character, column->set_words);
}

static void finish_column(column_draft *draft, rush_column *column)
{
    uint32_t forms = draft->key->form_count;
    finish_profiles(draft, column);
    if (column->profile_count <= 256) {
        uint8_t *narrow = RUSH_ARRAY(draft->arena, uint8_t, forms);
        for (uint32_t f = 0; f < forms; f++)
            narrow[f] = (uint8_t)draft->profile_of[f];
        column->narrow = narrow;
    } else {
        uint16_t *wide = RUSH_ARRAY(draft->arena, uint16_t, forms);
        for (uint32_t f = 0; f < forms; f++)
            wide[f] = (uint16_t)draft->profile_of[f];
        column->wide = wide;
    }
}

/* Nothing in the key is scored: every form is like every other. */
static void make_blank_column(column_draft *draft, rush_column *column)
{
    if (!draft->zeros)
        draft->zeros = RUSH_ARRAY(draft->arena, uint8_t, draft->key->form_count);
    if (profile_of_trait(draft, NULL) == RUSH_NONE)
        add_mixture(draft, RUSH_NONE);
    finish_profiles(draft, column);
    column->narrow = draft->zeros;
}

/* False when it has too many profiles. */
static bool make_column(column_draft *draft, rush_column *column)
{
    forget(draft);
    if (draft->character >= RUSH_BUILT_IN_CHARACTERS && !draft->scored[draft->character]) {
        make_blank_column(draft, column);
        return true;
    }
    if (draft->character < RUSH_BUILT_IN_CHARACTERS)
        find_built_in(draft);
    else
        find_shown(draft);
    if (!draft->key->characters[draft->character].setting) {
        column->whole = find_whole(draft);
        mix(draft);
    }
    if (draft->profiles.count + draft->mixtures.count > PROFILES_MAX)
        return false;
    finish_column(draft, column);
    return true;
}

/* ---- the model ---------------------------------------------------------------------------------- */

static void find_unlisted(rush_key *key, rush_arena *arena)
{
    uint32_t genera = 0, families = 0;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        genera += key->taxa[t].rank == RUSH_RANK_GENUS;
        families += key->taxa[t].rank == RUSH_RANK_FAMILY;
    }
    double all = (genera ? RUSH_GENERA_MASS : 0) + (families ? RUSH_FAMILIES_MASS : 0) +
                 RUSH_STRANGER_MASS;
    rush_unlisted *unlisted = RUSH_ARRAY(arena, rush_unlisted, genera + families + 1);
    uint32_t count = 0;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        if (key->taxa[t].rank == RUSH_RANK_GENUS)
            unlisted[count++] = (rush_unlisted){t, RUSH_GENERA_MASS / all / genera};
        else if (key->taxa[t].rank == RUSH_RANK_FAMILY)
            unlisted[count++] = (rush_unlisted){t, RUSH_FAMILIES_MASS / all / families};
    }
    unlisted[count++] = (rush_unlisted){RUSH_NONE, RUSH_STRANGER_MASS / all};
    key->model.unlisted = unlisted;
    key->model.unlisted_count = count;
    key->model.hypothesis_count = key->form_count + count;
}

static void find_priors(rush_key *key, rush_arena *arena)
{
    double *prior = RUSH_ARRAY(arena, double, key->form_count);
    double *share = RUSH_ARRAY(arena, double, key->form_count);
    for (uint32_t f = 0; f < key->form_count; f++) {
        share[f] = key->forms[f].share;
        prior[f] = share[f] * key->taxa[key->forms[f].taxon].occurrence;
    }
    key->model.prior = prior;
    key->model.share = share;
}

/* A taxon's rank is lower than that of all that it stands within. */
static void sort_by_rank(column_draft *draft)
{
    const rush_key *key = draft->key;
    uint32_t count = 0;
    for (int rank = 0; rank < RUSH_RANK_COUNT; rank++)
        for (uint32_t t = 0; t < key->taxon_count; t++)
            if (key->taxa[t].rank == (rush_taxon_rank)rank)
                draft->by_rank[count++] = t;
}

static void see_traits(column_draft *draft, const rush_trait *const *traits, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++)
        draft->scored[traits[i]->character] = true;
}

static void begin_draft(column_draft *draft)
{
    const rush_key *key = draft->key;
    rush_arena *scratch = draft->scratch;
    uint32_t states = 1;
    for (uint32_t c = 0; c < key->character_count; c++)
        states =
            key->characters[c].state_count > states ? key->characters[c].state_count : states;
    draft->profile_of = RUSH_ARRAY(scratch, uint32_t, key->form_count);
    draft->of_trait = RUSH_ARRAY(scratch, uint32_t, key->trait_count);
    memset(draft->of_trait, 0xff, key->trait_count * sizeof *draft->of_trait);
    draft->of_taxon = RUSH_ARRAY(scratch, const rush_trait *, key->taxon_count);
    draft->by_rank = RUSH_ARRAY(scratch, uint32_t, key->taxon_count);
    draft->next_of_taxon = RUSH_ARRAY(scratch, uint32_t, key->taxon_count);
    draft->next_of_form = RUSH_ARRAY(scratch, uint32_t, key->form_count);
    draft->scored_before = RUSH_ARRAY(scratch, uint32_t, key->form_count + 1);
    draft->mixture_of = RUSH_ARRAY(scratch, uint32_t, key->taxon_count);
    draft->suitability = RUSH_ARRAY(scratch, double, states);
    draft->scored = RUSH_ARRAY(scratch, bool, key->character_count);
    for (uint32_t t = 0; t < key->taxon_count; t++)
        see_traits(draft, key->taxa[t].traits, key->taxa[t].trait_count);
    for (uint32_t f = 0; f < key->form_count; f++)
        see_traits(draft, key->forms[f].traits, key->forms[f].trait_count);
    sort_by_rank(draft);
}

bool rush_model_compile(rush_key *key, rush_arena *arena, rush_arena *scratch)
{
    find_unlisted(key, arena);
    find_priors(key, arena);
    column_draft draft = {.key = key, .arena = arena, .scratch = scratch};
    begin_draft(&draft);
    rush_column *columns = RUSH_ARRAY(arena, rush_column, key->character_count);
    key->model.columns = columns;
    key->model.set_words = (key->leaf_count + 63) / 64;
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        bool bare_form = c == RUSH_FORM_CHARACTER && !character->state_count;
        if (character->kind == RUSH_KIND_TAXON || bare_form)
            continue;
        draft.character = c;
        if (!make_column(&draft, &columns[c]))
            return false;
        if (columns[c].set_words > key->model.set_words)
            key->model.set_words = columns[c].set_words;
    }
    return true;
}
