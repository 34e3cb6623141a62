/* Where the parts of a key were authored, for whoever finds something wrong with them.
 *
 * Layer: key. Looked up in the trees that the key was read from, when a finding needs it: the key keeps
 * no places of single traits. Where a part has no place of its own, that of what it belongs to. */
#ifndef RUSH_KEY_PLACE_H
#define RUSH_KEY_PLACE_H

#include "key/key.h"

/* A field of the key itself, as in "unlisted"; without it, that of `key:`. */
rush_mark rush_place_header(const rush_key *key, const char *field);
/* A character; with a field, as in "misread", its value. A character that every key has may have none:
 * then source is NULL. */
rush_mark rush_place_character(const rush_key *key, uint32_t character, const char *field);
/* What a word for a number means. */
rush_mark rush_place_word(const rush_key *key, uint32_t character, const char *word);
rush_mark rush_place_state(const rush_key *key, uint32_t character, uint32_t state);
rush_mark rush_place_taxon(const rush_key *key, uint32_t taxon, const char *field);
rush_mark rush_place_form(const rush_key *key, uint32_t form);
/* The value of a taxon's own trait; with a form (not RUSH_NONE) that form's own. */
rush_mark rush_place_trait(const rush_key *key, uint32_t taxon, uint32_t form,
                           uint32_t character);
rush_mark rush_place_source(const rush_key *key, uint32_t source);

#endif
