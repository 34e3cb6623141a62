/* apart: how to tell look-alikes apart. */
#include <stdlib.h>
#include <string.h>

#include "command.h"
#include "input.h"
#include "output.h"
#include "part_options.h"

typedef struct apart_settings {
    const char *key, *language;
    part_settings part;
    uint32_t marks, pairs;
    double safe;
    int out;
} apart_settings;

enum { OUT_TEXT, OUT_JSON, PAIRS_MAX = 1000 };
static const char *const outs[] = {"text", "json", NULL};

static const apart_settings defaults = {
    .marks = RUSH_APART_MARKS, .pairs = 12, .safe = RUSH_SAFE_DEFAULT};

#define AT(member) offsetof(apart_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    PART_OPTIONS(apart_settings, part),
    {"marks", OPTION_WHOLE, AT(marks), "N", "to show of each sex, at most", 1, 100, NULL},
    {"pairs", OPTION_WHOLE, AT(pairs), "N", "to list without names, at most", 1, PAIRS_MAX, NULL},
    {"safe", OPTION_NUMBER, AT(safe), "P", "the probability from which a name is safe", 0.51,
     0.999999, NULL},
    {"out", OPTION_CHOICE, AT(out), NULL, "text, or JSON", 0, 0, outs},
    {"language", OPTION_STRING, AT(language), "L",
     "of names and texts; the key's first unless told", 0, 0, NULL},
};
#undef AT

static const char examples[] =
    "  rushlight apart 'Coenagrion puella' 'Enallagma cyathigerum'\n"
    "  rushlight apart azure damselfly, variable damselfly, common blue damselfly\n"
    "  rushlight apart Lestes --where 'sex: female'\n"
    "  rushlight apart --within Sympetrum      # what is confused most\n";

static const char more[] =
    "A taxon may have any of its names; a genus stands for its species. \"Right in\" is how often a careful\n"
    "beginner who looks at that is right. Without names: the pairs that are confused most, by how hard\n"
    "they are and how often both are met; --occurrence common leaves out what is met seldom.\n"
    "\n"
    "Watch from where you stand safely. Catch and hold only gently, only when needed and where it is\n"
    "permitted; some species are protected by law and may be handled only under licence.\n";

/* ---- names ------------------------------------------------------------------------------------------------ */

/* The words cut at their commas, so that several names may stand in one pair of quotation marks; what is between two
 * commas may be nothing. The words are cut in place; NULL when there is no memory. */
static char **cut_words(char **words, int *count)
{
    size_t pieces = 1;
    for (int i = 0; i < *count; i++) {
        pieces++;
        for (const char *at = words[i]; *at; at++)
            pieces += *at == ',';
    }
    char **cut = malloc(pieces * sizeof *cut);
    int made = 0;
    for (int i = 0; cut && i < *count; i++)
        for (char *at = words[i], *next; at; at = next) {
            next = strchr(at, ',');
            if (next)
                *next++ = '\0';
            at += strspn(at, " ");
            for (size_t end = strlen(at); end && at[end - 1] == ' ';)
                at[--end] = '\0';
            if (*at)
                cut[made++] = at;
        }
    *count = made;
    return cut;
}

static void add_word(const char *word, rush_buffer *name)
{
    rush_buffer_string(name, name->length ? " " : "");
    rush_buffer_string(name, word);
}

/* The longest name that begins at words[*at], which then stands behind it; RUSH_NONE when there is none. */
static uint32_t take_name(const rush_key *key, char **words, int count, int *at)
{
    enum { WORDS_MAX = 8 };
    for (int end = *at + WORDS_MAX < count ? *at + WORDS_MAX : count; end > *at; end--) {
        rush_buffer name = {0};
        for (int i = *at; i < end; i++)
            add_word(words[i], &name);
        uint32_t taxon = name.failed || !name.length
                             ? RUSH_NONE
                             : rush_key_find_taxon(key, (rush_text){name.bytes, name.length});
        rush_buffer_free(&name);
        if (taxon != RUSH_NONE) {
            *at = end;
            return taxon;
        }
    }
    return RUSH_NONE;
}

static void complain(const char *problem)
{
    rush_buffer message = {0};
    rush_buffer_format(&message, "rushlight apart: %s\nsee rushlight apart --help\n", problem);
    output_error(&message);
    rush_buffer_free(&message);
}

/* The name nearest to some words, or NULL. */
static const char *nearest_name(const rush_key *key, rush_text wanted)
{
    uint32_t taxa = rush_key_taxon_count(key), languages = rush_key_about(key)->language_count;
    const char **names = calloc((size_t)taxa * (languages + 1) + 1, sizeof *names);
    size_t count = 0;
    for (uint32_t t = 0; names && t < taxa; t++) {
        const rush_taxon *taxon = rush_key_taxon(key, t);
        names[count++] = taxon->name;
        for (uint32_t l = 0; l < languages && taxon->vernacular.in; l++)
            if (taxon->vernacular.in[l])
                names[count++] = taxon->vernacular.in[l];
    }
    const char *nearest = names ? rush_text_nearest(wanted, names) : NULL;
    free(names);
    return nearest;
}

/* What may have been meant: a name of as many of the words as come near to one. */
static void complain_of_name(const rush_key *key, char **words, int count)
{
    enum { WORDS_MAX = 4 };
    const char *nearest = NULL;
    for (int end = count < WORDS_MAX ? count : WORDS_MAX; end > 0 && !nearest; end--) {
        rush_buffer name = {0};
        for (int i = 0; i < end; i++)
            add_word(words[i], &name);
        if (!name.failed)
            nearest = nearest_name(key, (rush_text){name.bytes, name.length});
        rush_buffer_free(&name);
    }
    rush_buffer message = {0};
    rush_buffer_string(&message, "rushlight apart: there is no taxon by this name, at '");
    rush_buffer_safe(&message, rush_text_of(words[0]));
    rush_buffer_byte(&message, '\'');
    if (nearest) {
        rush_buffer_string(&message, "; did you mean '");
        rush_buffer_safe(&message, rush_text_of(nearest));
        rush_buffer_string(&message, "'?");
    }
    rush_buffer_string(&message, "\n`rushlight about` lists its taxa\n");
    output_error(&message);
    rush_buffer_free(&message);
}

static bool take_names(const rush_key *key, char **words, int count, uint32_t *taxa,
                       uint32_t *taken)
{
    for (int at = 0; at < count;) {
        if (*taken == RUSH_APART_TAXA_MAX) {
            complain("too many taxa at once");
            return false;
        }
        uint32_t taxon = take_name(key, words, count, &at);
        if (taxon == RUSH_NONE) {
            /* A genus, or the first word of a name, may have been taken for the whole. */
            at -= at > 0 && !strchr(words[at - 1], ' ');
            complain_of_name(key, words + at, count - at);
            return false;
        }
        taxa[(*taken)++] = taxon;
    }
    return true;
}

/* ---- the command ------------------------------------------------------------------------------------------ */

static int tell(const rush_key *key, const apart_settings *settings, const rush_part *part,
                const uint32_t *taxa, uint32_t count, uint32_t language)
{
    rush_apart_options how = {part, settings->marks, settings->safe};
    const rush_apart *apart = rush_apart_tell(key, taxa, count, &how);
    rush_buffer out = {0};
    if (!apart) {
        complain("from 2 to 16 taxa of the part can be told apart");
        return EXIT_WRONG_INPUT;
    }
    if (settings->out == OUT_JSON)
        rush_report_apart_json(apart, language, &out);
    else
        rush_report_apart_text(apart, language, &out);
    rush_apart_free(apart);
    int status = output_write(&out) ? EXIT_DONE : EXIT_FAULT;
    rush_buffer_free(&out);
    return status;
}

static int list_pairs(const rush_key *key, const apart_settings *settings, const rush_part *part,
                      uint32_t language)
{
    rush_hard_pair pairs[PAIRS_MAX];
    uint32_t count = rush_apart_hardest(key, part, pairs, settings->pairs);
    rush_buffer out = {0};
    if (count == RUSH_NONE)
        return output_no_memory();
    if (settings->out == OUT_JSON)
        rush_report_hard_pairs_json(key, pairs, count, language, &out);
    else
        rush_report_hard_pairs_text(key, pairs, count, language, &out);
    int status = output_write(&out) ? EXIT_DONE : EXIT_FAULT;
    rush_buffer_free(&out);
    return status;
}

static int run_with_key(const rush_key *key, const apart_settings *settings, char **words,
                        int count)
{
    uint32_t taxa[RUSH_APART_TAXA_MAX], taken = 0, language;
    int wrong = EXIT_DONE;
    const rush_part *part = NULL;
    if (!input_language(key, settings->language, &language))
        return EXIT_USAGE;
    if (!take_names(key, words, count, taxa, &taken))
        return EXIT_WRONG_INPUT;
    if (!part_of_options(key, &settings->part, language, &part, &wrong))
        return wrong;
    int status = count ? tell(key, settings, part, taxa, taken, language)
                       : list_pairs(key, settings, part, language);
    rush_part_free(part);
    return status == EXIT_DONE ? wrong : status;
}

static int run_apart(const void *given, char **words, int count)
{
    const apart_settings *settings = given;
    int status;
    rush_key *key = input_key_for_command(settings->key, &status);
    if (!key)
        return status;
    char **names = cut_words(words, &count);
    status = names ? run_with_key(key, settings, names, count) : output_no_memory();
    free(names);
    rush_key_free(key);
    return status;
}

const rush_command command_apart = {
    .name = "apart",
    .summary = "how to tell look-alikes apart; without names, what is confused most",
    .operands = "[TAXON TAXON...]",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .run = run_apart,
};
