#include "rushlight/part.h"

#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/unicode.h"
#include "diagnostic/diagnostic.h"
#include "rank/likelihood.h"

/* A part while it is chosen. It is handed out as the rush_part that it begins with. */
typedef struct part_maker {
    rush_part part;
    rush_arena arena;
    const rush_key *key;
    const rush_part_request *request;
    rush_diagnostics *list;
    bool *forms, *taxa;
    rush_source list_source;
    rush_span *listed; /* by taxon: where the list names it; of no length: it does not */
    double *prior;
    rush_buffer words;
    bool good;
} part_maker;

/* ---- names ------------------------------------------------------------------------------------------- */

static void offer_taxa(const rush_key *key, rush_nearest *nearest)
{
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        rush_nearest_offer(nearest, taxon->name);
        for (uint32_t i = 0; i < taxon->also.count; i++)
            rush_nearest_offer(nearest, taxon->also.names[i]);
        for (uint32_t i = 0; taxon->vernacular.in && i < key->header.language_count; i++)
            rush_nearest_offer(nearest, taxon->vernacular.in[i]);
    }
}

static rush_span span_in(const rush_source *source, rush_text text)
{
    return (rush_span){(uint32_t)(text.at - source->text.at), (uint32_t)text.length};
}

/* "Ischnura elegans (blue-tailed damselfly)": the name before the bracket, when the one inside is no other taxon's. */
static uint32_t find_with_bracket(const rush_key *key, rush_text name)
{
    const char *open = name.length ? memchr(name.at, '(', name.length) : NULL;
    if (!open || name.at[name.length - 1] != ')')
        return RUSH_NONE;
    size_t length = (size_t)(open - name.at);
    rush_text inside = {open + 1, name.length - length - 2};
    uint32_t taxon = rush_key_find_taxon(key, rush_text_trim((rush_text){name.at, length}));
    uint32_t other = rush_key_find_taxon(key, rush_text_trim(inside));
    return other == RUSH_NONE || other == taxon ? taxon : RUSH_NONE;
}

static bool same_name(rush_text a, rush_text b)
{
    char folded_a[RUSH_FOLD_MAX], folded_b[RUSH_FOLD_MAX];
    size_t length_a = rush_unicode_fold(a, folded_a), length_b = rush_unicode_fold(b, folded_b);
    return length_a == length_b && length_a != SIZE_MAX && !memcmp(folded_a, folded_b, length_a);
}

/* "Anax imperator Leach, 1815": a scientific name with its authority, as the key has it. */
static uint32_t find_with_authority(const rush_key *key, rush_text name)
{
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        const rush_taxon *taxon = &key->taxa[t];
        size_t length = strlen(taxon->name);
        if (!taxon->authority || name.length <= length ||
            !same_name((rush_text){name.at, length}, rush_text_of(taxon->name)))
            continue;
        rush_text behind = {name.at + length, name.length - length};
        if (same_name(rush_text_trim(behind), rush_text_of(taxon->authority)))
            return t;
    }
    return RUSH_NONE;
}

static uint32_t find_taxon(const part_maker *maker, const rush_source *source, rush_text name)
{
    uint32_t taxon = rush_key_find_taxon(maker->key, name);
    if (taxon == RUSH_NONE)
        taxon = find_with_bracket(maker->key, name);
    if (taxon == RUSH_NONE)
        taxon = find_with_authority(maker->key, name);
    if (taxon != RUSH_NONE)
        return taxon;
    rush_nearest nearest;
    rush_suggest_init(maker->list, &nearest, name);
    offer_taxa(maker->key, &nearest);
    rush_diagnostic *made =
        rush_diagnose(maker->list, RUSH_UNKNOWN_TAXON, source, span_in(source, name),
                      "the key has no taxon '%.*s'", (int)name.length, name.at);
    rush_diagnose_nearest(maker->list, made, &nearest, "`rushlight about` lists its taxa");
    return RUSH_NONE;
}

static void mark_within(const rush_key *key, uint32_t at, bool *wanted)
{
    const rush_taxon *taxon = &key->taxa[at];
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        wanted[f] = true;
}

/* Cuts the next piece off at one of the bytes. */
static rush_text cut(rush_text *rest, const char *at)
{
    size_t length = 0;
    while (length < rest->length && !strchr(at, rest->at[length]))
        length++;
    rush_text piece = {rest->at, length};
    size_t gone = length + (length < rest->length);
    rest->at += gone;
    rest->length -= gone;
    return rush_text_trim(piece);
}

static void keep_wanted(part_maker *maker, const bool *wanted)
{
    for (uint32_t f = 0; f < maker->key->form_count; f++)
        maker->forms[f] &= wanted[f];
}

static void choose_within(part_maker *maker)
{
    rush_text rest = maker->request->within;
    rush_source source = {.name = "--within", .text = rest};
    bool *wanted = RUSH_ARRAY(&maker->arena, bool, maker->key->form_count);
    while (rest.length) {
        rush_text name = cut(&rest, ",");
        uint32_t taxon = name.length ? find_taxon(maker, &source, name) : RUSH_NONE;
        if (taxon != RUSH_NONE)
            mark_within(maker->key, taxon, wanted);
        else if (name.length)
            maker->good = false;
    }
    keep_wanted(maker, wanted);
}

/* Without a bullet or a number before it: "- ", "* ", "3. ", "3) ". */
static rush_text without_bullet(rush_text line)
{
    size_t digits = 0;
    while (digits < line.length && line.at[digits] >= '0' && line.at[digits] <= '9')
        digits++;
    const char *marks = digits ? ".)" : "-*";
    if (digits + 1 >= line.length || !strchr(marks, line.at[digits]) ||
        line.at[digits + 1] != ' ')
        return line;
    return rush_text_trim((rush_text){line.at + digits + 1, line.length - digits - 1});
}

/* Whether a list is text; what is none is told once. */
static bool is_text(part_maker *maker, const rush_source *source)
{
    rush_text text = source->text;
    size_t length;
    for (size_t at = 0; at < text.length; at += length) {
        int32_t c = rush_unicode_at(text, at, &length);
        if (c >= 0 && (c == '\r' || c == '\f' || !rush_unicode_hostile(c) || c == 0xfeff))
            continue;
        rush_span span = {(uint32_t)at, (uint32_t)length};
        uint32_t line = rush_source_place(source, span).line, start = source->lines[line - 1];
        rush_source so_far = {.name = source->name, /* no more of it is shown */
                              .text = {text.at + start, at + length - start},
                              .first_line = line};
        span.start -= start;
        rush_diagnostic *made =
            rush_diagnose(maker->list, c < 0 ? RUSH_BAD_UTF8 : RUSH_CONTROL_CHARACTER, &so_far,
                          span, "the list is not a text of names");
        rush_diagnose_help(maker->list, made, "write one name a line, in the encoding UTF-8");
        return false;
    }
    return true;
}

static void choose_listed(part_maker *maker)
{
    rush_text rest = maker->request->names;
    rush_source *source = &maker->list_source;
    bool *wanted = RUSH_ARRAY(&maker->arena, bool, maker->key->form_count);
    uint32_t names = 0;
    rush_source_init(source, &maker->arena, maker->request->list, rest);
    maker->good &= is_text(maker, source);
    while (rest.length && maker->good) {
        rush_text line = cut(&rest, "\n\r");
        rush_text name = without_bullet(cut(&line, "#"));
        uint32_t taxon = name.length ? find_taxon(maker, source, name) : RUSH_NONE;
        names += name.length > 0;
        if (taxon == RUSH_NONE)
            continue;
        mark_within(maker->key, taxon, wanted);
        maker->listed[taxon] = span_in(source, name);
    }
    if (!names && maker->good) {
        rush_diagnostic *made = rush_diagnose(maker->list, RUSH_EMPTY_PART, source,
                                              (rush_span){0, 0}, "the list names no taxon");
        rush_diagnose_help(maker->list, made, "write one name a line");
        maker->good = false;
    }
    keep_wanted(maker, wanted);
}

/* Listed, but for nothing: one that the other options leave out. */
static bool is_left_out(const part_maker *maker, uint32_t at)
{
    const rush_taxon *taxon = &maker->key->taxa[at];
    bool any = false;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        any |= maker->forms[f];
    return maker->listed[at].length && !any;
}

/* Somebody who lists a taxon expects it: all that are left out are told of at once. */
static void tell_left_out(part_maker *maker)
{
    enum { NAMED = 3 };
    rush_buffer names = {0};
    rush_span first = {0};
    uint32_t count = 0;
    for (uint32_t t = 0; t < maker->key->taxon_count; t++) {
        if (!is_left_out(maker, t))
            continue;
        if (!count || maker->listed[t].start < first.start)
            first = maker->listed[t];
        if (count++ < NAMED)
            rush_buffer_format(&names, "%s%s", count > 1 ? ", " : "", maker->key->taxa[t].name);
    }
    if (count > NAMED)
        rush_buffer_format(&names, " and %u more", count - NAMED);
    if (count && !names.failed) {
        rush_diagnostic *made =
            rush_diagnose(maker->list, RUSH_LEFT_OUT, &maker->list_source, first,
                          "the other options leave out %s", names.bytes);
        rush_diagnose_help(maker->list, made,
                           "ask for less in --where, --within or --occurrence");
    }
    rush_buffer_free(&names);
}

static bool read_occurrence(const part_maker *maker, rush_text text, double *least)
{
    const rush_key_header *header = &maker->key->header;
    rush_nearest nearest;
    rush_nearest_init(&nearest, text);
    for (uint32_t i = 0; i < header->occurrence_count; i++) {
        if (same_name(text, rush_text_of(header->occurrences[i].word))) {
            *least = header->occurrences[i].value;
            return true;
        }
        rush_nearest_offer(&nearest, header->occurrences[i].word);
    }
    if (rush_text_number(text, least))
        return true;
    rush_source source = {.name = "--occurrence", .text = text};
    rush_diagnostic *made = rush_diagnose(
        maker->list, RUSH_BAD_CHOICE, &source, (rush_span){0, (uint32_t)text.length},
        "'%.*s' is not an occurrence", (int)text.length, text.at);
    rush_diagnose_nearest(maker->list, made, &nearest,
                          "say a word of the key's `occurrence:` or a number");
    return false;
}

static void choose_occurring(part_maker *maker)
{
    double least;
    if (!read_occurrence(maker, rush_text_trim(maker->request->occurrence), &least)) {
        maker->good = false;
        return;
    }
    for (uint32_t f = 0; f < maker->key->form_count; f++)
        maker->forms[f] &= maker->key->taxa[maker->key->forms[f].taxon].occurrence >= least;
}

/* ---- answers ----------------------------------------------------------------------------------------- */

static bool has_bit(const uint64_t *set, uint32_t bit)
{
    return set[bit / 64] >> bit % 64 & 1;
}

static bool can_show_state(const rush_profile *profile, const rush_answer *answer,
                           uint32_t states)
{
    double share = 0;
    if (profile->kind == RUSH_PROFILE_STATE)
        return has_bit(answer->states, profile->state);
    for (uint32_t s = 0; s < states; s++)
        if (has_bit(answer->states, s))
            share += profile->weights[s];
    return share >= RUSH_SHARE_SHOWN;
}

static bool can_show(const rush_key *key, uint32_t form, const rush_answer *answer)
{
    const rush_column *column = &key->model.columns[answer->character];
    uint32_t profile = rush_column_profile(column, form);
    const rush_trait *trait;
    switch (rush_column_kind(column, profile)) {
    case RUSH_PROFILE_INAPPLICABLE:
        return answer->denied;
    case RUSH_PROFILE_MIXTURE:
        return true;
    case RUSH_PROFILE_NUMBER:
        trait = rush_key_trait(key, form, answer->character, NULL);
        return !trait || (trait->low <= answer->high && trait->high >= answer->low);
    default:
        return can_show_state(&column->profiles[profile], answer,
                              key->characters[answer->character].state_count);
    }
}

static void choose_of_taxon(part_maker *maker, const rush_answer *answer)
{
    bool *wanted = RUSH_ARRAY(&maker->arena, bool, maker->key->form_count);
    for (uint32_t i = 0; i < maker->key->leaf_count; i++)
        if (has_bit(answer->states, i))
            mark_within(maker->key, maker->key->leaves[i], wanted);
    keep_wanted(maker, wanted);
}

static void weigh_setting(part_maker *maker, const rush_answer *answer)
{
    const rush_column *column = &maker->key->model.columns[answer->character];
    double *suits = RUSH_ARRAY(&maker->arena, double, column->profile_count);
    rush_suitability(maker->key, answer, suits);
    for (uint32_t f = 0; f < maker->key->form_count; f++)
        maker->prior[f] *= suits[rush_column_profile(column, f)];
}

static void choose_where(part_maker *maker)
{
    const rush_key *key = maker->key;
    const rush_sighting *where = maker->request->where;
    for (uint32_t i = 0; i < rush_sighting_answer_count(where); i++) {
        const rush_answer *answer = rush_sighting_answer(where, i);
        if (answer->character == RUSH_TAXON_CHARACTER) {
            if (!answer->unsure)
                choose_of_taxon(maker, answer);
        } else if (key->characters[answer->character].setting) {
            weigh_setting(maker, answer);
        } else if (!answer->unsure) {
            for (uint32_t f = 0; f < key->form_count; f++)
                maker->forms[f] &= can_show(key, f, answer);
        }
    }
    /* So far the prior holds the suitabilities alone. */
    for (uint32_t f = 0; f < key->form_count; f++)
        maker->forms[f] &= maker->prior[f] >= RUSH_PART_SUITABLE;
}

/* ---- the whole --------------------------------------------------------------------------------------- */

static void say_piece(rush_buffer *words, const char *before, rush_text piece)
{
    rush_buffer_string(words, words->length ? "; " : "");
    rush_buffer_string(words, before);
    rush_buffer_safe(words, rush_text_trim(piece));
}

static const char *part_words(part_maker *maker)
{
    const rush_part_request *request = maker->request;
    rush_buffer *words = &maker->words;
    if (request->where)
        rush_sighting_write_seen(request->where, request->language, words);
    if (request->within.length)
        say_piece(words, "within ", request->within);
    if (request->occurrence.length)
        say_piece(words, "occurrence at least ", request->occurrence);
    if (request->list) {
        uint32_t count = 0;
        for (uint32_t t = 0; t < maker->key->taxon_count; t++)
            count += maker->listed[t].length > 0;
        rush_buffer_format(words, "%s%u listed tax%s", words->length ? "; " : "", count,
                           count == 1 ? "on" : "a");
    }
    if (words->failed)
        rush_arena_escape(&maker->arena);
    return words->length ? words->bytes : "";
}

static void settle(part_maker *maker)
{
    const rush_key *key = maker->key;
    rush_part *part = &maker->part;
    double sum = 0;
    uint32_t *leaves = RUSH_ARRAY(&maker->arena, uint32_t, key->leaf_count);
    for (uint32_t f = 0; f < key->form_count; f++) {
        const rush_form *form = &key->forms[f];
        maker->prior[f] *= maker->forms[f] ? key->taxa[form->taxon].occurrence * form->share : 0;
        sum += maker->prior[f];
        part->form_count += maker->forms[f];
        for (uint32_t t = form->taxon; maker->forms[f] && t != RUSH_NONE; t = key->taxa[t].parent)
            maker->taxa[t] = true;
    }
    for (uint32_t f = 0; f < key->form_count; f++)
        maker->prior[f] /= sum > 0 ? sum : 1;
    for (uint32_t i = 0; i < key->leaf_count; i++)
        if (maker->taxa[key->leaves[i]])
            leaves[part->leaf_count++] = key->leaves[i];
    part->key = key;
    part->whole = part->form_count == key->form_count;
    part->forms = maker->forms;
    part->taxa = maker->taxa;
    part->prior = maker->prior;
    part->leaves = leaves;
    part->words = part_words(maker);
}

static void choose(void *with)
{
    part_maker *maker = with;
    const rush_key *key = maker->key;
    const rush_part_request *request = maker->request;
    maker->forms = RUSH_ARRAY(&maker->arena, bool, key->form_count);
    maker->taxa = RUSH_ARRAY(&maker->arena, bool, key->taxon_count);
    maker->listed = RUSH_ARRAY(&maker->arena, rush_span, key->taxon_count);
    maker->prior = RUSH_ARRAY(&maker->arena, double, key->form_count);
    for (uint32_t f = 0; f < key->form_count; f++) {
        maker->forms[f] = true;
        maker->prior[f] = 1;
    }
    maker->good = true;
    if (request->where)
        choose_where(maker);
    if (request->within.length)
        choose_within(maker);
    if (request->occurrence.length)
        choose_occurring(maker);
    if (request->list)
        choose_listed(maker);
    settle(maker);
    if (maker->good && maker->part.form_count)
        tell_left_out(maker);
    if (!maker->good || maker->part.form_count)
        return;
    rush_source source = {.name = "the part", .text = rush_text_of(maker->part.words)};
    rush_diagnostic *made = rush_diagnose(maker->list, RUSH_EMPTY_PART, &source,
                                          (rush_span){0, (uint32_t)source.text.length},
                                          "no taxon of the key is left");
    rush_diagnose_help(maker->list, made,
                       "ask for less at once, or look at a taxon with `rushlight about`");
    maker->good = false;
}

const rush_part *rush_part_choose(const rush_key *key, const rush_part_request *request,
                                  rush_diagnostics *diagnostics)
{
    part_maker *maker = calloc(1, sizeof *maker);
    if (!maker) {
        rush_diagnose_out_of_memory(diagnostics);
        return NULL;
    }
    *maker = (part_maker){.key = key, .request = request, .list = diagnostics};
    if (!rush_arena_guard(&maker->arena, choose, maker)) {
        rush_diagnose_out_of_memory(diagnostics);
        maker->good = false;
    }
    maker->request = NULL;
    if (maker->good)
        return &maker->part;
    rush_part_free(&maker->part);
    return NULL;
}

void rush_part_free(const rush_part *part)
{
    part_maker *maker = (part_maker *)(uintptr_t)part; /* it stands first in its maker */
    if (maker) {
        rush_arena_free(&maker->arena);
        rush_buffer_free(&maker->words);
    }
    free(maker);
}
