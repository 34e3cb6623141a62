#include <string.h>

#include "base/unicode.h"
#include "sow/plan.h"

/* The usual headers; where there are several, the first is what we write. */
static const struct {
    const char *head;
    rush_sow_field field;
} fields[] = {
    {"taxon", RUSH_SOW_TAXON},
    {"rank", RUSH_SOW_RANK},
    {"within", RUSH_SOW_WITHIN},
    {"sex", RUSH_SOW_SEX},
    {"form", RUSH_SOW_FORM},
    {"share", RUSH_SOW_SHARE},
    {"occurrence", RUSH_SOW_OCCURRENCE},
    {"also", RUSH_SOW_ALSO},
    {"authority", RUSH_SOW_AUTHORITY},
    {"source", RUSH_SOW_SOURCE},
    {"note", RUSH_SOW_NOTE},
    {"notes", RUSH_SOW_NOTE},
    {"scientific name", RUSH_SOW_TAXON},
    {"scientificName", RUSH_SOW_TAXON},               /* Darwin Core */
    {"taxonRank", RUSH_SOW_RANK},                     /* Darwin Core */
    {"scientificNameAuthorship", RUSH_SOW_AUTHORITY}, /* Darwin Core */
};

static const char *const details[RUSH_DETAIL_FIELDS] = {
    "character", "state",         "states",     "confused",  "also",    "reach",
    "effort",    "misread",       "bare",       "look next", "setting", "measure",
    "unit",      "reading error", "resolution", "words",     "sketch"};
static const char *const detail_words[RUSH_DETAIL_WORDED] = {"label", "ask", "tip", "includes"};
static const char *const words_names[RUSH_SOW_WORDS] = {"vernacular", "caution"};

bool rush_sow_alike(rush_text a, rush_text b)
{
    char a_folded[RUSH_FOLD_MAX], b_folded[RUSH_FOLD_MAX];
    size_t a_length = rush_unicode_fold(a, a_folded), b_length = rush_unicode_fold(b, b_folded);
    return a_length != SIZE_MAX && b_length != SIZE_MAX &&
           rush_text_equal((rush_text){a_folded, a_length}, (rush_text){b_folded, b_length});
}

static bool named(rush_text head, const char *name)
{
    return rush_sow_alike(head, rush_text_of(name));
}

bool rush_sow_field_named(rush_text head, rush_sow_field *field)
{
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (named(head, fields[i].head)) {
            *field = fields[i].field;
            return true;
        }
    return false;
}

const char *rush_sow_field_name(rush_sow_field field)
{
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (fields[i].field == field)
            return fields[i].head;
    return "";
}

const char *rush_sow_words_name(rush_sow_words words)
{
    return words_names[words];
}

/* `label:nl`: the name in front of the colon, and the language behind it; English without one. */
static rush_text split_language(rush_text head, rush_text *language)
{
    const char *colon = memchr(head.at, ':', head.length);
    *language = rush_text_of("en");
    if (!colon)
        return head;
    size_t before = (size_t)(colon - head.at);
    *language = rush_text_trim((rush_text){colon + 1, head.length - before - 1});
    return (rush_text){head.at, before};
}

bool rush_sow_words_named(rush_text head, rush_sow_words *words, rush_text *language)
{
    rush_text name = split_language(head, language);
    for (int i = 0; i < RUSH_SOW_WORDS; i++)
        if (named(name, words_names[i]) ||
            (!i && (named(name, "vernacularName") || /* Darwin Core */
                    named(name, "common name")))) {
            *words = (rush_sow_words)i;
            return language->length > 0;
        }
    return false;
}

bool rush_sow_detail_words_named(rush_text head, rush_sow_detail_words *words,
                                 rush_text *language)
{
    rush_text name = split_language(head, language);
    for (int i = 0; i < RUSH_DETAIL_WORDED; i++)
        if (named(name, detail_words[i])) {
            *words = (rush_sow_detail_words)i;
            return language->length > 0;
        }
    return false;
}

bool rush_sow_detail_named(rush_text head, rush_sow_detail *field)
{
    for (int i = 0; i < RUSH_DETAIL_FIELDS; i++)
        if (named(head, details[i])) {
            *field = (rush_sow_detail)i;
            return true;
        }
    return false;
}

const char *rush_sow_detail_name(rush_sow_detail field)
{
    return details[field];
}

const char *rush_sow_detail_words_name(rush_sow_detail_words words)
{
    return detail_words[words];
}

bool rush_sow_rank_named(rush_text head, rush_taxon_rank *rank)
{
    for (int i = 0; i < RUSH_RANK_COUNT; i++)
        if (named(head, rush_taxon_rank_name((rush_taxon_rank)i))) {
            *rank = (rush_taxon_rank)i;
            return true;
        }
    return false;
}

bool rush_sow_bracket(rush_text head, rush_text *name, rush_text *bracket)
{
    if (!head.length || head.at[head.length - 1] != ')')
        return false;
    size_t depth = 0, at = head.length;
    while (at > 0) {
        at--;
        depth += head.at[at] == ')';
        if (head.at[at] == '(' && --depth == 0)
            break;
    }
    if (depth)
        return false;
    *name = rush_text_trim((rush_text){head.at, at});
    *bracket = rush_text_trim((rush_text){head.at + at + 1, head.length - at - 2});
    return name->length && bracket->length;
}

bool rush_sow_kind_named(rush_text bracket, rush_sow_kind *kind)
{
    static const struct {
        const char *word;
        rush_sow_kind kind;
    } kinds[] = {{"states", RUSH_SOW_STATES},
                 {"setting", RUSH_SOW_SETTING},
                 {"months", RUSH_SOW_MONTHS},
                 {"count", RUSH_SOW_NUMBER},
                 {"number", RUSH_SOW_NUMBER}};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (named(bracket, kinds[i].word)) {
            *kind = kinds[i].kind;
            return true;
        }
    return false;
}

bool rush_sow_backing_named(rush_text head, rush_text *of, bool *note)
{
    static const char *const ends[] = {"source", "note", "notes"};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        size_t length = strlen(ends[i]);
        if (head.length < length + 2 || !strchr(" -_", head.at[head.length - length - 1]) ||
            !named((rush_text){head.at + head.length - length, length}, ends[i]))
            continue;
        *of = rush_text_trim((rush_text){head.at, head.length - length - 1});
        *note = i > 0;
        return of->length > 0;
    }
    return false;
}
