#include "report/json.h"
#include "rushlight/report.h"

static const char *taxon_name(const rush_trial *trial, uint32_t taxon)
{
    return taxon == RUSH_NONE ? NULL : rush_key_taxon(trial->key, taxon)->name;
}

static const char *character_id(const rush_trial *trial, uint32_t character)
{
    return character == RUSH_NONE ? NULL : rush_key_character(trial->key, character)->id;
}

static void write_options(const rush_trial *trial, rush_json *json)
{
    const rush_trial_options *options = &trial->options;
    rush_json_whole(json, "seed", options->seed);
    rush_json_whole(json, "sightings", options->sightings);
    rush_json_number(json, "unseen", options->unseen);
    rush_json_string(json, "reach", rush_reach_name(options->reach));
    rush_json_number(json, "safe", options->safe > 0 ? options->safe : RUSH_SAFE_DEFAULT);
    rush_json_flag(json, "evenly", options->evenly);
    rush_json_string(json, "within", taxon_name(trial, options->within));
    rush_json_open(json, "blanks", '[');
    for (uint32_t b = 0; b < options->blank_count; b++) {
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "taxon", taxon_name(trial, options->blanks[b].taxon));
        rush_json_string(json, "character", character_id(trial, options->blanks[b].character));
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_tally(const rush_trial_tally *tally, rush_json *json)
{
    static const char *const names[RUSH_OUTCOME_COUNT] = {"right", "wrong", "group", "nothing"};
    rush_json_whole(json, "sightings", tally->sightings);
    for (int o = 0; o < RUSH_OUTCOME_COUNT; o++)
        rush_json_whole(json, names[o], tally->outcomes[o]);
    rush_json_whole(json, "sexed", tally->sexed);
    rush_json_whole(json, "sexed_right", tally->sexed_right);
}

static void write_spread(const char *name, const rush_trial_spread *spread, rush_json *json)
{
    rush_json_open(json, name, '{');
    rush_json_number(json, "mean", spread->mean);
    rush_json_number(json, "sd", spread->sd);
    rush_json_whole(json, "least", spread->least);
    rush_json_whole(json, "lower_quartile", spread->lower);
    rush_json_whole(json, "median", spread->median);
    rush_json_whole(json, "upper_quartile", spread->upper);
    rush_json_whole(json, "most", spread->most);
    rush_json_close(json, '}');
}

static void write_calibration(const rush_trial_run *run, rush_json *json)
{
    rush_json_open(json, "calibration", '[');
    for (int b = 0; b < RUSH_TRIAL_BINS; b++) {
        rush_json_open(json, NULL, '{');
        rush_json_number(json, "from", run->bins[b].from);
        rush_json_number(json, "to", run->bins[b].to);
        rush_json_whole(json, "sightings", run->bins[b].sightings);
        rush_json_whole(json, "right", run->bins[b].right);
        rush_json_number(json, "stated", run->bins[b].stated);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
    rush_json_number(json, "brier", run->brier);
    rush_json_number(json, "log_score_bits", run->log_score);
}

static void write_taxa(const rush_trial *trial, const rush_trial_run *run, rush_json *json)
{
    rush_json_open(json, "sexes", '[');
    for (int sex = 0; sex < 2; sex++) {
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "sex", rush_sex_name((rush_sex)sex));
        write_tally(&run->by_sex[sex], json);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
    rush_json_open(json, "taxa", '[');
    for (uint32_t i = 0; i < rush_key_leaf_count(trial->key); i++) {
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "taxon", taxon_name(trial, rush_key_leaf(trial->key, i)));
        write_tally(&run->by_taxon[i], json);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_form(const char *name, const rush_trial *trial, uint32_t at, rush_json *json)
{
    const rush_form *form = rush_key_form(trial->key, at);
    rush_json_open(json, name, '{');
    rush_json_string(json, "sex", form->sex == RUSH_SEX_ANY ? NULL : rush_sex_name(form->sex));
    rush_json_string(json, "form", form->name);
    rush_json_close(json, '}');
}

static void write_confusions(const rush_trial *trial, const rush_trial_run *run, rush_json *json)
{
    static const char *const ways[] = {"nothing", "score", "sharpen", "reach", "misread"};
    rush_json_open(json, "confusions", '[');
    for (uint32_t i = 0; i < run->confusion_count; i++) {
        const rush_confusion *confusion = &run->confusions[i];
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "taxon", taxon_name(trial, confusion->taxon));
        rush_json_string(json, "other", taxon_name(trial, confusion->other));
        rush_json_whole(json, "taken", confusion->taken);
        rush_json_whole(json, "mistaken", confusion->mistaken);
        rush_json_whole(json, "unsettled", confusion->unsettled);
        rush_json_number(json, "cost", confusion->cost);
        write_form("form", trial, confusion->form, json);
        write_form("other_form", trial, confusion->other_form, json);
        rush_json_string(json, "mend", ways[confusion->mend]);
        rush_json_string(json, "character", character_id(trial, confusion->character));
        rush_json_number(json, "bits", confusion->bits);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_characters(const rush_trial *trial, const rush_trial_run *run, rush_json *json)
{
    rush_json_open(json, "characters", '[');
    for (uint32_t c = 0; c < rush_key_character_count(trial->key); c++) {
        const rush_character *character = rush_key_character(trial->key, c);
        if (character->setting || character->kind == RUSH_KIND_TAXON)
            continue;
        rush_json_open(json, NULL, '{');
        rush_json_string(json, "character", character->id);
        rush_json_string(json, "reach", rush_reach_name(character->reach));
        rush_json_number(json, "effort", character->effort);
        rush_json_whole(json, "asked", run->characters[c].asked);
        rush_json_whole(json, "answered", run->characters[c].answered);
        rush_json_whole(json, "misread", run->characters[c].misread);
        rush_json_number(json, "bits", run->characters[c].bits);
        rush_json_close(json, '}');
    }
    rush_json_close(json, ']');
}

static void write_run(const rush_trial *trial, const rush_trial_run *run, rush_json *json)
{
    rush_json_open(json, NULL, '{');
    rush_json_string(json, "observer", rush_observer_name(run->observer));
    if (run->blank == RUSH_NONE)
        rush_json_string(json, "blank", NULL);
    else
        rush_json_whole(json, "blank", run->blank);
    write_tally(&run->all, json);
    write_spread("asked", &run->asked, json);
    write_spread("answered", &run->answered, json);
    rush_json_number(json, "entropy_bits", run->entropy);
    rush_json_number(json, "floor_answers", rush_trial_floor(trial, run));
    write_calibration(run, json);
    write_taxa(trial, run, json);
    write_confusions(trial, run, json);
    write_characters(trial, run, json);
    rush_json_close(json, '}');
}

void rush_report_trial_json(const rush_trial *trial, rush_buffer *buffer)
{
    const rush_key_header *header = rush_key_about(trial->key);
    rush_json json = {buffer, true};
    rush_json_open(&json, NULL, '{');
    rush_json_whole(&json, "schema", 1);
    rush_json_open(&json, "key", '{');
    rush_json_string(&json, "key", header->id);
    rush_json_string(&json, "version", header->version);
    rush_json_string(&json, "digest", rush_key_digest(trial->key));
    rush_json_close(&json, '}');
    write_options(trial, &json);
    rush_json_string(&json, "best_character", character_id(trial, trial->best_character));
    rush_json_number(&json, "capacity_bits", trial->capacity);
    rush_json_open(&json, "runs", '[');
    for (uint32_t r = 0; r < trial->run_count; r++)
        write_run(trial, &trial->runs[r], &json);
    rush_json_close(&json, ']');
    rush_json_close(&json, '}');
    rush_buffer_byte(buffer, '\n');
}
