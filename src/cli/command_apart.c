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

static const apart_settings defaults = {.pairs = 12, .safe = RUSH_SAFE_DEFAULT};

#define AT(member) offsetof(apart_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    PART_OPTIONS(apart_settings, part),
    {"marks", OPTION_WHOLE, AT(marks), "N", "to show of each sex, at most; 0: the few that do it",
     0, 100, NULL},
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
    "  rushlight apart azure damselfly         # what it is confused with most\n"
    "  rushlight apart Lestes --where 'sex: female'\n"
    "  rushlight apart --within Sympetrum      # what is confused most\n";

static const char more[] =
    "A taxon may have any of its names; a genus stands for its species. \"Right in\" is how often a careful\n"
    "beginner who looks at that is right. With one name: what it is confused with most; without: the pairs\n"
    "that are. How hard they are counts, and how often both are met; --occurrence common leaves out what is\n"
    "met seldom.\n"
    "\n"
    "Watch from where you stand safely. Catch and hold only gently, only when needed and where it is\n"
    "permitted; some species are protected by law and may be handled only under licence.\n";

/* ---- names ------------------------------------------------------------------------------------------------ */

typedef struct named {
    const rush_key *key;
    const rush_part *part; /* or NULL */
    uint32_t language, count;
    uint32_t taxa[RUSH_APART_TAXA_MAX];
} named;

static void complain(const char *problem)
{
    rush_buffer message = {0};
    rush_buffer_format(&message, "rushlight apart: %s\nsee rushlight apart --help\n", problem);
    output_error(&message);
    rush_buffer_free(&message);
}

/* The first words of a text; fewer if it has no more. */
static rush_text first_words(rush_text text, int count)
{
    size_t end = 0;
    for (; count > 0; count--) {
        while (end < text.length && text.at[end] == ' ')
            end++;
        while (end < text.length && text.at[end] != ' ')
            end++;
    }
    return (rush_text){text.at, end};
}

typedef uint32_t name_finder(const named *names, rush_text said);

static uint32_t find(const named *names, rush_text said)
{
    return rush_key_find_taxon(names->key, said);
}

static uint32_t guess(const named *names, rush_text said)
{
    uint32_t taxon = RUSH_NONE;
    if (names->part)
        taxon = rush_key_guess_taxon(names->key, said, names->language, names->part->taxa, NULL);
    return taxon == RUSH_NONE
               ? rush_key_guess_taxon(names->key, said, names->language, NULL, NULL)
               : taxon;
}

/* The longest beginning that is found; empty when none is. */
static rush_text longest(const named *names, rush_text text, name_finder *finder, uint32_t *taxon)
{
    enum { WORDS_MAX = 8 };
    for (int count = WORDS_MAX; count > 0; count--) {
        rush_text said = first_words(text, count);
        *taxon = finder(names, said);
        if (*taxon != RUSH_NONE)
            return said;
    }
    return (rush_text){text.at, 0};
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

/* What may have been meant: several that fit, or the name that as many of the words as possible come near to. */
static void complain_of_name(const named *names, rush_text text)
{
    enum { WORDS_MAX = 4, SHOWN_MAX = 80 };
    const char *nearest = NULL;
    rush_buffer message = {0}, several = {0};
    rush_buffer_string(&message, "rushlight apart: ");
    for (int count = WORDS_MAX; count > 0 && !several.length; count--)
        rush_key_guess_taxon(names->key, first_words(text, count), names->language, NULL,
                             &several);
    for (int count = WORDS_MAX; count > 0 && !several.length && !nearest; count--)
        nearest = nearest_name(names->key, first_words(text, count));
    rush_buffer_byte(&message, '\'');
    rush_buffer_safe(&message, text.length > SHOWN_MAX ? (rush_text){text.at, SHOWN_MAX} : text);
    rush_buffer_string(&message, text.length > SHOWN_MAX ? "..." : "");
    if (several.length) {
        rush_buffer_string(&message, "' may be ");
        rush_buffer_safe(&message, (rush_text){several.bytes, several.length});
    } else {
        rush_buffer_string(&message, "' begins no name that the key has");
    }
    if (nearest) {
        rush_buffer_string(&message, "; did you mean '");
        rush_buffer_safe(&message, rush_text_of(nearest));
        rush_buffer_string(&message, "'?");
    }
    rush_buffer_string(&message,
                       "\nwrite commas between names; `rushlight about` lists the key's taxa\n");
    output_error(&message);
    rush_buffer_free(&message);
    rush_buffer_free(&several);
}

/* What stands between two commas: one name, or several one behind the other, each whole or how its words begin. */
static bool take_piece(named *names, rush_text piece)
{
    rush_text from = rush_text_trim(piece);
    for (piece = from; piece.length; piece = rush_text_trim(piece)) {
        uint32_t taxon;
        rush_text said = longest(names, piece, find, &taxon);
        if (!said.length)
            said = longest(names, piece, guess, &taxon);
        if (!said.length) {
            complain_of_name(names, from);
            return false;
        }
        if (names->count == RUSH_APART_TAXA_MAX) {
            complain("too many taxa at once");
            return false;
        }
        names->taxa[names->count++] = taxon;
        rush_text rest = {piece.at + said.length, piece.length - said.length};
        bool one_word = !memchr(said.at, ' ', said.length);
        /* One word may be a genus that was taken where a species was meant. */
        from = one_word ? piece : rush_text_trim(rest);
        piece = rest;
    }
    return true;
}

/* The words of the command line, as one text: names may stand in quotation marks or not. */
static int take_names(named *names, char **words, int count)
{
    rush_buffer all = {0};
    int status = EXIT_DONE;
    for (int i = 0; i < count; i++) {
        rush_buffer_string(&all, i ? " " : "");
        rush_buffer_string(&all, words[i]);
    }
    if (all.failed)
        status = output_no_memory();
    for (size_t from = 0; status == EXIT_DONE && from < all.length;) {
        const char *comma = memchr(all.bytes + from, ',', all.length - from);
        size_t end = comma ? (size_t)(comma - all.bytes) : all.length;
        if (!take_piece(names, (rush_text){all.bytes + from, end - from}))
            status = EXIT_USAGE;
        from = end + 1;
    }
    rush_buffer_free(&all);
    return status;
}

/* ---- the command ------------------------------------------------------------------------------------------ */

static int hand_out(rush_buffer *out)
{
    int status = output_write(out) ? EXIT_DONE : EXIT_FAULT;
    rush_buffer_free(out);
    return status;
}

/* All of them, or those of one taxon. */
static int list_pairs(const named *names, const apart_settings *settings)
{
    rush_hard_pair pairs[PAIRS_MAX];
    uint32_t of = RUSH_NONE;
    if (names->count)
        of = rush_key_leaf(names->key, rush_key_taxon(names->key, names->taxa[0])->first_leaf);
    rush_hard_pairs hard = {names->key, of, pairs, 0, names->language};
    rush_buffer out = {0};
    hard.count = rush_apart_hardest(names->key, names->part, of, pairs, settings->pairs);
    if (hard.count == RUSH_NONE)
        return output_no_memory();
    if (of != RUSH_NONE && !hard.count) {
        complain("there is nothing in the part that it could be confused with");
        return EXIT_USAGE;
    }
    if (settings->out == OUT_JSON)
        rush_report_hard_pairs_json(&hard, &out);
    else
        rush_report_hard_pairs_text(&hard, &out);
    return hand_out(&out);
}

static int tell(const named *names, const apart_settings *settings)
{
    rush_apart_options how = {names->part, settings->marks, settings->safe};
    const rush_apart *apart = rush_apart_tell(names->key, names->taxa, names->count, &how);
    rush_buffer out = {0};
    if (!apart && names->count == 1 &&
        rush_key_taxon(names->key, names->taxa[0])->leaf_count == 1)
        return list_pairs(names, settings);
    if (!apart) {
        complain("from 2 to 16 taxa of the part can be told apart");
        return EXIT_USAGE;
    }
    if (settings->out == OUT_JSON)
        rush_report_apart_json(apart, names->language, &out);
    else
        rush_report_apart_text(apart, names->language, &out);
    rush_apart_free(apart);
    return hand_out(&out);
}

static int run_with_key(const rush_key *key, const apart_settings *settings, char **words,
                        int count)
{
    named names = {.key = key};
    int wrong = EXIT_DONE;
    if (!input_language(key, settings->language, &names.language))
        return EXIT_USAGE;
    if (!part_of_options(key, &settings->part, names.language, &names.part, &wrong))
        return wrong;
    int status = take_names(&names, words, count);
    if (status == EXIT_DONE)
        status = names.count ? tell(&names, settings) : list_pairs(&names, settings);
    rush_part_free(names.part);
    return status == EXIT_DONE ? wrong : status;
}

static int run_apart(const void *given, char **words, int count)
{
    const apart_settings *settings = given;
    int status;
    rush_key *key = input_key_for_command(settings->key, &status);
    if (!key)
        return status;
    status = run_with_key(key, settings, words, count);
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
