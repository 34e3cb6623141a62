#include <math.h>
#include <string.h>

#include "report/apart_words.h"
#include "report/sheet.h"
#include "report/words.h"

/* The account of a taxon: size, season, drawings, marks by sex and form, habitat, sources. */

enum { DRAWINGS_MAX = 5, MONTHS = 12 };
#define DRAWING_MM 24.0

/* ---- what is alike -------------------------------------------------------------------------------------- */

static bool same_trait(const rush_character *character, const rush_trait *a, const rush_trait *b)
{
    rush_trait_kind one = a ? a->kind : RUSH_TRAIT_UNSCORED,
                    other = b ? b->kind : RUSH_TRAIT_UNSCORED;
    if (a == b || one != other)
        return a == b;
    if (one == RUSH_TRAIT_STATES)
        return memcmp(a->weights, b->weights, character->state_count * sizeof *a->weights) == 0;
    return one != RUSH_TRAIT_NUMBER || (a->low == b->low && a->high == b->high);
}

/* Whether the forms of a sex (ANY: of whichever), from `first` to before `end`, show the same. */
static bool forms_agree(const rush_sheet *sheet, uint32_t character, uint32_t first, uint32_t end,
                        rush_sex sex)
{
    const rush_character *owner = rush_key_character(sheet->key, character);
    const rush_trait *seen = NULL;
    bool any = false;
    for (uint32_t f = first; f < end; f++) {
        if (!sheet->part->forms[f] ||
            (sex != RUSH_SEX_ANY && rush_key_form(sheet->key, f)->sex != sex))
            continue;
        const rush_trait *trait = rush_key_trait(sheet->key, f, character, NULL);
        if (any && !same_trait(owner, seen, trait))
            return false;
        seen = trait;
        any = true;
    }
    return true;
}

static bool shows(const rush_trait *trait)
{
    return trait && (trait->kind == RUSH_TRAIT_STATES || trait->kind == RUSH_TRAIT_NUMBER);
}

static uint32_t first_form(const rush_sheet *sheet, uint32_t first, uint32_t end)
{
    while (first < end && !sheet->part->forms[first])
        first++;
    return first;
}

/* ---- marks ---------------------------------------------------------------------------------------------- */

/* "segment 2 mark: mostly U; " at the end of a paragraph's runs. */
static void add_mark(rush_sheet *sheet, const rush_trait *trait, rush_run_list *runs)
{
    rush_builder *builder = &sheet->builder;
    if (!shows(trait))
        return;
    rush_showing showing = {
        .kind = trait->kind, .weights = trait->weights, .low = trait->low, .high = trait->high};
    if (runs->count)
        rush_build_run(builder, runs, RUSH_VOICE_PLAIN, " · ");
    rush_character_name(sheet->key, trait->character, sheet->language, &builder->words);
    rush_buffer_string(&builder->words, ": ");
    rush_words_showing(sheet->key, trait->character, &showing, sheet->language, &builder->words);
    rush_build_run(builder, runs, RUSH_VOICE_TOLD, rush_build_taken(builder));
}

static void add_marks_paragraph(rush_sheet *sheet, const char *who, const rush_run_list *marks)
{
    rush_builder *builder = &sheet->builder;
    rush_run_list runs = {0};
    if (!marks->count)
        return;
    rush_build_run(builder, &runs, RUSH_VOICE_STRONG, who);
    rush_build_run(builder, &runs, RUSH_VOICE_PLAIN, ". ");
    for (uint32_t i = 0; i < marks->count; i++)
        *RUSH_PUSH(builder->arena, &runs) = marks->items[i];
    rush_build_run(builder, &runs, RUSH_VOICE_PLAIN, ".");
    rush_build_block(builder, RUSH_BLOCK_PARAGRAPH)->words = rush_phrase_of(&runs);
}

static const char *form_name(rush_sheet *sheet, uint32_t at)
{
    static const char *const sexes[] = {"Male", "Female", "Either sex"};
    const rush_form *form = rush_key_form(sheet->key, at);
    rush_buffer_string(&sheet->builder.words, sexes[form->sex]);
    if (form->name)
        rush_buffer_format(&sheet->builder.words, ", %s", form->name);
    return rush_build_taken(&sheet->builder);
}

/* The paragraphs of one taxon: what all forms show, then each sex, then each form. */
typedef struct account {
    uint32_t first, end, count; /* forms; how many of them are of the part */
    rush_run_list all, sexes[2], *forms;
} account;

/* False when none of them shows it. */
static bool sort_mark(rush_sheet *sheet, account *made, uint32_t character)
{
    if (forms_agree(sheet, character, made->first, made->end, RUSH_SEX_ANY)) {
        uint32_t f = first_form(sheet, made->first, made->end);
        const rush_trait *trait = rush_key_trait(sheet->key, f, character, NULL);
        add_mark(sheet, trait, &made->all);
        return shows(trait);
    }
    bool told[2] = {false, false};
    for (uint32_t f = made->first; f < made->end; f++) {
        rush_sex sex = rush_key_form(sheet->key, f)->sex;
        if (!sheet->part->forms[f] || (sex != RUSH_SEX_ANY && told[sex]))
            continue;
        bool alike =
            sex != RUSH_SEX_ANY && forms_agree(sheet, character, made->first, made->end, sex);
        if (alike)
            told[sex] = true;
        add_mark(sheet, rush_key_trait(sheet->key, f, character, NULL),
                 alike ? &made->sexes[sex] : &made->forms[f - made->first]);
    }
    return true;
}

static void add_marks(rush_sheet *sheet, account *made)
{
    static const char *const whole[] = {"Male", "Female"};
    uint32_t told = 0;
    for (uint32_t i = 0; i < sheet->order_count && told < sheet->request->marks; i++)
        if (!sheet->common[sheet->order[i]] && sort_mark(sheet, made, sheet->order[i]))
            told++;
    add_marks_paragraph(sheet, made->count > 1 ? "All" : "Marks", &made->all);
    for (int sex = 0; sex < 2; sex++)
        add_marks_paragraph(sheet, whole[sex], &made->sexes[sex]);
    for (uint32_t f = made->first; f < made->end; f++)
        if (made->forms[f - made->first].count)
            add_marks_paragraph(sheet, form_name(sheet, f), &made->forms[f - made->first]);
}

/* ---- pictures ------------------------------------------------------------------------------------------- */

/* Which forms of the account show a state mostly: 1 males, 2 females, 4 either; and whether all do. */
static const char *who_shows(const rush_sheet *sheet, const account *made, uint32_t character,
                             uint32_t state)
{
    bool all = true, sexes[3] = {false, false, false};
    for (uint32_t f = made->first; f < made->end; f++) {
        if (!sheet->part->forms[f])
            continue;
        const rush_trait *trait = rush_key_trait(sheet->key, f, character, NULL);
        bool does = trait && trait->kind == RUSH_TRAIT_STATES && trait->weights[state] >= 0.5;
        all &= does;
        sexes[rush_key_form(sheet->key, f)->sex] |= does;
    }
    return all                                  ? ""
           : sexes[0] && !sexes[1] && !sexes[2] ? " (male)"
           : sexes[1] && !sexes[0] && !sexes[2] ? " (female)"
                                                : " (some)";
}

static void add_drawing(rush_sheet *sheet, const account *made, uint32_t character,
                        uint32_t state, rush_picture_list *pictures)
{
    rush_builder *builder = &sheet->builder;
    const rush_figure *figure = rush_key_character(sheet->key, character)->states[state].figure;
    rush_picture picture = rush_sheet_drawing(sheet, figure, DRAWING_MM);
    rush_run_list runs = {0};
    for (uint32_t i = 0; i < pictures->count; i++)
        if (pictures->items[i].markup == picture.markup)
            return;
    rush_character_name(sheet->key, character, sheet->language, &builder->words);
    rush_buffer_string(&builder->words, ": ");
    rush_state_name(sheet->key, character, state, sheet->language, &builder->words);
    rush_build_run(builder, &runs, RUSH_VOICE_TOLD, rush_build_taken(builder));
    rush_build_run(builder, &runs, RUSH_VOICE_PLAIN, who_shows(sheet, made, character, state));
    picture.caption = rush_phrase_of(&runs);
    *RUSH_PUSH(builder->arena, pictures) = picture;
}

/* Of the most telling marks that have one. */
static void add_drawings(rush_sheet *sheet, const account *made, rush_picture_list *pictures)
{
    uint32_t before = pictures->count, state;
    for (uint32_t i = 0; i < sheet->order_count; i++) {
        uint32_t character = sheet->order[i];
        if (sheet->common[character])
            continue;
        for (uint32_t f = made->first; f < made->end; f++) {
            const rush_trait *trait = rush_key_trait(sheet->key, f, character, NULL);
            if (!sheet->part->forms[f] || !trait || trait->kind != RUSH_TRAIT_STATES ||
                pictures->count - before == DRAWINGS_MAX)
                continue;
            if (rush_sheet_figure(sheet, character, trait->weights, &state))
                add_drawing(sheet, made, character, state, pictures);
        }
    }
}

/* The first length of the key that the taxon has. */
static void add_size(rush_sheet *sheet, const account *made, rush_picture_list *pictures)
{
    rush_builder *builder = &sheet->builder;
    for (uint32_t c = 0; c < rush_key_character_count(sheet->key); c++) {
        const rush_character *character = rush_key_character(sheet->key, c);
        double unit = character->kind == RUSH_KIND_NUMBER ? rush_sheet_unit(character->unit) : 0;
        double low = INFINITY, high = 0;
        for (uint32_t f = made->first; unit > 0 && f < made->end; f++) {
            const rush_trait *trait = rush_key_trait(sheet->key, f, c, NULL);
            if (!sheet->part->forms[f] || !trait || trait->kind != RUSH_TRAIT_NUMBER)
                continue;
            low = fmin(low, trait->low * unit);
            high = fmax(high, trait->high * unit);
        }
        rush_picture picture;
        if (!(high > 0) || !rush_sheet_size(sheet, low, high, &picture))
            continue;
        rush_character_name(sheet->key, c, sheet->language, &builder->words);
        rush_buffer_string(&builder->words, ": ");
        rush_buffer_number(&builder->words, low, 1);
        rush_buffer_string(&builder->words, " to ");
        rush_buffer_number(&builder->words, high, 1);
        rush_buffer_string(&builder->words, " mm");
        picture.caption = rush_build_phrase(builder, rush_build_taken(builder));
        *RUSH_PUSH(builder->arena, pictures) = picture;
        return;
    }
}

static void add_season(rush_sheet *sheet, const account *made, rush_picture_list *pictures)
{
    for (uint32_t c = 0; c < rush_key_character_count(sheet->key); c++) {
        if (rush_key_character(sheet->key, c)->kind != RUSH_KIND_MONTHS)
            continue;
        double *months = RUSH_ARRAY(sheet->builder.arena, double, MONTHS);
        bool any = false;
        for (uint32_t f = made->first; f < made->end; f++) {
            const rush_trait *trait = rush_key_trait(sheet->key, f, c, NULL);
            for (uint32_t m = 0; m < MONTHS && sheet->part->forms[f] && shows(trait); m++) {
                months[m] = trait->weights[m] > 0 ? 1 : months[m];
                any |= trait->weights[m] > 0;
            }
        }
        if (any)
            *RUSH_PUSH(sheet->builder.arena, pictures) = rush_sheet_season(sheet, c, months);
        return;
    }
}

static void add_pictures(rush_sheet *sheet, const rush_picture_list *pictures)
{
    if (!pictures->count)
        return;
    rush_cell *cell = RUSH_NEW(sheet->builder.arena, rush_cell);
    cell->pictures = pictures->items;
    cell->picture_count = pictures->count;
    rush_block *block = rush_build_block(&sheet->builder, RUSH_BLOCK_PICTURES);
    block->cells = cell;
    block->cell_count = block->columns = 1;
}

/* ---- where, and who says so ------------------------------------------------------------------------------- */

static void add_settings(rush_sheet *sheet, const account *made)
{
    rush_builder *builder = &sheet->builder;
    uint32_t f = first_form(sheet, made->first, made->end);
    for (uint32_t c = 0; c < rush_key_character_count(sheet->key); c++) {
        const rush_character *character = rush_key_character(sheet->key, c);
        const rush_trait *trait = rush_key_trait(sheet->key, f, c, NULL);
        rush_run_list runs = {0};
        if (!character->setting || character->kind != RUSH_KIND_STATES || !shows(trait))
            continue;
        rush_character_name(sheet->key, c, sheet->language, &builder->words);
        rush_build_run(builder, &runs, RUSH_VOICE_STRONG, rush_build_taken(builder));
        rush_build_run(builder, &runs, RUSH_VOICE_PLAIN, ": ");
        rush_words_trait(sheet->key, trait, sheet->language, &builder->words);
        rush_build_run(builder, &runs, RUSH_VOICE_TOLD, rush_build_taken(builder));
        rush_build_block(builder, RUSH_BLOCK_PARAGRAPH)->words = rush_phrase_of(&runs);
    }
}

static void add_sources(rush_sheet *sheet, const account *made)
{
    rush_builder *builder = &sheet->builder;
    uint32_t count = rush_key_source_count(sheet->key);
    bool *here = RUSH_ARRAY(builder->arena, bool, count + 1), any = false;
    for (uint32_t f = made->first; f < made->end; f++)
        for (uint32_t c = 0; c < rush_key_character_count(sheet->key); c++) {
            const rush_trait *trait = rush_key_trait(sheet->key, f, c, NULL);
            if (sheet->part->forms[f] && shows(trait) && trait->backing.source != RUSH_NONE)
                here[trait->backing.source] = true;
        }
    for (uint32_t s = 0; s < count; s++) {
        if (!here[s])
            continue;
        rush_buffer_format(&builder->words, "%s%s",
                           any ? ", " : "Sources: ", rush_key_source(sheet->key, s)->id);
        sheet->cited[s] = any = true;
    }
    if (any)
        rush_build_paragraph(builder, RUSH_BLOCK_PARAGRAPH, rush_build_taken(builder));
}

static void add_taxon(rush_sheet *sheet, uint32_t at)
{
    rush_builder *builder = &sheet->builder;
    const rush_taxon *taxon = rush_key_taxon(sheet->key, at);
    account made = {.first = taxon->first_form, .end = taxon->first_form + taxon->form_count};
    made.forms = RUSH_ARRAY(builder->arena, rush_run_list, taxon->form_count + 1);
    for (uint32_t f = made.first; f < made.end; f++)
        made.count += sheet->part->forms[f];
    rush_run_list name = {0};
    rush_build_taxon(builder, &name, sheet->key, at, sheet->language, NULL);
    const char *id = rush_sheet_taxon_id(sheet, at);
    rush_block *heading = rush_build_block(builder, RUSH_BLOCK_HEADING);
    heading->level = 3;
    heading->id = id;
    heading->words = rush_phrase_of(&name);
    rush_picture_list bars = {0}, drawings = {0};
    add_size(sheet, &made, &bars);
    add_season(sheet, &made, &bars);
    add_pictures(sheet, &bars);
    const char *caution = rush_key_words(sheet->key, taxon->caution, sheet->language);
    if (caution[0]) {
        rush_buffer_format(&builder->words, "Take care: %s", caution);
        rush_build_paragraph(builder, RUSH_BLOCK_CAUTION, rush_build_taken(builder));
    }
    add_marks(sheet, &made);
    add_drawings(sheet, &made, &drawings);
    add_pictures(sheet, &drawings);
    add_settings(sheet, &made);
    add_sources(sheet, &made);
}

/* ---- all of them ---------------------------------------------------------------------------------------- */

void rush_sheet_common(rush_sheet *sheet)
{
    uint32_t forms = rush_key_form_count(sheet->key);
    sheet->common = RUSH_ARRAY(sheet->builder.arena, bool, rush_key_character_count(sheet->key));
    for (uint32_t c = 0; c < rush_key_character_count(sheet->key); c++)
        sheet->common[c] = forms_agree(sheet, c, 0, forms, RUSH_SEX_ANY);
}

void rush_sheet_taxa(rush_sheet *sheet)
{
    uint32_t end = rush_key_form_count(sheet->key), some = first_form(sheet, 0, end);
    rush_run_list common = {0};
    rush_build_heading(&sheet->builder, 2, "accounts", "One by one")->new_page = true;
    rush_build_paragraph(
        &sheet->builder, RUSH_BLOCK_PARAGRAPH,
        "The bar of size is as long as the insect: black up to the least length, black "
        "and white together up to the greatest. Dark months are those of its season. "
        "Marks that tell most stand first. In the drawings black is dark, white is "
        "pale, and grey is the colour that the words name.");
    for (uint32_t i = 0; i < sheet->order_count && sheet->part->leaf_count > 1; i++)
        if (sheet->common[sheet->order[i]])
            add_mark(sheet, rush_key_trait(sheet->key, some, sheet->order[i], NULL), &common);
    add_marks_paragraph(sheet, "All on this sheet", &common);
    if (sheet->part->leaf_count < 2)
        memset(sheet->common, 0, rush_key_character_count(sheet->key) * sizeof *sheet->common);
    for (uint32_t i = 0; i < sheet->part->leaf_count; i++)
        add_taxon(sheet, sheet->part->leaves[i]);
}
