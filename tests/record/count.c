/* Reads a file of records back, strictly, and prints how many there are: count FILE
 * Fails when it is not whole, or when an id stands in it twice. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/csv_table.h"
#include "support/support.h"

static int compare(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

int main(int argc, char **argv)
{
    static const char mark[] = "\xef\xbb\xbf";
    rush_buffer text = {0};
    csv_table table;
    if (argc != 2)
        return 2;
    support_read(argv[1], &text);
    rush_text body = {text.bytes, text.length};
    if (body.length >= 3 && memcmp(body.at, mark, 3) == 0)
        body = (rush_text){body.at + 3, body.length - 3};
    if (!csv_table_read(&table, body) || !table.rows) {
        fprintf(stderr, "%s is not whole\n", argv[1]);
        return 1;
    }
    size_t count = table.rows - 1;
    const char **ids = calloc(count + 1, sizeof *ids);
    for (size_t i = 0; i < count; i++)
        ids[i] = csv_table_cell(&table, i + 1, 0);
    qsort(ids, count, sizeof *ids, compare);
    for (size_t i = 1; i < count; i++)
        if (strcmp(ids[i - 1], ids[i]) == 0) {
            fprintf(stderr, "%s stands in %s twice\n", ids[i], argv[1]);
            return 1;
        }
    printf("%zu\n", count);
    free(ids);
    csv_table_free(&table);
    rush_buffer_free(&text);
    return 0;
}
