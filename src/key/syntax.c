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

bool rush_syntax_tab(rush_text text, uint32_t at, uint32_t *tab)
{
    if (at < text.length && text.at[at] == '\t') {
        *tab = at;
        return true;
    }
    for (uint32_t i = at; i-- > 0 && (text.at[i] == ' ' || text.at[i] == '\t');)
        if (text.at[i] == '\t') {
            *tab = i;
            return true;
        }
    return false;
}

rush_repair rush_syntax_words(rush_text text, const rush_fault *fault)
{
    rush_repair says = {
        .slug = RUSH_SYNTAX,
        .ours = "the layout cannot be read here",
        .help = "compare the indentation and the punctuation with the lines around it",
        .span = {fault->at, 1}};
    for (size_t i = 0; fault->problem && i < sizeof wordings / sizeof *wordings; i++)
        if (strstr(fault->problem, wordings[i].theirs)) {
            says.ours = wordings[i].ours;
            says.help = wordings[i].help;
            break;
        }
    /* The end of the text is where it was noticed, not where it is wrong. */
    bool at_end = fault->problem && strstr(fault->problem, "unexpected end of stream");
    if (fault->context && at_end)
        says.span.start = fault->context_at;
    else if (fault->context && fault->context_at != fault->at)
        says.began = (rush_span){fault->context_at, 1};
    if (says.span.start >= text.length && text.length)
        says.span.start = (uint32_t)text.length - 1;
    return says;
}
