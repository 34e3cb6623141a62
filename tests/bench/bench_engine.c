/* The engine alone, on one thread: bench_engine KEY LINES
 *
 * Prints, in microseconds of the processor: one ranking, over all lines (they are read beforehand), and one look
 * next, with nothing answered and after each line's answers. */
#include "support/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { SIGHTINGS_MAX = 2000 };

typedef struct engine_bench {
    rush_key *key;
    rush_ranker *ranker;
    rush_adviser *adviser;
    rush_sighting *sightings[SIGHTINGS_MAX];
    uint32_t count;
} engine_bench;

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return ((double)time.tv_sec + (double)time.tv_nsec * 1e-9) * 1e6;
}

static void read_lines(engine_bench *bench, const char *path)
{
    rush_buffer text = {0};
    rush_diagnostics *list = rush_diagnostics_new();
    support_read(path, &text);
    for (size_t at = 0, length; at < text.length && bench->count < SIGHTINGS_MAX;
         at += length + 1) {
        const char *stop = memchr(text.bytes + at, '\n', text.length - at);
        length = stop ? (size_t)(stop - text.bytes) - at : text.length - at;
        rush_line line = {{text.bytes + at, length}, path, bench->count + 1, RUSH_NONE, NULL};
        rush_sighting *sighting = rush_sighting_new(bench->key);
        if (!rush_sighting_read(sighting, &line, list)) {
            support_show(list);
            exit(1);
        }
        bench->sightings[bench->count++] = sighting;
    }
    rush_diagnostics_free(list);
    rush_buffer_free(&text);
}

static double rank_all(engine_bench *bench)
{
    double start = now();
    for (uint32_t i = 0; i < bench->count; i++)
        rush_rank(bench->ranker, bench->sightings[i], NULL);
    return (now() - start) / bench->count;
}

static double look(engine_bench *bench, const rush_sighting *sighting, uint32_t times)
{
    const rush_look_options options = {RUSH_REACH_HAND, RUSH_LEAST_GAIN, false};
    const rush_ranking *ranking = rush_rank(bench->ranker, sighting, NULL);
    uint32_t count;
    double start = now();
    for (uint32_t i = 0; i < times; i++)
        rush_look_next(bench->adviser, ranking, &options, &count);
    return (now() - start) / times;
}

static double look_after_all(engine_bench *bench)
{
    double sum = 0;
    uint32_t count = bench->count < 200 ? bench->count : 200;
    for (uint32_t i = 0; i < count; i++)
        sum += look(bench, bench->sightings[i], 5);
    return sum / count;
}

int main(int argc, char **argv)
{
    if (argc != 3) {
        fputs("usage: bench_engine KEY LINES\n", stderr);
        return 2;
    }
    engine_bench bench = {.key = support_key(argv[1])};
    bench.ranker = rush_ranker_new(bench.key);
    bench.adviser = rush_adviser_new(bench.key);
    read_lines(&bench, argv[2]);
    rank_all(&bench); /* what is made once is made now */
    printf("rank %.2f\n", rank_all(&bench));
    rush_sighting *nothing = rush_sighting_new(bench.key);
    look(&bench, nothing, 1);
    printf("look with nothing answered %.2f\n", look(&bench, nothing, 20));
    printf("look after all answers %.2f\n", look_after_all(&bench));
    for (uint32_t i = 0; i < bench.count; i++)
        rush_sighting_free(bench.sightings[i]);
    rush_sighting_free(nothing);
    rush_adviser_free(bench.adviser);
    rush_ranker_free(bench.ranker);
    rush_key_free(bench.key);
    return 0;
}
