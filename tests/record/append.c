/* Appends records to a file as the program does: append FILE ID [COUNT]
 * Each is ID-1, ID-2, …; its id is printed once it is in the file. */
#include <stdio.h>
#include <stdlib.h>

#include "record/rows.h"
#include "record_file.h"

int main(int argc, char **argv)
{
    unsigned long count = argc > 3 ? strtoul(argv[3], NULL, 10) : 1;
    if (argc < 3)
        return 2;
    for (unsigned long i = 1; i <= count; i++) {
        rush_buffer row = {0}, problem = {0};
        char id[64];
        snprintf(id, sizeof id, "%.40s-%lu", argv[2], i);
        rows_write(id, &row);
        if (!record_file_append(argv[1], (rush_text){row.bytes, row.length}, &problem)) {
            fprintf(stderr, "%s\n", problem.bytes);
            return 1;
        }
        printf("%s\n", id);
        fflush(stdout);
        rush_buffer_free(&row);
    }
    return 0;
}
