#include <string.h>

#include "papers.h"

/* A text inside fish's single quotes. */
static void add_quoted(const char *text, rush_buffer *out)
{
    for (; *text; text++) {
        if (strchr("'\\", *text))
            rush_buffer_byte(out, '\\');
        rush_buffer_byte(out, *text);
    }
}

/* What an option's value, or an operand, is completed with. */
static void write_action(paper_value value, const rush_option *option, rush_buffer *out)
{
    switch (value) {
    case VALUE_CHOICE:
        rush_buffer_string(out, " -x -a '");
        paper_choices(option, out);
        rush_buffer_byte(out, '\'');
        break;
    case VALUE_SLUG:
        rush_buffer_string(out, " -x -a '(__rushlight_slugs)'");
        break;
    case VALUE_KEY:
        rush_buffer_string(out, " -F -a '");
        paper_keys(out);
        rush_buffer_byte(out, '\'');
        break;
    case VALUE_FILE:
        rush_buffer_string(out, " -F");
        break;
    case VALUE_FREE:
        rush_buffer_string(out, " -x");
        break;
    }
}

static void begin(const rush_command *command, rush_buffer *out)
{
    rush_buffer_format(out, "complete -c rushlight -n '__rushlight_of %s'", command->name);
}

static void write_option(const rush_command *command, const rush_option *option, rush_buffer *out)
{
    rush_buffer help = {0};
    paper_short_help(option, &help);
    begin(command, out);
    rush_buffer_format(out, " -l %s", option->name);
    if (option->kind != OPTION_FLAG) {
        rush_buffer_string(out, " -r");
        write_action(paper_option_value(option), option, out);
    }
    rush_buffer_string(out, " -d '");
    add_quoted(help.failed ? "" : help.bytes, out);
    rush_buffer_string(out, "'\n");
    rush_buffer_free(&help);
}

static void write_command(const rush_command *command, rush_buffer *out)
{
    paper_value operands = paper_operand_value(command);
    rush_buffer_byte(out, '\n');
    rush_buffer_format(out, "complete -c rushlight -n __fish_use_subcommand -a %s -d '",
                       command->name);
    add_quoted(command->summary, out);
    rush_buffer_string(out, "'\n");
    for (size_t i = 0; i < command->option_count; i++)
        write_option(command, &command->options[i], out);
    begin(command, out);
    rush_buffer_string(out, " -l help -d 'this help'\n");
    if (operands != VALUE_FREE) {
        begin(command, out);
        write_action(operands, NULL, out);
        rush_buffer_byte(out, '\n');
    }
}

static void write_slugs(rush_buffer *out)
{
    rush_buffer_string(out, "function __rushlight_slugs\n    printf '%s\\t%s\\n'");
    for (int i = 0; i < RUSH_SLUG_COUNT; i++) {
        rush_buffer_format(out, " \\\n        %s '", rush_slug_name((rush_slug)i));
        add_quoted(rush_slug_meaning((rush_slug)i), out);
        rush_buffer_byte(out, '\'');
    }
    rush_buffer_string(out, "\nend\n");
}

void completions_fish(rush_buffer *out)
{
    rush_buffer_string(out, "# Completion of rushlight for fish. Made from the program's option "
                            "tables; do not edit.\n\n");
    write_slugs(out);
    rush_buffer_string(
        out, "\nfunction __rushlight_of # whether a command is being given\n"
             "    set -l words (commandline -opc)\n"
             "    test (count $words) -ge 2; and test $words[2] = $argv[1]\n"
             "end\n"
             "\ncomplete -c rushlight -f\n"
             "complete -c rushlight -n __fish_use_subcommand -l help -d 'what the commands are'\n"
             "complete -c rushlight -n __fish_use_subcommand -l version -d 'the version'\n");
    for (size_t i = 0; commands[i]; i++)
        write_command(commands[i], out);
}
