#include "base/score.h"

#include <math.h>

double rush_score_brier(double probability, bool happened)
{
    double off = probability - (happened ? 1 : 0);
    return off * off;
}

double rush_score_brier_classes(const double *probabilities, uint32_t count, uint32_t true_class)
{
    double sum = 0;
    for (uint32_t i = 0; i < count; i++)
        sum += rush_score_brier(probabilities[i], i == true_class);
    return sum;
}

double rush_score_log(double probability)
{
    return -log2(probability);
}
