#include "sighting/answer.h"

#include <string.h>

#include "base/unicode.h"
#include "key/month.h"

bool rush_answer_is_empty(rush_text text)
{
    text = rush_text_trim(text);
    return !text.length || (text.length == 1 && (text.at[0] == '-' || text.at[0] == '?'));
}

bool rush_text_behind(rush_text text, const char *word, rush_text *rest)
{
    size_t length = strlen(word);
    if (text.length <= length)
        return false;
    for (size_t i = 0; i < length; i++) {
        char c = text.at[i];
        if ((c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c) != word[i])
            return false;
    }
    bool letters = word[length - 1] >= 'a' && word[length - 1] <= 'z';
    if (letters && text.at[length] != ' ' && text.at[length] != '\t')
        return false;
    *rest = rush_text_trim((rush_text){text.at + length, text.length - length});
    return true;
}

/* ---- names ------------------------------------------------------------------------------------ */

static void set_bit(uint64_t *set, uint32_t bit)
{
    set[bit / 64] |= UINT64_C(1) << bit % 64;
}

/* Adds what a name stands for to the set; false when the character does not know it. */
static bool add_name(const rush_key *key, uint32_t character, rush_text name, uint64_t *set)
{
    rush_character_kind kind = key->characters[character].kind;
    if (kind == RUSH_KIND_TAXON) {
        uint32_t taxon = rush_key_find_taxon(key, name);
        if (taxon == RUSH_NONE)
            return false;
        for (uint32_t i = 0; i < key->taxa[taxon].leaf_count; i++)
            set_bit(set, key->taxa[taxon].first_leaf + i);
        return true;
    }
    if (kind == RUSH_KIND_MONTHS) {
        unsigned months;
        if (!rush_date_read(name, &months) && !rush_months_read(name, &months))
            return false;
        set[0] |= months;
        return true;
    }
    uint32_t state = rush_key_find_state(key, character, name);
    if (state == RUSH_NONE)
        return false;
    set_bit(set, state);
    return true;
}

bool rush_answer_is_name(const rush_key *key, uint32_t character, rush_text text,
                         uint64_t *scratch)
{
    return key->characters[character].kind != RUSH_KIND_NUMBER &&
           add_name(key, character, text, scratch);
}

static void offer_names(const rush_key *key, uint32_t at, rush_nearest *nearest)
{
    const rush_character *character = &key->characters[at];
    for (uint32_t t = 0; character->kind == RUSH_KIND_TAXON && t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        rush_nearest_offer(nearest, taxon->name);
        for (uint32_t l = 0; taxon->vernacular.in && l < key->header.language_count; l++)
            rush_nearest_offer(nearest, taxon->vernacular.in[l]);
        for (uint32_t a = 0; a < taxon->also.count; a++)
            rush_nearest_offer(nearest, taxon->also.names[a]);
    }
    for (uint32_t s = 0; s < character->state_count; s++) {
        const rush_state *state = &character->states[s];
        rush_nearest_offer(nearest, state->id);
        for (uint32_t l = 0; state->label.in && l < key->header.language_count; l++)
            rush_nearest_offer(nearest, state->label.in[l]);
        for (uint32_t a = 0; a < state->also.count; a++)
            rush_nearest_offer(nearest, state->also.names[a]);
    }
}

/* The span of a piece of the answer, when the piece stands in the line as it is. */
rush_span rush_answer_piece(const rush_answer_reader *reader, rush_text piece)
{
    rush_text line = reader->source->text;
    if (piece.at >= line.at && piece.at <= line.at + line.length)
        return (rush_span){(uint32_t)(piece.at - line.at), (uint32_t)piece.length};
    return reader->span;
}

enum { HELP_MAX = 300 }; /* bytes, after which no more names are listed */

/* "'green' is a state of: eye colour, abdomen colour", when other characters know the name. */
static void name_knowing(const rush_answer_reader *reader, rush_text name, rush_buffer *help)
{
    const rush_key *key = reader->key;
    bool first = true;
    for (uint32_t c = 0; c < key->character_count && help->length < HELP_MAX; c++) {
        if (rush_key_find_state(key, c, name) == RUSH_NONE)
            continue;
        if (first)
            rush_buffer_format(help, "'%.*s' is a state of: ", (int)name.length, name.at);
        rush_buffer_string(help, first ? "" : ", ");
        rush_character_name(key, c, 0, help);
        first = false;
    }
}

static void refuse_name(const rush_answer_reader *reader, uint32_t at, rush_text name)
{
    const rush_character *character = &reader->key->characters[at];
    if (!reader->list)
        return;
    if (character->kind == RUSH_KIND_MONTHS) {
        rush_diagnostic *month = rush_diagnose(
            reader->list, RUSH_BAD_MONTHS, reader->source, rush_answer_piece(reader, name),
            "'%.*s' is not a month", (int)name.length, name.at);
        rush_nearest months;
        rush_nearest_init(&months, name);
        offer_names(reader->key, at, &months);
        rush_diagnose_nearest(reader->list, month, &months,
                              "write July, 7, Jun-Aug or 2026-07-14");
        return;
    }
    bool taxon = character->kind == RUSH_KIND_TAXON;
    rush_diagnostic *made =
        rush_diagnose(reader->list, taxon ? RUSH_UNKNOWN_TAXON : RUSH_UNKNOWN_STATE,
                      reader->source, rush_answer_piece(reader, name),
                      taxon ? "the key has no %s '%.*s'" : "'%s' has no state '%.*s'",
                      character->id, (int)name.length, name.at);
    rush_nearest nearest;
    rush_nearest_init(&nearest, name);
    offer_names(reader->key, at, &nearest);
    if (nearest.count) {
        rush_diagnose_nearest(reader->list, made, &nearest, NULL);
        return;
    }
    rush_buffer help = {0};
    name_knowing(reader, name, &help);
    for (uint32_t s = 0; s < character->state_count && help.length < HELP_MAX; s++) {
        rush_buffer_string(&help, s ? ", " : help.length ? "; this one knows: " : "it knows: ");
        rush_state_name(reader->key, at, s, 0, &help);
    }
    rush_diagnose_help_from(reader->list, made, &help);
}

/* ---- alternatives ------------------------------------------------------------------------------ */

/* Where the next separator stands (` or `, ` and `, `|`, `/` or `,`), and its length; 0 at the end. Two
 * colours joined by `and` are two that were seen: either may be the one that the key has. */
static size_t next_separator(rush_text text, size_t from, size_t *at)
{
    static const char *const words[] = {"or", "and"};
    rush_text behind;
    for (*at = from; *at < text.length; ++*at) {
        char c = text.at[*at];
        if (c == '|' || c == '/' || c == ',')
            return 1;
        if (c != ' ' && c != '\t')
            continue;
        for (size_t w = 0; w < sizeof words / sizeof *words; w++)
            if (rush_text_behind((rush_text){text.at + *at + 1, text.length - *at - 1}, words[w],
                                 &behind))
                return 1 + strlen(words[w]);
    }
    return 0;
}

uint32_t rush_answer_split(rush_text text, rush_text pieces[RUSH_PIECES_MAX])
{
    uint32_t count = 0;
    for (size_t from = 0; count < RUSH_PIECES_MAX;) {
        size_t at, length = next_separator(text, from, &at);
        if (count == RUSH_PIECES_MAX - 1) { /* the rest is one piece, and will be found unknown */
            at = text.length;
            length = 0;
        }
        pieces[count++] = rush_text_trim((rush_text){text.at + from, at - from});
        if (!length)
            break;
        from = at + length;
    }
    return count;
}

static bool refuse_denial(const rush_answer_reader *reader, rush_text piece)
{
    if (reader->list) {
        rush_diagnostic *made =
            rush_diagnose(reader->list, RUSH_OR_NOT, reader->source,
                          rush_answer_piece(reader, piece), "an alternative cannot be a denial");
        rush_diagnose_help(reader->list, made,
                           "write `a or b`, or `not a or b` for neither of them");
    }
    return false;
}

/* Where the longest name ends that begins at a piece, which is added to the set; the piece itself: there is none. */
static uint32_t add_longest(const rush_answer_reader *reader, uint32_t character,
                            const rush_text *pieces, uint32_t at, uint32_t count, uint64_t *set)
{
    for (uint32_t end = count; end > at; end--) {
        const char *stop = pieces[end - 1].at + pieces[end - 1].length;
        if (add_name(reader->key, character,
                     (rush_text){pieces[at].at, (size_t)(stop - pieces[at].at)}, set))
            return end;
    }
    return at;
}

/* `a or b / c`, where a name may itself hold a separator: the longest name at each place holds. */
static bool add_alternatives(const rush_answer_reader *reader, uint32_t character, rush_text text,
                             uint64_t *set)
{
    rush_text pieces[RUSH_PIECES_MAX], rest;
    uint32_t count = rush_answer_split(text, pieces);
    for (uint32_t i = 0, end; i < count; i = end) {
        if (rush_text_behind(pieces[i], "not", &rest) &&
            !add_name(reader->key, character, pieces[i], set))
            return refuse_denial(reader, pieces[i]);
        end = add_longest(reader, character, pieces, i, count, set);
        if (end == i) {
            refuse_name(reader, character, pieces[i]);
            return false;
        }
    }
    return true;
}

/* A denial, but for alternatives whose first one has such a name: "not present or broken". */
static bool is_denial(const rush_answer_reader *reader, uint32_t character, rush_text text,
                      uint64_t *set, rush_text *denied)
{
    rush_text pieces[RUSH_PIECES_MAX];
    return rush_text_behind(text, "not", denied) &&
           !add_longest(reader, character, pieces, 0, rush_answer_split(text, pieces), set);
}

/* ---- an answer --------------------------------------------------------------------------------- */

static uint32_t count_bits(const uint64_t *set, uint32_t words)
{
    uint32_t count = 0;
    for (uint32_t w = 0; w < words; w++)
        count += (uint32_t)__builtin_popcountll(set[w]);
    return count;
}

/* What people write for what they did not see. */
static bool means_not_seen(rush_text text)
{
    static const char *const words[] = {"n/a",      "na",           "n.a.",
                                        "not seen", "not recorded", "unknown"};
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(text, folded);
    for (size_t i = 0; length != SIZE_MAX && i < sizeof words / sizeof *words; i++)
        if (rush_text_equal((rush_text){folded, length}, rush_text_of(words[i])))
            return true;
    return false;
}

static bool refuse_not_seen(const rush_answer_reader *reader, uint32_t character, rush_text text)
{
    if (!reader->list)
        return false;
    rush_diagnostic *made =
        rush_diagnose(reader->list, RUSH_UNKNOWN_STATE, reader->source, reader->span,
                      "'%s' has no state '%.*s'", reader->key->characters[character].id,
                      (int)text.length, text.at);
    rush_diagnose_help(reader->list, made, "what was not seen is left empty, or written `-`");
    return false;
}

static bool read_states(const rush_answer_reader *reader, rush_text text, rush_answer *answer,
                        uint64_t *set)
{
    const rush_key *key = reader->key;
    uint32_t character = answer->character;
    rush_text rest;
    bool known = add_name(key, character, text, set);
    if (!known && means_not_seen(text))
        return refuse_not_seen(reader, character, text);
    if (!known && text.at[text.length - 1] == '?') {
        answer->unsure = true;
        text = rush_text_trim((rush_text){text.at, text.length - 1});
        known = add_name(key, character, text, set);
    }
    if (!known && is_denial(reader, character, text, set, &rest)) {
        answer->denied = true;
        text = rest;
        known = add_name(key, character, text, set);
    }
    if (!known && !add_alternatives(reader, character, text, set))
        return false;
    answer->taxon =
        character == RUSH_TAXON_CHARACTER ? rush_key_find_taxon(key, text) : RUSH_NONE;
    uint32_t words = rush_set_words(key, character);
    uint32_t bits = character == RUSH_TAXON_CHARACTER ? key->leaf_count
                                                      : key->characters[character].state_count;
    for (uint32_t w = 0; answer->denied && w < words; w++)
        set[w] = ~set[w] & (bits - w * 64 >= 64 ? ~UINT64_C(0) : (UINT64_C(1) << bits % 64) - 1);
    answer->state_count = count_bits(set, words);
    if (answer->state_count)
        return true;
    if (!reader->list)
        return false;
    rush_diagnostic *made =
        rush_diagnose(reader->list, RUSH_NOTHING_LEFT, reader->source, reader->span,
                      "this denies every state of '%s'", key->characters[character].id);
    rush_diagnose_help(reader->list, made, "leave it out, or write `-` for not seen");
    return false;
}

static bool read_plain(const rush_answer_reader *reader, rush_text text, rush_answer *answer,
                       uint64_t *set)
{
    if (reader->key->characters[answer->character].kind != RUSH_KIND_NUMBER)
        return read_states(reader, text, answer, set);
    return rush_measure_read(reader, text, answer);
}

enum { SPACED_MAX = 256 }; /* bytes of an answer whose no-break spaces are taken for spaces */

bool rush_answer_read(const rush_answer_reader *reader, rush_text text, rush_answer *answer,
                      uint64_t *set)
{
    static const char no_break[] = "\xc2\xa0";
    char spaced[SPACED_MAX];
    size_t length = 0;
    text = rush_text_trim(text);
    if (text.length > SPACED_MAX || !memchr(text.at, no_break[0], text.length))
        return read_plain(reader, text, answer, set);
    for (size_t i = 0; i < text.length; i++) {
        bool space = i + 1 < text.length && memcmp(text.at + i, no_break, 2) == 0;
        spaced[length++] = space ? ' ' : text.at[i];
        i += space;
    }
    return read_plain(reader, (rush_text){spaced, length}, answer, set);
}
