#include <math.h>
#include <string.h>

#include "base/number.h"
#include "base/unicode.h"
#include "key/fields.h"
#include "key/figure.h"
#include "key/month.h"

enum { STATES_MAX = 64, SKETCH_ROWS = 5, SKETCH_COLUMNS = 16 };

static const char *const reserved[] = {"id",          "date",  "place",    "coordinates",
                                       "uncertainty", "count", "recorder", "behaviour",
                                       "notes",       NULL};
static const char *const reaches[] = {"far", "near", "close", "hand", NULL};
static const char *const settings[] = {"states", "months", NULL};

/* ---- names ------------------------------------------------------------------------------------ */

/* Says why a character cannot be called so. */
static void judge_character_name(rush_loader *loader, rush_node node)
{
    rush_text name = rush_node_text(node);
    for (size_t i = 0; i < name.length; i++)
        if (strchr(":;\"", name.at[i])) {
            rush_diagnostic *made = rush_node_diagnose(
                loader, node, RUSH_BAD_ID, "'%.*s' cannot be typed as a character's name",
                (int)name.length, name.at);
            rush_diagnose_help(loader->list, made, "leave out ':', ';' and quotation marks");
            return;
        }
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, folded);
    for (size_t i = 0; reserved[i]; i++)
        if (rush_text_equal((rush_text){folded, length == SIZE_MAX ? 0 : length},
                            rush_text_of(reserved[i]))) {
            rush_diagnostic *made = rush_node_diagnose(
                loader, node, RUSH_RESERVED_NAME, "'%s' is a field of every record", reserved[i]);
            rush_diagnose_help(loader->list, made, "choose another name for the character");
            return;
        }
}

static const rush_name_manner as_character = {"character", RUSH_REPEATED_NAME,
                                              judge_character_name, false};
static const rush_name_manner also_character = {"character", RUSH_REPEATED_NAME,
                                                judge_character_name, true};
static const rush_name_manner as_state = {"state", RUSH_REPEATED_NAME, NULL, false};

/* ---- states ----------------------------------------------------------------------------------- */

typedef struct state_draft {
    rush_state state;
    rush_node sketch, figure;
} state_draft;

static const rush_field state_fields[] = {
    {"label", RUSH_FIELD_WORDS, offsetof(state_draft, state.label), 0, 0, NULL},
    {"also", RUSH_FIELD_ALSO, offsetof(state_draft, state.also), 0, 0, NULL},
    {"sketch", RUSH_FIELD_NODE, offsetof(state_draft, sketch), 0, 0, NULL},
    {"figure", RUSH_FIELD_NODE, offsetof(state_draft, figure), 0, 0, NULL},
};

static void read_state(rush_loader *loader, rush_node name, rush_node body, uint32_t character,
                       uint32_t at, rush_state *state)
{
    state_draft draft = {.state = *state};
    draft.state.id = rush_arena_copy(loader->arena, rush_node_text(name));
    rush_load_name(loader, RUSH_SCOPE_STATES + character, rush_node_text(name), at,
                   rush_node_mark(name), as_state.slug, as_state.what);
    if (rush_node_is(body) && !rush_node_blank(body))
        rush_fields_read(loader, body, state_fields, RUSH_COUNT(state_fields), "a state", &draft);
    if (draft.sketch.tree)
        rush_value_drawing(loader, draft.sketch, SKETCH_ROWS, SKETCH_COLUMNS,
                           &draft.state.sketch);
    if (draft.figure.tree)
        draft.state.figure = rush_load_figure(loader, draft.figure);
    if (rush_node_is(body)) {
        rush_load_names(loader, rush_field_find(body, "label"), RUSH_SCOPE_STATES + character, at,
                        &as_state);
        rush_load_names(loader, rush_field_find(body, "also"), RUSH_SCOPE_STATES + character, at,
                        &as_state);
    }
    *state = draft.state;
}

static void read_states(rush_loader *loader, rush_node node, uint32_t at,
                        rush_character *character)
{
    bool list = rush_node_kind_of(node) == RUSH_SEQUENCE;
    if (rush_node_kind_of(node) == RUSH_SCALAR) {
        rush_node_wrong_shape(loader, node, "states by name");
        return;
    }
    RUSH_LIST(rush_state) states = {0};
    for (rush_node name = rush_node_first(node); rush_node_is(name);) {
        rush_node body = list ? (rush_node){.tree = name.tree} : rush_node_next(name);
        if (states.count == STATES_MAX) {
            rush_node_diagnose(loader, name, RUSH_TOO_LARGE, "a character has at most %d states",
                               STATES_MAX);
            break;
        }
        rush_state *state = RUSH_PUSH(loader->arena, &states);
        read_state(loader, name, body, at, states.count - 1, state);
        name = rush_node_next(list ? name : body);
    }
    character->states = states.items;
    character->state_count = states.count;
}

/* `confused: [[round, oval], ...]`: a group of more than two means each pair. */
static void read_confused(rush_loader *loader, rush_node node, uint32_t at,
                          rush_character *character)
{
    typedef uint32_t pair[2];
    RUSH_LIST(pair) pairs = {0};
    if (rush_node_kind_of(node) != RUSH_SEQUENCE) {
        rush_node_wrong_shape(loader, node, "a list of groups of states");
        return;
    }
    for (rush_node group = rush_node_first(node); rush_node_is(group);
         group = rush_node_next(group)) {
        uint32_t members[STATES_MAX], count = 0, named = 0;
        if (rush_node_kind_of(group) != RUSH_SEQUENCE) {
            rush_node_wrong_shape(loader, group, "a group of states, as in [round, oval],");
            continue;
        }
        for (rush_node item = rush_node_first(group); rush_node_is(item) && count < STATES_MAX;
             item = rush_node_next(item)) {
            rush_text text = rush_node_text(item);
            uint32_t state = rush_key_find(loader->key, RUSH_SCOPE_STATES + at, text);
            named++;
            for (uint32_t i = 0; i < count; i++)
                if (members[i] == state)
                    rush_node_diagnose(loader, item, RUSH_REPEATED_FIELD,
                                       "one state twice in a group");
            if (state != RUSH_NONE) {
                members[count++] = state;
                continue;
            }
            if (loader->character_drafts.items[at].lost) {
                rush_diagnose_follows(loader->list);
                continue;
            }
            rush_nearest nearest;
            rush_suggest_init(loader->list, &nearest, text);
            for (uint32_t s = 0; s < character->state_count; s++)
                rush_nearest_offer(&nearest, character->states[s].id);
            rush_diagnostic *made =
                rush_unknown_name(loader, item, RUSH_SCOPE_STATES + at, &nearest,
                                  "the character '%s' has no state '%.*s'", character->id,
                                  (int)text.length, text.at);
            rush_diagnose_nearest(loader->list, made, &nearest, NULL);
        }
        if (named < 2)
            rush_node_wrong_shape(loader, group, "a group of two states or more");
        for (uint32_t i = 0; i < count; i++)
            for (uint32_t j = i + 1; j < count; j++) {
                pair *made = RUSH_PUSH(loader->arena, &pairs);
                (*made)[0] = members[i];
                (*made)[1] = members[j];
            }
    }
    character->confused = (const uint32_t(*)[2])pairs.items;
    character->confused_count = pairs.count;
}

static void name_months(rush_loader *loader, uint32_t at, rush_character *character)
{
    rush_state *states = RUSH_ARRAY(loader->arena, rush_state, RUSH_MONTHS);
    for (unsigned i = 0; i < RUSH_MONTHS; i++) {
        states[i].id = rush_month_name(i);
        rush_load_name(loader, RUSH_SCOPE_STATES + at, rush_text_of(states[i].id), i,
                       (rush_mark){0}, RUSH_REPEATED_NAME, "month");
    }
    character->states = states;
    character->state_count = RUSH_MONTHS;
}

/* ---- numbers ---------------------------------------------------------------------------------- */

static void read_reading_error(rush_loader *loader, rush_node node, rush_character *character)
{
    rush_text text = rush_node_text(node);
    bool relative = text.length && text.at[text.length - 1] == '%';
    if (relative)
        text = rush_text_trim((rush_text){text.at, text.length - 1});
    double value;
    if (rush_text_number(text, &value) && value >= 0) {
        character->reading_error = relative ? value / 100 : value;
        character->reading_error_relative = relative;
        return;
    }
    rush_diagnostic *made =
        rush_node_diagnose(loader, node, RUSH_BAD_NUMBER, "not a reading error");
    rush_diagnose_help(
        loader->list, made,
        "one standard deviation of a reading by eye: `10%%` of the mean, or a number "
        "in the character's unit");
}

static void read_number_words(rush_loader *loader, rush_node node, uint32_t at,
                              rush_character *character)
{
    if (rush_node_kind_of(node) != RUSH_MAPPING) {
        rush_node_wrong_shape(loader, node, "words with what they mean");
        return;
    }
    RUSH_LIST(rush_number_word) words = {0};
    for (rush_node name = rush_node_first(node); rush_node_is(name);) {
        rush_node value = rush_node_next(name);
        const char *means;
        if (rush_value_string(loader, value, &means)) {
            rush_load_name(loader, RUSH_SCOPE_STATES + at, rush_node_text(name), words.count,
                           rush_node_mark(name), RUSH_REPEATED_NAME, "word");
            *RUSH_PUSH(loader->arena, &words) =
                (rush_number_word){rush_arena_copy(loader->arena, rush_node_text(name)), means};
        }
        name = rush_node_next(value);
    }
    character->words = words.items;
    character->word_count = words.count;
}

/* ---- a character ------------------------------------------------------------------------------ */

typedef struct character_reading {
    rush_character character;
    rush_node states, confused, reading_error, words, look_next, figure;
    int setting, reach;
    bool shaped; /* nothing worse is wrong with it than what is missing */
} character_reading;

#define AT(member) offsetof(character_reading, member)
static const rush_field character_fields[] = {
    {"label", RUSH_FIELD_WORDS, AT(character.label), 0, 0, NULL},
    {"also", RUSH_FIELD_ALSO, AT(character.also), 0, 0, NULL},
    {"ask", RUSH_FIELD_WORDS, AT(character.ask), 0, 0, NULL},
    {"tip", RUSH_FIELD_WORDS, AT(character.tip), 0, 0, NULL},
    {"reach", RUSH_FIELD_CHOICE, AT(reach), 0, 0, reaches},
    {"effort", RUSH_FIELD_NUMBER, AT(character.effort), 0.01, 1000, NULL},
    {"misread", RUSH_FIELD_NUMBER, AT(character.misread), 0, 0.9, NULL},
    {"bare", RUSH_FIELD_FLAG, AT(character.bare), 0, 0, NULL},
    {"look_next", RUSH_FIELD_FLAG, AT(character.look_next), 0, 0, NULL},
    {"setting", RUSH_FIELD_CHOICE, AT(setting), 0, 0, settings},
    {"states", RUSH_FIELD_NODE, AT(states), 0, 0, NULL},
    {"confused", RUSH_FIELD_NODE, AT(confused), 0, 0, NULL},
    {"measure", RUSH_FIELD_STRING, AT(character.measure), 0, 0, NULL},
    {"unit", RUSH_FIELD_STRING, AT(character.unit), 0, 0, NULL},
    {"includes", RUSH_FIELD_WORDS, AT(character.includes), 0, 0, NULL},
    {"reading_error", RUSH_FIELD_NODE, AT(reading_error), 0, 0, NULL},
    {"resolution", RUSH_FIELD_NUMBER, AT(character.resolution), 0, 1e6, NULL},
    {"words", RUSH_FIELD_NODE, AT(words), 0, 0, NULL},
    {"figure", RUSH_FIELD_NODE, AT(figure), 0, 0, NULL},
};
#undef AT

static void check_states(rush_loader *loader, rush_node at, const rush_character *character)
{
    if (character->state_count >= 2)
        return;
    rush_diagnostic *made =
        rush_node_diagnose(loader, at, RUSH_TOO_FEW_STATES,
                           "the character '%s' has fewer than two states", character->id);
    rush_diagnose_help(loader->list, made,
                       "list its states under `states:`, or say `measure:` when it is a number");
}

static void settle_kind(rush_loader *loader, rush_node name, uint32_t at,
                        character_reading *draft)
{
    rush_character *character = &draft->character;
    bool built_in = at < RUSH_BUILT_IN_CHARACTERS;
    if (draft->setting >= 0)
        character->setting = true;
    if (draft->setting == 1) {
        character->kind = RUSH_KIND_MONTHS;
        name_months(loader, at, character);
    } else if (character->measure) {
        character->kind = RUSH_KIND_NUMBER;
        if (!character->unit)
            character->unit = strcmp(character->measure, "length") == 0 ? "mm" : "";
        if (draft->reading_error.tree)
            read_reading_error(loader, draft->reading_error, character);
        else if (strcmp(character->measure, "count") != 0) {
            rush_diagnostic *made =
                rush_node_diagnose(loader, name, RUSH_NO_READING_ERROR,
                                   "'%s' does not say how well it is read by eye", character->id);
            rush_diagnose_help(
                loader->list, made,
                "give `reading_error:`; 10%% is usual for a length by eye, 0 is exact");
        }
        if (draft->words.tree)
            read_number_words(loader, draft->words, at, character);
    } else if (!built_in) {
        bool listed = draft->states.tree && rush_node_kind_of(draft->states) != RUSH_SCALAR;
        if (draft->states.tree)
            read_states(loader, draft->states, at, character);
        bool whole = !rush_node_doubtful(rush_node_next(name));
        if (whole && (listed || (!draft->states.tree && draft->shaped)))
            check_states(loader, listed ? draft->states : name, character);
        bool shown = draft->states.tree ? !rush_node_doubtful(draft->states) : whole;
        loader->character_drafts.items[at].lost = !shown || character->state_count < 2;
    }
    if (draft->states.tree && (draft->setting == 1 || character->measure))
        rush_node_diagnose(loader, draft->states, RUSH_WRONG_SHAPE,
                           "'%s' has states and is a number or months too", character->id);
    if (draft->confused.tree)
        read_confused(loader, draft->confused, at, character);
}

/* `sex: {states: {male: {also: [...]}}}` gives a built-in state more names. */
static void refine_states(rush_loader *loader, rush_node node, uint32_t at,
                          rush_character *character)
{
    if (rush_node_kind_of(node) != RUSH_MAPPING || at != RUSH_SEX_CHARACTER) {
        rush_diagnostic *made =
            rush_node_diagnose(loader, node, RUSH_RESERVED_NAME,
                               "'%s' is a character that every key has", character->id);
        rush_diagnose_help(loader->list, made,
                           "its states follow from the taxa: choose another name for this one");
        loader->character_drafts.items[at].lost = true;
        return;
    }
    rush_state *states = RUSH_ARRAY(loader->arena, rush_state, character->state_count);
    memcpy(states, character->states, character->state_count * sizeof *states);
    for (rush_node name = rush_node_first(node); rush_node_is(name);) {
        rush_node body = rush_node_next(name);
        uint32_t state = rush_key_find(loader->key, RUSH_SCOPE_STATES + at, rush_node_text(name));
        if (state == RUSH_NONE)
            rush_node_diagnose(loader, name, RUSH_UNKNOWN_STATE, "a sex is male or female");
        else
            read_state(loader, name, body, at, state, &states[state]);
        name = rush_node_next(body);
    }
    character->states = states;
}

static void read_character(rush_loader *loader, rush_node name, rush_node body)
{
    rush_text id = rush_node_text(name);
    uint32_t at = rush_key_find(loader->key, RUSH_SCOPE_CHARACTERS, id);
    bool built_in = at < RUSH_BUILT_IN_CHARACTERS;
    rush_mark mark = rush_node_mark(name);
    size_t faults = rush_diagnostics_faults(loader->list);
    character_reading draft = {.setting = -1, .reach = RUSH_REACH_NEAR};
    if (built_in) {
        draft.character = loader->characters.items[at];
    } else {
        at = loader->characters.count;
        draft.character =
            (rush_character){.id = rush_arena_copy(loader->arena, id),
                             .effort = 1,
                             .misread = 0.05,
                             .look_next = !rush_node_is(rush_field_find(body, "setting"))};
        rush_character *made = RUSH_PUSH(loader->arena, &loader->characters);
        *made = draft.character;
        RUSH_PUSH(loader->arena, &loader->character_drafts)->mark = mark;
        loader->character_drafts.items[at].name = name;
        rush_load_names(loader, name, RUSH_SCOPE_CHARACTERS, at, &as_character);
        loader->character_drafts.items[at].doubtful =
            rush_diagnostics_faults(loader->list) > faults;
    }
    rush_fields_read(loader, body, character_fields, RUSH_COUNT(character_fields), "a character",
                     &draft);
    draft.character.reach = (rush_reach)draft.reach;
    if (draft.figure.tree)
        draft.character.figure = rush_load_figure(loader, draft.figure);
    draft.shaped = rush_node_kind_of(body) == RUSH_MAPPING &&
                   rush_field_missing(body, "states") && rush_field_missing(body, "measure") &&
                   (draft.setting >= 0 || !rush_node_is(rush_field_find(body, "setting")));
    rush_load_names(loader, rush_field_find(body, "label"), RUSH_SCOPE_CHARACTERS, at,
                    &as_character);
    rush_load_names(loader, rush_field_find(body, "also"), RUSH_SCOPE_CHARACTERS, at,
                    &also_character);
    settle_kind(loader, name, at, &draft);
    if (built_in && draft.states.tree)
        refine_states(loader, draft.states, at, &draft.character);
    double error = draft.character.misread * loader->key->header.caution_factor;
    draft.character.error = fmin(RUSH_ERROR_MAX, error);
    loader->characters.items[at] = draft.character;
    loader->character_drafts.items[at].doubtful |= loader->character_drafts.items[at].lost;
}

/* ---- the characters that every key has -------------------------------------------------------- */

static void add_built_in(rush_loader *loader)
{
    static const rush_state sexes[] = {{.id = "male"}, {.id = "female"}};
    static const char *const signs[] = {"\xe2\x99\x82", "\xe2\x99\x80"};
    const rush_character made[RUSH_BUILT_IN_CHARACTERS] = {
        {.id = "sex", .misread = 0.10, .effort = 1, .states = sexes, .state_count = 2},
        {.id = "form", .misread = 0.05, .effort = 1},
        {.id = "taxon", .kind = RUSH_KIND_TAXON, .effort = 1},
    };
    for (uint32_t i = 0; i < RUSH_BUILT_IN_CHARACTERS; i++) {
        rush_character *character = RUSH_PUSH(loader->arena, &loader->characters);
        *character = made[i];
        character->reach = RUSH_REACH_NEAR;
        character->error =
            fmin(RUSH_ERROR_MAX, character->misread * loader->key->header.caution_factor);
        RUSH_PUSH(loader->arena, &loader->character_drafts);
        rush_load_name(loader, RUSH_SCOPE_CHARACTERS, rush_text_of(character->id), i,
                       (rush_mark){0}, RUSH_REPEATED_NAME, "character");
    }
    for (uint32_t i = 0; i < 2; i++) {
        const char *names[] = {sexes[i].id, signs[i]};
        for (size_t j = 0; j < RUSH_COUNT(names); j++)
            rush_load_name(loader, RUSH_SCOPE_STATES + RUSH_SEX_CHARACTER, rush_text_of(names[j]),
                           i, (rush_mark){0}, RUSH_REPEATED_NAME, "state");
    }
}

void rush_load_characters(rush_loader *loader)
{
    add_built_in(loader);
    for (uint32_t i = 0; i < loader->trees.count; i++) {
        rush_node characters = rush_load_section(loader, i, "characters");
        if (!rush_node_is(characters))
            continue;
        if (rush_node_kind_of(characters) != RUSH_MAPPING) {
            rush_node_wrong_shape(loader, characters, "characters by name");
            continue;
        }
        for (rush_node name = rush_node_first(characters); rush_node_is(name);) {
            rush_node body = rush_node_next(name);
            read_character(loader, name, body);
            name = rush_node_next(body);
        }
    }
}
