/* The engine alone, on one thread: bench_engine KEY LINES [RESULTS]
 *
 * Prints, in microseconds of the processor: one ranking, the mean over all lines (they are read beforehand, and what
 * their answers are worth is known); one look next with nothing answered, and after the first 8 answers of a line.
 * RESULTS gets what came out, for others to compare: of each line the first taxon and its probability, then
 * each look's gains by character. */
#include "support/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { SIGHTINGS_MAX = 2000, LOOKS = 20, EIGHT = 8 };

typedef struct engine_bench {
    rush_key *key;
    rush_ranker *ranker;
    rush_adviser *adviser;
    rush_sighting *sightings[SIGHTINGS_MAX];
    uint32_t count;
    FILE *results;
} engine_bench;

static const rush_rank_options three = {.top = 3};

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

static void rank_all(engine_bench *bench)
{
    for (uint32_t i = 0; i < bench->count; i++)
        rush_rank(bench->ranker, bench->sightings[i], &three);
}

static double time_ranking(engine_bench *bench)
{
    double start = now();
    rank_all(bench);
    return (now() - start) / bench->count;
}

static void write_rankings(engine_bench *bench)
{
    for (uint32_t i = 0; i < bench->count; i++) {
        const rush_ranking *ranking = rush_rank(bench->ranker, bench->sightings[i], &three);
        fprintf(bench->results, "%s\t%.9f\n",
                rush_key_taxon(bench->key, ranking->candidates[0].taxon)->name,
                ranking->candidates[0].probability);
    }
}

static double look(engine_bench *bench, const rush_sighting *sighting, uint32_t times)
{
    static const rush_look_options all = {RUSH_REACH_HAND, 0, false};
    const rush_ranking *ranking = rush_rank(bench->ranker, sighting, &three);
    const rush_look *looks = NULL;
    uint32_t count = 0;
    double start = now();
    for (uint32_t i = 0; i < times; i++)
        looks = rush_look_next(bench->adviser, ranking, &all, &count);
    double taken = (now() - start) / times;
    for (uint32_t i = 0; bench->results && i < count; i++)
        fprintf(bench->results, "%s%s %.9f", i ? "\t" : "",
                rush_key_character(bench->key, looks[i].character)->id, looks[i].gain);
    if (bench->results)
        fprintf(bench->results, "\n");
    return taken;
}

/* Takes back the answers behind the first eight. */
static double look_after_eight(engine_bench *bench, uint32_t at)
{
    rush_sighting *sighting = bench->sightings[at];
    while (rush_sighting_answer_count(sighting) > EIGHT)
        rush_sighting_drop(sighting, rush_sighting_answer(sighting, EIGHT)->character);
    return look(bench, sighting, 2);
}

static void measure(engine_bench *bench)
{
    rank_all(bench); /* what is made once is made now */
    printf("rank %.2f\n", time_ranking(bench));
    if (bench->results)
        write_rankings(bench);
    rush_sighting *nothing = rush_sighting_new(bench->key);
    FILE *results = bench->results;
    bench->results = NULL;
    look(bench, nothing, 1);
    bench->results = results;
    printf("look %.2f\n", look(bench, nothing, 10));
    double sum = 0;
    uint32_t looks = bench->count < LOOKS ? bench->count : LOOKS;
    for (uint32_t i = 0; i < looks; i++)
        sum += look_after_eight(bench, i);
    printf("look8 %.2f\n", sum / looks);
    rush_sighting_free(nothing);
}

int main(int argc, char **argv)
{
    if (argc != 3 && argc != 4) {
        fputs("usage: bench_engine KEY LINES [RESULTS]\n", stderr);
        return 2;
    }
    engine_bench bench = {.key = support_key(argv[1])};
    bench.ranker = rush_ranker_new(bench.key);
    bench.adviser = rush_adviser_new(bench.key);
    bench.results = argc == 4 ? fopen(argv[3], "w") : NULL;
    read_lines(&bench, argv[2]);
    measure(&bench);
    for (uint32_t i = 0; i < bench.count; i++)
        rush_sighting_free(bench.sightings[i]);
    rush_adviser_free(bench.adviser);
    rush_ranker_free(bench.ranker);
    rush_key_free(bench.key);
    return bench.results ? fclose(bench.results) != 0 : 0;
}
