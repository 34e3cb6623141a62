/* rushlight: an offline engine for multi-access identification keys.
 *
 * The tour, in the order in which data flows; each header says who owns what and what can fail:
 *
 *     version.h     which version this is                                           src/base/
 *     text.h        slices of text, the buffer that everything is written to        src/base/
 *     diagnostic.h  what an author or a user is told, as data                       src/diagnostic/
 *     key.h         key files (YAML) -> a key, checked and compiled                 src/key/
 *     sighting.h    an observation line -> a sighting                               src/sighting/
 *     ranking.h     a sighting -> what it can be, how safe, how well it fits        src/rank/
 *     part.h        some of a key: one pond, month, group or list                   src/rank/
 *     advice.h      a ranking -> what to look at next                               src/advise/
 *     apart.h       look-alikes -> what tells them apart, and how safely            src/advise/
 *     couplets.h    a part of a key -> a printed key                                src/advise/
 *     check.h       a key -> what is weak in it                                     src/check/
 *     trial.h       a key -> how well it works, by simulated observers              src/trial/
 *     changes.h     two keys -> what a revision changed                             src/changes/
 *     dialogue.h    the conversation beside the water: a line in, a reply out       src/dialogue/
 *     drill.h       practice: the program plays an insect, the learner names it     src/dialogue/
 *     report.h      results -> text, JSON lines                                     src/report/
 *     record.h      results -> occurrences in Darwin Core terms                     src/report/
 *     sow.h         a table -> a new key; a key -> a table                          src/sow/
 *
 * Nothing in a folder knows of a folder below it in this list. The library never prints, never exits
 * and reads neither clock, locale nor environment; src/cli/ does, on top of these headers alone. */
#ifndef RUSHLIGHT_RUSHLIGHT_H
#define RUSHLIGHT_RUSHLIGHT_H

#include "rushlight/advice.h"
#include "rushlight/apart.h"
#include "rushlight/changes.h"
#include "rushlight/check.h"
#include "rushlight/couplets.h"
#include "rushlight/diagnostic.h"
#include "rushlight/dialogue.h"
#include "rushlight/drill.h"
#include "rushlight/key.h"
#include "rushlight/part.h"
#include "rushlight/ranking.h"
#include "rushlight/record.h"
#include "rushlight/report.h"
#include "rushlight/sighting.h"
#include "rushlight/sow.h"
#include "rushlight/text.h"
#include "rushlight/trial.h"
#include "rushlight/version.h"

#endif
