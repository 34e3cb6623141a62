/* What a recorder tells on the command line, the same in each command that makes records.
 *
 * When, where and who are fields of the sighting (record_fields), so that the date gives the month and a
 * line's own fields win. The rest shapes the record (record_draft_of). */
#ifndef RUSH_CLI_RECORD_OPTIONS_H
#define RUSH_CLI_RECORD_OPTIONS_H

#include "record_stamp.h"
#include "rushlight/rushlight.h"

typedef struct record_settings {
    const char *date, *place, *coordinates, *uncertainty, *recorder; /* fields of the sighting */
    const char *identified_by, *date_identified, *status;
    uint32_t blur;
    bool keep_place;
} record_settings;

/* Rows for a command's option table: `member` of its settings `type` is a record_settings; `unless` (a
 * literal) says what holds without --date. */
#define RECORD_OPTIONS(type, member, unless)                                                     \
    {"date",                                                                                     \
     OPTION_STRING,                                                                              \
     offsetof(type, member.date),                                                                \
     "DATE",                                                                                     \
     "when it was seen, as in 2026-06-14; it gives the month;\n"                                 \
     "                          " unless,                                                        \
     0,                                                                                          \
     0,                                                                                          \
     NULL},                                                                                      \
        {"place",                                                                                \
         OPTION_STRING,                                                                          \
         offsetof(type, member.place),                                                           \
         "TEXT",                                                                                 \
         "where it was seen, in words",                                                          \
         0,                                                                                      \
         0,                                                                                      \
         NULL},                                                                                  \
        {"coordinates",                                                                          \
         OPTION_STRING,                                                                          \
         offsetof(type, member.coordinates),                                                     \
         "TEXT",                                                                                 \
         "decimal degrees (52.65798, 1.71605) or a grid reference\n"                             \
         "                          (TG 514 131)",                                               \
         0,                                                                                      \
         0,                                                                                      \
         NULL},                                                                                  \
        {"uncertainty",                                                                          \
         OPTION_STRING,                                                                          \
         offsetof(type, member.uncertainty),                                                     \
         "METRES",                                                                               \
         "a radius that holds the whole place",                                                  \
         0,                                                                                      \
         0,                                                                                      \
         NULL},                                                                                  \
        {"recorder",                                                                             \
         OPTION_STRING,                                                                          \
         offsetof(type, member.recorder),                                                        \
         "NAME",                                                                                 \
         "who saw it; several with ' | ' between",                                               \
         0,                                                                                      \
         0,                                                                                      \
         NULL},                                                                                  \
        {"identified-by",                                                                        \
         OPTION_STRING,                                                                          \
         offsetof(type, member.identified_by),                                                   \
         "NAME",                                                                                 \
         "who named it; unless told the recorder with this program",                             \
         0,                                                                                      \
         0,                                                                                      \
         NULL},                                                                                  \
        {"date-identified",                                                                      \
         OPTION_STRING,                                                                          \
         offsetof(type, member.date_identified),                                                 \
         "DATE",                                                                                 \
         "when it was named; today unless told",                                                 \
         0,                                                                                      \
         0,                                                                                      \
         NULL},                                                                                  \
        {"blur",                                                                                 \
         OPTION_WHOLE,                                                                           \
         offsetof(type, member.blur),                                                            \
         "METRES",                                                                               \
         "coordinates no finer than a grid of so many metres; place\n"                           \
         "                          and notes are then left out; 0: as they are",                \
         0,                                                                                      \
         100000,                                                                                 \
         NULL},                                                                                  \
        {"keep-place",                                                                           \
         OPTION_FLAG,                                                                            \
         offsetof(type, member.keep_place),                                                      \
         NULL,                                                                                   \
         "place and notes stay although coordinates are blurred",                                \
         0,                                                                                      \
         0,                                                                                      \
         NULL},                                                                                  \
    {                                                                                            \
        "occurrence-status", OPTION_STRING, offsetof(type, member.status), "WORD",               \
            "detected unless told (absent for a count of 0); some\n"                             \
            "                          readers of records still want present",                   \
            0, 0, NULL                                                                           \
    }

/* Puts --date, --place, --coordinates, --uncertainty and --recorder into the fields that hold unless a
 * line says them, where they beat those of --set; *set is made when it is NULL and there are any. False,
 * and said on standard error, when one cannot be read. */
bool record_fields(const rush_key *key, const record_settings *settings, rush_sighting **set);

/* Whether an option is given that only shapes records. */
bool record_shaped(const record_settings *settings);

/* A record about to be written; its texts lie in it, in the settings and in the sighting. */
typedef struct record_draft {
    rush_record record;
    char uuid[UUID_TEXT], today[DATE_TEXT];
} record_draft;

/* The sighting's own id is the record's when it is unique in the world. False, and said on standard
 * error, when the system gives no random numbers or no date. */
bool record_draft_of(record_draft *draft, const record_settings *settings,
                     const rush_sighting *sighting);

/* Which of what, where, when and who a record of this sighting would lack: RUSH_MISSING_ bits. */
unsigned record_lacks(const rush_result *result, const record_settings *settings);

/* Appends one occurrence to a file of records, unless nothing of the insect was answered. `said` gets lines
 * for the person: what was kept, and what the record lacks; or why nothing was. False when it failed. */
bool record_keep(const char *file, const rush_result *result, const record_settings *settings,
                 rush_buffer *said);

#endif
