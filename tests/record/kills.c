/* Sessions that append are killed at random moments: the file must be whole at every look, with each
 * finished record in it once: kills FILE [KILLS [SEED]]
 * Two sessions run at a time, so that kills fall on waiting for the lock too. The environment's KILLS
 * says how many; at most twenty seconds are spent. */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "record/rows.h"
#include "record_file.h"
#include "support/csv_table.h"
#include "support/support.h"

enum { AT_ONCE = 2, SECONDS = 20, LOOK_EVERY = 20 };

typedef struct session {
    pid_t process;
    int finished; /* a pipe: one byte for each record that is in the file */
} session;

/* How many records each session has finished. */
typedef struct tally {
    uint32_t *finished, *found;
    size_t sessions;
} tally;

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + (double)time.tv_nsec * 1e-9;
}

static void wait_for(double seconds)
{
    struct timespec time = {(time_t)seconds, (long)((seconds - (double)(time_t)seconds) * 1e9)};
    nanosleep(&time, NULL);
}

_Noreturn static void append_for_ever(const char *path, size_t number, int finished)
{
    for (unsigned i = 0;; i++) {
        rush_buffer row = {0}, problem = {0};
        char id[64];
        snprintf(id, sizeof id, "%zu-%u", number, i);
        rows_write(id, &row);
        if (!record_file_append(path, (rush_text){row.bytes, row.length}, &problem)) {
            fprintf(stderr, "%s\n", problem.bytes);
            _exit(1);
        }
        if (write(finished, "x", 1) != 1)
            _exit(1);
        rush_buffer_free(&row);
    }
}

static session begin_session(const char *path, size_t number)
{
    int ends[2];
    if (pipe(ends) != 0)
        abort();
    session made = {.process = fork(), .finished = ends[0]};
    if (made.process < 0)
        abort();
    if (made.process == 0) {
        close(ends[0]);
        append_for_ever(path, number, ends[1]);
    }
    close(ends[1]);
    return made;
}

/* False when it had ended by itself, which it never should. */
static bool kill_session(const session *killed, uint32_t *finished)
{
    int status;
    char bytes[256];
    kill(killed->process, SIGKILL);
    waitpid(killed->process, &status, 0);
    for (ssize_t got; (got = read(killed->finished, bytes, sizeof bytes)) > 0;)
        *finished += (uint32_t)got;
    close(killed->finished);
    return WIFSIGNALED(status);
}

/* Each record that was finished is there once; one more of a session may be, whose end was not told. */
static bool look(const char *path, tally *all)
{
    rush_buffer text = {0};
    csv_table table;
    if (access(path, F_OK) != 0)
        return true;
    support_read(path, &text);
    bool good = csv_table_read(&table, (rush_text){text.bytes, text.length});
    memset(all->found, 0, all->sessions * sizeof *all->found);
    for (size_t row = 1; good && row < table.rows; row++) {
        char *rest;
        size_t number = strtoul(csv_table_cell(&table, row, 0), &rest, 10);
        good = number < all->sessions && strtoul(rest + 1, NULL, 10) == all->found[number]++;
    }
    for (size_t i = 0; good && i < all->sessions; i++)
        good = all->found[i] == all->finished[i] || all->found[i] == all->finished[i] + 1;
    csv_table_free(&table);
    rush_buffer_free(&text);
    return good;
}

/* How long a record takes here, so that kills fall everywhere in it. */
static double time_of_one(const char *path)
{
    enum { RECORDS = 20 };
    uint32_t finished = 0;
    double start = now();
    session first = begin_session(path, 0);
    char byte;
    while (finished < RECORDS && read(first.finished, &byte, 1) == 1)
        finished++;
    double each = (now() - start) / RECORDS;
    kill_session(&first, &finished);
    unlink(path);
    return each;
}

int main(int argc, char **argv)
{
    const char *told = argc > 2 ? argv[2] : getenv("KILLS");
    size_t wanted = told ? strtoul(told, NULL, 10) : 200, kills = 0;
    rush_random random = {argc > 3 ? strtoul(argv[3], NULL, 10) : 20260614};
    if (argc < 2)
        return 2;
    double each = time_of_one(argv[1]), start = now();
    tally all = {calloc(wanted + AT_ONCE, sizeof(uint32_t)),
                 calloc(wanted + AT_ONCE, sizeof(uint32_t)), 0};
    while (kills < wanted && now() - start < SECONDS) {
        session sessions[AT_ONCE];
        for (size_t i = 0; i < AT_ONCE; i++)
            sessions[i] = begin_session(argv[1], all.sessions + i);
        for (size_t i = 0; i < AT_ONCE; i++) {
            wait_for(rush_random_unit(&random) * 3 * each);
            if (!kill_session(&sessions[i], &all.finished[all.sessions++]))
                return 1;
            kills++;
        }
        if ((kills % LOOK_EVERY < AT_ONCE || kills >= wanted) && !look(argv[1], &all)) {
            fprintf(stderr, "after %zu kills the file is not whole\n", kills);
            return 1;
        }
    }
    uint64_t finished = 0, found = 0;
    if (!look(argv[1], &all))
        return 1;
    for (size_t i = 0; i < all.sessions; i++) {
        finished += all.finished[i];
        found += all.found[i];
    }
    printf("%zu kills in %.1f s, a record in %.2f ms: %llu records finished, %llu in the file\n",
           kills, now() - start, each * 1e3, (unsigned long long)finished,
           (unsigned long long)found);
    free(all.finished);
    free(all.found);
    return kills ? 0 : 1;
}
