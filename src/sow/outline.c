#include <string.h>

#include "sow/plan.h"

static const char *const built_in[RUSH_BUILT_IN_CHARACTERS] = {"sex", "form", "taxon"};

const rush_cell *rush_sow_detail_cell(const rush_sow_plan *plan, uint32_t row,
                                      rush_sow_detail field)
{
    return rush_sheet_cell(&plan->details, row, plan->detail_fields[field]);
}

rush_sow_details *rush_sow_details_of(rush_sow_plan *plan, uint32_t row)
{
    rush_sow_details *details = RUSH_NEW(plan->arena, rush_sow_details);
    details->place = rush_sow_detail_cell(plan, row, RUSH_DETAIL_CHARACTER);
    for (int f = 0; f < RUSH_DETAIL_FIELDS; f++)
        details->fields[f] = rush_sow_detail_cell(plan, row, (rush_sow_detail)f);
    for (int w = 0; w < RUSH_DETAIL_WORDED; w++) {
        details->words[w] = RUSH_ARRAY(plan->arena, const rush_cell *, plan->languages.count + 1);
        for (uint32_t i = 0; i < plan->detail_words[w].count; i++) {
            rush_sow_word_column at = plan->detail_words[w].items[i];
            const rush_cell *cell = rush_sheet_cell(&plan->details, row, at.column);
            if (cell->text.length)
                details->words[w][at.language] = cell;
        }
    }
    return details;
}

/* ---- columns ---------------------------------------------------------------------------------- */

static void complain_column(rush_sow_plan *plan, const rush_cell *head)
{
    rush_buffer names = {0};
    rush_buffer_string(&names, "it has: label, ask, tip, includes");
    for (int f = 0; f < RUSH_DETAIL_FIELDS; f++)
        rush_buffer_format(&names, ", %s", rush_sow_detail_name((rush_sow_detail)f));
    rush_diagnostic *made = rush_sow_diagnose(plan, head, RUSH_UNKNOWN_FIELD,
                                              "a table of characters has no column '%.*s'",
                                              (int)head->text.length, head->text.at);
    rush_diagnose_help_from(plan->list, made, &names);
}

static bool read_columns(rush_sow_plan *plan)
{
    for (int f = 0; f < RUSH_DETAIL_FIELDS; f++)
        plan->detail_fields[f] = RUSH_NONE;
    rush_sow_headless(plan, &plan->details);
    for (uint32_t column = 0; column < plan->details.columns; column++) {
        const rush_cell *head = rush_sheet_cell(&plan->details, 0, column);
        rush_sow_detail field;
        rush_sow_detail_words words;
        rush_text language;
        if (!head->text.length)
            continue;
        if (rush_sow_detail_named(head->text, &field))
            rush_sow_take_once(plan, head, &plan->detail_fields[field], column);
        else if (rush_sow_detail_words_named(head->text, &words, &language))
            rush_sow_take_words(plan, head, &plan->detail_words[words], language, column);
        else
            complain_column(plan, head);
    }
    if (plan->detail_fields[RUSH_DETAIL_CHARACTER] != RUSH_NONE)
        return true;
    rush_sow_diagnose(plan, rush_sheet_cell(&plan->details, 0, 0), RUSH_MISSING_FIELD,
                      "no column is called 'character'");
    return false;
}

/* ---- what kind of character a row makes ---------------------------------------------------------- */

/* What a row says of the kind; false when it says nothing of it. */
static bool kind_of(rush_sow_plan *plan, const rush_sow_details *details, rush_sow_kind *kind)
{
    const rush_cell *setting = details->fields[RUSH_DETAIL_SETTING];
    if (rush_sow_alike(setting->text, rush_text_of("months"))) {
        *kind = RUSH_SOW_MONTHS;
        return true;
    }
    if (rush_sow_alike(setting->text, rush_text_of("states"))) {
        *kind = RUSH_SOW_SETTING;
        return true;
    }
    if (setting->text.length) {
        rush_diagnostic *made =
            rush_sow_diagnose(plan, setting, RUSH_BAD_CHOICE, "'%.*s' is not known here",
                              (int)setting->text.length, setting->text.at);
        rush_diagnose_help(plan->list, made, "a setting is `months` or `states`");
    }
    *kind = details->fields[RUSH_DETAIL_MEASURE]->text.length ? RUSH_SOW_NUMBER : RUSH_SOW_STATES;
    return *kind == RUSH_SOW_NUMBER || details->fields[RUSH_DETAIL_STATES]->text.length;
}

static void settle_unit(rush_sow_plan *plan, rush_sow_character *character)
{
    const rush_cell *unit = character->name.details->fields[RUSH_DETAIL_UNIT];
    rush_sow_kind kind;
    bool told = character->bracket.length && !rush_sow_kind_named(character->bracket, &kind);
    character->measure = character->name.details->fields[RUSH_DETAIL_MEASURE]->text;
    character->unit = told ? character->bracket : unit->text;
    if (!character->unit.length && rush_sow_alike(character->measure, rush_text_of("length")))
        character->unit = rush_text_of("mm");
    if (told && unit->text.length && !rush_sow_alike(unit->text, character->bracket))
        rush_sow_diagnose(plan, unit, RUSH_UNKNOWN_UNIT, "the table of taxa has the unit '%.*s'",
                          (int)character->bracket.length, character->bracket.at);
}

static void settle_kind(rush_sow_plan *plan, rush_sow_character *character)
{
    rush_sow_kind kind;
    if (!kind_of(plan, character->name.details, &kind))
        return;
    if (character->kind_given && kind != character->kind) {
        rush_diagnostic *made =
            rush_sow_diagnose(plan, character->name.details->place, RUSH_WRONG_TRAIT,
                              "the table of taxa makes another kind of character of '%.*s'",
                              (int)character->name.written.length, character->name.written.at);
        rush_sow_other(plan, made, character->head, "it is here");
        return;
    }
    character->kind = kind;
    character->kind_given = true;
    if (kind == RUSH_SOW_NUMBER)
        settle_unit(plan, character);
}

/* ---- rows ------------------------------------------------------------------------------------- */

/* The character of the table of taxa that is called so, its bracket apart or not. */
static uint32_t find_column(const rush_sow_plan *plan, rush_text name)
{
    uint32_t column = rush_sow_find(plan, RUSH_SOW_SCOPE_HEADS, name);
    for (uint32_t i = 0; i < plan->characters.count && column != RUSH_NONE; i++)
        if (plan->characters.items[i].column == column)
            return i;
    return RUSH_NONE;
}

typedef RUSH_LIST(rush_sow_character) character_list;

static void take_row(rush_sow_plan *plan, uint32_t row, bool *taken, character_list *ordered)
{
    const rush_cell *cell = rush_sow_detail_cell(plan, row, RUSH_DETAIL_CHARACTER);
    uint32_t next = ordered->count;
    if (rush_sow_detail_cell(plan, row, RUSH_DETAIL_STATE)->text.length)
        return;
    if (rush_sow_add(plan, RUSH_SOW_SCOPE_DETAILS, cell->text, row) != row) {
        rush_sow_diagnose(plan, cell, RUSH_REPEATED_NAME, "'%.*s' has an earlier row",
                          (int)cell->text.length, cell->text.at);
        return;
    }
    for (int i = 0; i < RUSH_BUILT_IN_CHARACTERS; i++)
        if (rush_sow_alike(cell->text, rush_text_of(built_in[i]))) {
            plan->built_in[i].name.details = rush_sow_details_of(plan, row);
            return;
        }
    rush_sow_character *character = RUSH_PUSH(plan->arena, ordered);
    uint32_t at = find_column(plan, cell->text);
    if (at != RUSH_NONE && !taken[at]) {
        *character = plan->characters.items[at];
        taken[at] = true;
    } else {
        character->head = cell;
        character->column = character->source_column = character->note_column = RUSH_NONE;
    }
    character = &ordered->items[next];
    character->name.written = cell->text;
    character->name.details = rush_sow_details_of(plan, row);
    settle_kind(plan, character);
}

void rush_sow_outline(rush_sow_plan *plan)
{
    if (!plan->details.rows.count || !read_columns(plan)) {
        plan->details.rows.count = 0;
        return;
    }
    bool *taken = RUSH_ARRAY(plan->arena, bool, plan->characters.count + 1);
    character_list ordered = {0};
    for (uint32_t row = 1; row < plan->details.rows.count; row++) {
        if (rush_sow_detail_cell(plan, row, RUSH_DETAIL_CHARACTER)->text.length) {
            take_row(plan, row, taken, &ordered);
            continue;
        }
        uint32_t first = 0;
        while (!rush_sheet_cell(&plan->details, row, first)->text.length)
            first++;
        rush_sow_diagnose(plan, rush_sheet_cell(&plan->details, row, first), RUSH_MISSING_FIELD,
                          "this row names no character");
    }
    for (uint32_t i = 0; i < plan->characters.count; i++)
        if (!taken[i])
            *RUSH_PUSH(plan->arena, &ordered) = plan->characters.items[i];
    plan->characters.items = ordered.items;
    plan->characters.count = ordered.count;
    plan->characters.capacity = ordered.capacity;
}
