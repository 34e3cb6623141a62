#include <string.h>

#include "base/unicode.h"
#include "sow/plan.h"

enum { SKETCH_ROWS = 5, SKETCH_COLUMNS = 16, SHARED_MAX = 4 };

/* ---- values ----------------------------------------------------------------------------------- */

static const rush_cell nothing = {{"", 0}, {0, 0}, NULL};

rush_reach rush_sow_reach(rush_text word)
{
    for (int i = 0; i < RUSH_REACH_COUNT; i++)
        if (rush_sow_alike(word, rush_text_of(rush_reach_name((rush_reach)i))))
            return (rush_reach)i;
    return RUSH_REACH_NEAR;
}

/* A number as the key's format bounds it; a percentage stays one for a reading error alone. */
bool rush_sow_detail_number(const rush_cell *cell, rush_sow_detail field, double *number)
{
    static const struct {
        rush_sow_detail field;
        double low, high;
    } bounds[] = {{RUSH_DETAIL_EFFORT, 0.01, 1000},
                  {RUSH_DETAIL_MISREAD, 0, 0.9},
                  {RUSH_DETAIL_RESOLUTION, 0, 1e6},
                  {RUSH_DETAIL_READING_ERROR, 0, 1e6}};
    rush_text text = cell->text;
    bool percent = text.length && text.at[text.length - 1] == '%';
    if (percent)
        text = rush_text_trim((rush_text){text.at, text.length - 1});
    if (!rush_text_number(text, number))
        return false;
    if (percent && field != RUSH_DETAIL_READING_ERROR)
        *number /= 100;
    for (size_t i = 0; i < sizeof bounds / sizeof *bounds; i++)
        if (bounds[i].field == field)
            return *number >= bounds[i].low && *number <= bounds[i].high;
    return false;
}

static void check_numbers(rush_sow_plan *plan, rush_sow_details *details)
{
    static const rush_sow_detail numbers[] = {RUSH_DETAIL_EFFORT, RUSH_DETAIL_MISREAD,
                                              RUSH_DETAIL_RESOLUTION, RUSH_DETAIL_READING_ERROR};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        const rush_cell *cell = details->fields[numbers[i]];
        double number;
        if (!cell->text.length || rush_sow_detail_number(cell, numbers[i], &number))
            continue;
        rush_sow_diagnose(plan, cell, RUSH_BAD_NUMBER, "'%.*s' is no %s", (int)cell->text.length,
                          cell->text.at, rush_sow_detail_name(numbers[i]));
        details->fields[numbers[i]] = &nothing;
    }
}

/* One of a few words, or nothing. */
static void check_choice(rush_sow_plan *plan, rush_sow_details *details, rush_sow_detail field,
                         const char *const *words)
{
    const rush_cell *cell = details->fields[field];
    for (int i = 0; words[i]; i++)
        if (rush_sow_alike(cell->text, rush_text_of(words[i])))
            return;
    details->fields[field] = &nothing;
    if (!cell->text.length)
        return;
    rush_buffer all = {0};
    for (int i = 0; words[i]; i++)
        rush_buffer_format(&all, "%s%s", i ? ", " : "it is one of: ", words[i]);
    rush_diagnostic *made =
        rush_sow_diagnose(plan, cell, RUSH_BAD_CHOICE, "'%.*s' is not known here",
                          (int)cell->text.length, cell->text.at);
    rush_diagnose_help_from(plan->list, made, &all);
}

static void check_values(rush_sow_plan *plan, rush_sow_details *details)
{
    static const char *const reaches[] = {"far", "near", "close", "hand", NULL};
    static const char *const flags[] = {"yes", "no", "true", "false", NULL};
    check_numbers(plan, details);
    check_choice(plan, details, RUSH_DETAIL_REACH, reaches);
    check_choice(plan, details, RUSH_DETAIL_BARE, flags);
    check_choice(plan, details, RUSH_DETAIL_LOOK_NEXT, flags);
}

/* ---- names ------------------------------------------------------------------------------------ */

static void complain_taken(rush_sow_plan *plan, const rush_cell *cell, rush_text name)
{
    rush_diagnostic *made =
        rush_sow_diagnose(plan, cell, RUSH_REPEATED_NAME,
                          "something else is called '%.*s' already", (int)name.length, name.at);
    rush_diagnose_help(plan->list, made,
                       "this name was left out; upper and lower case count as alike");
}

/* Labels of a character: each can be typed, and is no other's. */
static void check_labels(rush_sow_plan *plan, rush_sow_details *details, uint32_t at)
{
    for (uint32_t l = 0; l < plan->languages.count; l++) {
        const rush_cell *cell = details->words[RUSH_DETAIL_LABEL][l];
        if (!cell)
            continue;
        bool good = rush_sow_good_character(plan, cell, cell->text);
        bool taken = good && rush_sow_add(plan, RUSH_SOW_SCOPE_LABELS, cell->text, at) != at;
        if (taken)
            complain_taken(plan, cell, cell->text);
        if (!good || taken)
            details->words[RUSH_DETAIL_LABEL][l] = NULL;
    }
}

/* Other names of a character may be those of others too, since the answer decides, but only so often, and not
 * before the one that it names first. */
static bool may_share(rush_sow_plan *plan, rush_text name, uint32_t at)
{
    uint32_t owner = rush_sow_find(plan, RUSH_SOW_SCOPE_LABELS, name);
    uint32_t scope = RUSH_SOW_SCOPE_ALSO, place = 0;
    if (owner == RUSH_NONE) {
        rush_sow_add(plan, RUSH_SOW_SCOPE_LABELS, name, at);
        return true;
    }
    if (owner == at)
        return true;
    if (owner > at)
        return false;
    for (; place < SHARED_MAX; place++) {
        uint32_t there = rush_sow_add(plan, scope + place, name, at);
        if (there == at)
            return true;
    }
    return false;
}

static void check_also(rush_sow_plan *plan, rush_sow_details *details, uint32_t at)
{
    const rush_cell *cell = details->fields[RUSH_DETAIL_ALSO];
    rush_text rest = cell->text;
    rush_cell_part part;
    while (rush_cell_part_take(&rest, plan->arena, &part)) {
        if (!rush_sow_good_character(plan, cell, part.name))
            continue;
        if (may_share(plan, part.name, at))
            *RUSH_PUSH(plan->arena, &details->also) = part.name;
        else
            complain_taken(plan, cell, part.name);
    }
}

/* All that a state may be called by is its own within its character. */
static void check_state_names(rush_sow_plan *plan, rush_sow_details *details, uint32_t scope,
                              uint32_t state)
{
    const rush_cell *cell = details->fields[RUSH_DETAIL_ALSO];
    rush_text rest = cell->text;
    rush_cell_part part;
    for (uint32_t l = 0; l < plan->languages.count; l++) {
        const rush_cell *label = details->words[RUSH_DETAIL_LABEL][l];
        if (!label)
            continue;
        bool good = rush_sow_good_name(plan, label, label->text, "state");
        bool taken = good && rush_sow_add(plan, scope, label->text, state) != state;
        if (taken)
            complain_taken(plan, label, label->text);
        if (!good || taken)
            details->words[RUSH_DETAIL_LABEL][l] = NULL;
    }
    while (rush_cell_part_take(&rest, plan->arena, &part)) {
        if (!rush_sow_good_name(plan, cell, part.name, "state"))
            continue;
        if (rush_sow_add(plan, scope, part.name, state) == state)
            *RUSH_PUSH(plan->arena, &details->also) = part.name;
        else
            complain_taken(plan, cell, part.name);
    }
}

/* ---- states ----------------------------------------------------------------------------------- */

static void check_sketch(rush_sow_plan *plan, rush_sow_details *details)
{
    const rush_cell *cell = details->fields[RUSH_DETAIL_SKETCH];
    if (!cell->text.length)
        return;
    rush_text drawing = rush_sheet_lines(plan->arena, cell);
    size_t rows = 0, columns = 0;
    for (size_t from = 0, to; from < drawing.length; from = to + 1) {
        for (to = from; to < drawing.length && drawing.at[to] != '\n';)
            to++;
        size_t wide = rush_text_columns((rush_text){drawing.at + from, to - from});
        columns = wide > columns ? wide : columns;
        rows++;
    }
    if (rows <= SKETCH_ROWS && columns <= SKETCH_COLUMNS)
        return;
    rush_sow_diagnose(plan, cell, RUSH_BAD_SKETCH,
                      "line art here has at most %d rows of %d columns", SKETCH_ROWS,
                      SKETCH_COLUMNS);
    details->fields[RUSH_DETAIL_SKETCH] = &nothing;
}

static bool has_states(const rush_sow_character *character)
{
    return character->kind == RUSH_SOW_STATES || character->kind == RUSH_SOW_SETTING;
}

static void list_states(rush_sow_plan *plan, uint32_t at, const rush_cell *cell)
{
    rush_text rest = cell->text;
    rush_cell_part part;
    while (rush_cell_part_take(&rest, plan->arena, &part))
        if (rush_sow_good_name(plan, cell, part.name, "state"))
            rush_sow_take_state(plan, cell, at, part.name);
}

static void give_details(rush_sow_plan *plan, rush_sow_name *state, uint32_t row, uint32_t scope,
                         uint32_t number)
{
    const rush_cell *cell = rush_sow_detail_cell(plan, row, RUSH_DETAIL_STATE);
    if (state->details) {
        rush_sow_diagnose(plan, cell, RUSH_REPEATED_NAME, "'%.*s' has an earlier row",
                          (int)cell->text.length, cell->text.at);
        return;
    }
    state->details = rush_sow_details_of(plan, row);
    check_state_names(plan, state->details, scope, number);
    check_sketch(plan, state->details);
}

static void read_sex_row(rush_sow_plan *plan, uint32_t row, const rush_cell *cell)
{
    rush_sow_character *sex = &plan->built_in[RUSH_SEX_CHARACTER];
    uint32_t state = rush_sow_find(plan, RUSH_SOW_SCOPE_SEXES, cell->text);
    if (state == RUSH_NONE)
        rush_sow_diagnose(plan, cell, RUSH_UNKNOWN_STATE, "a sex is male or female");
    else
        give_details(plan, &sex->states.items[state], row, RUSH_SOW_SCOPE_SEXES, state);
}

static void read_state_row(rush_sow_plan *plan, uint32_t row)
{
    const rush_cell *of = rush_sow_detail_cell(plan, row, RUSH_DETAIL_CHARACTER);
    const rush_cell *cell = rush_sow_detail_cell(plan, row, RUSH_DETAIL_STATE);
    if (!of->text.length || !cell->text.length)
        return;
    if (rush_sow_alike(of->text, rush_text_of("sex"))) {
        read_sex_row(plan, row, cell);
        return;
    }
    uint32_t at = rush_sow_find(plan, RUSH_SOW_SCOPE_CHARACTERS, of->text);
    if (at == RUSH_NONE || !has_states(&plan->characters.items[at])) {
        rush_sow_diagnose(plan, of, at == RUSH_NONE ? RUSH_UNKNOWN_CHARACTER : RUSH_WRONG_SHAPE,
                          at == RUSH_NONE ? "no table has a character '%.*s'"
                                          : "'%.*s' has no states",
                          (int)of->text.length, of->text.at);
        return;
    }
    uint32_t state = rush_sow_good_name(plan, cell, cell->text, "state")
                         ? rush_sow_take_state(plan, cell, at, cell->text)
                         : RUSH_NONE;
    if (state != RUSH_NONE)
        give_details(plan, &plan->characters.items[at].states.items[state], row,
                     RUSH_SOW_SCOPE_STATES + at, state);
}

/* `round|oval; straight|curved`. */
static void read_confused(rush_sow_plan *plan, uint32_t at, const rush_cell *cell)
{
    rush_sow_character *character = &plan->characters.items[at];
    rush_text rest = cell->text, group;
    while (rush_cell_group_take(&rest, &group)) {
        rush_sow_group made = {0};
        rush_cell_part part;
        while (rush_cell_part_take(&group, plan->arena, &part)) {
            uint32_t state = rush_sow_find(plan, RUSH_SOW_SCOPE_STATES + at, part.name);
            bool again = false;
            for (uint32_t i = 0; i < made.states.count; i++)
                again |= made.states.items[i] == state;
            if (state == RUSH_NONE)
                rush_sow_diagnose(plan, cell, RUSH_UNKNOWN_STATE,
                                  "the character '%.*s' has no state '%.*s'",
                                  (int)character->name.written.length, character->name.written.at,
                                  (int)part.name.length, part.name.at);
            else if (!again)
                *RUSH_PUSH(plan->arena, &made.states) = state;
        }
        if (made.states.count > 1)
            *RUSH_PUSH(plan->arena, &character->confused) = made;
    }
}

/* ---- numbers ---------------------------------------------------------------------------------- */

/* `small: under 35; large: over 60`. */
static void read_words(rush_sow_plan *plan, uint32_t at, const rush_cell *cell)
{
    rush_text rest = cell->text, piece;
    while (rush_cell_group_take(&rest, &piece)) {
        const char *colon = memchr(piece.at, ':', piece.length);
        size_t before = colon ? (size_t)(colon - piece.at) : 0;
        rush_text word = rush_text_trim((rush_text){piece.at, before});
        rush_text means = colon
                              ? rush_text_trim((rush_text){colon + 1, piece.length - before - 1})
                              : (rush_text){"", 0};
        uint32_t next = plan->characters.items[at].range_words.count;
        if (!word.length || !means.length) {
            rush_sow_diagnose(
                plan, cell, RUSH_WRONG_SHAPE,
                "write a word and what it means, as in small: under 35; large: over 60");
        } else if (rush_sow_good_name(plan, cell, word, "word")) {
            if (rush_sow_add(plan, RUSH_SOW_SCOPE_STATES + at, word, next) == next)
                *RUSH_PUSH(plan->arena, &plan->characters.items[at].range_words) =
                    (rush_sow_range_word){word, means};
            else
                complain_taken(plan, cell, word);
        }
    }
}

/* ---- all -------------------------------------------------------------------------------------- */

static void name_sexes(rush_sow_plan *plan)
{
    static const char *const names[][2] = {{"male", "\xe2\x99\x82"}, {"female", "\xe2\x99\x80"}};
    for (uint32_t i = 0; i < 2; i++) {
        rush_text id = rush_text_of(names[i][0]);
        *RUSH_PUSH(plan->arena, &plan->built_in[RUSH_SEX_CHARACTER].states) =
            (rush_sow_name){id, id, NULL};
        for (int j = 0; j < 2; j++)
            rush_sow_add(plan, RUSH_SOW_SCOPE_SEXES, rush_text_of(names[i][j]), i);
    }
}

static void refine_character(rush_sow_plan *plan, uint32_t at)
{
    rush_sow_character *character = &plan->characters.items[at];
    rush_sow_details *details = character->name.details;
    if (!details)
        return;
    check_values(plan, details);
    if (has_states(character))
        list_states(plan, at, details->fields[RUSH_DETAIL_STATES]);
    else if (character->kind == RUSH_SOW_NUMBER)
        read_words(plan, at, details->fields[RUSH_DETAIL_WORDS]);
}

/* The names in the loader's order: those that every key has, then each character's. Its own name comes before
 * another's. */
static void refine_names(rush_sow_plan *plan)
{
    static const char *const built_in[] = {"sex", "form", "taxon"};
    const uint32_t first = RUSH_BUILT_IN_CHARACTERS;
    for (uint32_t i = 0; i < first; i++)
        rush_sow_add(plan, RUSH_SOW_SCOPE_LABELS, rush_text_of(built_in[i]), i);
    for (uint32_t i = 0; i < plan->characters.count; i++)
        rush_sow_add(plan, RUSH_SOW_SCOPE_LABELS, plan->characters.items[i].name.written,
                     first + i);
    for (uint32_t i = 0; i < first; i++)
        if (plan->built_in[i].name.details) {
            check_values(plan, plan->built_in[i].name.details);
            check_labels(plan, plan->built_in[i].name.details, i);
            check_also(plan, plan->built_in[i].name.details, i);
        }
    for (uint32_t i = 0; i < plan->characters.count; i++)
        if (plan->characters.items[i].name.details) {
            check_labels(plan, plan->characters.items[i].name.details, first + i);
            check_also(plan, plan->characters.items[i].name.details, first + i);
        }
}

void rush_sow_refine(rush_sow_plan *plan)
{
    if (!plan->details.rows.count)
        return;
    name_sexes(plan);
    refine_names(plan);
    for (uint32_t i = 0; i < plan->characters.count; i++)
        refine_character(plan, i);
    for (uint32_t row = 1; row < plan->details.rows.count; row++)
        read_state_row(plan, row);
    for (uint32_t i = 0; i < plan->characters.count; i++)
        if (plan->characters.items[i].name.details && has_states(&plan->characters.items[i]))
            read_confused(plan, i,
                          plan->characters.items[i].name.details->fields[RUSH_DETAIL_CONFUSED]);
}
