/* The least that reading a key can take: libyaml's events of a file, and nothing done with them. events FILE */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <yaml.h>

static unsigned char *read_all(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    if (!file || fseek(file, 0, SEEK_END) != 0)
        return NULL;
    long size = ftell(file);
    rewind(file);
    unsigned char *bytes = size > 0 ? malloc((size_t)size) : NULL;
    *length = bytes ? fread(bytes, 1, (size_t)size, file) : 0;
    fclose(file);
    return bytes;
}

int main(int argc, char **argv)
{
    size_t length = 0, events = 0;
    unsigned char *bytes = argc == 2 ? read_all(argv[1], &length) : NULL;
    if (!bytes) {
        fputs("usage: events FILE\n", stderr);
        return 2;
    }
    yaml_parser_t parser;
    yaml_event_t event;
    bool end = !yaml_parser_initialize(&parser);
    yaml_parser_set_input_string(&parser, bytes, length);
    while (!end && yaml_parser_parse(&parser, &event)) {
        end = event.type == YAML_STREAM_END_EVENT;
        events++;
        yaml_event_delete(&event);
    }
    yaml_parser_delete(&parser);
    free(bytes);
    printf("%zu events\n", events);
    return end ? 0 : 1;
}
