/* The keys that are built into the program, as CMake's script embeds them: the first is the default. */
#ifndef RUSH_CLI_BUILT_IN_H
#define RUSH_CLI_BUILT_IN_H

#include <stddef.h>

typedef struct built_in_file {
    const char *name;
    const unsigned char *bytes;
    size_t size;
} built_in_file;

typedef struct built_in_key {
    const char *name;
    const built_in_file *files;
    size_t file_count;
} built_in_key;

extern const built_in_key built_in_keys[];
extern const size_t built_in_key_count;

#endif
