/* Reading a key, step by step. Private to src/key.
 *
 * Layer: key. A loader gathers what the files say into growing lists, then hands them to the key.
 * Every function here may escape through the arena when there is no memory; faults go to the
 * diagnostics and the reading goes on, so that one run reports them all. */
#ifndef RUSH_KEY_LOAD_H
#define RUSH_KEY_LOAD_H

#include "diagnostic/diagnostic.h"
#include "key/key.h"
#include "key/share.h"
#include "key/tree.h"

/* What is kept of a character while its key is read. */
typedef struct rush_character_draft {
    rush_mark mark;
    rush_node name;
    bool doubtful; /* something in it is wrong */
    bool lost;     /* ... so that its states may not be all that were meant */
} rush_character_draft;

/* The traits of one taxon or form, by character. */
typedef struct rush_trait_list {
    const rush_trait **items;
    uint32_t count;
} rush_trait_list;

typedef struct rush_taxon_draft {
    rush_mark mark;
    rush_node name, body, within, forms;
    bool doubtful; /* something in it is wrong, */
    bool lost;     /* ... and that is more than some traits */
    bool rank_given;
    bool form_repeated; /* so that the shares may not be those that were meant */
    uint32_t first_child, last_child, next_sibling; /* RUSH_NONE: none */
    bool occurrence_given;
    RUSH_LIST(rush_form) form_list;
} rush_taxon_draft;

/* A name that the key uses and does not have. */
typedef struct rush_unknown {
    rush_diagnostic *told; /* or NULL */
    uint32_t places;
} rush_unknown;

/* What a key is loaded for. */
typedef enum rush_load_manner {
    RUSH_LOAD_WHOLE,
    RUSH_LOAD_UNDRAWN, /* without its drawings */
    RUSH_LOAD_TO_CHECK /* for rush_check: wanted with its places, and with faults too */
} rush_load_manner;

typedef struct rush_loader {
    rush_key *key;
    rush_arena *arena;
    rush_arena scratch; /* for what nothing needs once the key is linked */
    rush_diagnostics *list;
    const rush_key_files *files;

    rush_key_file *last_file;
    uint32_t file_count;
    RUSH_LIST(rush_tree) trees; /* the key's own first, then its parts */
    RUSH_LIST(rush_character) characters;
    RUSH_LIST(rush_character_draft) character_drafts;
    RUSH_LIST(rush_taxon) taxa;
    RUSH_LIST(rush_taxon_draft) taxon_drafts;
    RUSH_LIST(rush_source_entry) sources;
    RUSH_LIST(rush_node) source_nodes;
    RUSH_LIST(rush_worked_sighting) sightings;
    RUSH_LIST(rush_mark) sighting_marks;
    RUSH_LIST(rush_occurrence_word) occurrences;
    rush_table form_names; /* as written, in a scope for each taxon and sex */
    rush_table unknown;    /* names that nothing has: an index into `unknown_list` */
    RUSH_LIST(rush_unknown) unknown_list;
    rush_trait_pool traits;
    double
        *weights; /* of the trait that is read: one number a state, of the character with most */
    size_t recovered; /* faults that lost nothing, or nothing but what is marked as lost */
    rush_load_manner manner;
    bool incomplete;            /* a part of the key could not be read at all */
    RUSH_LIST(rush_mark) marks; /* where each name in key->names stands, by its order */
} rush_loader;

/* load.c: a file as diagnostics call it, beside the key file; NULL: that itself. */
const char *rush_shown_name(rush_loader *loader, const char *key_file, const char *part);
/* A plain file name: no folder, so that it stands beside the key. */
bool rush_beside_key(rush_text name);

/* The steps, in their order. */
void rush_load_header(rush_loader *loader);     /* header.c */
void rush_load_sources(rush_loader *loader);    /* header.c */
void rush_load_topics(rush_loader *loader);     /* header.c */
void rush_load_characters(rush_loader *loader); /* character.c */
void rush_load_taxa(rush_loader *loader);       /* taxon.c: taxa, traits, forms */
void rush_load_sightings(rush_loader *loader);  /* worked.c */
void rush_load_link(rush_loader *loader);       /* link.c: the tree, leaves, forms in order */

/* fields.c: a section of a file, such as `taxa`; one whose name is misspelled is told of elsewhere, and is
 * read as what it was probably meant to be, so that nothing more follows from it. */
rush_node rush_load_section(rush_loader *loader, uint32_t tree, const char *name);

/* trait.c: the traits of one taxon or form, sorted by character. `backing` serves those without a
 * source of their own. */
void rush_load_traits(rush_loader *loader, rush_node traits, rush_backing backing,
                      rush_trait_list *list);

/* names.c: gives a thing a name in a scope. When another thing of the scope has it, that is the
 * error `repeated-name` (or `slug`, when it is not that), told as "another WHAT is called 'name' too". */
void rush_load_name(rush_loader *loader, uint32_t scope, rush_text name, uint32_t thing,
                    rush_mark mark, rush_slug slug, const char *what);

/* How the names of a thing are given: WHAT they name, and what is wrong when they are taken. */
typedef struct rush_name_manner {
    const char *what;
    rush_slug slug;
    /* Says why a thing cannot be called so; it is known by the name all the same. NULL: it always can. */
    void (*judge)(rush_loader *loader, rush_node name);
    bool shared; /* further characters may have the name too: the answer then decides */
} rush_name_manner;

/* All the names in a value such as `label:` or `also:`, each at its own place; none when it is not there. */
void rush_load_names(rush_loader *loader, rush_node value, uint32_t scope, uint32_t thing,
                     const rush_name_manner *manner);

#endif
