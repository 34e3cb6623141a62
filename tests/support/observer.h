/* A simulated observer: what somebody might write down of an insect of a given form. */
#ifndef RUSH_TESTS_OBSERVER_H
#define RUSH_TESTS_OBSERVER_H

#include "support/support.h"

typedef struct simulated_observer {
    const rush_key *key;
    rush_random random;
    double misread; /* times the key's own rates; 0: never wrong */
} simulated_observer;

/* Whether an insect of the form can be answered for in this character: it is scored and applies. */
bool observer_can_answer(const simulated_observer *observer, uint32_t form, uint32_t character);
/* A form: each taxon as likely as every other, its forms by their shares. */
uint32_t observer_meets(simulated_observer *observer, uint32_t leaf);
/* Appends "character: answer; ", as the form shows it or as it is misread. */
void observer_answers(simulated_observer *observer, uint32_t form, uint32_t character,
                      rush_buffer *line);
/* The same with a state that the form never shows; false when it may show any. */
bool observer_errs(simulated_observer *observer, uint32_t form, uint32_t character,
                   rush_buffer *line);
/* Answers for up to `count` characters drawn without repetition; marks them in `used`. */
void observer_describes(simulated_observer *observer, uint32_t form, uint32_t count, bool *used,
                        rush_buffer *line);

#endif
