/* A command: one file, one of these.
 *
 * The option table parses, checks, prints the help with the real defaults, and suggests. */
#ifndef RUSH_CLI_COMMAND_H
#define RUSH_CLI_COMMAND_H

#include "rushlight/rushlight.h"

/* The same in every command. */
enum { EXIT_DONE, EXIT_WRONG_INPUT, EXIT_USAGE, EXIT_KEY, EXIT_FAULT };

typedef enum option_kind {
    OPTION_FLAG,   /* bool */
    OPTION_STRING, /* const char * */
    OPTION_NUMBER, /* double, from low to high */
    OPTION_WHOLE,  /* uint32_t, from low to high */
    OPTION_CHOICE, /* int: the index in `choices` */
    OPTION_LISTED  /* option_list: given any number of times; options may share one list */
} option_kind;

/* What was given, in its order. */
enum { OPTIONS_LISTED_MAX = 256 };
typedef struct option_list {
    struct {
        const char *option, *value;
    } items[OPTIONS_LISTED_MAX];
    uint32_t count;
} option_list;

typedef struct rush_option {
    const char *name; /* without the dashes */
    option_kind kind;
    size_t offset;        /* in the command's settings */
    const char *argument; /* what the help calls its value */
    const char *help;
    double low, high;
    const char *const *choices; /* ended by NULL */
} rush_option;

typedef struct rush_command {
    const char *name, *summary;
    const char *operands; /* as in "[FILE...]" */
    const char *examples; /* whole lines */
    const char *more;     /* said below the options, or NULL */
    const rush_option *options;
    size_t option_count;
    const void *defaults; /* settings before any option */
    size_t settings_size;
    int (*run)(const void *settings, char **operands, int count);
    /* Instead of `run`, of a command that takes no operands and works with one key: */
    int (*work)(const rush_key *key, const void *settings);
    size_t key_offset; /* of the key's name, in the settings */
    bool drawn;        /* its drawings are wanted */
} rush_command;

extern const rush_command command_ask, command_rank, command_check, command_changes,
    command_about, command_sow;
extern const rush_command command_trial, command_apart, command_couplets, command_sheet,
    command_drill;

/* commands.c. Every command, in the order of the help; NULL ends them. */
extern const rush_command *const commands[];

/* options.c. Parses the words behind the command's name into a copy of its defaults and runs it, or
 * prints its help. */
int command_run(const rush_command *command, char **words, int count);
void command_help(const rush_command *command, rush_buffer *buffer);
/* Writes what holds without the option; false when the help of the option says it itself. */
bool option_default(const rush_option *option, const void *defaults, rush_buffer *buffer);

#define COUNT(array) (sizeof(array) / sizeof *(array))

#endif
