#include "record/rows.h"

void rows_write(const char *id, rush_buffer *row)
{
    rush_buffer header = {0};
    rush_darwin_core_header(&header);
    rush_buffer_format(row, "%s,\"by the \"\"far\"\" bank, among reeds\"", id);
    for (size_t i = 0, commas = 0; i < header.length; i++)
        if (header.bytes[i] == ',' && ++commas > 1)
            rush_buffer_string(row, ",x");
    rush_buffer_byte(row, '\n');
    rush_buffer_free(&header);
}
