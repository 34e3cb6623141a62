#include <string.h>

#include "base/number.h"
#include "sow/plan.h"

/* ---- a row's cells ---------------------------------------------------------------------------- */

static const rush_cell *field_cell(const rush_sow_plan *plan, uint32_t row, rush_sow_field field)
{
    uint32_t column = plan->fields[field];
    return rush_sheet_cell(&plan->sheet, row, column == RUSH_NONE ? UINT32_MAX : column);
}

static bool filled(const rush_sow_plan *plan, uint32_t row, rush_sow_field field)
{
    return field_cell(plan, row, field)->text.length > 0;
}

/* A row of a form says which: by its sex, its name or its share. */
static bool is_form(const rush_sow_plan *plan, uint32_t row)
{
    return filled(plan, row, RUSH_SOW_SEX) || filled(plan, row, RUSH_SOW_FORM) ||
           filled(plan, row, RUSH_SOW_SHARE);
}

/* ---- names of taxa ---------------------------------------------------------------------------- */

static bool is_capital(char c)
{
    return c >= 'A' && c <= 'Z';
}

/* `Tidella ficta`: a genus's name in front of a word in lower case. */
rush_text rush_sow_genus(rush_text name)
{
    const char *space = memchr(name.at, ' ', name.length);
    size_t length = space ? (size_t)(space - name.at) : 0;
    bool binomial = length > 1 && is_capital(name.at[0]) && length + 1 < name.length &&
                    !is_capital(name.at[length + 1]);
    return (rush_text){name.at, binomial ? length : 0};
}

static bool ends_in(rush_text name, const char *end)
{
    size_t length = strlen(end);
    return name.length > length && memcmp(name.at + name.length - length, end, length) == 0;
}

/* The rank that a name tells of by itself: endings as the zoological code has them (ICZN, 4th ed.,
 * article 29.2). */
static rush_taxon_rank rank_of(rush_text name)
{
    rush_text genus = rush_sow_genus(name);
    if (genus.length) {
        rush_text rest = {name.at + genus.length + 1, name.length - genus.length - 1};
        return memchr(rest.at, ' ', rest.length) ? RUSH_RANK_SUBSPECIES : RUSH_RANK_SPECIES;
    }
    if (memchr(name.at, ' ', name.length) || !is_capital(name.at[0]))
        return RUSH_RANK_SPECIES;
    return ends_in(name, "oidea")  ? RUSH_RANK_SUPERFAMILY
           : ends_in(name, "idae") ? RUSH_RANK_FAMILY
           : ends_in(name, "inae") ? RUSH_RANK_SUBFAMILY
           : ends_in(name, "ini")  ? RUSH_RANK_TRIBE
                                   : RUSH_RANK_GENUS;
}

/* ---- taxa ------------------------------------------------------------------------------------- */

static uint32_t add_taxon(rush_sow_plan *plan, rush_text name, const rush_cell *place)
{
    uint32_t next = plan->taxa.count;
    uint32_t at = rush_sow_add(plan, RUSH_SOW_SCOPE_TAXA, name, next);
    if (at != next)
        return at;
    rush_sow_taxon *taxon = RUSH_PUSH(plan->arena, &plan->taxa);
    taxon->name = name;
    taxon->place = place;
    taxon->rank = rank_of(name);
    taxon->parent = taxon->source = RUSH_NONE;
    taxon->occurrence = -1;
    for (int i = 0; i < RUSH_SOW_WORDS; i++)
        taxon->words[i] = RUSH_ARRAY(plan->arena, const rush_cell *, plan->languages.count + 1);
    return at;
}

/* A group that has no row of its own; it is made where it is first named. */
static void make_group(rush_sow_plan *plan, rush_text name, rush_taxon_rank rank,
                       rush_text within, const rush_cell *place)
{
    uint32_t known = rush_sow_find(plan, RUSH_SOW_SCOPE_TAXA, name);
    if (rush_sow_find(plan, RUSH_SOW_SCOPE_ROWS, name) != RUSH_NONE)
        return;
    if (known == RUSH_NONE) {
        known = add_taxon(plan, name, place);
        rush_sow_taxon *taxon = &plan->taxa.items[known];
        taxon->made = true;
        taxon->rank = rank;
        taxon->within = within;
        return;
    }
    rush_sow_taxon *taxon = &plan->taxa.items[known];
    if (!taxon->made)
        return;
    if (!taxon->within.length) {
        taxon->within = within;
    } else if (within.length && !rush_sow_alike(taxon->within, within)) {
        rush_diagnostic *made = rush_sow_diagnose(
            plan, place, RUSH_REPEATED_FIELD, "'%.*s' stands within '%.*s' in an earlier row",
            (int)name.length, name.at, (int)taxon->within.length, taxon->within.at);
        rush_diagnose_help(plan->list, made, "one taxon stands within one other");
    }
}

/* The columns of ranks above the taxon's own: each group within the next one above; the lowest is returned. */
static rush_text take_groups(rush_sow_plan *plan, uint32_t row, rush_taxon_rank below)
{
    rush_text above = {"", 0};
    for (int rank = 0; rank < (int)below; rank++) {
        if (plan->groups[rank] == RUSH_NONE)
            continue;
        const rush_cell *cell = rush_sheet_cell(&plan->sheet, row, plan->groups[rank]);
        if (!cell->text.length || rush_cell_is_nothing(cell->text) ||
            !rush_sow_good_name(plan, cell, cell->text, "taxon"))
            continue;
        make_group(plan, cell->text, (rush_taxon_rank)rank, above, cell);
        above = cell->text;
    }
    return above;
}

/* What stands in `within`; a group that is named only there is made when its rank is plain. */
static rush_text take_within(rush_sow_plan *plan, const rush_cell *cell, rush_taxon_rank below,
                             rush_text above)
{
    rush_text name = cell->text;
    rush_taxon_rank rank = rank_of(name);
    bool known = rush_sow_find(plan, RUSH_SOW_SCOPE_ROWS, name) != RUSH_NONE ||
                 rush_sow_find(plan, RUSH_SOW_SCOPE_TAXA, name) != RUSH_NONE;
    if (!known && (rank >= below || !rush_sow_good_name(plan, cell, name, "taxon"))) {
        rush_diagnostic *made =
            rush_sow_diagnose(plan, cell, RUSH_UNKNOWN_TAXON, "the table has no taxon '%.*s'",
                              (int)name.length, name.at);
        rush_diagnose_help(plan->list, made, "give it a row of its own, with its rank");
        return (rush_text){"", 0};
    }
    if (!known)
        make_group(plan, name, rank, rush_sow_alike(above, name) ? (rush_text){"", 0} : above,
                   cell);
    return name;
}

/* What a taxon stands within: `within`, else the lowest group that the row names, else the genus that its name
 * begins with. `-` in `within`: nothing. */
static rush_text find_within(rush_sow_plan *plan, uint32_t row, rush_text name,
                             rush_taxon_rank rank)
{
    const rush_cell *within = field_cell(plan, row, RUSH_SOW_WITHIN);
    rush_text above = take_groups(plan, row, rank), genus = rush_sow_genus(name);
    if (rush_cell_is_nothing(within->text))
        return (rush_text){"", 0};
    if (within->text.length)
        return take_within(plan, within, rank, above);
    bool has_genus =
        plan->groups[RUSH_RANK_GENUS] != RUSH_NONE && above.length &&
        rush_sheet_cell(&plan->sheet, row, plan->groups[RUSH_RANK_GENUS])->text.length;
    if (rank < RUSH_RANK_SPECIES || !genus.length || has_genus)
        return above;
    make_group(plan, genus, RUSH_RANK_GENUS, above, field_cell(plan, row, RUSH_SOW_TAXON));
    return genus;
}

/* ---- what a row says of its taxon ---------------------------------------------------------------- */

/* Several rows may say the same of one taxon. */
static void take_cell(rush_sow_plan *plan, const rush_cell *cell, const rush_cell **place,
                      rush_text head)
{
    if (!cell->text.length)
        return;
    if (!*place) {
        *place = cell;
    } else if (!rush_text_equal((*place)->text, cell->text)) {
        rush_diagnostic *made = rush_sow_diagnose(plan, cell, RUSH_REPEATED_FIELD,
                                                  "an earlier row of this taxon has another %.*s",
                                                  (int)head.length, head.at);
        rush_sow_other(plan, made, *place, "it is here");
    }
}

static rush_taxon_rank read_rank(rush_sow_plan *plan, const rush_cell *cell,
                                 rush_taxon_rank usual)
{
    rush_taxon_rank rank;
    if (!cell->text.length)
        return usual;
    if (rush_sow_rank_named(cell->text, &rank))
        return rank;
    rush_nearest nearest;
    rush_suggest_init(plan->list, &nearest, cell->text);
    for (int i = 0; i < RUSH_RANK_COUNT; i++)
        rush_nearest_offer(&nearest, rush_taxon_rank_name((rush_taxon_rank)i));
    rush_diagnostic *made = rush_sow_diagnose(plan, cell, RUSH_BAD_CHOICE, "'%.*s' is not a rank",
                                              (int)cell->text.length, cell->text.at);
    rush_diagnose_nearest(plan->list, made, &nearest, "species, genus, family ...");
    return usual;
}

static void read_occurrence(rush_sow_plan *plan, rush_sow_taxon *taxon)
{
    static const char *const words[] = {"common", "local", "scarce", "rare"};
    const rush_cell *cell = taxon->fields[RUSH_SOW_OCCURRENCE];
    double number;
    if (!cell)
        return;
    if (rush_text_number(cell->text, &number) && number >= 1e-6 && number <= 1e6) {
        taxon->occurrence = number;
        return;
    }
    rush_nearest nearest;
    rush_suggest_init(plan->list, &nearest, cell->text);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (rush_text_equal(cell->text, rush_text_of(words[i])))
            return;
        rush_nearest_offer(&nearest, words[i]);
    }
    rush_diagnostic *made =
        rush_sow_diagnose(plan, cell, RUSH_BAD_CHOICE, "'%.*s' is not an occurrence",
                          (int)cell->text.length, cell->text.at);
    rush_diagnose_nearest(plan->list, made, &nearest,
                          "say common (30), local (8), scarce (2), rare (0.5), or a number");
    taxon->fields[RUSH_SOW_OCCURRENCE] = NULL;
}

static void read_also(rush_sow_plan *plan, rush_sow_taxon *taxon)
{
    const rush_cell *cell = taxon->fields[RUSH_SOW_ALSO];
    rush_text rest = cell ? cell->text : (rush_text){"", 0};
    rush_cell_part part;
    while (rush_cell_part_take(&rest, plan->arena, &part))
        if (rush_sow_good_name(plan, cell, part.name, "taxon"))
            *RUSH_PUSH(plan->arena, &taxon->also) = part.name;
}

static void take_fields(rush_sow_plan *plan, uint32_t row, uint32_t at, bool form)
{
    static const rush_sow_field of_taxa[] = {
        RUSH_SOW_RANK,      RUSH_SOW_WITHIN, RUSH_SOW_OCCURRENCE, RUSH_SOW_ALSO,
        RUSH_SOW_AUTHORITY, RUSH_SOW_SOURCE, RUSH_SOW_NOTE};
    rush_sow_taxon *taxon = &plan->taxa.items[at];
    size_t count = sizeof of_taxa / sizeof *of_taxa - (form ? 2 : 0); /* a form has its own */
    for (size_t i = 0; i < count; i++)
        take_cell(plan, field_cell(plan, row, of_taxa[i]), &taxon->fields[of_taxa[i]],
                  rush_text_of(rush_sow_field_name(of_taxa[i])));
    for (int w = 0; w < RUSH_SOW_WORDS; w++)
        for (uint32_t i = 0; i < plan->words[w].count; i++) {
            const rush_cell *cell =
                rush_sheet_cell(&plan->sheet, row, plan->words[w].items[i].column);
            if (w != RUSH_SOW_VERNACULAR || !cell->text.length ||
                rush_sow_good_name(plan, cell, cell->text, "taxon"))
                take_cell(plan, cell, &taxon->words[w][plan->words[w].items[i].language],
                          rush_text_of(rush_sow_words_name((rush_sow_words)w)));
        }
}

/* ---- forms ------------------------------------------------------------------------------------ */

static bool read_sex(rush_sow_plan *plan, const rush_cell *cell, rush_sex *sex)
{
    static const struct {
        const char *word;
        rush_sex sex;
    } words[] = {{"male", RUSH_SEX_MALE},         {"female", RUSH_SEX_FEMALE},
                 {"any", RUSH_SEX_ANY},           {"m", RUSH_SEX_MALE},
                 {"f", RUSH_SEX_FEMALE},          {"males", RUSH_SEX_MALE},
                 {"females", RUSH_SEX_FEMALE},    {"both", RUSH_SEX_ANY},
                 {"\xe2\x99\x82", RUSH_SEX_MALE}, {"\xe2\x99\x80", RUSH_SEX_FEMALE}};
    *sex = RUSH_SEX_ANY;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (rush_sow_alike(cell->text, rush_text_of(words[i].word))) {
            *sex = words[i].sex;
            return true;
        }
    if (!cell->text.length)
        return true;
    rush_diagnostic *made = rush_sow_diagnose(plan, cell, RUSH_BAD_CHOICE, "'%.*s' is not a sex",
                                              (int)cell->text.length, cell->text.at);
    rush_diagnose_help(plan->list, made, "write male, female or any");
    return false;
}

static double read_share(rush_sow_plan *plan, const rush_cell *cell)
{
    rush_text text = cell->text;
    bool percent = text.length && text.at[text.length - 1] == '%';
    double share;
    if (!text.length)
        return -1;
    if (percent)
        text = rush_text_trim((rush_text){text.at, text.length - 1});
    if (rush_text_number(text, &share) && share >= 0 && share <= (percent ? 100 : 1))
        return share / (percent ? 100 : 1);
    rush_diagnostic *made =
        rush_sow_diagnose(plan, cell, RUSH_BAD_NUMBER, "'%.*s' is not a share",
                          (int)cell->text.length, cell->text.at);
    rush_diagnose_help(plan->list, made, "the part of the whole taxon, as in 0.4 or 40%%");
    return -1;
}

/* Two named forms of one taxon have another sex or another name. */
static bool is_repeated(rush_sow_plan *plan, uint32_t at, const rush_sow_form *form)
{
    const rush_sow_taxon *taxon = &plan->taxa.items[at];
    if (!form->name.length)
        return false;
    const char *both = rush_arena_format(plan->arena, "%u/%s/%.*s", at, rush_sex_name(form->sex),
                                         (int)form->name.length, form->name.at);
    uint32_t first, next = taxon->forms.count;
    first =
        rush_table_add(plan->arena, &plan->names, RUSH_SOW_SCOPE_FORMS, rush_text_of(both), next);
    if (first == next)
        return false;
    rush_diagnostic *made = rush_sow_diagnose(plan, form->place, RUSH_REPEATED_NAME,
                                              "two forms of '%.*s' have the same sex and name",
                                              (int)taxon->name.length, taxon->name.at);
    rush_sow_other(plan, made, taxon->forms.items[first].place, "the other one");
    return true;
}

static void read_traits(rush_sow_plan *plan, uint32_t row, rush_sow_traits *traits)
{
    rush_sow_trait trait;
    for (uint32_t column = 0; column < plan->sheet.rows.items[row].count; column++) {
        uint32_t character = plan->character_of[column];
        if (character != RUSH_NONE && rush_sow_trait_read(plan, row, character, &trait))
            *RUSH_PUSH(plan->arena, traits) = trait;
    }
}

static void read_form(rush_sow_plan *plan, uint32_t row, uint32_t at)
{
    const rush_cell *name = field_cell(plan, row, RUSH_SOW_FORM);
    const rush_cell *sex = field_cell(plan, row, RUSH_SOW_SEX);
    rush_sow_form form = {.place = sex->text.length    ? sex
                                   : name->text.length ? name
                                                       : field_cell(plan, row, RUSH_SOW_SHARE),
                          .name = name->text};
    if (!read_sex(plan, sex, &form.sex))
        return;
    if (form.name.length && !rush_sow_good_name(plan, name, form.name, "form"))
        return;
    form.share = read_share(plan, field_cell(plan, row, RUSH_SOW_SHARE));
    if (is_repeated(plan, at, &form))
        return;
    form.source = rush_sow_source(plan, field_cell(plan, row, RUSH_SOW_SOURCE));
    form.note = field_cell(plan, row, RUSH_SOW_NOTE)->text;
    read_traits(plan, row, &form.traits);
    *RUSH_PUSH(plan->arena, &plan->taxa.items[at].forms) = form;
}

/* ---- rows ------------------------------------------------------------------------------------- */

static bool names_taxon(rush_sow_plan *plan, uint32_t row)
{
    const rush_cell *cell = field_cell(plan, row, RUSH_SOW_TAXON);
    if (cell->text.length)
        return rush_sow_good_name(plan, cell, cell->text, "taxon");
    uint32_t first = 0;
    while (!rush_sheet_cell(&plan->sheet, row, first)->text.length)
        first++;
    rush_diagnostic *made = rush_sow_diagnose(plan, rush_sheet_cell(&plan->sheet, row, first),
                                              RUSH_MISSING_FIELD, "this row names no taxon");
    rush_diagnose_help(plan->list, made, "a row is a taxon, or a form of one: repeat its name");
    return false;
}

static void read_row(rush_sow_plan *plan, uint32_t row)
{
    const rush_cell *cell = field_cell(plan, row, RUSH_SOW_TAXON);
    bool form = is_form(plan, row);
    uint32_t known = rush_sow_find(plan, RUSH_SOW_SCOPE_TAXA, cell->text);
    if (!form && known != RUSH_NONE && plan->taxa.items[known].rowed) {
        rush_diagnostic *made =
            rush_sow_diagnose(plan, cell, RUSH_REPEATED_NAME, "'%.*s' has an earlier row",
                              (int)cell->text.length, cell->text.at);
        rush_sow_other(plan, made, plan->taxa.items[known].place, "the earlier row");
        rush_diagnose_help(plan->list, made,
                           "a second row is for a form: fill in its `sex` or its `form`");
        return;
    }
    const rush_cell *rank_cell = field_cell(plan, row, RUSH_SOW_RANK);
    rush_taxon_rank rank =
        known == RUSH_NONE ? rank_of(cell->text) : plan->taxa.items[known].rank;
    rank = read_rank(plan, rank_cell, rank);
    /* What a taxon stands within is for its first row to say, or for one that says it outright. */
    bool first = known == RUSH_NONE ||
                 (!plan->taxa.items[known].within.length && filled(plan, row, RUSH_SOW_WITHIN));
    rush_text within = first ? find_within(plan, row, cell->text, rank) : (rush_text){"", 0};
    uint32_t at = add_taxon(plan, cell->text, cell);
    rush_sow_taxon *taxon = &plan->taxa.items[at];
    taxon->rank = rank;
    if (!taxon->within.length)
        taxon->within = within;
    take_fields(plan, row, at, form);
    if (form) {
        read_form(plan, row, at);
        return;
    }
    const rush_cell *source = plan->taxa.items[at].fields[RUSH_SOW_SOURCE];
    rush_sow_traits traits = {0};
    read_traits(plan, row, &traits);
    taxon = &plan->taxa.items[at];
    taxon->rowed = true;
    taxon->traits = traits;
    taxon->source = source ? rush_sow_source(plan, source) : RUSH_NONE;
}

void rush_sow_rows(rush_sow_plan *plan)
{
    bool *good = RUSH_ARRAY(plan->arena, bool, plan->sheet.rows.count);
    for (uint32_t row = 1; row < plan->sheet.rows.count; row++) {
        good[row] = names_taxon(plan, row);
        if (good[row])
            rush_sow_add(plan, RUSH_SOW_SCOPE_ROWS, field_cell(plan, row, RUSH_SOW_TAXON)->text,
                         row);
    }
    for (uint32_t row = 1; row < plan->sheet.rows.count; row++)
        if (good[row])
            read_row(plan, row);
    for (uint32_t i = 0; i < plan->taxa.count; i++) {
        read_occurrence(plan, &plan->taxa.items[i]);
        read_also(plan, &plan->taxa.items[i]);
    }
}
