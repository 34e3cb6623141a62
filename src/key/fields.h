/* Reading fields by table: what a mapping may hold, and where each value goes.
 *
 * Layer: key. */
#ifndef RUSH_KEY_FIELDS_H
#define RUSH_KEY_FIELDS_H

#include "key/load.h"

typedef enum rush_field_kind {
    RUSH_FIELD_STRING, /* const char * */
    RUSH_FIELD_WORDS,  /* rush_words */
    RUSH_FIELD_ALSO,   /* rush_also */
    RUSH_FIELD_NUMBER, /* double, from low to high */
    RUSH_FIELD_FLAG,   /* bool */
    RUSH_FIELD_CHOICE, /* int: the index in `choices`, which NULL ends */
    RUSH_FIELD_SOURCE, /* uint32_t: a source of the key */
    RUSH_FIELD_NODE,   /* rush_node: kept for later */
    RUSH_FIELD_PASSED  /* read elsewhere */
} rush_field_kind;

typedef struct rush_field {
    const char *name;
    rush_field_kind kind;
    size_t offset; /* in the target */
    double low, high;
    const char *const *choices;
} rush_field;

/* Reads each field of `mapping` into `target`. `of` names the thing in messages: "a character". */
void rush_fields_read(rush_loader *loader, rush_node mapping, const rush_field *fields,
                      size_t count, const char *of, void *target);

/* The value of one field, or a node that is not (rush_node_is). */
rush_node rush_field_find(rush_node mapping, const char *name);

/* Whether a field is wanting; not when it stands there misspelled, or may have been lost. */
bool rush_field_missing(rush_node mapping, const char *name);

/* Single values. Each reports what is wrong; false then. */
bool rush_value_string(rush_loader *loader, rush_node node, const char **string);
bool rush_value_number(rush_loader *loader, rush_node node, double low, double high,
                       double *number);
bool rush_value_choice(rush_loader *loader, rush_node node, const char *const *choices,
                       int *choice);
bool rush_value_source(rush_loader *loader, rush_node node, uint32_t *source);
/* A taxon of the key; `otherwise` helps when no name is near. */
bool rush_value_taxon(rush_loader *loader, rush_node node, const char *otherwise,
                      uint32_t *taxon);
bool rush_value_words(rush_loader *loader, rush_node node, rush_words *words);
bool rush_value_also(rush_loader *loader, rush_node node, rush_also *also);
/* Line art within so many rows and columns. */
bool rush_value_drawing(rush_loader *loader, rush_node node, size_t rows, size_t columns,
                        const char **drawing);

/* The diagnostic of a node, and of one that should have been `wanted`, as in "a list". */
rush_diagnostic *rush_node_diagnose(rush_loader *loader, rush_node node, rush_slug slug,
                                    const char *format, ...) RUSH_FORMAT(4, 5);
/* The same of a piece of a scalar's text, marked alone when the text stands in the file as it is. */
rush_diagnostic *rush_piece_diagnose(rush_loader *loader, rush_node node, rush_text piece,
                                     rush_slug slug, const char *format, ...) RUSH_FORMAT(5, 6);
/* The same of a name that nothing in a scope has. Only its first place is told, with a count of the others
 * (rush_unknown_names_told); none when it may stand in what could not be read: NULL then. */
rush_diagnostic *rush_unknown_name(rush_loader *loader, rush_node node, uint32_t scope,
                                   const rush_nearest *nearest, const char *format, ...)
    RUSH_FORMAT(5, 6);
/* The only name that is near to one that is none, in its scope, so that nothing follows from the mistake:
 * RUSH_NONE when there is no such. */
uint32_t rush_meant_name(rush_loader *loader, uint32_t scope, const rush_nearest *nearest);
/* Faults so far that have lost something. */
size_t rush_losses(const rush_loader *loader);
/* Once all is read. */
void rush_unknown_names_told(rush_loader *loader);
void rush_node_wrong_shape(rush_loader *loader, rush_node node, const char *wanted);
rush_mark rush_node_mark(rush_node node);

#define RUSH_COUNT(array) (sizeof(array) / sizeof *(array))

#endif
