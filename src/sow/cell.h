/* What a cell says of a trait, and how a trait is written in a cell.
 *
 * Layer: sow.
 *
 *     red   red|orange   red 0.7|orange 0.3   red 70%|orange 30%     states, one or several
 *     34   30-36   30 to 36   3,0-3,6 cm   33±2   mean 33 sd 2 n 12  numbers
 *     Apr-Oct   4-10   May|Aug-Sep   all year                        months
 *     inapplicable   unknown                                         of any character
 *
 * A name with `|` in it, or one that would be read as something else, stands in quotation marks, which are
 * doubled inside. */
#ifndef RUSH_SOW_CELL_H
#define RUSH_SOW_CELL_H

#include "base/arena.h"
#include "rushlight/text.h"

#define RUSH_CELL_UNKNOWN      "unknown"
#define RUSH_CELL_INAPPLICABLE "inapplicable"

typedef struct rush_cell_number {
    double low, high; /* ranged */
    double mean, sd;  /* else */
    uint32_t n;       /* 0: not said */
    bool ranged;
    rush_text unit; /* as written; empty: none */
} rush_cell_number;

/* The whole text is a number; a reversed range is left so. */
bool rush_cell_number_read(rush_text text, rush_cell_number *number);
void rush_cell_number_write(const rush_cell_number *number, rush_buffer *buffer);

/* A bit for each month; several seasons are separated by `|`, `,` or `;`. */
bool rush_cell_months_read(rush_text text, unsigned *months);
void rush_cell_months_write(unsigned months, const char *dash, const char *between,
                            rush_buffer *buffer);

typedef struct rush_cell_part {
    rush_text name; /* empty: nothing stands there */
    double weight;  /* below 0: none is given */
    bool quoted;
} rush_cell_part;

/* The next state of a text, which then begins behind it; false when there is no more. */
bool rush_cell_part_take(rush_text *text, rush_arena *arena, rush_cell_part *part);
/* What stands up to the next `;` outside of quotation marks; the text then begins behind it. False at its end. */
bool rush_cell_group_take(rush_text *text, rush_text *group);
/* A state; `weight` below 0: none. */
void rush_cell_part_write(rush_text name, double weight, rush_buffer *buffer);

/* Signs and words for "nothing" that spreadsheets are full of; none of them says which nothing is meant. */
bool rush_cell_is_nothing(rush_text text);

#endif
