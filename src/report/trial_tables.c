#include <stdlib.h>

#include "base/score.h"
#include "report/cells.h"
#include "report/trial_text.h"
#include "report/words.h"

enum { NAME = 28, FIGURE = 10 };

/* Under so many bits a sighting, a character that was within reach is dead weight. */
#define DEAD_WEIGHT 0.001

/* ---- taxa ----------------------------------------------------------------------------------------- */

/* The next row: of what has not been shown, the least; ties in the key's order. */
static uint32_t least(const double *values, const bool *shown, uint32_t count)
{
    uint32_t best = RUSH_NONE;
    for (uint32_t i = 0; i < count; i++)
        if (!shown[i] && (best == RUSH_NONE || (float)values[i] < (float)values[best]))
            best = i;
    return best;
}

/* The most that the share of sightings which went well may be, for all that was counted: so a taxon that was
 * hardly met is not the worst for that. Strangers are never right; it goes well when they are not called wrong. */
static double how_well_at_best(const rush_trial_run *run, const rush_trial_tally *tally)
{
    double low, high;
    uint32_t well = run->observer == RUSH_OBSERVER_STRANGERS
                        ? tally->sightings - tally->outcomes[RUSH_OUTCOME_WRONG]
                        : tally->outcomes[RUSH_OUTCOME_RIGHT];
    rush_share_interval(well, tally->sightings, &low, &high);
    return high;
}

static void write_taxon(const rush_trial_table *table, uint32_t leaf, rush_buffer *buffer)
{
    const rush_key *key = table->trial->key;
    const rush_trial_tally *tally = &table->run->by_taxon[leaf];
    rush_buffer_string(buffer, "  ");
    rush_cell_text(rush_key_taxon(key, rush_key_leaf(key, leaf))->name, NAME, buffer);
    rush_cell_whole(tally->sightings, FIGURE, buffer);
    for (int o = 0; o < RUSH_OUTCOME_COUNT; o++)
        rush_cell_percent(rush_trial_share(tally, (rush_outcome)o), FIGURE, buffer);
    rush_buffer_byte(buffer, '\n');
}

void rush_trial_write_taxa(const rush_trial_table *table, rush_buffer *buffer)
{
    uint32_t count = rush_key_leaf_count(table->trial->key);
    double *values = calloc(count, sizeof *values);
    bool *shown = calloc(count, sizeof *shown);
    buffer->failed |= !values || !shown;
    for (uint32_t i = 0; values && shown && i < count; i++) {
        const rush_trial_tally *tally = &table->run->by_taxon[i];
        shown[i] = !tally->sightings;
        if (tally->sightings)
            values[i] = how_well_at_best(table->run, tally);
    }
    for (uint32_t row = 0; values && shown && row < table->top; row++) {
        uint32_t at = least(values, shown, count);
        if (at == RUSH_NONE)
            break;
        shown[at] = true;
        write_taxon(table, at, buffer);
    }
    free(values);
    free(shown);
}

/* ---- confusions ----------------------------------------------------------------------------------- */

static void write_form(const rush_key *key, uint32_t at, rush_buffer *buffer)
{
    const rush_form *form = rush_key_form(key, at);
    rush_buffer_safe(buffer, rush_text_of(rush_key_taxon(key, form->taxon)->name));
    if (form->sex != RUSH_SEX_ANY)
        rush_buffer_format(buffer, ", %s", rush_sex_name(form->sex));
    if (form->name) {
        rush_buffer_string(buffer, form->sex == RUSH_SEX_ANY ? ", form " : " ");
        rush_buffer_safe(buffer, rush_text_of(form->name));
    }
}

static void write_mend(const rush_trial_table *table, const rush_confusion *confusion,
                       rush_buffer *buffer)
{
    static const char *const ways[] = {"nothing in the key to mend", "score ", "sharpen ",
                                       "it needs a closer look, at ", "make less misread: "};
    rush_buffer_format(buffer, "             %s", ways[confusion->mend]);
    if (confusion->mend != RUSH_MEND_NOTHING) {
        rush_words_character(table->trial->key, confusion->character, table->language, buffer);
        rush_buffer_string(buffer, " (");
        rush_buffer_decimal(buffer, confusion->bits, 2);
        rush_buffer_string(buffer, confusion->mend == RUSH_MEND_REACH ? " bit)" : " bit more)");
    }
    rush_buffer_byte(buffer, '\n');
}

void rush_trial_write_confusions(const rush_trial_table *table, rush_buffer *buffer)
{
    const rush_trial_run *run = table->run;
    for (uint32_t i = 0; i < run->confusion_count && i < table->top; i++) {
        const rush_confusion *confusion = &run->confusions[i];
        rush_cell_number(confusion->cost, 2, 9, buffer);
        rush_buffer_string(buffer, "    ");
        write_form(table->trial->key, confusion->form, buffer);
        rush_buffer_string(buffer, " / ");
        write_form(table->trial->key, confusion->other_form, buffer);
        rush_buffer_format(buffer, ": wrong %u and %u, unsettled %u\n", confusion->taken,
                           confusion->mistaken, confusion->unsettled);
        write_mend(table, confusion, buffer);
    }
}

/* ---- characters ----------------------------------------------------------------------------------- */

static bool within_reach(const rush_trial *trial, uint32_t at)
{
    const rush_character *character = rush_key_character(trial->key, at);
    return !character->setting && character->look_next && character->kind != RUSH_KIND_TAXON &&
           character->reach <= trial->options.reach;
}

static void write_character(const rush_trial_table *table, uint32_t at, rush_buffer *buffer)
{
    const rush_trial_character *earned = &table->run->characters[at];
    double sightings = table->run->all.sightings;
    rush_buffer name = {0};
    rush_character_name(table->trial->key, at, table->language, &name);
    rush_buffer_string(buffer, "  ");
    rush_cell_text(name.failed || !name.bytes ? "" : name.bytes, NAME, buffer);
    buffer->failed |= name.failed;
    rush_buffer_free(&name);
    rush_cell_percent(earned->asked / sightings, FIGURE, buffer);
    rush_cell_percent(earned->asked ? (double)earned->answered / earned->asked : 0, FIGURE,
                      buffer);
    rush_cell_percent(earned->answered ? (double)earned->misread / earned->answered : 0, FIGURE,
                      buffer);
    rush_cell_number(earned->answered ? earned->bits / earned->answered : 0, 2, FIGURE, buffer);
    rush_cell_number(earned->bits / sightings, 3, FIGURE, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_dead_weight(const rush_trial_table *table, rush_buffer *buffer)
{
    rush_buffer list = {0};
    uint32_t count = 0;
    for (uint32_t c = 0; c < rush_key_character_count(table->trial->key); c++) {
        const rush_trial_character *earned = &table->run->characters[c];
        if (!within_reach(table->trial, c) ||
            earned->bits >= DEAD_WEIGHT * table->run->all.sightings)
            continue;
        rush_buffer_string(&list, count++ ? ", " : "");
        rush_character_name(table->trial->key, c, table->language, &list);
    }
    if (count) {
        rush_buffer_string(buffer, "  dead weight, under 0.001 bit a sighting: ");
        rush_words_wrap_part(&list, 4, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
    rush_buffer_free(&list);
}

void rush_trial_write_characters(const rush_trial_table *table, rush_buffer *buffer)
{
    uint32_t count = rush_key_character_count(table->trial->key);
    double *values = calloc(count, sizeof *values);
    bool *shown = calloc(count, sizeof *shown);
    buffer->failed |= !values || !shown;
    for (uint32_t c = 0; values && shown && c < count; c++) {
        shown[c] = !table->run->characters[c].asked;
        values[c] = -table->run->characters[c].bits;
    }
    for (uint32_t row = 0; values && shown && row < table->top; row++) {
        uint32_t at = least(values, shown, count);
        if (at == RUSH_NONE)
            break;
        shown[at] = true;
        write_character(table, at, buffer);
    }
    write_dead_weight(table, buffer);
    free(values);
    free(shown);
}
