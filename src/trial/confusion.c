#include <stdlib.h>

#include "trial/figures.h"

/* One sighting that was not called right: the two forms, those of the earlier leaf first. */
typedef struct clash {
    uint32_t leaf, other, form, other_form;
    enum { TAKEN, MISTAKEN, UNSETTLED } how;
} clash;

static int compare(uint32_t a, uint32_t b)
{
    return a < b ? -1 : a > b;
}

/* Those of two taxa together, and in them those of two forms. */
static int by_place(const void *left, const void *right)
{
    const clash *a = left, *b = right;
    int order = compare(a->leaf, b->leaf);
    if (!order)
        order = compare(a->other, b->other);
    if (!order)
        order = compare(a->form, b->form);
    return order ? order : compare(a->other_form, b->other_form);
}

static int by_cost(const void *left, const void *right)
{
    const rush_confusion *a = left, *b = right;
    float p = (float)a->cost, q = (float)b->cost;
    if (p != q)
        return p > q ? -1 : 1;
    int order = compare(a->form, b->form);
    return order ? order : compare(a->other_form, b->other_form);
}

static uint32_t leaf_of(const rush_key *key, uint32_t form)
{
    return key->taxa[key->forms[form].taxon].first_leaf;
}

static uint32_t gather(const rush_key *key, const rush_work_run *from, clash *clashes)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < from->count; i++) {
        const rush_session_end *end = &from->ends[i];
        if (end->rival == RUSH_NONE)
            continue;
        uint32_t mine = leaf_of(key, end->form), theirs = leaf_of(key, end->rival);
        bool wrong = end->outcome == RUSH_OUTCOME_WRONG;
        clash made = {mine, theirs, end->form, end->rival, wrong ? TAKEN : UNSETTLED};
        if (mine > theirs)
            made = (clash){theirs, mine, end->rival, end->form, wrong ? MISTAKEN : UNSETTLED};
        clashes[count++] = made;
    }
    qsort(clashes, count, sizeof *clashes, by_place);
    return count;
}

/* The confusion that begins at clashes[*at], which then lies behind it. */
static rush_confusion count_one(const rush_key *key, const clash *clashes, uint32_t count,
                                uint32_t *at)
{
    const clash *first = &clashes[*at];
    rush_confusion made = {.taxon = key->leaves[first->leaf],
                           .other = key->leaves[first->other],
                           .character = RUSH_NONE};
    uint32_t run = 0, longest = 0;
    for (; *at < count && clashes[*at].leaf == first->leaf && clashes[*at].other == first->other;
         ++*at) {
        const clash *here = &clashes[*at];
        made.taken += here->how == TAKEN;
        made.mistaken += here->how == MISTAKEN;
        made.unsettled += here->how == UNSETTLED;
        bool same = run && here->form == here[-1].form && here->other_form == here[-1].other_form;
        run = same ? run + 1 : 1;
        if (run > longest) {
            longest = run;
            made.form = here->form;
            made.other_form = here->other_form;
        }
    }
    return made;
}

void rush_confusions_make(const rush_work *work, const rush_work_run *from, rush_arena *arena,
                          rush_trial_run *run)
{
    const rush_key *key = work->key;
    double safe = work->options->safe > 0 ? work->options->safe : RUSH_SAFE_DEFAULT;
    clash *clashes = RUSH_ARRAY(arena, clash, from->count + 1);
    uint32_t count = gather(key, from, clashes);
    RUSH_LIST(rush_confusion) list = {0};
    for (uint32_t at = 0; at < count;) {
        rush_confusion made = count_one(key, clashes, count, &at);
        made.cost = made.taken + made.mistaken + (1 - safe) * made.unsettled;
        *RUSH_PUSH(arena, &list) = made;
    }
    if (list.count)
        qsort(list.items, list.count, sizeof *list.items, by_cost);
    if (list.count > RUSH_CONFUSIONS_MAX)
        list.count = RUSH_CONFUSIONS_MAX;
    for (uint32_t i = 0; i < list.count; i++)
        rush_confusion_mend(from->key, work->options->reach, arena, &list.items[i]);
    run->confusions = list.items;
    run->confusion_count = list.count;
}
