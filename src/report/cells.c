#include "report/cells.h"

#include "report/words.h"

/* Adds a cell to the right; the cell is freed. */
static void add_right(rush_buffer *cell, size_t width, rush_buffer *buffer)
{
    rush_buffer_fill(buffer, ' ', cell->length < width ? width - cell->length : 0);
    rush_buffer_add(buffer, (rush_text){cell->bytes, cell->length});
    buffer->failed |= cell->failed;
    rush_buffer_free(cell);
}

void rush_cell_percent(double part, size_t width, rush_buffer *buffer)
{
    rush_buffer cell = {0};
    double percent = part * 100;
    if (percent > 0 && percent < 0.05)
        rush_buffer_string(&cell, "<0.1 %");
    else if (percent < 100 && percent >= 99.95)
        rush_buffer_string(&cell, ">99.9 %");
    else {
        rush_buffer_decimal(&cell, percent, 1);
        rush_buffer_string(&cell, " %");
    }
    add_right(&cell, width, buffer);
}

void rush_cell_number(double value, int decimals, size_t width, rush_buffer *buffer)
{
    rush_buffer cell = {0};
    rush_buffer_decimal(&cell, value, decimals);
    add_right(&cell, width, buffer);
}

void rush_cell_whole(uint32_t value, size_t width, rush_buffer *buffer)
{
    rush_buffer cell = {0};
    rush_buffer_format(&cell, "%u", value);
    add_right(&cell, width, buffer);
}

void rush_cell_text(const char *text, size_t width, rush_buffer *buffer)
{
    size_t columns = rush_text_columns(rush_text_of(text));
    rush_buffer_safe(buffer, rush_text_of(text));
    rush_buffer_fill(buffer, ' ', columns < width ? width - columns : 0);
}

void rush_cell_head(const char *text, size_t width, rush_buffer *buffer)
{
    rush_buffer cell = {0};
    rush_buffer_string(&cell, text);
    add_right(&cell, width, buffer);
}
