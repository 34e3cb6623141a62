/* An entry of a sighting: `name: value`, wherever it was written, or a bare answer.
 *
 * Layer: sighting. Observation lines, rows of CSV and JSON objects are cut into entries, each in its own file
 * (line.c, row.c, object.c); what an entry means is found out here, the same for all of them. */
#ifndef RUSH_SIGHTING_ENTRY_H
#define RUSH_SIGHTING_ENTRY_H

#include "diagnostic/diagnostic.h"
#include "sighting/sighting.h"

/* One line, row or object while it is read. */
typedef struct rush_entry_reader {
    rush_sighting *sighting;
    const rush_line *line;
    rush_source source;
    rush_diagnostics *list;
    rush_span degrees; /* the name of the latitude or the longitude */
    rush_span date;    /* the record's */
    size_t
        fault; /* where a text that will not do goes wrong; what is whole before it can be read */
    bool in_line; /* an observation line, with its own punctuation */
    bool plain;   /* one line of ASCII */
    bool good;
} rush_entry_reader;

/* Both texts borrow: from the source where they stand in it as they are, else from the sighting's `unquoted`
 * or from what the caller keeps until the entry is taken. */
typedef struct rush_entry {
    rush_text name; /* empty: bare */
    rush_text value;
    rush_span name_span, value_span;
    rush_text said; /* as it is written, name and all; empty: it is not to be known again */
    bool broken;    /* reported already: not to be taken */
} rush_entry;

/* What a name stands for. */
typedef enum rush_target_kind {
    RUSH_TARGET_UNKNOWN,
    RUSH_TARGET_FIELD, /* of the record: `which` is a rush_record_field */
    RUSH_TARGET_DEGREES, /* half of its coordinates: `which` is 0 for the latitude, 1 for the longitude */
    RUSH_TARGET_CHARACTER, /* the first of `characters` that knows the answer */
} rush_target_kind;

enum { RUSH_TARGET_CHARACTERS = 1 + RUSH_SCOPE_STATES - RUSH_SCOPE_SHARED };

typedef struct rush_target {
    rush_target_kind kind;
    uint32_t which;
    uint32_t characters[RUSH_TARGET_CHARACTERS];
    uint32_t character_count;
} rush_target;

/* field.c: a field of the record by its own name, else a character by any of its names, else a field by its
 * Darwin Core term. */
rush_target rush_target_of(const rush_key *key, rush_text name);

bool rush_target_is_id(const rush_target *target);
bool rush_target_is_latitude(const rush_target *target);
/* `long`, which is a longitude beside a latitude, whatever else the key calls so. */
bool rush_name_is_long(rush_text name);
rush_target rush_target_longitude(void);

/* Empties the sighting; false when the text as a whole will not do. A text of several lines is a row of CSV. */
bool rush_entries_begin(rush_entry_reader *reader, rush_sighting *sighting, const rush_line *line,
                        rush_diagnostics *list);
/* `target` is that of the entry's name; of a bare answer it is not looked at. */
/* Takes an entry that an earlier line had in the same words; false when none had. */
bool rush_entry_take_known(rush_entry_reader *reader, const rush_entry *entry);
void rush_entry_take(rush_entry_reader *reader, const rush_entry *entry,
                     const rush_target *target);
/* Adds what follows from elsewhere; whether the sighting is good. */
bool rush_entries_end(rush_entry_reader *reader);

/* Whether an answer begins as a denial, and no character of the target has it for a name ("not present"); `rest` is
 * then what it denies. */
bool rush_target_denies(const rush_entry_reader *reader, const rush_target *target,
                        rush_text answer, rush_text *rest);

rush_diagnostic *rush_entry_complain(rush_entry_reader *reader, rush_slug slug, rush_span span,
                                     const char *format, ...) RUSH_FORMAT(4, 5);
/* Says that nothing is called so, and what is nearest. */
void rush_entry_refuse_name(rush_entry_reader *reader, const rush_entry *entry);

/* field.c, for entry.c. */
void rush_field_take(rush_entry_reader *reader, const rush_entry *entry,
                     const rush_target *target);
/* Makes coordinates of latitude and longitude. */
void rush_field_join_degrees(rush_entry_reader *reader);
/* Offers the names of the fields. */
void rush_field_offer(rush_nearest *nearest);

#endif
