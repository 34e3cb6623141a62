#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "output.h"
#include "command.h"
#include "input.h"

/* ---- help --------------------------------------------------------------------------------------- */

bool option_default(const rush_option *option, const void *defaults, rush_buffer *buffer)
{
    const char *at = (const char *)defaults + option->offset;
    switch (option->kind) {
    case OPTION_NUMBER:
        rush_buffer_number(buffer, *(const double *)at, 6);
        return true;
    case OPTION_WHOLE:
        rush_buffer_format(buffer, "%u", *(const uint32_t *)at);
        return true;
    case OPTION_CHOICE:
        rush_buffer_string(buffer, option->choices[*(const int *)at]);
        return true;
    default:
        return false;
    }
}

static void write_option(const rush_option *option, const void *defaults, rush_buffer *buffer)
{
    enum { HELP_COLUMN = 26 };
    size_t start = buffer->length;
    rush_buffer_format(buffer, "  --%s", option->name);
    if (option->kind == OPTION_CHOICE)
        for (int i = 0; option->choices[i]; i++)
            rush_buffer_format(buffer, "%c%s", i ? '|' : ' ', option->choices[i]);
    else if (option->argument)
        rush_buffer_format(buffer, " %s", option->argument);
    size_t width = buffer->length - start;
    if (width >= HELP_COLUMN) {
        rush_buffer_byte(buffer, '\n');
        width = 0;
    }
    rush_buffer_fill(buffer, ' ', HELP_COLUMN - width);
    rush_buffer_string(buffer, option->help);
    rush_buffer value = {0};
    if (option_default(option, defaults, &value))
        rush_buffer_format(buffer, " [%s]", value.failed ? "" : value.bytes);
    rush_buffer_free(&value);
    rush_buffer_byte(buffer, '\n');
}

void command_help(const rush_command *command, rush_buffer *buffer)
{
    rush_buffer_format(
        buffer, "rushlight %s: %s\n\nExamples:\n%s\nUsage: rushlight %s [OPTION...] %s\n",
        command->name, command->summary, command->examples, command->name, command->operands);
    rush_buffer_string(buffer, "\nOptions:\n");
    for (size_t i = 0; i < command->option_count; i++)
        write_option(&command->options[i], command->defaults, buffer);
    rush_buffer_string(buffer, "  --help                  this help\n");
    if (command->more)
        rush_buffer_format(buffer, "\n%s", command->more);
    rush_buffer_string(
        buffer, "\nExit status: 0 done; 1 done, with something wrong in the input; 2 usage;\n"
                "3 a key that cannot be read or is invalid; 4 output failed or a fault.\n");
}

/* ---- parsing ------------------------------------------------------------------------------------ */

static int usage_error(const rush_command *command, const char *problem, const char *word,
                       const char *suggestion)
{
    rush_buffer message = {0};
    rush_buffer_format(&message, "rushlight %s: %s '", command->name, problem);
    rush_buffer_safe(&message, rush_text_of(word));
    rush_buffer_byte(&message, '\'');
    if (suggestion)
        rush_buffer_format(&message, "; did you mean '--%s'?", suggestion);
    rush_buffer_format(&message, "\nsee rushlight %s --help\n", command->name);
    output_error(&message);
    rush_buffer_free(&message);
    return EXIT_USAGE;
}

static bool read_number(const rush_option *option, const char *value, double *number)
{
    return rush_text_number(rush_text_of(value), number) && *number >= option->low &&
           *number <= option->high;
}

/* Puts a value into the settings; false when it will not do. */
static bool set_option(const rush_option *option, const char *value, void *settings)
{
    char *at = (char *)settings + option->offset;
    double number;
    switch (option->kind) {
    case OPTION_FLAG:
        *(bool *)at = true;
        return true;
    case OPTION_STRING:
        *(const char **)at = value;
        return true;
    case OPTION_NUMBER:
        return read_number(option, value, (double *)at);
    case OPTION_WHOLE:
        if (!read_number(option, value, &number) || number != (double)(uint32_t)number)
            return false;
        *(uint32_t *)at = (uint32_t)number;
        return true;
    case OPTION_LISTED: {
        option_list *list = (option_list *)at;
        if (list->count == OPTIONS_LISTED_MAX)
            return false;
        list->items[list->count].option = option->name;
        list->items[list->count++].value = value;
        return true;
    }
    case OPTION_CHOICE:
        for (int i = 0; option->choices[i]; i++)
            if (strcmp(option->choices[i], value) == 0) {
                *(int *)at = i;
                return true;
            }
        return false;
    }
    return false;
}

static const rush_option *find_option(const rush_command *command, const char *name,
                                      size_t length)
{
    for (size_t i = 0; i < command->option_count; i++)
        if (strlen(command->options[i].name) == length &&
            memcmp(command->options[i].name, name, length) == 0)
            return &command->options[i];
    return NULL;
}

static const char *nearest_option(const rush_command *command, const char *name, size_t length)
{
    const char *names[32] = {0};
    for (size_t i = 0; i < command->option_count && i + 1 < COUNT(names); i++)
        names[i] = command->options[i].name;
    return rush_text_nearest((rush_text){name, length}, names);
}

/* What an option's value must be. */
static void write_range(const rush_option *option, rush_buffer *buffer)
{
    if (option->kind == OPTION_LISTED) {
        rush_buffer_format(buffer, "at most %d values", OPTIONS_LISTED_MAX);
        return;
    }
    if (option->kind == OPTION_CHOICE) {
        rush_buffer_string(buffer, "one of");
        for (int i = 0; option->choices[i]; i++)
            rush_buffer_format(buffer, " %s", option->choices[i]);
        return;
    }
    rush_buffer_string(buffer,
                       option->kind == OPTION_WHOLE ? "a whole number from " : "a number from ");
    rush_buffer_number(buffer, option->low, 6);
    if (option->high < 1e9) {
        rush_buffer_string(buffer, " to ");
        rush_buffer_number(buffer, option->high, 6);
    }
}

/* Takes one option at words[*at], and its value from the next word when it is not joined by `=`. */
static int take_option(const rush_command *command, char **words, int count, int *at,
                       void *settings)
{
    const char *name = words[*at] + 2;
    size_t length = strcspn(name, "=");
    const rush_option *option = find_option(command, name, length);
    if (!option)
        return usage_error(command, "no such option", words[*at],
                           nearest_option(command, name, length));
    const char *value = name[length] ? name + length + 1 : NULL;
    if (option->kind == OPTION_FLAG && value)
        return usage_error(command, "this option takes no value:", words[*at], NULL);
    if (option->kind != OPTION_FLAG && !value) {
        if (*at + 1 >= count)
            return usage_error(command, "a value is missing behind", words[*at], NULL);
        value = words[++*at];
    }
    if (!set_option(option, value, settings)) {
        rush_buffer problem = {0};
        rush_buffer_format(&problem, "--%s takes ", option->name);
        write_range(option, &problem);
        rush_buffer_string(&problem, ", not");
        int status =
            usage_error(command, problem.failed ? "bad value" : problem.bytes, value, NULL);
        rush_buffer_free(&problem);
        return status;
    }
    return EXIT_DONE;
}

static int print_help(const rush_command *command)
{
    rush_buffer help = {0};
    command_help(command, &help);
    bool written = output_write(&help);
    rush_buffer_free(&help);
    return written ? EXIT_DONE : EXIT_FAULT;
}

static int refuse_word(const rush_command *command, const char *word)
{
    rush_buffer text = {0};
    rush_buffer_format(&text, "rushlight %s: it takes no '", command->name);
    rush_buffer_safe(&text, rush_text_of(word));
    rush_buffer_format(&text, "'; name a key with --key\nsee rushlight %s --help\n",
                       command->name);
    output_error(&text);
    rush_buffer_free(&text);
    return EXIT_USAGE;
}

static int work_with_key(const rush_command *command, const void *settings)
{
    const char *name = *(const char *const *)((const char *)settings + command->key_offset);
    int status;
    rush_key *key = command->drawn ? input_drawn_key_for_command(name, &status)
                                   : input_key_for_command(name, &status);
    if (!key)
        return status;
    status = command->work(key, settings);
    rush_key_free(key);
    return status;
}

static int do_it(const rush_command *command, const void *settings, char **words, int count)
{
    if (command->run)
        return command->run(settings, words, count);
    return count ? refuse_word(command, words[0]) : work_with_key(command, settings);
}

int command_run(const rush_command *command, char **words, int count)
{
    int operands = 0, status = EXIT_DONE;
    void *settings = malloc(command->settings_size);
    if (!settings)
        return EXIT_FAULT;
    memcpy(settings, command->defaults, command->settings_size);
    bool only_operands = false;
    for (int i = 0; i < count && status == EXIT_DONE; i++) {
        if (only_operands || words[i][0] != '-' || !words[i][1]) {
            words[operands++] = words[i];
        } else if (strcmp(words[i], "--") == 0) {
            only_operands = true;
        } else if (strcmp(words[i], "--help") == 0 || strcmp(words[i], "-h") == 0) {
            free(settings);
            return print_help(command);
        } else if (words[i][1] != '-') {
            status = usage_error(command, "no such option", words[i], NULL);
        } else {
            status = take_option(command, words, count, &i, settings);
        }
    }
    if (status == EXIT_DONE)
        status = do_it(command, settings, words, operands);
    free(settings);
    return status;
}
