#include "key/syntax.h"

#include <string.h>

/* libyaml 0.2.5's words, ours, and what to do. The first row whose words are part of libyaml's holds. */
static const struct {
    const char *theirs, *ours, *help;
} wordings[] = {
    {"mapping values are not allowed", "a colon with a space behind it, inside a text",
     "put the whole text in quotes, or look for a colon that is missing in the line above"},
    {"found character that cannot start any token", "a text cannot begin with this character",
     "put the text in quotes"},
    {"could not find expected ':'", "a line without its colon",
     "write `name: value`, with a space behind the colon; a text of several lines needs quotes"},
    {"found unexpected end of stream", "a quotation mark without its partner",
     "close it; an apostrophe inside single quotes is written twice"},
    {"did not find expected ',' or ']'", "a list in square brackets that is not closed",
     "look for a missing comma or ']'"},
    {"did not find expected ',' or '}'", "fields in braces that are not closed",
     "look for a missing comma or '}'"},
    {"did not find expected '-' indicator", "a line that does not line up with its list",
     "begin each item of the list with '- ' in the same column"},
    {"did not find expected key", "a line that does not line up with the fields above it",
     "fields of one thing begin in the same column; a text with quotation marks inside needs "
     "quotes around it"},
    {"block sequence entries are not allowed", "a list item where none can be",
     "begin the list on a line of its own, below the field's name"},
    {"found unknown escape character", "an escape that is not known",
     "use single quotes, or write the backslash twice"},
    {"incompatible YAML document", "a YAML version that is not known",
     "leave the %YAML line out"},
    {"did not find expected <document start>", "text where a document should begin",
     "leave lines that begin with '%' out, or put the text in quotes"},
    {"found a tab character", "a tab where YAML wants spaces", "use spaces"},
};

/* Whether a tab stands at the place or in the white space before it. */
static bool tab_at(rush_text text, uint32_t at, uint32_t *where)
{
    if (at < text.length && text.at[at] == '\t') {
        *where = at;
        return true;
    }
    for (uint32_t i = at; i-- > 0 && (text.at[i] == ' ' || text.at[i] == '\t');)
        if (text.at[i] == '\t') {
            *where = i;
            return true;
        }
    return false;
}

void rush_syntax_diagnose(rush_diagnostics *list, const rush_source *source, const char *problem,
                          uint32_t at, const char *context, uint32_t context_at)
{
    uint32_t tab;
    if (tab_at(source->text, at, &tab)) {
        rush_diagnostic *made = rush_diagnose(list, RUSH_TAB, source, (rush_span){tab, 1},
                                              "a tab where YAML wants spaces");
        rush_diagnose_help(list, made, "indent with spaces only");
        return;
    }
    const char *ours = "the layout cannot be read here";
    const char *help = "compare the indentation and the punctuation with the lines around it";
    for (size_t i = 0; problem && i < sizeof wordings / sizeof *wordings; i++)
        if (strstr(problem, wordings[i].theirs)) {
            ours = wordings[i].ours;
            help = wordings[i].help;
            break;
        }
    if (problem && strstr(problem, "unexpected end of stream") && context) {
        at = context_at; /* the end is where it was noticed, not where it is wrong */
        context = NULL;
    }
    rush_diagnostic *made =
        rush_diagnose(list, RUSH_SYNTAX, source, (rush_span){at, 1}, "%s", ours);
    rush_diagnose_help(list, made, "%s", help);
    if (context && context_at != at)
        rush_diagnose_other(list, made, source, (rush_span){context_at, 1}, "it began here");
}
