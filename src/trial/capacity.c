#include "trial/capacity.h"

#include <math.h>

double rush_divergence(const double *one, const double *other, uint32_t reports)
{
    double sum = 0;
    for (uint32_t r = 0; r < reports; r++) {
        double middle = (one[r] + other[r]) / 2;
        if (one[r] > 0)
            sum += one[r] * log2(one[r] / middle);
        if (other[r] > 0)
            sum += other[r] * log2(other[r] / middle);
    }
    return fmax(sum / 2, 0);
}

/* What one input tells, in bits, when the outputs come as `mean` has it. */
static double told(const double *row, const double *mean, uint32_t outputs)
{
    double sum = 0;
    for (uint32_t r = 0; r < outputs; r++)
        if (row[r] > 0)
            sum += row[r] * log2(row[r] / mean[r]);
    return sum;
}

double rush_capacity(const double *rows, uint32_t inputs, uint32_t outputs, double within,
                     double *scratch)
{
    enum { ROUNDS = 1000 };
    double *chances = scratch, *mean = scratch + inputs, most = 0;
    for (uint32_t i = 0; i < inputs; i++)
        chances[i] = 1.0 / inputs;
    for (int round = 0; round < ROUNDS; round++) {
        double total = 0;
        most = 0;
        for (uint32_t r = 0; r < outputs; r++) {
            mean[r] = 0;
            for (uint32_t i = 0; i < inputs; i++)
                mean[r] += chances[i] * rows[(uint64_t)i * outputs + r];
        }
        for (uint32_t i = 0; i < inputs; i++) {
            double bits = told(rows + (uint64_t)i * outputs, mean, outputs);
            most = fmax(most, bits);
            chances[i] *= exp2(bits);
            total += chances[i];
        }
        for (uint32_t i = 0; i < inputs; i++)
            chances[i] /= total;
        if (most - log2(total) < within)
            break;
    }
    return most; /* the capacity lies between log2 of the total and this */
}
