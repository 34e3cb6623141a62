/* A key less a taxon, or less a trait: what would it do if that were not in it?
 *
 * Layer: key. The new key borrows from the old one, which must outlive it, and is made anew only in what
 * differs: it is to be ranked with and advised on. It is not to be read with or reported on: it knows taxa
 * by no name, and has neither worked sightings nor places in a file. */
#ifndef RUSH_KEY_WITHOUT_H
#define RUSH_KEY_WITHOUT_H

#include "key/key.h"

/* Without a taxon that has no children, and without those around it that have no other. `taxa`, with room
 * for all of the old key's, gets the old number of each of the new key's. NULL when there is no memory, or
 * when no other taxon would be left. */
rush_key *rush_key_without_taxon(const rush_key *key, uint32_t leaf, uint32_t *taxa);

/* With a character unscored in a taxon, in all within it and in their forms. The numbers of taxa and forms
 * stay. NULL when there is no memory. */
rush_key *rush_key_without_trait(const rush_key *key, uint32_t taxon, uint32_t character);

#endif
