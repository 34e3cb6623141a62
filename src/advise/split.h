/* One couplet while a printed key is made: how a character parts what is left, and what that is worth.
 *
 * Layer: advise. What is left at a point of the key is a run of forms on a stack, in the key's order, each with
 * the mass that comes this far. A split sends each form along every lead that it can take (couplets.h). */
#ifndef RUSH_ADVISE_SPLIT_H
#define RUSH_ADVISE_SPLIT_H

#include "base/arena.h"
#include "key/key.h"
#include "rushlight/couplets.h"

/* A form on its way. */
typedef struct rush_keyed_form {
    uint32_t form;
    double alike, met; /* its mass: each taxon counting alike; by the part's prior */
    double kept;       /* of `met`, what has shown nothing too rare to be followed */
} rush_keyed_form;

/* What is left. */
typedef struct rush_left {
    uint32_t from, count; /* on the stack */
} rush_left;

/* How the insects of one profile go at one character. */
typedef struct rush_route {
    bool open;      /* along every lead: not scored, or it cannot be shown */
    bool cannot;    /* ... of these, it cannot be shown: no lead would fit it */
    uint64_t shown; /* states */
    const double *weights;
    double low, high; /* a number, with one sd of a reading by eye at either end */
    double mean, sd;  /* of readings */
} rush_route;

/* What is left of one character's values, on the way so far. */
typedef struct rush_leeway {
    uint64_t states;
    double low, high;
} rush_leeway;

/* What a split does to the insects of one profile. */
typedef struct rush_passage {
    uint64_t weighing; /* which it was found in */
    uint32_t ways;
    bool goes[RUSH_LEADS_MAX];
    double wrong; /* the chance of a wrong lead */
} rush_passage;

/* An end of a range. */
typedef struct rush_bound {
    double value;
    bool begins;
} rush_bound;

typedef struct rush_keying {
    rush_arena *arena;
    const rush_key *key;
    const rush_part *part;
    uint32_t leads;                        /* at most */
    uint32_t *characters, character_count; /* that may be asked */
    const rush_route **routes; /* by character of the key, by profile; NULL: it is not asked */
    const double **misreads;   /* by character of the key, by true state, by state reported */
    rush_leeway *leeways;      /* by character of the key */
    RUSH_LIST(rush_keyed_form) stack;
    RUSH_LIST(rush_bound) bounds; /* scratch; so the passages, by profile */
    rush_passage *passages;
    uint64_t weighings;
    uint32_t patience; /* how often more than one split may still be tried below another */
} rush_keying;

typedef struct rush_split {
    uint32_t character;
    uint32_t leads;
    rush_leeway of[RUSH_LEADS_MAX]; /* by lead: states, or a number's interval */
    double gain;                    /* bits about the taxon */
    double
        worth; /* the same, as if a form that goes several ways went each as often: fewer do then */
    double cost; /* its effort, more where it is often misread */
} rush_split;

void rush_keying_init(rush_keying *keying, const rush_part *part,
                      const rush_couplets_options *options);
/* How many further splits are found, second and third best at their character. */
enum { RUSH_FURTHER = 12 };
/* The best split at each character that tells something, the best for its cost first; at most `room`. Behind
 * them, where `further`, at most RUSH_FURTHER others. Not at a character that one of the forms cannot show: who
 * has that insect would find no lead. Returns how many. */
uint32_t rush_splits_find(rush_keying *keying, rush_left left, rush_split *splits, uint32_t room,
                          bool further);
/* Males from females, which tells nothing of the taxon by itself; false unless both are left. */
bool rush_split_sexes(rush_keying *keying, rush_left left, rush_split *split);
/* The part of a form's insects that goes along a lead: 0 to 1. They sum to 1 over the leads. */
double rush_split_share(const rush_keying *keying, const rush_split *split, uint32_t lead,
                        uint32_t form);
/* Puts what goes along a lead on top of the stack. */
rush_left rush_split_follow(rush_keying *keying, rush_left left, const rush_split *split,
                            uint32_t lead);
/* Whether the form at `at` is of another taxon than the one before it. */
bool rush_left_begins(const rush_keying *keying, rush_left left, uint32_t at);
/* The mass under which the taxa of a group are rarely the one: together they are less than RUSH_LEAD_SHARE of it. Sorts
 * the masses. */
double rush_rare_below(double *masses, uint32_t count);
/* How many taxa there are among the forms. */
uint32_t rush_left_taxa(const rush_keying *keying, rush_left left);

/* The part of a route's insects with these states, or in this interval. */
double rush_route_weight(const rush_route *route, uint64_t states);
double rush_route_between(const rush_route *route, double low, double high);

/* weigh.c: the parts of a route's insects that go along each lead; what a split is worth; the part of a
 * form's insects whose state is not too rare to be followed. */
void rush_split_shares(const rush_keying *keying, const rush_split *split,
                       const rush_route *route, double shares[RUSH_LEADS_MAX]);
void rush_split_weigh(rush_keying *keying, rush_left left, rush_split *split);
double rush_route_followed(const rush_keying *keying, uint32_t character,
                           const rush_route *route);

static inline const rush_route *rush_route_of(const rush_keying *keying, uint32_t character,
                                              uint32_t form)
{
    return &keying->routes[character]
                          [rush_column_profile(&keying->key->model.columns[character], form)];
}

#endif
