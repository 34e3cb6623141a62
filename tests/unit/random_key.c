#include "random_key.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* ---- random numbers: splitmix64 (Vigna 2015)
 * ------------------------------------------------------ */

static uint64_t next(uint64_t *state)
{
    uint64_t mixed = *state += UINT64_C(0x9E3779B97F4A7C15);
    mixed = (mixed ^ mixed >> 30) * UINT64_C(0xBF58476D1CE4E5B9);
    mixed = (mixed ^ mixed >> 27) * UINT64_C(0x94D049BB133111EB);
    return mixed ^ mixed >> 31;
}

/* From 0 to count - 1. */
static int below(uint64_t *state, int count)
{
    return (int)(next(state) % (uint64_t)count);
}

static int between(uint64_t *state, int low, int high)
{
    return low + below(state, high - low + 1);
}

static bool chance(uint64_t *state, int percent)
{
    return below(state, 100) < percent;
}

/* ---- text
 * ------------------------------------------------------------------------------------------ */

typedef struct page {
    char *text;
    size_t size, length;
} page;

__attribute__((format(printf, 2, 3))) static void say(page *out, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    int more = vsnprintf(out->text + out->length, out->size - out->length, format, arguments);
    va_end(arguments);
    if (more > 0)
        out->length += (size_t)more;
    if (out->length >= out->size)
        out->length = out->size - 1;
}

/* ---- characters
 * ------------------------------------------------------------------------------------ */

static void make_misread(made_character *character, uint64_t *dice)
{
    static const double rates[] = {0, 0.03, 0.05, 0.08, 0.15, 0.2, 0.6};
    character->misread_written = chance(dice, 70);
    if (character->misread_written)
        character->misread = rates[below(dice, 7)];
}

static void make_states(made_character *character, int at, uint64_t *dice)
{
    character->states = between(dice, 2, 6);
    for (int s = 0; s < character->states; s++)
        snprintf(character->state[s], sizeof character->state[s], "look-%c%c", 'a' + s, 'k' + at);
    int pairs = chance(dice, 50) ? 0 : between(dice, 1, 3);
    for (int i = 0; i < pairs; i++) {
        int a = below(dice, character->states), b = below(dice, character->states);
        if (a != b)
            character->confused[a][b] = character->confused[b][a] = true;
    }
}

static void make_numbers(made_character *character, uint64_t *dice)
{
    static const double errors[] = {0, 0.05, 0.1, 2, 0.5};
    static const double steps[] = {0, 1, 0.5, 5};
    int error = below(dice, 5);
    character->kind = MADE_OF_NUMBERS;
    character->counted = chance(dice, 20);
    character->centimetres = !character->counted && chance(dice, 15);
    character->reading_error = errors[error];
    character->reading_error_relative = error == 1 || error == 2;
    character->resolution = steps[below(dice, 4)];
    character->under = between(dice, 15, 40);
    character->over = between(dice, 40, 70);
}

static void make_character(made_key *key, int at, uint64_t *dice)
{
    made_character *character = &key->character[at];
    snprintf(character->id, sizeof character->id, "mark-%c", 'a' + at - MADE_OWN);
    character->misread = 0.05;
    character->effort = chance(dice, 60) ? 1 : between(dice, 1, 8) / 2.0;
    character->reach = below(dice, 4);
    character->look_next = true;
    make_misread(character, dice);
    int kind = below(dice, 10);
    if (kind < 5) {
        make_states(character, at, dice);
    } else if (kind < 8) {
        make_numbers(character, dice);
    } else {
        character->setting = true;
        character->look_next = false;
        character->misread_written = false;
        if (kind == 8)
            make_states(character, at, dice);
        memset(character->confused, 0, sizeof character->confused);
        if (kind == 9) {
            character->kind = MADE_OF_MONTHS;
            character->states = 12;
        }
    }
}

static void make_built_in(made_key *key, uint64_t *dice)
{
    static const char *const ids[] = {"sex", "form", "taxon"};
    static const char *const names[] = {"dark", "pale", "banded"};
    for (int i = 0; i < MADE_OWN; i++) {
        made_character *character = &key->character[i];
        snprintf(character->id, sizeof character->id, "%s", ids[i]);
        character->misread = i == MADE_SEX ? 0.1 : 0.05;
        character->effort = 1;
        character->reach = 1;
        if (i != MADE_TAXON && chance(dice, 25))
            make_misread(character, dice);
    }
    key->character[MADE_SEX].states = 2;
    snprintf(key->character[MADE_SEX].state[0], 16, "male");
    snprintf(key->character[MADE_SEX].state[1], 16, "female");
    for (int i = 0; i < MADE_NAMES; i++)
        snprintf(key->character[MADE_FORM].state[i], 16, "%s", names[i]);
    key->character[MADE_TAXON].kind = MADE_OF_TAXA;
}

/* ---- traits
 * ---------------------------------------------------------------------------------------- */

static void make_weights(made_trait *trait, const made_character *character, uint64_t *dice)
{
    int kind = below(dice, 10), states = character->states;
    if (kind < 5) {
        trait->weights[below(dice, states)] = 1;
        return;
    }
    if (kind < 7 || states < 2) {
        int count = between(dice, 2, states), given = 0;
        for (int s = 0; s < states; s++)
            if (below(dice, states - s) < count - given) {
                trait->weights[s] = 1.0 / count;
                given++;
            }
        trait->listed = true;
        return;
    }
    int left = 20;
    for (int s = 0; s < states; s++) {
        int part = s + 1 == states ? left : below(dice, left + 1);
        if (character->setting)
            trait->weights[s] = below(dice, 11) / 10.0;
        else
            trait->weights[s] = part / 20.0;
        left -= part;
    }
    if (character->setting)
        trait->weights[below(dice, states)] = 0.9;
}

static void make_season(made_trait *trait, uint64_t *dice)
{
    int runs = chance(dice, 30) ? 2 : 1;
    for (int i = 0; i < runs; i++) {
        trait->run_first[i] = below(dice, 12);
        trait->run_length[i] = chance(dice, 8) ? 12 : between(dice, 1, runs == 2 ? 5 : 11);
        for (int m = 0; m < trait->run_length[i]; m++)
            trait->weights[(trait->run_first[i] + m) % 12] = 1;
    }
}

static void make_number(made_trait *trait, const made_character *character, uint64_t *dice)
{
    double unit = character->centimetres ? 10 : 1;
    trait->ranged = chance(dice, 65);
    if (trait->ranged) {
        int low = between(dice, 10, 60);
        int high = low + (chance(dice, 6) ? 0 : between(dice, 1, 25));
        trait->low = low / unit;
        trait->high = high / unit;
        trait->mean = (trait->low + trait->high) / 2;
        trait->sd = fmax((trait->high - trait->low) / 4, 0.035 * trait->mean);
        return;
    }
    trait->mean = between(dice, 100, 700) / 10.0 / unit;
    trait->sd = between(dice, 3, 90) / 10.0 / unit;
    trait->low = trait->mean - 2 * trait->sd;
    trait->high = trait->mean + 2 * trait->sd;
}

static made_trait make_trait(const made_key *key, int at, uint64_t *dice)
{
    const made_character *character = &key->character[at];
    made_trait trait = {.kind = TRAIT_STATES, .long_form = chance(dice, 25)};
    if (chance(dice, 8)) {
        trait.kind = TRAIT_UNKNOWN;
    } else if (!character->setting && chance(dice, 10)) {
        trait.kind = TRAIT_INAPPLICABLE;
    } else if (character->kind == MADE_OF_NUMBERS) {
        trait.kind = TRAIT_NUMBER;
        make_number(&trait, character, dice);
    } else if (character->kind == MADE_OF_MONTHS) {
        make_season(&trait, dice);
    } else {
        make_weights(&trait, character, dice);
    }
    return trait;
}

/* How often a place speaks of a character: rarely in some keys, so that much stays unscored. */
static void make_traits(const made_key *key, made_trait *traits, int percent, uint64_t *dice)
{
    for (int c = MADE_OWN; c < key->characters; c++)
        if (chance(dice, percent))
            traits[c] = make_trait(key, c, dice);
}

/* ---- taxa
 * ------------------------------------------------------------------------------------------ */

static int add_taxon(made_key *key, made_rank rank, int parent)
{
    static const char *const stems[] = {"Ordo", "Familia", "Genus", "Species", "Subspecies"};
    int at = key->taxa++;
    made_taxon *taxon = &key->taxon[at];
    snprintf(taxon->name, sizeof taxon->name, "%s%d", stems[rank], at);
    taxon->rank = rank;
    taxon->parent = parent;
    return at;
}

/* A taxon of a higher rank than `rank`, or none. */
static int pick_parent(const made_key *key, made_rank rank, uint64_t *dice)
{
    int offered[MADE_TAXA + 2], count = 0;
    for (int t = 0; t < key->taxa; t++)
        if (key->taxon[t].rank < rank)
            offered[count++] = t;
    if (!count || chance(dice, 12))
        return -1;
    /* mostly the lowest that there is */
    if (chance(dice, 70)) {
        int lowest = 0, kept = 0;
        for (int i = 0; i < count; i++)
            if ((int)key->taxon[offered[i]].rank > lowest)
                lowest = (int)key->taxon[offered[i]].rank;
        for (int i = 0; i < count; i++)
            if ((int)key->taxon[offered[i]].rank == lowest)
                offered[kept++] = offered[i];
        count = kept;
    }
    return offered[below(dice, count)];
}

static void make_tree(made_key *key, uint64_t *dice)
{
    const int most[MADE_RANKS] = {chance(dice, 30), chance(dice, 70) ? 3 : 0,
                                  chance(dice, 75) ? 4 : 0, 9, chance(dice, 20) ? 3 : 0};
    for (int rank = MADE_ORDER; rank < MADE_RANKS; rank++) {
        int count = most[rank] ? between(dice, rank == MADE_SPECIES ? 2 : 1, most[rank]) : 0;
        for (int i = 0; i < count; i++) {
            int parent = pick_parent(key, (made_rank)rank, dice);
            add_taxon(key, (made_rank)rank, parent);
        }
    }
}

/* Any order of declaration is as good as any other. */
static void shuffle(made_key *key, uint64_t *dice)
{
    static made_taxon before[MADE_TAXA];
    int place[MADE_TAXA];
    for (int t = 0; t < key->taxa; t++)
        place[t] = t;
    for (int t = key->taxa - 1; t > 0; t--) {
        int other = below(dice, t + 1), kept = place[t];
        place[t] = place[other];
        place[other] = kept;
    }
    memcpy(before, key->taxon, sizeof before);
    for (int t = 0; t < key->taxa; t++) {
        key->taxon[place[t]] = before[t];
        if (before[t].parent >= 0)
            key->taxon[place[t]].parent = place[before[t].parent];
    }
}

static void find_leaves(made_key *key)
{
    for (int t = 0; t < key->taxa; t++)
        key->taxon[t].leaf = true;
    for (int t = 0; t < key->taxa; t++)
        if (key->taxon[t].parent >= 0)
            key->taxon[key->taxon[t].parent].leaf = false;
}

static void make_occurrence(made_taxon *taxon, uint64_t *dice)
{
    static const char *const words[] = {"common", "local", "scarce", "rare"};
    int kind = below(dice, 10);
    if (kind < 5)
        taxon->occurrence_word = words[below(dice, 4)];
    else if (kind < 7)
        taxon->occurrence = between(dice, 1, 60) / 2.0;
}

/* ---- forms
 * ----------------------------------------------------------------------------------------- */

static void make_shares(made_key *key, const made_taxon *taxon, uint64_t *dice)
{
    int open = 0;
    double left = 1;
    for (int i = 0; i < taxon->forms; i++) {
        made_form *form = &key->form[taxon->first_form + i];
        form->share_written = chance(dice, 50) && i + 1 < taxon->forms;
        form->share = between(dice, 1, 12) / 40.0;
        if (form->share_written)
            left -= form->share;
        else
            open++;
    }
    for (int i = 0; i < taxon->forms; i++)
        if (!key->form[taxon->first_form + i].share_written)
            key->form[taxon->first_form + i].share = left / open;
}

/* Each a sex and a name of its own. */
static void make_forms(made_key *key, int at, int percent, uint64_t *dice)
{
    made_taxon *taxon = &key->taxon[at];
    taxon->first_form = key->forms;
    taxon->forms_written = chance(dice, 45);
    taxon->forms = taxon->forms_written ? between(dice, 1, 3) : 1;
    int first = below(dice, 12);
    bool all_sexes = chance(dice, 40);
    for (int i = 0; i < taxon->forms; i++) {
        made_form *form = &key->form[key->forms++];
        int both = (first + 5 * i) % 12;
        form->taxon = at;
        form->sex = taxon->forms_written && !all_sexes ? (made_sex)(both % 3) : MADE_ANY;
        form->name = taxon->forms_written ? (all_sexes ? (first + i) % 4 : both / 3) - 1 : -1;
        if (taxon->forms_written)
            make_traits(key, form->traits, percent, dice);
    }
    make_shares(key, taxon, dice);
}

/* The states of the form character: only the names that some form bears, and one for those
 * without. */
static void find_names(made_key *key)
{
    made_character *character = &key->character[MADE_FORM];
    bool used[MADE_NAMES] = {false};
    int to[MADE_NAMES];
    char before[MADE_NAMES][16];
    for (int i = 0; i < MADE_NAMES; i++)
        memcpy(before[i], character->state[i], sizeof before[i]);
    for (int f = 0; f < key->forms; f++) {
        int name = key->form[f].name;
        if (name < 0)
            continue;
        if (!used[name]) {
            used[name] = true;
            to[name] = key->names;
            memcpy(character->state[key->names++], before[name], sizeof before[name]);
        }
        key->form[f].name = to[name];
    }
    character->states = key->names ? key->names + 1 : 0;
}

/* ---- the key as YAML
 * ------------------------------------------------------------------------------- */

static void write_confused(page *out, const made_character *character)
{
    bool any = false;
    for (int a = 0; a < character->states; a++)
        for (int b = a + 1; b < character->states; b++) {
            if (!character->confused[a][b])
                continue;
            say(out, "%s[%s, %s]", any ? ", " : "    confused: [", character->state[a],
                character->state[b]);
            any = true;
        }
    if (any)
        say(out, "]\n");
}

static void write_states(page *out, const made_character *character)
{
    say(out, "    states: {");
    for (int s = 0; s < character->states; s++)
        say(out, "%s%s: {label: %s}", s ? ", " : "", character->state[s], character->state[s]);
    say(out, "}\n");
    write_confused(out, character);
}

static void write_numbers(page *out, const made_character *character)
{
    if (character->counted)
        say(out, "    measure: count\n");
    else
        say(out, "    measure: length\n    unit: %s\n", character->centimetres ? "cm" : "mm");
    if (character->reading_error_relative)
        say(out, "    reading_error: %.0f%%\n", character->reading_error * 100);
    else
        say(out, "    reading_error: %g\n", character->reading_error);
    if (character->resolution > 0)
        say(out, "    resolution: %g\n", character->resolution);
    say(out, "    words: {small: under %g, large: over %g}\n", character->under, character->over);
}

static void write_character(page *out, const made_character *character)
{
    static const char *const reaches[] = {"far", "near", "close", "hand"};
    say(out, "  %s:\n    ask: What of it?\n    reach: %s\n    effort: %g\n", character->id,
        reaches[character->reach], character->effort);
    if (character->misread_written)
        say(out, "    misread: %g\n", character->misread);
    if (character->setting)
        say(out, "    setting: %s\n", character->kind == MADE_OF_MONTHS ? "months" : "states");
    if (character->kind == MADE_OF_NUMBERS)
        write_numbers(out, character);
    else if (character->kind == MADE_OF_STATES)
        write_states(out, character);
}

static void write_characters(page *out, const made_key *key)
{
    say(out, "characters:\n");
    for (int c = 0; c < key->characters; c++) {
        const made_character *character = &key->character[c];
        if (c >= MADE_OWN)
            write_character(out, character);
        else if (character->misread_written)
            say(out, "  %s: {misread: %g}\n", character->id, character->misread);
    }
}

static const char *const months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                     "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

static void write_run(page *out, int first, int length)
{
    if (length == 12)
        say(out, "all year");
    else if (length == 1)
        say(out, "%s", months[first]);
    else if (first % 2)
        say(out, "%s-%s", months[first], months[(first + length - 1) % 12]);
    else
        say(out, "%d-%d", first + 1, (first + length - 1) % 12 + 1);
}

static void write_season(page *out, const made_trait *trait)
{
    bool several = trait->run_length[1] > 0;
    say(out, "%s", several ? "[" : "");
    for (int i = 0; i < 1 + several; i++) {
        say(out, "%s", i ? ", " : "");
        write_run(out, trait->run_first[i], trait->run_length[i]);
    }
    say(out, "%s", several ? "]" : "");
}

static void write_weights(page *out, const made_trait *trait, const made_character *character)
{
    bool first = true, alone = false;
    double sum = 0;
    for (int s = 0; s < character->states; s++) {
        sum += trait->weights[s];
        alone = alone || trait->weights[s] == 1;
    }
    alone = alone && sum == 1;
    say(out, "%s", alone ? "" : trait->listed ? "[" : "{");
    for (int s = 0; s < character->states; s++) {
        if (trait->weights[s] <= 0)
            continue;
        say(out, "%s%s", first ? "" : ", ", character->state[s]);
        if (!alone && !trait->listed)
            say(out, ": %g", trait->weights[s]);
        first = false;
    }
    say(out, "%s", alone ? "" : trait->listed ? "]" : "}");
}

static void write_number(page *out, const made_trait *trait)
{
    if (!trait->ranged)
        say(out, "{mean: %g, sd: %g, n: 12}", trait->mean, trait->sd);
    else if (trait->long_form)
        say(out, "{range: %g-%g, note: invented}", trait->low, trait->high);
    else
        say(out, "%g-%g", trait->low, trait->high);
}

static void write_trait(page *out, const made_trait *trait, const made_character *character)
{
    bool wrapped = trait->long_form && trait->kind != TRAIT_NUMBER;
    say(out, "%s", wrapped ? "{is: " : "");
    if (trait->kind == TRAIT_UNKNOWN)
        say(out, "unknown");
    else if (trait->kind == TRAIT_INAPPLICABLE)
        say(out, "inapplicable");
    else if (trait->kind == TRAIT_NUMBER)
        write_number(out, trait);
    else if (character->kind == MADE_OF_MONTHS)
        write_season(out, trait);
    else
        write_weights(out, trait, character);
    say(out, "%s", wrapped ? ", note: invented}" : "");
}

static void write_traits(page *out, const made_key *key, const made_trait *traits)
{
    bool first = true;
    say(out, "{");
    for (int c = MADE_OWN; c < key->characters; c++) {
        if (traits[c].kind == TRAIT_SILENT)
            continue;
        say(out, "%s%s: ", first ? "" : ", ", key->character[c].id);
        write_trait(out, &traits[c], &key->character[c]);
        first = false;
    }
    say(out, "}");
}

static void write_form(page *out, const made_key *key, const made_form *form)
{
    static const char *const sexes[] = {"male", "female", "any"};
    say(out, "      - {sex: %s, ", sexes[form->sex]);
    if (form->name >= 0)
        say(out, "form: %s, ", key->character[MADE_FORM].state[form->name]);
    if (form->share_written)
        say(out, "share: %g, ", form->share);
    say(out, "traits: ");
    write_traits(out, key, form->traits);
    say(out, "}\n");
}

static void write_taxon(page *out, const made_key *key, const made_taxon *taxon)
{
    static const char *const ranks[] = {"order", "family", "genus", "species", "subspecies"};
    say(out, "  %s:\n    rank: %s\n", taxon->name, ranks[taxon->rank]);
    if (taxon->parent >= 0)
        say(out, "    within: %s\n", key->taxon[taxon->parent].name);
    if (taxon->occurrence_word)
        say(out, "    occurrence: %s\n", taxon->occurrence_word);
    else if (taxon->occurrence > 0)
        say(out, "    occurrence: %g\n", taxon->occurrence);
    say(out, "    traits: ");
    write_traits(out, key, taxon->traits);
    say(out, "\n");
    if (!taxon->leaf || !taxon->forms_written)
        return;
    say(out, "    forms:\n");
    for (int i = 0; i < taxon->forms; i++)
        write_form(out, key, &key->form[taxon->first_form + i]);
}

static void write_key(made_key *key)
{
    page main = {key->text, sizeof key->text, 0}, part = {key->part, sizeof key->part, 0};
    say(&main, "rushlight: 1\nkey: made-%u\ntitle: An invented key\nversion: 1\n",
        (unsigned)key->seed);
    say(&main, "unlisted: %g\ncaution_factor: %g\n", key->unlisted, key->caution);
    if (key->odd_occurrence)
        say(&main, "occurrence: {common: 20, local: 5, scarce: 1.5, rare: 0.25}\n");
    if (key->in_parts)
        say(&main, "parts: [characters.yaml]\n");
    write_characters(key->in_parts ? &part : &main, key);
    say(&main, "taxa:\n");
    for (int t = 0; t < key->taxa; t++)
        write_taxon(&main, key, &key->taxon[t]);
}

void make_key(made_key *key, uint64_t seed, made_wish wish)
{
    static const double unlisted[] = {0, 0.02, 0.02, 0.1, 0.4};
    static const double cautions[] = {1, 1.5, 1.5, 2};
    uint64_t dice = seed * 2654435761u + 17;
    memset(key, 0, sizeof *key);
    key->seed = seed;
    key->unlisted = wish == MADE_STRICT ? 0 : unlisted[below(&dice, 5)];
    key->caution = cautions[below(&dice, 4)];
    key->odd_occurrence = chance(&dice, 30);
    key->in_parts = chance(&dice, 30);
    make_built_in(key, &dice);
    key->characters = MADE_OWN + between(&dice, 2, MADE_CHARACTERS - MADE_OWN);
    for (int c = MADE_OWN; c < key->characters; c++)
        make_character(key, c, &dice);
    for (int c = 0; wish == MADE_STRICT && c < key->characters; c++) {
        key->character[c].misread = 0;
        key->character[c].misread_written = c != MADE_TAXON && !key->character[c].setting;
    }
    make_tree(key, &dice);
    shuffle(key, &dice);
    find_leaves(key);
    int of_groups = chance(&dice, 50) ? 15 : 40, of_leaves = chance(&dice, 30) ? 35 : 80;
    for (int t = 0; t < key->taxa; t++) {
        make_occurrence(&key->taxon[t], &dice);
        make_traits(key, key->taxon[t].traits, key->taxon[t].leaf ? of_leaves : of_groups, &dice);
        if (key->taxon[t].leaf)
            make_forms(key, t, 30, &dice);
    }
    find_names(key);
    write_key(key);
}

/* ---- a sighting
 * ------------------------------------------------------------------------------------ */

/* A name as people type it: any case, spaces for hyphens. */
static void say_name(page *out, const char *name, uint64_t *dice)
{
    int manner = below(dice, 4);
    for (; *name; name++) {
        char byte = *name;
        if (manner == 1 && byte == '-')
            byte = ' ';
        if (manner == 2 && byte >= 'a' && byte <= 'z')
            byte = (char)(byte - 'a' + 'A');
        say(out, "%c", byte);
    }
}

static void choose(bool *chosen, int offered, int count, uint64_t *dice)
{
    for (int given = 0; given < count;) {
        int at = below(dice, offered);
        given += !chosen[at];
        chosen[at] = true;
    }
}

static const char *alternative(uint64_t *dice)
{
    static const char *const ways[] = {" or ", ", ", " | ", "/"};
    return ways[below(dice, 4)];
}

/* Names some of what is offered; of the rest, those that nobody can name come last. */
static void say_chosen(page *out, const made_key *key, made_answer *answer, int offered,
                       bool *chosen, uint64_t *dice)
{
    const made_character *character = &key->character[answer->character];
    bool first = true;
    answer->denied = chance(dice, 25);
    answer->unsure = chance(dice, 25);
    say(out, "%s", answer->denied ? "not " : "");
    for (int i = 0; i < offered; i++) {
        if (!chosen[i])
            continue;
        say(out, "%s", first ? "" : alternative(dice));
        if (character->kind == MADE_OF_TAXA)
            say(out, "%s", key->taxon[i].name);
        else if (character->kind == MADE_OF_MONTHS)
            say(out, "%s", months[i]);
        else
            say_name(out, character->state[i], dice);
        first = false;
    }
    say(out, "%s", answer->unsure ? "?" : "");
}

static void make_state_answer(page *out, const made_key *key, made_answer *answer, uint64_t *dice)
{
    const made_character *character = &key->character[answer->character];
    int all = character->states;
    int offered = answer->character == MADE_FORM ? all - 1 : all;
    int most = offered == all ? offered - 1 : offered; /* something must be left by a denial */
    bool chosen[MADE_TAXA] = {false};
    choose(chosen, offered, chance(dice, 60) ? 1 : between(dice, 1, most < 3 ? most : 3), dice);
    say_chosen(out, key, answer, offered, chosen, dice);
    for (int s = 0; s < all; s++)
        answer->in[s] = chosen[s] != answer->denied;
}

static bool stands_within(const made_key *key, int taxon, int above)
{
    for (; taxon >= 0; taxon = key->taxon[taxon].parent)
        if (taxon == above)
            return true;
    return false;
}

static bool make_taxon_answer(page *out, const made_key *key, made_answer *answer, uint64_t *dice)
{
    bool chosen[MADE_TAXA] = {false}, any = false;
    out->text[out->length] = 0;
    choose(chosen, key->taxa, between(dice, 1, 2), dice);
    size_t begun = out->length;
    say_chosen(out, key, answer, key->taxa, chosen, dice);
    for (int t = 0; t < key->taxa; t++) {
        bool named = false;
        for (int above = 0; above < key->taxa; above++)
            named = named || (chosen[above] && stands_within(key, t, above));
        answer->in[t] = key->taxon[t].leaf && named != answer->denied;
        any = any || answer->in[t];
    }
    if (!any)
        out->length = begun;
    return any;
}

/* ---- a number
 * -------------------------------------------------------------------------------------- */

typedef struct written {
    double value, step; /* in the character's unit; what the last digit stands for */
    char text[24];
    const char *unit;
} written;

/* Somewhere about `tenths`/10 of the character's unit. */
static written write_quantity(const made_character *character, int tenths, uint64_t *dice)
{
    written made = {.unit = ""};
    int manner = below(dice, 5);
    double factor = 1;
    if (character->counted || manner == 0) {
        made.value = tenths / 10;
    } else if (manner == 1) { /* the same unit, with decimals */
        made.value = tenths / 10.0;
        made.unit = character->centimetres ? " cm" : " mm";
    } else if (manner == 2) { /* the other unit */
        factor = character->centimetres ? 0.1 : 10;
        made.value = character->centimetres ? tenths : (tenths + 50) / 100;
        made.unit = character->centimetres ? "mm" : " cm";
    } else if (manner == 3 && !character->centimetres) {
        factor = 10;
        made.value = (tenths / 10) / 10.0;
        made.unit = " cm";
    } else {
        made.value = tenths / 10.0;
    }
    bool decimals = made.value != floor(made.value);
    snprintf(made.text, sizeof made.text, decimals ? "%.1f" : "%.0f", made.value);
    if (decimals && chance(dice, 30))
        *strchr(made.text, '.') = ',';
    made.value *= factor;
    made.step = (decimals ? 0.1 : 1) * factor;
    return made;
}

static void at_least(made_answer *answer, double width)
{
    if (answer->high - answer->low < width) {
        double middle = (answer->low + answer->high) / 2;
        answer->low = middle - width / 2;
        answer->high = middle + width / 2;
    }
}

static void say_point(page *out, const made_character *character, made_answer *answer,
                      const written *number, uint64_t *dice)
{
    answer->about = chance(dice, 30);
    answer->measured = !answer->about && chance(dice, 20);
    answer->low = answer->high = number->value;
    at_least(answer, fmax(number->step, character->resolution));
    say(out, "%s%s%s",
        answer->about      ? "about "
        : answer->measured ? "measured "
                           : "",
        number->text, number->unit);
}

static void say_range(page *out, const made_character *character, made_answer *answer, int tenths,
                      uint64_t *dice)
{
    static const char *const dashes[] = {"-", " to ", "\xe2\x80\x93"};
    int more = between(dice, 0, 120);
    answer->low = tenths / 10;
    answer->high = (tenths + more) / 10;
    say(out, "%.0f%s%.0f%s", answer->low, dashes[below(dice, 3)], answer->high,
        character->counted || chance(dice, 50) ? ""
        : character->centimetres               ? " cm"
                                               : " mm");
    at_least(answer, character->resolution);
}

static void make_number_answer(page *out, const made_key *key, made_answer *answer,
                               uint64_t *dice)
{
    const made_character *character = &key->character[answer->character];
    int tenths = character->centimetres ? between(dice, 100, 800) / 10 : between(dice, 50, 800);
    int manner = below(dice, 10);
    answer->low = -INFINITY;
    answer->high = INFINITY;
    written number = write_quantity(character, tenths, dice);
    if (manner < 5) {
        say_point(out, character, answer, &number, dice);
    } else if (manner < 7) {
        say_range(out, character, answer, tenths, dice);
    } else if (manner == 7) {
        answer->high = number.value;
        say(out, "under %s%s", number.text, number.unit);
    } else if (manner == 8) {
        answer->low = number.value;
        say(out, "> %s%s", number.text, number.unit);
    } else if (chance(dice, 50)) {
        answer->high = character->under;
        say(out, "small");
    } else {
        answer->low = character->over;
        say(out, "Large");
    }
    answer->unsure = chance(dice, 20);
    say(out, "%s", answer->unsure ? " ?" : "");
}

/* ---- the line
 * -------------------------------------------------------------------------------------- */

static void make_answer(page *out, const made_key *key, made_sighting *sighting, int character,
                        uint64_t *dice)
{
    made_answer *answer = &sighting->answer[sighting->answers];
    const made_character *asked = &key->character[character];
    size_t begun = out->length;
    if (asked->kind != MADE_OF_TAXA && asked->kind != MADE_OF_NUMBERS && asked->states < 2)
        return;
    memset(answer, 0, sizeof *answer);
    answer->character = character;
    say(out, "%s", sighting->answers ? "; " : "");
    say_name(out, asked->id, dice);
    say(out, ": ");
    bool good = true;
    if (asked->kind == MADE_OF_TAXA)
        good = make_taxon_answer(out, key, answer, dice);
    else if (asked->kind == MADE_OF_NUMBERS)
        make_number_answer(out, key, answer, dice);
    else
        make_state_answer(out, key, answer, dice);
    sighting->answers += good;
    if (!good)
        out->length = begun;
    out->text[out->length] = 0;
}

void make_sighting(made_sighting *sighting, const made_key *key, uint64_t seed)
{
    uint64_t dice = seed * 40503 + key->seed * 7919 + 3;
    page out = {sighting->line, sizeof sighting->line, 0};
    memset(sighting, 0, sizeof *sighting);
    int percent = between(&dice, 20, 95), first = below(&dice, key->characters);
    for (int i = 0; i < key->characters && sighting->answers < MADE_ANSWERS; i++) {
        int character = (first + i) % key->characters;
        int wanted = character == MADE_TAXON ? 6 : character < MADE_OWN ? percent / 2 : percent;
        if (chance(&dice, wanted))
            make_answer(&out, key, sighting, character, &dice);
    }
}
