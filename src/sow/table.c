#include <math.h>
#include <string.h>

#include "key/key.h"
#include "report/csv.h"
#include "sow/plan.h"

/* A key on its way out. Characters and states are written in the order in which the rows first show them, so
 * that the table of a key that was made from a table is that table. */
typedef struct table_out {
    const rush_key *key;
    rush_arena arena;
    rush_buffer *csv;
    rush_buffer cell; /* the cell that is being put together */
    bool first;       /* no cell of this row is written yet */
    uint32_t character_count;
    bool *shown;                   /* by character: some taxon or form shows it */
    uint32_t **order;              /* by character: of its states, when each is first shown */
    bool *with_source, *with_note; /* by character */
    bool fields[RUSH_SOW_FIELDS];  /* columns that say something */
    bool words[RUSH_SOW_WORDS][64];
    bool good;
} table_out;

enum { LANGUAGES_MAX = 64, DECIMALS = 9 };

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
    for (uint32_t t = 0; t < rush_key_taxon_count(out->key); t++) {
        const rush_taxon *taxon = rush_key_taxon(out->key, t);
        table_row row = {taxon, NULL, taxon->traits, taxon->trait_count, taxon->backing};
        work(out, &row);
        for (uint32_t i = 0; i < taxon->form_count; i++) {
            const rush_form *form = rush_key_form(out->key, taxon->first_form + i);
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
    return taxon->parent == RUSH_NONE ? 8 : rush_key_taxon(out->key, taxon->parent)->occurrence;
}

/* Shares that say more than that all forms are alike. */
static bool has_shares(const table_out *out, const rush_taxon *taxon)
{
    double even = 1.0 / taxon->form_count;
    for (uint32_t i = 0; i < taxon->form_count; i++)
        if (fabs(rush_key_form(out->key, taxon->first_form + i)->share - even) > 1e-12)
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
    const rush_key_header *header = rush_key_about(out->key);
    out->fields[RUSH_SOW_WITHIN] |= taxon->parent != RUSH_NONE || is_alone(taxon);
    out->fields[RUSH_SOW_OCCURRENCE] |= taxon->occurrence != usual_occurrence(out, taxon);
    out->fields[RUSH_SOW_ALSO] |= taxon->also.count > 0;
    out->fields[RUSH_SOW_AUTHORITY] |= taxon->authority != NULL;
    for (int w = 0; w < RUSH_SOW_WORDS; w++)
        for (uint32_t l = 0; words[w].in && l < header->language_count && l < LANGUAGES_MAX; l++)
            out->words[w][l] |= words[w].in[l] != NULL;
}

static void note_states(table_out *out, const rush_trait *trait)
{
    const rush_character *character = rush_key_character(out->key, trait->character);
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
    out->character_count = rush_key_character_count(out->key);
    out->shown = RUSH_ARRAY(&out->arena, bool, out->character_count);
    out->with_source = RUSH_ARRAY(&out->arena, bool, out->character_count);
    out->with_note = RUSH_ARRAY(&out->arena, bool, out->character_count);
    out->order = RUSH_ARRAY(&out->arena, uint32_t *, out->character_count);
    for (uint32_t c = 0; c < out->character_count; c++)
        out->order[c] =
            RUSH_ARRAY(&out->arena, uint32_t, rush_key_character(out->key, c)->state_count + 1);
    each_row(out, note_row);
}

/* ---- cells ------------------------------------------------------------------------------------ */

/* Runs of spaces and line breaks become one space, as they do when a table is read. */
static void squeeze(rush_buffer *cell)
{
    size_t to = 0;
    for (size_t at = 0; at < cell->length; at++) {
        bool space = strchr(" \t\r\n", cell->bytes[at]) != NULL;
        if (!space)
            cell->bytes[to++] = cell->bytes[at];
        else if (to && cell->bytes[to - 1] != ' ')
            cell->bytes[to++] = ' ';
    }
    cell->length = to - (to && cell->bytes[to - 1] == ' ');
}

/* What is in `cell` goes out, and it is empty again. */
static void end_cell(table_out *out)
{
    squeeze(&out->cell);
    rush_csv_cell((rush_text){out->cell.bytes ? out->cell.bytes : "", out->cell.length},
                  out->first, out->csv);
    out->csv->failed |= out->cell.failed;
    out->first = false;
    rush_buffer_clear(&out->cell);
}

static void text_cell(table_out *out, const char *text)
{
    rush_buffer_string(&out->cell, text ? text : "");
    end_cell(out);
}

static void end_row(table_out *out)
{
    rush_buffer_byte(out->csv, '\n');
    out->first = true;
}

/* A state or a character: its label where that is the same name better written, else its id. */
static const char *shown_name(const table_out *out, const char *id, rush_words label)
{
    const char *words = rush_key_words(out->key, label, 0);
    return rush_sow_alike(rush_text_of(words), rush_text_of(id)) ? words : id;
}

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
            rush_buffer_string(&out->cell, any ? "|" : "");
            rush_cell_part_write(rush_text_of(shown_name(out, character->states[s].id,
                                                         character->states[s].label)),
                                 even ? -1 : trait->weights[s], &out->cell);
            any = true;
        }
}

static void months_value(table_out *out, const rush_trait *trait)
{
    unsigned months = 0;
    for (unsigned m = 0; m < 12; m++)
        months |= (unsigned)(trait->weights[m] > 0) << m;
    rush_cell_months_write(months, "\xe2\x80\x93", "|", &out->cell);
}

static void trait_cell(table_out *out, const rush_trait *trait)
{
    const rush_character *character =
        trait ? rush_key_character(out->key, trait->character) : NULL;
    if (trait && trait->kind == RUSH_TRAIT_UNSCORED)
        rush_buffer_string(&out->cell, RUSH_CELL_UNKNOWN);
    else if (trait && trait->kind == RUSH_TRAIT_INAPPLICABLE)
        rush_buffer_string(&out->cell, RUSH_CELL_INAPPLICABLE);
    else if (trait && trait->kind == RUSH_TRAIT_NUMBER)
        rush_cell_number_write(&(rush_cell_number){.low = trait->low,
                                                   .high = trait->high,
                                                   .mean = trait->mean,
                                                   .sd = trait->sd,
                                                   .n = trait->n,
                                                   .ranged = trait->ranged},
                               &out->cell);
    else if (trait && character->kind == RUSH_KIND_MONTHS)
        months_value(out, trait);
    else if (trait)
        states_value(out, character, trait);
    end_cell(out);
}

static void source_cell(table_out *out, uint32_t source, uint32_t usual)
{
    bool own = source != RUSH_NONE && source != usual;
    text_cell(out, own ? rush_key_source(out->key, source)->id : NULL);
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
        rush_text state =
            rush_text_of(shown_name(out, character->states[s].id, character->states[s].label));
        if (rush_cell_number_read(state, &number) || rush_cell_months_read(state, &months))
            return true;
    }
    return false;
}

static void character_head(table_out *out, uint32_t at)
{
    const rush_character *character = rush_key_character(out->key, at);
    const char *name = shown_name(out, character->id, character->label);
    rush_buffer_string(&out->cell, name);
    if (character->kind == RUSH_KIND_MONTHS)
        rush_buffer_string(&out->cell, " (months)");
    else if (character->kind == RUSH_KIND_NUMBER && character->unit[0])
        rush_buffer_format(&out->cell, " (%s)", character->unit);
    else if (character->kind == RUSH_KIND_NUMBER)
        rush_buffer_string(&out->cell,
                           strcmp(character->measure, "count") == 0 ? " (count)" : " (number)");
    else if (character->setting)
        rush_buffer_string(&out->cell, " (setting)");
    else if (needs_kind(out, character, rush_text_of(name)))
        rush_buffer_string(&out->cell, " (states)");
    end_cell(out);
    static const char *const ends[] = {"source", "note"};
    for (int note = 0; note < 2; note++)
        if (note ? out->with_note[at] : out->with_source[at]) {
            rush_buffer_format(&out->cell, "%s %s", name, ends[note]);
            end_cell(out);
        }
}

/* `vernacular`, or `vernacular:nl` in a key of several languages. */
static void words_head(table_out *out, rush_sow_words words)
{
    const rush_key_header *header = rush_key_about(out->key);
    bool plain = header->language_count == 1 && strcmp(header->languages[0], "en") == 0;
    for (uint32_t l = 0; l < header->language_count && l < LANGUAGES_MAX; l++)
        if (out->words[words][l]) {
            rush_buffer_string(&out->cell, rush_sow_words_name(words));
            if (!plain)
                rush_buffer_format(&out->cell, ":%s", header->languages[l]);
            end_cell(out);
        }
}

static void field_head(table_out *out, rush_sow_field field)
{
    if (out->fields[field])
        text_cell(out, rush_sow_field_name(field));
}

static void write_head(table_out *out)
{
    out->first = true;
    text_cell(out, rush_sow_field_name(RUSH_SOW_TAXON));
    text_cell(out, rush_sow_field_name(RUSH_SOW_RANK));
    for (int f = RUSH_SOW_WITHIN; f <= RUSH_SOW_OCCURRENCE; f++)
        field_head(out, (rush_sow_field)f);
    words_head(out, RUSH_SOW_VERNACULAR);
    field_head(out, RUSH_SOW_ALSO);
    field_head(out, RUSH_SOW_AUTHORITY);
    words_head(out, RUSH_SOW_CAUTION);
    field_head(out, RUSH_SOW_SOURCE);
    field_head(out, RUSH_SOW_NOTE);
    for (uint32_t c = 0; c < out->character_count; c++)
        if (out->shown[c])
            character_head(out, c);
    end_row(out);
}

/* ---- a row ------------------------------------------------------------------------------------ */

static void within_cell(table_out *out, const table_row *row)
{
    if (!out->fields[RUSH_SOW_WITHIN])
        return;
    uint32_t parent = row->taxon->parent;
    text_cell(out, row->form              ? NULL
                   : parent != RUSH_NONE  ? rush_key_taxon(out->key, parent)->name
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
        rush_buffer_string(&out->cell, word);
    else if (own)
        rush_buffer_number(&out->cell, number, DECIMALS);
    end_cell(out);
}

static void form_cells(table_out *out, const table_row *row)
{
    const rush_form *form = row->form;
    if (out->fields[RUSH_SOW_SEX])
        text_cell(out, form ? rush_sex_name(form->sex) : NULL);
    if (out->fields[RUSH_SOW_FORM])
        text_cell(out, form ? form->name : NULL);
    if (!out->fields[RUSH_SOW_SHARE])
        return;
    if (form && has_shares(out, row->taxon))
        rush_buffer_number(&out->cell, form->share, DECIMALS);
    end_cell(out);
}

static void words_cells(table_out *out, const table_row *row, rush_sow_words which)
{
    const rush_key_header *header = rush_key_about(out->key);
    rush_words words =
        which == RUSH_SOW_VERNACULAR ? row->taxon->vernacular : row->taxon->caution;
    for (uint32_t l = 0; l < header->language_count && l < LANGUAGES_MAX; l++)
        if (out->words[which][l])
            text_cell(out, !row->form && words.in ? words.in[l] : NULL);
}

static void also_cell(table_out *out, const table_row *row)
{
    if (!out->fields[RUSH_SOW_ALSO])
        return;
    for (uint32_t i = 0; i < row->taxon->also.count && !row->form; i++) {
        rush_buffer_string(&out->cell, i ? "|" : "");
        rush_cell_part_write(rush_text_of(row->taxon->also.names[i]), -1, &out->cell);
    }
    end_cell(out);
}

static void backing_cells(table_out *out, const table_row *row)
{
    const rush_backing *above = row->form ? &row->taxon->backing : NULL;
    if (out->fields[RUSH_SOW_SOURCE])
        source_cell(out, row->backing.source, above ? above->source : RUSH_NONE);
    if (out->fields[RUSH_SOW_NOTE])
        text_cell(out,
                  above && same_text(row->backing.note, above->note) ? NULL : row->backing.note);
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
            text_cell(out, trait ? trait->backing.note : NULL);
    }
}

static void write_row(table_out *out, const table_row *row)
{
    text_cell(out, row->taxon->name);
    text_cell(out, row->form ? NULL : rush_taxon_rank_name(row->taxon->rank));
    within_cell(out, row);
    form_cells(out, row);
    occurrence_cell(out, row);
    words_cells(out, row, RUSH_SOW_VERNACULAR);
    also_cell(out, row);
    if (out->fields[RUSH_SOW_AUTHORITY])
        text_cell(out, row->form ? NULL : row->taxon->authority);
    words_cells(out, row, RUSH_SOW_CAUTION);
    backing_cells(out, row);
    trait_cells(out, row);
    end_row(out);
}

static void write_table(void *with)
{
    table_out *out = with;
    note_all(out);
    write_head(out);
    each_row(out, write_row);
}

void rush_table_of_taxa(const rush_key *key, rush_buffer *csv)
{
    table_out out = {.key = key, .csv = csv};
    if (!rush_arena_guard(&out.arena, write_table, &out))
        csv->failed = true;
    rush_arena_free(&out.arena);
    rush_buffer_free(&out.cell);
}
