#include "trial/misread.h"

static bool are_confused(const rush_column *column, uint32_t a, uint32_t b)
{
    return column->confused && column->confused[a * column->set_words + b / 64] >> b % 64 & 1;
}

double rush_misread_part(const rush_key *key, uint32_t character, uint32_t state, uint32_t other)
{
    const rush_column *column = &key->model.columns[character];
    uint32_t states = key->characters[character].state_count, confused = 0;
    if (other == state)
        return 0;
    for (uint32_t s = 0; s < states; s++)
        confused += s != state && are_confused(column, state, s);
    uint32_t others = states - 1 - confused;
    double to_confused = !confused ? 0 : !others ? 1 : RUSH_CONFUSED_PART;
    return are_confused(column, state, other) ? to_confused / confused
                                              : (1 - to_confused) / others;
}
