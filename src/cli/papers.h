/* What goes along with the program: the manual page and the completions of three shells, written from the
 * command and option tables that --help is written from.
 *
 * A program of the build prints them (papers.c), so that the shipped one does not carry them. A command or
 * an option that is in the tables is in all of them. */
#ifndef RUSH_CLI_PAPERS_H
#define RUSH_CLI_PAPERS_H

#include "command.h"

/* In mdoc(7) macros. */
void manual_write(rush_buffer *out);
void completions_bash(rush_buffer *out);
void completions_zsh(rush_buffer *out);
void completions_fish(rush_buffer *out);

/* What a value or an operand can be completed with. The tables say it by the word that the help has for the
 * value: FILE, FOLDER, TABLE, KEY (a file too), SLUG; of a choice its choices. */
typedef enum paper_value {
    VALUE_FREE, /* nothing: only the person knows it */
    VALUE_CHOICE,
    VALUE_FILE,
    VALUE_KEY,
    VALUE_SLUG
} paper_value;

paper_value paper_option_value(const rush_option *option);
paper_value paper_operand_value(const rush_command *command);

/* Lists of words with spaces between: commands, a command's options with their dashes, an option's
 * choices, the names of the built-in keys, the slugs. */
void paper_commands(rush_buffer *out);
void paper_options(const rush_command *command, rush_buffer *out);
void paper_choices(const rush_option *option, rush_buffer *out);
void paper_keys(rush_buffer *out);
void paper_slugs(rush_buffer *out);

/* The help of an option in one line: whole, and up to its first semicolon. */
void paper_help(const rush_option *option, rush_buffer *out);
void paper_short_help(const rush_option *option, rush_buffer *out);

#endif
