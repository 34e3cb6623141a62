/* Names as a learner gives them: whole, by the beginnings of their words, or misspelt. */
#include <stdlib.h>
#include <string.h>

#include "diagnostic/diagnostic.h"
#include "dialogue/choices.h"
#include "dialogue/drill.h"

const char *const rush_drill_words[] = {"more", "hint", "marks", "why", "give up", "quit", NULL};

enum { NAME_MAX_SAID = 200 };

/* ---- what is told ---------------------------------------------------------------------------------- */

static rush_diagnostic *tell(rush_drill *drill, rush_text line, const char *what)
{
    rush_source source = {.name = "name", .text = line};
    rush_span span = {0, (uint32_t)line.length};
    return rush_diagnose(drill->diagnostics, RUSH_UNKNOWN_TAXON, &source, span, "'%.*s' %s",
                         (int)line.length, line.at, what);
}

/* "'emerald' may be 'emerald damselfly', 'downy emerald' and 2 more" */
static void tell_several(rush_drill *drill, rush_text line, const rush_buffer *names)
{
    rush_buffer what = {0};
    rush_buffer_format(&what, "may be %s", names->bytes);
    if (what.failed)
        rush_diagnose_out_of_memory(drill->diagnostics);
    else
        tell(drill, line, what.bytes);
    rush_buffer_free(&what);
}

static const char *common_name(const rush_drill *drill, uint32_t taxon)
{
    const char *name =
        rush_key_words(drill->key, drill->key->taxa[taxon].vernacular, drill->options.language);
    return name[0] ? name : NULL;
}

static void offer_nearest(const rush_drill *drill, bool whole_key, rush_nearest *nearest)
{
    const rush_key *key = drill->key;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        if (!whole_key && drill->options.part && !drill->options.part->taxa[t])
            continue;
        rush_nearest_offer(nearest, common_name(drill, t));
        rush_nearest_offer(nearest, taxon->name);
        for (uint32_t l = 0; whole_key && taxon->vernacular.in && l < key->header.language_count;
             l++)
            rush_nearest_offer(nearest, taxon->vernacular.in[l]);
        for (uint32_t a = 0; whole_key && a < taxon->also.count; a++)
            rush_nearest_offer(nearest, taxon->also.names[a]);
    }
}

/* "azure or variable": an honest answer, which says no more than a group's name. */
static bool says_or(rush_text line)
{
    static const char word[] = " or ";
    for (size_t i = 0; i + sizeof word <= line.length; i++)
        if (memcmp(line.at + i, word, sizeof word - 1) == 0)
            return true;
    return false;
}

static void tell_unknown(rush_drill *drill, rush_text line)
{
    rush_buffer help = {0};
    if (line.length > NAME_MAX_SAID) {
        rush_source source = {.name = "name", .text = line};
        rush_diagnose(drill->diagnostics, RUSH_LINE_TOO_LONG, &source,
                      (rush_span){0, (uint32_t)line.length}, "so long a line is no name");
        return;
    }
    rush_diagnostic *made = tell(drill, line, "is not a name that this key knows");
    if (says_or(line))
        rush_buffer_string(&help, "one name at a time, or that of a group in which both stand");
    for (int whole_key = 0; whole_key < 2 && !help.length; whole_key++) {
        rush_nearest nearest;
        rush_suggest_init(drill->diagnostics, &nearest, line);
        offer_nearest(drill, whole_key, &nearest);
        rush_nearest_say(&nearest, &help);
    }
    if (!help.length)
        rush_buffer_string(
            &help, "any common or scientific name will do, or how its words begin; ? helps");
    rush_diagnose_help_from(drill->diagnostics, made, &help);
}

/* ---- names ----------------------------------------------------------------------------------------- */

/* What can be played goes before what the key has besides. RUSH_NONE: none fits, or several, which are told. */
static uint32_t find_taxon(rush_drill *drill, rush_text line)
{
    const rush_part *part = drill->options.part;
    uint32_t language = drill->options.language, taxon = rush_key_find_taxon(drill->key, line);
    rush_buffer several = {0};
    if (taxon == RUSH_NONE && part)
        taxon = rush_key_guess_taxon(drill->key, line, language, part->taxa, &several);
    if (taxon == RUSH_NONE && !several.length)
        taxon = rush_key_guess_taxon(drill->key, line, language, NULL, &several);
    if (several.length)
        tell_several(drill, line, &several);
    rush_buffer_free(&several);
    return taxon;
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

/* "a ruddy darter": false when there is no article. */
static bool take_article(rush_text *name)
{
    static const char *const articles[] = {"the", "an", "a"};
    for (size_t i = 0; i < sizeof articles / sizeof *articles; i++) {
        rush_text article = rush_text_of(articles[i]);
        size_t length = article.length;
        if (name->length < length + 2 || name->at[length] != ' ' || !rush_begins(*name, article))
            continue;
        *name = rush_text_trim((rush_text){name->at + length, name->length - length});
        return true;
    }
    return false;
}

uint32_t rush_drill_name(rush_drill *drill, rush_text line, rush_sex *sex)
{
    uint32_t taxon = find_taxon(drill, line);
    rush_text rest = line;
    *sex = RUSH_SEX_ANY;
    if (taxon == RUSH_NONE && !rush_diagnostics_count(drill->diagnostics)) {
        bool shorter = take_article(&rest);
        *sex = take_sex(&rest);
        taxon = shorter || *sex != RUSH_SEX_ANY ? find_taxon(drill, rest) : RUSH_NONE;
    }
    if (taxon == RUSH_NONE && !rush_diagnostics_count(drill->diagnostics))
        tell_unknown(drill, rest);
    return taxon;
}

void rush_drill_complete(const rush_drill *drill, rush_text line, size_t *stem,
                         rush_buffer *names)
{
    const rush_key *key = drill->key;
    *stem = line.length;
    for (uint32_t t = 0; line.length && t < key->taxon_count; t++) {
        const char *common = common_name(drill, t);
        if (common && rush_begins(rush_text_of(common), line))
            rush_buffer_format(names, "%s\n", common);
        else if (rush_begins(rush_text_of(key->taxa[t].name), line))
            rush_buffer_format(names, "%s\n", key->taxa[t].name);
    }
    for (size_t w = 0; line.length && rush_drill_words[w]; w++)
        if (rush_begins(rush_text_of(rush_drill_words[w]), line))
            rush_buffer_format(names, "%s\n", rush_drill_words[w]);
}
