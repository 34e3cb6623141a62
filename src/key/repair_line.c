#include "key/repair.h"

#include <string.h>

/* ---- lines ------------------------------------------------------------------------------------- */

static bool is_break(char c)
{
    return c == '\n' || c == '\r';
}

/* The line that holds the byte at `at`; a comment or trailing white space is no part of its text. */
rush_yaml_line rush_repair_line_at(rush_text text, uint32_t at)
{
    rush_yaml_line line = {.start = at < text.length ? at : (uint32_t)text.length};
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

bool rush_repair_blank(rush_yaml_line line)
{
    return line.stop == line.text;
}

uint32_t rush_repair_indent(rush_yaml_line line)
{
    return line.text - line.start;
}

/* The nearest line above with a text; a blank one when there is none. */
rush_yaml_line rush_repair_above(rush_text text, rush_yaml_line line)
{
    while (line.start) {
        uint32_t at = line.start - 1;
        if (at && text.at[at] == '\n' && text.at[at - 1] == '\r')
            at--;
        line = rush_repair_line_at(text, at);
        if (!rush_repair_blank(line))
            return line;
    }
    return (rush_yaml_line){0};
}

rush_yaml_line rush_repair_below(rush_text text, rush_yaml_line line)
{
    while (line.end < text.length) {
        bool pair = text.at[line.end] == '\r' && line.end + 1 < text.length &&
                    text.at[line.end + 1] == '\n';
        line = rush_repair_line_at(text, line.end + (pair ? 2 : 1));
        if (!rush_repair_blank(line))
            return line;
    }
    return (rush_yaml_line){(uint32_t)text.length, (uint32_t)text.length, (uint32_t)text.length,
                            (uint32_t)text.length};
}

/* How many of a sign stand in a line; a quotation mark behind a backslash does not count, nor an
 * apostrophe within a word. */
unsigned rush_repair_signs(rush_text text, rush_yaml_line line, char sign)
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
void rush_repair_consider(rush_search *with, rush_wording says, rush_span span)
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

bool rush_repair_begin(rush_search *with)
{
    if (with->mender->work > RUSH_MEND_WORK)
        return false;
    rush_draft_copy(with->mender->trial, with->mender->now);
    return true;
}

void rush_repair_insert(rush_search *with, uint32_t at, const char *insert, rush_wording says,
                        rush_span span)
{
    if (rush_repair_begin(with) && rush_draft_splice(with->mender->trial, at, 0, insert))
        rush_repair_consider(with, says, span);
}

/* The line is set below the one above it, as deep as that. */
void rush_repair_indent_to(rush_search *with, rush_yaml_line line, uint32_t indent,
                           rush_wording says)
{
    char spaces[RUSH_INSERT_MAX];
    if (indent >= sizeof spaces || indent == rush_repair_indent(line) || !rush_repair_begin(with))
        return;
    memset(spaces, ' ', indent);
    spaces[indent] = '\0';
    if (rush_draft_splice(with->mender->trial, line.start, rush_repair_indent(line), spaces))
        rush_repair_consider(with, says, (rush_span){line.text, 1});
}
