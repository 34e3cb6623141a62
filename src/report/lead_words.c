#include "report/lead_words.h"

#include <math.h>
#include <string.h>

#include "report/words.h"
#include "rushlight/sighting.h"

static void write_number(const rush_character *character, const rush_lead_mark *mark,
                         rush_buffer *buffer)
{
    if (!isinf(mark->low))
        rush_buffer_number(buffer, mark->low, 1);
    if (!isinf(mark->low) && !isinf(mark->high))
        rush_buffer_string(buffer, " to ");
    else if (isinf(mark->low))
        rush_buffer_string(buffer, "up to ");
    if (!isinf(mark->high))
        rush_buffer_number(buffer, mark->high, 1);
    if (character->unit[0])
        rush_buffer_format(buffer, " %s", character->unit);
    if (isinf(mark->high))
        rush_buffer_string(buffer, " or more");
}

/* A list of as many states is hard to read, where what the other leads list is short. */
enum { MANY_STATES = 4, FEW_STATES = 2 };

/* What the other leads of a couplet list at its own mark: how many states. */
static uint32_t states_of_others(const rush_couplet *couplet, uint32_t lead)
{
    uint32_t count = 0;
    for (uint32_t l = 0; l < couplet->lead_count; l++)
        count += l == lead ? 0 : couplet->leads[l].marks[0].state_count;
    return count;
}

/* "none", "no marks", "not hairy", "nothing": other than these is hard to follow. */
static bool says_no(const rush_teller *teller, uint32_t character, uint32_t state)
{
    static const char *const beginnings[] = {"no ", "none", "not ", "nothing"};
    rush_buffer name = {0};
    bool says = false;
    rush_state_name(teller->key, character, state, teller->language, &name);
    for (size_t i = 0; name.bytes && i < sizeof beginnings / sizeof *beginnings; i++)
        says |= strncmp(name.bytes, beginnings[i], strlen(beginnings[i])) == 0;
    teller->words->failed |= name.failed;
    rush_buffer_free(&name);
    return says;
}

static bool others_say_no(const rush_teller *teller, const rush_couplet *couplet, uint32_t lead)
{
    for (uint32_t l = 0; l < couplet->lead_count; l++) {
        const rush_lead_mark *mark = &couplet->leads[l].marks[0];
        for (uint32_t i = 0; l != lead && i < mark->state_count; i++)
            if (says_no(teller, mark->character, mark->states[i]))
                return true;
    }
    return false;
}

static void write_others(rush_teller *teller, const rush_couplet *couplet, uint32_t lead)
{
    const char *before = "other than ";
    for (uint32_t l = 0; l < couplet->lead_count; l++) {
        const rush_lead_mark *mark = &couplet->leads[l].marks[0];
        for (uint32_t i = 0; l != lead && i < mark->state_count; i++, before = " or ") {
            rush_buffer_string(teller->words, before);
            rush_tell_state(teller, mark->character, mark->states[i]);
        }
    }
}

static void write_mark(rush_teller *teller, const rush_lead_mark *mark)
{
    const rush_character *character = rush_key_character(teller->key, mark->character);
    if (mark->character != RUSH_SEX_CHARACTER) {
        rush_tell_character(teller, mark->character);
        rush_buffer_string(teller->words, ": ");
    }
    if (character->kind == RUSH_KIND_NUMBER)
        write_number(character, mark, teller->words);
    for (uint32_t i = 0; i < mark->state_count; i++) {
        if (i)
            rush_buffer_string(teller->words, i + 1 < mark->state_count ? ", " : " or ");
        rush_tell_state(teller, mark->character, mark->states[i]);
    }
}

/* What decides. Where one lead is none of the others, what no lead lists has a place too. */
static void write_deciding(rush_teller *teller, const rush_couplet *couplet, uint32_t lead)
{
    const rush_lead_mark *mark = &couplet->leads[lead].marks[0];
    uint32_t others = states_of_others(couplet, lead);
    if (mark->state_count < MANY_STATES || others > FEW_STATES ||
        others_say_no(teller, couplet, lead)) {
        write_mark(teller, mark);
        return;
    }
    rush_tell_character(teller, mark->character);
    rush_buffer_string(teller->words, ": ");
    write_others(teller, couplet, lead);
}

void rush_words_lead(rush_teller *teller, const rush_couplet *couplet, uint32_t at)
{
    const rush_lead *lead = &couplet->leads[at];
    for (uint32_t i = 0; i < lead->mark_count; i++) {
        rush_buffer_string(teller->words, i ? "; " : "");
        if (i)
            write_mark(teller, &lead->marks[i]);
        else
            write_deciding(teller, couplet, at);
        if (rush_key_character(teller->key, lead->marks[i].character)->reach == RUSH_REACH_HAND)
            rush_buffer_string(teller->words, " (in the hand)");
    }
}

/* ---- taxa ------------------------------------------------------------------------------------------------ */

static bool comes(const rush_lead_taxon *taxon, uint32_t form)
{
    for (uint32_t i = 0; i < taxon->form_count; i++)
        if (taxon->forms[i] == form)
            return true;
    return false;
}

/* One sex: its word, and the names of those that come when not all of it do. */
static void write_sex(const rush_part *part, const rush_lead_taxon *taxon, rush_sex sex,
                      rush_buffer *buffer)
{
    const rush_key *key = part->key;
    const rush_taxon *whole = rush_key_taxon(key, taxon->taxon);
    uint32_t here = 0, all = 0;
    for (uint32_t f = whole->first_form; f < whole->first_form + whole->form_count; f++)
        if (part->forms[f] && rush_key_form(key, f)->sex == sex) {
            all++;
            here += comes(taxon, f);
        }
    if (!here)
        return;
    rush_buffer_string(buffer, buffer->length ? ", " : "");
    if (sex != RUSH_SEX_ANY)
        rush_buffer_string(buffer, rush_sex_name(sex));
    if (here == all && sex != RUSH_SEX_ANY)
        return;
    bool first = true;
    for (uint32_t i = 0; i < taxon->form_count; i++) {
        const rush_form *form = rush_key_form(key, taxon->forms[i]);
        if (form->sex != sex)
            continue;
        rush_buffer_string(buffer, !first ? ", " : sex == RUSH_SEX_ANY ? "form " : " (");
        rush_buffer_string(buffer, form->name ? form->name : "without a name");
        first = false;
    }
    rush_buffer_string(buffer, sex == RUSH_SEX_ANY ? "" : ")");
}

void rush_words_forms(const rush_part *part, const rush_lead_taxon *taxon, rush_buffer *buffer)
{
    rush_buffer words = {0};
    if (taxon->all_forms)
        return;
    write_sex(part, taxon, RUSH_SEX_MALE, &words);
    write_sex(part, taxon, RUSH_SEX_FEMALE, &words);
    write_sex(part, taxon, RUSH_SEX_ANY, &words);
    rush_buffer_add(buffer, (rush_text){words.bytes, words.length});
    buffer->failed |= words.failed;
    rush_buffer_free(&words);
}

const char *rush_words_joint(const rush_lead *lead, uint32_t taxon)
{
    if (!taxon)
        return "";
    if (lead->taxa[taxon].rarely)
        return "; rarely ";
    bool last = taxon + 1 == lead->taxon_count || lead->taxa[taxon + 1].rarely;
    return last ? "; or " : "; ";
}

const char *rush_words_scientific(const rush_key *key, uint32_t taxon)
{
    return rush_key_taxon(key, taxon)->name;
}

const char *rush_words_vernacular(const rush_key *key, uint32_t taxon, uint32_t language)
{
    return rush_key_words(key, rush_key_taxon(key, taxon)->vernacular, language);
}

void rush_words_other_outs(const rush_couplets *couplets, uint32_t taxon, uint32_t but,
                           rush_buffer *buffer)
{
    uint32_t leaf = 0, last = but;
    bool first = true;
    while (couplets->part->leaves[leaf] != taxon)
        leaf++;
    for (uint32_t i = 0; i < couplets->outs[leaf].count; i++) {
        uint32_t couplet = couplets->outs[leaf].at[i].couplet;
        if (couplet == but || couplet == last)
            continue;
        rush_buffer_format(buffer, "%s%u", first ? "" : ", ", couplet + 1);
        first = false;
        last = couplet;
    }
}

/* ---- the rest -------------------------------------------------------------------------------------------- */

void rush_words_needs(rush_teller *teller, const rush_lead *lead)
{
    rush_buffer_string(teller->words, lead->need_count
                                          ? "what may tell them: "
                                          : "no character of the key tells them apart");
    for (uint32_t i = 0; i < lead->need_count; i++) {
        uint32_t character = lead->needs[i].character;
        rush_buffer_string(teller->words, i ? ", " : "");
        rush_tell_character(teller, character);
        if (rush_key_character(teller->key, character)->reach == RUSH_REACH_HAND)
            rush_buffer_string(teller->words, " (in the hand)");
    }
}

void rush_words_lengths(const rush_couplets *couplets, rush_buffer *buffer)
{
    uint32_t taxa = couplets->part->leaf_count, count = couplets->couplet_count;
    rush_buffer_format(buffer, "%u %s, %u %s", taxa, taxa == 1 ? "taxon" : "taxa", count,
                       count == 1 ? "couplet" : "couplets");
    if (!count)
        return;
    rush_buffer_string(buffer, "; to a name ");
    rush_buffer_decimal(buffer, couplets->mean, 1);
    rush_buffer_string(buffer, " on average over all that is met, ");
    rush_buffer_decimal(buffer, couplets->mean_alike, 1);
    rush_buffer_format(buffer, " over the taxa, %u at most", couplets->greatest);
    if (couplets->grouped > 0) {
        rush_buffer_string(buffer, "; ");
        rush_words_percent(couplets->grouped, buffer);
        rush_buffer_string(buffer, " of it ends in a group");
    }
    if (couplets->strayed >= 0.0005) {
        rush_buffer_string(buffer, "; ");
        rush_words_percent(couplets->strayed, buffer);
        rush_buffer_string(buffer,
                           " shows something on the way that is too rare to be followed here");
    }
}
