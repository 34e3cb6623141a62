/* The options that choose a part of a key, the same in each command. */
#ifndef RUSH_CLI_PART_OPTIONS_H
#define RUSH_CLI_PART_OPTIONS_H

#include "rushlight/rushlight.h"

typedef struct part_settings {
    const char *where, *within, *occurrence, *taxa;
} part_settings;

/* Rows for a command's option table: `member` of its settings `type` is a part_settings. */
#define PART_OPTIONS(type, member)                                                               \
    {"where",                                                                                    \
     OPTION_STRING,                                                                              \
     offsetof(type, member.where),                                                               \
     "LINE",                                                                                     \
     "only what suits these settings and can show these marks:\n"                                \
     "                          \"habitat: garden pond; month: July\"",                          \
     0,                                                                                          \
     0,                                                                                          \
     NULL},                                                                                      \
        {"within",                                                                               \
         OPTION_STRING,                                                                          \
         offsetof(type, member.within),                                                          \
         "TAXA",                                                                                 \
         "only what stands within these, of any rank: \"Zygoptera\"",                            \
         0,                                                                                      \
         0,                                                                                      \
         NULL},                                                                                  \
        {"occurrence",                                                                           \
         OPTION_STRING,                                                                          \
         offsetof(type, member.occurrence),                                                      \
         "WORD",                                                                                 \
         "only what is met at least this often, as in common",                                   \
         0,                                                                                      \
         0,                                                                                      \
         NULL},                                                                                  \
    {                                                                                            \
        "taxa", OPTION_STRING, offsetof(type, member.taxa), "FILE",                              \
            "only the taxa that a file lists, one name a line", 0, 0, NULL                       \
    }

/* The part that the options choose; *part is NULL when none of them is given. False, and said on standard
 * error, when there is no part: *status is then the exit status. When a name of the file is unknown that
 * is said, *status becomes EXIT_WRONG_INPUT, and the rest goes on. */
bool part_of_options(const rush_key *key, const part_settings *settings, uint32_t language,
                     const rush_part **part, int *status);
/* The same, but the whole key when none is given. */
bool part_or_whole(const rush_key *key, const part_settings *settings, uint32_t language,
                   const rush_part **part, int *status);

#endif
