/* How fast one thread reads memory, in GB/s: the sum of a buffer far larger than any cache, the best of some runs. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { MEGABYTES = 512, RUNS = 7 };

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + (double)time.tv_nsec * 1e-9;
}

int main(void)
{
    size_t count = (size_t)MEGABYTES * 1024 * 1024 / sizeof(uint64_t);
    uint64_t *buffer = malloc(count * sizeof *buffer), sum = 0;
    if (!buffer)
        return 1;
    for (size_t i = 0; i < count; i++)
        buffer[i] = i;
    double least = 1e9;
    for (int run = 0; run < RUNS; run++) {
        double start = now(), taken;
        for (size_t i = 0; i < count; i++)
            sum += buffer[i];
        taken = now() - start;
        least = taken < least ? taken : least;
    }
    free(buffer);
    printf("%.1f\n", (double)count * sizeof *buffer / least / 1e9);
    return sum == 0;
}
