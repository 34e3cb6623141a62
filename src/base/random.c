#include "base/random.h"

#include <math.h>

static uint64_t spread(uint64_t z)
{
    z = (z ^ z >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ z >> 27) * UINT64_C(0x94d049bb133111eb);
    return z ^ z >> 31;
}

static const uint64_t step = UINT64_C(0x9e3779b97f4a7c15);

uint64_t rush_random_next(rush_random *random)
{
    return spread(random->state += step);
}

rush_random rush_random_at(uint64_t seed, uint64_t row, uint64_t column)
{
    uint64_t state = spread(seed + step);
    state = spread(state + (row + 1) * step);
    return (rush_random){spread(state + (column + 1) * step)};
}

double rush_random_unit(rush_random *random)
{
    return (double)(rush_random_next(random) >> 11) / 9007199254740992.0;
}

uint32_t rush_random_below(rush_random *random, uint32_t count)
{
    return (uint32_t)(rush_random_unit(random) * count);
}

uint32_t rush_random_of(rush_random *random, const double *weights, uint32_t count, double total)
{
    double left = rush_random_unit(random) * total;
    uint32_t last = 0;
    for (uint32_t i = 0; i < count; i++) {
        if (!(weights[i] > 0))
            continue;
        last = i;
        left -= weights[i];
        if (left < 0)
            break;
    }
    return last;
}

double rush_random_normal(rush_random *random)
{
    double u = 1 - rush_random_unit(random), v = rush_random_unit(random);
    return sqrt(-2 * log(u)) * cos(2 * acos(-1) * v);
}
