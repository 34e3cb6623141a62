#include <stddef.h>

#include "diagnostic/explain.h"

const rush_explanation rush_explain_file[] = {
    {RUSH_OUT_OF_MEMORY,
     "The machine had no memory left. What was found until then is told; nothing of it is wrong, but it may "
     "not be all.",
     NULL, NULL, false},
    {RUSH_CANNOT_OPEN,
     "A file that the command line or `parts:` names is not there, may not be read, or is a link that could "
     "lead out of the key's folder. Look at the spelling of its name and at its permissions.",
     NULL, NULL, false},
    {RUSH_BAD_UTF8,
     "Keys are UTF-8 text, so that names in every alphabet can be written. A file saved in an older encoding "
     "holds bytes that mean nothing in it. Save it as UTF-8 in your editor.",
     NULL, NULL, false},
    {RUSH_CONTROL_CHARACTER,
     "A character that cannot be seen, or that reverses or hides what stands around it. On somebody else's "
     "terminal it could do anything, so it is refused. Delete it and write what you mean.",
     NULL, NULL, false},
    {RUSH_SYNTAX,
     "The layout of the text cannot be understood: a colon, a quotation mark or a bracket is missing or one "
     "too many, or a line does not begin where its neighbours do. The rest of the file is read as if the "
     "smallest change that helps had been made; what is said of it holds.",
     "characters:\n"
     "  outline: {states: [round, fan]\n"
     "  width: {measure: length, reading_error: 10%}\n",
     "characters:\n"
     "  outline: {states: [round, fan]}\n"
     "  width: {measure: length, reading_error: 10%}\n",
     false},
    {RUSH_TAB,
     "A tab looks like some spaces, but nobody can tell how many, so YAML refuses it at the beginning of a "
     "line. Set your editor to indent with spaces.",
     "characters:\n"
     "\toutline: {states: [round, fan]}\n"
     "  width: {measure: length, reading_error: 10%}\n",
     "characters:\n"
     "  outline: {states: [round, fan]}\n"
     "  width: {measure: length, reading_error: 10%}\n",
     false},
    {RUSH_TOO_LARGE,
     "A file, a text, a list of states or a key is larger than this program takes: the limits are far above "
     "what a person would write. Look for text that a program has repeated, or split the key into parts.",
     NULL, NULL, false},
    {RUSH_TOO_DEEP,
     "Lists within lists within lists, more than 64 deep. No key needs that; look for brackets that are "
     "opened and never closed.",
     NULL, NULL, false},
    {RUSH_YAML_EXTRA,
     "YAML can give a piece of text a name and use it again (`&name`, `*name`), mark its type (`!type`) or "
     "merge fields (`<<`). Keys do without: a reader should see each trait where it belongs. Text that "
     "begins with one of these signs needs quotes.",
     "taxa:\n"
     "  Tidella ficta: {rank: species, traits: &same {outline: round}}\n"
     "  Murmica ficta: {rank: species, traits: *same}\n",
     "taxa:\n"
     "  Tidella ficta: {rank: species, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, traits: {outline: fan}}\n",
     false},
    {RUSH_SECOND_DOCUMENT,
     "A line of three hyphens begins a second document, and what follows would not be read. A key file is "
     "one document; further files are listed under `parts:`.",
     "sightings:\n"
     "  - {saw: \"round; 15 mm\", expect: Tidella ficta}\n"
     "---\n",
     "sightings:\n"
     "  - {saw: \"round; 15 mm\", expect: Tidella ficta}\n",
     false},
    {RUSH_EMPTY_FILE,
     "A key file, or a part of a key, with nothing in it but remarks. Perhaps it was not saved. A part that "
     "is still to be written is best left out of `parts:`.",
     NULL, NULL, false},
    {RUSH_REPEATED_FIELD,
     "The same field stands twice in one place, and only one of them can hold. It may be a copy whose name "
     "was not changed.",
     "taxa:\n"
     "  Tidella ficta: {rank: species, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, rank: genus, traits: {outline: fan}}\n",
     "taxa:\n"
     "  Tidella ficta: {rank: species, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, traits: {outline: fan}}\n",
     false},
    {RUSH_UNKNOWN_FIELD,
     "The format has no field of this name here. It may be misspelled, stand one level too deep or too "
     "high, or lack a space behind its colon.",
     "characters:\n"
     "  outline: {states: [round, fan], effortt: 2}\n"
     "  width: {measure: length, reading_error: 10%}\n",
     "characters:\n"
     "  outline: {states: [round, fan], effort: 2}\n"
     "  width: {measure: length, reading_error: 10%}\n",
     false},
    {RUSH_MISSING_FIELD,
     "Something that must be said is not: the rank of a taxon, the `cite:` of a source, what a worked "
     "sighting saw and expects.",
     "taxa:\n"
     "  Tidella ficta: {rank: species, traits: {outline: round}}\n"
     "  Murmica ficta: {traits: {outline: fan}}\n",
     "taxa:\n"
     "  Tidella ficta: {rank: species, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, traits: {outline: fan}}\n",
     false},
    {RUSH_WRONG_SHAPE,
     "A text stands where a list or fields are wanted, or the other way round, or nothing at all. Look at "
     "the brackets, and at the indentation of the lines below.",
     "taxa:\n"
     "  Tidella ficta: {rank: species, traits: round}\n"
     "  Murmica ficta: {rank: species, traits: {outline: fan}}\n",
     "taxa:\n"
     "  Tidella ficta: {rank: species, traits: {outline: round}}\n"
     "  Murmica ficta: {rank: species, traits: {outline: fan}}\n",
     false},
    {RUSH_BAD_FORMAT_VERSION,
     "The key says that it is written in a format that this program does not know. The format of this "
     "program is 1; a newer one needs a newer program.",
     "rushlight: 7\n", "rushlight: 1\n", false},
    {RUSH_BAD_LANGUAGE,
     "A text is given in a language that `languages:` does not list; or a text with a colon in it, which "
     "needs quotes, was taken for fields; or what `languages:` lists is not the tag of a language, such as en.",
     "languages: [en]\n"
     "title: {en: Shells, nl: Schelpen}\n",
     "languages: [en, nl]\n"
     "title: {en: Shells, nl: Schelpen}\n",
     false},
    {RUSH_PART_OUTSIDE,
     "A part of a key is a file beside key.yaml, named without a folder. Nothing outside that folder is "
     "read, so that a key from somebody else cannot reach your files.",
     "parts: [../elsewhere.yaml]\n", "parts: []\n", false},
    {RUSH_SLUG_COUNT, NULL, NULL, NULL, false},
};
