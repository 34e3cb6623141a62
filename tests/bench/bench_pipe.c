/* Where the time of `rank --out jsonl --top 3 --next 0` goes on one thread: bench_pipe KEY LINES
 *
 * Prints microseconds of the processor a line for reading it, ranking it and writing it, and all three together. */
#include "support/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return (double)time.tv_sec + (double)time.tv_nsec * 1e-9;
}

typedef struct pipe_bench {
    rush_buffer text, out;
    rush_sighting *sighting;
    rush_ranker *ranker;
    rush_diagnostics *list;
    size_t lines;
} pipe_bench;

enum { READ = 1, RANK = 2, WRITE = 4 };

/* Goes over all lines with some of the steps; each needs those before it. */
static double run(pipe_bench *bench, int steps)
{
    double start = now();
    bench->lines = 0;
    for (size_t at = 0, length; at < bench->text.length; at += length + 1) {
        const char *stop = memchr(bench->text.bytes + at, '\n', bench->text.length - at);
        length = stop ? (size_t)(stop - bench->text.bytes) - at : bench->text.length - at;
        bench->lines++;
        rush_line line = {
            {bench->text.bytes + at, length}, "stdin", (uint32_t)bench->lines, RUSH_NONE, NULL};
        if (!rush_sighting_read(bench->sighting, &line, bench->list) || !(steps & RANK))
            continue;
        rush_result result = {.ranker = bench->ranker,
                              .ranking = rush_rank(bench->ranker, bench->sighting, NULL),
                              .file = line.file,
                              .line = line.number,
                              .top = 3};
        rush_buffer_clear(&bench->out);
        if (steps & WRITE)
            rush_report_jsonl(&result, &bench->out);
    }
    return (now() - start) * 1e6 / (double)bench->lines;
}

int main(int argc, char **argv)
{
    if (argc != 3) {
        fputs("usage: bench_pipe KEY LINES\n", stderr);
        return 2;
    }
    rush_key *key = support_key(argv[1]);
    pipe_bench bench = {.sighting = rush_sighting_new(key),
                        .ranker = rush_ranker_new(key),
                        .list = rush_diagnostics_new()};
    support_read(argv[2], &bench.text);
    run(&bench, READ | RANK | WRITE); /* warms up */
    double reading = run(&bench, READ), ranking = run(&bench, READ | RANK),
           whole = run(&bench, READ | RANK | WRITE);
    printf("%zu lines; microseconds a line: read %.2f, rank %.2f, write %.2f; together %.2f\n",
           bench.lines, reading, ranking - reading, whole - ranking, whole);
    rush_buffer_free(&bench.text);
    rush_buffer_free(&bench.out);
    rush_sighting_free(bench.sighting);
    rush_ranker_free(bench.ranker);
    rush_diagnostics_free(bench.list);
    rush_key_free(key);
    return 0;
}
