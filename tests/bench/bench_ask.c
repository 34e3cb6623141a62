/* How many questions until a name has survived its confirming answer: a careful observer, who misreads at the
 * key's own rates, answers what the program asks. bench_ask KEY [INSECTS-A-SPECIES [SEED]] */
#include "support/observer.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { MOST = 60 };

typedef struct ask_tally {
    unsigned insects, named, right, group, unsettled, wrong_group;
    unsigned answered[MOST + 1]; /* of those named: how many answers it took */
    unsigned long asked_sum, answered_sum;
    double slowest; /* reply, seconds */
} ask_tally;

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + (double)time.tv_nsec * 1e-9;
}

static void converse(simulated_observer *observer, uint32_t form, ask_tally *tally)
{
    rush_dialogue_options how = {.reach = RUSH_REACH_CLOSE};
    rush_dialogue *dialogue = rush_dialogue_new(observer->key, &how);
    const rush_reply *reply = rush_dialogue_begin(dialogue);
    rush_buffer line = {0};
    unsigned asked = 0, answered = 0;
    while (reply->kind != RUSH_REPLY_END && asked < MOST) {
        rush_buffer_clear(&line);
        asked++;
        if (reply->asked != RUSH_NONE && observer_can_answer(observer, form, reply->asked)) {
            observer_answers(observer, form, reply->asked, &line);
            answered++;
        }
        double start = now();
        reply =
            rush_dialogue_step(dialogue, (rush_text){line.bytes ? line.bytes : "", line.length});
        double taken = now() - start;
        if (taken > tally->slowest)
            tally->slowest = taken;
    }
    const rush_verdict *verdict = &reply->ranking->verdict;
    uint32_t taxon = rush_key_form(observer->key, form)->taxon;
    tally->insects++;
    if (verdict->safe && rush_key_taxon(observer->key, verdict->taxon)->leaf_count == 1) {
        tally->named++;
        tally->right += rush_key_within(observer->key, taxon, verdict->taxon);
        tally->answered[answered]++;
        tally->asked_sum += asked;
        tally->answered_sum += answered;
    } else if (verdict->safe) {
        tally->group++;
        tally->wrong_group += !rush_key_within(observer->key, taxon, verdict->taxon);
    } else {
        tally->unsettled++;
    }
    rush_buffer_free(&line);
    rush_dialogue_free(dialogue);
}

static void print_tally(const ask_tally *tally)
{
    printf(
        "insects %u: named as a species %.1f %% (of these right %.2f %%), safe as a group %.1f %% (of these "
        "right %.2f %%), unsettled %.1f %%\n",
        tally->insects, 100.0 * tally->named / tally->insects,
        tally->named ? 100.0 * tally->right / tally->named : 0,
        100.0 * tally->group / tally->insects,
        tally->group ? 100.0 - 100.0 * tally->wrong_group / tally->group : 0,
        100.0 * tally->unsettled / tally->insects);
    printf("until a name: asked %.2f, answered %.2f in the mean; slowest reply %.2f ms\n",
           (double)tally->asked_sum / tally->named, (double)tally->answered_sum / tally->named,
           tally->slowest * 1e3);
    printf("answered  insects\n");
    for (unsigned i = 0; i <= MOST; i++)
        if (tally->answered[i])
            printf("%8u  %u\n", i, tally->answered[i]);
}

int main(int argc, char **argv)
{
    if (argc < 2)
        return 2;
    rush_key *key = support_key(argv[1]);
    unsigned each = argc > 2 ? (unsigned)strtoul(argv[2], NULL, 10) : 20;
    simulated_observer observer = {key, {argc > 3 ? strtoull(argv[3], NULL, 10) : 1}, 1};
    static ask_tally tally;
    for (uint32_t leaf = 0; leaf < rush_key_leaf_count(key); leaf++)
        for (unsigned i = 0; i < each; i++)
            converse(&observer, observer_meets(&observer, leaf), &tally);
    print_tally(&tally);
    rush_key_free(key);
    return 0;
}
