#include <math.h>
#include <string.h>

#include "base/number.h"
#include "key/month.h"
#include "sow/plan.h"

/* ---- numbers ---------------------------------------------------------------------------------- */

/* `4-Oct`, `Oct-04`, `2026-10-04`, `04.10.2026`: what a spreadsheet makes of 4-10. */
static bool became_date(rush_text text)
{
    unsigned months;
    int groups = 0;
    for (size_t i = 0; i < text.length; i++)
        groups += text.at[i] >= '0' && text.at[i] <= '9' &&
                  (i == 0 || text.at[i - 1] < '0' || text.at[i - 1] > '9');
    return rush_months_read(text, &months) || rush_date_read(text, &months) ||
           (groups == 3 && text.length <= 10 && memchr(text.at, '0', text.length));
}

static void complain_number(rush_sow_plan *plan, const rush_cell *cell)
{
    rush_diagnostic *made =
        rush_sow_diagnose(plan, cell, RUSH_BAD_RANGE, "'%.*s' is not a number or a range",
                          (int)cell->text.length, cell->text.at);
    if (became_date(cell->text))
        rush_diagnose_help(
            plan->list, made,
            "a spreadsheet made a date of a range: write `4 to 10`, or let it take "
            "the column for text");
    else
        rush_diagnose_help(plan->list, made,
                           "write 34, 30-36, 33\xc2\xb1"
                           "2 (mean and sd), inapplicable or unknown, or nothing");
}

static bool in_bounds(const rush_cell_number *number)
{
    const double most = 1e9;
    return fabs(number->low) <= most && fabs(number->high) <= most &&
           fabs(number->mean) <= most &&
           (number->ranged || (number->sd >= 1e-9 && number->sd <= most));
}

static bool read_number(rush_sow_plan *plan, const rush_cell *cell,
                        const rush_sow_character *character, rush_cell_number *number)
{
    double factor = 1;
    if (!rush_cell_number_read(cell->text, number)) {
        complain_number(plan, cell);
        return false;
    }
    rush_text unit = number->unit;
    if (unit.length && !rush_unit_factor(unit, character->unit, &factor)) {
        rush_diagnostic *made = rush_sow_diagnose(
            plan, cell, RUSH_UNKNOWN_UNIT, "'%.*s' is not a unit of '%.*s'", (int)unit.length,
            unit.at, (int)character->name.written.length, character->name.written.at);
        if (character->unit.length)
            rush_diagnose_help(plan->list, made, "its unit is '%.*s'",
                               (int)character->unit.length, character->unit.at);
        else
            rush_diagnose_help(plan->list, made, "name the unit in the header: `%.*s (%.*s)`",
                               (int)character->name.written.length, character->name.written.at,
                               (int)unit.length, unit.at);
        return false;
    }
    number->low *= factor;
    number->high *= factor;
    number->mean *= factor;
    number->sd *= factor;
    if (number->ranged && number->low > number->high) {
        rush_diagnostic *made =
            rush_sow_diagnose(plan, cell, RUSH_BAD_RANGE, "the range '%.*s' is reversed",
                              (int)cell->text.length, cell->text.at);
        rush_diagnose_help(plan->list, made, "write the lower number first");
        return false;
    }
    if (!in_bounds(number)) {
        rush_sow_diagnose(plan, cell, RUSH_BAD_NUMBER, "'%.*s' is out of bounds",
                          (int)cell->text.length, cell->text.at);
        return false;
    }
    return true;
}

/* ---- states ----------------------------------------------------------------------------------- */

enum { STATES_MAX = 64 };

uint32_t rush_sow_take_state(rush_sow_plan *plan, const rush_cell *cell, uint32_t at,
                             rush_text name)
{
    rush_sow_character *character = &plan->characters.items[at];
    uint32_t next = character->states.count;
    uint32_t state = rush_sow_find(plan, RUSH_SOW_SCOPE_STATES + at, name);
    if (state != RUSH_NONE)
        return state;
    if (next == STATES_MAX) {
        rush_diagnostic *made = rush_sow_diagnose(
            plan, cell, RUSH_TOO_LARGE, "the character '%.*s' has more than %d states",
            (int)character->name.written.length, character->name.written.at, STATES_MAX);
        rush_diagnose_help(plan->list, made, "a character of so many states tells nothing");
        return RUSH_NONE;
    }
    rush_sow_add(plan, RUSH_SOW_SCOPE_STATES + at, name, next);
    *RUSH_PUSH(plan->arena, &character->states) =
        (rush_sow_name){name, rush_sow_id(plan, name), NULL};
    return next;
}

static bool add_part(rush_sow_plan *plan, const rush_cell *cell, rush_sow_trait *trait,
                     const rush_cell_part *part)
{
    if (!part->name.length || (!part->quoted && rush_cell_is_nothing(part->name))) {
        rush_diagnostic *made =
            rush_sow_diagnose(plan, cell, RUSH_WRONG_SHAPE, "a state is missing in '%.*s'",
                              (int)cell->text.length, cell->text.at);
        rush_diagnose_help(plan->list, made, "write red, red|orange, or red 0.7|orange 0.3");
        return false;
    }
    if (!rush_sow_good_name(plan, cell, part->name, "state"))
        return false;
    uint32_t state = rush_sow_take_state(plan, cell, trait->character, part->name);
    if (state == RUSH_NONE)
        return false;
    for (uint32_t i = 0; i < trait->parts.count; i++)
        if (trait->parts.items[i].state == state) {
            rush_sow_diagnose(plan, cell, RUSH_REPEATED_FIELD, "one state twice in one trait");
            return false;
        }
    *RUSH_PUSH(plan->arena, &trait->parts) = (rush_sow_part){state, part->weight};
    return true;
}

/* Either all have a weight or none has; but for a setting's they sum to 1. */
static bool good_weights(rush_sow_plan *plan, const rush_cell *cell, const rush_sow_trait *trait)
{
    uint32_t weighted = 0;
    double sum = 0;
    for (uint32_t i = 0; i < trait->parts.count; i++)
        if (trait->parts.items[i].weight >= 0) {
            weighted++;
            sum += trait->parts.items[i].weight;
        }
    bool setting = plan->characters.items[trait->character].kind == RUSH_SOW_SETTING;
    if (!weighted ||
        (weighted == trait->parts.count && (setting ? sum > 0 : fabs(sum - 1) <= 1e-6)))
        return true;
    char total[RUSH_NUMBER_TEXT];
    rush_diagnostic *made =
        weighted < trait->parts.count
            ? rush_sow_diagnose(plan, cell, RUSH_WEIGHTS_SUM,
                                "some of these states have a weight and others none")
            : rush_sow_diagnose(plan, cell, RUSH_WEIGHTS_SUM, "the weights sum to %s, not to 1",
                                rush_number_text(total, sum, 6));
    rush_diagnose_help(plan->list, made, "make them sum to 1, or write red|orange for either");
    return false;
}

static bool read_states(rush_sow_plan *plan, const rush_cell *cell, rush_sow_trait *trait)
{
    rush_text rest = cell->text;
    rush_cell_part part;
    while (rush_cell_part_take(&rest, plan->arena, &part))
        if (!add_part(plan, cell, trait, &part))
            return false;
    return good_weights(plan, cell, trait);
}

/* ---- a cell ----------------------------------------------------------------------------------- */

static bool read_value(rush_sow_plan *plan, const rush_cell *cell, rush_sow_trait *trait)
{
    const rush_sow_character *character = &plan->characters.items[trait->character];
    if (rush_sow_alike(cell->text, rush_text_of(RUSH_CELL_UNKNOWN)))
        trait->said = RUSH_SOW_UNKNOWN;
    else if (rush_sow_alike(cell->text, rush_text_of(RUSH_CELL_INAPPLICABLE)))
        trait->said = RUSH_SOW_INAPPLICABLE;
    if (trait->said != RUSH_SOW_SCORED)
        return true;
    if (rush_cell_is_nothing(cell->text)) {
        rush_diagnostic *made = rush_sow_diagnose(plan, cell, RUSH_BAD_CHOICE,
                                                  "'%.*s' does not say why there is nothing",
                                                  (int)cell->text.length, cell->text.at);
        rush_diagnose_help(plan->list, made,
                           "`inapplicable`: it cannot show; `unknown`: not known, whatever its "
                           "group shows; an empty cell: not scored yet, or as in its group");
        return false;
    }
    if (character->kind == RUSH_SOW_NUMBER)
        return read_number(plan, cell, character, &trait->number);
    if (character->kind != RUSH_SOW_MONTHS)
        return read_states(plan, cell, trait);
    if (rush_cell_months_read(cell->text, &trait->months))
        return true;
    rush_diagnostic *made = rush_sow_diagnose(plan, cell, RUSH_BAD_MONTHS, "'%.*s' is not months",
                                              (int)cell->text.length, cell->text.at);
    rush_diagnose_help(plan->list, made,
                       "write Apr-Oct, 4-10, May|Aug-Sep or all year, in English");
    return false;
}

bool rush_sow_trait_read(rush_sow_plan *plan, uint32_t row, uint32_t at, rush_sow_trait *trait)
{
    const rush_sow_character *character = &plan->characters.items[at];
    const rush_cell *cell = rush_sheet_cell(&plan->sheet, row, character->column);
    *trait = (rush_sow_trait){.character = at, .source = RUSH_NONE};
    if (!cell->text.length || !read_value(plan, cell, trait))
        return false;
    character = &plan->characters.items[at];
    if (character->source_column != RUSH_NONE)
        trait->source =
            rush_sow_source(plan, rush_sheet_cell(&plan->sheet, row, character->source_column));
    if (character->note_column != RUSH_NONE)
        trait->note = rush_sheet_cell(&plan->sheet, row, character->note_column)->text;
    return true;
}
