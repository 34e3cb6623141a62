#include "key/repair.h"

#include <string.h>

/* ---- tabs --------------------------------------------------------------------------------------- */

/* Tabs that indent a run of lines become `width` spaces each; in the first line also the one at fault. */
static void try_tabs(rush_search *with, uint32_t tab, uint32_t width)
{
    static const char spaces[] = "        ";
    if (!rush_repair_begin(with))
        return;
    rush_draft *trial = with->mender->trial;
    for (uint32_t at = tab; at < trial->length && trial->bytes[at] == '\t';) {
        rush_draft_splice(trial, at, 1, spaces + 8 - width);
        rush_yaml_line line = rush_repair_line_at((rush_text){trial->bytes, trial->length}, at);
        for (uint32_t i = line.text; i-- > line.start;)
            if (trial->bytes[i] == '\t')
                rush_draft_splice(trial, i, 1, spaces + 8 - width);
        line = rush_repair_line_at((rush_text){trial->bytes, trial->length}, at);
        at = rush_repair_below((rush_text){trial->bytes, trial->length}, line).start;
    }
    rush_repair_consider(with, (rush_wording){0}, (rush_span){0});
}

/* One line alone is set as the lines around it are: what stands below its name stays deeper. */
static void try_tabbed_line(rush_search *with, uint32_t tab)
{
    rush_yaml_line line = rush_repair_line_at(with->text, tab),
                   below = rush_repair_below(with->text, line);
    if (rush_repair_blank(line))
        return;
    bool heads = with->text.at[line.stop - 1] == ':', item = with->text.at[line.text] == '-';
    if (item && rush_repair_indent(below) >= 2)
        rush_repair_indent_to(with, line, rush_repair_indent(below) - 2, (rush_wording){0});
    bool headed = !rush_repair_blank(with->above) && with->text.at[with->above.stop - 1] == ':';
    if (headed && rush_repair_indent(below) <= rush_repair_indent(with->above))
        rush_repair_indent_to(with, line, rush_repair_indent(with->above) + 2, (rush_wording){0});
    if (!heads)
        rush_repair_indent_to(with, line, rush_repair_indent(below), (rush_wording){0});
    if (!heads || rush_repair_indent(with->above) < rush_repair_indent(below))
        rush_repair_indent_to(with, line, rush_repair_indent(with->above), (rush_wording){0});
    if (heads && rush_repair_indent(below) >= 2)
        rush_repair_indent_to(with, line, rush_repair_indent(below) - 2, (rush_wording){0});
}

void rush_repair_tab(rush_search *with, uint32_t tab)
{
    with->best = with->usual = (rush_repair){.slug = RUSH_TAB,
                                             .span = {tab, 1},
                                             .ours = "a tab where YAML wants spaces",
                                             .help = "indent with spaces only"};
    static const uint32_t widths[] = {2, 4, 1, 8};
    rush_yaml_line below = rush_repair_below(with->text, rush_repair_line_at(with->text, tab));
    bool alone = below.start >= with->text.length || with->text.at[below.start] != '\t';
    if (alone)
        try_tabbed_line(with, tab);
    for (size_t i = 0; i < sizeof widths / sizeof *widths; i++)
        try_tabs(with, tab, widths[i]);
    if (!alone)
        try_tabbed_line(with, tab);
}

/* ---- layout ------------------------------------------------------------------------------------------ */

/* Line art whose first row begins further in than another one: a `|` alone takes its depth from the first. */
void rush_repair_drawing(rush_search *with)
{
    static const rush_wording says = {
        "a drawing whose first line does not begin furthest to the left",
        "write |2 in place of |, and let no line begin less than two spaces further in than the field"};
    enum { FAR = 40 };
    rush_yaml_line line = with->above;
    for (int i = 0; i < FAR && !rush_repair_blank(line);
         i++, line = rush_repair_above(with->text, line)) {
        if (rush_repair_indent(line) >= rush_repair_indent(with->here))
            continue;
        if (with->text.at[line.stop - 1] == '|')
            rush_repair_insert(
                with, line.stop,
                rush_repair_indent(with->here) > rush_repair_indent(line) + 1 ? "2" : "1", says,
                (rush_span){line.stop - 1, 1});
        return;
    }
}

/* The columns in which the lines above begin, each nearer to the margin than the one before. What stands set
 * below a name must stay so: `below` is how deep. */
static void try_levels(rush_search *with, uint32_t below)
{
    static const rush_wording says = {"a line that does not line up with the fields above it",
                                      "fields of one thing begin in the same column"};
    static const rush_wording item = {"a line that does not line up with its list",
                                      "begin each item of the list with '- ' in the same column"};
    enum { LEVELS = 6 };
    rush_yaml_line line = with->above;
    uint32_t least = UINT32_MAX;
    for (int level = 0; level < LEVELS && !rush_repair_blank(line);
         line = rush_repair_above(with->text, line)) {
        if (rush_repair_indent(line) >= least)
            continue;
        least = rush_repair_indent(line);
        level++;
        bool dash = with->text.at[line.text] == '-';
        if (least < below)
            rush_repair_indent_to(with, with->here, least,
                                  dash && with->text.at[with->here.text] == '-' ? item : says);
        if (dash && least + 2 < below)
            rush_repair_indent_to(with, with->here, least + 2, says);
    }
    if (with->text.at[with->above.text] == '-')
        rush_repair_insert(with, with->here.text, "- ", item, (rush_span){with->here.text, 1});
}

/* Or it is the first of these lines that is off, by a space too many or too few. */
static void try_first(rush_search *with)
{
    static const rush_wording says = {"a line that does not line up with the fields below it",
                                      "fields of one thing begin in the same column"};
    uint32_t wanted = rush_repair_indent(with->here);
    rush_yaml_line first = {0};
    for (rush_yaml_line line = with->above;
         !rush_repair_blank(line) && rush_repair_indent(line) > wanted;
         line = rush_repair_above(with->text, line))
        if (rush_repair_blank(first) || rush_repair_indent(line) <= rush_repair_indent(first))
            first = line;
    if (!rush_repair_blank(first))
        rush_repair_indent_to(with, first, wanted, says);
    rush_yaml_line began = with->fault->context
                               ? rush_repair_line_at(with->text, with->fault->context_at)
                               : with->above;
    if (began.start < with->here.start && rush_repair_indent(began) + 1 == wanted)
        rush_repair_indent_to(with, began, wanted, says);
    if (rush_repair_blank(with->above))
        return;
    if (rush_repair_indent(with->above) + 1 == wanted)
        rush_repair_indent_to(with, with->above, wanted, says);
    if (with->text.at[with->above.text] == '-' && wanted >= 2)
        rush_repair_indent_to(with, with->above, wanted - 2, says);
}

void rush_repair_layout(rush_search *with)
{
    rush_yaml_line below = rush_repair_below(with->text, with->here);
    bool heads = !rush_repair_blank(with->here) && with->text.at[with->here.stop - 1] == ':' &&
                 rush_repair_indent(below) > rush_repair_indent(with->here);
    if (heads)
        try_levels(with, rush_repair_indent(below));
    if (!heads || !with->best.reaches)
        try_levels(with, UINT32_MAX);
    try_first(with);
}

/* ---- leaving out ------------------------------------------------------------------------------------- */

/* The value behind a name; the line; the line with all that is set deeper below it. */
void rush_repair_leave_out(rush_search *with, rush_yaml_line line)
{
    if (rush_repair_blank(line))
        return;
    uint32_t value = rush_repair_value_at(with->text, line);
    if (value > line.text && value < line.stop && rush_repair_begin(with)) {
        rush_draft_blank(with->mender->trial, value, line.end);
        rush_repair_consider(with, (rush_wording){0}, (rush_span){0});
    }
    if (!with->best.reaches && rush_repair_begin(with)) {
        rush_draft_blank(with->mender->trial, line.start, line.end);
        rush_repair_consider(with, (rush_wording){0}, (rush_span){0});
    }
    uint32_t end = line.end;
    for (rush_yaml_line below = rush_repair_below(with->text, line);
         below.start < with->text.length && rush_repair_indent(below) > rush_repair_indent(line);
         below = rush_repair_below(with->text, below))
        end = below.end;
    if (!with->best.reaches && end > line.end && rush_repair_begin(with)) {
        rush_draft_blank(with->mender->trial, line.start, end);
        rush_repair_consider(with, (rush_wording){0}, (rush_span){0});
    }
}
