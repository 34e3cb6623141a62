#include <string.h>

#include "sow/plan.h"

/* Units that are known without numbers below them, and what they measure. */
static const struct {
    const char *unit, *measure;
} units[] = {{"mm", "length"},     {"cm", "length"}, {"m", "length"}, {"in", "length"},
             {"g", "mass"},        {"mg", "mass"},   {"kg", "mass"},  {"\xc2\xb0", "angle"},
             {"degrees", "angle"}, {"s", "time"},    {"min", "time"}, {"h", "time"}};

static const char *measure_of(rush_text unit)
{
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (rush_sow_alike(unit, rush_text_of(units[i].unit)))
            return units[i].measure;
    return NULL;
}

/* What a column's cells look like. */
typedef struct column_look {
    uint32_t cells, numbers, months, named_months;
    rush_text unit; /* of the first number that has a known one */
    bool decimals;
} column_look;

static bool says_nothing(rush_text text)
{
    return !text.length || rush_sow_alike(text, rush_text_of(RUSH_CELL_UNKNOWN)) ||
           rush_sow_alike(text, rush_text_of(RUSH_CELL_INAPPLICABLE)) ||
           rush_cell_is_nothing(text);
}

static bool has_letter(rush_text text)
{
    for (size_t i = 0; i < text.length; i++)
        if ((text.at[i] >= 'a' && text.at[i] <= 'z') || (text.at[i] >= 'A' && text.at[i] <= 'Z'))
            return true;
    return false;
}

static void look_at(rush_text text, column_look *look)
{
    rush_cell_number number;
    unsigned months;
    if (says_nothing(text))
        return;
    look->cells++;
    if (rush_cell_number_read(text, &number) &&
        (!number.unit.length || measure_of(number.unit))) {
        look->numbers++;
        look->decimals |= memchr(text.at, '.', text.length) || memchr(text.at, ',', text.length);
        if (!look->unit.length)
            look->unit = number.unit;
    }
    if (rush_cell_months_read(text, &months)) {
        look->months++;
        look->named_months += has_letter(text);
    }
}

/* Every column at once, by the cells that are there: a table may be mostly empty. */
static const column_look *look_at_all(const rush_sow_plan *plan)
{
    column_look *looks = RUSH_ARRAY(plan->arena, column_look, plan->sheet.columns + 1);
    for (uint32_t row = 1; row < plan->sheet.rows.count; row++)
        for (uint32_t column = 0; column < plan->sheet.rows.items[row].count; column++)
            look_at(rush_sheet_cell(&plan->sheet, row, column)->text, &looks[column]);
    return looks;
}

static bool names_months(rush_text head)
{
    return rush_sow_alike(head, rush_text_of("month")) ||
           rush_sow_alike(head, rush_text_of("months")) ||
           rush_sow_alike(head, rush_text_of("season"));
}

/* A number without a unit is a count when all are whole. */
static void settle_number(rush_sow_character *character, const column_look *look)
{
    rush_text bracket = character->bracket;
    rush_sow_kind named;
    character->kind = RUSH_SOW_NUMBER;
    character->unit = look->unit;
    if (bracket.length && !rush_sow_kind_named(bracket, &named))
        character->unit = bracket;
    const char *measure = character->unit.length ? measure_of(character->unit) : NULL;
    bool count = bracket.length && rush_sow_alike(bracket, rush_text_of("count"));
    if (!measure)
        measure = !character->unit.length && (count || (!bracket.length && !look->decimals))
                      ? "count"
                      : "number";
    character->measure = rush_text_of(measure);
}

static void settle_kind(rush_sow_character *character, const column_look *looks)
{
    if (character->kind_given && character->measure.length)
        return; /* the table of characters says it all */
    column_look look = {0};
    if (character->column != RUSH_NONE)
        look = looks[character->column];
    bool mostly_numbers = 2 * look.numbers > look.cells;
    if (character->kind_given) {
        if (character->kind == RUSH_SOW_NUMBER)
            settle_number(character, &look);
        return;
    }
    if (character->bracket.length && (measure_of(character->bracket) || mostly_numbers)) {
        settle_number(character, &look);
        return;
    }
    character->name.written = character->head->text; /* the bracket belongs to the name */
    bool season = names_months(character->name.written);
    if (look.months && 2 * look.months > look.cells && (season || look.named_months))
        character->kind = RUSH_SOW_MONTHS;
    else if (mostly_numbers)
        settle_number(character, &look);
    else
        character->kind = RUSH_SOW_STATES;
}

/* Whether the character can be called so, and nothing else is. */
static bool good_character(rush_sow_plan *plan, const rush_sow_character *character, uint32_t at)
{
    static const char *const built_in[] = {"sex", "form", "taxon"};
    rush_text name = character->name.written;
    if (!rush_sow_good_character(plan, character->head, name))
        return false;
    bool taken = rush_sow_add(plan, RUSH_SOW_SCOPE_CHARACTERS, name, at) != at;
    for (size_t i = 0; i < sizeof built_in / sizeof *built_in; i++)
        taken |= rush_sow_alike(name, rush_text_of(built_in[i]));
    if (taken) {
        rush_diagnostic *made = rush_sow_diagnose(plan, character->head, RUSH_REPEATED_NAME,
                                                  "another character is called '%.*s' too",
                                                  (int)name.length, name.at);
        rush_diagnose_help(plan->list, made, "this column was not read; name it otherwise");
    }
    return !taken;
}

void rush_sow_kinds(rush_sow_plan *plan)
{
    const column_look *looks = look_at_all(plan);
    uint32_t kept = 0;
    plan->character_of = RUSH_ARRAY(plan->arena, uint32_t, plan->sheet.columns + 1);
    for (uint32_t column = 0; column < plan->sheet.columns; column++)
        plan->character_of[column] = RUSH_NONE;
    for (uint32_t i = 0; i < plan->characters.count; i++) {
        rush_sow_character *character = &plan->characters.items[i];
        settle_kind(character, looks);
        if (!good_character(plan, character, kept))
            continue;
        character->name.id = rush_sow_id(plan, character->name.written);
        if (character->column != RUSH_NONE)
            plan->character_of[character->column] = kept;
        plan->characters.items[kept++] = *character;
    }
    plan->characters.count = kept;
}
