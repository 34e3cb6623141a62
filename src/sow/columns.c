#include <string.h>

#include "sow/plan.h"

/* Told once a column, at its first cell. */
void rush_sow_headless(rush_sow_plan *plan, const rush_sheet *sheet)
{
    bool *told = RUSH_ARRAY(plan->arena, bool, sheet->columns + 1);
    for (uint32_t row = 1; row < sheet->rows.count; row++)
        for (uint32_t column = 0; column < sheet->rows.items[row].count; column++) {
            const rush_cell *cell = rush_sheet_cell(sheet, row, column);
            if (told[column] || !cell->text.length ||
                rush_sheet_cell(sheet, 0, column)->text.length)
                continue;
            told[column] = true;
            rush_diagnostic *made = rush_sow_diagnose(plan, cell, RUSH_WRONG_SHAPE,
                                                      "this column has no name in the first row");
            rush_diagnose_help(plan->list, made,
                               "name it, or leave the column out; a cell with a separator in it "
                               "needs quotation marks");
        }
}

static void complain_twice(rush_sow_plan *plan, const rush_cell *head)
{
    rush_diagnostic *made =
        rush_sow_diagnose(plan, head, RUSH_REPEATED_FIELD, "a second column '%.*s'",
                          (int)head->text.length, head->text.at);
    rush_diagnose_help(plan->list, made,
                       "it was not read; give it another name, or leave it out");
}

void rush_sow_take_words(rush_sow_plan *plan, const rush_cell *head,
                         rush_sow_word_columns *columns, rush_text language, uint32_t column)
{
    uint32_t next = plan->languages.count;
    uint32_t number = rush_sow_add(plan, RUSH_SOW_SCOPE_LANGUAGES, language, next);
    if (number == next)
        *RUSH_PUSH(plan->arena, &plan->languages) = language;
    for (uint32_t i = 0; i < columns->count; i++)
        if (columns->items[i].language == number) {
            complain_twice(plan, head);
            return;
        }
    *RUSH_PUSH(plan->arena, columns) = (rush_sow_word_column){column, number};
}

void rush_sow_take_once(rush_sow_plan *plan, const rush_cell *head, uint32_t *place,
                        uint32_t column)
{
    if (*place == RUSH_NONE)
        *place = column;
    else
        complain_twice(plan, head);
}

/* Whether a column says what a row is, and no trait of it. */
static bool take_known(rush_sow_plan *plan, const rush_cell *head, uint32_t column)
{
    rush_sow_field field;
    rush_sow_words words;
    rush_taxon_rank rank;
    rush_text language;
    if (rush_sow_field_named(head->text, &field))
        rush_sow_take_once(plan, head, &plan->fields[field], column);
    else if (rush_sow_words_named(head->text, &words, &language))
        rush_sow_take_words(plan, head, &plan->words[words], language, column);
    else if (rush_sow_rank_named(head->text, &rank))
        rush_sow_take_once(plan, head, &plan->groups[rank], column);
    else
        return false;
    return true;
}

/* The name in front of a bracket, whatever the bracket says. */
static rush_text bare_head(rush_text head)
{
    rush_text name, bracket;
    return rush_sow_bracket(head, &name, &bracket) ? name : head;
}

static void take_character(rush_sow_plan *plan, const rush_cell *head, uint32_t column)
{
    rush_sow_character *character = RUSH_PUSH(plan->arena, &plan->characters);
    character->head = head;
    character->column = column;
    character->source_column = character->note_column = RUSH_NONE;
    character->name.written = head->text;
    if (!rush_sow_bracket(head->text, &character->name.written, &character->bracket))
        return;
    character->kind_given = rush_sow_kind_named(character->bracket, &character->kind);
}

/* `X source` and `X note` of a column X. */
static bool take_backing(rush_sow_plan *plan, const rush_cell *head, uint32_t column)
{
    rush_text of;
    bool note;
    if (!rush_sow_backing_named(head->text, &of, &note))
        return false;
    uint32_t at = rush_sow_find(plan, RUSH_SOW_SCOPE_HEADS, of);
    if (at == RUSH_NONE || at == column)
        return false;
    for (uint32_t i = 0; i < plan->characters.count; i++) {
        rush_sow_character *character = &plan->characters.items[i];
        if (character->column == at)
            rush_sow_take_once(
                plan, head, note ? &character->note_column : &character->source_column, column);
    }
    return true;
}

static bool is_explicit(rush_text head)
{
    rush_text name, bracket;
    rush_sow_kind kind;
    return rush_sow_bracket(head, &name, &bracket) && rush_sow_kind_named(bracket, &kind);
}

/* Without a column `taxon` that of the species will do. */
static bool find_taxon(rush_sow_plan *plan)
{
    if (plan->fields[RUSH_SOW_TAXON] == RUSH_NONE) {
        plan->fields[RUSH_SOW_TAXON] = plan->groups[RUSH_RANK_SPECIES];
        plan->groups[RUSH_RANK_SPECIES] = RUSH_NONE;
    }
    if (plan->fields[RUSH_SOW_TAXON] != RUSH_NONE)
        return true;
    rush_diagnostic *made = rush_sow_diagnose(plan, rush_sheet_cell(&plan->sheet, 0, 0),
                                              RUSH_MISSING_FIELD, "no column is called 'taxon'");
    rush_diagnose_help(plan->list, made,
                       "the first row names the columns: `taxon`, and a character in each other");
    return false;
}

bool rush_sow_columns(rush_sow_plan *plan)
{
    RUSH_LIST(uint32_t) others = {0};
    for (int i = 0; i < RUSH_SOW_FIELDS; i++)
        plan->fields[i] = RUSH_NONE;
    for (int i = 0; i < RUSH_RANK_COUNT; i++)
        plan->groups[i] = RUSH_NONE;
    rush_sow_headless(plan, &plan->sheet);
    for (uint32_t column = 0; column < plan->sheet.columns; column++) {
        const rush_cell *head = rush_sheet_cell(&plan->sheet, 0, column);
        if (head->text.length && (is_explicit(head->text) || !take_known(plan, head, column)))
            *RUSH_PUSH(plan->arena, &others) = column;
    }
    for (uint32_t i = 0; i < others.count; i++) {
        rush_text head = rush_sow_head(plan, others.items[i]);
        rush_sow_add(plan, RUSH_SOW_SCOPE_HEADS, bare_head(head), others.items[i]);
        rush_sow_add(plan, RUSH_SOW_SCOPE_HEADS, head, others.items[i]);
    }
    for (int backing = 0; backing < 2; backing++)
        for (uint32_t i = 0; i < others.count; i++) {
            const rush_cell *head = rush_sheet_cell(&plan->sheet, 0, others.items[i]);
            rush_text of;
            bool note, is = !is_explicit(head->text) &&
                            rush_sow_backing_named(head->text, &of, &note) &&
                            rush_sow_find(plan, RUSH_SOW_SCOPE_HEADS, of) != RUSH_NONE;
            if (is == (backing == 1) && !(is && take_backing(plan, head, others.items[i])))
                take_character(plan, head, others.items[i]);
        }
    return find_taxon(plan);
}
