#include "advise/reports.h"

#include <math.h>
#include <string.h>

#include "rank/likelihood.h"

/* So many numbers are kept of a key, its first characters first. What needs more is the character `form` of a key with
 * thousands of names. */
#define KEPT_MAX ((size_t)1 << 24)

double rush_entropy(const double *numbers, uint32_t count)
{
    double sum = 0, bits = 0;
    for (uint32_t i = 0; i < count; i++) {
        sum += numbers[i];
        if (numbers[i] > 0)
            bits -= numbers[i] * log2(numbers[i]);
    }
    return sum > 0 ? bits + sum * log2(sum) : 0;
}

/* ---- memory ------------------------------------------------------------------------------------- */

static uint32_t find_inapplicable(const rush_column *column)
{
    for (uint32_t p = 0; p < column->scored_count; p++)
        if (column->profiles[p].kind == RUSH_PROFILE_INAPPLICABLE)
            return p;
    return RUSH_NONE;
}

/* How much the tables of all characters take. What is reserved for all together costs nothing before it is used. */
typedef struct pools {
    size_t profiles, leaves, differing, rows, mixed;
} pools;

static void measure_table(rush_reports *reports, const rush_key *key, uint32_t character,
                          pools *sizes)
{
    const rush_column *column = &key->model.columns[character];
    const rush_character *owner = &key->characters[character];
    reports->count = owner->kind == RUSH_KIND_NUMBER ? RUSH_BINS : owner->state_count;
    reports->stride =
        (reports->count + RUSH_REPORT_LANES - 1) / RUSH_REPORT_LANES * RUSH_REPORT_LANES;
    reports->inapplicable = find_inapplicable(column);
    size_t rows = (size_t)column->scored_count * reports->stride,
           mixed = (size_t)(column->profile_count - column->scored_count) * reports->stride;
    reports->kept = rows + mixed <= KEPT_MAX - sizes->rows - sizes->mixed;
    sizes->rows += reports->kept ? rows : 0;
    sizes->mixed += reports->kept ? mixed : 0;
    sizes->profiles += column->profile_count;
    sizes->leaves += key->leaf_count;
    sizes->differing += key->form_count - key->leaf_count; /* at most */
}

static void share_pools(rush_report_tables *tables, const rush_key *key, rush_arena *arena,
                        const pools *sizes)
{
    double *entropy = RUSH_ARRAY(arena, double, sizes->profiles);
    double *rows = RUSH_ARRAY(arena, double, sizes->rows);
    float *mixed = RUSH_ARRAY(arena, float, sizes->mixed);
    uint16_t *of_leaf = RUSH_ARRAY(arena, uint16_t, sizes->leaves);
    rush_differing *differing = RUSH_ARRAY(arena, rush_differing, sizes->differing);
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_column *column = &key->model.columns[c];
        rush_reports *reports = &tables->of[c];
        if (!column->profile_count)
            continue;
        reports->entropy = entropy;
        reports->rows = rows;
        reports->mixed = mixed;
        reports->of_leaf = of_leaf;
        reports->differing = differing;
        entropy += column->profile_count;
        of_leaf += key->leaf_count;
        differing += key->form_count - key->leaf_count;
        if (!reports->kept)
            continue;
        rows += (size_t)column->scored_count * reports->stride;
        mixed += (size_t)(column->profile_count - column->scored_count) * reports->stride;
    }
}

void rush_reports_reserve(rush_report_tables *tables, const rush_key *key, rush_arena *arena)
{
    uint32_t longest = RUSH_REPORT_LANES;
    pools sizes = {0};
    tables->key = key;
    tables->of = RUSH_ARRAY(arena, rush_reports, key->character_count);
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!key->model.columns[c].profile_count)
            continue;
        measure_table(&tables->of[c], key, c, &sizes);
        longest = tables->of[c].stride > longest ? tables->of[c].stride : longest;
    }
    share_pools(tables, key, arena, &sizes);
    tables->row = RUSH_ARRAY(arena, double, longest);
    tables->whole = RUSH_ARRAY(arena, double, longest);
}

/* ---- rows --------------------------------------------------------------------------------------- */

static void make_row(const rush_key *key, uint32_t character, uint32_t profile, double mass,
                     double *row)
{
    if (key->characters[character].kind == RUSH_KIND_NUMBER)
        rush_reports_of_number(key, character, profile, mass, row);
    else
        rush_reports_of_states(key, character, profile, mass, row);
}

/* Of a profile of scored forms. */
static void add_row(const rush_reports *reports, uint32_t profile, double mass, double *sums)
{
    const double *row = reports->rows + (size_t)profile * reports->stride;
    for (uint32_t r = 0; r < reports->stride; r++)
        sums[r] += mass * row[r];
}

/* What is reported of the key's scored forms as a whole. */
static void make_whole(const rush_column *column, const rush_reports *reports, double *whole)
{
    memset(whole, 0, reports->stride * sizeof *whole);
    for (uint32_t r = 0; !column->whole && r < reports->count; r++)
        whole[r] = 1.0 / reports->count;
    for (uint32_t p = 0; column->whole && p < column->scored_count; p++)
        add_row(reports, p, column->whole[p], whole);
}

/* Of a mixture, from the rows of its parts; those of the whole key come last, and are summed already. The sum that is
 * kept is rounded, and so is `row`. */
static void mix_row(const rush_report_tables *tables, uint32_t character, uint32_t profile,
                    float *kept, double *row)
{
    const rush_reports *reports = &tables->of[character];
    rush_mixture_parts parts = rush_mixture_begin(tables->key, character, profile);
    uint32_t part;
    double weight;
    for (uint32_t r = 0; r < reports->stride; r++)
        row[r] = parts.whole * tables->whole[r];
    while (rush_mixture_next(&parts, &part, &weight) && !parts.of_whole)
        add_row(reports, part, weight, row);
    for (uint32_t r = 0; r < reports->stride; r++)
        row[r] = (double)(kept[r] = (float)row[r]);
}

static void make_rows(rush_report_tables *tables, uint32_t character)
{
    const rush_column *column = &tables->key->model.columns[character];
    rush_reports *reports = &tables->of[character];
    uint32_t stride = reports->stride, scored = column->scored_count;
    for (uint32_t p = 0; p < column->profile_count; p++) {
        bool mixed = reports->kept && p >= scored;
        double *row = reports->kept && !mixed ? reports->rows + (size_t)p * stride : tables->row;
        if (mixed && p == scored)
            make_whole(column, reports, tables->whole);
        if (mixed) {
            mix_row(tables, character, p, reports->mixed + (size_t)(p - scored) * stride, row);
        } else {
            memset(row, 0, stride * sizeof *row);
            make_row(tables->key, character, p, 1, row);
        }
        reports->entropy[p] = rush_entropy(row, reports->count);
    }
    reports->known = true;
}

const rush_reports *rush_reports_of(rush_report_tables *tables, uint32_t character)
{
    if (!tables->of[character].known)
        make_rows(tables, character);
    return &tables->of[character];
}

/* ---- sums --------------------------------------------------------------------------------------- */

/* Some reports of a mixture. */
static inline void add_lanes(double sums[RUSH_REPORT_LANES], double mass, const float *row)
{
    for (uint32_t k = 0; k < RUSH_REPORT_LANES; k++)
        sums[k] += mass * (double)row[k];
}

double rush_reports_add(const rush_report_tables *tables, uint32_t character, uint32_t profile,
                        double mass, double *sums)
{
    const rush_reports *reports = &tables->of[character];
    uint32_t scored = tables->key->model.columns[character].scored_count;
    if (!reports->kept)
        make_row(tables->key, character, profile, mass, sums);
    else if (profile < scored)
        add_row(reports, profile, mass, sums);
    else
        for (uint32_t r = 0; r < reports->stride; r += RUSH_REPORT_LANES)
            add_lanes(sums + r, mass,
                      reports->mixed + (size_t)(profile - scored) * reports->stride + r);
    return mass * reports->entropy[profile];
}

double rush_reports_told(const rush_report_tables *tables, uint32_t character,
                         const uint32_t *profiles, const double *masses, uint32_t count)
{
    const rush_reports *reports = &tables->of[character];
    double of_forms = 0;
    memset(tables->row, 0, reports->stride * sizeof *tables->row);
    for (uint32_t i = 0; i < count; i++)
        of_forms += rush_reports_add(tables, character, profiles[i], masses[i], tables->row);
    return rush_entropy(tables->row, reports->count) - of_forms;
}

/* Over the mixtures, a few reports at a time. An addition waits for the one before it, so two sums take turns. */
static void add_mixtures(const rush_reports *reports, uint32_t count, const double *mass,
                         double *sums)
{
    const size_t stride = reports->stride;
    for (size_t r = 0; r < stride; r += RUSH_REPORT_LANES) {
        double even[RUSH_REPORT_LANES] = {0}, odd[RUSH_REPORT_LANES] = {0};
        const float *row = reports->mixed + r;
        uint32_t i = 0;
        for (; i + 2 <= count; i += 2, row += 2 * stride) {
            add_lanes(even, mass[i], row);
            add_lanes(odd, mass[i + 1], row + stride);
        }
        if (i < count)
            add_lanes(even, mass[i], row);
        for (uint32_t k = 0; k < RUSH_REPORT_LANES; k++)
            sums[r + k] += even[k] + odd[k];
    }
}

double rush_reports_sum(const rush_report_tables *tables, uint32_t character, const double *mass,
                        double *sums)
{
    const rush_reports *reports = &tables->of[character];
    const rush_column *column = &tables->key->model.columns[character];
    uint32_t one_by_one = reports->kept ? column->scored_count : column->profile_count;
    uint32_t p = 0, count = column->profile_count;
    double even = 0, odd = 0;
    memset(sums, 0, reports->stride * sizeof *sums);
    for (; p < one_by_one; p++)
        if (mass[p] > 0)
            even += rush_reports_add(tables, character, p, mass[p], sums);
    add_mixtures(reports, count - p, mass + p, sums);
    for (; p + 2 <= count; p += 2) {
        even += mass[p] * reports->entropy[p];
        odd += mass[p + 1] * reports->entropy[p + 1];
    }
    return even + odd + (p < count ? mass[p] * reports->entropy[p] : 0);
}

/* ---- forms that differ -------------------------------------------------------------------------- */

/* What a report tells about the form, given the taxon. */
static double bits_of_form(rush_report_tables *tables, uint32_t character,
                           const rush_taxon *taxon)
{
    const rush_column *column = &tables->key->model.columns[character];
    const rush_reports *reports = &tables->of[character];
    double of_forms = 0;
    memset(tables->row, 0, reports->stride * sizeof(double));
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        of_forms += rush_reports_add(tables, character, rush_column_profile(column, f),
                                     tables->key->forms[f].share, tables->row);
    return rush_entropy(tables->row, reports->count) - of_forms;
}

static uint32_t find_differing(rush_report_tables *tables, uint32_t character,
                               const rush_taxon *taxon, rush_differing *differing)
{
    const rush_column *column = &tables->key->model.columns[character];
    uint32_t of_first = rush_column_profile(column, taxon->first_form), count = 0;
    bool told = false;
    for (uint32_t f = 1; f < taxon->form_count; f++) {
        uint32_t form = taxon->first_form + f, profile = rush_column_profile(column, form);
        double share = tables->key->forms[form].share;
        if (profile == of_first)
            continue;
        differing[count] = (rush_differing){form, (uint16_t)profile, (uint16_t)of_first, 0};
        if (!told && share > 0) {
            differing[count].bits = bits_of_form(tables, character, taxon) / share;
            told = true;
        }
        count++;
    }
    return count;
}

const rush_reports *rush_reports_of_leaves(rush_report_tables *tables, uint32_t character)
{
    const rush_key *key = tables->key;
    rush_reports *reports = &tables->of[character];
    uint32_t count = 0;
    rush_reports_of(tables, character);
    for (uint32_t i = 0; !reports->leaves_known && i < key->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        reports->of_leaf[i] =
            (uint16_t)rush_column_profile(&key->model.columns[character], taxon->first_form);
        count += find_differing(tables, character, taxon, reports->differing + count);
    }
    if (!reports->leaves_known)
        reports->differing_count = count;
    reports->leaves_known = true;
    return reports;
}
