/* Prints one of the papers: papers man|bash|zsh|fish. Run by the build. */
#include "papers.h"

#include <string.h>

#include "built_in.h"
#include "output.h"

/* ---- what the tables say ------------------------------------------------------------------------ */

static paper_value value_called(const char *argument)
{
    static const struct {
        const char *word;
        paper_value value;
    } words[] = {{"KEY", VALUE_KEY},
                 {"SLUG", VALUE_SLUG},
                 {"FILE", VALUE_FILE},
                 {"FOLDER", VALUE_FILE},
                 {"TABLE", VALUE_FILE}};
    for (size_t i = 0; i < COUNT(words); i++)
        if (argument && strstr(argument, words[i].word))
            return words[i].value;
    return VALUE_FREE;
}

paper_value paper_option_value(const rush_option *option)
{
    return option->kind == OPTION_CHOICE ? VALUE_CHOICE : value_called(option->argument);
}

paper_value paper_operand_value(const rush_command *command)
{
    return value_called(command->operands);
}

/* ---- lists of words ----------------------------------------------------------------------------- */

void paper_commands(rush_buffer *out)
{
    for (size_t i = 0; commands[i]; i++)
        rush_buffer_format(out, "%s%s", i ? " " : "", commands[i]->name);
}

void paper_options(const rush_command *command, rush_buffer *out)
{
    for (size_t i = 0; i < command->option_count; i++)
        rush_buffer_format(out, "--%s ", command->options[i].name);
    rush_buffer_string(out, "--help");
}

void paper_choices(const rush_option *option, rush_buffer *out)
{
    for (size_t i = 0; option->choices[i]; i++)
        rush_buffer_format(out, "%s%s", i ? " " : "", option->choices[i]);
}

void paper_keys(rush_buffer *out)
{
    for (size_t i = 0; i < built_in_key_count; i++)
        rush_buffer_format(out, "%s%s", i ? " " : "", built_in_keys[i].name);
}

void paper_slugs(rush_buffer *out)
{
    for (int i = 0; i < RUSH_SLUG_COUNT; i++)
        rush_buffer_format(out, "%s%s", i ? " " : "", rush_slug_name((rush_slug)i));
}

/* ---- help in one line --------------------------------------------------------------------------- */

/* The tables break the help for --help's column. */
static void add_line(const char *text, size_t length, rush_buffer *out)
{
    for (size_t i = 0; i < length; i++)
        if (text[i] != ' ' && text[i] != '\n')
            rush_buffer_byte(out, text[i]);
        else if (i && text[i - 1] != ' ' && text[i - 1] != '\n')
            rush_buffer_byte(out, ' ');
}

void paper_help(const rush_option *option, rush_buffer *out)
{
    add_line(option->help, strlen(option->help), out);
}

void paper_short_help(const rush_option *option, rush_buffer *out)
{
    add_line(option->help, strcspn(option->help, ";"), out);
}

/* ---- the program of the build ------------------------------------------------------------------- */

int main(int argc, char **argv)
{
    static const struct {
        const char *name;
        void (*write)(rush_buffer *out);
    } papers[] = {{"man", manual_write},
                  {"bash", completions_bash},
                  {"zsh", completions_zsh},
                  {"fish", completions_fish}};
    rush_buffer out = {0};
    int status = EXIT_USAGE;
    for (size_t i = 0; argc == 2 && i < COUNT(papers); i++)
        if (strcmp(argv[1], papers[i].name) == 0) {
            papers[i].write(&out);
            status = output_write(&out) ? EXIT_DONE : EXIT_FAULT;
        }
    rush_buffer_free(&out);
    if (status == EXIT_USAGE) {
        rush_buffer_string(&out, "usage: papers man|bash|zsh|fish\n");
        output_error(&out);
        rush_buffer_free(&out);
    }
    return status;
}
