#include "key/key.h"

#include <stdlib.h>

#include "base/unicode.h"
#include "key/figure.h"

const char *rush_taxon_rank_name(rush_taxon_rank rank)
{
    static const char *const names[] = {
#define X(name, word) word,
        RUSH_TAXON_RANKS(X)
#undef X
    };
    return names[rank];
}

const char *rush_reach_name(rush_reach reach)
{
    static const char *const names[] = {"far", "near", "close", "hand"};
    return names[reach];
}

const char *rush_sex_name(rush_sex sex)
{
    static const char *const names[] = {"male", "female", "any"};
    return names[sex];
}

void rush_key_free(rush_key *key)
{
    if (!key)
        return;
    for (rush_key_file *file = key->files; file; file = file->next) {
        rush_buffer_free(&file->text);
        rush_buffer_free(&file->tape);
    }
    rush_figure_files_free(key->figure_files);
    rush_arena_free(&key->arena);
    free(key);
}

const rush_key_header *rush_key_about(const rush_key *key)
{
    return &key->header;
}

uint32_t rush_key_character_count(const rush_key *key)
{
    return key->character_count;
}

uint32_t rush_key_taxon_count(const rush_key *key)
{
    return key->taxon_count;
}

uint32_t rush_key_form_count(const rush_key *key)
{
    return key->form_count;
}

uint32_t rush_key_source_count(const rush_key *key)
{
    return key->source_count;
}

uint32_t rush_key_sighting_count(const rush_key *key)
{
    return key->sighting_count;
}

uint32_t rush_key_leaf_count(const rush_key *key)
{
    return key->leaf_count;
}

const rush_character *rush_key_character(const rush_key *key, uint32_t character)
{
    return &key->characters[character];
}

const rush_taxon *rush_key_taxon(const rush_key *key, uint32_t taxon)
{
    return &key->taxa[taxon];
}

const rush_form *rush_key_form(const rush_key *key, uint32_t form)
{
    return &key->forms[form];
}

const rush_source_entry *rush_key_source(const rush_key *key, uint32_t source)
{
    return &key->sources[source];
}

const rush_worked_sighting *rush_key_sighting(const rush_key *key, uint32_t sighting)
{
    return &key->sightings[sighting];
}

uint32_t rush_key_leaf(const rush_key *key, uint32_t at)
{
    return key->leaves[at];
}

bool rush_key_within(const rush_key *key, uint32_t taxon, uint32_t around)
{
    while (taxon != RUSH_NONE && taxon != around)
        taxon = key->taxa[taxon].parent;
    return taxon == around;
}

static const rush_trait *trait_among(const rush_trait *const *traits, uint32_t count,
                                     uint32_t character)
{
    for (uint32_t low = 0, high = count; low < high;) {
        uint32_t middle = low + (high - low) / 2;
        if (traits[middle]->character == character)
            return traits[middle];
        if (traits[middle]->character < character)
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

const rush_trait *rush_key_taxon_trait(const rush_key *key, uint32_t taxon, uint32_t character,
                                       uint32_t *from)
{
    for (; taxon != RUSH_NONE; taxon = key->taxa[taxon].parent) {
        const rush_taxon *here = &key->taxa[taxon];
        const rush_trait *trait = trait_among(here->traits, here->trait_count, character);
        if (trait) {
            if (from)
                *from = taxon;
            return trait;
        }
    }
    return NULL;
}

const rush_trait *rush_key_trait(const rush_key *key, uint32_t form, uint32_t character,
                                 uint32_t *from)
{
    const rush_form *here = &key->forms[form];
    const rush_trait *trait = trait_among(here->traits, here->trait_count, character);
    if (!trait)
        return rush_key_taxon_trait(key, here->taxon, character, from);
    if (from)
        *from = RUSH_NONE;
    return trait;
}

uint32_t rush_key_words_language(const rush_key *key, rush_words words, uint32_t language)
{
    if (!words.in)
        return RUSH_NONE;
    if (language < key->header.language_count && words.in[language])
        return language;
    for (uint32_t i = 0; i < key->header.language_count; i++)
        if (words.in[i])
            return i;
    return RUSH_NONE;
}

const char *rush_key_words(const rush_key *key, rush_words words, uint32_t language)
{
    uint32_t in = rush_key_words_language(key, words, language);
    return in == RUSH_NONE ? "" : words.in[in];
}

uint32_t rush_key_language(const rush_key *key, rush_text language)
{
    for (uint32_t i = 0; i < key->header.language_count; i++)
        if (rush_text_equal(language, rush_text_of(key->header.languages[i])))
            return i;
    return RUSH_NONE;
}

uint32_t rush_key_find(const rush_key *key, uint32_t scope, rush_text name)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, folded);
    uint32_t found;
    if (length == SIZE_MAX ||
        !rush_table_find(&key->names, scope, (rush_text){folded, length}, &found))
        return RUSH_NONE;
    return found;
}

uint32_t rush_key_find_character(const rush_key *key, rush_text name)
{
    return rush_key_find(key, RUSH_SCOPE_CHARACTERS, name);
}

uint32_t rush_key_find_state(const rush_key *key, uint32_t character, rush_text name)
{
    return rush_key_find(key, RUSH_SCOPE_STATES + character, name);
}

uint32_t rush_key_find_taxon(const rush_key *key, rush_text name)
{
    return rush_key_find(key, RUSH_SCOPE_TAXA, name);
}

uint32_t rush_key_find_topic(const rush_key *key, rush_text name)
{
    return rush_key_find(key, RUSH_SCOPE_TOPICS, name);
}
