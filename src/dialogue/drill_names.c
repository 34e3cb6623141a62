/* Names as a learner gives them: whole, by an unambiguous beginning, or misspelt. */
#include <stdlib.h>
#include <string.h>

#include "diagnostic/diagnostic.h"
#include "dialogue/choices.h"
#include "dialogue/drill.h"

const char *const rush_drill_words[] = {"more", "hint", "marks", "why", "give up", "quit", NULL};

enum { BEGINNING_MIN = 3, OFFERED_MAX = 3, NAME_MAX_SAID = 200 };

typedef bool name_test(rush_text name, rush_text wanted);

/* The first name of a taxon that passes a test: scientific, common in the languages of the key, other. */
static const char *name_like(const rush_key *key, uint32_t taxon, rush_text wanted,
                             name_test *test)
{
    const rush_taxon *here = &key->taxa[taxon];
    for (uint32_t l = 0; here->vernacular.in && l < key->header.language_count; l++)
        if (here->vernacular.in[l] && test(rush_text_of(here->vernacular.in[l]), wanted))
            return here->vernacular.in[l];
    if (test(rush_text_of(here->name), wanted))
        return here->name;
    for (uint32_t a = 0; a < here->also.count; a++)
        if (test(rush_text_of(here->also.names[a]), wanted))
            return here->also.names[a];
    return NULL;
}

/* Whether one of the name's words begins so. */
static bool word_begins(rush_text name, rush_text wanted)
{
    for (size_t i = 0; i < name.length; i++) {
        bool start = i == 0 || name.at[i - 1] == ' ' || name.at[i - 1] == '-';
        if (start && rush_begins((rush_text){name.at + i, name.length - i}, wanted))
            return true;
    }
    return false;
}

/* The one taxon with a name that begins so; a group of one counts as what is in it. With a part: the one of its taxa
 * without children. */
static uint32_t find_beginning(const rush_key *key, const rush_part *part, rush_text wanted)
{
    uint32_t found = RUSH_NONE;
    for (uint32_t t = 0; wanted.length >= BEGINNING_MIN && t < key->taxon_count; t++) {
        uint32_t leaf = key->leaves[key->taxa[t].first_leaf];
        if ((part && (leaf != t || !part->taxa[t])) || !name_like(key, t, wanted, rush_begins))
            continue;
        uint32_t taxon = key->taxa[t].leaf_count == 1 ? leaf : t;
        if (found != RUSH_NONE && found != taxon)
            return RUSH_NONE;
        found = taxon;
    }
    return found;
}

/* "is it 'a', 'b' or 'c'?": names of the part's taxa without children that have a word which begins so. */
static bool offer_words(const rush_drill *drill, rush_text wanted, rush_buffer *help)
{
    const char *names[OFFERED_MAX];
    uint32_t count = 0, more = 0;
    const rush_part *part = drill->options.part;
    for (uint32_t i = 0; wanted.length >= BEGINNING_MIN && i < drill->key->leaf_count; i++) {
        uint32_t t = drill->key->leaves[i];
        bool there = !part || part->taxa[t];
        const char *name = there ? name_like(drill->key, t, wanted, word_begins) : NULL;
        if (name && count < OFFERED_MAX)
            names[count++] = name;
        else
            more += name != NULL;
    }
    for (uint32_t i = 0; i < count; i++)
        rush_buffer_format(help, "%s'%s'",
                           i == 0                    ? "the key has "
                           : i + 1 == count && !more ? " and "
                                                     : ", ",
                           names[i]);
    if (more)
        rush_buffer_format(help, " and %u more such names", more);
    return count > 0;
}

static void offer_nearest(const rush_key *key, rush_nearest *nearest)
{
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        for (uint32_t l = 0; taxon->vernacular.in && l < key->header.language_count; l++)
            rush_nearest_offer(nearest, taxon->vernacular.in[l]);
        rush_nearest_offer(nearest, taxon->name);
        for (uint32_t a = 0; a < taxon->also.count; a++)
            rush_nearest_offer(nearest, taxon->also.names[a]);
    }
}

static void tell_unknown(rush_drill *drill, rush_text line)
{
    rush_source source = {.name = "name", .text = line};
    rush_span span = {0, (uint32_t)line.length};
    rush_buffer help = {0};
    rush_nearest nearest;
    if (line.length > NAME_MAX_SAID) {
        rush_diagnose(drill->diagnostics, RUSH_LINE_TOO_LONG, &source, span,
                      "so long a line is no name");
        return;
    }
    rush_diagnostic *made =
        rush_diagnose(drill->diagnostics, RUSH_UNKNOWN_TAXON, &source, span,
                      "'%.*s' is not a name that this key knows", (int)line.length, line.at);
    rush_suggest_init(drill->diagnostics, &nearest, line);
    offer_nearest(drill->key, &nearest);
    if (!rush_nearest_say(&nearest, &help) && !offer_words(drill, line, &help))
        rush_buffer_string(&help,
                           "any common or scientific name will do, or its beginning; ? helps");
    rush_diagnose_help_from(drill->diagnostics, made, &help);
}

/* What can be played goes before what the key has besides. */
static uint32_t find_taxon(const rush_drill *drill, rush_text name)
{
    uint32_t taxon = rush_key_find_taxon(drill->key, name);
    if (taxon == RUSH_NONE && drill->options.part)
        taxon = find_beginning(drill->key, drill->options.part, name);
    return taxon == RUSH_NONE ? find_beginning(drill->key, NULL, name) : taxon;
}

/* "azure damselfly, male", "female azure damselfly": takes the sex off. */
static rush_sex take_sex(rush_text *name)
{
    static const rush_sex sexes[] = {RUSH_SEX_FEMALE, RUSH_SEX_MALE}; /* the longer word first */
    for (size_t i = 0; i < sizeof sexes / sizeof *sexes; i++) {
        rush_text word = rush_text_of(rush_sex_name(sexes[i]));
        if (name->length < word.length + 2)
            continue;
        size_t rest = name->length - word.length;
        if (name->at[word.length] == ' ' && rush_begins(*name, word)) {
            *name = rush_text_trim((rush_text){name->at + word.length, rest});
            return sexes[i];
        }
        if ((name->at[rest - 1] == ' ' || name->at[rest - 1] == ',') &&
            rush_begins((rush_text){name->at + rest, word.length}, word)) {
            rest -= name->at[rest - 1] == ' ';
            rest -= rest && name->at[rest - 1] == ',';
            *name = rush_text_trim((rush_text){name->at, rest});
            return sexes[i];
        }
    }
    return RUSH_SEX_ANY;
}

uint32_t rush_drill_name(rush_drill *drill, rush_text line, rush_sex *sex)
{
    uint32_t taxon = find_taxon(drill, line);
    *sex = RUSH_SEX_ANY;
    if (taxon == RUSH_NONE) {
        *sex = take_sex(&line);
        taxon = find_taxon(drill, line);
    }
    if (taxon == RUSH_NONE)
        tell_unknown(drill, line);
    return taxon;
}

void rush_drill_complete(const rush_drill *drill, rush_text line, size_t *stem,
                         rush_buffer *names)
{
    const rush_key *key = drill->key;
    *stem = line.length;
    for (uint32_t t = 0; line.length && t < key->taxon_count; t++) {
        const char *name = name_like(key, t, line, rush_begins);
        if (name)
            rush_buffer_format(names, "%s\n", name);
    }
    for (size_t w = 0; line.length && rush_drill_words[w]; w++)
        if (rush_begins(rush_text_of(rush_drill_words[w]), line))
            rush_buffer_format(names, "%s\n", rush_drill_words[w]);
}
