#include "key/repair.h"

#include <string.h>

/* ---- colons and quotes ---------------------------------------------------------------------------- */

/* The first `sign` in a line that has white space or the end behind it. */
static uint32_t spaced(rush_text text, rush_yaml_line line, char sign)
{
    for (uint32_t i = line.text; i < line.stop; i++)
        if (text.at[i] == sign && (i + 1 == line.stop || text.at[i + 1] == ' '))
            return i;
    return line.stop;
}

/* The part of a line that its name must stand in: behind a dash, and before what a value begins with. */
static rush_yaml_line head_of(rush_text text, rush_yaml_line line)
{
    while (line.text + 1 < line.stop && text.at[line.text] == '-' &&
           text.at[line.text + 1] == ' ')
        for (line.text++; line.text < line.stop && text.at[line.text] == ' ';)
            line.text++;
    for (uint32_t i = line.text + 1; i < line.stop; i++)
        if (strchr("[{\"'", text.at[i]) && strchr(" :", text.at[i - 1]))
            line.stop = i;
    while (line.stop > line.text && text.at[line.stop - 1] == ' ')
        line.stop--;
    return line;
}

/* `name:value`, `name value` and `name` alone, where `name: value` is wanted. */
void rush_repair_colon(rush_search *with, rush_yaml_line whole)
{
    static const rush_wording space = {"a colon without a space behind it",
                                       "write `name: value`, with a space behind the colon"};
    static const rush_wording none = {
        "a line without its colon",
        "write `name: value`, with a space behind the colon; a text of several lines needs quotes"};
    rush_text text = with->text;
    rush_yaml_line line = rush_repair_blank(whole) ? whole : head_of(text, whole);
    bool glued = line.stop > line.text && text.at[line.stop - 1] == ':' &&
                 line.stop < whole.stop && text.at[line.stop] != ' ';
    if (rush_repair_blank(line) || (spaced(text, line, ':') < line.stop && !glued) ||
        strchr("-[{\"'", text.at[line.text]))
        return;
    const char *colon = memchr(text.at + line.text, ':', line.stop - line.text);
    if (colon) {
        uint32_t at = (uint32_t)(colon - text.at);
        rush_repair_insert(with, at + 1, " ", space, (rush_span){at, 1});
        return;
    }
    rush_span told = {line.text, line.stop - line.text};
    rush_repair_insert(with, line.stop, ":", none, told);
    const char *gap = memchr(text.at + line.text, ' ', told.length);
    if (gap)
        rush_repair_insert(with, (uint32_t)(gap - text.at), ":", none,
                           (rush_span){line.text, (uint32_t)(gap - text.at) - line.text});
}

/* Quotes around a part of the text, of the kind that does not stand in it. */
static void try_quotes(rush_search *with, rush_span span, rush_wording says, rush_span told)
{
    const char *at = with->text.at + span.start;
    bool has_double = memchr(at, '"', span.length) || memchr(at, '\\', span.length);
    const char *quote = has_double ? "'" : "\"";
    if (!span.length || (has_double && memchr(at, '\'', span.length)) || !rush_repair_begin(with))
        return;
    if (rush_draft_splice(with->mender->trial, span.start + span.length, 0, quote) &&
        rush_draft_splice(with->mender->trial, span.start, 0, quote))
        rush_repair_consider(with, says, told);
}

/* Where the value of `name: value` or `- value` begins. */
uint32_t rush_repair_value_at(rush_text text, rush_yaml_line line)
{
    uint32_t at = line.text;
    if (at < line.stop && text.at[at] == '-')
        at++;
    else
        at = spaced(text, line, ':') + 1;
    while (at < line.stop && text.at[at] == ' ')
        at++;
    return at < line.stop ? at : line.stop;
}

/* A text that needs quotes: as the value of its line, or as a part of a list or of fields in braces. */
void rush_repair_unquoted(rush_search *with)
{
    uint32_t at = with->fault->at, value = rush_repair_value_at(with->text, with->here);
    rush_span told = {at, 1};
    rush_wording says = {with->usual.ours, with->usual.help};
    if (value < with->here.stop && !strchr("[{", with->text.at[value]))
        try_quotes(with, (rush_span){value, with->here.stop - value}, says, told);
    uint32_t end = at;
    while (end < with->here.stop && !strchr(",]}", with->text.at[end]))
        end++;
    try_quotes(with, (rush_span){at, end - at}, says, told);
}

/* A quotation mark inside a text in quotation marks of its kind. */
void rush_repair_inner_quotes(rush_search *with)
{
    static const rush_wording says = {
        "a quotation mark inside a text in quotation marks",
        "an apostrophe inside single quotes is written twice; a double quote inside "
        "double ones needs a backslash before it"};
    uint32_t value = rush_repair_value_at(with->text, with->here), last = with->here.stop - 1,
             inner = 0;
    if (rush_repair_blank(with->here) || value >= last || !strchr("'\"", with->text.at[value]) ||
        with->text.at[last] != with->text.at[value] || !rush_repair_begin(with))
        return;
    char quote = with->text.at[value];
    bool room = true;
    for (uint32_t i = last; --i > value && room;)
        if (with->text.at[i] == quote) {
            room = rush_draft_splice(with->mender->trial, i, 0, quote == '"' ? "\\" : "'");
            inner = i;
        }
    if (inner && room)
        rush_repair_consider(with, says, (rush_span){inner, 1});
}

/* Whether a field begins at `at`, as in `, width: `. */
static bool field_behind(rush_text text, rush_yaml_line line, uint32_t at)
{
    if (text.at[at] != ',')
        return false;
    for (at++; at < line.stop && !strchr(",[]{}\"'", text.at[at]); at++)
        if (text.at[at] == ':' && at + 1 < line.stop && text.at[at + 1] == ' ')
            return true;
    return false;
}

/* The last quotation mark of a line has no partner: it may belong before the next field, before a
 * closing bracket, or at the end. */
void rush_repair_open_quote(rush_search *with, rush_yaml_line line, char quote)
{
    static const rush_wording says = {
        "a quotation mark without its partner",
        "close it; an apostrophe inside single quotes is written twice"};
    const char sign[] = {quote, '\0'};
    uint32_t opening = line.stop;
    while (opening > line.text && with->text.at[opening - 1] != quote)
        opening--;
    if (opening == line.text)
        return;
    rush_span told = {opening - 1, 1};
    for (uint32_t i = opening; i < line.stop; i++)
        if (field_behind(with->text, line, i))
            rush_repair_insert(with, i, sign, says, told);
    uint32_t closers = line.stop;
    while (closers > opening && strchr("]} ", with->text.at[closers - 1]))
        closers--;
    rush_repair_insert(with, closers, sign, says, told);
    rush_repair_insert(with, line.stop, sign, says, told);
}

/* ---- brackets --------------------------------------------------------------------------------------- */

rush_brackets rush_repair_brackets(rush_text text, rush_yaml_line line)
{
    rush_brackets found = {.wrong = line.stop};
    char quote = 0;
    for (uint32_t i = line.text; i < line.stop && found.count < BRACKETS_MAX; i++) {
        char c = text.at[i];
        bool begins = !quote && (c == '"' || c == '\'') &&
                      (i == line.text || strchr(" [{,", text.at[i - 1]));
        if (quote ? c == quote : begins) {
            quote = quote ? 0 : c;
        } else if (!quote && (c == '[' || c == '{')) {
            found.open[found.count++] = i;
        } else if (!quote && (c == ']' || c == '}')) {
            if (!found.count || (text.at[found.open[found.count - 1]] == '[') != (c == ']')) {
                found.wrong = i;
                break;
            }
            found.count--;
        }
    }
    return found;
}

static rush_wording unclosed(char bracket)
{
    return bracket == '[' ? (rush_wording){"a list in square brackets that is not closed",
                                           "look for a missing comma or ']'"}
                          : (rush_wording){"fields in braces that are not closed",
                                           "look for a missing comma or '}'"};
}

/* Brackets are closed where a closing one suits none, before the next field, or at the line's end; one
 * too many is left out; a comma is put between two fields. */
void rush_repair_close(rush_search *with, rush_yaml_line line)
{
    static const rush_wording surplus = {
        "a closing bracket without an opening one",
        "leave it out, or open the list or the fields that it closes"};
    rush_brackets found = rush_repair_brackets(with->text, line);
    if (found.wrong < line.stop && rush_repair_begin(with)) {
        rush_draft_blank(with->mender->trial, found.wrong, found.wrong + 1);
        rush_repair_consider(with, surplus, (rush_span){found.wrong, 1});
    }
    if (!found.count)
        return;
    uint32_t opening = found.open[found.count - 1];
    rush_wording says = unclosed(with->text.at[opening]);
    const char *closer = with->text.at[opening] == '[' ? "]" : "}";
    rush_span told = {opening, 1};
    if (found.wrong < line.stop)
        rush_repair_insert(with, found.wrong, closer, says, told);
    for (uint32_t i = line.stop; i-- > opening;)
        if (with->text.at[opening] == '[' && field_behind(with->text, line, i))
            rush_repair_insert(with, i, closer, says, told);
    if (!rush_repair_begin(with))
        return;
    bool room = true;
    for (unsigned i = 0; i < found.count && room; i++)
        room = rush_draft_splice(with->mender->trial, line.stop, 0,
                                 with->text.at[found.open[i]] == '[' ? "]" : "}");
    if (room)
        rush_repair_consider(with, says, told);
}

/* `{round: {...} oval: ...}`: before the name whose colon, or whose beginning, libyaml stumbled over. */
void rush_repair_comma(rush_search *with)
{
    static const rush_wording says = {"a comma is missing here",
                                      "put a comma between two fields or two items; a text "
                                      "that holds a colon goes in quotation marks"};
    static const rush_wording colon = {"a colon is missing here",
                                       "write `name: value`, with a space behind the colon"};
    uint32_t at = with->fault->at;
    bool among = with->fault->problem && strstr(with->fault->problem, "expected ','");
    if (!among || at >= with->here.stop || at <= with->here.text)
        return;
    bool opens = strchr("[{", with->text.at[at]) && with->text.at[at - 1] == ' ';
    if (opens && at - 1 > with->here.text)
        rush_repair_insert(with, at - 1, ":", colon, (rush_span){at - 1, 1});
    rush_repair_insert(with, at, ",", says, (rush_span){at, 1});
    while (at > with->here.text && with->text.at[at - 1] != ' ')
        at--;
    if (at > with->here.text)
        rush_repair_insert(with, at - 1, ",", says, (rush_span){at, 1});
}

/* `{label: cup, sketch: |`: an x takes the drawing's place, up to the brace that closes. */
void rush_repair_braced_drawing(rush_search *with)
{
    static const rush_wording says = {
        "a drawing cannot stand within braces",
        "give what holds it lines of its own in place of the braces"};
    enum { ROWS = 8 };
    uint32_t at = with->fault->at;
    if (at + 1 != with->here.stop || !strchr("|>", with->text.at[at]))
        return;
    rush_yaml_line line = with->here;
    for (int i = 0; i < ROWS && !rush_repair_blank(line); i++) {
        line = rush_repair_below(with->text, line);
        if (rush_repair_blank(line) || with->text.at[line.stop - 1] != '}')
            continue;
        for (uint32_t end = line.stop; end-- > line.text && with->text.at[end] == '}';)
            if (rush_repair_begin(with)) {
                rush_draft_blank(with->mender->trial, at + 1, end);
                with->mender->trial->bytes[at] = 'x';
                rush_repair_consider(with, says, (rush_span){at, 1});
            }
        return;
    }
}
