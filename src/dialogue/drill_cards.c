/* Which taxon comes next, and how cards move: Leitner's boxes. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "dialogue/drill.h"

/* Days from which a card in a box comes back; of box 0: never played. */
static const int32_t days_of_box[RUSH_DRILL_BOXES + 1] = {0, 0, 1, 2, 4, 8};

rush_drill_card *rush_drill_card_of(const rush_drill *drill, uint32_t taxon)
{
    return &drill->cards[drill->key->taxa[taxon].first_leaf];
}

void rush_drill_score(const rush_drill *drill, rush_drill_card *card, bool right)
{
    uint32_t from = card->box ? card->box : 1;
    bool early =
        card->box && card->due > drill->options.today; /* a right name proves nothing yet */
    if (!right)
        card->box = 1;
    else if (!early)
        card->box = from < RUSH_DRILL_BOXES ? from + 1 : RUSH_DRILL_BOXES;
    if (!right || !early)
        card->due = rush_drill_day_within(drill->options.today + days_of_box[card->box]);
    card->rounds++;
    card->right += right;
    card->now++;
    card->now_right += right;
}

/* ---- what comes next ------------------------------------------------------------------------------- */

/* Whether fewer than `between` other insects have been played since. */
static bool is_fresh(const rush_drill *drill, uint32_t leaf, uint32_t between)
{
    return drill->last[leaf] && drill->reply.round - drill->last[leaf] <= between;
}

static double weight_of(const rush_drill *drill, const double *weights, uint32_t leaf)
{
    const rush_taxon *taxon = &drill->key->taxa[drill->key->leaves[leaf]];
    double sum = 0;
    for (uint32_t f = 0; f < taxon->form_count; f++)
        sum += weights[taxon->first_form + f];
    return sum;
}

/* The lowest box first, then what has waited longest; of equal ones, in the key's order. */
static bool goes_before(const rush_drill *drill, uint32_t leaf, uint32_t other)
{
    const rush_drill_card *card = &drill->cards[leaf], *than = &drill->cards[other];
    if (card->box != than->box)
        return card->box < than->box;
    if (card->due != than->due)
        return card->due < than->due;
    return drill->last[leaf] < drill->last[other];
}

static bool is_due(const rush_drill *drill, uint32_t leaf)
{
    const rush_drill_card *card = &drill->cards[leaf];
    return card->box && card->due <= drill->options.today &&
           weight_of(drill, drill->pool, leaf) > 0;
}

void rush_drill_count(const rush_drill *drill, uint32_t *taxa, uint32_t *due)
{
    *taxa = *due = 0;
    for (uint32_t leaf = 0; leaf < drill->key->leaf_count; leaf++) {
        *taxa += weight_of(drill, drill->pool, leaf) > 0;
        *due += is_due(drill, leaf);
    }
}

/* The leaf that is to be repeated; RUSH_NONE: nothing is due. */
static uint32_t find_due(const rush_drill *drill)
{
    uint32_t due = RUSH_NONE;
    for (uint32_t leaf = 0; leaf < drill->key->leaf_count; leaf++) {
        if (!is_due(drill, leaf) || is_fresh(drill, leaf, RUSH_DRILL_BETWEEN))
            continue;
        if (due == RUSH_NONE || goes_before(drill, leaf, due))
            due = leaf;
    }
    return due;
}

typedef bool leaf_test(const rush_drill *drill, uint32_t leaf);

static bool is_new(const rush_drill *drill, uint32_t leaf)
{
    return !drill->cards[leaf].box;
}

static bool is_rested(const rush_drill *drill, uint32_t leaf)
{
    return !is_fresh(drill, leaf, RUSH_DRILL_BETWEEN);
}

static bool is_another(const rush_drill *drill, uint32_t leaf)
{
    return !is_fresh(drill, leaf, 1);
}

static bool is_any(const rush_drill *drill, uint32_t leaf)
{
    (void)drill;
    (void)leaf;
    return true;
}

/* Leaves of the pool only what passes; false when that is nothing. A taxon counts by how often it is met, to the power
 * of 1.5, so that the common ones come roughly first although there are many scarce ones; each box that its card has
 * risen makes it come an eighth as often, so that the scarce ones have their turn, and the common ones come again in
 * their other forms before what is rare. Our choice, no published source. */
static bool meet(rush_drill *drill, leaf_test *test)
{
    const rush_key *key = drill->key;
    double sum = 0;
    for (uint32_t f = 0; f < key->form_count; f++) {
        uint32_t leaf = key->taxa[key->forms[f].taxon].first_leaf;
        double weight = ldexp(drill->pool[f] * sqrt(weight_of(drill, drill->pool, leaf)),
                              -3 * (int)drill->cards[leaf].box);
        drill->meeting.weights[f] = test(drill, leaf) ? weight : 0;
        sum += drill->meeting.weights[f];
    }
    return sum > 0;
}

uint32_t rush_drill_choose(rush_drill *drill)
{
    static leaf_test *const tests[] = {is_rested, is_another, is_any};
    uint32_t due = find_due(drill), within = RUSH_NONE;
    bool new_at_last = drill->repeats >= RUSH_DRILL_REPEATS && meet(drill, is_new);
    drill->repeats = due != RUSH_NONE && !new_at_last ? drill->repeats + 1 : 0;
    if (drill->repeats) {
        meet(drill, is_any);
        within = drill->key->leaves[due];
    } else if (!new_at_last) {
        for (size_t i = 0; i < sizeof tests / sizeof *tests && !meet(drill, tests[i]); i++)
            ;
    }
    return rush_meeting_form(&drill->meeting, drill->options.seed, drill->reply.round, within);
}

/* ---- days ------------------------------------------------------------------------------------------ */

static bool is_leap(int32_t year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static int32_t days_in(int32_t year, int32_t month)
{
    static const int32_t days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return days[month - 1] + (month == 2 && is_leap(year));
}

/* Days of the years before one, from the first of January of the year 1. */
static int32_t days_before(int32_t year)
{
    int32_t past = year - 1;
    return past * 365 + past / 4 - past / 100 + past / 400;
}

enum { EPOCH = 1970, LAST_YEAR = 9999 };

int32_t rush_drill_day_within(int32_t day)
{
    int32_t first = -days_before(EPOCH), last = days_before(LAST_YEAR + 1) + first - 1;
    return day < first ? first : day > last ? last : day;
}

static bool digits(rush_text text, size_t from, size_t count, int32_t *number)
{
    *number = 0;
    for (size_t i = from; i < from + count; i++) {
        if (text.at[i] < '0' || text.at[i] > '9')
            return false;
        *number = *number * 10 + (text.at[i] - '0');
    }
    return true;
}

bool rush_drill_day(rush_text date, int32_t *day)
{
    int32_t year, month, of_month;
    if (date.length != 10 || date.at[4] != '-' || date.at[7] != '-' ||
        !digits(date, 0, 4, &year) || !digits(date, 5, 2, &month) ||
        !digits(date, 8, 2, &of_month) || year < 1 || month < 1 || month > 12 || of_month < 1 ||
        of_month > days_in(year, month))
        return false;
    *day = days_before(year) - days_before(EPOCH) + of_month - 1;
    for (int32_t m = 1; m < month; m++)
        *day += days_in(year, m);
    return true;
}

void rush_drill_date(int32_t day, rush_buffer *buffer)
{
    int32_t of_all = day + days_before(EPOCH), year = of_all / 366 + 1, month = 1;
    while (year < LAST_YEAR && days_before(year + 1) <= of_all)
        year++;
    int32_t left = of_all - days_before(year);
    while (month < 12 && left >= days_in(year, month))
        left -= days_in(year, month++);
    char text[40];
    snprintf(text, sizeof text, "%04d-%02d-%02d", year, month, left + 1);
    rush_buffer_string(buffer, text);
}
