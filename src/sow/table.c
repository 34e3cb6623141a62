#include <math.h>
#include <string.h>

#include "sow/out.h"
#include "sow/plan.h"

/* A key on its way out. Characters and states are written in the order in which the rows first show them, so
 * that the table of a key that was made from a table is that table. */
typedef struct table_out {
    rush_sow_out to;
    rush_arena arena;
    uint32_t character_count;
    bool *shown;                   /* by character: some taxon or form shows it */
    uint32_t **order;              /* by character: of its states, when each is first shown */
    bool *with_source, *with_note; /* by character */
    bool fields[RUSH_SOW_FIELDS];  /* columns that say something */
    bool words[RUSH_SOW_WORDS][RUSH_OUT_LANGUAGES];
} table_out;

enum { DECIMALS = 9 };

/* ---- rows in their order ---------------------------------------------------------------------- */

/* A row of the table: a taxon, or one of its forms. */
typedef struct table_row {
    const rush_taxon *taxon;
    const rush_form *form; /* or NULL */
    const rush_trait *const *traits;
    uint32_t trait_count;
    rush_backing backing; /* of the row; serves traits that have none */
} table_row;

typedef void row_work(table_out *out, const table_row *row);

/* The one form of a taxon without forms is no row. */
static bool is_implied(const rush_taxon *taxon, const rush_form *form)
{
    return taxon->form_count == 1 && form->sex == RUSH_SEX_ANY && !form->name &&
           !form->trait_count;
}

static void each_row(table_out *out, row_work *work)
{
    for (uint32_t t = 0; t < rush_key_taxon_count(out->to.key); t++) {
        const rush_taxon *taxon = rush_key_taxon(out->to.key, t);
        table_row row = {taxon, NULL, taxon->traits, taxon->trait_count, taxon->backing};
        work(out, &row);
        for (uint32_t i = 0; i < taxon->form_count; i++) {
            const rush_form *form = rush_key_form(out->to.key, taxon->first_form + i);
            if (form->taxon != t || is_implied(taxon, form))
                continue;
            row = (table_row){taxon, form, form->traits, form->trait_count, form->backing};
            work(out, &row);
        }
    }
}

/* ---- what columns there are ------------------------------------------------------------------- */

static bool same_text(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

static double usual_occurrence(const table_out *out, const rush_taxon *taxon)
{
    return taxon->parent == RUSH_NONE ? 8
                                      : rush_key_taxon(out->to.key, taxon->parent)->occurrence;
}

/* Shares that say more than that all forms are alike. */
static bool has_shares(const table_out *out, const rush_taxon *taxon)
{
    double even = 1.0 / taxon->form_count;
    for (uint32_t i = 0; i < taxon->form_count; i++)
        if (fabs(rush_key_form(out->to.key, taxon->first_form + i)->share - even) > 1e-12)
            return true;
    return false;
}

/* A species within nothing whose name would give it a genus on the way back. */
static bool is_alone(const rush_taxon *taxon)
{
    return taxon->parent == RUSH_NONE && taxon->rank >= RUSH_RANK_SPECIES &&
           rush_sow_genus(rush_text_of(taxon->name)).length > 0;
}

static void note_taxon(table_out *out, const rush_taxon *taxon)
{
    const rush_words words[RUSH_SOW_WORDS] = {taxon->vernacular, taxon->caution};
    out->fields[RUSH_SOW_WITHIN] |= taxon->parent != RUSH_NONE || is_alone(taxon);
    out->fields[RUSH_SOW_OCCURRENCE] |= taxon->occurrence != usual_occurrence(out, taxon);
    out->fields[RUSH_SOW_ALSO] |= taxon->also.count > 0;
    out->fields[RUSH_SOW_AUTHORITY] |= taxon->authority != NULL;
    for (int w = 0; w < RUSH_SOW_WORDS; w++)
        for (uint32_t l = 0; words[w].in && l < rush_sow_languages(&out->to); l++)
            out->words[w][l] |= words[w].in[l] != NULL;
}

static void note_states(table_out *out, const rush_trait *trait)
{
    const rush_character *character = rush_key_character(out->to.key, trait->character);
    if (trait->kind != RUSH_TRAIT_STATES || character->kind == RUSH_KIND_MONTHS)
        return;
    uint32_t *order = out->order[trait->character], next = 1;
    for (uint32_t s = 0; s < character->state_count; s++)
        next = order[s] >= next ? order[s] + 1 : next;
    for (uint32_t s = 0; s < character->state_count; s++)
        if (trait->weights[s] > 0 && !order[s])
            order[s] = next++;
}

static void note_row(table_out *out, const table_row *row)
{
    if (row->form) {
        out->fields[RUSH_SOW_SEX] = true;
        out->fields[RUSH_SOW_FORM] |= row->form->name != NULL;
        out->fields[RUSH_SOW_SHARE] |= has_shares(out, row->taxon);
        out->fields[RUSH_SOW_SOURCE] |= row->backing.source != row->taxon->backing.source;
        out->fields[RUSH_SOW_NOTE] |= !same_text(row->backing.note, row->taxon->backing.note);
    } else {
        note_taxon(out, row->taxon);
        out->fields[RUSH_SOW_SOURCE] |= row->backing.source != RUSH_NONE;
        out->fields[RUSH_SOW_NOTE] |= row->backing.note != NULL;
    }
    for (uint32_t i = 0; i < row->trait_count; i++) {
        const rush_trait *trait = row->traits[i];
        out->shown[trait->character] = true;
        out->with_source[trait->character] |= trait->backing.source != row->backing.source;
        out->with_note[trait->character] |= trait->backing.note != NULL;
        note_states(out, trait);
    }
}

static void note_all(table_out *out)
{
    out->character_count = rush_key_character_count(out->to.key);
    out->shown = RUSH_ARRAY(&out->arena, bool, out->character_count);
    out->with_source = RUSH_ARRAY(&out->arena, bool, out->character_count);
    out->with_note = RUSH_ARRAY(&out->arena, bool, out->character_count);
    out->order = RUSH_ARRAY(&out->arena, uint32_t *, out->character_count);
    for (uint32_t c = 0; c < out->character_count; c++)
        out->order[c] = RUSH_ARRAY(&out->arena, uint32_t,
                                   rush_key_character(out->to.key, c)->state_count + 1);
    each_row(out, note_row);
}

/* ---- cells ------------------------------------------------------------------------------------ */

static bool is_even(const rush_trait *trait, uint32_t states)
{
    uint32_t count = 0;
    for (uint32_t s = 0; s < states; s++)
        count += trait->weights[s] > 0;
    for (uint32_t s = 0; s < states; s++)
        if (trait->weights[s] > 0 && fabs(trait->weights[s] * count - 1) > 1e-12)
            return false;
    return count > 0;
}

static void states_value(table_out *out, const rush_character *character, const rush_trait *trait)
{
    const uint32_t *order = out->order[trait->character];
    bool even = is_even(trait, character->state_count), any = false;
    for (uint32_t place = 1; place <= character->state_count; place++)
        for (uint32_t s = 0; s < character->state_count; s++) {
            if (order[s] != place || trait->weights[s] <= 0)
                continue;
            rush_buffer_string(&out->to.cell, any ? "|" : "");
            rush_cell_part_write(
                rush_text_of(rush_sow_shown_name(out->to.key, character->states[s].id,
                                                 character->states[s].label)),
                even ? -1 : trait->weights[s], &out->to.cell);
            any = true;
        }
}

static void months_value(table_out *out, const rush_trait *trait)
{
    unsigned months = 0;
    for (unsigned m = 0; m < 12; m++)
        months |= (unsigned)(trait->weights[m] > 0) << m;
    rush_cell_months_write(months, "\xe2\x80\x93", "|", &out->to.cell);
}

static void trait_cell(table_out *out, const rush_trait *trait)
{
    const rush_character *character =
        trait ? rush_key_character(out->to.key, trait->character) : NULL;
    if (trait && trait->kind == RUSH_TRAIT_UNSCORED)
        rush_buffer_string(&out->to.cell, RUSH_CELL_UNKNOWN);
    else if (trait && trait->kind == RUSH_TRAIT_INAPPLICABLE)
        rush_buffer_string(&out->to.cell, RUSH_CELL_INAPPLICABLE);
    else if (trait && trait->kind == RUSH_TRAIT_NUMBER)
        rush_cell_number_write(&(rush_cell_number){.low = trait->low,
                                                   .high = trait->high,
                                                   .mean = trait->mean,
                                                   .sd = trait->sd,
                                                   .n = trait->n,
                                                   .ranged = trait->ranged},
                               &out->to.cell);
    else if (trait && character->kind == RUSH_KIND_MONTHS)
        months_value(out, trait);
    else if (trait)
        states_value(out, character, trait);
    rush_sow_end_cell(&out->to);
}

static void source_cell(table_out *out, uint32_t source, uint32_t usual)
{
    bool own = source != RUSH_NONE && source != usual;
    rush_sow_text_cell(&out->to, own ? rush_key_source(out->to.key, source)->id : NULL);
}

/* ---- the header ------------------------------------------------------------------------------- */

/* Whether a states character's column would be taken for something else by its name or its cells. */
static bool needs_kind(const table_out *out, const rush_character *character, rush_text name)
{
    rush_sow_field field;
    rush_sow_words words;
    rush_taxon_rank rank;
    rush_text inner, outer;
    bool note;
    if (rush_sow_field_named(name, &field) || rush_sow_words_named(name, &words, &inner) ||
        rush_sow_rank_named(name, &rank) || rush_sow_bracket(name, &outer, &inner) ||
        rush_sow_backing_named(name, &inner, &note))
        return true;
    for (uint32_t s = 0; s < character->state_count; s++) {
        rush_cell_number number;
        unsigned months;
        rush_text state = rush_text_of(rush_sow_shown_name(out->to.key, character->states[s].id,
                                                           character->states[s].label));
        if (rush_cell_number_read(state, &number) || rush_cell_months_read(state, &months))
            return true;
    }
    return false;
}

static void character_head(table_out *out, uint32_t at)
{
    const rush_character *character = rush_key_character(out->to.key, at);
    const char *name = rush_sow_shown_name(out->to.key, character->id, character->label);
    rush_buffer_string(&out->to.cell, name);
    if (character->kind == RUSH_KIND_MONTHS)
        rush_buffer_string(&out->to.cell, " (months)");
    else if (character->kind == RUSH_KIND_NUMBER && character->unit[0])
        rush_buffer_format(&out->to.cell, " (%s)", character->unit);
    else if (character->kind == RUSH_KIND_NUMBER)
        rush_buffer_string(&out->to.cell,
                           strcmp(character->measure, "count") == 0 ? " (count)" : " (number)");
    else if (character->setting)
        rush_buffer_string(&out->to.cell, " (setting)");
    else if (needs_kind(out, character, rush_text_of(name)))
        rush_buffer_string(&out->to.cell, " (states)");
    rush_sow_end_cell(&out->to);
    static const char *const ends[] = {"source", "note"};
    for (int note = 0; note < 2; note++)
        if (note ? out->with_note[at] : out->with_source[at]) {
            rush_buffer_format(&out->to.cell, "%s %s", name, ends[note]);
            rush_sow_end_cell(&out->to);
        }
}

static void field_head(table_out *out, rush_sow_field field)
{
    if (out->fields[field])
        rush_sow_text_cell(&out->to, rush_sow_field_name(field));
}

static void write_head(table_out *out)
{
    out->to.first = true;
    rush_sow_text_cell(&out->to, rush_sow_field_name(RUSH_SOW_TAXON));
    rush_sow_text_cell(&out->to, rush_sow_field_name(RUSH_SOW_RANK));
    for (int f = RUSH_SOW_WITHIN; f <= RUSH_SOW_OCCURRENCE; f++)
        field_head(out, (rush_sow_field)f);
    rush_sow_words_head(&out->to, rush_sow_words_name(RUSH_SOW_VERNACULAR),
                        out->words[RUSH_SOW_VERNACULAR]);
    field_head(out, RUSH_SOW_ALSO);
    field_head(out, RUSH_SOW_AUTHORITY);
    rush_sow_words_head(&out->to, rush_sow_words_name(RUSH_SOW_CAUTION),
                        out->words[RUSH_SOW_CAUTION]);
    field_head(out, RUSH_SOW_SOURCE);
    field_head(out, RUSH_SOW_NOTE);
    for (uint32_t c = 0; c < out->character_count; c++)
        if (out->shown[c])
            character_head(out, c);
    rush_sow_end_row(&out->to);
}

/* ---- a row ------------------------------------------------------------------------------------ */

static void within_cell(table_out *out, const table_row *row)
{
    if (!out->fields[RUSH_SOW_WITHIN])
        return;
    uint32_t parent = row->taxon->parent;
    rush_sow_text_cell(&out->to, row->form             ? NULL
                                 : parent != RUSH_NONE ? rush_key_taxon(out->to.key, parent)->name
                                 : is_alone(row->taxon) ? "-"
                                                        : NULL);
}

static void occurrence_cell(table_out *out, const table_row *row)
{
    static const struct {
        const char *word;
        double number;
    } words[] = {{"common", 30}, {"local", 8}, {"scarce", 2}, {"rare", 0.5}};
    if (!out->fields[RUSH_SOW_OCCURRENCE])
        return;
    double number = row->taxon->occurrence;
    const char *word = NULL;
    bool own = !row->form && number != usual_occurrence(out, row->taxon);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        word = number == words[i].number ? words[i].word : word;
    if (own && word)
        rush_buffer_string(&out->to.cell, word);
    else if (own)
        rush_buffer_number(&out->to.cell, number, DECIMALS);
    rush_sow_end_cell(&out->to);
}

static void form_cells(table_out *out, const table_row *row)
{
    const rush_form *form = row->form;
    if (out->fields[RUSH_SOW_SEX])
        rush_sow_text_cell(&out->to, form ? rush_sex_name(form->sex) : NULL);
    if (out->fields[RUSH_SOW_FORM])
        rush_sow_text_cell(&out->to, form ? form->name : NULL);
    if (!out->fields[RUSH_SOW_SHARE])
        return;
    if (form && has_shares(out, row->taxon))
        rush_buffer_number(&out->to.cell, form->share, DECIMALS);
    rush_sow_end_cell(&out->to);
}

static void words_cells(table_out *out, const table_row *row, rush_sow_words which)
{
    rush_words words =
        which == RUSH_SOW_VERNACULAR ? row->taxon->vernacular : row->taxon->caution;
    for (uint32_t l = 0; l < rush_sow_languages(&out->to); l++)
        if (out->words[which][l])
            rush_sow_text_cell(&out->to, !row->form && words.in ? words.in[l] : NULL);
}

static void also_cell(table_out *out, const table_row *row)
{
    if (!out->fields[RUSH_SOW_ALSO])
        return;
    for (uint32_t i = 0; i < row->taxon->also.count && !row->form; i++) {
        rush_buffer_string(&out->to.cell, i ? "|" : "");
        rush_cell_part_write(rush_text_of(row->taxon->also.names[i]), -1, &out->to.cell);
    }
    rush_sow_end_cell(&out->to);
}

static void backing_cells(table_out *out, const table_row *row)
{
    const rush_backing *above = row->form ? &row->taxon->backing : NULL;
    if (out->fields[RUSH_SOW_SOURCE])
        source_cell(out, row->backing.source, above ? above->source : RUSH_NONE);
    if (out->fields[RUSH_SOW_NOTE])
        rush_sow_text_cell(&out->to, above && same_text(row->backing.note, above->note)
                                         ? NULL
                                         : row->backing.note);
}

static void trait_cells(table_out *out, const table_row *row)
{
    uint32_t next = 0;
    for (uint32_t c = 0; c < out->character_count; c++) {
        if (!out->shown[c])
            continue;
        while (next < row->trait_count && row->traits[next]->character < c)
            next++;
        bool has = next < row->trait_count && row->traits[next]->character == c;
        const rush_trait *trait = has ? row->traits[next] : NULL;
        trait_cell(out, trait);
        if (out->with_source[c])
            source_cell(out, trait ? trait->backing.source : RUSH_NONE, row->backing.source);
        if (out->with_note[c])
            rush_sow_text_cell(&out->to, trait ? trait->backing.note : NULL);
    }
}

static void write_row(table_out *out, const table_row *row)
{
    rush_sow_text_cell(&out->to, row->taxon->name);
    rush_sow_text_cell(&out->to, row->form ? NULL : rush_taxon_rank_name(row->taxon->rank));
    within_cell(out, row);
    form_cells(out, row);
    occurrence_cell(out, row);
    words_cells(out, row, RUSH_SOW_VERNACULAR);
    also_cell(out, row);
    if (out->fields[RUSH_SOW_AUTHORITY])
        rush_sow_text_cell(&out->to, row->form ? NULL : row->taxon->authority);
    words_cells(out, row, RUSH_SOW_CAUTION);
    backing_cells(out, row);
    trait_cells(out, row);
    rush_sow_end_row(&out->to);
}

static void write_table(void *with)
{
    table_out *out = with;
    note_all(out);
    rush_sow_settle_languages(&out->to, out->words, RUSH_SOW_WORDS);
    write_head(out);
    each_row(out, write_row);
}

void rush_table_of_taxa(const rush_key *key, rush_buffer *csv)
{
    table_out out = {.to = {.key = key, .csv = csv}};
    if (!rush_arena_guard(&out.arena, write_table, &out))
        csv->failed = true;
    rush_arena_free(&out.arena);
    rush_buffer_free(&out.to.cell);
}
