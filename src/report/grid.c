#include "report/grid.h"

#include <stdlib.h>
#include <string.h>

#include "base/unicode.h"
#include "report/words.h"

enum {
    GAP = 2,            /* columns between cells */
    CELL_MIN = 6,       /* columns which even the narrowest screen leaves a cell */
    COLUMNS_MIN = 20,   /* of a screen */
    CELLS_MANY = 100000 /* a larger table is set in one way only */
};
/* Columns of a cell before its text goes on below: what is tried, the usual one first. */
static const size_t cell_widths[] = {24, 12, 16, 20, 32, 40};

/* ---- the grid ------------------------------------------------------------------------------------ */

bool rush_grid_row(rush_grid *grid)
{
    if (grid->rows == grid->room) {
        uint32_t room = grid->room ? 2 * grid->room : 16;
        size_t *start =
            realloc(grid->start, ((size_t)room * grid->columns + 1) * sizeof *grid->start);
        if (!start)
            return false;
        grid->start = start;
        grid->room = room;
    }
    grid->start[(size_t)grid->rows * grid->columns] = grid->text.length;
    grid->rows++;
    grid->filled = 0;
    return true;
}

void rush_grid_cell(rush_grid *grid)
{
    grid->start[(size_t)(grid->rows - 1) * grid->columns + ++grid->filled] = grid->text.length;
}

rush_text rush_grid_text(const rush_grid *grid, uint32_t row, uint32_t column)
{
    const size_t *start = &grid->start[(size_t)row * grid->columns + column];
    return (rush_text){grid->text.length ? grid->text.bytes + start[0] : "", start[1] - start[0]};
}

void rush_grid_cut(rush_grid *grid, uint32_t count)
{
    grid->rows = count;
    grid->text.length = grid->start[(size_t)count * grid->columns];
}

void rush_grid_free(rush_grid *grid)
{
    free(grid->start);
    rush_buffer_free(&grid->text);
}

/* ---- lines within a cell ------------------------------------------------------------------------- */

/* Takes the next line of at most `width` columns off a text: whole words, or as much of one as there is
 * room for. */
static rush_text take_line(rush_text *rest, size_t width)
{
    size_t end = 0, columns = 0, space = 0;
    while (end < rest->length) {
        size_t length;
        rush_unicode_at(*rest, end, &length);
        size_t more = rush_text_columns((rush_text){rest->at + end, length});
        if (rest->at[end] == ' ')
            space = end;
        if (end && columns + more > width)
            break;
        columns += more;
        end += length;
    }
    if (end < rest->length && space)
        end = space;
    rush_text line = {rest->at, end};
    while (end < rest->length && rest->at[end] == ' ')
        end++;
    *rest = (rush_text){rest->at + end, rest->length - end};
    return line;
}

static size_t lines_of(rush_text text, size_t width)
{
    size_t lines = 0;
    for (; text.length; lines++)
        take_line(&text, width);
    return lines;
}

static size_t longest_word(rush_text text)
{
    size_t longest = 0;
    for (size_t at = 0, end; at < text.length; at = end + 1) {
        const char *space = memchr(text.at + at, ' ', text.length - at);
        end = space ? (size_t)(space - text.at) : text.length;
        size_t columns = rush_text_columns((rush_text){text.at + at, end - at});
        longest = columns > longest ? columns : longest;
    }
    return longest;
}

/* ---- one way of setting it ----------------------------------------------------------------------- */

typedef struct grid_setting {
    const rush_grid *grid;
    const uint32_t *shown;
    bool turned; /* rows of the grid stand across */
    uint32_t down, across;
    size_t columns; /* of the screen */
    size_t most;    /* columns of a cell, but for a longer word */
    size_t *widths; /* by column */
} grid_setting;

static rush_text cell_at(const grid_setting *set, uint32_t down, uint32_t across)
{
    return set->turned ? rush_grid_text(set->grid, across, set->shown[down])
                       : rush_grid_text(set->grid, down, set->shown[across]);
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* As wide as its widest cell, but for what goes on below; no word is broken while there is room for it. */
static size_t column_width(const grid_setting *set, uint32_t across, size_t most, size_t room)
{
    size_t width = 1, word = 1;
    for (uint32_t down = 0; down < set->down; down++) {
        rush_text text = cell_at(set, down, across);
        size_t columns = rush_text_columns(text);
        width = columns > width ? columns : width;
        columns = columns > most ? longest_word(text) : 0;
        word = columns > word ? columns : word;
    }
    return least(least(width, most > word ? most : word), room);
}

static void find_widths(grid_setting *set)
{
    size_t third = set->columns / 3 + 1, room = set->columns - GAP - CELL_MIN;
    set->widths[0] = column_width(set, 0, least(third, set->most + GAP), least(room, third));
    for (uint32_t a = 1; a < set->across; a++)
        set->widths[a] = column_width(set, a, set->most, set->columns - set->widths[0] - GAP);
}

/* The column behind the last that fits beside the names. */
static uint32_t block_end(const grid_setting *set, uint32_t from)
{
    size_t width = set->widths[0];
    uint32_t to = from;
    while (to < set->across && (to == from || width + GAP + set->widths[to] <= set->columns))
        width += GAP + set->widths[to++];
    return to;
}

static size_t row_lines(const grid_setting *set, uint32_t down, uint32_t from, uint32_t to)
{
    size_t lines = lines_of(cell_at(set, down, 0), set->widths[0]);
    for (uint32_t a = from; a < to; a++) {
        size_t here = lines_of(cell_at(set, down, a), set->widths[a]);
        lines = here > lines ? here : lines;
    }
    return lines ? lines : 1;
}

/* Lines of the whole table. */
static size_t height(const grid_setting *set)
{
    size_t lines = 0;
    for (uint32_t from = 1; from < set->across;) {
        uint32_t to = block_end(set, from);
        for (uint32_t down = 0; down < set->down; down++)
            lines += row_lines(set, down, from, to);
        lines += 2;
        from = to;
    }
    return lines;
}

/* ---- the best way -------------------------------------------------------------------------------- */

/* Finds the widths of a setting; false when there is no memory. */
static bool set_up(grid_setting *set)
{
    set->widths = malloc(set->across * sizeof *set->widths);
    if (set->widths)
        find_widths(set);
    return set->widths;
}

/* Keeps the lower of two settings, the first of equal ones. */
static void keep_lower(grid_setting *best, const grid_setting *other)
{
    bool lower = !best->widths || height(other) < height(best);
    free(lower ? best->widths : other->widths);
    if (lower)
        *best = *other;
}

/* The one that takes the fewest lines; of equal ones with the grid's rows down. */
static bool choose(const grid_setting *upright, rush_table_way down, grid_setting *best)
{
    bool many = (size_t)upright->down * upright->across > CELLS_MANY;
    bool stand = down != RUSH_DOWN_CHARACTERS, turn = down != RUSH_DOWN_TAXA && !(many && stand);
    size_t tries = many ? 1 : sizeof cell_widths / sizeof *cell_widths;
    for (int turned = !stand; turned <= (int)turn; turned++)
        for (size_t i = 0; i < tries; i++) {
            grid_setting set = *upright;
            set.turned = turned;
            set.down = turned ? upright->across : upright->down;
            set.across = turned ? upright->down : upright->across;
            set.most = cell_widths[i];
            if (!set_up(&set))
                return false;
            keep_lower(best, &set);
        }
    return true;
}

/* ---- writing ------------------------------------------------------------------------------------- */

void rush_grid_piece(rush_text text, rush_buffer *buffer)
{
    size_t length = strlen(RUSH_GRID_JOINED);
    for (size_t at = 0; at < text.length; at++) {
        bool joined =
            text.length - at >= length && memcmp(text.at + at, RUSH_GRID_JOINED, length) == 0;
        rush_buffer_byte(buffer, joined ? ' ' : text.at[at]);
        at += joined ? length - 1 : 0;
    }
}

static void end_line(rush_buffer *buffer)
{
    while (!buffer->failed && buffer->length && buffer->bytes[buffer->length - 1] == ' ')
        buffer->length--;
    rush_buffer_byte(buffer, '\n');
}

/* The `line`-th line of a cell, filled up with spaces. */
static void write_line(const grid_setting *set, uint32_t down, uint32_t across, size_t line,
                       rush_buffer *buffer)
{
    rush_text rest = cell_at(set, down, across), piece = {"", 0};
    for (size_t i = 0; i <= line; i++)
        piece = take_line(&rest, set->widths[across]);
    rush_grid_piece(piece, buffer);
    rush_buffer_fill(buffer, ' ', set->widths[across] - rush_text_columns(piece) + GAP);
}

/* One row behind its name: as many lines as its longest cell. */
static void write_row(const grid_setting *set, uint32_t down, uint32_t from, uint32_t to,
                      rush_buffer *buffer)
{
    size_t lines = row_lines(set, down, from, to);
    for (size_t line = 0; line < lines; line++) {
        write_line(set, down, 0, line, buffer);
        for (uint32_t a = from; a < to; a++)
            write_line(set, down, a, line, buffer);
        end_line(buffer);
    }
}

static void write_block(const grid_setting *set, uint32_t from, uint32_t to, rush_buffer *buffer)
{
    write_row(set, 0, from, to, buffer);
    rush_buffer_fill(buffer, '-', set->widths[0]);
    for (uint32_t a = from; a < to; a++) {
        rush_buffer_fill(buffer, ' ', GAP);
        rush_buffer_fill(buffer, '-', set->widths[a]);
    }
    rush_buffer_byte(buffer, '\n');
    for (uint32_t down = 1; down < set->down; down++)
        write_row(set, down, from, to, buffer);
}

void rush_grid_write(const rush_grid *grid, const uint32_t *shown, uint32_t shown_count,
                     rush_table_way down, uint32_t screen_columns, rush_buffer *buffer)
{
    grid_setting upright = {.grid = grid,
                            .shown = shown,
                            .down = grid->rows,
                            .across = shown_count,
                            .columns =
                                screen_columns > COLUMNS_MIN ? screen_columns : COLUMNS_MIN};
    grid_setting set = {0};
    if (choose(&upright, down, &set)) {
        for (uint32_t from = 1, to; from < set.across; from = to) {
            to = block_end(&set, from);
            rush_buffer_string(buffer, from > 1 ? "\n" : "");
            write_block(&set, from, to, buffer);
        }
    } else {
        buffer->failed = true;
    }
    free(set.widths);
}
