#include "trial/work.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "key/without.h"

enum { BATCH = 128 };

/* Some sightings of one run on one key. */
typedef struct batch {
    uint32_t run;
    uint32_t leaf; /* of strangers: the one that is taken out; RUSH_NONE: none */
    uint32_t from, to;
} batch;

typedef struct workshop {
    rush_work *work;
    batch *batches;
    uint32_t batch_count;
    uint64_t sightings; /* in all */
    atomic_uint next;   /* batch to be taken */
    atomic_ullong done; /* sightings */
    atomic_bool failed;
} workshop;

typedef struct worker {
    workshop *shop;
    pthread_t thread;
    rush_earnings *earnings; /* by run and character */
    rush_seat seat;          /* at the key of the last batch */
    bool seated;
    uint32_t run, leaf;
    rush_key *without; /* of strangers */
    uint32_t *taxa;    /* of that key: nature's numbers */
} worker;

/* ---- batches -------------------------------------------------------------------------------------- */

static void cut(workshop *shop, uint32_t run, uint32_t leaf, uint32_t from, uint32_t to)
{
    for (uint32_t at = from; at < to; at += BATCH)
        shop->batches[shop->batch_count++] =
            (batch){run, leaf, at, to - at < BATCH ? to : at + BATCH};
    shop->sightings += to - from;
}

/* The leaves that insects are met of. */
static void met_leaves(const rush_work *work, uint32_t *first, uint32_t *count)
{
    uint32_t within = work->options->within;
    *first = within == RUSH_NONE ? 0 : work->key->taxa[within].first_leaf;
    *count = within == RUSH_NONE ? work->key->leaf_count : work->key->taxa[within].leaf_count;
}

/* Strangers: so many of each leaf. In a key of one taxon there are none. */
static void cut_run(workshop *shop, uint32_t at)
{
    const rush_key *key = shop->work->key;
    rush_work_run *run = &shop->work->runs[at];
    uint32_t first, count;
    if (run->observer != RUSH_OBSERVER_STRANGERS) {
        cut(shop, at, RUSH_NONE, 0, run->count);
        return;
    }
    if (key->leaf_count < 2)
        run->count = 0;
    met_leaves(shop->work, &first, &count);
    for (uint64_t i = 0; i < count; i++)
        cut(shop, at, key->leaves[first + i], (uint32_t)(run->count * i / count),
            (uint32_t)(run->count * (i + 1) / count));
}

static bool cut_all(workshop *shop)
{
    const rush_work *work = shop->work;
    size_t most = 0;
    for (uint32_t r = 0; r < work->run_count; r++)
        most += work->runs[r].count / BATCH + 1 + work->key->leaf_count;
    shop->batches = calloc(most, sizeof *shop->batches);
    for (uint32_t r = 0; shop->batches && r < work->run_count; r++)
        cut_run(shop, r);
    return shop->batches;
}

/* ---- a worker ------------------------------------------------------------------------------------- */

static void leave_seat(worker *at)
{
    if (at->seated)
        rush_seat_free(&at->seat);
    rush_key_free(at->without);
    at->without = NULL;
    at->seated = false;
}

/* At the key of a batch; the seat is kept from one batch to the next while that is the same. */
static bool take_seat(worker *at, const batch *todo)
{
    rush_work *work = at->shop->work;
    rush_earnings *earnings = at->earnings + (size_t)todo->run * work->key->character_count;
    const rush_key *key = work->runs[todo->run].key;
    if (at->seated && work->runs[at->run].key == key && at->leaf == todo->leaf) {
        at->seat.earnings = earnings;
        return true;
    }
    leave_seat(at);
    at->run = todo->run;
    at->leaf = todo->leaf;
    if (todo->leaf != RUSH_NONE) {
        at->without = rush_key_without_taxon(key, todo->leaf, at->taxa);
        if (!at->without)
            return false;
    }
    at->seat = (rush_seat){.key = at->without ? at->without : key,
                           .nature = work->key,
                           .taxa = at->without ? at->taxa : NULL,
                           .rank = {.safe = work->options->safe},
                           .reach = work->options->reach,
                           .earnings = earnings};
    at->seated = true;
    return rush_seat_begin(&at->seat);
}

/* What is peculiar to the observer of a sighting. */
static void take_manner(const rush_work *work, rush_observer observer, rush_view *view)
{
    if (observer == RUSH_OBSERVER_POOR)
        view->misread = 2;
    if (observer != RUSH_OBSERVER_HANGING)
        return;
    rush_random random = rush_random_at(view->seed, view->number, RUSH_COLUMN_OF_MANNER);
    view->stubborn = true;
    if (rush_random_unit(&random) < RUSH_HANGING_BAD_VIEW)
        view->misread = RUSH_HANGING_BAD_TIMES;
    if (rush_random_unit(&random) < RUSH_HANGING_IN_MIND)
        view->in_mind = rush_meeting_look_alike(&work->meeting, view->form, &random);
}

static rush_view view_of(const rush_work *work, const batch *todo, uint32_t number)
{
    const rush_trial_options *options = work->options;
    uint32_t within = todo->leaf != RUSH_NONE ? todo->leaf : options->within;
    rush_view view = {.key = work->key,
                      .seed = options->seed,
                      .number = number,
                      .form = rush_meeting_form(&work->meeting, options->seed, number, within),
                      .misread = 1,
                      .unseen = options->unseen,
                      .in_mind = RUSH_NONE,
                      .leans = RUSH_HANGING_LEANS};
    take_manner(work, work->runs[todo->run].observer, &view);
    return view;
}

static void do_batches(worker *at, bool tells)
{
    workshop *shop = at->shop;
    rush_work *work = shop->work;
    for (;;) {
        uint32_t next = atomic_fetch_add(&shop->next, 1);
        if (next >= shop->batch_count || atomic_load(&shop->failed))
            return;
        const batch *todo = &shop->batches[next];
        if (!take_seat(at, todo)) {
            atomic_store(&shop->failed, true);
            return;
        }
        for (uint32_t number = todo->from; number < todo->to; number++) {
            rush_view view = view_of(work, todo, number);
            work->runs[todo->run].ends[number] = rush_session_hold(&at->seat, &view);
        }
        uint64_t done =
            atomic_fetch_add(&shop->done, todo->to - todo->from) + todo->to - todo->from;
        if (tells && work->options->progress)
            work->options->progress(work->options->user, done, shop->sightings);
    }
}

static void *run_worker(void *with)
{
    do_batches(with, false);
    return NULL;
}

/* ---- all of them ---------------------------------------------------------------------------------- */

static bool begin_worker(worker *at, workshop *shop)
{
    const rush_key *key = shop->work->key;
    at->shop = shop;
    at->earnings =
        calloc((size_t)shop->work->run_count * key->character_count, sizeof *at->earnings);
    at->taxa = calloc(key->taxon_count, sizeof *at->taxa);
    return at->earnings && at->taxa;
}

static void end_worker(worker *at)
{
    rush_work *work = at->shop->work;
    uint32_t characters = work->key->character_count;
    for (uint32_t r = 0; at->earnings && r < work->run_count; r++)
        for (uint32_t c = 0; c < characters; c++) {
            const rush_earnings *more = &at->earnings[(size_t)r * characters + c];
            rush_earnings *sum = &work->runs[r].earnings[c];
            sum->asked += more->asked;
            sum->answered += more->answered;
            sum->misread += more->misread;
            sum->microbits += more->microbits;
        }
    leave_seat(at);
    free(at->earnings);
    free(at->taxa);
}

/* The caller is the first worker; fewer threads than were wanted do as well. */
static void do_together(worker *workers, uint32_t count)
{
    uint32_t started = 1;
    while (started < count &&
           pthread_create(&workers[started].thread, NULL, run_worker, &workers[started]) == 0)
        started++;
    do_batches(&workers[0], true);
    for (uint32_t i = 1; i < started; i++)
        pthread_join(workers[i].thread, NULL);
}

bool rush_work_do(rush_work *work)
{
    workshop shop = {.work = work};
    bool whole = cut_all(&shop);
    uint32_t count = work->options->jobs ? work->options->jobs : 1;
    if (count > shop.batch_count)
        count = shop.batch_count ? shop.batch_count : 1;
    worker *workers = calloc(count, sizeof *workers);
    uint32_t begun = 0;
    while (whole && workers && begun < count)
        whole = begin_worker(&workers[begun++], &shop);
    if (whole && workers)
        do_together(workers, count);
    for (uint32_t i = 0; i < begun; i++)
        end_worker(&workers[i]);
    whole &= workers && !atomic_load(&shop.failed);
    free(workers);
    free(shop.batches);
    return whole;
}
