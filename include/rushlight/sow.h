/* Keys and plain tables: a new key from a table, and any key written out as one.
 *
 * Layer: sow (above report). A table is comma-separated values (RFC 4180, and what spreadsheets make of it:
 * semicolons or tabs, a byte order mark, CR LF, decimal commas). A row is a taxon or a form of one. Columns
 * with these headers say what it is: `taxon`, `rank`, `within` (or a column for each rank: `family`, `genus`),
 * `sex`, `form`, `share`, `occurrence`, `vernacular` (`vernacular:nl`), `also`, `authority`, `caution`, `source`,
 * `note`. Every other column is a character, its unit or kind in brackets behind its name: `length (mm)`,
 * `ribs (count)`, `month (months)`, `habitat (setting)`, `2 (states)`; without them the cells decide. `X source`
 * and `X note` stand behind the traits of the column X. README.md says how cells are written.
 * A second table may say more of the characters: a row a `character`, or with its `state` filled in one of its states;
 * `label`, `ask`, `tip`, `includes` (each perhaps `:nl`), `also`, `states`, `confused`, `reach`, `effort`, `misread`,
 * `bare`, `look next`, `setting`, `measure`, `unit`, `reading error`, `resolution`, `words`, `sketch`.
 * Ownership: texts are borrowed during the call; the caller owns the buffer. */
#ifndef RUSHLIGHT_SOW_H
#define RUSHLIGHT_SOW_H

#include "rushlight/key.h"

typedef struct rush_table_text {
    const char *shown; /* what to call it in diagnostics; NULL: there is no such table */
    rush_text text;
} rush_table_text;

typedef struct rush_sowing {
    rush_table_text taxa, characters;
    const char *id;    /* the new key's `key:` */
    const char *title; /* or NULL */
} rush_sowing;

/* Appends the new key as YAML: one that loads. Each fault of the table is in the diagnostics at its cell, and
 * what the cell should have said is left out. False when there is no key to make of it. */
RUSH_PUBLIC bool rush_sow(const rush_sowing *sowing, rush_diagnostics *diagnostics,
                          rush_buffer *yaml);

/* Appends the taxa of a key, their forms and all their traits as such a table, from which rush_sow makes a key with
 * the same traits. Characters that no taxon shows, and what is said of characters beside their kind and unit, are not
 * in it. Neither table has the citations of sources, worked sightings, topics and the key's own header. */
RUSH_PUBLIC void rush_table_of_taxa(const rush_key *key, rush_buffer *csv);
/* Appends the second table: the characters in their order, with all that is said of them. */
RUSH_PUBLIC void rush_table_of_characters(const rush_key *key, rush_buffer *csv);

#endif
