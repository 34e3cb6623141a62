#include <stddef.h>

#include "diagnostic/explain.h"

const rush_explanation rush_explain_line[] = {
    {RUSH_LINE_TOO_LONG,
     "An observation line may be 65,536 bytes long, which no sighting needs. Look for a file that is no list "
     "of sightings, or for line breaks that were lost.",
     NULL, NULL, true},
    {RUSH_UNCLOSED_QUOTE,
     "Quotation marks keep a `;` or `:` inside an answer together, and go in pairs. One is missing here.",
     "outline: round; notes: \"on wet sand", "outline: round; notes: \"on wet sand\"", true},
    {RUSH_REPEATED_ANSWER,
     "One character is answered twice in a line. If it may be either, write `round or fan`.",
     "outline: round; outline: fan", "outline: round or fan", true},
    {RUSH_WHICH_CHARACTER,
     "Several characters know this answer. Say which one you mean: `character: answer`.", NULL,
     NULL, true},
    {RUSH_UNKNOWN_ANSWER,
     "No character of the key knows this answer. Look at the spelling, or name the character that you mean.",
     "rondo", "round", true},
    {RUSH_OR_NOT,
     "Alternatives and a denial cannot be mixed, since nobody can tell what is meant: write `round or fan`, or "
     "`not round`.",
     "outline: round or not fan", "outline: round", true},
    {RUSH_NOTHING_LEFT,
     "The answer excludes every state of its character, so nothing is left that it could be.",
     "outline: not round or fan", "outline: not round", true},
    {RUSH_NOT_A_NUMBER,
     "A number was wanted: 34, 34 mm, 3.4 cm, 30-36 mm, about 34, under 40, over 60, or one of the character's "
     "words. In a key it is told of a word whose meaning is none of these.",
     "width: wide", "width: about 34 mm", true},
    {RUSH_OFF_SCALE,
     "The number is far off all that the key has: over ten times so, or in such a way that it would be right in the "
     "next unit. It counts all the same, as a misreading of whatever it was.",
     "width: 30 m; outline: round", "width: 30 mm; outline: round", true},
    {RUSH_REVERSED,
     "The range ends below where it begins. Write the lower number, or the earlier date, first.",
     "width: 50-30 mm", "width: 30-50 mm", true},
    {RUSH_BAD_DATE,
     "A date is written as in ISO 8601: 2026-06-14, or 2026-06 when the day is not known.",
     "outline: round; date: 14.6.2026", "outline: round; date: 2026-06-14", true},
    {RUSH_OTHER_MONTH,
     "The date of the record gives the month, unless the sighting names one itself, which then counts. Here the two "
     "have no month in common, so that one of them must be wrong.",
     "outline: round; date: 2026-07-14; month: August",
     "outline: round; date: 2026-07-14; month: July", true},
    {RUSH_BAD_COUNT,
     "A count is a whole number of animals; what is not known so exactly (a few, dozens) belongs in `notes`, or is better left out.",
     "outline: round; count: many", "outline: round; count: 12", true},
    {RUSH_BAD_UNCERTAINTY,
     "The uncertainty of the coordinates is a number of metres above 0: the radius of a circle that holds the "
     "whole place.",
     "outline: round; uncertainty: 0", "outline: round; uncertainty: 30", true},
    {RUSH_BAD_COORDINATES,
     "Any kind of coordinates may be given, and they are kept as written; but these look like decimal degrees and are "
     "none: a latitude goes from -90 to 90 and stands first, a longitude from -180 to 180, and both are needed.",
     "outline: round; coordinates: 152.5, 1.75", "outline: round; coordinates: 52.5, 1.75", true},
    {RUSH_EMPTY_PART,
     "The options that choose a part of the key (--where, --within, --occurrence, --taxa) leave no taxon "
     "together. Each of them alone may leave some: take them away one by one.",
     NULL, NULL, true},
    {RUSH_LEFT_OUT,
     "A taxon of the list that --taxa reads is left out by another option: it does not suit --where, does not stand "
     "within what --within names, or is met less often than --occurrence asks. Say less there, if it is to stay.",
     NULL, NULL, true},
    {RUSH_EXTRA_CELL,
     "A row of a table has something in a cell that stands under no column of the header. A comma inside an "
     "answer may have made two cells of one: put quotation marks around it.",
     "id,outline\nA-1,round,fan", "id,outline\nA-1,\"round,fan\"", true},
    {RUSH_UNREAD_ROWS,
     "The first line of a table says what its columns are: characters of the key, fields of the record. None of "
     "these names is known, so nothing can be read from the rows. Delete a title above the header, name the columns "
     "as `rushlight about` does, and part them by commas, semicolons or tabs.",
     NULL, NULL, true},
    {RUSH_BAD_JSON,
     "With --in jsonl each line is one JSON object (RFC 8259) of names and answers: names and texts stand in "
     "double quotation marks, and no name comes twice.",
     "{\"outline\": round}", "{\"outline\": \"round\"}", true},
    {RUSH_BAD_VALUE,
     "In a JSON object an answer is a text, a number or a list of them; null is not answered. Neither true nor "
     "false names a state, and objects hold no further objects.",
     "{\"outline\": true}", "{\"outline\": [\"round\", \"fan\"]}", true},
    {RUSH_NO_ANSWERS,
     "No answer says what the insect looked like, or which taxon it was. What settings such as the month tell is what "
     "may be met then, so nothing is called safe. It may be a row that is no sighting, such as a total, or the "
     "columns of the answers may have been lost.",
     "id: 12; place: Marl Pit", "id: 12; place: Marl Pit; outline: round", true},
    {RUSH_NOTHING_FITS,
     "No taxon of the key can show all of these answers together, even with mistakes: a character without "
     "any chance of a misread leaves no way out. Look at the answers again, or at the key's misread rates.",
     NULL, NULL, true},
    {RUSH_SLUG_COUNT, NULL, NULL, NULL, false},
};
