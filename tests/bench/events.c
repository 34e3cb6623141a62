/* The least that reading a key can take: libyaml's events of each file, and nothing done with them.
 * events FILE... */
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

/* Adds the events; false when it is no YAML. */
static bool count_events(const char *path, size_t *events)
{
    size_t length = 0;
    unsigned char *bytes = read_all(path, &length);
    yaml_parser_t parser;
    yaml_event_t event;
    bool end = !bytes || !yaml_parser_initialize(&parser), good = false;
    if (!end)
        yaml_parser_set_input_string(&parser, bytes, length);
    while (!end && yaml_parser_parse(&parser, &event)) {
        good = end = event.type == YAML_STREAM_END_EVENT;
        ++*events;
        yaml_event_delete(&event);
    }
    if (bytes)
        yaml_parser_delete(&parser);
    free(bytes);
    return good;
}

int main(int argc, char **argv)
{
    size_t events = 0;
    bool good = argc > 1;
    for (int i = 1; i < argc; i++)
        good &= count_events(argv[i], &events);
    printf("%zu events\n", events);
    return good ? 0 : 1;
}
