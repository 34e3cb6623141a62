/* How a fault of layout is answered: the pieces of the search for the smallest change. Private to the repair files.
 *
 * Layer: key. repair_line.c: lines of the copy, and trying a change; repair_marks.c: colons, quotation marks,
 * brackets, commas; repair_layout.c: tabs, columns, leaving out; repair.c: the order in which all of it is tried. */
#ifndef RUSH_KEY_REPAIR_H
#define RUSH_KEY_REPAIR_H

#include "key/mend.h"
#include "key/syntax.h"

/* A line of the copy: where it begins, where its own text does and ends (without a comment). */
typedef struct rush_yaml_line {
    uint32_t start, text, stop, end;
} rush_yaml_line;

typedef struct rush_search {
    rush_mender *mender;
    rush_text text; /* of the copy */
    const rush_fault *fault;
    rush_yaml_line here, above, opened,
        quoted;    /* of the fault; those that may be to blame for it */
    uint32_t past; /* in the author's text: a repair must let the reading get beyond this */
    rush_repair usual, best; /* what libyaml's own words give; what is known by now */
} rush_search;

/* What one kind of change says. */
typedef struct rush_wording {
    const char *ours, *help;
} rush_wording;

/* The brackets of a line that have no partner in it. */
enum { BRACKETS_MAX = 16 };

typedef struct rush_brackets {
    uint32_t open[BRACKETS_MAX]; /* where those without a partner stand */
    unsigned count;
    uint32_t wrong; /* the first closing one that suits none, or the line's stop */
} rush_brackets;

/* repair_line.c: lines, and trying. */
rush_yaml_line rush_repair_line_at(rush_text text, uint32_t at);
bool rush_repair_blank(rush_yaml_line line);
uint32_t rush_repair_indent(rush_yaml_line line);
rush_yaml_line rush_repair_above(rush_text text, rush_yaml_line line);
rush_yaml_line rush_repair_below(rush_text text, rush_yaml_line line);
unsigned rush_repair_signs(rush_text text, rush_yaml_line line, char sign);
/* The trial is whole: when the reading gets further with it than so far, it is the best. */
void rush_repair_consider(rush_search *with, rush_wording says, rush_span span);
/* A trial, as the copy is now; false when enough has been read. */
bool rush_repair_begin(rush_search *with);
void rush_repair_insert(rush_search *with, uint32_t at, const char *insert, rush_wording says,
                        rush_span span);
void rush_repair_indent_to(rush_search *with, rush_yaml_line line, uint32_t indent,
                           rush_wording says);

/* repair_marks.c: colons, quotation marks, brackets. */
uint32_t rush_repair_value_at(rush_text text, rush_yaml_line line);
void rush_repair_colon(rush_search *with, rush_yaml_line whole);
void rush_repair_unquoted(rush_search *with);
void rush_repair_inner_quotes(rush_search *with);
void rush_repair_open_quote(rush_search *with, rush_yaml_line line, char quote);
rush_brackets rush_repair_brackets(rush_text text, rush_yaml_line line);
void rush_repair_close(rush_search *with, rush_yaml_line line);
void rush_repair_comma(rush_search *with);
void rush_repair_braced_drawing(rush_search *with);

/* repair_layout.c: tabs, columns, leaving out. */
void rush_repair_tab(rush_search *with, uint32_t tab);
void rush_repair_layout(rush_search *with);
void rush_repair_leave_out(rush_search *with, rush_yaml_line line);
void rush_repair_drawing(rush_search *with);

#endif
