#include "key/without.h"

#include <stdlib.h>
#include <string.h>

#include "key/span.h"

typedef struct key_draft {
    rush_key *key; /* the new one */
    const rush_key *old;
    uint32_t taxon, character; /* what to leave out; of a whole taxon no character */
    uint32_t *taxa;
    rush_arena scratch;
    bool good;
} key_draft;

static void find_spans(rush_key *key)
{
    rush_character *characters = RUSH_ARRAY(&key->arena, rush_character, key->character_count);
    memcpy(characters, key->characters, key->character_count * sizeof *characters);
    rush_spans_begin(characters, key->character_count);
    for (uint32_t i = 0; i < key->taxon_count; i++)
        rush_spans_widen(characters, key->taxa[i].traits, key->taxa[i].trait_count);
    for (uint32_t i = 0; i < key->form_count; i++)
        rush_spans_widen(characters, key->forms[i].traits, key->forms[i].trait_count);
    rush_spans_end(characters, key->character_count);
    key->characters = characters;
}

/* ---- a trait -------------------------------------------------------------------------------------- */

/* The traits but the blank one's; `marked`: with a word in its place that it is unknown. */
static const rush_trait *const *blank_out(const key_draft *draft, const rush_trait *const *traits,
                                          uint32_t *count, bool marked)
{
    rush_arena *arena = &draft->key->arena;
    const rush_trait **kept = RUSH_ARRAY(arena, const rush_trait *, *count + 1);
    uint32_t at = 0;
    for (uint32_t i = 0; i <= *count; i++) {
        if (marked && (i == *count || traits[i]->character >= draft->character)) {
            rush_trait *unknown = RUSH_NEW(arena, rush_trait);
            unknown->character = draft->character;
            unknown->number = draft->key->trait_count - 1;
            unknown->backing.source = RUSH_NONE;
            kept[at++] = unknown;
            marked = false;
        }
        if (i < *count && traits[i]->character != draft->character)
            kept[at++] = traits[i];
    }
    *count = at;
    return kept;
}

static void drop_trait(void *with)
{
    key_draft *draft = with;
    rush_key *key = draft->key;
    rush_taxon *taxa = RUSH_ARRAY(&key->arena, rush_taxon, key->taxon_count);
    rush_form *forms = RUSH_ARRAY(&key->arena, rush_form, key->form_count);
    key->trait_count++; /* the one that is unknown */
    memcpy(taxa, key->taxa, key->taxon_count * sizeof *taxa);
    memcpy(forms, key->forms, key->form_count * sizeof *forms);
    for (uint32_t t = 0; t < key->taxon_count; t++)
        if (rush_key_within(draft->old, t, draft->taxon))
            taxa[t].traits =
                blank_out(draft, taxa[t].traits, &taxa[t].trait_count, t == draft->taxon);
    for (uint32_t f = 0; f < key->form_count; f++)
        if (rush_key_within(draft->old, forms[f].taxon, draft->taxon))
            forms[f].traits = blank_out(draft, forms[f].traits, &forms[f].trait_count, false);
    key->taxa = taxa;
    key->forms = forms;
    find_spans(key);
    draft->scratch.escape = key->arena.escape;
    draft->good = rush_model_compile(key, &key->arena, &draft->scratch);
}

/* ---- a taxon -------------------------------------------------------------------------------------- */

/* Numbers the taxa that stay; `fresh` gets the new number of each old one, RUSH_NONE for those that go. */
static uint32_t renumber(const key_draft *draft, uint32_t *fresh)
{
    const rush_key *old = draft->old;
    uint32_t count = 0;
    for (uint32_t t = 0; t < old->taxon_count; t++) {
        bool goes = old->taxa[t].leaf_count == 1 && rush_key_within(old, draft->taxon, t);
        fresh[t] = goes ? RUSH_NONE : count;
        if (!goes)
            draft->taxa[count++] = t;
    }
    return count;
}

static void take_taxa(const key_draft *draft, const uint32_t *fresh)
{
    rush_key *key = draft->key;
    const rush_taxon *gone = &draft->old->taxa[draft->taxon];
    rush_taxon *taxa = RUSH_ARRAY(&key->arena, rush_taxon, key->taxon_count);
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        taxa[t] = draft->old->taxa[draft->taxa[t]];
        if (rush_key_within(draft->old, draft->taxon, draft->taxa[t])) {
            taxa[t].leaf_count -= 1;
            taxa[t].form_count -= gone->form_count;
        }
        taxa[t].first_leaf -= taxa[t].first_leaf > gone->first_leaf;
        taxa[t].first_form -= taxa[t].first_form > gone->first_form ? gone->form_count : 0;
        if (taxa[t].parent != RUSH_NONE)
            taxa[t].parent = fresh[taxa[t].parent];
    }
    key->taxa = taxa;
}

static void drop_taxon(void *with)
{
    key_draft *draft = with;
    rush_key *key = draft->key;
    const rush_key *old = draft->old;
    const rush_taxon *gone = &old->taxa[draft->taxon];
    uint32_t *fresh = RUSH_ARRAY(&key->arena, uint32_t, old->taxon_count);
    uint32_t *leaves = RUSH_ARRAY(&key->arena, uint32_t, old->leaf_count);
    rush_form *forms = RUSH_ARRAY(&key->arena, rush_form, old->form_count);
    key->taxon_count = renumber(draft, fresh);
    take_taxa(draft, fresh);
    key->leaf_count = key->form_count = 0;
    for (uint32_t i = 0; i < old->leaf_count; i++)
        if (i != gone->first_leaf)
            leaves[key->leaf_count++] = fresh[old->leaves[i]];
    for (uint32_t f = 0; f < old->form_count; f++) {
        if (old->forms[f].taxon == draft->taxon)
            continue;
        forms[key->form_count] = old->forms[f];
        forms[key->form_count++].taxon = fresh[old->forms[f].taxon];
    }
    key->leaves = leaves;
    key->forms = forms;
    find_spans(key);
    draft->scratch.escape = key->arena.escape;
    draft->good = rush_model_compile(key, &key->arena, &draft->scratch);
}

/* ---- both ----------------------------------------------------------------------------------------- */

static rush_key *make(key_draft *draft, void (*drop)(void *with))
{
    rush_key *key = malloc(sizeof *key);
    if (!key)
        return NULL;
    *key = *draft->old;
    key->arena = (rush_arena){0};
    key->files = NULL; /* these stay the old one's */
    key->figure_files = NULL;
    key->sighting_count = 0;
    key->sightings = NULL;
    draft->key = key;
    bool whole = rush_arena_guard(&key->arena, drop, draft) && draft->good;
    rush_arena_free(&draft->scratch);
    if (whole)
        return key;
    rush_key_free(key);
    return NULL;
}

rush_key *rush_key_without_taxon(const rush_key *key, uint32_t leaf, uint32_t *taxa)
{
    key_draft draft = {.old = key, .taxon = leaf, .taxa = taxa};
    return key->leaf_count > 1 ? make(&draft, drop_taxon) : NULL;
}

rush_key *rush_key_without_trait(const rush_key *key, uint32_t taxon, uint32_t character)
{
    key_draft draft = {.old = key, .taxon = taxon, .character = character};
    return make(&draft, drop_trait);
}
