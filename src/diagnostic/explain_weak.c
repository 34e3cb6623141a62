#include <stddef.h>

#include "diagnostic/explain.h"

#define WIDTH "  width: {measure: length, reading_error: 10%}\n"

/* Five taxa that differ in `outline` and, each row, in what its macro is given. */
#define TAXON(name, traits) "  " name ": {rank: species, traits: {" traits "}}\n"
#define MONTHS                                                                                   \
    "characters:\n  outline: {states: [round, fan]}\n  month: {setting: months}\n" WIDTH
#define STRIPES                                                                                  \
    "characters:\n  outline: {states: [round, fan]}\n  stripes: {states: [none, thin, wide]}\n"  \
    "  stripe colour: {states: [pale, dark]}\n"

const rush_explanation rush_explain_weak[] = {
    {RUSH_NO_READING_ERROR,
     "Nobody reads a length by eye to the millimetre. Without `reading_error:` the model takes a reading as "
     "exact, and an honest estimate speaks against the right taxon.",
     "characters:\n  outline: {states: [round, fan]}\n  width: {measure: length}\n",
     "characters:\n  outline: {states: [round, fan]}\n  width: {measure: length, reading_error: 10%}\n",
     false},
    {RUSH_NO_DIFFERENCE,
     "Whatever is answered, these two get the same: the key can never name one of them. Score a character "
     "in which they differ. If nobody can tell them apart, that is worth knowing too: say it in a "
     "`caution:` of both and allow the finding, and the key will stop at their genus.",
     "taxa:\n" TAXON("Tidella ficta", "outline: round") TAXON("Murmica ficta", "outline: round"),
     "taxa:\n" TAXON("Tidella ficta", "outline: round") TAXON("Murmica ficta", "outline: fan"),
     false},
    {RUSH_IDLE_CHARACTER,
     "Every taxon is scored alike in this character, or none is: asking for it wastes the observer's "
     "seconds. Score it where it differs, or leave it out.",
     "characters:\n  outline: {states: [round, fan]}\n  gloss: {states: [shiny, dull]}\n" WIDTH,
     "characters:\n  outline: {states: [round, fan]}\n" WIDTH, false},
    {RUSH_OUTDONE_CHARACTER,
     "Once another character is seen, which takes no more effort, no closer view and is misread no more "
     "often, this one adds nothing. It may still confirm a doubtful answer; if that is not what it is for, "
     "the key is better without.",
     "characters:\n"
     "  outline: {states: [round, fan, oval, long, square]}\n"
     "  rim: {states: [smooth, toothed], effort: 2}\n"
     "taxa:\n" TAXON("Prima ficta", "outline: round, rim: smooth")
         TAXON("Secunda ficta", "outline: fan, rim: toothed")
             TAXON("Tertia ficta", "outline: oval, rim: smooth")
                 TAXON("Quarta ficta", "outline: long, rim: toothed")
                     TAXON("Quinta ficta", "outline: square, rim: smooth"),
     "characters:\n"
     "  outline: {states: [round, fan, oval, long]}\n"
     "  rim: {states: [smooth, toothed], effort: 2}\n"
     "taxa:\n" TAXON("Prima ficta", "outline: round, rim: smooth")
         TAXON("Secunda ficta", "outline: fan, rim: toothed")
             TAXON("Tertia ficta", "outline: oval, rim: smooth")
                 TAXON("Quarta ficta", "outline: long, rim: toothed")
                     TAXON("Quinta ficta", "outline: long, rim: smooth"),
     false},
    {RUSH_UNUSED_STATE,
     "A state that no taxon shows. An observer who answers it speaks against every taxon of the key. Perhaps "
     "it is a second name for another state, or was forgotten in a trait.",
     "characters:\n  outline: {states: [round, fan, oval]}\n" WIDTH,
     "characters:\n  outline: {states: [round, fan]}\n" WIDTH, false},
    {RUSH_NAMES_ALIKE,
     "Two names differ by an accent, a plural's s, a sign or a letter of another alphabet that looks like a "
     "Latin one. Beside the water nobody sees that. Name what differs.",
     "characters:\n  outline: {states: [round, fan]}\n  marks: {states: [spot, spots]}\n"
     "taxa:\n" TAXON("Tidella ficta", "outline: round, marks: spot")
         TAXON("Murmica ficta", "outline: fan, marks: spots"),
     "characters:\n  outline: {states: [round, fan]}\n  marks: {states: [one spot, many spots]}\n"
     "taxa:\n" TAXON("Tidella ficta", "outline: round, marks: one spot")
         TAXON("Murmica ficta", "outline: fan, marks: many spots"),
     false},
    {RUSH_SEXES_ALIKE,
     "The males, or the females, of two taxa cannot be told apart, though the other sex can. That is often "
     "true in nature; then allow the finding. If there is a mark, score it in the form of that sex.",
     "taxa:\n"
     "  Tidella ficta:\n    rank: species\n    forms:\n"
     "      - {sex: male, traits: {outline: round}}\n      - {sex: female, traits: {outline: fan}}\n"
     "  Murmica ficta:\n    rank: species\n    forms:\n"
     "      - {sex: male, traits: {outline: fan}}\n      - {sex: female, traits: {outline: fan}}\n",
     "taxa:\n"
     "  Tidella ficta:\n    rank: species\n    forms:\n"
     "      - {sex: male, traits: {outline: round}}\n      - {sex: female, traits: {outline: round}}\n"
     "  Murmica ficta:\n    rank: species\n    forms:\n"
     "      - {sex: male, traits: {outline: fan}}\n      - {sex: female, traits: {outline: fan}}\n",
     false},
    {RUSH_FORMS_ALIKE,
     "Two forms of one taxon and sex are scored alike in every character, so nobody can say which one was "
     "seen. A form is there to say what looks different.",
     "taxa:\n" TAXON(
         "Tidella ficta",
         "outline: round") "  Murmica ficta: {rank: species, traits: {outline: fan}, forms: [{form: pale}, {form: dark}]}\n",
     "taxa:\n" TAXON(
         "Tidella ficta",
         "outline: round") "  Murmica ficta: {rank: species, traits: {outline: fan}, forms: [{sex: male}, {sex: female}]}\n",
     false},
    {RUSH_WIDE_RANGE,
     "One species seldom varies so much. A digit too many or too few makes a range that nothing speaks "
     "against, and the taxon a rival of all the others.",
     "taxa:\n" TAXON("Tidella ficta", "outline: round, width: 10-200")
         TAXON("Murmica ficta", "outline: fan, width: 30-50"),
     "taxa:\n" TAXON("Tidella ficta", "outline: round, width: 10-20")
         TAXON("Murmica ficta", "outline: fan, width: 30-50"),
     false},
    {RUSH_FAR_OFF,
     "A number is many times larger or smaller than those of the nearest relatives: a decimal point, a digit, "
     "or centimetres written where the character is in millimetres.",
     "taxa:\n" TAXON("Prima ficta", "outline: round, width: 20-30")
         TAXON("Secunda ficta", "outline: fan, width: 25-32")
             TAXON("Tertia ficta", "outline: round, width: 40-50")
                 TAXON("Quarta ficta", "outline: fan, width: 35-45")
                     TAXON("Quinta ficta", "outline: fan, width: 2.2-3.1"),
     "taxa:\n" TAXON("Prima ficta", "outline: round, width: 20-30")
         TAXON("Secunda ficta", "outline: fan, width: 25-32")
             TAXON("Tertia ficta", "outline: round, width: 40-50")
                 TAXON("Quarta ficta", "outline: fan, width: 35-45")
                     TAXON("Quinta ficta", "outline: fan, width: 2.2-3.1 cm"),
     false},
    {RUSH_ODD_SEASON,
     "The months of a season do not join, or run over the turn of the year where nothing else is about: "
     "a month was forgotten, or the first and the last were swapped. Where it is true, say why in a "
     "`note:` of the trait, and this is not told.",
     MONTHS "taxa:\n" TAXON("Tidella ficta", "outline: round, month: [Apr-May, Jul-Sep]")
         TAXON("Murmica ficta", "outline: fan, month: Apr-Sep"),
     MONTHS "taxa:\n" TAXON("Tidella ficta", "outline: round, month: Apr-Sep")
         TAXON("Murmica ficta", "outline: fan, month: Apr-Sep"),
     false},
    {RUSH_FAMILY_ENDING,
     "The International Code of Zoological Nomenclature (Art. 29.2) gives names of the family group their "
     "endings: -oidea for a superfamily, -idae for a family, -inae for a subfamily, -ini for a tribe. A key "
     "of another kingdom says so under `record:`.",
     "taxa:\n  Tidellae: {rank: family}\n"
     "  Tidella ficta: {rank: species, within: Tidellae, traits: {outline: round}}\n" TAXON(
         "Murmica ficta", "outline: fan"),
     "taxa:\n  Tidellidae: {rank: family}\n"
     "  Tidella ficta: {rank: species, within: Tidellidae, traits: {outline: round}}\n" TAXON(
         "Murmica ficta", "outline: fan"),
     false},
    {RUSH_OTHER_GENUS,
     "The first word of a species' name is the name of its genus. Where `within:` says another one, the "
     "species inherits the traits of strangers.",
     "taxa:\n  Tidella: {rank: genus, traits: {outline: round}}\n  Murmica: {rank: genus, traits: {outline: fan}}\n"
     "  Tidella ficta: {rank: species, within: Tidella}\n  Murmica ficta: {rank: species, within: Tidella, "
     "traits: {width: 30-50}}\n",
     "taxa:\n  Tidella: {rank: genus, traits: {outline: round}}\n  Murmica: {rank: genus, traits: {outline: fan}}\n"
     "  Tidella ficta: {rank: species, within: Tidella}\n  Murmica ficta: {rank: species, within: Murmica, "
     "traits: {width: 30-50}}\n",
     false},
    {RUSH_INAPPLICABLE_SCORED,
     "The colour of stripes that are not there, or what the genus calls inapplicable and its species scores. "
     "The key knows it by the names (`stripes: none` and `stripe colour`), by what a taxon above says, or "
     "by what its other taxa do. Write `inapplicable`, and the question is not asked in vain.",
     STRIPES
     "taxa:\n" TAXON("Tidella ficta", "outline: round, stripes: thin, stripe colour: dark")
         TAXON("Murmica ficta", "outline: fan, stripes: none, stripe colour: pale"),
     STRIPES
     "taxa:\n" TAXON("Tidella ficta", "outline: round, stripes: thin, stripe colour: dark")
         TAXON("Murmica ficta", "outline: fan, stripes: none, stripe colour: inapplicable"),
     false},
    {RUSH_HARDLY_APART,
     "All marks together, each seen as well as it can be, tell less of these two than a safe name takes: with a "
     "doubt of 5 % left, 0.71 of the 1 bit between two. Look for a mark in which they differ, or score what "
     "there is more sharply. Where books call them inseparable, say so in a `caution:` of one of them, and this "
     "is not told; the verdict then stops at their group.",
     "taxa:\n" TAXON("Prima ficta", "outline: round, width: 20-30")
         TAXON("Secunda ficta", "outline: round, width: 22-32")
             TAXON("Tertia ficta", "outline: fan, width: 40-50")
                 TAXON("Quarta ficta", "outline: round, width: 60-90"),
     "taxa:\n" TAXON("Prima ficta", "outline: round, width: 20-30")
         TAXON("Secunda ficta", "outline: fan, width: 8-12")
             TAXON("Tertia ficta", "outline: fan, width: 40-50")
                 TAXON("Quarta ficta", "outline: round, width: 60-90"),
     false},
    {RUSH_GAP,
     "All relatives of this taxon are scored in a character, and it alone is not: the trait was forgotten, or was "
     "lost in a revision. What is unscored is taken to be like its relatives, so that a mark which tells it "
     "from them tells nothing. Score it; where it is really not known, write `unknown`, and this is not told.",
     "taxa:\n" TAXON("Prima ficta", "outline: round, width: 20-30") TAXON(
         "Secunda ficta", "outline: fan, width: 10-15") TAXON("Tertia ficta", "width: 40-50"),
     "taxa:\n" TAXON("Prima ficta", "outline: round, width: 20-30")
         TAXON("Secunda ficta", "outline: fan, width: 10-15")
             TAXON("Tertia ficta", "outline: fan, width: 40-50"),
     false},
    {RUSH_UNSCORED,
     "What is not scored is taken to be as in the relatives, which is a guess. One note for the key says how "
     "much that is, and where it is worst: those cells are worth looking up first.",
     "taxa:\n" TAXON("Prima ficta", "outline: round, width: 20-30")
         TAXON("Secunda ficta", "outline: fan") TAXON("Tertia ficta", "width: 40-50")
             TAXON("Quarta ficta", "outline: fan, width: 35-45")
                 TAXON("Quinta ficta", "outline: fan, width: 60-70"),
     "taxa:\n" TAXON("Prima ficta", "outline: round, width: 20-30")
         TAXON("Secunda ficta", "outline: fan, width: 10-15")
             TAXON("Tertia ficta", "outline: round, width: 40-50")
                 TAXON("Quarta ficta", "outline: fan, width: 35-45")
                     TAXON("Quinta ficta", "outline: fan, width: 60-70"),
     false},
    {RUSH_NO_SOURCE,
     "Others can check a fact only when they know where it comes from. A source in a taxon serves all its "
     "traits; what you know yourself is a source too, and honest when it says so.",
     "sources: {own: {cite: \"The author's own knowledge; not checked against a publication.\"}}\n"
     "taxa:\n"
     "  Tidella ficta: {rank: species, traits: {outline: {is: round, source: own}, width: {range: 10-20, "
     "source: own}}}\n"
     "  Murmica ficta: {rank: species, traits: {outline: {is: fan, source: own}, width: 30-50}}\n",
     "sources: {own: {cite: \"The author's own knowledge; not checked against a publication.\"}}\n"
     "taxa:\n"
     "  Tidella ficta: {rank: species, source: own, traits: {outline: round, width: 10-20}}\n"
     "  Murmica ficta: {rank: species, source: own, traits: {outline: fan, width: 30-50}}\n",
     false},
    {RUSH_UNUSED_SOURCE,
     "A source that no trait, taxon or worked sighting names. Perhaps its traits were left out, or name "
     "another one by mistake.",
     "sources: {beachbook: {cite: \"An invented book of beaches\"}}\n",
     "sources: {beachbook: {cite: \"An invented book of beaches\"}}\n"
     "taxa:\n"
     "  Tidella ficta: {rank: species, source: beachbook, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, source: beachbook, traits: {outline: fan}}\n",
     false},
    {RUSH_NO_TIP,
     "A beginner who is asked does not yet know where to look, or what is easily mistaken. A `tip:` of one or "
     "two sentences saves misreads.",
     "characters:\n  outline: {ask: What shape is it?, states: [round, fan]}\n" WIDTH,
     "characters:\n  outline: {ask: What shape is it?, tip: Lay it flat., states: [round, fan]}\n" WIDTH,
     false},
    {RUSH_USELESS_MISREAD,
     "With so many mistakes an answer hardly says anything, and the question costs more than it brings. Ask "
     "something that is easier to see, join states that are confused, or correct the rate.",
     "characters:\n  outline: {states: [round, fan], misread: 0.4}\n" WIDTH,
     "characters:\n  outline: {states: [round, fan], misread: 0.05}\n" WIDTH, false},
    {RUSH_STRONG_PRIOR,
     "Occurrence is part of every verdict. A taxon a thousand times rarer than another is not named however "
     "well it is seen; one that is nearly everything is named before anybody has looked.",
     "taxa:\n"
     "  Tidella ficta: {rank: species, occurrence: 1000, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, occurrence: 1, traits: {outline: fan}}\n",
     "taxa:\n"
     "  Tidella ficta: {rank: species, occurrence: common, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, occurrence: local, traits: {outline: fan}}\n",
     false},
    {RUSH_NOT_ITSELF,
     "Described just as it usually looks, in every character that is scored, this taxon still comes out "
     "behind another one: it can never be found. Its marks are too weak, or it is taken to be too rare.",
     "taxa:\n"
     "  Tidella ficta: {rank: species, occurrence: 60, traits: {outline: {round: 0.55, fan: 0.45}}}\n"
     "  Murmica ficta: {rank: species, occurrence: 8, traits: {outline: fan}}\n",
     "taxa:\n"
     "  Tidella ficta: {rank: species, occurrence: 60, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, occurrence: 8, traits: {outline: fan}}\n",
     false},
    {RUSH_SIGHTING_UNREAD,
     "A worked sighting is an observation line, and this one cannot be read: a character or state of that "
     "name is not there, or a sign is missing.",
     "sightings:\n  - {saw: \"outline: rond; width: 15 mm\", expect: Tidella ficta}\n",
     "sightings:\n  - {saw: \"outline: round; width: 15 mm\", expect: Tidella ficta}\n", false},
    {RUSH_SIGHTING_FAILS,
     "A worked sighting says what the key should answer, and it answers something else. The answers that "
     "speak most against what was expected are named: correct their traits, add a mark that tells, or expect "
     "what is honestly safe.",
     "sightings:\n  - {saw: \"outline: round; width: 15 mm\", expect: Murmica ficta}\n",
     "sightings:\n  - {saw: \"outline: round; width: 15 mm\", expect: Tidella ficta}\n", false},
    {RUSH_SLUG_COUNT, NULL, NULL, NULL, false},
};
