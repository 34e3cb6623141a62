/* What the tests of practice need: a drill with the key at a path, lines to it, and cards. */
#ifndef RUSH_TESTS_PRACTICE_H
#define RUSH_TESTS_PRACTICE_H

#include "support/support.h"

enum { PRACTICE_TODAY = 20649 }; /* 2026-07-15 */

/* The key; opened and closed around a group of tests. */
extern const char *practice_path;
extern rush_key *practice_key;
int practice_open(void **state);
int practice_close(void **state);

/* As it is told, but close and on that day unless told. */
rush_drill *practice_begin(rush_drill_options how);
const rush_drill_reply *practice_say(rush_drill *drill, const char *line);
/* The taxon that was played, seen by giving up. */
uint32_t practice_give_up(rush_drill *drill);
const rush_drill_card *practice_card(const rush_drill_reply *reply, uint32_t taxon);
const char *practice_name(uint32_t taxon);
/* A file of one card. */
void practice_read_card(rush_drill *drill, const char *taxon, unsigned box, const char *due);

#endif
