#include <stddef.h>

#include "diagnostic/explain.h"

/* The usual taxa, for examples that change one of them. */
#define TIDELLA                                                                                  \
    "taxa:\n  Tidella ficta: {rank: species, traits: {outline: round, width: 10-20}}\n"
#define MURMICA "  Murmica ficta: {rank: species, traits: {outline: fan, width: 30-50}}\n"
#define WIDTH   "  width: {measure: length, reading_error: 10%}\n"

const rush_explanation rush_explain_values[] = {
    {RUSH_BAD_NUMBER,
     "A number was wanted, within bounds: a chance from 0 to 1, an effort above 0; in a sighting, a length above 0, a "
     "count not below it. Decimals have a point; a per cent sign belongs to `reading_error:` alone.",
     "characters:\n  outline: {states: [round, fan], misread: 5%}\n" WIDTH,
     "characters:\n  outline: {states: [round, fan], misread: 0.05}\n" WIDTH, false},
    {RUSH_BAD_CHOICE,
     "Only a few words are known here, such as the ranks, or the four ways to see an insect: far, near, "
     "close, hand.",
     "characters:\n  outline: {states: [round, fan], reach: across the pond}\n" WIDTH,
     "characters:\n  outline: {states: [round, fan], reach: far}\n" WIDTH, false},
    {RUSH_BAD_ID,
     "An observer must be able to type the names of characters and states. A name with a colon, a semicolon "
     "or a quotation mark would be taken apart, `-` and `?` mean something else already.",
     "characters:\n  outline: {states: [round, fan, '?']}\n" WIDTH,
     "characters:\n  outline: {states: [round, fan, unclear]}\n" WIDTH, false},
    {RUSH_REPEATED_NAME,
     "Two things have one name, and an answer could mean either. Upper and lower case count as alike, and "
     "space, hyphen and underscore too.",
     "characters:\n  outline: {states: [round, fan, Round]}\n" WIDTH,
     "characters:\n  outline: {states: [round, fan, oval]}\n" WIDTH, false},
    {RUSH_SHARED_NAME,
     "Two taxa have the same common name, which happens; but who types it may mean either, and gets the "
     "first. Give one of them a name that tells it from the other.",
     "taxa:\n"
     "  Tidella ficta: {rank: species, vernacular: beach button, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, vernacular: beach button, traits: {outline: fan}}\n",
     "taxa:\n"
     "  Tidella ficta: {rank: species, vernacular: beach button, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, vernacular: beach fan, traits: {outline: fan}}\n",
     false},
    {RUSH_RESERVED_NAME,
     "Every observation can carry an id, date, place, coordinates, uncertainty, count, recorder, behaviour "
     "and notes. A character of such a name could not be answered.",
     "characters:\n  outline: {states: [round, fan]}\n  count: {states: [one, two]}\n" WIDTH,
     "characters:\n  outline: {states: [round, fan]}\n  rib count: {states: [one, two]}\n" WIDTH,
     false},
    {RUSH_UNKNOWN_CHARACTER,
     "A trait names a character that the key does not declare. It may be misspelled here, or where it is "
     "declared.",
     TIDELLA "  Murmica ficta: {rank: species, traits: {outlin: fan, width: 30-50}}\n",
     TIDELLA MURMICA, false},
    {RUSH_UNKNOWN_STATE,
     "A trait names a state that its character does not have. It may be misspelled, belong to another "
     "character, or be missing from `states:`.",
     TIDELLA "  Murmica ficta: {rank: species, traits: {outline: fann, width: 30-50}}\n",
     TIDELLA MURMICA, false},
    {RUSH_UNKNOWN_TAXON, "`within:` or `expect:` names a taxon that the key does not have.",
     TIDELLA
     "  Murmica ficta: {rank: species, within: Murmica, traits: {outline: fan, width: 30-50}}\n",
     TIDELLA
     "  Murmica: {rank: genus}\n"
     "  Murmica ficta: {rank: species, within: Murmica, traits: {outline: fan, width: 30-50}}\n",
     false},
    {RUSH_UNKNOWN_SOURCE,
     "A trait rests on a source that is not listed. List it under `sources:` with its `cite:`, so that a "
     "reader can find it.",
     TIDELLA
     "  Murmica ficta: {rank: species, traits: {outline: {is: fan, source: beachbook}, width: 30-50}}\n",
     "sources: {beachbook: {cite: \"An invented book of beaches\"}}\n" TIDELLA
     "  Murmica ficta: {rank: species, traits: {outline: {is: fan, source: beachbook}, width: 30-50}}\n",
     false},
    {RUSH_UNKNOWN_UNIT,
     "The unit does not convert into that of the character. Lengths may be in mm, cm, m or in.",
     TIDELLA "  Murmica ficta: {rank: species, traits: {outline: fan, width: 3-5 g}}\n",
     TIDELLA "  Murmica ficta: {rank: species, traits: {outline: fan, width: 3-5 cm}}\n", false},
    {RUSH_TOO_FEW_STATES,
     "A character with one state, or none, tells nothing apart. List at least two, or say `measure:` when "
     "it is a number.",
     "characters:\n  outline: {states: [round, fan]}\n  gloss: {states: [shiny]}\n" WIDTH,
     "characters:\n  outline: {states: [round, fan]}\n  gloss: {states: [shiny, dull]}\n" WIDTH,
     false},
    {RUSH_BAD_SKETCH,
     "The line art of a state stands beside the prompt, so it has at most 5 rows of 16 columns; that of a "
     "topic has at most 40 rows of 78.",
     "characters:\n  outline: {states: {round: {sketch: \"(===================)\"}, fan: }}\n" WIDTH,
     "characters:\n  outline: {states: {round: {sketch: \"(=====)\"}, fan: }}\n" WIDTH, false},
    {RUSH_BAD_FIGURE,
     "A `figure:` is the plain name of an SVG file beside the key, of at most 64 KiB. The drawing has a "
     "`viewBox`, is well-formed XML in UTF-8, and has no document type, since what that can define could grow "
     "without bound.",
     NULL, NULL, false},
    {RUSH_FIGURE_CUT,
     "A drawing may hold what draws, and nothing else: g, path, line, polyline, polygon, rect, circle, ellipse, "
     "text, tspan, a title, and the attributes that give shape, place and paint. Scripts, links, images, styles, "
     "event handlers and a drawing program's own notes are left out, and the rest is shown. Save it as plain SVG, "
     "with paint as attributes (`fill=\"none\"`) rather than as a style.",
     NULL, NULL, false},
    {RUSH_BAD_RANGE,
     "A range is the lower and the higher number with a hyphen between: 30-50. This one is reversed, or is "
     "no range.",
     TIDELLA "  Murmica ficta: {rank: species, traits: {outline: fan, width: 50-30}}\n",
     TIDELLA MURMICA, false},
    {RUSH_BAD_MONTHS,
     "A season is months in English or by number: Apr-Oct, 4-10, [May, Aug-Sep], all year.",
     "characters:\n  outline: {states: [round, fan]}\n  month: {setting: months}\n" WIDTH TIDELLA
     "  Murmica ficta: {rank: species, traits: {outline: fan, month: spring}}\n",
     "characters:\n  outline: {states: [round, fan]}\n  month: {setting: months}\n" WIDTH TIDELLA
     "  Murmica ficta: {rank: species, traits: {outline: fan, month: Mar-May}}\n",
     false},
    {RUSH_WRONG_TRAIT,
     "Sex, form and taxon are characters that every key has; they follow from the taxa and their `forms:` "
     "and are not scored as traits.",
     TIDELLA "  Murmica ficta: {rank: species, traits: {outline: fan, sex: male}}\n",
     TIDELLA "  Murmica ficta: {rank: species, traits: {outline: fan}, forms: [{sex: male}]}\n",
     false},
    {RUSH_WEIGHTS_SUM,
     "Weights say how often each state is shown, so they sum to 1. When you do not know how often, write a "
     "list: [round, fan] means either.",
     TIDELLA "  Murmica ficta: {rank: species, traits: {outline: {fan: 0.8, round: 0.1}}}\n",
     TIDELLA "  Murmica ficta: {rank: species, traits: {outline: {fan: 0.9, round: 0.1}}}\n",
     false},
    {RUSH_SHARES_SUM,
     "The shares of a taxon's forms are of the whole taxon, both sexes together, and sum to 1. Forms "
     "without a share split what the others leave.",
     TIDELLA
     "  Murmica ficta:\n    rank: species\n    traits: {outline: fan}\n"
     "    forms: [{form: pale, share: 0.8}, {form: dark, share: 0.8, traits: {outline: round}}]\n",
     TIDELLA
     "  Murmica ficta:\n    rank: species\n    traits: {outline: fan}\n"
     "    forms: [{form: pale, share: 0.8}, {form: dark, share: 0.2, traits: {outline: round}}]\n",
     false},
    {RUSH_MISPLACED_FORMS,
     "A form is what one animal in the hand can be, so forms belong to the taxa at the end of a branch. A "
     "taxon with others within it has none.",
     TIDELLA "  Murmica: {rank: genus, forms: [{sex: male}, {sex: female}]}\n"
             "  Murmica ficta: {rank: species, within: Murmica, traits: {outline: fan}}\n",
     TIDELLA "  Murmica: {rank: genus}\n"
             "  Murmica ficta: {rank: species, within: Murmica, traits: {outline: fan}}\n",
     false},
    {RUSH_PARENT_LOOP,
     "Following `within:` from taxon to taxon leads back to where it began. One of them is wrong.",
     TIDELLA "  Murmica: {rank: genus, within: Murmica, traits: {outline: fan}}\n",
     TIDELLA "  Murmica: {rank: genus, traits: {outline: fan}}\n", false},
    {RUSH_MISRANKED,
     "A taxon stands within one of a higher rank: a species within a genus, a genus within a family, never "
     "the other way round.",
     TIDELLA "  Murmicidae: {rank: family, within: Murmica}\n"
             "  Murmica: {rank: genus, traits: {outline: fan}}\n",
     TIDELLA "  Murmicidae: {rank: family}\n"
             "  Murmica: {rank: genus, within: Murmicidae, traits: {outline: fan}}\n",
     false},
    {RUSH_NO_TAXA,
     "A key without taxa names nothing. List them under `taxa:`, each with its rank and traits.",
     "taxa: {}\n", TIDELLA MURMICA, false},
    {RUSH_SLUG_COUNT, NULL, NULL, NULL, false},
};
