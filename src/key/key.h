/* The loaded key, for the library's own eyes.
 *
 * Layer: key. Everything in it lives in its arena; the texts of its files in their buffers. */
#ifndef RUSH_KEY_KEY_H
#define RUSH_KEY_KEY_H

#include "base/table.h"
#include "diagnostic/source.h"
#include "key/model.h"
#include "key/tree.h"
#include "rushlight/key.h"

struct rush_figure_file;

/* Where a thing was authored. */
typedef struct rush_mark {
    const rush_source *source;
    rush_span span;
} rush_mark;

typedef struct rush_key_file {
    rush_buffer text, tape;
    rush_source source;
    struct rush_key_file *next;
} rush_key_file;

/* Scopes of the table of names; those of a character's states come behind. */
enum {
    RUSH_SCOPE_CHARACTERS,
    RUSH_SCOPE_TAXA,
    RUSH_SCOPE_SOURCES,
    RUSH_SCOPE_TOPICS,
    RUSH_SCOPE_OCCURRENCES, /* of words, and of languages, only those that are not known */
    RUSH_SCOPE_LANGUAGES,
    RUSH_SCOPE_SHARED, /* and the next ones: a name that further characters have too */
    RUSH_SCOPE_STATES = RUSH_SCOPE_SHARED + 4
};

struct rush_key {
    rush_arena arena;
    rush_key_file *files; /* in the order of reading */
    struct rush_figure_file *figure_files;
    rush_key_header header;
    char digest[65]; /* of the files' texts, in hexadecimal */

    const rush_character *characters;
    const rush_taxon *taxa;
    const rush_form *forms; /* those of one taxon together, in the order of the leaves */
    const uint32_t *leaves;
    const rush_source_entry *sources;
    const rush_worked_sighting *sightings;
    uint32_t character_count, taxon_count, form_count, leaf_count, source_count, sighting_count;
    uint32_t trait_count; /* different ones */

    const rush_mark *character_marks, *taxon_marks, *sighting_marks;
    /* Where each was authored (place.h): names, of which the next node is the body. */
    const rush_node *character_nodes, *taxon_nodes, *source_nodes;
    rush_node root;
    /* Of a key that is only to be checked: something is wrong in it. */
    bool faulty;
    bool incomplete;       /* ... since a part of it could not be read */
    bool occurrences_lost; /* words for how often a taxon is met are wrong */
    bool sources_lost;     /* something rests on a source that it does not have */
    const bool
        *taxon_doubts;      /* by taxon: something in it, or in what it stands within, is wrong */
    const bool *taxon_lost; /* ... and that is more than traits that are marked as lost */
    const bool *character_doubts; /* by character: something in it, or a trait in it, is wrong */
    const bool *character_lost;   /* its states may not be all that were meant */
    rush_table names;             /* folded names by scope */
    rush_model model;
};

/* digest.c: once all files are read. */
void rush_key_take_digest(rush_key *key);
/* Looks a name up in a scope, folded as RUSH_FOLD_MAX has it. */
uint32_t rush_key_find(const rush_key *key, uint32_t scope, rush_text name);

#endif
