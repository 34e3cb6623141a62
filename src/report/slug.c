#include <string.h>

#include "rushlight/report.h"

enum { COLUMNS = 98 };

/* Words in lines of at most COLUMNS. */
static void write_paragraph(const char *text, rush_buffer *buffer)
{
    size_t column = 0;
    for (const char *at = text; *at;) {
        size_t length = strcspn(at, " ");
        if (column && column + 1 + length > COLUMNS) {
            rush_buffer_byte(buffer, '\n');
            column = 0;
        } else if (column) {
            rush_buffer_byte(buffer, ' ');
            column++;
        }
        rush_buffer_add(buffer, (rush_text){at, length});
        column += length;
        at += length + (at[length] == ' ');
    }
    rush_buffer_byte(buffer, '\n');
}

static void write_example(const char *heading, const char *text, rush_buffer *buffer)
{
    rush_buffer_format(buffer, "\n%s:\n\n", heading);
    while (*text) {
        size_t length = strcspn(text, "\n");
        rush_buffer_string(buffer, length ? "    " : "");
        rush_buffer_add(buffer, (rush_text){text, length}); /* our own words, tabs and all */
        rush_buffer_byte(buffer, '\n');
        text += length + (text[length] == '\n');
    }
}

void rush_report_slug(rush_slug slug, rush_buffer *buffer)
{
    const rush_explanation *explained = rush_slug_explain(slug);
    rush_buffer_format(buffer, "%s (%s): %s\n\n", rush_slug_name(slug),
                       rush_severity_name(rush_slug_severity(slug)), rush_slug_meaning(slug));
    write_paragraph(explained->text, buffer);
    if (!explained->wrong)
        return;
    write_example("Wrong", explained->wrong, buffer);
    write_example("Right", explained->right, buffer);
}
