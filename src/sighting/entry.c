#include "sighting/entry.h"

#include <string.h>

#include "base/unicode.h"
#include "key/month.h"
#include "sighting/answer.h"
#include "sighting/known.h"

rush_diagnostic *rush_entry_complain(rush_entry_reader *reader, rush_slug slug, rush_span span,
                                     const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    rush_diagnostic *made =
        rush_vdiagnose(reader->list, slug, &reader->source, span, format, arguments);
    va_end(arguments);
    reader->good = false;
    return made;
}

/* ---- the text as a whole ------------------------------------------------------------------------ */

static const char lone_returns[] =
    "its lines end in a carriage return alone: save the text with line feeds";

/* What a control character that stands in a text comes from. */
static const char *help_with_control(int32_t c)
{
    return c == '\r'   ? lone_returns
           : c == '\0' ? "the text may be in UTF-16: save it in the encoding UTF-8"
                       : "delete it: it cannot be shown";
}

static bool clean(rush_entry_reader *reader)
{
    rush_text text = reader->source.text;
    if (text.length > RUSH_LINE_MAX) {
        reader->fault = RUSH_LINE_MAX;
        rush_diagnostic *made = rush_entry_complain(
            reader, RUSH_LINE_TOO_LONG, (rush_span){RUSH_LINE_MAX, 0}, "the line is too long");
        if (memchr(text.at, '\r', text.length) && !memchr(text.at, '\n', text.length))
            rush_diagnose_help(reader->list, made, "%s", lone_returns);
        else
            rush_diagnose_help(reader->list, made, "a line may have %d bytes", RUSH_LINE_MAX);
        return false;
    }
    size_t length = 0, at = rush_unicode_pass_plain(text, 0);
    reader->plain = at == text.length;
    for (; at < text.length; at = rush_unicode_pass_plain(text, at + length)) {
        int32_t c = rush_unicode_at(text, at, &length);
        rush_span span = {(uint32_t)at, (uint32_t)length};
        reader->fault = at;
        if (c < 0) {
            rush_diagnostic *made =
                rush_entry_complain(reader, RUSH_BAD_UTF8, span, "bytes that are not UTF-8 text");
            rush_diagnose_help(reader->list, made, "save the text in the encoding UTF-8");
            return false;
        }
        if (c == '\r' && at + 1 < text.length && text.at[at + 1] == '\n')
            continue;
        if (c != '\t' && rush_unicode_hostile(c)) {
            rush_diagnostic *made =
                rush_entry_complain(reader, RUSH_CONTROL_CHARACTER, span,
                                    "the control character U+%04X", (unsigned)c);
            rush_diagnose_help(reader->list, made, "%s", help_with_control(c));
            return false;
        }
    }
    return true;
}

/* Where each line of a row begins, for its places. */
static void mark_lines(rush_entry_reader *reader)
{
    rush_buffer *starts = &reader->sighting->line_starts;
    rush_text text = reader->source.text;
    uint32_t start = 0, count = 0;
    rush_buffer_clear(starts);
    for (const char *at = text.at; at; count++) {
        rush_buffer_add(starts, (rush_text){(const char *)&start, sizeof start});
        at = memchr(text.at + start, '\n', text.length - start);
        start = at ? (uint32_t)(at + 1 - text.at) : 0;
    }
    if (starts->failed)
        return;
    reader->source.lines = (const uint32_t *)(const void *)starts->bytes;
    reader->source.line_count = count;
}

bool rush_entries_begin(rush_entry_reader *reader, rush_sighting *sighting, const rush_line *line,
                        rush_diagnostics *list)
{
    rush_text text = line->text;
    if (text.length && text.at[text.length - 1] == '\r')
        text.length--;
    *reader = (rush_entry_reader){
        .sighting = sighting,
        .line = line,
        .source = {.name = line->file, .text = text, .first_line = line->number},
        .list = list,
        .good = true};
    rush_sighting_clear(sighting);
    if (text.length && memchr(text.at, '\n', text.length))
        mark_lines(reader);
    return clean(reader);
}

/* ---- answers ------------------------------------------------------------------------------------ */

static rush_answer_reader answer_reader(rush_entry_reader *reader, const rush_entry *entry,
                                        bool quiet)
{
    return (rush_answer_reader){reader->sighting->key, quiet ? NULL : reader->list,
                                &reader->source, entry->value_span, reader->sighting->scratch};
}

static uint32_t column_of(const rush_entry_reader *reader, rush_span span)
{
    if (reader->plain)
        return span.start + 1;
    return reader->source.lines
               ? rush_source_place(&reader->source, span).column
               : (uint32_t)rush_unicode_count((rush_text){reader->source.text.at, span.start}) +
                     1;
}

static void take_answer(rush_entry_reader *reader, const rush_entry *entry, uint32_t character)
{
    rush_sighting *sighting = reader->sighting;
    rush_span span = entry->name.length ? entry->name_span : entry->value_span;
    rush_answer *answer = rush_sighting_add(sighting, character);
    if (!answer) {
        rush_diagnostic *made =
            rush_entry_complain(reader, RUSH_REPEATED_ANSWER, span, "'%s' is answered twice",
                                sighting->key->characters[character].id);
        rush_diagnose_help(reader->list, made, "for one of two states write `a or b`");
        return;
    }
    rush_answer_reader how = answer_reader(reader, entry, false);
    size_t told = rush_diagnostics_count(reader->list);
    if (!rush_answer_read(&how, entry->value, answer, rush_sighting_set(sighting, character))) {
        reader->good = false;
        return;
    }
    bool warned = rush_diagnostics_count(reader->list) > told; /* and is to be again */
    if (!warned && rush_set_words(sighting->key, character) == 1)
        rush_known_learn(sighting->known, entry->said, answer, answer->states[0]);
    answer->column = column_of(reader, span);
    rush_sighting_keep(sighting, &sighting->given[sighting->count - 1], entry->value);
}

bool rush_entry_take_known(rush_entry_reader *reader, const rush_entry *entry)
{
    rush_sighting *sighting = reader->sighting;
    uint64_t states;
    const rush_answer *known = rush_known_find(sighting->known, entry->said, &states);
    rush_answer *answer = known ? rush_sighting_add(sighting, known->character) : NULL;
    if (!answer)
        return false;
    uint64_t *set = rush_sighting_set(sighting, known->character);
    *answer = *known;
    answer->states = set;
    *set = states;
    answer->column = column_of(reader, entry->name_span);
    rush_sighting_keep(sighting, &sighting->given[sighting->count - 1], entry->value);
    return true;
}

static bool would_read(rush_entry_reader *reader, const rush_entry *entry, uint32_t character)
{
    rush_answer answer = {.character = character};
    rush_answer_reader how = answer_reader(reader, entry, true);
    memset(how.scratch, 0, rush_set_words(how.key, character) * sizeof *how.scratch);
    return rush_answer_read(&how, entry->value, &answer, how.scratch);
}

static void refuse_choice(rush_entry_reader *reader, const rush_entry *entry)
{
    const rush_key *key = reader->sighting->key;
    rush_buffer names = {0};
    for (uint32_t c = 0; c < key->character_count; c++)
        if (would_read(reader, entry, c)) {
            rush_buffer_string(&names, names.length ? ", " : "name one: ");
            rush_character_name(key, c, 0, &names);
        }
    rush_diagnostic *made = rush_entry_complain(reader, RUSH_WHICH_CHARACTER, entry->value_span,
                                                "'%.*s' can answer several characters",
                                                (int)entry->value.length, entry->value.at);
    rush_diagnose_help_from(reader->list, made, &names);
}

static void offer_all_states(const rush_key *key, rush_nearest *nearest)
{
    for (uint32_t c = 0; c < key->character_count; c++)
        for (uint32_t s = 0; s < key->characters[c].state_count; s++) {
            const rush_state *state = &key->characters[c].states[s];
            rush_nearest_offer(nearest, state->id);
            for (uint32_t l = 0; state->label.in && l < key->header.language_count; l++)
                rush_nearest_offer(nearest, state->label.in[l]);
            for (uint32_t a = 0; a < state->also.count; a++)
                rush_nearest_offer(nearest, state->also.names[a]);
        }
}

/* The character that a bare answer goes to: the one that is asked for, else the only one that knows it,
 * else the one marked `bare`. RUSH_NONE: none, or several, which `several` says. */
static uint32_t bare_character(rush_entry_reader *reader, const rush_entry *entry, bool *several)
{
    const rush_key *key = reader->sighting->key;
    uint32_t asked = reader->line->asked, found = RUSH_NONE, knowing = 0, bare = RUSH_NONE;
    uint32_t bares = 0;
    *several = false;
    if (asked != RUSH_NONE && would_read(reader, entry, asked))
        return asked;
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!would_read(reader, entry, c))
            continue;
        found = c;
        knowing++;
        if (key->characters[c].bare) {
            bare = c;
            bares++;
        }
    }
    *several = knowing > 1 && bares != 1;
    return knowing == 1 ? found : bares == 1 ? bare : RUSH_NONE;
}

/* "red damselfly": two bare answers of two characters, when it can be cut in one way alone. */
static bool take_two(rush_entry_reader *reader, const rush_entry *entry)
{
    enum { TWO_MAX = 80 }; /* bytes; nobody says more in two answers */
    rush_entry halves[2];
    uint32_t characters[2] = {RUSH_NONE, RUSH_NONE}, ways = 0;
    if (entry->value.length > TWO_MAX)
        return false;
    for (size_t i = 1; i + 1 < entry->value.length; i++) {
        if (entry->value.at[i] != ' ')
            continue;
        bool several;
        rush_entry cut[2] = {*entry, *entry};
        cut[0].value = rush_text_trim((rush_text){entry->value.at, i});
        cut[1].value =
            rush_text_trim((rush_text){entry->value.at + i + 1, entry->value.length - i - 1});
        uint32_t first = bare_character(reader, &cut[0], &several);
        uint32_t second =
            first == RUSH_NONE ? RUSH_NONE : bare_character(reader, &cut[1], &several);
        if (second == RUSH_NONE || second == first)
            continue;
        ways++;
        for (int h = 0; h < 2; h++)
            halves[h] = cut[h];
        characters[0] = first;
        characters[1] = second;
    }
    for (int h = 0; ways == 1 && h < 2; h++)
        take_answer(reader, &halves[h], characters[h]);
    return ways == 1;
}

static void refuse_bare(rush_entry_reader *reader, const rush_entry *entry)
{
    rush_nearest nearest;
    rush_nearest_init(&nearest, entry->value);
    offer_all_states(reader->sighting->key, &nearest);
    rush_diagnostic *made = rush_entry_complain(reader, RUSH_UNKNOWN_ANSWER, entry->value_span,
                                                "no character knows '%.*s'",
                                                (int)entry->value.length, entry->value.at);
    rush_diagnose_nearest(reader->list, made, &nearest,
                          "write `character: answer`; `rushlight about` lists them");
}

static void take_bare(rush_entry_reader *reader, const rush_entry *entry)
{
    bool several;
    uint32_t character = bare_character(reader, entry, &several);
    if (character != RUSH_NONE)
        take_answer(reader, entry, character);
    else if (several)
        refuse_choice(reader, entry);
    else if (!take_two(reader, entry))
        refuse_bare(reader, entry);
}

void rush_entry_refuse_name(rush_entry_reader *reader, const rush_entry *entry)
{
    const rush_key *key = reader->sighting->key;
    rush_nearest nearest;
    rush_suggest_init(reader->list, &nearest, entry->name);
    for (uint32_t c = 0; c < key->character_count; c++) {
        const rush_character *character = &key->characters[c];
        rush_nearest_offer(&nearest, character->id);
        for (uint32_t l = 0; character->label.in && l < key->header.language_count; l++)
            rush_nearest_offer(&nearest, character->label.in[l]);
        for (uint32_t a = 0; a < character->also.count; a++)
            rush_nearest_offer(&nearest, character->also.names[a]);
    }
    rush_field_offer(&nearest);
    rush_diagnostic *made = rush_entry_complain(reader, RUSH_UNKNOWN_CHARACTER, entry->name_span,
                                                "the key has no character '%.*s'",
                                                (int)entry->name.length, entry->name.at);
    rush_diagnose_nearest(reader->list, made, &nearest,
                          reader->in_line
                              ? "`rushlight about` lists the characters; a ':' inside an "
                                "answer needs quotation marks around it"
                              : "`rushlight about` lists the characters");
}

/* Of the characters that share a name, the first that knows the answer. */
static uint32_t named_character(rush_entry_reader *reader, const rush_entry *entry,
                                const rush_target *target)
{
    for (uint32_t i = 0; target->character_count > 1 && i < target->character_count; i++)
        if (would_read(reader, entry, target->characters[i]))
            return target->characters[i];
    return target->characters[0];
}

bool rush_target_denies(const rush_entry_reader *reader, const rush_target *target,
                        rush_text answer, rush_text *rest)
{
    rush_text denied;
    if (!rush_text_behind(answer, "not", &denied))
        return false;
    for (uint32_t i = 0; i < target->character_count; i++)
        if (rush_answer_is_name(reader->sighting->key, target->characters[i], answer,
                                reader->sighting->scratch))
            return false;
    *rest = denied;
    return true;
}

void rush_entry_take(rush_entry_reader *reader, const rush_entry *entry,
                     const rush_target *target)
{
    bool bare = !entry->name.length;
    if (entry->broken)
        return;
    if (!bare && target->kind == RUSH_TARGET_UNKNOWN)
        rush_entry_refuse_name(reader, entry);
    else if (rush_answer_is_empty(entry->value))
        return;
    else if (bare)
        take_bare(reader, entry);
    else if (target->kind == RUSH_TARGET_CHARACTER)
        take_answer(reader, entry, named_character(reader, entry, target));
    else
        rush_field_take(reader, entry, target);
}

/* ---- what follows from elsewhere ----------------------------------------------------------------- */

/* `July`, `November-February`, `all year`: of months that follow one another. */
static void write_months(unsigned months, rush_buffer *text)
{
    const unsigned all = (1u << RUSH_MONTHS) - 1;
    if (months == all) {
        rush_buffer_string(text, "all year");
        return;
    }
    unsigned before = (months << 1 | months >> (RUSH_MONTHS - 1)) & all;
    unsigned behind = months >> 1 | (months << (RUSH_MONTHS - 1) & all);
    unsigned first = (unsigned)__builtin_ctz(months & ~before);
    unsigned last = (unsigned)__builtin_ctz(months & ~behind);
    rush_buffer_string(text, rush_month_name(first));
    if (last != first)
        rush_buffer_format(text, "-%s", rush_month_name(last));
}

static void warn_of_month(rush_entry_reader *reader, unsigned months)
{
    rush_buffer written = {0};
    write_months(months, &written);
    if (!written.failed) {
        rush_diagnostic *made = rush_diagnose(
            reader->list, RUSH_OTHER_MONTH, &reader->source, reader->date,
            "the date is of %s, and another month is given beside it", written.bytes);
        rush_diagnose_help(reader->list, made, "the month counts: mend the one that is wrong");
    }
    rush_buffer_free(&written);
}

static void answer_month(rush_sighting *sighting, uint32_t character, rush_answer *answer,
                         unsigned months)
{
    rush_buffer written = {0};
    write_months(months, &written);
    answer->implied = true;
    answer->state_count = (uint32_t)__builtin_popcount(months);
    *rush_sighting_set(sighting, character) = months;
    rush_sighting_keep(sighting, &sighting->given[sighting->count - 1],
                       (rush_text){written.bytes, written.length});
    sighting->texts.failed |= written.failed;
    rush_buffer_free(&written);
}

/* The date gives the month, unless there is one, which should then be of the date. */
static void add_month_of_date(rush_entry_reader *reader)
{
    rush_sighting *sighting = reader->sighting;
    const rush_key *key = sighting->key;
    rush_text date = rush_sighting_field(sighting, RUSH_RECORD_DATE);
    unsigned months;
    if (!date.length || !rush_date_read(date, &months))
        return;
    uint32_t c = 0;
    while (c < key->character_count && key->characters[c].kind != RUSH_KIND_MONTHS)
        c++;
    if (c == key->character_count)
        return;
    rush_answer *answer = rush_sighting_add(sighting, c);
    if (answer)
        answer_month(sighting, c, answer, months);
    else if (!(rush_sighting_find(sighting, c)->states[0] & months))
        warn_of_month(reader, months);
}

/* Answers and fields of `set` for what the line does not say. */
static void add_set(rush_sighting *sighting, const rush_sighting *set)
{
    for (uint32_t i = 0; i < set->count; i++) {
        const rush_answer *from = &set->answers[i];
        rush_answer *to = rush_sighting_add(sighting, from->character);
        if (!to)
            continue;
        uint64_t *states = rush_sighting_set(sighting, from->character);
        memcpy(states, from->states,
               rush_set_words(sighting->key, from->character) * sizeof *states);
        *to = *from;
        to->states = states;
        to->column = 0;
        rush_sighting_keep(sighting, &sighting->given[sighting->count - 1], from->given);
    }
    for (int f = 0; f < RUSH_RECORD_FIELD_COUNT; f++) {
        rush_text text = rush_sighting_field(set, (rush_record_field)f);
        if (text.length && !sighting->fields[f].length)
            rush_sighting_keep(sighting, &sighting->fields[f], text);
    }
}
bool rush_entries_end(rush_entry_reader *reader)
{
    rush_sighting *sighting = reader->sighting;
    rush_field_join_degrees(reader);
    if (reader->good) {
        add_month_of_date(reader);
        if (reader->line->set)
            add_set(sighting, reader->line->set);
    }
    if (sighting->texts.failed || sighting->unquoted.failed || sighting->line_starts.failed) {
        rush_diagnose_out_of_memory(reader->list);
        reader->good = false;
    }
    rush_sighting_settle(sighting);
    return reader->good;
}

void rush_line_diagnose(const rush_line *line, rush_slug slug, const char *message,
                        const char *help, rush_diagnostics *diagnostics)
{
    rush_text text = line->text;
    if (text.length && text.at[text.length - 1] == '\r')
        text.length--;
    const char *stop = text.length ? memchr(text.at, '\n', text.length) : NULL;
    if (stop)
        text.length = (size_t)(stop - text.at);
    rush_source source = {.name = line->file, .text = text, .first_line = line->number};
    rush_diagnostic *made = rush_diagnose(diagnostics, slug, &source,
                                          (rush_span){0, (uint32_t)text.length}, "%s", message);
    rush_diagnose_help(diagnostics, made, "%s", help);
}
