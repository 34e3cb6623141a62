#include <math.h>
#include <string.h>

#include "key/key.h"
#include "key/month.h"

enum { PROFILES_MAX = 65536 };

/* One character while it is compiled. */
typedef struct column_draft {
    rush_key *key;
    rush_arena *arena;
    uint32_t character;
    RUSH_LIST(rush_profile) profiles;
    rush_table contents;    /* of direct profiles, so that equal ones are one */
    uint16_t *profile_of;   /* of each hypothesis */
    bool *scored;           /* of each form */
    uint32_t *mixture_of;   /* of each taxon: for its unscored forms; RUSH_NONE: not made yet */
    uint32_t whole_mixture; /* of the key's scored forms; RUSH_NONE: nothing is scored */
    double *gathered;       /* by profile: the weights of a mixture being made */
    uint32_t *touched;      /* the profiles that have such a weight */
    uint32_t touched_count;
} column_draft;

/* ---- direct profiles ---------------------------------------------------------------------------- */

static uint32_t add_profile(column_draft *draft, rush_profile profile)
{
    *RUSH_PUSH(draft->arena, &draft->profiles) = profile;
    return draft->profiles.count - 1;
}

static uint32_t direct_profile(column_draft *draft, rush_profile profile, rush_text content)
{
    uint32_t next = draft->profiles.count;
    uint32_t at =
        rush_table_add(draft->arena, &draft->contents, (uint32_t)profile.kind, content, next);
    return at == next ? add_profile(draft, profile) : at;
}

static uint32_t one_state_profile(column_draft *draft, uint32_t state)
{
    rush_profile profile = {.kind = RUSH_PROFILE_STATE, .state = state};
    return direct_profile(draft, profile, (rush_text){(const char *)&state, sizeof state});
}

static uint32_t weights_profile(column_draft *draft, rush_profile_kind kind,
                                const double *weights)
{
    uint32_t states = draft->key->characters[draft->character].state_count;
    for (uint32_t s = 0; kind == RUSH_PROFILE_STATES && s < states; s++)
        if (weights[s] == 1)
            return one_state_profile(draft, s);
    rush_profile profile = {.kind = kind, .weights = weights};
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
    double *suitability = RUSH_ARRAY(draft->arena, double, character->state_count);
    if (!trait || trait->kind != RUSH_TRAIT_STATES)
        for (uint32_t s = 0; s < character->state_count; s++)
            suitability[s] = 1;
    else if (character->kind == RUSH_KIND_MONTHS)
        season(trait->weights, suitability);
    else
        places(trait->weights, character->state_count, suitability);
    return weights_profile(draft, RUSH_PROFILE_SETTING, suitability);
}

/* ---- what forms show ---------------------------------------------------------------------------- */

static uint32_t sex_profile(column_draft *draft, rush_sex sex)
{
    static const double either[] = {0.5, 0.5};
    if (sex == RUSH_SEX_ANY)
        return weights_profile(draft, RUSH_PROFILE_STATES, either);
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

/* The profile of a scored form; false when it is unscored. */
static bool shown_profile(column_draft *draft, uint32_t form, uint32_t *profile)
{
    const rush_key *key = draft->key;
    if (draft->character == RUSH_SEX_CHARACTER)
        return *profile = sex_profile(draft, key->forms[form].sex), true;
    if (draft->character == RUSH_FORM_CHARACTER)
        return *profile = form_name_profile(draft, key->forms[form].name), true;
    const rush_trait *trait = rush_key_trait(key, form, draft->character, NULL);
    if (key->characters[draft->character].setting)
        return *profile = setting_profile(draft, trait), true;
    if (!trait || trait->kind == RUSH_TRAIT_UNSCORED)
        return false;
    if (trait->kind == RUSH_TRAIT_INAPPLICABLE)
        *profile = direct_profile(draft, (rush_profile){.kind = RUSH_PROFILE_INAPPLICABLE},
                                  (rush_text){"", 0});
    else if (trait->kind == RUSH_TRAIT_NUMBER)
        *profile = number_profile(draft, trait);
    else
        *profile = weights_profile(draft, RUSH_PROFILE_STATES, trait->weights);
    return true;
}

/* ---- mixtures ----------------------------------------------------------------------------------- */

static void gather(column_draft *draft, uint32_t profile, double weight)
{
    if (weight <= 0)
        return;
    if (draft->gathered[profile] == 0)
        draft->touched[draft->touched_count++] = profile;
    draft->gathered[profile] += weight;
}

/* What has been gathered, scaled to sum to 1 - even, as a new profile. */
static uint32_t make_mixture(column_draft *draft, double even)
{
    double total = 0;
    for (uint32_t i = 0; i < draft->touched_count; i++)
        total += draft->gathered[draft->touched[i]];
    rush_component *components = RUSH_ARRAY(draft->arena, rush_component, draft->touched_count);
    for (uint32_t i = 0; i < draft->touched_count; i++) {
        uint32_t profile = draft->touched[i];
        components[i] = (rush_component){profile, (1 - even) * draft->gathered[profile] / total};
        draft->gathered[profile] = 0;
    }
    rush_profile profile = {.kind = RUSH_PROFILE_MIXTURE,
                            .components = components,
                            .component_count = draft->touched_count,
                            .even = total > 0 ? even : 1};
    draft->touched_count = 0;
    return add_profile(draft, profile);
}

static bool gather_scored(column_draft *draft, uint32_t first, uint32_t count, double scale)
{
    const rush_key *key = draft->key;
    double total = 0;
    for (uint32_t f = first; f < first + count; f++)
        if (draft->scored[f])
            total += exp(key->model.log_prior[f]);
    for (uint32_t f = first; total > 0 && f < first + count; f++)
        if (draft->scored[f])
            gather(draft, draft->profile_of[f], scale * exp(key->model.log_prior[f]) / total);
    return total > 0;
}

/* Of the unscored forms of a taxon: like the scored forms of the nearest taxon that has any, and a little
 * like the key. */
static uint32_t unscored_profile(column_draft *draft, uint32_t taxon)
{
    if (taxon == RUSH_NONE) {
        /* Nothing in the branch is scored: like the key, or evenly when that is not scored either. */
        if (draft->whole_mixture == RUSH_NONE)
            draft->whole_mixture = make_mixture(draft, 1);
        return draft->whole_mixture;
    }
    if (draft->mixture_of[taxon] == RUSH_NONE) {
        const rush_taxon *here = &draft->key->taxa[taxon];
        if (gather_scored(draft, here->first_form, here->form_count, RUSH_NEAREST_PART)) {
            gather(draft, draft->whole_mixture, 1 - RUSH_NEAREST_PART);
            draft->mixture_of[taxon] = make_mixture(draft, 0);
        } else {
            draft->mixture_of[taxon] = unscored_profile(draft, here->parent);
        }
    }
    return draft->mixture_of[taxon];
}

/* The mean over some taxa, each by the shares of its forms, and an even answer for the rest. */
static uint32_t mean_profile(column_draft *draft, uint32_t first_leaf, uint32_t leaf_count,
                             double even)
{
    const rush_key *key = draft->key;
    for (uint32_t i = first_leaf; i < first_leaf + leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
            gather(draft, draft->profile_of[f], key->forms[f].share);
    }
    return make_mixture(draft, even);
}

/* ---- a column ----------------------------------------------------------------------------------- */

static void forget(column_draft *draft)
{
    const rush_key *key = draft->key;
    draft->profiles.items = NULL;
    draft->profiles.count = draft->profiles.capacity = 0;
    draft->contents = (rush_table){0};
    draft->whole_mixture = RUSH_NONE;
    memset(draft->scored, 0, key->form_count);
    memset(draft->mixture_of, 0xff, key->taxon_count * sizeof *draft->mixture_of);
}

static void give_profiles(column_draft *draft)
{
    const rush_key *key = draft->key;
    const rush_model *model = &key->model;
    for (uint32_t f = 0; f < key->form_count; f++) {
        uint32_t profile = 0;
        draft->scored[f] = shown_profile(draft, f, &profile);
        if (draft->scored[f])
            draft->profile_of[f] = (uint16_t)profile;
    }
    if (key->characters[draft->character].setting)
        return;
    if (gather_scored(draft, 0, key->form_count, 1))
        draft->whole_mixture = make_mixture(draft, 0);
    for (uint32_t f = 0; f < key->form_count; f++)
        if (!draft->scored[f])
            draft->profile_of[f] = (uint16_t)unscored_profile(draft, key->forms[f].taxon);
    for (uint32_t u = 0; u < model->unlisted_count; u++) {
        uint32_t taxon = model->unlisted[u].taxon;
        uint32_t profile =
            taxon == RUSH_NONE
                ? mean_profile(draft, 0, key->leaf_count, 1 - RUSH_STRANGER_PART)
                : mean_profile(draft, key->taxa[taxon].first_leaf, key->taxa[taxon].leaf_count,
                               1 - RUSH_RELATIVE_PART);
        draft->profile_of[key->form_count + u] = (uint16_t)profile;
    }
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

static void finish_column(column_draft *draft, rush_column *column)
{
    const rush_character *character = &draft->key->characters[draft->character];
    uint32_t hypotheses = draft->key->model.hypothesis_count;
    column->profiles = draft->profiles.items;
    column->profile_count = draft->profiles.count;
    column->set_words = (character->state_count + 63) / 64;
    if (character->confused_count)
        column->confused = confused_sets(draft->arena, character, column->set_words);
    if (draft->profiles.count <= 256) {
        uint8_t *narrow = RUSH_ARRAY(draft->arena, uint8_t, hypotheses);
        for (uint32_t h = 0; h < hypotheses; h++)
            narrow[h] = (uint8_t)draft->profile_of[h];
        column->narrow = narrow;
    } else {
        uint16_t *wide = RUSH_ARRAY(draft->arena, uint16_t, hypotheses);
        memcpy(wide, draft->profile_of, hypotheses * sizeof *wide);
        column->wide = wide;
    }
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
        share[f] = log(key->forms[f].share);
        prior[f] = share[f] + log(key->taxa[key->forms[f].taxon].occurrence);
    }
    key->model.log_prior = prior;
    key->model.log_share = share;
}

bool rush_model_compile(rush_key *key, rush_arena *arena)
{
    find_unlisted(key, arena);
    find_priors(key, arena);
    uint32_t most = key->model.hypothesis_count + key->taxon_count + 2;
    column_draft draft = {.key = key,
                          .arena = arena,
                          .profile_of = RUSH_ARRAY(arena, uint16_t, key->model.hypothesis_count),
                          .scored = RUSH_ARRAY(arena, bool, key->form_count),
                          .mixture_of = RUSH_ARRAY(arena, uint32_t, key->taxon_count),
                          .gathered = RUSH_ARRAY(arena, double, most),
                          .touched = RUSH_ARRAY(arena, uint32_t, most)};
    rush_column *columns = RUSH_ARRAY(arena, rush_column, key->character_count);
    uint32_t set_words = (key->leaf_count + 63) / 64;
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        bool bare_form = c == RUSH_FORM_CHARACTER && !character->state_count;
        if (character->kind == RUSH_KIND_TAXON || bare_form)
            continue;
        draft.character = c;
        forget(&draft);
        give_profiles(&draft);
        if (draft.profiles.count > PROFILES_MAX)
            return false;
        finish_column(&draft, &columns[c]);
        if (columns[c].set_words > set_words)
            set_words = columns[c].set_words;
    }
    key->model.columns = columns;
    key->model.set_words = set_words;
    return true;
}
