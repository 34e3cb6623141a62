/* Runs a fuzz target over files, without a fuzzer: so that what once broke it stays mended. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

int main(int argc, char **argv)
{
    for (int i = 1; i < argc; i++) {
        FILE *file = fopen(argv[i], "rb");
        if (!file)
            return 1;
        size_t room = 1 << 20, size = 0;
        uint8_t *bytes = malloc(room);
        if (bytes)
            size = fread(bytes, 1, room, file);
        LLVMFuzzerTestOneInput(bytes, size);
        free(bytes);
        fclose(file);
    }
    printf("%d files\n", argc - 1);
    return 0;
}
