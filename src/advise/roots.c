#include "advise/roots.h"

#include <math.h>

static void find_leaf(rush_arena *arena, const rush_roots *roots, const rush_part *part,
                      uint32_t character, uint32_t at, double *row)
{
    uint32_t reports = rush_report_count(&roots->key->characters[character]);
    rush_likely_forms likely =
        rush_likely_of(arena, roots->key, part, &roots->leaves[at % roots->leaf_count], 1,
                       at / roots->leaf_count ? RUSH_SEX_FEMALE : RUSH_SEX_MALE);
    if (!likely.count)
        return;
    const double *by_taxon = rush_reports_by_taxon(
        arena, &likely, rush_reports_by_form(arena, roots->key, character, &likely), reports);
    for (uint32_t r = 0; r < reports; r++)
        row[r] = sqrt(by_taxon[r]);
}

rush_roots rush_roots_find(rush_arena *arena, const rush_key *key, const rush_part *part,
                           rush_reach reach)
{
    rush_roots roots = {.key = key,
                        .leaves = part ? part->leaves : key->leaves,
                        .leaf_count = part ? part->leaf_count : key->leaf_count};
    uint32_t rows = RUSH_ROOT_SEXES * roots.leaf_count;
    uint8_t *there = RUSH_ARRAY(arena, uint8_t, (size_t)rows + 1);
    for (uint32_t at = 0; at < rows; at++)
        there[at] = rush_likely_of(arena, key, part, &roots.leaves[at % roots.leaf_count], 1,
                                   at / roots.leaf_count ? RUSH_SEX_FEMALE : RUSH_SEX_MALE)
                        .count > 0;
    for (int sex = 0; sex < RUSH_ROOT_SEXES; sex++)
        roots.there[sex] = there + (size_t)sex * roots.leaf_count;
    roots.of = RUSH_ARRAY(arena, const double *, key->character_count);
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!rush_may_tell(key, c) || key->characters[c].reach > reach)
            continue;
        uint32_t reports = rush_report_count(&key->characters[c]);
        double *table = RUSH_ARRAY(arena, double, (size_t)rows *reports);
        for (uint32_t at = 0; at < rows; at++)
            find_leaf(arena, &roots, part, c, at, table + (size_t)at * reports);
        roots.of[c] = table;
    }
    return roots;
}

double rush_roots_alike(const rush_roots *roots, uint32_t character, uint32_t sex, uint32_t a,
                        uint32_t b)
{
    uint32_t reports = rush_report_count(&roots->key->characters[character]);
    const double *of = roots->of[character] + (size_t)sex * roots->leaf_count * reports;
    double sum = 0;
    for (uint32_t r = 0; r < reports; r++)
        sum += of[(size_t)a * reports + r] * of[(size_t)b * reports + r];
    return sum;
}
