#include "report/changes.h"
#include "report/json.h"
#include "report/words.h"

static void write_key(rush_json *json, const char *name, const rush_key *key)
{
    const rush_key_header *about = rush_key_about(key);
    rush_json_open(json, name, '{');
    rush_json_string(json, "key", about->id);
    rush_json_string(json, "version", about->version);
    rush_json_string(json, "digest", rush_key_digest(key));
    rush_json_number(json, "unlisted", about->unlisted);
    rush_json_number(json, "caution_factor", about->caution_factor);
    rush_json_close(json, '}');
}

static void write_what(rush_json *json, uint32_t what, const char *(*field)(unsigned bit))
{
    rush_json_open(json, "what", '[');
    for (unsigned bit = 0; field(bit); bit++)
        if (what >> bit & 1)
            rush_json_string(json, NULL, field(bit));
    rush_json_close(json, ']');
}

static const char *character_id(const rush_key *key, uint32_t at)
{
    return at == RUSH_NONE ? NULL : rush_key_character(key, at)->id;
}

static const char *taxon_name(const rush_key *key, uint32_t at)
{
    return at == RUSH_NONE ? NULL : rush_key_taxon(key, at)->name;
}

static void write_characters(rush_json *json, const rush_changes *changes)
{
    rush_json_open(json, "characters", '[');
    for (uint32_t i = 0; i < changes->character_count; i++) {
        const rush_match *match = &changes->characters[i];
        if (!rush_match_changed(match))
            continue;
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "change", rush_change_name(match));
        rush_json_string(json, "old", character_id(changes->old, match->old));
        rush_json_string(json, "now", character_id(changes->now, match->now));
        write_what(json, match->what, rush_character_field);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_states(rush_json *json, const rush_changes *changes)
{
    rush_json_open(json, "states", '[');
    for (uint32_t i = 0; i < changes->state_count; i++) {
        const rush_state_change *change = &changes->states[i];
        const rush_character *old = rush_key_character(changes->old, change->old_character);
        const rush_character *now = rush_key_character(changes->now, change->character);
        const rush_match *state = &change->state;
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "change", rush_change_name(state));
        rush_json_string(json, "character", now->id);
        rush_json_string(json, "old",
                         state->old == RUSH_NONE ? NULL : old->states[state->old].id);
        rush_json_string(json, "now",
                         state->now == RUSH_NONE ? NULL : now->states[state->now].id);
        write_what(json, state->what, rush_character_field);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_taxa(rush_json *json, const rush_changes *changes)
{
    rush_json_open(json, "taxa", '[');
    for (uint32_t i = 0; i < changes->taxon_count; i++) {
        const rush_match *match = &changes->taxa[i];
        if (!rush_match_changed(match))
            continue;
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "change", rush_change_name(match));
        rush_json_string(json, "old", taxon_name(changes->old, match->old));
        rush_json_string(json, "now", taxon_name(changes->now, match->now));
        write_what(json, match->what, rush_taxon_field);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_form(rush_json *json, const rush_form *form)
{
    rush_json_string(json, "sex", form ? rush_sex_name(form->sex) : NULL);
    rush_json_string(json, "form", form ? form->name : NULL);
}

static void write_share(rush_json *json, const char *name, const rush_form *form)
{
    if (form)
        rush_json_number(json, name, form->share);
    else
        rush_json_string(json, name, NULL);
}

static void write_forms(rush_json *json, const rush_changes *changes)
{
    rush_json_open(json, "forms", '[');
    for (uint32_t i = 0; i < changes->form_count; i++) {
        const rush_form_change *change = &changes->forms[i];
        const rush_form *old =
            change->old == RUSH_NONE ? NULL : rush_key_form(changes->old, change->old);
        const rush_form *now =
            change->now == RUSH_NONE ? NULL : rush_key_form(changes->now, change->now);
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "change", !old ? "added" : !now ? "removed" : "changed");
        rush_json_string(json, "taxon", taxon_name(changes->now, change->taxon));
        write_form(json, now ? now : old);
        write_share(json, "old_share", old);
        write_share(json, "share", now);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_trait(rush_json *json, const char *name, const rush_key *key,
                        const rush_trait *trait)
{
    rush_buffer words = {0};
    if (trait)
        rush_words_trait(key, trait, 0, &words);
    rush_json_string(json, name, trait && words.bytes ? words.bytes : NULL);
    json->buffer->failed |= words.failed;
    rush_buffer_free(&words);
}

static void write_traits(rush_json *json, const rush_changes *changes)
{
    rush_json_open(json, "traits", '[');
    for (uint32_t i = 0; i < changes->trait_count; i++) {
        const rush_trait_change *change = &changes->traits[i];
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "taxon", taxon_name(changes->now, change->taxon));
        write_form(json,
                   change->form == RUSH_NONE ? NULL : rush_key_form(changes->now, change->form));
        rush_json_string(json, "character", character_id(changes->now, change->character));
        write_trait(json, "old", changes->old, change->old);
        write_trait(json, "now", changes->now, change->now);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_answered(rush_json *json, const char *name, const rush_key *key,
                           const rush_answered *answered)
{
    const rush_verdict *verdict = &answered->verdict;
    bool any = answered->read && !answered->nothing_fits;
    rush_json_open(json, name, '{');
    rush_json_flag(json, "read", answered->read);
    rush_json_flag(json, "safe", any && verdict->safe);
    rush_json_string(json, "taxon", any ? taxon_name(key, verdict->taxon) : NULL);
    rush_json_number(json, "probability", any ? verdict->probability : 0);
    rush_json_string(json, "sex",
                     any && verdict->sex != RUSH_SEX_ANY ? rush_sex_name(verdict->sex) : NULL);
    rush_json_string(json, "form",
                     any && verdict->form != RUSH_NONE ? rush_key_form(key, verdict->form)->name
                                                       : NULL);
    rush_json_close(json, '}');
}

static void write_expected(rush_json *json, const char *name, const rush_key *key, uint32_t at)
{
    rush_json_string(
        json, name, at == RUSH_NONE ? NULL : taxon_name(key, rush_key_sighting(key, at)->expect));
}

static void write_sightings(rush_json *json, const rush_changes *changes)
{
    rush_json_whole(json, "sightings_compared", changes->sightings_compared);
    rush_json_open(json, "sightings", '[');
    for (uint32_t i = 0; i < changes->sighting_count; i++) {
        const rush_sighting_change *change = &changes->sightings[i];
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "saw", change->saw);
        rush_json_flag(json, "in_old", change->old != RUSH_NONE);
        rush_json_flag(json, "in_now", change->now != RUSH_NONE);
        write_expected(json, "old_expects", changes->old, change->old);
        write_expected(json, "now_expects", changes->now, change->now);
        write_answered(json, "before", changes->old, &change->before);
        write_answered(json, "after", changes->now, &change->after);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_run(rush_json *json, const char *name, const rush_trial_run *run)
{
    rush_json_open(json, name, '{');
    rush_json_whole(json, "sightings", run->all.sightings);
    rush_json_number(json, "right", rush_trial_share(&run->all, RUSH_OUTCOME_RIGHT));
    rush_json_number(json, "wrong", rush_trial_share(&run->all, RUSH_OUTCOME_WRONG));
    rush_json_number(json, "group", rush_trial_share(&run->all, RUSH_OUTCOME_GROUP));
    rush_json_number(json, "nothing", rush_trial_share(&run->all, RUSH_OUTCOME_NOTHING));
    rush_json_number(json, "safe_right", rush_trial_safe_right(&run->all));
    rush_json_number(json, "asked", run->asked.mean);
    rush_json_number(json, "answered", run->answered.mean);
    rush_json_number(json, "brier", run->brier);
    rush_json_number(json, "log_score", run->log_score);
    rush_json_close(json, '}');
}

static void write_trials(rush_json *json, const rush_trial_column trials[2])
{
    rush_json_open(json, "trials", '[');
    for (int o = 0; trials && o < RUSH_OBSERVER_COUNT; o++) {
        const rush_trial_run *old = rush_trial_find(trials[0].trial, (rush_observer)o, RUSH_NONE);
        const rush_trial_run *now = rush_trial_find(trials[1].trial, (rush_observer)o, RUSH_NONE);
        if (!old || !now)
            continue;
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "observer", rush_observer_name((rush_observer)o));
        write_run(json, "old", old);
        write_run(json, "now", now);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

void rush_report_changes_json(const rush_changes *changes, const rush_trial_column trials[2],
                              rush_buffer *buffer)
{
    rush_json json = {buffer, true};
    rush_json_open(&json, NULL, '{');
    rush_json_whole(&json, "schema", 1);
    write_key(&json, "old", changes->old);
    write_key(&json, "now", changes->now);
    rush_json_flag(&json, "changed", rush_changes_any(changes));
    write_characters(&json, changes);
    write_states(&json, changes);
    write_taxa(&json, changes);
    write_forms(&json, changes);
    write_traits(&json, changes);
    write_sightings(&json, changes);
    write_trials(&json, trials);
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
}
