#include "report/named.h"

#include <string.h>

#include "report/words.h"

/* ---- which name --------------------------------------------------------------------------------- */

const char *rush_named_by_key(const rush_key *key, const char *term)
{
    const rush_key_header *header = rush_key_about(key);
    for (uint32_t i = 0; i < header->record_count; i++)
        if (strcmp(header->record[2 * i], term) == 0)
            return header->record[2 * i + 1];
    return NULL;
}

static void name_group(rush_named *named)
{
    const rush_key *key = named->result->ranking->key;
    for (int r = RUSH_RANK_GENUS; r >= 0 && !named->name; r--) {
        named->rank = rush_taxon_rank_name((rush_taxon_rank)r);
        named->name = rush_named_by_key(key, named->rank);
    }
    if (!named->name)
        named->rank = NULL;
}

static void name_taxon(rush_named *named, uint32_t taxon)
{
    const rush_taxon *here = rush_key_taxon(named->result->ranking->key, taxon);
    named->taxon = taxon;
    named->name = here->name;
    named->rank = rush_taxon_rank_name(here->rank);
}

/* A taxon is never more probable than the one around it, so the search goes up; ties stay low. */
static void name_around(rush_named *named)
{
    const rush_ranking *ranking = named->result->ranking;
    uint32_t best = RUSH_NONE, at = ranking->candidates[0].taxon;
    while ((at = rush_key_taxon(ranking->key, at)->parent) != RUSH_NONE)
        if (best == RUSH_NONE || ranking->taxa[at] > ranking->taxa[best])
            best = at;
    if (best != RUSH_NONE && ranking->taxa[best] > 0.5)
        name_taxon(named, best);
}

rush_named rush_named_of(const rush_result *result)
{
    const rush_ranking *ranking = result->ranking;
    rush_named named = {.result = result, .taxon = RUSH_NONE};
    if (ranking->verdict.safe) {
        name_taxon(&named, ranking->verdict.taxon);
        return named;
    }
    name_group(&named);
    if (!named.name && !ranking->nothing_fits && !ranking->fit.poor)
        name_around(&named);
    return named;
}

uint32_t rush_named_at(const rush_named *named, rush_taxon_rank rank)
{
    uint32_t at = named->taxon;
    while (at != RUSH_NONE && rush_key_taxon(named->result->ranking->key, at)->rank != rank)
        at = rush_key_taxon(named->result->ranking->key, at)->parent;
    return at;
}

/* ---- how far it can be doubted ------------------------------------------------------------------ */

/* "cf." claims a likeness, so the leading taxon must be more probable than not for it. */
void rush_named_qualifier(const rush_named *named, rush_buffer *buffer)
{
    const rush_ranking *ranking = named->result->ranking;
    bool safe = ranking->verdict.safe;
    if (safe && rush_key_taxon(ranking->key, named->taxon)->rank >= RUSH_RANK_SPECIES)
        return;
    if (!ranking->nothing_fits && !ranking->fit.poor && ranking->candidates[0].probability > 0.5)
        rush_buffer_format(buffer, "cf. %s",
                           rush_key_taxon(ranking->key, ranking->candidates[0].taxon)->name);
    else if (safe)
        rush_buffer_format(buffer, "not safe below %s", named->rank);
    else
        rush_buffer_string(buffer, "nothing is safe");
}

/* ---- the grounds -------------------------------------------------------------------------------- */

static void write_verdict(const rush_named *named, rush_buffer *buffer)
{
    const rush_ranking *ranking = named->result->ranking;
    if (ranking->verdict.safe)
        rush_buffer_format(buffer, "Safe to %s, probability ", named->rank);
    else if (!named->name)
        rush_buffer_string(buffer, "Nothing is safe, so there is no name.");
    else if (named->taxon == RUSH_NONE)
        rush_buffer_string(buffer,
                           "Nothing is safe: the name is that of the group that the key is for.");
    else
        rush_buffer_string(buffer,
                           "Nothing is safe: the name is the best supported one around the "
                           "leading taxon, probability ");
    if (named->taxon == RUSH_NONE)
        return;
    rush_buffer_decimal(buffer, ranking->taxa[named->taxon], 6);
    rush_buffer_byte(buffer, '.');
}

static void write_candidate(const rush_ranking *ranking, uint32_t at, const char *role,
                            rush_buffer *buffer)
{
    rush_buffer_format(buffer, " %s: %s, ", role,
                       rush_key_taxon(ranking->key, ranking->candidates[at].taxon)->name);
    rush_buffer_decimal(buffer, ranking->candidates[at].probability, 6);
    rush_buffer_byte(buffer, '.');
}

static void write_doubts(const rush_named *named, rush_buffer *buffer)
{
    const rush_ranking *ranking = named->result->ranking;
    if (ranking->fit.against)
        rush_buffer_format(buffer, " Answers that sit badly with the leading form: %u of %u%s.",
                           ranking->fit.against, ranking->fit.of,
                           ranking->fit.poor ? ", a poor fit" : "");
    for (uint32_t i = 0; i < ranking->second_look_count; i++) {
        const rush_second_look *look = &ranking->second_looks[i];
        rush_buffer_string(buffer, i ? ", " : " Perhaps misread: ");
        rush_words_character(ranking->key,
                             rush_sighting_answer(ranking->sighting, look->answer)->character,
                             named->result->language, buffer);
        rush_buffer_byte(buffer, ' ');
        rush_buffer_decimal(buffer, look->misread, 6);
    }
    rush_buffer_string(buffer, ranking->second_look_count ? "." : "");
}

void rush_named_remarks(const rush_named *named, rush_buffer *buffer)
{
    const rush_ranking *ranking = named->result->ranking;
    write_verdict(named, buffer);
    if (ranking->nothing_fits)
        rush_buffer_string(buffer, " Nothing in the key fits these answers.");
    if (ranking->candidate_count && ranking->candidates[0].taxon != named->taxon)
        write_candidate(ranking, 0, "Leading", buffer);
    if (ranking->candidate_count > 1)
        write_candidate(ranking, 1, "Runner-up", buffer);
    write_doubts(named, buffer);
    rush_buffer_string(buffer, " Observation line: ");
    rush_sighting_write_seen(ranking->sighting, named->result->language, buffer);
}
