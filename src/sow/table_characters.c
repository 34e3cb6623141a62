#include <math.h>
#include <string.h>

#include "sow/out.h"
#include "sow/plan.h"

enum { DECIMALS = 9 };

/* The table of characters on its way out: gone through twice, first to see which columns say something. */
typedef struct characters_out {
    rush_sow_out to;
    bool writing;
    bool fields[RUSH_DETAIL_FIELDS];
    bool words[RUSH_DETAIL_WORDED][RUSH_OUT_LANGUAGES];
} characters_out;

/* A row: a character, or one of its states. */
typedef struct characters_row {
    const rush_character *character;
    const rush_state *state; /* or NULL */
    bool built_in;
} characters_row;

/* What has been put together is the cell of a column; columns that say nothing anywhere are left out. */
static void end_cell(characters_out *out, bool *column)
{
    if (!out->writing) {
        *column |= out->to.cell.length > 0;
        out->to.csv->failed |= out->to.cell.failed;
        rush_buffer_clear(&out->to.cell);
    } else if (*column) {
        rush_sow_end_cell(&out->to);
    }
}

static void field_cell(characters_out *out, rush_sow_detail field, const char *text)
{
    rush_buffer_string(&out->to.cell, text ? text : "");
    end_cell(out, &out->fields[field]);
}

static void number_cell(characters_out *out, rush_sow_detail field, double number, double usual)
{
    if (number != usual)
        rush_buffer_number(&out->to.cell, number, DECIMALS);
    end_cell(out, &out->fields[field]);
}

/* ---- cells ------------------------------------------------------------------------------------ */

static const char *name_of(const characters_out *out, const rush_character *character)
{
    return rush_sow_shown_name(out->to.key, character->id, character->label);
}

static const char *name_of_state(const characters_out *out, const rush_state *state)
{
    return rush_sow_shown_name(out->to.key, state->id, state->label);
}

static bool in_one_language(const characters_out *out, rush_words words)
{
    for (uint32_t l = 1; l < rush_sow_languages(&out->to); l++)
        if (words.in && words.in[l])
            return false;
    return true;
}

/* A label that is the name says nothing more, unless another language has one: that would then stand for it. */
static void words_cells(characters_out *out, rush_sow_detail_words which, rush_words words,
                        const char *name)
{
    for (uint32_t l = 0; l < rush_sow_languages(&out->to); l++) {
        const char *text = words.in ? words.in[l] : NULL;
        bool is_name = text && l == 0 && name && strcmp(text, name) == 0;
        bool told = text && !(is_name && in_one_language(out, words));
        rush_buffer_string(&out->to.cell, told ? text : "");
        end_cell(out, &out->words[which][l]);
    }
}

static void also_cell(characters_out *out, const rush_also *also)
{
    for (uint32_t i = 0; i < also->count; i++) {
        rush_buffer_string(&out->to.cell, i ? "|" : "");
        rush_cell_part_write(rush_text_of(also->names[i]), -1, &out->to.cell);
    }
    end_cell(out, &out->fields[RUSH_DETAIL_ALSO]);
}

static bool lists_states(const characters_row *row)
{
    return !row->state && !row->built_in && row->character->kind == RUSH_KIND_STATES;
}

static void states_cells(characters_out *out, const characters_row *row)
{
    const rush_character *character = row->character;
    for (uint32_t s = 0; lists_states(row) && s < character->state_count; s++) {
        rush_buffer_string(&out->to.cell, s ? "|" : "");
        rush_cell_part_write(rush_text_of(name_of_state(out, &character->states[s])), -1,
                             &out->to.cell);
    }
    end_cell(out, &out->fields[RUSH_DETAIL_STATES]);
    for (uint32_t i = 0; lists_states(row) && i < character->confused_count; i++) {
        rush_buffer_string(&out->to.cell, i ? "; " : "");
        for (int side = 0; side < 2; side++) {
            rush_buffer_string(&out->to.cell, side ? "|" : "");
            rush_cell_part_write(rush_text_of(name_of_state(
                                     out, &character->states[character->confused[i][side]])),
                                 -1, &out->to.cell);
        }
    }
    end_cell(out, &out->fields[RUSH_DETAIL_CONFUSED]);
}

static void look_cells(characters_out *out, const characters_row *row)
{
    const rush_character *character = row->character;
    bool look = !row->built_in && !character->setting;
    bool sex = strcmp(character->id, "sex") == 0;
    bool taxon = character->kind == RUSH_KIND_TAXON;
    double misread = taxon ? character->misread : sex ? 0.1 : 0.05;
    bool near = row->state || character->reach == RUSH_REACH_NEAR;
    field_cell(out, RUSH_DETAIL_REACH, near ? NULL : rush_reach_name(character->reach));
    number_cell(out, RUSH_DETAIL_EFFORT, row->state ? 1 : character->effort, 1);
    number_cell(out, RUSH_DETAIL_MISREAD, row->state ? misread : character->misread, misread);
    field_cell(out, RUSH_DETAIL_BARE, !row->state && character->bare ? "yes" : NULL);
    field_cell(out, RUSH_DETAIL_LOOK_NEXT,
               row->state || character->look_next == look ? NULL
               : character->look_next                     ? "yes"
                                                          : "no");
}

static void reading_error_cell(characters_out *out, const rush_character *character)
{
    double error = character->reading_error * (character->reading_error_relative ? 100 : 1);
    rush_buffer_number(&out->to.cell, error, DECIMALS);
    rush_buffer_string(&out->to.cell, character->reading_error_relative ? "%" : "");
}

static void kind_cells(characters_out *out, const characters_row *row)
{
    static const rush_words no_words = {NULL};
    const rush_character *character = row->character;
    bool number = !row->state && character->kind == RUSH_KIND_NUMBER;
    bool setting = !row->state && character->setting;
    field_cell(out, RUSH_DETAIL_SETTING,
               !setting                              ? NULL
               : character->kind == RUSH_KIND_MONTHS ? "months"
                                                     : "states");
    field_cell(out, RUSH_DETAIL_MEASURE, number ? character->measure : NULL);
    field_cell(out, RUSH_DETAIL_UNIT, number ? character->unit : NULL);
    words_cells(out, RUSH_DETAIL_INCLUDES, number ? character->includes : no_words, NULL);
    if (number)
        reading_error_cell(out, character);
    end_cell(out, &out->fields[RUSH_DETAIL_READING_ERROR]);
    number_cell(out, RUSH_DETAIL_RESOLUTION, number ? character->resolution : 0, 0);
    for (uint32_t i = 0; number && i < character->word_count; i++)
        rush_buffer_format(&out->to.cell, "%s%s: %s", i ? "; " : "", character->words[i].word,
                           character->words[i].means);
    end_cell(out, &out->fields[RUSH_DETAIL_WORDS]);
}

static void sketch_cell(characters_out *out, const rush_state *state)
{
    const char *sketch = state ? state->sketch : NULL;
    if (out->writing && out->fields[RUSH_DETAIL_SKETCH])
        rush_sow_drawing_cell(&out->to, sketch);
    else
        out->fields[RUSH_DETAIL_SKETCH] |= sketch != NULL;
}

/* ---- rows ------------------------------------------------------------------------------------- */

static void write_row(characters_out *out, const characters_row *row)
{
    static const rush_words no_words = {NULL};
    const rush_character *character = row->character;
    const char *name = row->state ? name_of_state(out, row->state) : name_of(out, character);
    field_cell(out, RUSH_DETAIL_CHARACTER, name_of(out, character));
    field_cell(out, RUSH_DETAIL_STATE, row->state ? name : NULL);
    words_cells(out, RUSH_DETAIL_LABEL, row->state ? row->state->label : character->label, name);
    also_cell(out, row->state ? &row->state->also : &character->also);
    words_cells(out, RUSH_DETAIL_ASK, row->state ? no_words : character->ask, NULL);
    words_cells(out, RUSH_DETAIL_TIP, row->state ? no_words : character->tip, NULL);
    states_cells(out, row);
    look_cells(out, row);
    kind_cells(out, row);
    sketch_cell(out, row->state);
    if (out->writing)
        rush_sow_end_row(&out->to);
}

static bool has_more(const rush_words *words, const char *name, uint32_t languages)
{
    for (uint32_t l = 0; words->in && l < languages; l++)
        if (words->in[l] && !(l == 0 && strcmp(words->in[l], name) == 0))
            return true;
    return false;
}

/* Whether a state has more than its name. */
static bool has_row(const characters_out *out, const rush_state *state)
{
    return state->also.count || state->sketch ||
           has_more(&state->label, name_of_state(out, state),
                    rush_key_about(out->to.key)->language_count);
}

/* Whether a character that every key has says more here than everywhere. */
static bool is_refined(const rush_character *character)
{
    bool sex = strcmp(character->id, "sex") == 0;
    return character->label.in || character->ask.in || character->tip.in ||
           character->also.count || character->bare || character->look_next ||
           character->reach != RUSH_REACH_NEAR || character->effort != 1 ||
           (character->kind != RUSH_KIND_TAXON && character->misread != (sex ? 0.1 : 0.05));
}

static void each_row(characters_out *out)
{
    for (uint32_t c = 0; c < rush_key_character_count(out->to.key); c++) {
        const rush_character *character = rush_key_character(out->to.key, c);
        characters_row row = {character, NULL, c < RUSH_BUILT_IN_CHARACTERS};
        if (!row.built_in || is_refined(character))
            write_row(out, &row);
        bool states = character->kind == RUSH_KIND_STATES && c != RUSH_FORM_CHARACTER;
        for (uint32_t s = 0; states && s < character->state_count; s++) {
            row.state = &character->states[s];
            if (has_row(out, row.state))
                write_row(out, &row);
        }
    }
}

/* ---- the header ------------------------------------------------------------------------------- */

static void field_heads(characters_out *out, rush_sow_detail first, rush_sow_detail last)
{
    for (int f = first; f <= (int)last; f++)
        if (out->fields[f])
            rush_sow_text_cell(&out->to, rush_sow_detail_name((rush_sow_detail)f));
}

static void write_head(characters_out *out)
{
    out->to.first = true;
    field_heads(out, RUSH_DETAIL_CHARACTER, RUSH_DETAIL_STATE);
    rush_sow_words_head(&out->to, rush_sow_detail_words_name(RUSH_DETAIL_LABEL),
                        out->words[RUSH_DETAIL_LABEL]);
    field_heads(out, RUSH_DETAIL_ALSO, RUSH_DETAIL_ALSO);
    rush_sow_words_head(&out->to, rush_sow_detail_words_name(RUSH_DETAIL_ASK),
                        out->words[RUSH_DETAIL_ASK]);
    rush_sow_words_head(&out->to, rush_sow_detail_words_name(RUSH_DETAIL_TIP),
                        out->words[RUSH_DETAIL_TIP]);
    field_heads(out, RUSH_DETAIL_STATES, RUSH_DETAIL_CONFUSED);
    field_heads(out, RUSH_DETAIL_REACH, RUSH_DETAIL_UNIT);
    rush_sow_words_head(&out->to, rush_sow_detail_words_name(RUSH_DETAIL_INCLUDES),
                        out->words[RUSH_DETAIL_INCLUDES]);
    field_heads(out, RUSH_DETAIL_READING_ERROR, RUSH_DETAIL_SKETCH);
    rush_sow_end_row(&out->to);
}

void rush_table_of_characters(const rush_key *key, rush_buffer *csv)
{
    characters_out out = {.to = {.key = key, .csv = csv}};
    out.fields[RUSH_DETAIL_CHARACTER] = true;
    each_row(&out);
    rush_sow_settle_languages(&out.to, out.words, RUSH_DETAIL_WORDED);
    write_head(&out);
    out.writing = true;
    each_row(&out);
    rush_buffer_free(&out.to.cell);
}
