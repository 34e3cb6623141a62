/* Practice: the program plays an insect, the learner names it. A line in, a reply out.
 *
 * Layer: dialogue (above trial). An insect is drawn as trials draw them (trial.h), and shown without misreads and
 * without what is odd for its kind, mark by mark in the order in which a person comes to see it: far before near
 * before close; within a reach first size, posture and colour. A line is the name of a taxon, or the beginnings of
 * words of one name ("A. mixta", "emerald d"), with a sex before or behind it or without, or one of these:
 *
 *     more (or nothing)  one mark more                     marks    all marks so far
 *     hint               the mark that tells most now      ?        these words, and how to look
 *     give up            tell me                           quit     end (also a full stop)
 *     why                the last insect again, with all its marks
 *
 * `skip`, `pass`, `don't know` and the like give up; `next` is more; `h` and `q` are hint and quit.
 *
 * What was missed comes back: each taxon has a place in one of five boxes (Leitner 1972, So lernt man lernen; from
 * memory). A right name moves it one box on if it was due, a wrong one or giving up back into the first. What lies
 * in the first comes back on the same day, behind three other insects; in the others after 1, 2, 4 and 8 days:
 * intervals that double are common practice, no published source. What is due comes before anything new, but after
 * four repeats in a row something new is played, so that nobody is held with the same few. Else what is met more
 * often comes first, roughly, and what has risen in its boxes seldom.
 *
 * Ownership: replies, and all that they point to, lie in the drill until the next step. */
#ifndef RUSHLIGHT_DRILL_H
#define RUSHLIGHT_DRILL_H

#include "rushlight/advice.h"
#include "rushlight/part.h"

enum { RUSH_DRILL_BOXES = 5, RUSH_DRILL_ROUNDS = 10, RUSH_DRILL_PAIRS = 12 };
enum {
    RUSH_DRILL_BETWEEN = 3, /* other insects before one that was missed comes back */
    RUSH_DRILL_REPEATS = 4  /* in a row, before something new is played */
};

typedef struct rush_drill_options {
    const rush_part *part;    /* insects are of this part; NULL: of the whole key */
    const rush_sighting *set; /* what the learner knows of the occasion; or NULL */
    bool hard;                /* only the RUSH_DRILL_PAIRS hardest pairs */
    rush_reach reach;         /* nothing is shown that needs more; 0 is RUSH_REACH_FAR */
    uint32_t rounds;          /* 0: RUSH_DRILL_ROUNDS */
    uint64_t seed;
    int32_t
        today; /* of rush_drill_day; beyond its years the nearest day counts. 0 is 1970-01-01 */
    uint32_t language;
} rush_drill_options;

/* How a learner stands with a taxon without children. */
typedef struct rush_drill_card {
    uint32_t taxon;
    uint32_t box;            /* from 1; 0: never played */
    int32_t due;             /* the day from which it comes back */
    uint32_t rounds, right;  /* ever */
    uint32_t now, now_right; /* in this drill */
} rush_drill_card;

/* Something that this insect shows. */
typedef struct rush_drill_mark {
    uint32_t character;
    uint32_t state; /* of kind NUMBER: 0 */
    double value;   /* of kind NUMBER */
    bool seen;      /* it was shown before the name was given */
    bool fits;      /* the other form of the outcome shows it too */
    bool against;   /* ... or does not; neither where that is not known */
    double gain;    /* of a mark that decides: bits between the two */
} rush_drill_mark;

typedef enum rush_drill_kind {
    RUSH_DRILL_LOOK,    /* a new insect: the first marks */
    RUSH_DRILL_MORE,    /* one mark more */
    RUSH_DRILL_HINT,    /* the one that tells most of what is not shown yet */
    RUSH_DRILL_NO_MORE, /* all that can be seen has been shown */
    RUSH_DRILL_MARKS,   /* all marks so far */
    RUSH_DRILL_GROUP,   /* a group was named, which does not end the round */
    RUSH_DRILL_OUTSIDE, /* a taxon was named that is not played here, which does not end the round */
    RUSH_DRILL_WHY,     /* the last outcome, all of it; NULL before the first */
    RUSH_DRILL_UNKNOWN, /* not a name: see `diagnostics`; it costs nothing */
    RUSH_DRILL_HELP,
    RUSH_DRILL_END
} rush_drill_kind;

typedef enum rush_drill_result {
    RUSH_DRILL_RIGHT,
    RUSH_DRILL_WRONG,
    RUSH_DRILL_GIVEN_UP
} rush_drill_result;

enum { RUSH_DRILL_DECIDING = 2 };

/* A round that has ended. */
typedef struct rush_drill_outcome {
    rush_drill_result result;
    uint32_t form;  /* what the insect was */
    uint32_t named; /* the taxon that was named; RUSH_NONE: given up */
    rush_sex
        sex; /* that was named with it; RUSH_SEX_ANY: none. It is remarked upon and costs nothing. */
    uint32_t group; /* WRONG: the genus or family in which both stand; RUSH_NONE: in none */
    /* Of the named taxon the form most like what was played, by sex and by name; of a right name or
     * none, that of the taxon that suits them next best. RUSH_NONE: there is no other. */
    uint32_t other;
    const rush_drill_mark *marks; /* those that were shown */
    uint32_t mark_count;
    const rush_drill_mark
        *deciding;           /* what tells the two apart best, with what the insect shows */
    uint32_t deciding_count; /* RUSH_DRILL_DECIDING at most */
    double probability, probability_other; /* of the two taxa, by the marks that were shown */
    /* It does not count: the marks that were shown spoke for the wrong name that was given; or all were shown, they
     * spoke for another, and the learner gave up. */
    bool fair;
    const rush_drill_card *card; /* as it stands now */
} rush_drill_outcome;

typedef struct rush_drill_reply {
    const rush_key *key;
    uint32_t language;
    rush_drill_kind kind;
    const rush_drill_outcome *outcome; /* of the round that the line ended, or NULL; see WHY */
    uint32_t round, rounds;            /* of the insect in play, from 1 */
    uint32_t taxa, due; /* what can be played, and how much of it was due when the drill began */
    bool hard;          /* as the options have it */
    const rush_sighting *set;        /* what the learner knows of the occasion; or NULL */
    const rush_drill_mark *occasion; /* settings, which come with LOOK and MARKS */
    uint32_t occasion_count;
    const rush_drill_mark *marks; /* all that are shown so far, the newest last */
    uint32_t mark_count, newest;  /* so many of them are new */
    uint32_t left;                /* marks that are not shown yet */
    bool explained;               /* HINT: how to look at it came with an earlier one */
    uint32_t group;               /* GROUP, OUTSIDE: what was named */
    bool within;                  /* ... and the insect stands in it */
    const rush_diagnostics *diagnostics;
    const rush_drill_card *cards; /* of every taxon without children, as rush_key_leaf has them */
    uint32_t card_count;
    uint32_t played, right; /* rounds so far that count */
    uint32_t fair;          /* rounds besides, that do not count */
    int32_t today;
} rush_drill_reply;

typedef struct rush_drill rush_drill;

/* The number of a day: days since 1970-01-01 (proleptic Gregorian calendar). False for what is not a whole date of
 * ISO 8601 of the years 1 to 9999. */
RUSH_PUBLIC bool rush_drill_day(rush_text date, int32_t *day);

/* Reach close, RUSH_DRILL_ROUNDS; all else 0. */
RUSH_PUBLIC rush_drill_options rush_drill_usual(void);
/* `options` may be NULL: the usual ones. NULL when there is no memory. The part, the key and the set must outlive
 * it. */
RUSH_PUBLIC rush_drill *rush_drill_new(const rush_key *key, const rush_drill_options *options);
RUSH_PUBLIC void rush_drill_free(rush_drill *drill);

/* What is kept between drills: JSON lines (RFC 8259), each an object, the first one to say what they are:
 *
 *     {"schema":1,"kept":"practice"}
 *     {"key":"odonata-adults","taxon":"Aeshna cyanea","box":2,"due":"2026-07-16","rounds":3,"right":2}
 *
 * Read before the first insect; an empty text is a learner who begins. Lines of other keys, and of taxa that this
 * key does not have, are kept as they are. False, and told, when a line is something else: nothing should then be
 * written over the file. To be read again before it is written, since another drill may have written to it: of the
 * taxa that were played in this one, this one's cards stay. */
RUSH_PUBLIC bool rush_drill_read(rush_drill *drill, const char *file, rush_text text,
                                 rush_diagnostics *diagnostics);
RUSH_PUBLIC void rush_drill_write(const rush_drill *drill, rush_buffer *buffer);

/* The first insect. A step without it begins by itself. */
RUSH_PUBLIC const rush_drill_reply *rush_drill_begin(rush_drill *drill);
/* One line of the learner's, without its line break. After the end it gives the end again. */
RUSH_PUBLIC const rush_drill_reply *rush_drill_step(rush_drill *drill, rush_text line);
/* The end, as if `quit` had been said: an insect that is in play does not count. */
RUSH_PUBLIC const rush_drill_reply *rush_drill_end(rush_drill *drill);

/* What a line may go on to, as rush_dialogue_complete has it: names of taxa and words of command. */
RUSH_PUBLIC void rush_drill_complete(const rush_drill *drill, rush_text line, size_t *stem,
                                     rush_buffer *names);

#endif
