#include <stdlib.h>

#include "report/grid.h"
#include "report/words.h"

/* A grid with a row for each taxon, or for each form that looks different. */
typedef struct trait_grid {
    const rush_trait_table *table;
    rush_grid grid;
    uint32_t *characters; /* by column behind the first */
    uint32_t *shown; /* columns that differ over the rows, the names first; the others go below */
    uint32_t shown_count;
    bool inapplicable; /* some cell says so */
} trait_grid;

/* ---- cells --------------------------------------------------------------------------------------- */

/* How much of its insects a form must show a state in for the table to name it. */
static double least_shown(const rush_character *character)
{
    return character->setting ? 1e-9 : RUSH_SHARE_SHOWN;
}

/* The likeliest state of those that are not listed yet: less likely than the last one, or as likely and
 * behind it. RUSH_NONE: no more. */
static uint32_t next_state(const rush_trait *trait, const rush_character *character,
                           uint32_t last)
{
    uint32_t best = RUSH_NONE;
    for (uint32_t s = 0; s < character->state_count; s++) {
        double weight = trait->weights[s], before = last == RUSH_NONE ? 2 : trait->weights[last];
        bool later = weight < before || (weight == before && s > last);
        if (weight >= least_shown(character) && later &&
            (best == RUSH_NONE || weight > trait->weights[best]))
            best = s;
    }
    return best;
}

/* What it can show, the likeliest first; what few show is left to `about TAXON`. */
static void write_states(const rush_trait_table *table, const rush_trait *trait,
                         rush_buffer *buffer)
{
    const rush_key *key = table->part->key;
    const rush_character *character = rush_key_character(key, trait->character);
    uint32_t first = next_state(trait, character, RUSH_NONE);
    bool equal = true;
    for (uint32_t s = first; s != RUSH_NONE; s = next_state(trait, character, s))
        equal &= trait->weights[s] == trait->weights[first];
    for (uint32_t s = first; s != RUSH_NONE; s = next_state(trait, character, s)) {
        rush_buffer_string(buffer, s == first                     ? ""
                                   : equal && !character->setting ? " or "
                                                                  : ", ");
        rush_words_state(key, trait->character, s, table->language, buffer);
        if (equal || character->setting)
            continue;
        rush_buffer_string(buffer, " (");
        rush_buffer_number(buffer, trait->weights[s] * 100, 0);
        rush_buffer_string(buffer, RUSH_GRID_JOINED "%)");
    }
}

static void write_trait(trait_grid *with, uint32_t form, uint32_t character)
{
    const rush_key *key = with->table->part->key;
    rush_buffer *buffer = &with->grid.text;
    const rush_trait *trait = rush_key_trait(key, form, character, NULL);
    if (!trait || trait->kind == RUSH_TRAIT_UNSCORED)
        return;
    if (trait->kind == RUSH_TRAIT_INAPPLICABLE) {
        rush_buffer_byte(buffer, '-');
        with->inapplicable = true;
    } else if (rush_key_character(key, character)->kind == RUSH_KIND_STATES) {
        write_states(with->table, trait, buffer);
    } else {
        rush_words_trait(key, trait, with->table->language, buffer);
    }
}

/* ---- rows ---------------------------------------------------------------------------------------- */

static bool add_names(trait_grid *with)
{
    if (!rush_grid_row(&with->grid))
        return false;
    rush_grid_cell(&with->grid);
    for (uint32_t c = 1; c < with->grid.columns; c++) {
        rush_words_character(with->table->part->key, with->characters[c - 1],
                             with->table->language, &with->grid.text);
        rush_grid_cell(&with->grid);
    }
    return true;
}

/* The row of a form; it is the taxon's unless `name_form`. */
static bool add_row(trait_grid *with, uint32_t at, bool name_form)
{
    const rush_key *key = with->table->part->key;
    const rush_form *form = rush_key_form(key, at);
    rush_grid *grid = &with->grid;
    if (!rush_grid_row(grid))
        return false;
    rush_words_taxon(key, form->taxon, with->table->language, &grid->text);
    if (name_form && form->sex != RUSH_SEX_ANY)
        rush_buffer_format(&grid->text, ", %s", rush_sex_name(form->sex));
    if (name_form && form->name) {
        rush_buffer_string(&grid->text, ", ");
        rush_buffer_safe(&grid->text, rush_text_of(form->name));
    }
    rush_grid_cell(grid);
    for (uint32_t c = 1; c < grid->columns; c++) {
        write_trait(with, at, with->characters[c - 1]);
        rush_grid_cell(grid);
    }
    return !grid->text.failed;
}

static bool rows_alike(const rush_grid *grid, uint32_t a, uint32_t b)
{
    for (uint32_t c = 1; c < grid->columns; c++)
        if (!rush_text_equal(rush_grid_text(grid, a, c), rush_grid_text(grid, b, c)))
            return false;
    return true;
}

/* The rows of a taxon's forms; `alike` says whether they all say the same. */
static bool add_forms(trait_grid *with, uint32_t taxon, bool name_forms, bool *alike)
{
    const rush_part *part = with->table->part;
    const rush_taxon *here = rush_key_taxon(part->key, taxon);
    uint32_t first = with->grid.rows;
    *alike = true;
    for (uint32_t f = here->first_form; f < here->first_form + here->form_count; f++) {
        if (!part->forms[f])
            continue;
        if (!add_row(with, f, name_forms))
            return false;
        *alike &= rows_alike(&with->grid, first, with->grid.rows - 1);
    }
    return true;
}

/* A taxon is one row when its forms look alike here, else it has a row for each. */
static bool add_taxon(trait_grid *with, uint32_t taxon)
{
    uint32_t first = with->grid.rows;
    bool alike;
    if (!add_forms(with, taxon, false, &alike))
        return false;
    if (with->grid.rows > first)
        rush_grid_cut(&with->grid, alike ? first + 1 : first);
    return alike || add_forms(with, taxon, true, &alike);
}

/* ---- columns ------------------------------------------------------------------------------------- */

static bool scored_in_part(const rush_part *part, uint32_t character)
{
    for (uint32_t f = 0; f < rush_key_form_count(part->key); f++) {
        const rush_trait *trait =
            part->forms[f] ? rush_key_trait(part->key, f, character, NULL) : NULL;
        if (trait && (trait->kind == RUSH_TRAIT_STATES || trait->kind == RUSH_TRAIT_NUMBER))
            return true;
    }
    return false;
}

/* Those that were asked for, else all that the part shows something of. */
static bool choose_characters(trait_grid *with)
{
    const rush_trait_table *table = with->table;
    bool chosen = table->character_count > 0;
    uint32_t all = chosen ? table->character_count : rush_key_character_count(table->part->key);
    with->characters = malloc(all * sizeof *with->characters);
    if (!with->characters)
        return false;
    with->grid.columns = 1;
    for (uint32_t i = chosen ? 0 : RUSH_BUILT_IN_CHARACTERS; i < all; i++)
        if (chosen || scored_in_part(table->part, i))
            with->characters[with->grid.columns++ - 1] = chosen ? table->characters[i] : i;
    return true;
}

static bool column_alike(const rush_grid *grid, uint32_t column)
{
    for (uint32_t row = 2; row < grid->rows; row++)
        if (!rush_text_equal(rush_grid_text(grid, 1, column), rush_grid_text(grid, row, column)))
            return false;
    return grid->rows > 2;
}

/* What is alike in all rows is said once, below; but not when it was asked for. */
static bool choose_shown(trait_grid *with)
{
    with->shown = malloc(with->grid.columns * sizeof *with->shown);
    if (!with->shown)
        return false;
    for (uint32_t c = 0; c < with->grid.columns; c++)
        if (!c || with->table->character_count || !column_alike(&with->grid, c))
            with->shown[with->shown_count++] = c;
    return true;
}

static bool fill(trait_grid *with)
{
    const rush_part *part = with->table->part;
    if (!choose_characters(with) || !add_names(with))
        return false;
    for (uint32_t i = 0; i < part->leaf_count; i++)
        if (!add_taxon(with, part->leaves[i]))
            return false;
    return choose_shown(with);
}

/* ---- notes --------------------------------------------------------------------------------------- */

static void write_note(const rush_trait_table *table, rush_text text, rush_buffer *buffer)
{
    rush_buffer lines = {0};
    rush_words_wrap(text, 4, table->columns, &lines);
    rush_grid_piece((rush_text){lines.bytes, lines.length}, buffer);
    rush_buffer_byte(buffer, '\n');
    buffer->failed |= lines.failed;
    rush_buffer_free(&lines);
}

/* "in all of them: mask: flat; tail end: three leaf-like gills" */
static void list_alike(const trait_grid *with, rush_buffer *note)
{
    for (uint32_t c = 1, next = 1; c < with->grid.columns; c++) {
        if (next < with->shown_count && with->shown[next] == c) {
            next++;
            continue;
        }
        rush_buffer_string(note, note->length ? "; " : "in all of them: ");
        rush_buffer_add(note, rush_grid_text(&with->grid, 0, c));
        rush_buffer_string(note, ": ");
        rush_buffer_add(note, rush_grid_text(&with->grid, 1, c));
    }
}

static void write_notes(const trait_grid *with, rush_buffer *buffer)
{
    rush_buffer note = {0};
    list_alike(with, &note);
    if ((note.length || with->inapplicable) && with->shown_count > 1)
        rush_buffer_byte(buffer, '\n');
    if (note.length)
        write_note(with->table, (rush_text){note.bytes, note.length}, buffer);
    if (with->inapplicable)
        write_note(with->table, rush_text_of("-: there is nothing to look at (inapplicable)"),
                   buffer);
    buffer->failed |= note.failed;
    rush_buffer_free(&note);
}

void rush_report_trait_table(const rush_trait_table *table, rush_buffer *buffer)
{
    trait_grid with = {.table = table};
    if (fill(&with)) {
        if (table->part->words[0]) {
            rush_words_wrap(rush_text_of(table->part->words), 0, table->columns, buffer);
            rush_buffer_string(buffer, "\n\n");
        }
        rush_grid_write(&with.grid, with.shown, with.shown_count, table->down, table->columns,
                        buffer);
        write_notes(&with, buffer);
    } else {
        buffer->failed = true;
    }
    free(with.shown);
    free(with.characters);
    rush_grid_free(&with.grid);
}
