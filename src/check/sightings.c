#include <string.h>

#include "check/check.h"

typedef struct worked_check {
    const rush_checker *checker;
    const rush_key *key;
    rush_diagnostics *list, *reading;
    rush_sighting *sighting;
    rush_ranker *ranker;
} worked_check;

/* Where a piece of the sighting's text stands in the key's file: the text itself stands there, perhaps
 * behind a quotation mark, unless it is folded or escaped. */
static rush_span span_in_key(rush_mark mark, const char *saw, const rush_place *place)
{
    rush_text file = mark.source->text;
    size_t length = strlen(saw);
    for (uint32_t skip = 0; skip <= 1; skip++) {
        uint32_t start = mark.span.start + skip;
        if (start + length <= file.length && memcmp(file.at + start, saw, length) == 0)
            return (rush_span){start + (uint32_t)place->offset, (uint32_t)place->length};
    }
    return mark.span;
}

static bool as_expected(const rush_ranking *ranking, const rush_worked_sighting *worked)
{
    const rush_verdict *verdict = &ranking->verdict;
    if (worked->expect == RUSH_NONE)
        return !verdict->safe;
    if (!verdict->safe || verdict->taxon != worked->expect)
        return false;
    if (worked->sex != RUSH_SEX_ANY && verdict->sex != worked->sex)
        return false;
    return !worked->form || (verdict->form != RUSH_NONE &&
                             strcmp(ranking->key->forms[verdict->form].name, worked->form) == 0);
}

static void write_given(const rush_ranking *ranking, rush_buffer *buffer)
{
    const rush_key *key = ranking->key;
    const rush_verdict *verdict = &ranking->verdict;
    if (ranking->nothing_fits) {
        rush_buffer_string(buffer, "nothing");
        return;
    }
    rush_buffer_format(buffer, "%s'%s'", verdict->safe ? "" : "nothing safe, leading ",
                       key->taxa[verdict->taxon].name);
    if (verdict->sex != RUSH_SEX_ANY)
        rush_buffer_format(buffer, ", %s", rush_sex_name(verdict->sex));
    if (verdict->form != RUSH_NONE)
        rush_buffer_format(buffer, ", form %s", key->forms[verdict->form].name);
    rush_buffer_string(buffer, ", ");
    rush_buffer_decimal(buffer, verdict->probability * 100, 1);
    rush_buffer_string(buffer, " %");
}

/* The answers that speak most against what was expected, at least half a bit each. */
static void write_blame(worked_check *with, const rush_ranking *ranking, uint32_t expected,
                        rush_buffer *buffer)
{
    uint32_t leading = ranking->candidates[0].form,
             wanted = rush_likeliest_form(ranking, expected);
    bool first = true;
    for (uint32_t i = 0; leading != wanted && i < rush_sighting_answer_count(with->sighting);
         i++) {
        double bits = rush_answer_bits(with->ranker, i, leading, wanted);
        if (bits < 0.5)
            continue;
        rush_buffer_string(buffer, first ? "these answers speak against it: " : ", ");
        rush_character_name(with->key, rush_sighting_answer(with->sighting, i)->character, 0,
                            buffer);
        rush_buffer_string(buffer, " (");
        rush_buffer_decimal(buffer, bits, 1);
        rush_buffer_string(buffer, " bit)");
        first = false;
    }
    if (first)
        rush_buffer_string(buffer,
                           "no single answer is to blame: add a mark that tells it from the "
                           "others, or expect what is honestly safe");
}

/* ---- what follows from other faults ------------------------------------------------------------------ */

/* Whether something that a fault has lost bears on these answers. */
static bool bears_on(const worked_check *with, uint32_t taxon)
{
    const rush_key *key = with->key;
    const rush_taxon *at = &key->taxa[taxon];
    bool lost = key->taxon_lost[taxon];
    for (uint32_t i = at->first_leaf; i < at->first_leaf + at->leaf_count; i++)
        lost |= key->taxon_lost[key->leaves[i]];
    for (uint32_t i = 0; i < rush_sighting_answer_count(with->sighting); i++)
        for (uint32_t f = at->first_form; f < at->first_form + at->form_count && !lost; f++) {
            const rush_trait *trait =
                rush_key_trait(key, f, rush_sighting_answer(with->sighting, i)->character, NULL);
            lost = trait && trait->lost;
        }
    return lost;
}

/* In a key with faults: whether one of them may be why a worked sighting fails. It is not when what was
 * expected is whole and would still not be safe if all rivals that have lost something were out of it. */
static bool may_follow(const worked_check *with, const rush_ranking *ranking, uint32_t expected)
{
    const rush_key *key = with->key;
    if (!key->faulty)
        return false;
    for (uint32_t i = 0; i < rush_sighting_answer_count(with->sighting); i++)
        if (key->character_lost[rush_sighting_answer(with->sighting, i)->character])
            return true;
    if (key->occurrences_lost || (expected != RUSH_NONE && bears_on(with, expected)))
        return true;
    if (key->incomplete && expected != RUSH_NONE &&
        (rush_key_within(key, ranking->verdict.taxon, expected) ||
         rush_key_within(key, expected, ranking->verdict.taxon)))
        return true;
    double lost = 0;
    for (uint32_t i = 0; i < ranking->candidate_count; i++)
        if (bears_on(with, ranking->candidates[i].taxon))
            lost += ranking->candidates[i].probability;
    if (lost <= 0)
        return false;
    bool short_of =
        expected != RUSH_NONE && ranking->taxa[expected] < RUSH_SAFE_DEFAULT * (1 - lost);
    return !short_of;
}

/* Whether a text stands in a line that is not what its author meant. */
static bool stands_in_doubt(const rush_key *key, rush_text text)
{
    for (const rush_key_file *file = key->files; file && text.length; file = file->next)
        for (uint32_t d = 0; d < file->source.doubtful_count; d++) {
            rush_span line = file->source.doubtful[d];
            const char *at = file->source.text.at + line.start;
            for (uint32_t from = 0; from + text.length <= line.length; from++)
                if (memcmp(at + from, text.at, text.length) == 0)
                    return true;
        }
    return false;
}

/* The character of the answer that stands at `offset` of an observation line; RUSH_NONE: it names none. */
static uint32_t character_at(const rush_key *key, const char *saw, size_t offset)
{
    size_t from = offset, colon = offset;
    while (from && saw[from - 1] != ';')
        from--;
    for (size_t i = from; i < offset; i++)
        colon = saw[i] == ':' ? i : colon;
    rush_text name = rush_text_trim((rush_text){saw + from, colon - from});
    return colon < offset ? rush_key_find_character(key, name) : RUSH_NONE;
}

/* The same of one that cannot be read: the name that is not known may stand where it was lost. */
static bool name_lost(const worked_check *with, const char *saw, const rush_diagnostic *fault)
{
    static const rush_slug of_names[] = {RUSH_UNKNOWN_CHARACTER, RUSH_UNKNOWN_STATE,
                                         RUSH_UNKNOWN_TAXON, RUSH_UNKNOWN_ANSWER,
                                         RUSH_WHICH_CHARACTER};
    const rush_key *key = with->key;
    bool named = false, lost = key->incomplete;
    for (size_t i = 0; i < sizeof of_names / sizeof *of_names; i++)
        named |= fault->slug == of_names[i];
    if (!named || !key->faulty)
        return false;
    uint32_t of = character_at(key, saw, fault->place.offset);
    for (uint32_t c = 0; c < key->character_count; c++)
        lost |= key->character_lost[c] && (of == RUSH_NONE || of == c);
    return lost ||
           stands_in_doubt(key, (rush_text){saw + fault->place.offset, fault->place.length});
}

static void complain_unread(worked_check *with, rush_mark mark, const char *saw)
{
    for (size_t i = 0; i < rush_diagnostics_count(with->reading); i++) {
        const rush_diagnostic *fault = rush_diagnostics_at(with->reading, i);
        if (name_lost(with, saw, fault))
            continue;
        rush_diagnostic *made =
            rush_diagnose(with->list, RUSH_SIGHTING_UNREAD, mark.source,
                          span_in_key(mark, saw, &fault->place), "%s", fault->message);
        if (fault->help)
            rush_diagnose_help(with->list, made, "%s", fault->help);
    }
}

/* ---- one by one ------------------------------------------------------------------------------------- */

static void check_one(worked_check *with, uint32_t at)
{
    const rush_worked_sighting *worked = &with->key->sightings[at];
    rush_mark mark = with->key->sighting_marks[at];
    rush_line line = {rush_text_of(worked->saw), "sighting", 1, RUSH_NONE, NULL};
    rush_diagnostics_clear(with->reading);
    if (!rush_sighting_read(with->sighting, &line, with->reading)) {
        if (rush_diagnostics_out_of_memory(with->reading))
            rush_diagnose_out_of_memory(with->list);
        else
            complain_unread(with, mark, worked->saw);
        return;
    }
    const rush_ranking *ranking = rush_rank(with->ranker, with->sighting, NULL);
    if (as_expected(ranking, worked) || may_follow(with, ranking, worked->expect))
        return;
    rush_buffer given = {0}, blame = {0};
    write_given(ranking, &given);
    if (given.failed) {
        rush_diagnose_out_of_memory(with->list);
        rush_buffer_free(&given);
        return;
    }
    const char *wanted =
        worked->expect == RUSH_NONE ? "nothing safe" : with->key->taxa[worked->expect].name;
    const char *quote = worked->expect == RUSH_NONE ? "" : "'";
    rush_diagnostic *made = rush_diagnose(
        with->list, RUSH_SIGHTING_FAILS, mark.source, mark.span,
        "expected %s%s%s%s%s%s%s, got %s", quote, wanted, quote,
        worked->sex == RUSH_SEX_ANY ? "" : ", ",
        worked->sex == RUSH_SEX_ANY ? "" : rush_sex_name(worked->sex),
        worked->form ? ", form " : "", worked->form ? worked->form : "", given.bytes);
    if (ranking->verdict.safe && ranking->verdict.taxon == worked->expect) {
        rush_diagnose_help(
            with->list, made,
            "the taxon is right, but no answer tells the sex or the form: leave it out, "
            "or add a mark that does");
    } else if (worked->expect != RUSH_NONE && !ranking->nothing_fits) {
        write_blame(with, ranking, worked->expect, &blame);
        rush_diagnose_help_from(with->list, made, &blame);
    }
    rush_buffer_free(&given);
}

void rush_check_sightings(rush_checker *checker)
{
    const rush_key *key = checker->key;
    worked_check with = {checker,
                         key,
                         checker->list,
                         rush_diagnostics_new(),
                         rush_sighting_new(key),
                         rush_ranker_new(key)};
    if (with.reading && with.sighting && with.ranker)
        for (uint32_t i = 0; i < key->sighting_count; i++)
            check_one(&with, i);
    else
        rush_diagnose_out_of_memory(checker->list);
    rush_diagnostics_free(with.reading);
    rush_sighting_free(with.sighting);
    rush_ranker_free(with.ranker);
}
