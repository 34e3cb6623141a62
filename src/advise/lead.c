#include "advise/lead.h"

#include <math.h>

#include "advise/look.h"

enum { MARKS_MAX = 3, NEEDS_MAX = 3 };

static const rush_keyed_form *form_at(const rush_keying *keying, rush_left left, uint32_t at)
{
    return &keying->stack.items[left.from + at];
}

/* ---- marks ----------------------------------------------------------------------------------------------- */

static void list_states(rush_keying *keying, uint64_t states, rush_lead_mark *mark)
{
    uint32_t *list =
        RUSH_ARRAY(keying->arena, uint32_t, (size_t)__builtin_popcountll(states) + 1);
    for (; states; states &= states - 1)
        list[mark->state_count++] = (uint32_t)__builtin_ctzll(states);
    mark->states = list;
}

/* What those who come one way show of a character; false when one of them need not show it. */
static bool shown_on(const rush_keying *keying, rush_left way, uint32_t character,
                     rush_leeway *shown)
{
    *shown = (rush_leeway){0, INFINITY, -INFINITY};
    for (uint32_t i = 0; i < way.count; i++) {
        const rush_route *route = rush_route_of(keying, character, form_at(keying, way, i)->form);
        if (route->open)
            return false;
        shown->states |= route->shown;
        shown->low = fmin(shown->low, route->low);
        shown->high = fmax(shown->high, route->high);
    }
    shown->states &= keying->leeways[character].states;
    return true;
}

static bool clash(const rush_leeway *a, const rush_leeway *b, bool number)
{
    return number ? a->low < b->high && b->low < a->high : (a->states & b->states) != 0;
}

/* A character by which one lead's insects differ from all the others': its values go into `mine`. */
static bool confirms(const rush_keying *keying, uint32_t character, const rush_left *ways,
                     uint32_t leads, uint32_t lead, rush_leeway *mine)
{
    bool number = keying->key->characters[character].kind == RUSH_KIND_NUMBER;
    if (!shown_on(keying, ways[lead], character, mine))
        return false;
    for (uint32_t l = 0; l < leads; l++) {
        rush_leeway theirs;
        if (l != lead &&
            (!shown_on(keying, ways[l], character, &theirs) || clash(mine, &theirs, number)))
            return false;
    }
    return true;
}

static bool goes_two_ways(const rush_keying *keying, const rush_left *ways, uint32_t leads)
{
    uint32_t at[RUSH_LEADS_MAX] = {0};
    for (uint32_t l = 0; l < leads; l++)
        for (uint32_t i = 0; i < ways[l].count; i++)
            for (uint32_t other = 0; other < l; other++) {
                uint32_t form = form_at(keying, ways[l], i)->form;
                if (!i)
                    at[other] = 0;
                while (at[other] < ways[other].count &&
                       form_at(keying, ways[other], at[other])->form < form)
                    at[other]++;
                if (at[other] < ways[other].count &&
                    form_at(keying, ways[other], at[other])->form == form)
                    return true;
            }
    return false;
}

/* Few words are better than many: what a confirming mark may say. */
enum { CONFIRMING_STATES = 3 };

void rush_lead_marks(rush_keying *keying, const rush_split *split, const rush_left *ways,
                     uint32_t lead, rush_lead *into)
{
    const rush_character *characters = keying->key->characters;
    rush_lead_mark *marks = RUSH_ARRAY(keying->arena, rush_lead_mark, MARKS_MAX);
    const rush_leeway *own = &split->of[lead];
    marks[0] =
        (rush_lead_mark){.character = split->character, .low = own->low, .high = own->high};
    list_states(keying, own->states, &marks[0]);
    into->marks = marks;
    into->mark_count = 1;
    if (goes_two_ways(keying, ways, split->leads))
        return;
    /* The easiest first; among equals, in the key's order. */
    for (double above = 0; into->mark_count < MARKS_MAX;) {
        double effort = INFINITY;
        for (uint32_t i = 0; i < keying->character_count; i++)
            if (characters[keying->characters[i]].effort > above)
                effort = fmin(effort, characters[keying->characters[i]].effort);
        if (isinf(effort))
            break;
        for (uint32_t i = 0; i < keying->character_count && into->mark_count < MARKS_MAX; i++) {
            uint32_t c = keying->characters[i];
            rush_leeway mine;
            if (c == split->character || characters[c].effort != effort ||
                characters[c].kind == RUSH_KIND_NUMBER ||
                !confirms(keying, c, ways, split->leads, lead, &mine) ||
                __builtin_popcountll(mine.states) > CONFIRMING_STATES)
                continue;
            rush_lead_mark *mark = &marks[into->mark_count++];
            *mark = (rush_lead_mark){.character = c, .low = -INFINITY, .high = INFINITY};
            list_states(keying, mine.states, mark);
        }
        above = effort;
    }
}

/* ---- taxa ------------------------------------------------------------------------------------------------ */

static uint32_t forms_in_part(const rush_part *part, uint32_t at)
{
    const rush_taxon *taxon = &part->key->taxa[at];
    uint32_t count = 0;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        count += part->forms[f];
    return count;
}

static const rush_lead_taxon *rare_ones_last(rush_keying *keying, const rush_lead_taxon *taxa,
                                             uint32_t count)
{
    rush_lead_taxon *sorted = RUSH_ARRAY(keying->arena, rush_lead_taxon, (size_t)count + 1);
    double *masses = RUSH_ARRAY(keying->arena, double, (size_t)count + 1);
    uint32_t at = 0;
    for (uint32_t i = 0; i < count; i++)
        masses[i] = taxa[i].met;
    double rare = rush_rare_below(masses, count);
    for (int rarely = 0; rarely < 2; rarely++)
        for (uint32_t i = 0; i < count; i++)
            if ((taxa[i].met < rare) == rarely) {
                sorted[at] = taxa[i];
                sorted[at++].rarely = rarely;
            }
    return sorted;
}

void rush_lead_taxa(rush_keying *keying, rush_left left, rush_lead *into)
{
    uint32_t *forms = RUSH_ARRAY(keying->arena, uint32_t, (size_t)left.count + 1);
    rush_lead_taxon *taxa =
        RUSH_ARRAY(keying->arena, rush_lead_taxon, (size_t)rush_left_taxa(keying, left) + 1);
    for (uint32_t i = 0; i < left.count; i++) {
        forms[i] = form_at(keying, left, i)->form;
        uint32_t taxon = keying->key->forms[forms[i]].taxon;
        if (!into->taxon_count || taxa[into->taxon_count - 1].taxon != taxon)
            taxa[into->taxon_count++] = (rush_lead_taxon){.taxon = taxon, .forms = &forms[i]};
        taxa[into->taxon_count - 1].form_count++;
        taxa[into->taxon_count - 1].met += form_at(keying, left, i)->met;
    }
    for (uint32_t i = 0; i < into->taxon_count; i++)
        taxa[i].all_forms = taxa[i].form_count == forms_in_part(keying->part, taxa[i].taxon);
    into->taxa = rare_ones_last(keying, taxa, into->taxon_count);
}

double rush_lead_grouped(const rush_lead *lead)
{
    double often = 0, rarely = 0;
    uint32_t names = 0;
    for (uint32_t i = 0; i < lead->taxon_count; i++) {
        names += !lead->taxa[i].rarely;
        *(lead->taxa[i].rarely ? &rarely : &often) += lead->taxa[i].met;
    }
    return names > 1 ? often + rarely : rarely;
}

/* ---- a group --------------------------------------------------------------------------------------------- */

static void insert(const rush_key *key, rush_look *looks, uint32_t *count, rush_look look)
{
    float rate = (float)(look.gain / key->characters[look.character].effort);
    uint32_t at = *count;
    for (; at; at--) {
        const rush_look *before = &looks[at - 1];
        if ((float)(before->gain / key->characters[before->character].effort) >= rate)
            break;
        if (at < NEEDS_MAX)
            looks[at] = *before;
    }
    if (at < NEEDS_MAX)
        looks[at] = look;
    *count += *count < NEEDS_MAX;
}

/* Each taxon as likely, however few of its insects come this way: else nothing seems to tell a rare one. */
static void give_masses(const rush_keying *keying, rush_left left, double *mass)
{
    for (uint32_t i = 0, next; i < left.count; i = next) {
        double taxon = 0;
        for (next = i; next == i || (next < left.count && !rush_left_begins(keying, left, next));)
            taxon += form_at(keying, left, next++)->alike;
        for (uint32_t f = i; f < next; f++)
            mass[form_at(keying, left, f)->form] = form_at(keying, left, f)->alike / taxon;
    }
}

void rush_lead_needs(rush_keying *keying, rush_left left, rush_adviser *adviser, double *mass,
                     rush_lead *into)
{
    const rush_key *key = keying->key;
    rush_look *looks = RUSH_ARRAY(keying->arena, rush_look, NEEDS_MAX);
    give_masses(keying, left, mass);
    for (uint32_t c = RUSH_BUILT_IN_CHARACTERS; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        if (character->setting || !character->look_next || !key->model.columns[c].profile_count)
            continue;
        double gain = rush_information(adviser, c, mass);
        if (gain >= RUSH_LEAST_GAIN)
            insert(key, looks, &into->need_count, (rush_look){c, gain});
    }
    for (uint32_t i = 0; i < left.count; i++)
        mass[form_at(keying, left, i)->form] = 0;
    into->needs = looks;
}
