#include "report/changes.h"

#include "report/words.h"

/* ---- words -------------------------------------------------------------------------------------------------- */

const char *rush_change_name(const rush_match *match)
{
    return match->old == RUSH_NONE   ? "added"
           : match->now == RUSH_NONE ? "removed"
           : match->renamed          ? "renamed"
                                     : "changed";
}

const char *rush_character_field(unsigned bit)
{
    static const char *const names[] = {"label", "question", "tip",     "kind",
                                        "reach", "effort",   "misread", "confused"};
    return bit < sizeof names / sizeof *names ? names[bit] : NULL;
}

const char *rush_taxon_field(unsigned bit)
{
    static const char *const names[] = {"rank", "within", "vernacular", "occurrence", "caution"};
    return bit < sizeof names / sizeof *names ? names[bit] : NULL;
}

/* ---- pieces --------------------------------------------------------------------------------------------------- */

/* A heading, once, before the first row below it. */
static void head(const char *text, bool *told, rush_buffer *buffer)
{
    if (!*told)
        rush_buffer_format(buffer, "\n%s\n", text);
    *told = true;
}

static void write_safe(const char *string, rush_buffer *buffer)
{
    rush_buffer_safe(buffer, rush_text_of(string));
}

/* "NAME: old; now new" of two values that may be empty. */
static void write_from_to(const char *name, const char *old, const char *now, rush_buffer *buffer)
{
    rush_buffer_format(buffer, "      %s: ", name);
    write_safe(old && old[0] ? old : "none", buffer);
    rush_buffer_string(buffer, "; now ");
    write_safe(now && now[0] ? now : "none", buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_numbers(const char *name, double old, double now, rush_buffer *buffer)
{
    rush_buffer_format(buffer, "      %s: ", name);
    rush_buffer_number(buffer, old, 4);
    rush_buffer_string(buffer, "; now ");
    rush_buffer_number(buffer, now, 4);
    rush_buffer_byte(buffer, '\n');
}

/* "  renamed  outline, now shape". */
static void write_match(const rush_match *match, const char *old, const char *now,
                        rush_buffer *buffer)
{
    rush_buffer_format(buffer, "  %s  ", rush_change_name(match));
    write_safe(old ? old : now, buffer);
    if (match->renamed) {
        rush_buffer_string(buffer, ", now ");
        write_safe(now, buffer);
    }
    rush_buffer_byte(buffer, '\n');
}

/* ---- characters and states -------------------------------------------------------------------------------------- */

static void write_misread(const rush_character *old, const rush_character *now,
                          rush_buffer *buffer)
{
    if (old->misread != now->misread)
        write_numbers("misread", old->misread, now->misread, buffer);
    if (old->reading_error != now->reading_error ||
        old->reading_error_relative != now->reading_error_relative)
        write_numbers(now->reading_error_relative ? "reading error, of the mean"
                                                  : "reading error",
                      old->reading_error, now->reading_error, buffer);
}

static void write_character(const rush_changes *changes, const rush_match *match,
                            rush_buffer *buffer)
{
    const rush_character *old =
        match->old == RUSH_NONE ? NULL : rush_key_character(changes->old, match->old);
    const rush_character *now =
        match->now == RUSH_NONE ? NULL : rush_key_character(changes->now, match->now);
    write_match(match, old ? old->id : NULL, now ? now->id : NULL, buffer);
    if (!old || !now)
        return;
    if (match->what & RUSH_CHANGED_LABEL)
        write_from_to("label", rush_key_words(changes->old, old->label, 0),
                      rush_key_words(changes->now, now->label, 0), buffer);
    if (match->what & RUSH_CHANGED_ASK)
        write_from_to("question", rush_key_words(changes->old, old->ask, 0),
                      rush_key_words(changes->now, now->ask, 0), buffer);
    if (match->what & RUSH_CHANGED_REACH)
        write_from_to("reach", rush_reach_name(old->reach), rush_reach_name(now->reach), buffer);
    if (match->what & RUSH_CHANGED_EFFORT)
        write_numbers("effort", old->effort, now->effort, buffer);
    if (match->what & RUSH_CHANGED_MISREAD)
        write_misread(old, now, buffer);
    if (match->what & RUSH_CHANGED_TIP)
        rush_buffer_string(buffer, "      another tip\n");
    if (match->what & RUSH_CHANGED_CONFUSED)
        rush_buffer_string(buffer, "      other states are taken for each other\n");
    if (match->what & RUSH_CHANGED_KIND)
        rush_buffer_string(buffer, "      another kind or unit: its traits are not compared\n");
}

static void write_characters(const rush_changes *changes, rush_buffer *buffer)
{
    bool told = false;
    for (uint32_t i = 0; i < changes->character_count; i++)
        if (rush_match_changed(&changes->characters[i])) {
            head("Characters", &told, buffer);
            write_character(changes, &changes->characters[i], buffer);
        }
}

static void write_states(const rush_changes *changes, rush_buffer *buffer)
{
    bool told = false;
    for (uint32_t i = 0; i < changes->state_count; i++) {
        const rush_state_change *change = &changes->states[i];
        const rush_character *old = rush_key_character(changes->old, change->old_character);
        const rush_character *now = rush_key_character(changes->now, change->character);
        const rush_state *before =
            change->state.old == RUSH_NONE ? NULL : &old->states[change->state.old];
        const rush_state *after =
            change->state.now == RUSH_NONE ? NULL : &now->states[change->state.now];
        head("States", &told, buffer);
        rush_buffer_format(buffer, "  %s  ", rush_change_name(&change->state));
        write_safe(now->id, buffer);
        rush_buffer_string(buffer, ": ");
        write_safe(before ? before->id : after->id, buffer);
        if (change->state.renamed) {
            rush_buffer_string(buffer, ", now ");
            write_safe(after->id, buffer);
        }
        rush_buffer_byte(buffer, '\n');
        if (change->state.what & RUSH_CHANGED_LABEL)
            write_from_to("label", rush_key_words(changes->old, before->label, 0),
                          rush_key_words(changes->now, after->label, 0), buffer);
    }
}

/* ---- taxa ---------------------------------------------------------------------------------------------------------- */

static const char *parent_of(const rush_key *key, const rush_taxon *taxon)
{
    return taxon->parent == RUSH_NONE ? NULL : rush_key_taxon(key, taxon->parent)->name;
}

static void write_taxon(const rush_changes *changes, const rush_match *match, rush_buffer *buffer)
{
    const rush_taxon *old =
        match->old == RUSH_NONE ? NULL : rush_key_taxon(changes->old, match->old);
    const rush_taxon *now =
        match->now == RUSH_NONE ? NULL : rush_key_taxon(changes->now, match->now);
    write_match(match, old ? old->name : NULL, now ? now->name : NULL, buffer);
    if (!old || !now)
        return;
    if (match->what & RUSH_CHANGED_RANK)
        write_from_to("rank", rush_taxon_rank_name(old->rank), rush_taxon_rank_name(now->rank),
                      buffer);
    if (match->what & RUSH_CHANGED_WITHIN)
        write_from_to("within", parent_of(changes->old, old), parent_of(changes->now, now),
                      buffer);
    if (match->what & RUSH_CHANGED_VERNACULAR)
        write_from_to("vernacular", rush_key_words(changes->old, old->vernacular, 0),
                      rush_key_words(changes->now, now->vernacular, 0), buffer);
    if (match->what & RUSH_CHANGED_OCCURRENCE)
        write_numbers("occurrence", old->occurrence, now->occurrence, buffer);
    if (match->what & RUSH_CHANGED_CAUTION)
        rush_buffer_string(buffer, "      another caution\n");
}

static void write_taxa(const rush_changes *changes, rush_buffer *buffer)
{
    bool told = false;
    for (uint32_t i = 0; i < changes->taxon_count; i++)
        if (rush_match_changed(&changes->taxa[i])) {
            head("Taxa", &told, buffer);
            write_taxon(changes, &changes->taxa[i], buffer);
        }
}

/* ---- forms and traits ------------------------------------------------------------------------------------------------ */

/* "female 'dark'", "form 'dark'", "female", "all". */
static void write_form(const rush_form *form, rush_buffer *buffer)
{
    bool sexed = form->sex != RUSH_SEX_ANY;
    if (sexed)
        rush_buffer_string(buffer, rush_sex_name(form->sex));
    else
        rush_buffer_string(buffer, form->name ? "form" : "all");
    if (form->name) {
        rush_buffer_byte(buffer, ' ');
        write_safe(form->name, buffer);
    }
}

static void write_forms(const rush_changes *changes, rush_buffer *buffer)
{
    bool told = false;
    for (uint32_t i = 0; i < changes->form_count; i++) {
        const rush_form_change *change = &changes->forms[i];
        const rush_form *old =
            change->old == RUSH_NONE ? NULL : rush_key_form(changes->old, change->old);
        const rush_form *now =
            change->now == RUSH_NONE ? NULL : rush_key_form(changes->now, change->now);
        head("Forms", &told, buffer);
        rush_buffer_format(buffer, "  %s  ", !old ? "added" : !now ? "removed" : "changed");
        write_safe(rush_key_taxon(changes->now, change->taxon)->name, buffer);
        rush_buffer_string(buffer, ", ");
        write_form(now ? now : old, buffer);
        rush_buffer_byte(buffer, '\n');
        if (old && now)
            write_numbers("share", old->share, now->share, buffer);
    }
}

static void write_trait(const rush_key *key, const rush_trait *trait, rush_buffer *buffer)
{
    if (trait)
        rush_words_trait(key, trait, 0, buffer);
    else
        rush_buffer_string(buffer, "unscored");
}

static void write_traits(const rush_changes *changes, rush_buffer *buffer)
{
    bool told = false;
    uint32_t taxon = RUSH_NONE, form = RUSH_NONE;
    for (uint32_t i = 0; i < changes->trait_count; i++) {
        const rush_trait_change *change = &changes->traits[i];
        head("Traits", &told, buffer);
        if (taxon != change->taxon || form != change->form) {
            rush_buffer_string(buffer, "  ");
            write_safe(rush_key_taxon(changes->now, change->taxon)->name, buffer);
            if (change->form != RUSH_NONE) {
                rush_buffer_string(buffer, ", ");
                write_form(rush_key_form(changes->now, change->form), buffer);
            }
            rush_buffer_byte(buffer, '\n');
        }
        taxon = change->taxon;
        form = change->form;
        rush_buffer_string(buffer, "      ");
        rush_words_character(changes->now, change->character, 0, buffer);
        rush_buffer_string(buffer, ": ");
        write_trait(changes->old, change->old, buffer);
        rush_buffer_string(buffer, "; now ");
        write_trait(changes->now, change->now, buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

/* ---- worked sightings -------------------------------------------------------------------------------------------------- */

static void write_answered(const rush_key *key, const rush_answered *answered,
                           rush_buffer *buffer)
{
    const rush_verdict *verdict = &answered->verdict;
    if (!answered->read || answered->nothing_fits) {
        rush_buffer_string(buffer, answered->read ? "nothing fits" : "it cannot be read");
        return;
    }
    const rush_taxon *taxon = rush_key_taxon(key, verdict->taxon);
    if (verdict->safe)
        rush_buffer_format(buffer, "safe to %s: ", rush_taxon_rank_name(taxon->rank));
    else
        rush_buffer_string(buffer, "nothing safe, leading ");
    write_safe(taxon->name, buffer);
    if (verdict->sex != RUSH_SEX_ANY)
        rush_buffer_format(buffer, ", %s", rush_sex_name(verdict->sex));
    if (verdict->form != RUSH_NONE) {
        rush_buffer_string(buffer, ", ");
        write_safe(rush_key_form(key, verdict->form)->name, buffer);
    }
    rush_buffer_string(buffer, ", ");
    rush_words_percent(verdict->probability, buffer);
}

static void write_expected(const rush_key *key, uint32_t sighting, const char *whose,
                           rush_buffer *buffer)
{
    if (sighting == RUSH_NONE)
        return;
    uint32_t expect = rush_key_sighting(key, sighting)->expect;
    rush_buffer_format(buffer, "      the %s key expects: ", whose);
    write_safe(expect == RUSH_NONE ? "nothing safe" : rush_key_taxon(key, expect)->name, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_sightings(const rush_changes *changes, rush_buffer *buffer)
{
    bool told = false;
    for (uint32_t i = 0; i < changes->sighting_count; i++) {
        const rush_sighting_change *change = &changes->sightings[i];
        head("Worked sightings that answer differently", &told, buffer);
        rush_buffer_string(buffer, "  ");
        rush_words_wrap(rush_text_of(change->saw), 2, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_string(buffer, "\n      before: ");
        write_answered(changes->old, &change->before, buffer);
        rush_buffer_string(buffer, "\n      now: ");
        write_answered(changes->now, &change->after, buffer);
        rush_buffer_byte(buffer, '\n');
        write_expected(changes->old, change->old, "old", buffer);
        write_expected(changes->now, change->now, "new", buffer);
    }
}

/* ---- the whole ----------------------------------------------------------------------------------------------------------- */

static void write_key(const rush_key *key, rush_buffer *buffer)
{
    const rush_key_header *about = rush_key_about(key);
    write_safe(about->id, buffer);
    if (about->version) {
        rush_buffer_byte(buffer, ' ');
        write_safe(about->version, buffer);
    }
    rush_buffer_format(buffer, " (%.12s)", rush_key_digest(key));
}

static void write_header(const rush_changes *changes, rush_buffer *buffer)
{
    const rush_key_header *old = rush_key_about(changes->old),
                          *now = rush_key_about(changes->now);
    rush_buffer_string(buffer, "From ");
    write_key(changes->old, buffer);
    rush_buffer_string(buffer, " to ");
    write_key(changes->now, buffer);
    rush_buffer_byte(buffer, '\n');
    if (old->unlisted != now->unlisted)
        write_numbers("unlisted", old->unlisted, now->unlisted, buffer);
    if (old->caution_factor != now->caution_factor)
        write_numbers("caution factor", old->caution_factor, now->caution_factor, buffer);
}

void rush_report_changes(const rush_changes *changes, const rush_trial_column trials[2],
                         rush_buffer *buffer)
{
    write_header(changes, buffer);
    write_characters(changes, buffer);
    write_states(changes, buffer);
    write_taxa(changes, buffer);
    write_forms(changes, buffer);
    write_traits(changes, buffer);
    write_sightings(changes, buffer);
    if (!rush_changes_any(changes))
        rush_buffer_string(buffer, "\nNothing that a user would notice.\n");
    if (!changes->sighting_count)
        rush_buffer_format(buffer, "\n%u worked sighting%s, answered as before.\n",
                           changes->sightings_compared,
                           changes->sightings_compared == 1 ? "" : "s");
    else
        rush_buffer_format(buffer, "\nOf %u worked sighting%s %u answer%s differently.\n",
                           changes->sightings_compared,
                           changes->sightings_compared == 1 ? "" : "s", changes->sighting_count,
                           changes->sighting_count == 1 ? "s" : "");
    if (trials) {
        rush_buffer_string(buffer, "\nTrial figures\n");
        rush_report_trials_beside(trials, 2, buffer);
    }
}
