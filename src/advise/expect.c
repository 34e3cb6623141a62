#include <string.h>

#include "rank/likelihood.h"
#include "rushlight/advice.h"

void rush_expect_reports(const rush_ranking *ranking, uint32_t character, double *reports)
{
    static const double least_form = 1e-9;
    const rush_key *key = ranking->key;
    const rush_column *column = &key->model.columns[character];
    double listed = 0;
    memset(reports, 0, key->characters[character].state_count * sizeof *reports);
    for (uint32_t f = 0; f < key->form_count; f++)
        listed += ranking->forms[f];
    for (uint32_t f = 0; f < key->form_count; f++)
        if (ranking->forms[f] > least_form * listed)
            rush_reports_of_states(key, character, rush_column_profile(column, f),
                                   ranking->forms[f] / listed, reports);
}
