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

void rush_share_interval(uint32_t some, uint32_t all, double *low, double *high)
{
    static const double z = 1.959963984540054; /* the normal's 97.5 % point */
    double share = (double)some / all, weight = z * z / all;
    double middle = share + weight / 2;
    double half = z * sqrt(share * (1 - share) / all + weight / (4.0 * all));
    *low = some ? (middle - half) / (1 + weight) : 0;
    *high = some < all ? (middle + half) / (1 + weight) : 1;
}
