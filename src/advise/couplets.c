#include "rushlight/couplets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "advise/lead.h"
#include "advise/split.h"

/* So deep no printed key goes, and so many couplets nobody prints; what is left then stays a group. */
enum { DEEPEST = 64, MOST_COUPLETS = 20000 };
/* How many splits are tried to the end, where at most so many taxa are left; where more are, the best one is
 * taken. While one is tried, less is tried below it. */
enum { TRIED = 6, TRIED_TAXA = 10, WELL_TRIED = 3, WELL_TRIED_TAXA = 4, PATIENCE = 60 };
/* Bits for an effort: where there are as many, nobody looks for the sex first. */
#define SEXES_BELOW 0.4
/* What a bit that stays untold costs, in efforts, so that a shorter key which tells less does not win. */
#define UNTOLD_BIT 15.0
/* Bits that are lacked beyond those of a group, when another name stands first. */
#define RARE_BITS 8.0
/* What a couplet costs on the page, in efforts of one taxon: each must tell enough to be worth printing. */
#define PLACE 0.3

/* The couplets while they are made. They are handed out as the rush_couplets that it begins with. */
typedef struct couplets_maker {
    rush_couplets made;
    rush_arena arena;
    rush_keying keying;
    rush_couplets_options options;
    rush_adviser *adviser;
    double *mass;
    RUSH_LIST(rush_couplet) couplets;
} couplets_maker;

/* ---- choosing -------------------------------------------------------------------------------------------- */

/* Goes down a lead; rush_leeway keeps what is to be put back. */
static rush_leeway enter(rush_keying *keying, const rush_split *split, uint32_t lead)
{
    rush_leeway before = keying->leeways[split->character];
    keying->leeways[split->character] = split->of[lead];
    return before;
}

static void leave(rush_keying *keying, const rush_split *split, rush_leeway before,
                  uint32_t stacked)
{
    keying->leeways[split->character] = before;
    keying->stack.count = stacked;
}

static double mass_of(const rush_keying *keying, rush_left left)
{
    double mass = 0;
    for (uint32_t i = 0; i < left.count; i++)
        mass += keying->stack.items[left.from + i].alike;
    return mass;
}

/* Bits for the cost of both steps, when the sexes are told first and then the best split of each. */
static double rate_of_sexes(rush_keying *keying, rush_left left, const rush_split *sexes)
{
    double gain = 0, cost = sexes->cost, whole = mass_of(keying, left);
    for (uint32_t l = 0; l < sexes->leads; l++) {
        uint32_t stacked = keying->stack.count;
        rush_leeway before = enter(keying, sexes, l);
        rush_left gone = rush_split_follow(keying, left, sexes, l);
        double part = mass_of(keying, gone) / whole;
        rush_split best;
        if (rush_splits_find(keying, gone, &best, 1, false)) {
            gain += part * best.gain;
            cost += part * best.cost;
        }
        leave(keying, sexes, before, stacked);
    }
    return gain / cost;
}

/* The best splits, the sexes before them where they pay at once; `room` of them, and the further ones. Returns
 * how many. */
static uint32_t find_splits(rush_keying *keying, rush_left left, rush_split *splits,
                            uint32_t room)
{
    bool further = room == TRIED;
    rush_split sexes;
    uint32_t count = rush_splits_find(keying, left, splits, room, further);
    if ((count && splits[0].gain > SEXES_BELOW * splits[0].cost) ||
        !rush_split_sexes(keying, left, &sexes))
        return count;
    double rate = rate_of_sexes(keying, left, &sexes);
    if (rate > 0 && (!count || (float)rate > (float)(splits[0].gain / splits[0].cost))) {
        uint32_t all = further ? room + RUSH_FURTHER : room;
        for (uint32_t i = count < all ? count : all - 1; i; i--)
            splits[i] = splits[i - 1];
        splits[0] = sexes;
        count += count < all;
    }
    return count;
}

static double weight_of(const rush_keying *keying, rush_left left, uint32_t at)
{
    const rush_keyed_form *form = &keying->stack.items[left.from + at];
    return (form->alike + form->met) / 2;
}

/* The bits that a reader of at most TRIED_TAXA taxa lacks: each alike, but for those that are rarely the one. A
 * taxon weighs by its part of the key and by what is met, since a group of the commonest insects is the last that a
 * reader wants. Who has a rare one lacks more: another name stands first. */
static double untold(const rush_keying *keying, rush_left left)
{
    double masses[TRIED_TAXA], sorted[TRIED_TAXA], often = 0, rarely = 0;
    uint32_t taxa = 0, names = 0;
    for (uint32_t i = 0; i < left.count; i++) {
        if (rush_left_begins(keying, left, i))
            masses[taxa++] = 0;
        masses[taxa - 1] += weight_of(keying, left, i);
    }
    memcpy(sorted, masses, taxa * sizeof *masses);
    double rare = rush_rare_below(sorted, taxa);
    for (uint32_t t = 0; t < taxa; t++) {
        names += masses[t] >= rare;
        *(masses[t] < rare ? &rarely : &often) += masses[t];
    }
    return UNTOLD_BIT * (often * log2(names) + rarely * (log2(taxa) + RARE_BITS));
}

static double cost_of(rush_keying *keying, rush_left left, uint32_t depth);

/* What it costs to name all that is left, when this split comes first. */
static double cost_with(rush_keying *keying, rush_left left, const rush_split *split,
                        uint32_t depth)
{
    double cost = split->cost * mass_of(keying, left) + PLACE / keying->part->leaf_count;
    for (uint32_t l = 0; l < split->leads; l++) {
        uint32_t stacked = keying->stack.count;
        rush_leeway before = enter(keying, split, l);
        cost += cost_of(keying, rush_split_follow(keying, left, split, l), depth + 1);
        leave(keying, split, before, stacked);
    }
    return cost;
}

/* The cheapest of the best splits, each tried to the end; RUSH_NONE when it is cheapest to leave what is left
 * a group. */
static uint32_t cheapest(rush_keying *keying, rush_left left, uint32_t depth, uint32_t tried,
                         rush_split *splits, double *cost)
{
    uint32_t best = RUSH_NONE, count = find_splits(keying, left, splits, tried);
    *cost = untold(keying, left);
    for (uint32_t i = 0; i < count; i++) {
        double with = cost_with(keying, left, &splits[i], depth);
        if ((float)with < (float)*cost) {
            *cost = with;
            best = i;
        }
    }
    return best;
}

static double cost_of(rush_keying *keying, rush_left left, uint32_t depth)
{
    rush_split splits[WELL_TRIED];
    double cost;
    uint32_t taxa = rush_left_taxa(keying, left);
    if (taxa < 2)
        return 0;
    if (depth >= DEEPEST)
        return untold(keying, left);
    bool well = taxa <= WELL_TRIED_TAXA && keying->patience;
    keying->patience -= well;
    cheapest(keying, left, depth, well ? WELL_TRIED : 1, splits, &cost);
    return cost;
}

static bool choose(rush_keying *keying, rush_left left, uint32_t depth, rush_split *split)
{
    rush_split splits[TRIED + RUSH_FURTHER];
    double cost;
    if (rush_left_taxa(keying, left) > TRIED_TAXA)
        return find_splits(keying, left, split, 1) > 0;
    keying->patience = PATIENCE;
    uint32_t best = cheapest(keying, left, depth, TRIED, splits, &cost);
    if (best != RUSH_NONE)
        *split = splits[best];
    return best != RUSH_NONE;
}

/* ---- writing down ---------------------------------------------------------------------------------------- */

static void end_lead(couplets_maker *maker, rush_left left, uint32_t depth, rush_lead *lead)
{
    rush_couplets *made = &maker->made;
    if (lead->taxon_count > 1)
        rush_lead_needs(&maker->keying, left, maker->adviser, maker->mass, lead);
    for (uint32_t i = 0; i < left.count; i++) {
        const rush_keyed_form *form = &maker->keying.stack.items[left.from + i];
        made->mean += form->met * depth;
        made->mean_alike += form->alike * depth;
        made->strayed -= form->kept;
    }
    made->grouped += rush_lead_grouped(lead);
    made->greatest = depth > made->greatest ? depth : made->greatest;
}

static uint32_t write_couplet(couplets_maker *maker, rush_left left, const rush_split *split,
                              uint32_t depth);

static void write_lead(couplets_maker *maker, rush_left left, uint32_t depth, uint32_t couplet,
                       uint32_t at, rush_lead *lead)
{
    rush_split split;
    lead->couplet = RUSH_NONE;
    bool goes_on = lead->taxon_count > 1 && depth < DEEPEST &&
                   maker->couplets.count < MOST_COUPLETS &&
                   choose(&maker->keying, left, depth, &split);
    if (!goes_on) {
        end_lead(maker, left, depth, lead);
        return;
    }
    lead->couplet = write_couplet(maker, left, &split, depth);
    maker->couplets.items[lead->couplet].from = couplet;
    maker->couplets.items[lead->couplet].from_lead = at;
}

/* Leads with few taxa first: their ends stand near the couplet, which reads best when indented. */
static void order_leads(const rush_keying *keying, rush_left left, rush_split *split)
{
    uint32_t taxa[RUSH_LEADS_MAX];
    rush_keying *way = (rush_keying *)(uintptr_t)keying;
    for (uint32_t l = 0; l < split->leads; l++) {
        uint32_t stacked = keying->stack.count;
        taxa[l] = rush_left_taxa(keying, rush_split_follow(way, left, split, l));
        way->stack.count = stacked;
    }
    if (split->of[0].low != split->of[1].low) /* a number: the smaller first */
        return;
    for (uint32_t i = 1; i < split->leads; i++)
        for (uint32_t l = i; l && taxa[l] < taxa[l - 1]; l--) {
            uint32_t count = taxa[l];
            rush_leeway of = split->of[l];
            taxa[l] = taxa[l - 1];
            split->of[l] = split->of[l - 1];
            taxa[l - 1] = count;
            split->of[l - 1] = of;
        }
}

static uint32_t write_couplet(couplets_maker *maker, rush_left left, const rush_split *chosen,
                              uint32_t depth)
{
    rush_keying *keying = &maker->keying;
    rush_split split = *chosen;
    uint32_t at = maker->couplets.count, stacked = keying->stack.count;
    order_leads(keying, left, &split);
    rush_lead *leads = RUSH_ARRAY(&maker->arena, rush_lead, split.leads);
    *RUSH_PUSH(&maker->arena, &maker->couplets) =
        (rush_couplet){RUSH_NONE, RUSH_NONE, leads, split.leads};
    rush_left ways[RUSH_LEADS_MAX];
    for (uint32_t l = 0; l < split.leads; l++)
        ways[l] = rush_split_follow(keying, left, &split, l);
    for (uint32_t l = 0; l < split.leads; l++)
        rush_lead_marks(keying, &split, ways, l, &leads[l]);
    for (uint32_t l = 0; l < split.leads; l++) {
        uint32_t with_ways = keying->stack.count;
        rush_leeway before = enter(keying, &split, l);
        rush_lead_taxa(keying, ways[l], &leads[l]);
        write_lead(maker, ways[l], depth + 1, at, l, &leads[l]);
        leave(keying, &split, before, with_ways);
    }
    keying->stack.count = stacked;
    return at;
}

/* ---- the whole ------------------------------------------------------------------------------------------- */

static rush_left push_part(rush_keying *keying)
{
    const rush_part *part = keying->part;
    const rush_key *key = keying->key;
    rush_left left = {0, part->form_count};
    for (uint32_t i = 0; i < part->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[part->leaves[i]];
        double met = 0;
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
            met += part->prior[f];
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
            if (part->forms[f])
                *RUSH_PUSH(keying->arena, &keying->stack) = (rush_keyed_form){
                    f, part->prior[f] / met / part->leaf_count, part->prior[f], part->prior[f]};
    }
    return left;
}

static void add_out(couplets_maker *maker, rush_key_outs *outs, uint32_t couplet, uint32_t lead)
{
    const rush_couplet *stands = &maker->couplets.items[couplet];
    for (uint32_t i = 0; i < stands->leads[lead].taxon_count; i++) {
        uint32_t taxon = stands->leads[lead].taxa[i].taxon, leaf = 0;
        while (maker->made.part->leaves[leaf] != taxon)
            leaf++;
        rush_key_outs *of = &outs[leaf];
        rush_key_out *list = (rush_key_out *)(uintptr_t)of->at;
        if (!(of->count & (of->count - 1))) { /* full at each power of two */
            uint32_t room = of->count ? 2 * of->count : 1;
            list = RUSH_ARRAY(&maker->arena, rush_key_out, room);
            for (uint32_t o = 0; o < of->count; o++)
                list[o] = of->at[o];
            of->at = list;
        }
        list[of->count++] = (rush_key_out){couplet, lead};
    }
}

static void find_outs(couplets_maker *maker)
{
    rush_key_outs *outs =
        RUSH_ARRAY(&maker->arena, rush_key_outs, (size_t)maker->made.part->leaf_count + 1);
    for (uint32_t c = 0; c < maker->couplets.count; c++)
        for (uint32_t l = 0; l < maker->couplets.items[c].lead_count; l++)
            if (maker->couplets.items[c].leads[l].couplet == RUSH_NONE)
                add_out(maker, outs, c, l);
    maker->made.outs = outs;
}

static void make(void *with)
{
    couplets_maker *maker = with;
    rush_split split;
    maker->keying.arena = &maker->arena;
    rush_keying_init(&maker->keying, maker->made.part, &maker->options);
    maker->mass = RUSH_ARRAY(&maker->arena, double, maker->made.part->key->form_count);
    maker->made.strayed = 1;
    rush_left all = push_part(&maker->keying);
    if (rush_left_taxa(&maker->keying, all) > 1 && choose(&maker->keying, all, 0, &split))
        write_couplet(maker, all, &split, 0);
    else
        maker->made.strayed = 0;
    find_outs(maker);
    maker->made.couplets = maker->couplets.items;
    maker->made.couplet_count = maker->couplets.count;
}

rush_couplets_options rush_couplets_usual(void)
{
    return (rush_couplets_options){.leads = 2, .reach = RUSH_REACH_HAND};
}

const rush_couplets *rush_couplets_make(const rush_part *part,
                                        const rush_couplets_options *options)
{
    couplets_maker *maker = calloc(1, sizeof *maker);
    if (!maker)
        return NULL;
    maker->made.part = part;
    maker->options = options ? *options : rush_couplets_usual();
    maker->adviser = rush_adviser_new(part->key);
    bool good = maker->adviser && rush_arena_guard(&maker->arena, make, maker);
    rush_adviser_free(maker->adviser);
    maker->adviser = NULL;
    if (good)
        return &maker->made;
    rush_couplets_free(&maker->made);
    return NULL;
}

void rush_couplets_free(const rush_couplets *couplets)
{
    couplets_maker *maker = (couplets_maker *)(uintptr_t)couplets; /* it stands first in it */
    if (maker)
        rush_arena_free(&maker->arena);
    free(maker);
}
