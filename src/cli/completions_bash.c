#include "papers.h"

static const char head[] =
    "# Completion of rushlight for bash. Made from the program's option tables; do not edit.\n"
    "\n"
    "_rushlight_slugs='";

static const char functions[] =
    "'\n"
    "\n"
    "_rushlight_words() { # the words that begin with what is typed\n"
    "    mapfile -t COMPREPLY < <(compgen -W \"$1\" -- \"$cur\")\n"
    "}\n"
    "\n"
    "_rushlight_files() { # file names, and words beside them\n"
    "    compopt -o filenames 2>/dev/null\n"
    "    mapfile -t COMPREPLY < <(compgen -W \"$1\" -- \"$cur\"; compgen -f -- \"$cur\")\n"
    "}\n"
    "\n"
    "_rushlight() {\n"
    "    local cur=${COMP_WORDS[COMP_CWORD]} option=${COMP_WORDS[COMP_CWORD - 1]}\n"
    "    COMPREPLY=()\n"
    "    # --out=jsonl comes as three words.\n"
    "    if [[ $cur == = ]]; then\n"
    "        cur=\n"
    "    elif [[ $option == = ]]; then\n"
    "        option=${COMP_WORDS[COMP_CWORD - 2]}\n"
    "    fi\n"
    "    if ((COMP_CWORD == 1)); then\n"
    "        _rushlight_words '";

static void write_action(paper_value value, const rush_option *option, rush_buffer *out)
{
    switch (value) {
    case VALUE_CHOICE:
        rush_buffer_string(out, "_rushlight_words '");
        paper_choices(option, out);
        break;
    case VALUE_SLUG:
        rush_buffer_string(out, "_rushlight_words \"$_rushlight_slugs\"");
        return;
    case VALUE_KEY:
        rush_buffer_string(out, "_rushlight_files '");
        paper_keys(out);
        break;
    case VALUE_FILE:
        rush_buffer_string(out, "_rushlight_files '");
        break;
    case VALUE_FREE:
        return;
    }
    rush_buffer_byte(out, '\'');
}

/* A pattern for each option whose value can be completed; one for all the others that take a value. */
static void write_values(const rush_command *command, rush_buffer *out)
{
    rush_buffer others = {0};
    for (size_t i = 0; i < command->option_count; i++) {
        const rush_option *option = &command->options[i];
        paper_value value = paper_option_value(option);
        if (option->kind == OPTION_FLAG)
            continue;
        rush_buffer *to = value == VALUE_FREE ? &others : out;
        rush_buffer_format(to, "%s'%s --%s'",
                           to == out       ? "    "
                           : others.length ? " | "
                                           : "",
                           command->name, option->name);
        if (to == &others)
            continue;
        rush_buffer_string(out, ") ");
        write_action(value, option, out);
        rush_buffer_string(out, " ;;\n");
    }
    if (others.length && !others.failed)
        rush_buffer_format(out, "    %s) ;;\n", others.bytes);
    rush_buffer_free(&others);
}

/* Else it is an option or an operand. */
static void write_words(const rush_command *command, rush_buffer *out)
{
    paper_value operands = paper_operand_value(command);
    rush_buffer_format(out, "    %s' '*)\n        if [[ $cur == -* ]]; then\n", command->name);
    rush_buffer_string(out, "            _rushlight_words '");
    paper_options(command, out);
    rush_buffer_byte(out, '\'');
    if (operands != VALUE_FREE) {
        rush_buffer_string(out, "\n        else\n            ");
        write_action(operands, NULL, out);
    }
    rush_buffer_string(out, "\n        fi\n        ;;\n");
}

void completions_bash(rush_buffer *out)
{
    rush_buffer_string(out, head);
    paper_slugs(out);
    rush_buffer_string(out, functions);
    paper_commands(out);
    rush_buffer_string(out, " --help --version'\n        return\n    fi\n"
                            "    case \"${COMP_WORDS[1]} $option\" in\n");
    for (size_t i = 0; commands[i]; i++) {
        write_values(commands[i], out);
        write_words(commands[i], out);
    }
    rush_buffer_string(out, "    esac\n}\n\ncomplete -F _rushlight rushlight\n");
}
