#include <string.h>

#include "key/mend.h"
#include "key/syntax.h"

/* A line of the copy: where it begins, where its own text does and ends (without a comment). */
typedef struct yaml_line {
    uint32_t start, text, stop, end;
} yaml_line;

typedef struct search {
    rush_mender *mender;
    rush_text text; /* of the copy */
    const rush_fault *fault;
    yaml_line here, above, opened, quoted; /* of the fault; those that may be to blame for it */
    uint32_t past; /* in the author's text: a repair must let the reading get beyond this */
    rush_repair usual, best; /* what libyaml's own words give; what is known by now */
} search;

/* What one kind of change says. */
typedef struct wording {
    const char *ours, *help;
} wording;

/* ---- lines ------------------------------------------------------------------------------------- */

static bool is_break(char c)
{
    return c == '\n' || c == '\r';
}

/* The line that holds the byte at `at`; a comment or trailing white space is no part of its text. */
static yaml_line line_at(rush_text text, uint32_t at)
{
    yaml_line line = {.start = at < text.length ? at : (uint32_t)text.length};
    while (line.start && !is_break(text.at[line.start - 1]))
        line.start--;
    line.text = line.start;
    while (line.text < text.length && (text.at[line.text] == ' ' || text.at[line.text] == '\t'))
        line.text++;
    char quote = 0;
    line.stop = line.text;
    for (line.end = line.text; line.end < text.length && !is_break(text.at[line.end]);
         line.end++) {
        char c = text.at[line.end];
        if (c == '#' && !quote && (line.end == line.text || text.at[line.end - 1] == ' '))
            break;
        if (quote ? c == quote : c == '"')
            quote = quote ? 0 : c;
        if (c != ' ' && c != '\t')
            line.stop = line.end + 1;
    }
    while (line.end < text.length && !is_break(text.at[line.end]))
        line.end++;
    return line;
}

static bool is_blank(yaml_line line)
{
    return line.stop == line.text;
}

static uint32_t indent_of(yaml_line line)
{
    return line.text - line.start;
}

/* The nearest line above with a text; a blank one when there is none. */
static yaml_line line_above(rush_text text, yaml_line line)
{
    while (line.start) {
        uint32_t at = line.start - 1;
        if (at && text.at[at] == '\n' && text.at[at - 1] == '\r')
            at--;
        line = line_at(text, at);
        if (!is_blank(line))
            return line;
    }
    return (yaml_line){0};
}

static yaml_line line_below(rush_text text, yaml_line line)
{
    while (line.end < text.length) {
        bool pair = text.at[line.end] == '\r' && line.end + 1 < text.length &&
                    text.at[line.end + 1] == '\n';
        line = line_at(text, line.end + (pair ? 2 : 1));
        if (!is_blank(line))
            return line;
    }
    return (yaml_line){(uint32_t)text.length, (uint32_t)text.length, (uint32_t)text.length,
                       (uint32_t)text.length};
}

/* How many of a sign stand in a line; a quotation mark behind a backslash does not count, nor an
 * apostrophe within a word. */
static unsigned signs(rush_text text, yaml_line line, char sign)
{
    unsigned count = 0;
    for (uint32_t i = line.text; i < line.stop; i++) {
        bool within = sign == '\'' && i > line.text && i + 1 < line.stop &&
                      !strchr(" ,:[{(", text.at[i - 1]) && !strchr(" ,:]})", text.at[i + 1]);
        count += text.at[i] == sign && !within && !(i && text.at[i - 1] == '\\');
    }
    return count;
}

/* ---- trying ------------------------------------------------------------------------------------- */

/* The trial is whole: does the reading get further with it? */
static void consider(search *with, wording says, rush_span span)
{
    rush_mender *mender = with->mender;
    rush_draft *trial = mender->trial;
    rush_fault fault = rush_yaml_probe(mender->arena, (rush_text){trial->bytes, trial->length});
    uint32_t length = (uint32_t)mender->source->text.length;
    uint32_t reaches = fault.found ? rush_draft_source(trial, fault.at) : length + 1;
    mender->work += trial->length / 4 + (fault.found ? fault.at : trial->length);
    if (reaches <= with->past || reaches <= with->best.reaches)
        return;
    with->best = with->usual;
    with->best.reaches = reaches;
    if (says.ours) {
        with->best.ours = says.ours;
        with->best.help = says.help;
        with->best.span = span;
        with->best.began = (rush_span){0};
    }
    mender->trial = mender->best;
    mender->best = trial;
}

static bool begin(search *with)
{
    if (with->mender->work > RUSH_MEND_WORK)
        return false;
    rush_draft_copy(with->mender->trial, with->mender->now);
    return true;
}

static void try_insert(search *with, uint32_t at, const char *insert, wording says,
                       rush_span span)
{
    if (begin(with) && rush_draft_splice(with->mender->trial, at, 0, insert))
        consider(with, says, span);
}

/* ---- tabs --------------------------------------------------------------------------------------- */

/* Tabs that indent a run of lines become `width` spaces each; in the first line also the one at fault. */
static void try_tabs(search *with, uint32_t tab, uint32_t width)
{
    static const char spaces[] = "        ";
    if (!begin(with))
        return;
    rush_draft *trial = with->mender->trial;
    for (uint32_t at = tab; at < trial->length && trial->bytes[at] == '\t';) {
        rush_draft_splice(trial, at, 1, spaces + 8 - width);
        yaml_line line = line_at((rush_text){trial->bytes, trial->length}, at);
        for (uint32_t i = line.text; i-- > line.start;)
            if (trial->bytes[i] == '\t')
                rush_draft_splice(trial, i, 1, spaces + 8 - width);
        line = line_at((rush_text){trial->bytes, trial->length}, at);
        at = line_below((rush_text){trial->bytes, trial->length}, line).start;
    }
    consider(with, (wording){0}, (rush_span){0});
}

/* The line is set below the one above it, as deep as that. */
static void try_indent(search *with, yaml_line line, uint32_t indent, wording says)
{
    char spaces[RUSH_INSERT_MAX];
    if (indent >= sizeof spaces || indent == indent_of(line) || !begin(with))
        return;
    memset(spaces, ' ', indent);
    spaces[indent] = '\0';
    if (rush_draft_splice(with->mender->trial, line.start, indent_of(line), spaces))
        consider(with, says, (rush_span){line.text, 1});
}

/* One line alone is set as the lines around it are: what stands below its name stays deeper. */
static void try_tabbed_line(search *with, uint32_t tab)
{
    yaml_line line = line_at(with->text, tab), below = line_below(with->text, line);
    if (is_blank(line))
        return;
    bool heads = with->text.at[line.stop - 1] == ':', item = with->text.at[line.text] == '-';
    if (item && indent_of(below) >= 2)
        try_indent(with, line, indent_of(below) - 2, (wording){0});
    bool headed = !is_blank(with->above) && with->text.at[with->above.stop - 1] == ':';
    if (headed && indent_of(below) <= indent_of(with->above))
        try_indent(with, line, indent_of(with->above) + 2, (wording){0});
    if (!heads)
        try_indent(with, line, indent_of(below), (wording){0});
    if (!heads || indent_of(with->above) < indent_of(below))
        try_indent(with, line, indent_of(with->above), (wording){0});
    if (heads && indent_of(below) >= 2)
        try_indent(with, line, indent_of(below) - 2, (wording){0});
}

static void mend_tab(search *with, uint32_t tab)
{
    with->best = with->usual = (rush_repair){.slug = RUSH_TAB,
                                             .span = {tab, 1},
                                             .ours = "a tab where YAML wants spaces",
                                             .help = "indent with spaces only"};
    static const uint32_t widths[] = {2, 4, 1, 8};
    yaml_line below = line_below(with->text, line_at(with->text, tab));
    bool alone = below.start >= with->text.length || with->text.at[below.start] != '\t';
    if (alone)
        try_tabbed_line(with, tab);
    for (size_t i = 0; i < sizeof widths / sizeof *widths; i++)
        try_tabs(with, tab, widths[i]);
    if (!alone)
        try_tabbed_line(with, tab);
}

/* ---- colons and quotes ---------------------------------------------------------------------------- */

/* The first `sign` in a line that has white space or the end behind it. */
static uint32_t spaced(rush_text text, yaml_line line, char sign)
{
    for (uint32_t i = line.text; i < line.stop; i++)
        if (text.at[i] == sign && (i + 1 == line.stop || text.at[i + 1] == ' '))
            return i;
    return line.stop;
}

/* The part of a line that its name must stand in: behind a dash, and before what a value begins with. */
static yaml_line head_of(rush_text text, yaml_line line)
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
static void mend_colon(search *with, yaml_line whole)
{
    static const wording space = {"a colon without a space behind it",
                                  "write `name: value`, with a space behind the colon"};
    static const wording none = {
        "a line without its colon",
        "write `name: value`, with a space behind the colon; a text of several lines needs quotes"};
    rush_text text = with->text;
    yaml_line line = is_blank(whole) ? whole : head_of(text, whole);
    bool glued = line.stop > line.text && text.at[line.stop - 1] == ':' &&
                 line.stop < whole.stop && text.at[line.stop] != ' ';
    if (is_blank(line) || (spaced(text, line, ':') < line.stop && !glued) ||
        strchr("-[{\"'", text.at[line.text]))
        return;
    const char *colon = memchr(text.at + line.text, ':', line.stop - line.text);
    if (colon) {
        uint32_t at = (uint32_t)(colon - text.at);
        try_insert(with, at + 1, " ", space, (rush_span){at, 1});
        return;
    }
    rush_span told = {line.text, line.stop - line.text};
    try_insert(with, line.stop, ":", none, told);
    const char *gap = memchr(text.at + line.text, ' ', told.length);
    if (gap)
        try_insert(with, (uint32_t)(gap - text.at), ":", none,
                   (rush_span){line.text, (uint32_t)(gap - text.at) - line.text});
}

/* Quotes around a part of the text, of the kind that does not stand in it. */
static void try_quotes(search *with, rush_span span, wording says, rush_span told)
{
    const char *at = with->text.at + span.start;
    bool has_double = memchr(at, '"', span.length) || memchr(at, '\\', span.length);
    const char *quote = has_double ? "'" : "\"";
    if (!span.length || (has_double && memchr(at, '\'', span.length)) || !begin(with))
        return;
    if (rush_draft_splice(with->mender->trial, span.start + span.length, 0, quote) &&
        rush_draft_splice(with->mender->trial, span.start, 0, quote))
        consider(with, says, told);
}

/* Where the value of `name: value` or `- value` begins. */
static uint32_t value_at(rush_text text, yaml_line line)
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
static void mend_unquoted(search *with)
{
    uint32_t at = with->fault->at, value = value_at(with->text, with->here);
    rush_span told = {at, 1};
    wording says = {with->usual.ours, with->usual.help};
    if (value < with->here.stop && !strchr("[{", with->text.at[value]))
        try_quotes(with, (rush_span){value, with->here.stop - value}, says, told);
    uint32_t end = at;
    while (end < with->here.stop && !strchr(",]}", with->text.at[end]))
        end++;
    try_quotes(with, (rush_span){at, end - at}, says, told);
}

/* A quotation mark inside a text in quotation marks of its kind. */
static void mend_inner_quotes(search *with)
{
    static const wording says = {
        "a quotation mark inside a text in quotation marks",
        "an apostrophe inside single quotes is written twice; a double quote inside "
        "double ones needs a backslash before it"};
    uint32_t value = value_at(with->text, with->here), last = with->here.stop - 1, inner = 0;
    if (is_blank(with->here) || value >= last || !strchr("'\"", with->text.at[value]) ||
        with->text.at[last] != with->text.at[value] || !begin(with))
        return;
    char quote = with->text.at[value];
    bool room = true;
    for (uint32_t i = last; --i > value && room;)
        if (with->text.at[i] == quote) {
            room = rush_draft_splice(with->mender->trial, i, 0, quote == '"' ? "\\" : "'");
            inner = i;
        }
    if (inner && room)
        consider(with, says, (rush_span){inner, 1});
}

/* Whether a field begins at `at`, as in `, width: `. */
static bool field_behind(rush_text text, yaml_line line, uint32_t at)
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
static void mend_open_quote(search *with, yaml_line line, char quote)
{
    static const wording says = {"a quotation mark without its partner",
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
            try_insert(with, i, sign, says, told);
    uint32_t closers = line.stop;
    while (closers > opening && strchr("]} ", with->text.at[closers - 1]))
        closers--;
    try_insert(with, closers, sign, says, told);
    try_insert(with, line.stop, sign, says, told);
}

/* ---- brackets --------------------------------------------------------------------------------------- */

enum { BRACKETS_MAX = 16 };

typedef struct brackets {
    uint32_t open[BRACKETS_MAX]; /* where those without a partner stand */
    unsigned count;
    uint32_t wrong; /* the first closing one that suits none, or the line's stop */
} brackets;

static brackets count_brackets(rush_text text, yaml_line line)
{
    brackets found = {.wrong = line.stop};
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

static wording unclosed(char bracket)
{
    return bracket == '[' ? (wording){"a list in square brackets that is not closed",
                                      "look for a missing comma or ']'"}
                          : (wording){"fields in braces that are not closed",
                                      "look for a missing comma or '}'"};
}

/* Brackets are closed where a closing one suits none, before the next field, or at the line's end; one
 * too many is left out; a comma is put between two fields. */
static void mend_brackets(search *with, yaml_line line)
{
    static const wording surplus = {
        "a closing bracket without an opening one",
        "leave it out, or open the list or the fields that it closes"};
    brackets found = count_brackets(with->text, line);
    if (found.wrong < line.stop && begin(with)) {
        rush_draft_blank(with->mender->trial, found.wrong, found.wrong + 1);
        consider(with, surplus, (rush_span){found.wrong, 1});
    }
    if (!found.count)
        return;
    uint32_t opening = found.open[found.count - 1];
    wording says = unclosed(with->text.at[opening]);
    const char *closer = with->text.at[opening] == '[' ? "]" : "}";
    rush_span told = {opening, 1};
    if (found.wrong < line.stop)
        try_insert(with, found.wrong, closer, says, told);
    for (uint32_t i = line.stop; i-- > opening;)
        if (with->text.at[opening] == '[' && field_behind(with->text, line, i))
            try_insert(with, i, closer, says, told);
    if (!begin(with))
        return;
    bool room = true;
    for (unsigned i = 0; i < found.count && room; i++)
        room = rush_draft_splice(with->mender->trial, line.stop, 0,
                                 with->text.at[found.open[i]] == '[' ? "]" : "}");
    if (room)
        consider(with, says, told);
}

/* `{round: {...} oval: ...}`: before the name whose colon, or whose beginning, libyaml stumbled over. */
static void mend_comma(search *with)
{
    static const wording says = {"a comma is missing here",
                                 "put a comma between two fields or two items; a text "
                                 "that holds a colon goes in quotation marks"};
    static const wording colon = {"a colon is missing here",
                                  "write `name: value`, with a space behind the colon"};
    uint32_t at = with->fault->at;
    bool among = with->fault->problem && strstr(with->fault->problem, "expected ','");
    if (!among || at >= with->here.stop || at <= with->here.text)
        return;
    bool opens = strchr("[{", with->text.at[at]) && with->text.at[at - 1] == ' ';
    if (opens && at - 1 > with->here.text)
        try_insert(with, at - 1, ":", colon, (rush_span){at - 1, 1});
    try_insert(with, at, ",", says, (rush_span){at, 1});
    while (at > with->here.text && with->text.at[at - 1] != ' ')
        at--;
    if (at > with->here.text)
        try_insert(with, at - 1, ",", says, (rush_span){at, 1});
}

/* `{label: cup, sketch: |`: an x takes the drawing's place, up to the brace that closes. */
static void mend_braced_drawing(search *with)
{
    static const wording says = {"a drawing cannot stand within braces",
                                 "give what holds it lines of its own in place of the braces"};
    enum { ROWS = 8 };
    uint32_t at = with->fault->at;
    if (at + 1 != with->here.stop || !strchr("|>", with->text.at[at]))
        return;
    yaml_line line = with->here;
    for (int i = 0; i < ROWS && !is_blank(line); i++) {
        line = line_below(with->text, line);
        if (is_blank(line) || with->text.at[line.stop - 1] != '}')
            continue;
        for (uint32_t end = line.stop; end-- > line.text && with->text.at[end] == '}';)
            if (begin(with)) {
                rush_draft_blank(with->mender->trial, at + 1, end);
                with->mender->trial->bytes[at] = 'x';
                consider(with, says, (rush_span){at, 1});
            }
        return;
    }
}

/* ---- layout ------------------------------------------------------------------------------------------ */

/* Line art whose first row begins further in than another one: a `|` alone takes its depth from the first. */
static void mend_drawing(search *with)
{
    static const wording says = {
        "a drawing whose first line does not begin furthest to the left",
        "write |2 in place of |, and let no line begin less than two spaces further in than the field"};
    enum { FAR = 40 };
    yaml_line line = with->above;
    for (int i = 0; i < FAR && !is_blank(line); i++, line = line_above(with->text, line)) {
        if (indent_of(line) >= indent_of(with->here))
            continue;
        if (with->text.at[line.stop - 1] == '|')
            try_insert(with, line.stop, indent_of(with->here) > indent_of(line) + 1 ? "2" : "1",
                       says, (rush_span){line.stop - 1, 1});
        return;
    }
}

/* The columns in which the lines above begin, each nearer to the margin than the one before. What stands set
 * below a name must stay so: `below` is how deep. */
static void try_levels(search *with, uint32_t below)
{
    static const wording says = {"a line that does not line up with the fields above it",
                                 "fields of one thing begin in the same column"};
    static const wording item = {"a line that does not line up with its list",
                                 "begin each item of the list with '- ' in the same column"};
    enum { LEVELS = 6 };
    yaml_line line = with->above;
    uint32_t least = UINT32_MAX;
    for (int level = 0; level < LEVELS && !is_blank(line); line = line_above(with->text, line)) {
        if (indent_of(line) >= least)
            continue;
        least = indent_of(line);
        level++;
        bool dash = with->text.at[line.text] == '-';
        if (least < below)
            try_indent(with, with->here, least,
                       dash && with->text.at[with->here.text] == '-' ? item : says);
        if (dash && least + 2 < below)
            try_indent(with, with->here, least + 2, says);
    }
    if (with->text.at[with->above.text] == '-')
        try_insert(with, with->here.text, "- ", item, (rush_span){with->here.text, 1});
}

/* Or it is the first of these lines that is off, by a space too many or too few. */
static void try_first(search *with)
{
    static const wording says = {"a line that does not line up with the fields below it",
                                 "fields of one thing begin in the same column"};
    uint32_t wanted = indent_of(with->here);
    yaml_line first = {0};
    for (yaml_line line = with->above; !is_blank(line) && indent_of(line) > wanted;
         line = line_above(with->text, line))
        if (is_blank(first) || indent_of(line) <= indent_of(first))
            first = line;
    if (!is_blank(first))
        try_indent(with, first, wanted, says);
    yaml_line began =
        with->fault->context ? line_at(with->text, with->fault->context_at) : with->above;
    if (began.start < with->here.start && indent_of(began) + 1 == wanted)
        try_indent(with, began, wanted, says);
    if (is_blank(with->above))
        return;
    if (indent_of(with->above) + 1 == wanted)
        try_indent(with, with->above, wanted, says);
    if (with->text.at[with->above.text] == '-' && wanted >= 2)
        try_indent(with, with->above, wanted - 2, says);
}

static void mend_layout(search *with)
{
    yaml_line below = line_below(with->text, with->here);
    bool heads = !is_blank(with->here) && with->text.at[with->here.stop - 1] == ':' &&
                 indent_of(below) > indent_of(with->here);
    if (heads)
        try_levels(with, indent_of(below));
    if (!heads || !with->best.reaches)
        try_levels(with, UINT32_MAX);
    try_first(with);
}

/* An escape that is not known: without its backslash. */
static void mend_escape(search *with)
{
    uint32_t at = with->fault->at;
    for (uint32_t i = at > with->here.text ? at - 1 : at; i <= at && i < with->text.length; i++)
        if (with->text.at[i] == '\\' && begin(with)) {
            rush_draft_blank(with->mender->trial, i, i + 1);
            consider(with, (wording){0}, (rush_span){0});
        }
}

/* ---- leaving out ------------------------------------------------------------------------------------- */

/* The value behind a name; the line; the line with all that is set deeper below it. */
static void leave_out(search *with, yaml_line line)
{
    if (is_blank(line))
        return;
    uint32_t value = value_at(with->text, line);
    if (value > line.text && value < line.stop && begin(with)) {
        rush_draft_blank(with->mender->trial, value, line.end);
        consider(with, (wording){0}, (rush_span){0});
    }
    if (!with->best.reaches && begin(with)) {
        rush_draft_blank(with->mender->trial, line.start, line.end);
        consider(with, (wording){0}, (rush_span){0});
    }
    uint32_t end = line.end;
    for (yaml_line below = line_below(with->text, line);
         below.start < with->text.length && indent_of(below) > indent_of(line);
         below = line_below(with->text, below))
        end = below.end;
    if (!with->best.reaches && end > line.end && begin(with)) {
        rush_draft_blank(with->mender->trial, line.start, end);
        consider(with, (wording){0}, (rush_span){0});
    }
}

/* ---- the search --------------------------------------------------------------------------------------- */

/* The nearest line above the fault, or its own, whose quotation marks or brackets do not go in pairs. */
static void find_suspects(search *with)
{
    enum { FAR = 60 };
    yaml_line line = with->here;
    for (int i = 0; i < FAR && (i == 0 || !is_blank(line));
         i++, line = line_above(with->text, line)) {
        bool odd = signs(with->text, line, '"') % 2 || signs(with->text, line, '\'') % 2;
        if (odd && is_blank(with->quoted))
            with->quoted = line;
        brackets found = count_brackets(with->text, line);
        if ((found.count || found.wrong < line.stop) && is_blank(with->opened))
            with->opened = line;
    }
}

/* `-item`, where `- item` is wanted. */
static void mend_dash(search *with, yaml_line line)
{
    static const wording says = {"a dash without a space behind it",
                                 "begin each item of the list with '- '"};
    uint32_t at = line.text;
    if (at + 1 < line.stop && with->text.at[at] == '-' && !strchr(" -", with->text.at[at + 1]))
        try_insert(with, at + 1, " ", says, (rush_span){at, 1});
}

/* All changes that are known for the kind of fault, the most likely first. */
static void try_all(search *with)
{
    find_suspects(with);
    mend_drawing(with);
    mend_braced_drawing(with);
    yaml_line began =
        line_at(with->text, with->fault->context ? with->fault->context_at : with->fault->at);
    if (signs(with->text, with->quoted, '"') % 2)
        mend_open_quote(with, with->quoted, '"');
    mend_inner_quotes(with);
    if (signs(with->text, with->quoted, '\'') % 2)
        mend_open_quote(with, with->quoted, '\'');
    mend_brackets(with, with->opened);
    mend_colon(with, with->above);
    mend_colon(with, began);
    mend_colon(with, with->here);
    mend_dash(with, with->above);
    mend_dash(with, with->here);
    mend_comma(with);
    mend_unquoted(with);
    mend_escape(with);
    mend_layout(with);
}

rush_repair rush_repair_find(rush_mender *mender, const rush_fault *fault)
{
    search with = {.mender = mender, .text = rush_mender_text(mender), .fault = fault};
    with.here = line_at(with.text, fault->at);
    if (is_blank(with.here) && with.here.start)
        with.here = line_above(with.text, with.here);
    with.above = line_above(with.text, with.here);
    with.best = with.usual = rush_syntax_words(with.text, fault);
    with.past = rush_mender_source(mender, with.here.end);
    uint32_t tab;
    if (fault->swallows) {
        mend_open_quote(&with, with.here, with.text.at[fault->at]);
    } else if (rush_syntax_tab(with.text, fault->at, &tab)) {
        mend_tab(&with, tab);
    } else {
        try_all(&with);
        /* Where the line has a second fault, getting to that one must do. */
        with.past = rush_mender_source(mender, fault->at);
        if (!with.best.reaches)
            try_all(&with);
    }
    if (!with.best.reaches)
        leave_out(&with, with.here);
    if (!with.best.reaches)
        leave_out(&with, with.above);
    return with.best;
}
