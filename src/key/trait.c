#include <math.h>
#include <string.h>

#include "base/number.h"
#include "key/fields.h"
#include "key/month.h"

/* ---- numbers ---------------------------------------------------------------------------------- */

static bool has_any(rush_text text, const char *any)
{
    for (size_t i = 0; i < text.length; i++)
        if (text.at[i] && strchr(any, text.at[i]))
            return true;
    return false;
}

/* `60-110`, or one number, in the character's unit. */
static bool read_range(rush_loader *loader, rush_node node, const rush_character *character,
                       rush_trait *trait)
{
    rush_text text = rush_text_trim(rush_node_text(node)), rest = text;
    rush_number low, high;
    bool good = rush_number_take(&rest, &low);
    high = low;
    rest = rush_text_trim(rest);
    size_t dash = good ? rush_dash_at(rest, 0) : 0;
    if (dash) {
        rest = rush_text_trim((rush_text){rest.at + dash, rest.length - dash});
        good = rush_number_take(&rest, &high);
        rest = rush_text_trim(rest);
    }
    double factor = 1;
    bool unit = good && rest.length && !has_any(rest, "0123456789.-");
    if (unit && !rush_unit_factor(rest, rush_text_of(character->unit), &factor)) {
        rush_diagnostic *made = rush_piece_diagnose(loader, node, rest, RUSH_UNKNOWN_UNIT,
                                                    "'%.*s' is not a unit of '%s'",
                                                    (int)rest.length, rest.at, character->id);
        if (character->unit[0])
            rush_diagnose_help(loader->list, made, "its unit is '%s'", character->unit);
        else
            rush_diagnose_help(loader->list, made, "it has no unit: give plain numbers");
        return false;
    }
    good = good && (unit || !rest.length);
    if (!good || high.value < low.value) {
        rush_diagnostic *made =
            rush_node_diagnose(loader, node, RUSH_BAD_RANGE,
                               good ? "the range '%.*s' is reversed" : "'%.*s' is not a range",
                               (int)text.length, text.at);
        rush_diagnose_help(loader->list, made,
                           "write the lower and the higher number, as in 60-110");
        if (!good)
            return false;
        loader->recovered++;
    }
    trait->low = fmin(low.value, high.value) * factor;
    trait->high = fmax(low.value, high.value) * factor;
    trait->mean = (trait->low + trait->high) / 2;
    trait->sd = fmax((trait->high - trait->low) / 4, RUSH_LEAST_SD * fabs(trait->mean));
    trait->ranged = true;
    return true;
}

typedef struct long_form {
    rush_node is, range, mean, sd, n;
    rush_backing backing;
} long_form;

#define AT(member) offsetof(long_form, member)
static const rush_field state_form_fields[] = {
    {"is", RUSH_FIELD_NODE, AT(is), 0, 0, NULL},
    {"source", RUSH_FIELD_SOURCE, AT(backing.source), 0, 0, NULL},
    {"note", RUSH_FIELD_STRING, AT(backing.note), 0, 0, NULL},
};
static const rush_field number_form_fields[] = {
    {"is", RUSH_FIELD_NODE, AT(is), 0, 0, NULL},
    {"range", RUSH_FIELD_NODE, AT(range), 0, 0, NULL},
    {"mean", RUSH_FIELD_NODE, AT(mean), 0, 0, NULL},
    {"sd", RUSH_FIELD_NODE, AT(sd), 0, 0, NULL},
    {"n", RUSH_FIELD_NODE, AT(n), 0, 0, NULL},
    {"source", RUSH_FIELD_SOURCE, AT(backing.source), 0, 0, NULL},
    {"note", RUSH_FIELD_STRING, AT(backing.note), 0, 0, NULL},
};
#undef AT

static bool read_mean(rush_loader *loader, rush_node node, const long_form *form,
                      rush_trait *trait)
{
    if (!form->mean.tree || !form->sd.tree) {
        rush_diagnostic *made = rush_node_diagnose(loader, node, RUSH_MISSING_FIELD,
                                                   "a number needs a range, or a mean and an sd");
        rush_diagnose_help(loader->list, made, "write `range: 60-110`, or `mean: 85, sd: 9`");
        return false;
    }
    double n = 0;
    if (!rush_value_number(loader, form->mean, -1e9, 1e9, &trait->mean) ||
        !rush_value_number(loader, form->sd, 1e-9, 1e9, &trait->sd) ||
        (form->n.tree && !rush_value_number(loader, form->n, 1, 1e9, &n)))
        return false;
    trait->n = (uint32_t)n;
    trait->low = trait->mean - 2 * trait->sd;
    trait->high = trait->mean + 2 * trait->sd;
    return true;
}

/* ---- states ----------------------------------------------------------------------------------- */

static void list_states(rush_loader *loader, rush_diagnostic *made,
                        const rush_character *character)
{
    enum { LISTED = 12 };
    rush_buffer names = {0};
    for (uint32_t s = 0; s < character->state_count && s < LISTED; s++)
        rush_buffer_format(&names, "%s%s", s ? ", " : "it has: ", character->states[s].id);
    if (character->state_count > LISTED)
        rush_buffer_string(&names, " ...");
    rush_diagnose_help_from(loader->list, made, &names);
}

static uint32_t find_state(rush_loader *loader, rush_node node, uint32_t at)
{
    const rush_character *character = &loader->characters.items[at];
    rush_text text = rush_node_text(node);
    if (rush_node_kind_of(node) != RUSH_SCALAR || !text.length) {
        rush_node_wrong_shape(loader, node, "a state");
        return RUSH_NONE;
    }
    uint32_t state = rush_key_find(loader->key, RUSH_SCOPE_STATES + at, text);
    if (state != RUSH_NONE)
        return state;
    if (loader->character_drafts.items[at].lost) {
        rush_diagnose_follows(loader->list);
        return RUSH_NONE;
    }
    rush_nearest nearest;
    rush_suggest_init(loader->list, &nearest, text);
    for (uint32_t s = 0; s < character->state_count; s++) {
        const rush_state *offered = &character->states[s];
        rush_nearest_offer(&nearest, offered->id);
        for (uint32_t l = 0; offered->label.in && l < loader->key->header.language_count; l++)
            rush_nearest_offer(&nearest, offered->label.in[l]);
        for (uint32_t a = 0; a < offered->also.count; a++)
            rush_nearest_offer(&nearest, offered->also.names[a]);
    }
    rush_diagnostic *made = rush_unknown_name(loader, node, RUSH_SCOPE_STATES + at, &nearest,
                                              "the character '%s' has no state '%.*s'",
                                              character->id, (int)text.length, text.at);
    if (nearest.count)
        rush_diagnose_nearest(loader->list, made, &nearest, NULL);
    else
        list_states(loader, made, character);
    rush_mark mark = loader->character_drafts.items[at].mark;
    if (mark.source)
        rush_diagnose_other(loader->list, made, mark.source, mark.span,
                            "the character is declared here");
    return rush_meant_name(loader, RUSH_SCOPE_STATES + at, &nearest);
}

static bool read_weights(rush_loader *loader, rush_node node, uint32_t at, double *weights)
{
    double sum = 0;
    bool good = true;
    for (rush_node name = rush_node_first(node); rush_node_is(name);) {
        rush_node value = rush_node_next(name);
        uint32_t state = find_state(loader, name, at);
        double weight = 0;
        if (state == RUSH_NONE || !rush_value_number(loader, value, 0, 1, &weight)) {
            good = false;
        } else if (weights[state] > 0) {
            rush_node_diagnose(loader, name, RUSH_REPEATED_FIELD, "one state twice in one trait");
            good = false;
        } else {
            weights[state] = weight;
            sum += weight;
        }
        name = rush_node_next(value);
    }
    if (good && fabs(sum - 1) > 1e-6 && !loader->characters.items[at].setting) {
        char total[RUSH_NUMBER_TEXT];
        rush_diagnostic *made =
            rush_node_diagnose(loader, node, RUSH_WEIGHTS_SUM, "the weights sum to %s, not to 1",
                               rush_number_text(total, sum, 6));
        rush_diagnose_help(loader->list, made,
                           "make them sum to 1, or write a list for either, as in [round, oval]");
        for (uint32_t s = 0; sum > 0 && s < loader->characters.items[at].state_count; s++)
            weights[s] /= sum;
        loader->recovered += sum > 0;
        return sum > 0;
    }
    return good;
}

static bool read_either(rush_loader *loader, rush_node node, uint32_t at, double *weights)
{
    uint32_t count = 0;
    bool good = true;
    if (rush_node_kind_of(node) == RUSH_SCALAR) {
        uint32_t state = find_state(loader, node, at);
        if (state != RUSH_NONE)
            weights[state] = 1;
        return state != RUSH_NONE;
    }
    for (rush_node item = rush_node_first(node); rush_node_is(item);
         item = rush_node_next(item)) {
        uint32_t state = find_state(loader, item, at);
        if (state == RUSH_NONE) {
            good = false;
        } else if (weights[state] > 0) {
            rush_node_diagnose(loader, item, RUSH_REPEATED_FIELD, "one state twice in one trait");
            good = false;
        } else {
            weights[state] = 1;
            count++;
        }
    }
    if (good && !count) {
        rush_node_wrong_shape(loader, node, "one state or more");
        return false;
    }
    for (uint32_t s = 0; s < loader->characters.items[at].state_count; s++)
        weights[s] /= count ? count : 1;
    return good;
}

static bool read_months(rush_loader *loader, rush_node node, double *weights)
{
    unsigned months = 0;
    bool good = true;
    if (rush_node_kind_of(node) == RUSH_SEQUENCE && !rush_node_is(rush_node_first(node))) {
        rush_node_wrong_shape(loader, node, "months");
        return false;
    }
    rush_node item = rush_node_kind_of(node) == RUSH_SEQUENCE ? rush_node_first(node) : node;
    do {
        unsigned more = 0;
        rush_text text = rush_node_text(item);
        if (rush_months_read(text, &more)) {
            months |= more;
        } else {
            rush_diagnostic *made = rush_node_diagnose(
                loader, item, RUSH_BAD_MONTHS, "'%.*s' is not months", (int)text.length, text.at);
            rush_diagnose_help(loader->list, made,
                               "write Apr-Oct, 4-10, [May, Aug-Sep] or all year, in English");
            good = false;
        }
        item = rush_node_next(item);
    } while (rush_node_kind_of(node) == RUSH_SEQUENCE && rush_node_is(item));
    for (unsigned m = 0; m < RUSH_MONTHS; m++)
        weights[m] = months >> m & 1;
    return good;
}

/* ---- a trait ---------------------------------------------------------------------------------- */

static bool said(rush_node node, const char *word)
{
    return rush_node_kind_of(node) == RUSH_SCALAR &&
           rush_text_equal(rush_node_text(node), rush_text_of(word));
}

/* The value proper, without source and note. */
static bool read_value(rush_loader *loader, rush_node node, uint32_t at, rush_trait *trait)
{
    const rush_character *character = &loader->characters.items[at];
    if (rush_node_blank(node)) {
        rush_node_wrong_shape(loader, node, "a trait");
        return false;
    }
    if (said(node, "unknown"))
        return true;
    if (said(node, "inapplicable")) {
        trait->kind = RUSH_TRAIT_INAPPLICABLE;
        return true;
    }
    if (character->kind == RUSH_KIND_NUMBER) {
        trait->kind = RUSH_TRAIT_NUMBER;
        if (rush_node_kind_of(node) == RUSH_SCALAR)
            return read_range(loader, node, character, trait);
        rush_node_wrong_shape(loader, node, "a range");
        return false;
    }
    trait->kind = RUSH_TRAIT_STATES;
    double *weights = loader->weights;
    memset(weights, 0, character->state_count * sizeof *weights);
    trait->weights = weights;
    if (character->kind == RUSH_KIND_MONTHS && rush_node_kind_of(node) != RUSH_MAPPING)
        return read_months(loader, node, weights);
    if (character->kind == RUSH_KIND_MONTHS) {
        rush_node_wrong_shape(loader, node, "months");
        return false;
    }
    return rush_node_kind_of(node) == RUSH_MAPPING ? read_weights(loader, node, at, weights)
                                                   : read_either(loader, node, at, weights);
}

static bool is_long_form(rush_node node)
{
    return rush_node_is(rush_field_find(node, "is")) ||
           rush_node_is(rush_field_find(node, "source")) ||
           rush_node_is(rush_field_find(node, "note"));
}

static bool read_trait(rush_loader *loader, rush_node node, uint32_t at, rush_trait *trait)
{
    const rush_character *character = &loader->characters.items[at];
    bool number = character->kind == RUSH_KIND_NUMBER;
    if (rush_node_kind_of(node) != RUSH_MAPPING || (!number && !is_long_form(node)))
        return read_value(loader, node, at, trait);
    long_form form = {.backing = trait->backing};
    if (number)
        rush_fields_read(loader, node, number_form_fields, RUSH_COUNT(number_form_fields),
                         "a number trait", &form);
    else
        rush_fields_read(loader, node, state_form_fields, RUSH_COUNT(state_form_fields),
                         "a trait with a source", &form);
    trait->backing = form.backing;
    if (form.is.tree)
        return read_value(loader, form.is, at, trait);
    if (number) {
        trait->kind = RUSH_TRAIT_NUMBER;
        return form.range.tree ? read_range(loader, form.range, character, trait)
                               : read_mean(loader, node, &form, trait);
    }
    rush_diagnostic *made = rush_node_diagnose(loader, node, RUSH_MISSING_FIELD,
                                               "a trait with a source or a note needs `is:`");
    rush_diagnose_help(loader->list, made, "write {is: STATE, source: SOURCE}");
    return false;
}

static uint32_t find_character(rush_loader *loader, rush_node name)
{
    rush_text text = rush_node_text(name);
    uint32_t at = rush_key_find(loader->key, RUSH_SCOPE_CHARACTERS, text);
    if (at < RUSH_BUILT_IN_CHARACTERS && loader->character_drafts.items[at].lost) {
        rush_diagnose_follows(loader->list); /* another one was meant */
        return RUSH_NONE;
    }
    if (at < RUSH_BUILT_IN_CHARACTERS) {
        rush_diagnostic *made = rush_node_diagnose(
            loader, name, RUSH_WRONG_TRAIT, "'%.*s' is not a trait", (int)text.length, text.at);
        rush_diagnose_help(loader->list, made,
                           at == RUSH_TAXON_CHARACTER ? "a taxon is what it is: leave this out"
                                                      : "sex and form are given under `forms:`");
        return RUSH_NONE;
    }
    if (at != RUSH_NONE)
        return at;
    rush_nearest nearest;
    rush_suggest_init(loader->list, &nearest, text);
    for (uint32_t i = RUSH_BUILT_IN_CHARACTERS; i < loader->characters.count; i++)
        rush_nearest_offer(&nearest, loader->characters.items[i].id);
    rush_diagnostic *made =
        rush_unknown_name(loader, name, RUSH_SCOPE_CHARACTERS, &nearest,
                          "the key has no character '%.*s'", (int)text.length, text.at);
    rush_diagnose_nearest(loader->list, made, &nearest, "declare it under `characters:`");
    at = rush_meant_name(loader, RUSH_SCOPE_CHARACTERS, &nearest);
    return at == RUSH_NONE || at < RUSH_BUILT_IN_CHARACTERS ? RUSH_NONE : at;
}

/* Keeps the list in the order of the characters, which most keys follow. */
static void add_trait(rush_loader *loader, rush_node name, const rush_trait *trait,
                      rush_trait_list *list)
{
    uint32_t at = trait->character, place = list->count;
    while (place && list->items[place - 1]->character > at)
        place--;
    if (place && list->items[place - 1]->character == at) {
        rush_mark mark = rush_node_mark(name);
        if (!rush_diagnosed(loader->list, RUSH_REPEATED_FIELD, mark.source, mark.span))
            rush_node_diagnose(loader, name, RUSH_REPEATED_FIELD,
                               "this character is scored twice here");
        loader->character_drafts.items[at].doubtful = true;
        return;
    }
    memmove(list->items + place + 1, list->items + place,
            (list->count++ - place) * sizeof *list->items);
    list->items[place] = rush_share_trait(loader->arena, &loader->scratch, &loader->traits, trait,
                                          loader->characters.items[at].state_count);
}

void rush_load_traits(rush_loader *loader, rush_node traits, rush_backing backing,
                      rush_trait_list *list)
{
    if (rush_node_kind_of(traits) != RUSH_MAPPING) {
        rush_node_wrong_shape(loader, traits, "traits by character");
        return;
    }
    backing.note = NULL;
    list->items = RUSH_ARRAY(loader->arena, const rush_trait *, rush_node_children(traits) / 2);
    for (rush_node name = rush_node_first(traits); rush_node_is(name);) {
        rush_node value = rush_node_next(name);
        uint32_t at = find_character(loader, name);
        rush_trait trait = {.character = at, .backing = backing};
        size_t losses = rush_losses(loader);
        if (at != RUSH_NONE && !read_trait(loader, value, at, &trait)) {
            loader->character_drafts.items[at].doubtful = true;
            loader->recovered +=
                rush_losses(loader) - losses; /* no more is lost than this cell */
            trait = (rush_trait){.character = at, .lost = true, .backing = trait.backing};
        }
        if (at != RUSH_NONE)
            add_trait(loader, name, &trait, list);
        name = rush_node_next(value);
    }
}
