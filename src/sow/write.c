#include <string.h>

#include "sow/plan.h"
#include "sow/yaml.h"

enum { DECIMALS = 9 };

static const rush_text none = {"", 0};

/* Behind a heading nothing came. */
static void take_back(rush_buffer *yaml, size_t length)
{
    if (yaml->failed)
        return;
    yaml->length = length;
    yaml->bytes[length] = '\0';
}

/* `name: text` on a line of its own. */
static void write_field(rush_buffer *yaml, const char *indent, const char *name, rush_text text)
{
    if (!text.length)
        return;
    rush_buffer_format(yaml, "%s%s: ", indent, name);
    rush_yaml_text(text, yaml);
    rush_buffer_byte(yaml, '\n');
}

static void write_number(rush_buffer *yaml, const char *indent, const char *name, double number)
{
    rush_buffer_format(yaml, "%s%s: ", indent, name);
    rush_buffer_number(yaml, number, DECIMALS);
    rush_buffer_byte(yaml, '\n');
}

/* ---- traits ----------------------------------------------------------------------------------- */

/* `red`, `[red, orange]` or `{red: 0.7, orange: 0.3}`. A state that is called as a word of the format stands in
 * a list, where it is no such word. */
static void write_states(const rush_sow_character *character, const rush_sow_trait *trait,
                         rush_buffer *yaml)
{
    bool weighted = trait->parts.items[0].weight >= 0;
    rush_text first = character->states.items[trait->parts.items[0].state].id;
    bool bare = trait->parts.count == 1 && !weighted &&
                !rush_text_equal(first, rush_text_of(RUSH_CELL_UNKNOWN)) &&
                !rush_text_equal(first, rush_text_of(RUSH_CELL_INAPPLICABLE));
    rush_buffer_string(yaml, bare ? "" : weighted ? "{" : "[");
    for (uint32_t i = 0; i < trait->parts.count; i++) {
        rush_buffer_string(yaml, i ? ", " : "");
        rush_yaml_text(character->states.items[trait->parts.items[i].state].id, yaml);
        if (weighted) {
            rush_buffer_string(yaml, ": ");
            rush_buffer_number(yaml, trait->parts.items[i].weight, DECIMALS);
        }
    }
    rush_buffer_string(yaml, bare ? "" : weighted ? "}" : "]");
}

static void write_range(const rush_cell_number *number, rush_buffer *yaml)
{
    rush_buffer_number(yaml, number->low, DECIMALS);
    if (number->high == number->low)
        return;
    rush_buffer_byte(yaml, '-');
    rush_buffer_number(yaml, number->high, DECIMALS);
}

static void write_mean(const rush_cell_number *number, rush_buffer *yaml)
{
    rush_buffer_string(yaml, "mean: ");
    rush_buffer_number(yaml, number->mean, DECIMALS);
    rush_buffer_string(yaml, ", sd: ");
    rush_buffer_number(yaml, number->sd, DECIMALS);
    if (number->n)
        rush_buffer_format(yaml, ", n: %u", number->n);
}

static void write_months(unsigned months, rush_buffer *yaml)
{
    rush_buffer seasons = {0};
    rush_cell_months_write(months, "-", ", ", &seasons);
    bool several = !seasons.failed && memchr(seasons.bytes, ',', seasons.length);
    rush_buffer_format(yaml, several ? "[%s]" : "%s", seasons.failed ? "" : seasons.bytes);
    yaml->failed |= seasons.failed;
    rush_buffer_free(&seasons);
}

static void write_value(const rush_sow_character *character, const rush_sow_trait *trait,
                        rush_buffer *yaml)
{
    if (trait->said != RUSH_SOW_SCORED)
        rush_buffer_string(yaml, trait->said == RUSH_SOW_UNKNOWN ? RUSH_CELL_UNKNOWN
                                                                 : RUSH_CELL_INAPPLICABLE);
    else if (character->kind == RUSH_SOW_NUMBER)
        write_range(&trait->number, yaml);
    else if (character->kind == RUSH_SOW_MONTHS)
        write_months(trait->months, yaml);
    else
        write_states(character, trait, yaml);
}

static void write_backing(const rush_sow_plan *plan, uint32_t source, rush_text note,
                          rush_buffer *yaml)
{
    if (source != RUSH_NONE) {
        rush_buffer_string(yaml, ", source: ");
        rush_yaml_text(plan->sources.items[source].id, yaml);
    }
    if (note.length) {
        rush_buffer_string(yaml, ", note: ");
        rush_yaml_text(note, yaml);
    }
}

static void write_traits(const rush_sow_plan *plan, const rush_sow_traits *traits,
                         const char *indent, rush_buffer *yaml)
{
    if (!traits->count)
        return;
    rush_buffer_format(yaml, "%straits:\n", indent);
    for (uint32_t i = 0; i < traits->count; i++) {
        const rush_sow_trait *trait = &traits->items[i];
        const rush_sow_character *character = &plan->characters.items[trait->character];
        bool mean = character->kind == RUSH_SOW_NUMBER && trait->said == RUSH_SOW_SCORED &&
                    !trait->number.ranged;
        bool backed = trait->source != RUSH_NONE || trait->note.length;
        rush_buffer_format(yaml, "%s  ", indent);
        rush_yaml_text(character->name.id, yaml);
        rush_buffer_string(yaml, mean ? ": {" : backed ? ": {is: " : ": ");
        if (mean)
            write_mean(&trait->number, yaml);
        else
            write_value(character, trait, yaml);
        write_backing(plan, trait->source, trait->note, yaml);
        rush_buffer_string(yaml, mean || backed ? "}\n" : "\n");
    }
}

/* ---- taxa ------------------------------------------------------------------------------------- */

/* A text for each language that has one; `otherwise` stands for the first when it has none. */
static void write_words(const rush_sow_plan *plan, const char *head,
                        const rush_cell *const *words, rush_text otherwise, rush_buffer *yaml)
{
    bool any = false, several = false;
    for (uint32_t l = 1; l < plan->languages.count; l++)
        several |= words && words[l];
    for (uint32_t l = 0; l < plan->languages.count || l == 0; l++) {
        bool given = words && l < plan->languages.count && words[l];
        rush_text text = given ? words[l]->text : l ? (rush_text){"", 0} : otherwise;
        if (!text.length)
            continue;
        if (!any)
            rush_buffer_format(yaml, "%s: ", head);
        if (several) {
            rush_buffer_string(yaml, any ? ", " : "{");
            rush_yaml_text(plan->languages.items[l], yaml);
            rush_buffer_string(yaml, ": ");
        }
        rush_yaml_text(text, yaml);
        any = true;
    }
    if (any)
        rush_buffer_string(yaml, several ? "}" : "");
}

static void write_words_line(const rush_sow_plan *plan, const char *head,
                             const rush_cell *const *words, rush_text otherwise,
                             rush_buffer *yaml)
{
    size_t before = yaml->length;
    rush_buffer_string(yaml, "    ");
    write_words(plan, head, words, otherwise, yaml);
    if (yaml->length > before + 4)
        rush_buffer_byte(yaml, '\n');
    else
        take_back(yaml, before);
}

static void write_names(const rush_text *names, uint32_t count, rush_buffer *yaml)
{
    rush_buffer_string(yaml, "also: [");
    for (uint32_t i = 0; i < count; i++) {
        rush_buffer_string(yaml, i ? ", " : "");
        rush_yaml_text(names[i], yaml);
    }
    rush_buffer_string(yaml, "]");
}

static void write_also(const rush_text *names, uint32_t count, rush_buffer *yaml)
{
    if (!count)
        return;
    rush_buffer_string(yaml, "    ");
    write_names(names, count, yaml);
    rush_buffer_byte(yaml, '\n');
}

static void write_form(const rush_sow_plan *plan, const rush_sow_form *form, rush_buffer *yaml)
{
    rush_buffer_format(yaml, "      - sex: %s\n", rush_sex_name(form->sex));
    write_field(yaml, "        ", "form", form->name);
    if (form->share >= 0)
        write_number(yaml, "        ", "share", form->share);
    if (form->source != RUSH_NONE)
        write_field(yaml, "        ", "source", plan->sources.items[form->source].id);
    write_field(yaml, "        ", "note", form->note);
    write_traits(plan, &form->traits, "        ", yaml);
}

static rush_text field_text(const rush_sow_taxon *taxon, rush_sow_field field)
{
    return taxon->fields[field] ? taxon->fields[field]->text : (rush_text){"", 0};
}

static void write_taxon(const rush_sow_plan *plan, const rush_sow_taxon *taxon, rush_buffer *yaml)
{
    rush_buffer_string(yaml, "\n  ");
    rush_yaml_text(taxon->name, yaml);
    rush_buffer_format(yaml, ":%s\n    rank: %s\n",
                       taxon->made ? " # no row of the table; made from the names of the others"
                                   : "",
                       rush_taxon_rank_name(taxon->rank));
    if (taxon->parent != RUSH_NONE)
        write_field(yaml, "    ", "within", plan->taxa.items[taxon->parent].name);
    write_words_line(plan, "vernacular", taxon->words[RUSH_SOW_VERNACULAR], none, yaml);
    write_also(taxon->also.items, taxon->also.count, yaml);
    write_field(yaml, "    ", "authority", field_text(taxon, RUSH_SOW_AUTHORITY));
    if (taxon->occurrence >= 0)
        write_number(yaml, "    ", "occurrence", taxon->occurrence);
    else
        write_field(yaml, "    ", "occurrence", field_text(taxon, RUSH_SOW_OCCURRENCE));
    if (taxon->source != RUSH_NONE)
        write_field(yaml, "    ", "source", plan->sources.items[taxon->source].id);
    write_field(yaml, "    ", "note", field_text(taxon, RUSH_SOW_NOTE));
    write_words_line(plan, "caution", taxon->words[RUSH_SOW_CAUTION], none, yaml);
    write_traits(plan, &taxon->traits, "    ", yaml);
    if (taxon->forms.count)
        rush_buffer_string(yaml, "    forms:\n");
    for (uint32_t i = 0; i < taxon->forms.count; i++)
        write_form(plan, &taxon->forms.items[i], yaml);
}

/* ---- characters ------------------------------------------------------------------------------- */

/* A character has two states at least; a column with one says only where it is. */
static const char *other_state(const rush_sow_character *character)
{
    static const char *const pairs[][2] = {
        {"yes", "no"}, {"present", "absent"}, {"true", "false"}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        for (int side = 0; side < 2; side++)
            if (rush_sow_alike(character->states.items[0].id, rush_text_of(pairs[i][side])))
                return pairs[i][1 - side];
    return rush_sow_alike(character->states.items[0].id, rush_text_of("other")) ? "none"
                                                                                : "other";
}

/* A drawing as a block of its own; the figure says where its lines begin, since they may begin with spaces. */
static void write_sketch(rush_text drawing, rush_buffer *yaml)
{
    while (drawing.length > 1 && drawing.at[drawing.length - 1] == '\n' &&
           drawing.at[drawing.length - 2] == '\n')
        drawing.length--;
    bool ended = drawing.at[drawing.length - 1] == '\n';
    rush_buffer_string(yaml, ended ? "        sketch: |2\n" : "        sketch: |2-\n");
    for (size_t from = 0, to; from < drawing.length; from = to + 1) {
        for (to = from; to < drawing.length && drawing.at[to] != '\n';)
            to++;
        rush_buffer_string(yaml, "          ");
        rush_buffer_add(yaml, (rush_text){drawing.at + from, to - from});
        rush_buffer_byte(yaml, '\n');
    }
}

static void write_state(const rush_sow_plan *plan, const rush_sow_name *state, rush_buffer *yaml)
{
    const rush_sow_details *details = state->details;
    rush_text written = rush_text_equal(state->id, state->written) ? none : state->written;
    bool sketch = details && details->fields[RUSH_DETAIL_SKETCH]->text.length;
    rush_text drawing =
        sketch ? rush_sheet_lines(plan->arena, details->fields[RUSH_DETAIL_SKETCH]) : none;
    rush_buffer label = {0}; /* from here on nothing escapes */
    write_words(plan, "label", details ? details->words[RUSH_DETAIL_LABEL] : NULL, written,
                &label);
    bool also = details && details->also.count;
    rush_buffer_string(yaml, "      ");
    rush_yaml_text(state->id, yaml);
    rush_buffer_string(yaml, sketch ? ":\n" : label.length || also ? ": {" : ":");
    if (label.length)
        rush_buffer_format(yaml, sketch ? "        %s\n" : "%s", label.bytes);
    if (also) {
        rush_buffer_string(yaml, sketch ? "        " : label.length ? ", " : "");
        write_names(details->also.items, details->also.count, yaml);
        rush_buffer_string(yaml, sketch ? "\n" : "");
    }
    if (sketch)
        write_sketch(drawing, yaml);
    else
        rush_buffer_string(yaml, label.length || also ? "}\n" : "\n");
    yaml->failed |= label.failed;
    rush_buffer_free(&label);
}

static void write_state_list(const rush_sow_plan *plan, const rush_sow_character *character,
                             rush_buffer *yaml)
{
    uint32_t count = character->states.count;
    rush_buffer_string(yaml, "    states:\n");
    for (uint32_t i = 0; i < count; i++)
        write_state(plan, &character->states.items[i], yaml);
    if (!count)
        rush_buffer_string(yaml, "      'yes': # the table names no state\n      'no':\n");
    else if (count == 1) {
        rush_buffer_string(yaml, "      ");
        rush_yaml_text(rush_text_of(other_state(character)), yaml);
        rush_buffer_string(yaml, ": # not in the table, which has one state only\n");
    }
}

static void write_confused(const rush_sow_character *character, rush_buffer *yaml)
{
    for (uint32_t g = 0; g < character->confused.count; g++) {
        const rush_sow_group *group = &character->confused.items[g];
        rush_buffer_string(yaml, g ? ", [" : "    confused: [[");
        for (uint32_t i = 0; i < group->states.count; i++) {
            rush_buffer_string(yaml, i ? ", " : "");
            rush_yaml_text(character->states.items[group->states.items[i]].id, yaml);
        }
        rush_buffer_string(yaml, "]");
    }
    rush_buffer_string(yaml, character->confused.count ? "]\n" : "");
}

static void write_detail_number(const rush_sow_details *details, rush_sow_detail field,
                                const char *name, rush_buffer *yaml)
{
    double number;
    if (!details || !rush_sow_detail_number(details->fields[field], field, &number))
        return;
    rush_text text = details->fields[field]->text;
    bool percent = field == RUSH_DETAIL_READING_ERROR && text.at[text.length - 1] == '%';
    rush_buffer_format(yaml, "    %s: ", name);
    rush_buffer_number(yaml, number, DECIMALS);
    rush_buffer_string(yaml, percent ? "%\n" : "\n");
}

static void write_flag(const rush_cell *cell, const char *name, rush_buffer *yaml)
{
    if (!cell->text.length)
        return;
    bool yes = rush_sow_alike(cell->text, rush_text_of("yes")) ||
               rush_sow_alike(cell->text, rush_text_of("true"));
    rush_buffer_format(yaml, "    %s: %s\n", name, yes ? "true" : "false");
}

/* What every character may have. */
static void write_details(const rush_sow_plan *plan, const rush_sow_name *name, rush_buffer *yaml)
{
    const rush_sow_details *details = name->details;
    rush_text written = rush_text_equal(name->id, name->written) ? none : name->written;
    write_words_line(plan, "label", details ? details->words[RUSH_DETAIL_LABEL] : NULL, written,
                     yaml);
    if (!details)
        return;
    write_also(details->also.items, details->also.count, yaml);
    write_words_line(plan, "ask", details->words[RUSH_DETAIL_ASK], none, yaml);
    write_words_line(plan, "tip", details->words[RUSH_DETAIL_TIP], none, yaml);
    const rush_cell *reach = details->fields[RUSH_DETAIL_REACH];
    if (reach->text.length)
        rush_buffer_format(yaml, "    reach: %s\n", rush_reach_name(rush_sow_reach(reach->text)));
    write_detail_number(details, RUSH_DETAIL_EFFORT, "effort", yaml);
    write_detail_number(details, RUSH_DETAIL_MISREAD, "misread", yaml);
    write_flag(details->fields[RUSH_DETAIL_BARE], "bare", yaml);
    write_flag(details->fields[RUSH_DETAIL_LOOK_NEXT], "look_next", yaml);
}

static void write_number_character(const rush_sow_plan *plan, const rush_sow_character *character,
                                   rush_buffer *yaml)
{
    const rush_sow_details *details = character->name.details;
    size_t before;
    write_field(yaml, "    ", "measure", character->measure);
    write_field(yaml, "    ", "unit", character->unit);
    if (details)
        write_words_line(plan, "includes", details->words[RUSH_DETAIL_INCLUDES], none, yaml);
    before = yaml->length;
    write_detail_number(details, RUSH_DETAIL_READING_ERROR, "reading_error", yaml);
    if (yaml->length == before && !rush_sow_alike(character->measure, rush_text_of("count")))
        rush_buffer_string(yaml, "    reading_error: 10%\n");
    write_detail_number(details, RUSH_DETAIL_RESOLUTION, "resolution", yaml);
    for (uint32_t i = 0; i < character->range_words.count; i++) {
        rush_buffer_string(yaml, i ? ", " : "    words: {");
        rush_yaml_text(character->range_words.items[i].word, yaml);
        rush_buffer_string(yaml, ": ");
        rush_yaml_text(character->range_words.items[i].means, yaml);
    }
    rush_buffer_string(yaml, character->range_words.count ? "}\n" : "");
}

static void write_character(const rush_sow_plan *plan, const rush_sow_character *character,
                            rush_buffer *yaml)
{
    rush_buffer_string(yaml, "\n  ");
    rush_yaml_text(character->name.id, yaml);
    rush_buffer_string(yaml, ":\n");
    write_details(plan, &character->name, yaml);
    if (character->kind == RUSH_SOW_MONTHS) {
        rush_buffer_string(yaml, "    setting: months\n");
    } else if (character->kind == RUSH_SOW_NUMBER) {
        write_number_character(plan, character, yaml);
    } else {
        if (character->kind == RUSH_SOW_SETTING)
            rush_buffer_string(yaml, "    setting: states\n");
        write_state_list(plan, character, yaml);
        write_confused(character, yaml);
    }
}

/* Those that every key has, where the table of characters has a row for them. */
static void write_built_in(const rush_sow_plan *plan, uint32_t at, rush_buffer *yaml)
{
    static const char *const ids[RUSH_BUILT_IN_CHARACTERS] = {"sex", "form", "taxon"};
    const rush_sow_character *character = &plan->built_in[at];
    bool states = false;
    for (uint32_t i = 0; i < character->states.count; i++)
        states |= character->states.items[i].details != NULL;
    if (!character->name.details && !states)
        return;
    rush_sow_name name = {rush_text_of(ids[at]), rush_text_of(ids[at]), character->name.details};
    size_t before = yaml->length;
    rush_buffer_format(yaml, "\n  %s:", ids[at]);
    size_t head = yaml->length;
    rush_buffer_string(yaml, "\n");
    write_details(plan, &name, yaml);
    if (states)
        write_state_list(plan, character, yaml);
    if (yaml->length == head + 1)
        take_back(yaml, before); /* its row says nothing */
}

/* ---- the key ---------------------------------------------------------------------------------- */

static void write_header(const rush_sow_plan *plan, const rush_sowing *sowing, rush_buffer *yaml)
{
    rush_buffer_string(
        yaml,
        "# Begun from a table by `rushlight sow`. A table cannot say all that a key can: add `ask:` and `tip:` to\n"
        "# each character, its `misread:`, `effort:` and `reach:`, which states are `confused:`, and worked\n"
        "# `sightings:`. `rushlight check` says what else is weak.\n\n"
        "rushlight: 1\n");
    write_field(yaml, "", "key", rush_text_of(sowing->id));
    write_field(yaml, "", "title", rush_text_of(sowing->title));
    bool plain = plan->languages.count == 0 ||
                 (plan->languages.count == 1 &&
                  rush_text_equal(plan->languages.items[0], rush_text_of("en")));
    for (uint32_t i = 0; i < plan->languages.count && !plain; i++) {
        rush_buffer_string(yaml, i ? ", " : "languages: [");
        rush_yaml_text(plan->languages.items[i], yaml);
    }
    rush_buffer_string(yaml, plain ? "" : "]\n");
}

void rush_sow_write(const rush_sow_plan *plan, const rush_sowing *sowing, rush_buffer *yaml)
{
    write_header(plan, sowing, yaml);
    if (plan->sources.count)
        rush_buffer_string(yaml, "\nsources:\n");
    for (uint32_t i = 0; i < plan->sources.count; i++) {
        rush_buffer_string(yaml, "  ");
        rush_yaml_text(plan->sources.items[i].id, yaml);
        rush_buffer_string(yaml, ": {cite: ");
        rush_yaml_text(plan->sources.items[i].written, yaml);
        rush_buffer_string(yaml, "}\n");
    }
    size_t before = yaml->length;
    rush_buffer_string(yaml, "\ncharacters:\n");
    size_t head = yaml->length;
    for (uint32_t i = 0; i < RUSH_BUILT_IN_CHARACTERS; i++)
        write_built_in(plan, i, yaml);
    for (uint32_t i = 0; i < plan->characters.count; i++)
        write_character(plan, &plan->characters.items[i], yaml);
    if (yaml->length == head)
        take_back(yaml, before);
    rush_buffer_string(yaml, "\ntaxa:\n");
    for (uint32_t i = 0; i < plan->taxa.count; i++)
        write_taxon(plan, &plan->taxa.items[i], yaml);
}
