/* Products over the answers: what the marks say of each hypothesis, and what the settings leave of the prior. */
#include <limits.h>
#include <math.h>
#include <string.h>

#include "rank/ranker.h"

/* Products are taken in plain numbers; before one could fall under this, its power of two is kept apart. */
#define LEAST_PRODUCT 1e-120

/* So many forms go through all answers side by side, their products in the processor's registers. */
enum { ABREAST = 8 };

/* ---- the factors -------------------------------------------------------------------------------- */

static rush_factor factor_of(const rush_answer_table *table)
{
    const rush_column *column = table->column;
    return (rush_factor){column->narrow ? (const void *)column->narrow : column->wide,
                         column->narrow != NULL, table->value, table};
}

/* The settings, or all answers but those and the taxon character. */
static uint32_t find_factors(rush_ranker *ranker, bool settings)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < ranker->table_count; i++)
        if (ranker->tables[i].column && ranker->tables[i].setting == settings)
            ranker->factors[count++] = factor_of(&ranker->tables[i]);
    return count;
}

/* The end of those that can be multiplied at one go. */
static uint32_t end_of_run(const rush_ranker *ranker, uint32_t from, uint32_t count)
{
    double least = ranker->factors[from++].table->least;
    while (from < count && least * ranker->factors[from].table->least >= LEAST_PRODUCT)
        least *= ranker->factors[from++].table->least;
    return from;
}

/* ---- multiplying -------------------------------------------------------------------------------- */

/* The k-th of the numbers of so many bits that lie in eight bytes. */
static inline uint32_t number_in(uint64_t bytes, int bits, int k)
{
#if __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
    k = 64 / bits - 1 - k;
#endif
    return (uint32_t)(bytes >> bits * k & ((1u << bits) - 1));
}

static inline uint64_t eight_bytes(const void *from)
{
    uint64_t bytes;
    memcpy(&bytes, from, sizeof bytes);
    return bytes;
}

static inline void multiply_abreast(double product[ABREAST], const rush_factor *factor,
                                    uint32_t form)
{
    const double *value = factor->value;
    if (factor->narrow) {
        uint64_t profiles = eight_bytes((const uint8_t *)factor->profiles + form);
        for (int k = 0; k < ABREAST; k++)
            product[k] *= value[number_in(profiles, 8, k)];
        return;
    }
    for (int half = 0; half < ABREAST; half += ABREAST / 2) {
        uint64_t profiles = eight_bytes((const uint16_t *)factor->profiles + form + half);
        for (int k = 0; k < ABREAST / 2; k++)
            product[half + k] *= value[number_in(profiles, 16, k)];
    }
}

/* From `start`, or from 1. */
static void multiply_forms(const rush_ranker *ranker, uint32_t from, uint32_t to,
                           const double *start, double *products)
{
    uint32_t f = 0, count = ranker->key->form_count;
    for (; f + ABREAST <= count; f += ABREAST) {
        double product[ABREAST];
        for (int k = 0; k < ABREAST; k++)
            product[k] = start ? start[f + k] : 1;
        for (uint32_t i = from; i < to; i++)
            multiply_abreast(product, &ranker->factors[i], f);
        for (int k = 0; k < ABREAST; k++)
            products[f + k] = product[k];
    }
    for (; f < count; f++) {
        double product = start ? start[f] : 1;
        for (uint32_t i = from; i < to; i++)
            product *= rush_table_value(ranker, ranker->factors[i].table, f);
        products[f] = product;
    }
}

static void multiply_unlisted(rush_ranker *ranker, uint32_t from, uint32_t to)
{
    double *products = ranker->likelihood + ranker->key->form_count;
    for (uint32_t i = from; i < to; i++)
        for (uint32_t u = 0; u < ranker->key->model.unlisted_count; u++)
            products[u] *= (double)ranker->factors[i].table->unlisted[u];
}

/* What the observer is sure of has no table. */
static void multiply_taxon(rush_ranker *ranker)
{
    for (uint32_t i = 0; i < ranker->table_count; i++)
        for (uint32_t h = 0; !ranker->tables[i].column && h < ranker->key->model.hypothesis_count;
             h++)
            ranker->likelihood[h] *= rush_table_value(ranker, &ranker->tables[i], h);
}

/* ---- powers of two ------------------------------------------------------------------------------ */

/* Keeps those of the likelihoods apart. */
static void take_exponents(rush_ranker *ranker, bool first)
{
    for (uint32_t h = 0; h < ranker->key->model.hypothesis_count; h++) {
        int exponent = 0;
        ranker->likelihood[h] = frexp(ranker->likelihood[h], &exponent);
        ranker->exponents[h] = (first ? 0 : ranker->exponents[h]) + exponent;
    }
}

/* Puts them back, of which the greatest that counts becomes 0; what does not count has no probability anyway. */
static void give_exponents(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    double *likelihood = ranker->likelihood;
    int most = INT_MIN;
    for (uint32_t h = 0; h < key->model.hypothesis_count; h++) {
        double before = h < key->form_count ? ranker->prior[h] : key->header.unlisted;
        if (!(before > 0))
            likelihood[h] = 0;
        if (likelihood[h] > 0 && ranker->exponents[h] > most)
            most = ranker->exponents[h];
    }
    for (uint32_t h = 0; h < key->model.hypothesis_count; h++)
        likelihood[h] = likelihood[h] > 0 ? ldexp(likelihood[h], ranker->exponents[h] - most) : 0;
}

/* ---- the whole ---------------------------------------------------------------------------------- */

void rush_find_likelihood(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    uint32_t count = find_factors(ranker, false), from = 0;
    bool apart = false;
    for (uint32_t u = 0; u < key->model.unlisted_count; u++)
        ranker->likelihood[key->form_count + u] = 1;
    do {
        uint32_t to = count ? end_of_run(ranker, from, count) : 0;
        multiply_forms(ranker, from, to, from ? ranker->likelihood : NULL, ranker->likelihood);
        multiply_unlisted(ranker, from, to);
        if (to < count || apart)
            take_exponents(ranker, !apart);
        apart |= to < count;
        from = to;
    } while (from < count);
    multiply_taxon(ranker);
    if (apart)
        give_exponents(ranker);
}

/* Where nothing changes it, it is the key's own. */
void rush_find_prior(rush_ranker *ranker)
{
    const rush_key *key = ranker->key;
    uint32_t forms = key->form_count, count = find_factors(ranker, true), from = 0;
    double *own = ranker->own_prior;
    ranker->prior = ranker->no_occurrence ? key->model.share : key->model.prior;
    if (!count && !ranker->part)
        return;
    for (uint32_t f = 0; f < forms; f++)
        own[f] = ranker->part && !ranker->part->forms[f] ? 0 : ranker->prior[f];
    ranker->prior = own;
    while (from < count) {
        double most = 0;
        for (uint32_t f = 0; from && f < forms; f++)
            most = fmax(most, own[f]);
        for (uint32_t f = 0; most > 0 && f < forms; f++)
            own[f] /= most;
        uint32_t to = end_of_run(ranker, from, count);
        multiply_forms(ranker, from, to, own, own);
        from = to;
    }
}
