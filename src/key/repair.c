#include "key/repair.h"

#include <string.h>

/* The nearest line above the fault, or its own, whose quotation marks or brackets do not go in pairs. */
static void find_suspects(rush_search *with)
{
    enum { FAR = 60 };
    rush_yaml_line line = with->here;
    for (int i = 0; i < FAR && (i == 0 || !rush_repair_blank(line));
         i++, line = rush_repair_above(with->text, line)) {
        bool odd = rush_repair_signs(with->text, line, '"') % 2 ||
                   rush_repair_signs(with->text, line, '\'') % 2;
        if (odd && rush_repair_blank(with->quoted))
            with->quoted = line;
        rush_brackets found = rush_repair_brackets(with->text, line);
        if ((found.count || found.wrong < line.stop) && rush_repair_blank(with->opened))
            with->opened = line;
    }
}

/* An escape that is not known: without its backslash. */
static void mend_escape(rush_search *with)
{
    uint32_t at = with->fault->at;
    for (uint32_t i = at > with->here.text ? at - 1 : at; i <= at && i < with->text.length; i++)
        if (with->text.at[i] == '\\' && rush_repair_begin(with)) {
            rush_draft_blank(with->mender->trial, i, i + 1);
            rush_repair_consider(with, (rush_wording){0}, (rush_span){0});
        }
}

/* `-item`, where `- item` is wanted. */
static void mend_dash(rush_search *with, rush_yaml_line line)
{
    static const rush_wording says = {"a dash without a space behind it",
                                      "begin each item of the list with '- '"};
    uint32_t at = line.text;
    if (at + 1 < line.stop && with->text.at[at] == '-' && !strchr(" -", with->text.at[at + 1]))
        rush_repair_insert(with, at + 1, " ", says, (rush_span){at, 1});
}

/* All changes that are known for the kind of fault, the most likely first. */
static void try_all(rush_search *with)
{
    find_suspects(with);
    rush_repair_drawing(with);
    rush_repair_braced_drawing(with);
    rush_yaml_line began = rush_repair_line_at(
        with->text, with->fault->context ? with->fault->context_at : with->fault->at);
    if (rush_repair_signs(with->text, with->quoted, '"') % 2)
        rush_repair_open_quote(with, with->quoted, '"');
    rush_repair_inner_quotes(with);
    if (rush_repair_signs(with->text, with->quoted, '\'') % 2)
        rush_repair_open_quote(with, with->quoted, '\'');
    rush_repair_close(with, with->opened);
    rush_repair_colon(with, with->above);
    rush_repair_colon(with, began);
    rush_repair_colon(with, with->here);
    mend_dash(with, with->above);
    mend_dash(with, with->here);
    rush_repair_comma(with);
    rush_repair_unquoted(with);
    mend_escape(with);
    rush_repair_layout(with);
}

rush_repair rush_repair_find(rush_mender *mender, const rush_fault *fault)
{
    rush_search with = {.mender = mender, .text = rush_mender_text(mender), .fault = fault};
    with.here = rush_repair_line_at(with.text, fault->at);
    if (rush_repair_blank(with.here) && with.here.start)
        with.here = rush_repair_above(with.text, with.here);
    with.above = rush_repair_above(with.text, with.here);
    with.best = with.usual = rush_syntax_words(with.text, fault);
    with.past = rush_mender_source(mender, with.here.end);
    uint32_t tab;
    if (fault->swallows) {
        rush_repair_open_quote(&with, with.here, with.text.at[fault->at]);
    } else if (rush_syntax_tab(with.text, fault->at, &tab)) {
        rush_repair_tab(&with, tab);
    } else {
        try_all(&with);
        /* Where the line has a second fault, getting to that one must do. */
        with.past = rush_mender_source(mender, fault->at);
        if (!with.best.reaches)
            try_all(&with);
    }
    if (!with.best.reaches)
        rush_repair_leave_out(&with, with.here);
    if (!with.best.reaches)
        rush_repair_leave_out(&with, with.above);
    return with.best;
}
