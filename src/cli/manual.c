/* The manual page: what the tables say, between words of its own. */
#include <ctype.h>
#include <string.h>

#include "built_in.h"
#include "papers.h"

/* ---- roff ---------------------------------------------------------------------------------------- */

/* Characters that roff would take for something else, or turn into typographic ones that cannot be typed. */
static void add_byte(char byte, rush_buffer *out)
{
    static const struct {
        char byte;
        const char *escaped;
    } escapes[] = {{'\\', "\\e"},  {'-', "\\-"},   {'\'', "\\(aq"}, {'`', "\\(ga"},
                   {'"', "\\(dq"}, {'^', "\\(ha"}, {'~', "\\(ti"}};
    for (size_t i = 0; i < COUNT(escapes); i++)
        if (escapes[i].byte == byte) {
            rush_buffer_string(out, escapes[i].escaped);
            return;
        }
    if (byte == '.' && out->length && out->bytes[out->length - 1] == '\n')
        rush_buffer_string(out, "\\&");
    rush_buffer_byte(out, byte);
}

static void add_escaped(const char *text, size_t length, rush_buffer *out)
{
    for (size_t i = 0; i < length; i++)
        add_byte(text[i], out);
}

/* The end of a sentence, behind which roff wants a new line. */
static bool ends_sentence(const char *text, size_t at)
{
    return text[at] == '.' && at && text[at - 1] != ' ' && !isupper((unsigned char)text[at - 1]);
}

/* Running text: its line breaks mean nothing. */
static void add_text(const char *text, size_t length, rush_buffer *out)
{
    enum { WIDTH = 60 };
    size_t line = out->length;
    while (length && isspace((unsigned char)text[length - 1]))
        length--;
    for (size_t i = 0; i < length; i++) {
        if (!isspace((unsigned char)text[i])) {
            add_byte(text[i], out);
        } else if (i && !isspace((unsigned char)text[i - 1])) {
            bool full = ends_sentence(text, i - 1) || out->length - line >= WIDTH;
            rush_buffer_byte(out, full ? '\n' : ' ');
            line = full ? out->length : line;
        }
    }
    rush_buffer_byte(out, '\n');
}

static void add_literal(const char *text, size_t length, rush_buffer *out)
{
    rush_buffer_string(out, ".Bd -literal\n");
    add_escaped(text, length, out);
    rush_buffer_string(out, ".Ed\n");
}

/* Paragraphs, with empty lines between; one with indented lines is kept as it is laid out. */
static void add_paragraphs(const char *text, rush_buffer *out)
{
    while (*text) {
        const char *end = strstr(text, "\n\n");
        size_t length = end ? (size_t)(end - text + 1) : strlen(text);
        bool laid_out = *text == ' ';
        for (size_t i = 0; i + 1 < length; i++)
            laid_out |= text[i] == '\n' && text[i + 1] == ' ';
        if (laid_out) {
            add_literal(text, length, out);
        } else {
            rush_buffer_string(out, ".Pp\n");
            add_text(text, length, out);
        }
        text += length;
        text += strspn(text, "\n");
    }
}

/* ---- the tables ---------------------------------------------------------------------------------- */

static void write_synopsis(const rush_command *command, rush_buffer *out)
{
    const char *operands = command->operands;
    size_t length = strlen(operands);
    rush_buffer_format(out, ".Nm rushlight\n.Cm %s\n.Op Ar OPTION ...\n", command->name);
    if (!length)
        return;
    bool optional = *operands == '[' && strcspn(operands, "]") == length - 1;
    rush_buffer_string(out, optional ? ".Op Ar \"" : ".Ar \"");
    add_escaped(operands + optional, optional ? length - 2 : length, out);
    rush_buffer_string(out, "\"\n");
}

static void write_option(const rush_option *option, const void *defaults, rush_buffer *out)
{
    rush_buffer text = {0};
    rush_buffer_string(out, ".It Fl \\-");
    add_escaped(option->name, strlen(option->name), out);
    for (size_t i = 0; option->kind == OPTION_CHOICE && option->choices[i]; i++) {
        rush_buffer_string(out, i ? " | Cm " : " Cm ");
        add_escaped(option->choices[i], strlen(option->choices[i]), out);
    }
    if (option->kind != OPTION_CHOICE && option->argument) {
        rush_buffer_string(out, " Ar \"");
        add_escaped(option->argument, strlen(option->argument), out);
        rush_buffer_byte(out, '"');
    }
    rush_buffer_byte(out, '\n');
    paper_help(option, &text);
    if (text.length && text.bytes[text.length - 1] != '.')
        rush_buffer_byte(&text, '.');
    if (text.length && !text.failed) {
        *text.bytes = (char)toupper((unsigned char)*text.bytes);
        add_text(text.bytes, text.length, out);
    }
    rush_buffer_clear(&text);
    if (option_default(option, defaults, &text) && !text.failed) {
        rush_buffer_string(out, "Unless told:\n.Cm ");
        add_escaped(text.bytes, text.length, out);
        rush_buffer_string(out, " .\n");
    }
    rush_buffer_free(&text);
}

static void write_command(const rush_command *command, rush_buffer *out)
{
    rush_buffer_format(out, ".Ss %s: ", command->name);
    add_text(command->summary, strlen(command->summary), out);
    rush_buffer_string(out, ".Bl -tag -width Ds\n");
    for (size_t i = 0; i < command->option_count; i++)
        write_option(&command->options[i], command->defaults, out);
    rush_buffer_string(out, ".El\n");
    if (command->more)
        add_paragraphs(command->more, out);
}

static void write_examples(rush_buffer *out)
{
    rush_buffer_string(out, ".Sh EXAMPLES\n");
    for (size_t i = 0; commands[i]; i++)
        add_literal(commands[i]->examples, strlen(commands[i]->examples), out);
}

/* ---- words of its own ---------------------------------------------------------------------------- */

static const char description[] =
    ".Sh DESCRIPTION\n"
    "From a few seconds\\(aq view of an insect, some of it perhaps misread,\n"
    ".Nm\n"
    "leads to a name that can be stood behind, at whatever rank is safe.\n"
    "It says which look\\-alikes are still in play, which mark to look at next,\n"
    "and when nothing is safe.\n"
    "It works offline, on keys that are plain text files.\n"
    ".Pp\n"
    "An opinion with a probability is not a determination: a record is for a\n"
    "verifier to accept.\n"
    ".Bl -tag -width Ds\n"
    ".It Nm Fl \\-help\n"
    "What the commands are; behind a command, its options and examples.\n"
    ".It Nm Fl \\-version\n"
    "The version.\n"
    ".El\n"
    ".Sh TAKE CARE\n"
    "No insect is worth a risk at the water\\(aqs edge.\n"
    "Look and photograph first; hold or net gently, only when needed and where it\n"
    "is permitted.\n"
    "Some species are protected by law and may be handled only under licence.\n"
    "Laws on access, catching and protected species differ by place: local law and\n"
    "licensed practice come first.\n";

static const char keys[] =
    ".Sh KEYS\n"
    "A key is a YAML file, or a folder whose\n"
    ".Pa key.yaml\n"
    "lists its parts.\n"
    "Where a command wants a\n"
    ".Ar KEY ,\n"
    "a name without a slash or a point that is no file here is that of a key built\n"
    "into the program, and\n"
    ".Cm \\-\n"
    "is standard input.\n"
    "There are, the first of them for want of another:\n"
    ".Bd -literal\n";

static const char ending[] =
    ".Sh ENVIRONMENT\n"
    ".Bl -tag -width Ds\n"
    ".It Ev NO_COLOR , TERM\n"
    "Whether the screen of\n"
    ".Cm ask\n"
    "has colours, unless\n"
    ".Fl \\-color\n"
    "says it.\n"
    ".El\n"
    ".Sh FILES\n"
    ".Bl -tag -width Ds\n"
    ".It Pa share/rushlight/keys\n"
    "Below the folder that\n"
    ".Nm\n"
    "is installed in: the built\\-in keys as files, to read and to copy, and their\n"
    "JSON Schema for editors.\n"
    ".It Pa share/rushlight/keys/README.md\n"
    "The guide for authors of keys.\n"
    ".It Pa share/doc/rushlight/README.md\n"
    "What the program does, with examples.\n"
    ".El\n"
    ".Sh EXIT STATUS\n"
    "The same in every command:\n"
    ".Bl -tag -width Ds\n"
    ".It 0\n"
    "Done.\n"
    ".It 1\n"
    "Done, with something wrong in the input: a line that cannot be read, a finding\n"
    "of severity error, nothing safe where that was wanted.\n"
    ".It 2\n"
    "Usage.\n"
    ".It 3\n"
    "A key that cannot be read or, but for\n"
    ".Cm check ,\n"
    "is invalid.\n"
    ".It 4\n"
    "The output failed, or a fault of the program.\n"
    ".El\n";

static const char standards[] =
    ".Sh SEE ALSO\n"
    "Programs can rank too: the library\n"
    ".Em rushlight\n"
    "is introduced in\n"
    ".In rushlight/rushlight.h .\n"
    ".Sh STANDARDS\n"
    "Records are written in Darwin Core terms (Biodiversity Information Standards,\n"
    "TDWG), findings also in the Static Analysis Results Interchange Format 2.1.0\n"
    "(OASIS).\n";

void manual_write(rush_buffer *out)
{
    rush_buffer_string(out, ".\\\" Made from the program's option tables; do not edit.\n"
                            ".Dd " RUSHLIGHT_RELEASED "\n"
                            ".Dt RUSHLIGHT 1\n"
                            ".Os rushlight " RUSHLIGHT_VERSION "\n"
                            ".Sh NAME\n.Nm rushlight\n"
                            ".Nd offline engine for multi-access identification keys\n"
                            ".Sh SYNOPSIS\n");
    for (size_t i = 0; commands[i]; i++)
        write_synopsis(commands[i], out);
    rush_buffer_string(out, description);
    rush_buffer_string(out, ".Sh COMMANDS\n");
    for (size_t i = 0; commands[i]; i++)
        write_command(commands[i], out);
    rush_buffer_string(out, keys);
    for (size_t i = 0; i < built_in_key_count; i++)
        rush_buffer_format(out, "%s\n", built_in_keys[i].name);
    rush_buffer_string(out, ".Ed\n");
    rush_buffer_string(out, ending);
    write_examples(out);
    rush_buffer_string(out, standards);
}
