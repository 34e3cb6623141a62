#include <string.h>

#include "papers.h"

/* A text inside single quotes; with a backslash before each of `marks`. */
static void add_quoted(const char *text, const char *marks, rush_buffer *out)
{
    for (; *text; text++) {
        if (*text == '\'')
            rush_buffer_string(out, "'\\'");
        else if (strchr(marks, *text))
            rush_buffer_byte(out, '\\');
        rush_buffer_byte(out, *text);
    }
}

static void write_action(paper_value value, const rush_option *option, rush_buffer *out)
{
    switch (value) {
    case VALUE_CHOICE:
        rush_buffer_byte(out, '(');
        paper_choices(option, out);
        rush_buffer_byte(out, ')');
        break;
    case VALUE_FILE:
        rush_buffer_string(out, "_files");
        break;
    case VALUE_KEY:
        rush_buffer_string(out, "_rushlight_keys");
        break;
    case VALUE_SLUG:
        rush_buffer_string(out, "_rushlight_slugs");
        break;
    case VALUE_FREE:
        rush_buffer_byte(out, ' ');
        break;
    }
}

static void write_option(const rush_option *option, rush_buffer *out)
{
    rush_buffer help = {0};
    paper_short_help(option, &help);
    rush_buffer_format(out, "            '%s--%s%s[", option->kind == OPTION_LISTED ? "*" : "",
                       option->name, option->kind == OPTION_FLAG ? "" : "=");
    add_quoted(help.failed ? "" : help.bytes, "[]:\\", out);
    rush_buffer_byte(out, ']');
    if (option->kind != OPTION_FLAG) {
        rush_buffer_format(out, ":%s:", option->argument ? option->argument : option->name);
        write_action(paper_option_value(option), option, out);
    }
    rush_buffer_string(out, "' \\\n");
    rush_buffer_free(&help);
}

static void write_command(const rush_command *command, rush_buffer *out)
{
    paper_value operands = paper_operand_value(command);
    rush_buffer_format(out, "        %s)\n            _arguments \\\n", command->name);
    for (size_t i = 0; i < command->option_count; i++)
        write_option(&command->options[i], out);
    rush_buffer_string(out, "            '(- *)--help[this help]'");
    if (operands != VALUE_FREE) {
        rush_buffer_string(out, " \\\n            '*:");
        rush_buffer_string(out, operands == VALUE_KEY ? "key:" : "file:");
        write_action(operands, NULL, out);
        rush_buffer_byte(out, '\'');
    }
    rush_buffer_string(out, "\n            ;;\n");
}

static void write_slugs(rush_buffer *out)
{
    rush_buffer_string(out, "_rushlight_slugs() {\n    local -a slugs=(\n");
    for (int i = 0; i < RUSH_SLUG_COUNT; i++) {
        rush_buffer_format(out, "        '%s:", rush_slug_name((rush_slug)i));
        add_quoted(rush_slug_meaning((rush_slug)i), ":\\", out);
        rush_buffer_string(out, "'\n");
    }
    rush_buffer_string(out, "    )\n    _describe slug slugs\n}\n\n");
}

void completions_zsh(rush_buffer *out)
{
    rush_buffer_string(out, "#compdef rushlight\n"
                            "# Completion of rushlight for zsh. Made from the program's option "
                            "tables; do not edit.\n\n"
                            "_rushlight_keys() {\n"
                            "    _alternative 'keys:built-in key:(");
    paper_keys(out);
    rush_buffer_string(out, ")' 'files:key file or folder:_files'\n}\n\n");
    write_slugs(out);
    rush_buffer_string(out, "_rushlight() {\n"
                            "    local curcontext=\"$curcontext\" state state_descr line\n"
                            "    typeset -A opt_args\n"
                            "    local -a commands=(\n");
    for (size_t i = 0; commands[i]; i++) {
        rush_buffer_format(out, "        '%s:", commands[i]->name);
        add_quoted(commands[i]->summary, ":\\", out);
        rush_buffer_string(out, "'\n");
    }
    rush_buffer_string(out, "    )\n"
                            "    _arguments -C '(- *)--help[what the commands are]' "
                            "'(- *)--version[the version]' \\\n"
                            "        '1:command:->command' '*::word:->word'\n"
                            "    case $state in\n"
                            "    command)\n        _describe command commands\n        ;;\n"
                            "    word)\n        case $words[1] in\n");
    for (size_t i = 0; commands[i]; i++)
        write_command(commands[i], out);
    rush_buffer_string(out, "        esac\n        ;;\n    esac\n}\n\n_rushlight \"$@\"\n");
}
