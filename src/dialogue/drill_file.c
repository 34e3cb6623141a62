/* What a learner keeps between drills: JSON lines, read and written with jansson. */
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

#include "diagnostic/diagnostic.h"
#include "dialogue/drill.h"

static const char first_line[] = "{\"schema\":1,\"kept\":\"practice\"}";
enum { COUNT_MAX = 1000000000 };

/* ---- in -------------------------------------------------------------------------------------------- */

typedef struct drill_reading {
    rush_drill *drill;
    rush_line line;
    bool begun; /* the first line has been read */
    rush_diagnostics *list;
} drill_reading;

static bool refuse(const drill_reading *reading, rush_slug slug, const char *message)
{
    rush_line_diagnose(&reading->line, slug, message,
                       "nothing is written to it; begin with a new file, or mend the line",
                       reading->list);
    return false;
}

static bool is_first_line(const json_t *object)
{
    const char *kept = json_string_value(json_object_get(object, "kept"));
    return json_integer_value(json_object_get(object, "schema")) == 1 && kept &&
           strcmp(kept, "practice") == 0;
}

static bool whole(const json_t *object, const char *name, json_int_t most, uint32_t *number)
{
    const json_t *value = json_object_get(object, name);
    if (!json_is_integer(value) || json_integer_value(value) < 0 ||
        json_integer_value(value) > most)
        return false;
    *number = (uint32_t)json_integer_value(value);
    return true;
}

/* The leaf that a line is about; RUSH_NONE: it is of another key, or of one that had more taxa. */
static uint32_t leaf_of(const rush_key *key, const json_t *object)
{
    const char *its = json_string_value(json_object_get(object, "key"));
    const json_t *name = json_object_get(object, "taxon");
    if (strcmp(its, key->header.id) != 0)
        return RUSH_NONE;
    uint32_t taxon =
        rush_key_find_taxon(key, (rush_text){json_string_value(name), json_string_length(name)});
    if (taxon == RUSH_NONE || key->leaves[key->taxa[taxon].first_leaf] != taxon)
        return RUSH_NONE;
    return key->taxa[taxon].first_leaf;
}

static bool take_card(const drill_reading *reading, const json_t *object)
{
    rush_drill *drill = reading->drill;
    rush_drill_card card = {0};
    const char *due = json_string_value(json_object_get(object, "due"));
    bool good = json_is_string(json_object_get(object, "key")) &&
                json_is_string(json_object_get(object, "taxon")) && due &&
                rush_drill_day(rush_text_of(due), &card.due) &&
                whole(object, "box", RUSH_DRILL_BOXES, &card.box) && card.box &&
                whole(object, "rounds", COUNT_MAX, &card.rounds) &&
                whole(object, "right", card.rounds, &card.right);
    if (!good)
        return refuse(reading, RUSH_BAD_VALUE, "not a line of somebody's practice");
    uint32_t leaf = leaf_of(drill->key, object);
    if (leaf == RUSH_NONE) {
        rush_buffer_add(&drill->others, reading->line.text);
        rush_buffer_byte(&drill->others, '\n');
        if (drill->others.failed)
            rush_diagnose_out_of_memory(reading->list);
        return !drill->others.failed;
    }
    card.taxon = drill->key->leaves[leaf];
    if (!drill->cards[leaf].now)
        drill->cards[leaf] = card;
    return true;
}

/* jansson says that it has no memory by an error of its own, which counts as such. */
static bool take_line(drill_reading *reading)
{
    json_error_t error;
    json_t *object = json_loadb(reading->line.text.at, reading->line.text.length,
                                JSON_REJECT_DUPLICATES, &error);
    bool good;
    if (!object && json_error_code(&error) == json_error_out_of_memory) {
        rush_diagnose_out_of_memory(reading->list);
        return false;
    }
    if (!reading->begun)
        good = is_first_line(object) ||
               refuse(reading, RUSH_BAD_JSON, "this is not a file of somebody's practice");
    else
        good = json_is_object(object) ? take_card(reading, object)
                                      : refuse(reading, RUSH_BAD_JSON, "not a JSON object");
    reading->begun = true;
    json_decref(object);
    return good;
}

bool rush_drill_read(rush_drill *drill, const char *file, rush_text text,
                     rush_diagnostics *diagnostics)
{
    drill_reading reading = {drill, {{"", 0}, file, 0, RUSH_NONE, NULL}, false, diagnostics};
    drill->others.length = 0;
    for (size_t from = 0; from < text.length;) {
        const char *stop = memchr(text.at + from, '\n', text.length - from);
        size_t to = stop ? (size_t)(stop - text.at) : text.length;
        reading.line.text = (rush_text){text.at + from, to - from};
        reading.line.number++;
        if (reading.line.text.length && reading.line.text.at[to - from - 1] == '\r')
            reading.line.text.length--;
        if (rush_text_trim(reading.line.text).length && !take_line(&reading))
            return false;
        from = to + 1;
    }
    return true;
}

/* ---- out ------------------------------------------------------------------------------------------- */

static void write_card(const rush_drill *drill, const rush_drill_card *card, rush_buffer *buffer)
{
    rush_buffer due = {0};
    rush_drill_date(card->due, &due);
    json_t *object =
        due.failed ? NULL
                   : json_pack("{ss ss si ss si si}", "key", drill->key->header.id, "taxon",
                               drill->key->taxa[card->taxon].name, "box", (int)card->box, "due",
                               due.bytes, "rounds", (int)card->rounds, "right", (int)card->right);
    char *line = object ? json_dumps(object, JSON_COMPACT) : NULL;
    if (line)
        rush_buffer_format(buffer, "%s\n", line);
    else
        buffer->failed = true;
    free(line);
    json_decref(object);
    rush_buffer_free(&due);
}

void rush_drill_write(const rush_drill *drill, rush_buffer *buffer)
{
    rush_buffer_format(buffer, "%s\n", first_line);
    for (uint32_t leaf = 0; leaf < drill->key->leaf_count; leaf++)
        if (drill->cards[leaf].box)
            write_card(drill, &drill->cards[leaf], buffer);
    rush_buffer_add(buffer, (rush_text){drill->others.bytes, drill->others.length});
}
