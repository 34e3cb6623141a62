#include "crew.h"

#include <pthread.h>
#include <stdlib.h>
#include <unistd.h>

enum { JOBS_MAX = 256, BATCHES_A_JOB = 4 };

typedef struct crew_thread {
    row_crew *crew;
    void *worker;
    pthread_t thread;
    bool started;
} crew_thread;

struct row_crew {
    crew_trade trade;
    uint32_t jobs;         /* wanted */
    crew_thread *threads;  /* one a job; the first one's worker is there from the start */
    uint32_t thread_count; /* 0: all is done in the reader's thread as yet */

    row_batch *ring; /* batch n is ring[n % size] */
    bool *done;
    uint32_t size;

    pthread_mutex_t lock; /* of all below, and of who may touch which batch */
    pthread_cond_t work, room;
    uint64_t given, taken, written; /* batches so far */
    bool writing, ended, failed;
};

uint32_t crew_cores(void)
{
    long count = sysconf(_SC_NPROCESSORS_ONLN);
    return count < 1 ? 1 : (uint32_t)count;
}

static void free_crew(row_crew *crew)
{
    for (uint32_t i = 0; crew->ring && i < crew->size; i++)
        batch_free(&crew->ring[i]);
    for (uint32_t i = 0; crew->threads && i < crew->jobs; i++)
        if (crew->threads[i].worker)
            crew->trade.dismiss(crew->trade.with, crew->threads[i].worker);
    free(crew->ring);
    free(crew->done);
    free(crew->threads);
    pthread_mutex_destroy(&crew->lock);
    pthread_cond_destroy(&crew->work);
    pthread_cond_destroy(&crew->room);
    free(crew);
}

row_crew *crew_new(const crew_trade *trade, uint32_t jobs)
{
    row_crew *crew = calloc(1, sizeof *crew);
    if (!crew)
        return NULL;
    crew->trade = *trade;
    crew->jobs = jobs ? jobs : crew_cores();
    if (crew->jobs > JOBS_MAX)
        crew->jobs = JOBS_MAX;
    crew->size = crew->jobs == 1 ? 1 : crew->jobs * BATCHES_A_JOB;
    pthread_mutex_init(&crew->lock, NULL);
    pthread_cond_init(&crew->work, NULL);
    pthread_cond_init(&crew->room, NULL);
    crew->ring = calloc(crew->size, sizeof *crew->ring);
    crew->done = calloc(crew->size, sizeof *crew->done);
    crew->threads = calloc(crew->jobs, sizeof *crew->threads);
    if (crew->threads)
        crew->threads[0].worker = trade->hire(trade->with);
    if (crew->ring && crew->done && crew->threads && crew->threads[0].worker)
        return crew;
    free_crew(crew);
    return NULL;
}

/* ---- the workers -------------------------------------------------------------------------------- */

/* Under the lock: writes the batches whose turn has come, unless somebody is at it. */
static void write_done(row_crew *crew)
{
    if (crew->writing)
        return;
    crew->writing = true;
    while (crew->written < crew->taken && crew->done[crew->written % crew->size]) {
        uint32_t at = (uint32_t)(crew->written % crew->size);
        if (!crew->failed) {
            pthread_mutex_unlock(&crew->lock);
            bool good = batch_write(&crew->ring[at]);
            pthread_mutex_lock(&crew->lock);
            crew->failed |= !good;
        }
        crew->done[at] = false;
        crew->written++;
        pthread_cond_signal(&crew->room);
    }
    crew->writing = false;
}

static void *work(void *with)
{
    crew_thread *self = with;
    row_crew *crew = self->crew;
    pthread_mutex_lock(&crew->lock);
    for (;;) {
        while (crew->taken == crew->given && !crew->ended)
            pthread_cond_wait(&crew->work, &crew->lock);
        if (crew->taken == crew->given)
            break;
        uint32_t at = (uint32_t)(crew->taken++ % crew->size);
        if (!crew->failed) {
            pthread_mutex_unlock(&crew->lock);
            crew->trade.work(self->worker, &crew->ring[at]);
            pthread_mutex_lock(&crew->lock);
        }
        crew->done[at] = true;
        write_done(crew);
    }
    pthread_mutex_unlock(&crew->lock);
    return NULL;
}

/* As many as the machine gives; the results are the same with fewer. */
static void start_threads(row_crew *crew)
{
    for (uint32_t i = 0; i < crew->jobs; i++) {
        crew_thread *thread = &crew->threads[i];
        thread->crew = crew;
        if (!thread->worker)
            thread->worker = crew->trade.hire(crew->trade.with);
        if (!thread->worker || pthread_create(&thread->thread, NULL, work, thread) != 0)
            break;
        thread->started = true;
        crew->thread_count++;
    }
    if (!crew->thread_count)
        crew->jobs = 1;
}

/* ---- the reader --------------------------------------------------------------------------------- */

row_batch *crew_batch(row_crew *crew)
{
    pthread_mutex_lock(&crew->lock);
    while (crew->given - crew->written == crew->size && !crew->failed)
        pthread_cond_wait(&crew->room, &crew->lock);
    row_batch *free_one = crew->failed ? NULL : &crew->ring[crew->given % crew->size];
    pthread_mutex_unlock(&crew->lock);
    return free_one;
}

void crew_give(row_crew *crew, row_batch *batch)
{
    if (crew->jobs > 1 && crew->given == 1)
        start_threads(crew);
    if (!crew->thread_count) {
        crew->trade.work(crew->threads[0].worker, batch);
        crew->failed = !batch_write(batch);
        crew->given++;
        crew->taken++;
        crew->written++;
        return;
    }
    pthread_mutex_lock(&crew->lock);
    crew->given++;
    pthread_cond_signal(&crew->work);
    pthread_mutex_unlock(&crew->lock);
}

bool crew_end(row_crew *crew)
{
    pthread_mutex_lock(&crew->lock);
    crew->ended = true;
    pthread_cond_broadcast(&crew->work);
    pthread_mutex_unlock(&crew->lock);
    for (uint32_t i = 0; i < crew->thread_count; i++)
        pthread_join(crew->threads[i].thread, NULL);
    bool good = !crew->failed;
    free_crew(crew);
    return good;
}
