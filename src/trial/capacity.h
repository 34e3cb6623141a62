/* How much a report can tell, at most, and how much it tells of two forms.
 *
 * Layer: trial. Reports are those of the model (likelihood.h), numbers in bins. */
#ifndef RUSH_TRIAL_CAPACITY_H
#define RUSH_TRIAL_CAPACITY_H

#include <stdbool.h>
#include <stdint.h>

/* The capacity in bits of a channel with `inputs` rows of `outputs` chances each; from above, within `within`
 * bits or after a thousand rounds (Arimoto 1972, Blahut 1972). `scratch` has room for inputs + outputs. */
double rush_capacity(const double *rows, uint32_t inputs, uint32_t outputs, double within,
                     double *scratch);

/* I(which of the two; R) of two laws of reports, each as likely: the Jensen-Shannon divergence (Lin 1991, IEEE
 * Trans. Inf. Theory 37:145-151), 0 to 1 bit. */
double rush_divergence(const double *one, const double *other, uint32_t reports);

#endif
