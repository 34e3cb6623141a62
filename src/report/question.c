#include "report/question.h"

#include <string.h>

enum {
    STATES_MAX = 64,
    SKETCH_ROWS = 5,
    SKETCH_COLUMNS = 16,
    GAP = 2, /* columns between cells */
    TALL = 7 /* rows of the screen that the question leaves to what stands around it */
};
/* A sketch is drawn in the question only of a state that may well be reported now. */
#define LIKELY 0.02

/* The choices of one question, laid out for a screen. */
typedef struct choice_layout {
    const rush_reply *reply;
    const rush_screen *screen;
    const rush_character *character;
    uint32_t states[STATES_MAX], count;
} choice_layout;

/* ---- cells --------------------------------------------------------------------------------------- */

/* "12) mushroom" */
static void write_label(const choice_layout *choices, uint32_t state, rush_buffer *buffer)
{
    rush_buffer_format(buffer, "%u) ", state + 1);
    rush_words_state(choices->reply->ranking->key, choices->reply->asked, state,
                     choices->reply->language, buffer);
}

static size_t label_columns(const choice_layout *choices, uint32_t state)
{
    const rush_state *named = &choices->character->states[state];
    const char *label =
        rush_key_words(choices->reply->ranking->key, named->label, choices->reply->language);
    size_t digits = state + 1 < 10 ? 1 : 2;
    return digits + 2 + rush_text_columns(rush_text_of(label[0] ? label : named->id));
}

static size_t widest(const choice_layout *choices, size_t least)
{
    for (uint32_t i = 0; i < choices->count; i++) {
        size_t columns = label_columns(choices, choices->states[i]);
        least = columns > least ? columns : least;
    }
    return least;
}

/* The label in a cell; the last one of a row goes on below where the screen ends. */
static void write_label_cell(const choice_layout *choices, uint32_t state, size_t width,
                             bool last, rush_buffer *buffer)
{
    rush_buffer label = {0};
    write_label(choices, state, &label);
    rush_buffer_fill(buffer, ' ', GAP);
    if (last) {
        rush_words_wrap_part(&label, GAP + 3, choices->screen->columns - 1, buffer);
    } else {
        rush_words_add_part(&label, buffer);
        rush_buffer_fill(buffer, ' ', width - label_columns(choices, state));
    }
}

static uint32_t cells_in_row(const choice_layout *choices, size_t width)
{
    uint32_t across = (uint32_t)((choices->screen->columns - 1) / (width + GAP));
    return across ? across : 1;
}

/* About how many lines running text of so many columns takes. */
static uint32_t text_height(const choice_layout *choices, size_t columns)
{
    return (uint32_t)(columns / (choices->screen->columns - GAP - 8)) + 1;
}

/* ---- without sketches ---------------------------------------------------------------------------- */

/* The widest label of one column, where each holds `down` labels. */
static size_t column_width(const choice_layout *choices, uint32_t column, uint32_t down)
{
    size_t width = 0;
    for (uint32_t i = column * down; i < (column + 1) * down && i < choices->count; i++) {
        size_t columns = label_columns(choices, choices->states[i]);
        width = columns > width ? columns : width;
    }
    return width;
}

/* How many labels stand below each other when as many columns as fit stand side by side. */
static uint32_t list_height(const choice_layout *choices)
{
    for (uint32_t down = 1; down < choices->count; down++) {
        size_t width = 0;
        for (uint32_t column = 0; column * down < choices->count; column++)
            width += GAP + column_width(choices, column, down);
        if (width < choices->screen->columns)
            return down;
    }
    return choices->count;
}

/* Numbered downwards, in columns. */
static void write_list(const choice_layout *choices, rush_buffer *buffer)
{
    uint32_t down = list_height(choices);
    for (uint32_t row = 0; row < down; row++) {
        for (uint32_t i = row; i < choices->count; i += down)
            write_label_cell(choices, choices->states[i], column_width(choices, i / down, down),
                             i + down >= choices->count, buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

/* ---- with sketches ------------------------------------------------------------------------------- */

static rush_text sketch_row(const char *sketch, uint32_t row)
{
    for (; sketch && *sketch; row--) {
        size_t length = strcspn(sketch, "\n");
        if (!row)
            return (rush_text){sketch, length};
        sketch += length + (sketch[length] == '\n');
    }
    return (rush_text){"", 0};
}

static uint32_t sketch_height(const choice_layout *choices, uint32_t from, uint32_t to)
{
    uint32_t height = 0;
    for (uint32_t i = from; i < to; i++)
        for (uint32_t row = height; row < SKETCH_ROWS; row++)
            if (sketch_row(choices->character->states[choices->states[i]].sketch, row).length)
                height = row + 1;
    return height;
}

static void write_cell(rush_text text, size_t width, bool last, rush_buffer *buffer)
{
    rush_buffer_safe(buffer, text);
    size_t columns = rush_text_columns(text);
    if (!last && columns < width)
        rush_buffer_fill(buffer, ' ', width - columns);
}

static void end_row(rush_buffer *buffer)
{
    while (!buffer->failed && buffer->length && buffer->bytes[buffer->length - 1] == ' ')
        buffer->length--;
    rush_buffer_byte(buffer, '\n');
}

/* Cells from `from` to before `to`: their labels, and below them the sketches. */
static void write_sketch_row(const choice_layout *choices, uint32_t from, uint32_t to,
                             size_t width, rush_buffer *buffer)
{
    for (uint32_t i = from; i < to; i++)
        write_label_cell(choices, choices->states[i], width, i + 1 == to, buffer);
    end_row(buffer);
    uint32_t height = sketch_height(choices, from, to);
    for (uint32_t row = 0; row < height; row++) {
        for (uint32_t i = from; i < to; i++) {
            const char *sketch = choices->character->states[choices->states[i]].sketch;
            rush_buffer_fill(buffer, ' ', GAP);
            write_cell(sketch_row(sketch, row), width, i + 1 == to, buffer);
        }
        end_row(buffer);
    }
}

static size_t sketch_width(const choice_layout *choices)
{
    return widest(choices, SKETCH_COLUMNS);
}

static uint32_t sketches_height(const choice_layout *choices)
{
    uint32_t across = cells_in_row(choices, sketch_width(choices)), height = 0;
    for (uint32_t from = 0; from < choices->count; from += across) {
        uint32_t to = from + across < choices->count ? from + across : choices->count;
        height += sketch_height(choices, from, to);
        height +=
            across > 1 ? 1 : text_height(choices, label_columns(choices, choices->states[from]));
    }
    return height;
}

static void write_sketches(const choice_layout *choices, rush_buffer *buffer)
{
    size_t width = sketch_width(choices);
    uint32_t across = cells_in_row(choices, width);
    for (uint32_t from = 0; from < choices->count; from += across) {
        uint32_t to = from + across < choices->count ? from + across : choices->count;
        write_sketch_row(choices, from, to, width, buffer);
    }
}

/* ---- the question -------------------------------------------------------------------------------- */

static bool has_sketches(const rush_character *character)
{
    for (uint32_t s = 0; s < character->state_count; s++)
        if (character->states[s].sketch)
            return true;
    return false;
}

/* "or: 1) no special mark; 5) Mercury sign" */
static void write_others(const choice_layout *others, rush_buffer *buffer)
{
    rush_buffer line = {0};
    for (uint32_t i = 0; i < others->count; i++) {
        rush_buffer_string(&line, i ? "; " : "or: ");
        write_label(others, others->states[i], &line);
    }
    if (others->count)
        rush_screen_text(others->screen, GAP, &line, buffer);
}

static uint32_t others_height(const choice_layout *others)
{
    size_t columns = 0;
    for (uint32_t i = 0; i < others->count; i++)
        columns += label_columns(others, others->states[i]) + 2;
    return columns ? text_height(others, columns) : 0;
}

/* All in a list where no choice has a sketch and the screen is tall enough; else the likely ones, with their
 * sketches if these fit, and the others in running text. */
static void write_choices(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    const rush_character *character = rush_key_character(reply->ranking->key, reply->asked);
    choice_layout all = {reply, screen, character, {0}, 0}, likely = all, others = all;
    double reports[STATES_MAX];
    bool sketched = has_sketches(character);
    rush_expect_reports(reply->ranking, reply->asked, reports);
    for (uint32_t s = 0; s < character->state_count && s < STATES_MAX; s++) {
        choice_layout *to = reports[s] >= LIKELY ? &likely : &others;
        to->states[to->count++] = s;
        all.states[all.count++] = s;
    }
    uint32_t room = screen->rows - TALL, rest = others_height(&others);
    if (sketched && likely.count && sketches_height(&likely) + rest <= room) {
        write_sketches(&likely, buffer);
        write_others(&others, buffer);
    } else if (list_height(&all) <= room || !likely.count) {
        write_list(&all, buffer);
    } else {
        write_list(&likely, buffer);
        write_others(&others, buffer);
    }
}

/* Whether a word before it means the same: one word for each is enough to choose from. */
static bool is_synonym(const rush_character *character, uint32_t word)
{
    for (uint32_t i = 0; i < word; i++)
        if (strcmp(character->words[i].means, character->words[word].means) == 0)
            return true;
    return false;
}

static void write_number(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    const rush_character *character = rush_key_character(reply->ranking->key, reply->asked);
    const char *includes =
        rush_key_words(reply->ranking->key, character->includes, reply->language);
    rush_buffer line = {0};
    rush_buffer_format(&line, "a number%s%s", character->unit[0] ? " of " : "", character->unit);
    if (includes[0])
        rush_buffer_format(&line, ", %s", includes);
    rush_buffer_string(&line, ": 34, 30-36, about 34, under 40");
    for (uint32_t i = 0; i < character->word_count; i++)
        if (!is_synonym(character, i))
            rush_buffer_format(&line, ", %s (%s)", character->words[i].word,
                               character->words[i].means);
    rush_screen_text(screen, GAP, &line, buffer);
}

static void write_hand(const rush_character *character, const rush_screen *screen,
                       rush_buffer *buffer)
{
    if (character->reach == RUSH_REACH_HAND)
        rush_screen_string(
            screen, GAP,
            "It must be in the hand for this: hold it gently, only if you must and "
            "where it is permitted; some species may be handled only under licence.",
            buffer);
}

static void write_asked(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    const rush_key *key = reply->ranking->key;
    const char *ask =
        rush_key_words(key, rush_key_character(key, reply->asked)->ask, reply->language);
    const rush_answer *before = rush_sighting_find(reply->sighting, reply->asked);
    rush_buffer name = {0};
    rush_buffer_byte(buffer, '\n');
    rush_screen_paint(screen, reply->second_look ? RUSH_PAINT_DOUBT : RUSH_PAINT_STRONG, buffer);
    if (reply->second_look)
        rush_buffer_string(&name, "Look again, please: ");
    rush_words_character(key, reply->asked, reply->language, &name);
    rush_words_wrap_part(&name, 0, screen->columns - 1, buffer);
    rush_screen_plain(screen, buffer);
    rush_buffer_byte(buffer, '\n');
    if (ask[0])
        rush_screen_string(screen, 0, ask, buffer);
    if (reply->second_look && before) {
        rush_buffer line = {0};
        rush_buffer_format(&line, "You said: %.*s. Enter keeps it.", (int)before->given.length,
                           before->given.at);
        rush_screen_text(screen, 0, &line, buffer);
    }
}

void rush_question_write(const rush_reply *reply, const rush_screen *screen, rush_buffer *buffer)
{
    const rush_character *character = rush_key_character(reply->ranking->key, reply->asked);
    write_asked(reply, screen, buffer);
    write_hand(character, screen, buffer);
    if (character->kind == RUSH_KIND_NUMBER)
        write_number(reply, screen, buffer);
    else
        write_choices(reply, screen, buffer);
}

void rush_question_explain(const rush_reply *reply, const rush_screen *screen,
                           rush_buffer *buffer)
{
    const rush_key *key = reply->ranking->key;
    const rush_character *character = rush_key_character(key, reply->asked);
    const char *tip = rush_key_words(key, character->tip, reply->language);
    choice_layout all = {reply, screen, character, {0}, 0};
    rush_screen_string(screen, GAP, tip[0] ? tip : "The key says no more about this.", buffer);
    write_hand(character, screen, buffer);
    for (uint32_t s = 0; s < character->state_count && s < STATES_MAX; s++)
        all.states[all.count++] = s;
    if (has_sketches(character))
        write_sketches(&all, buffer);
    rush_screen_string(
        screen, GAP,
        "Answer with a name or a number; Enter: not seen; < back; . end; help: more.", buffer);
}
