#include <string.h>

#include "report/words.h"

/* ---- pieces ------------------------------------------------------------------------------------- */

static void write_line(const char *name, const char *text, rush_buffer *buffer)
{
    if (!text || !text[0])
        return;
    size_t start = buffer->length;
    rush_buffer_format(buffer, "%s: ", name);
    rush_words_wrap(rush_text_of(text), buffer->length - start, RUSH_TEXT_COLUMNS, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_also(const rush_also *also, const char *indent, rush_buffer *buffer)
{
    if (!also->count)
        return;
    rush_buffer list = {0};
    for (uint32_t i = 0; i < also->count; i++)
        rush_buffer_format(&list, "%s%s", i ? ", " : "", also->names[i]);
    rush_buffer_format(buffer, "%salso: ", indent);
    rush_words_wrap_part(&list, strlen(indent) + 6, RUSH_TEXT_COLUMNS, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_backing(const rush_key *key, const rush_backing *backing, rush_buffer *buffer)
{
    rush_buffer_string(buffer, " [");
    rush_buffer_safe(buffer, rush_text_of(backing->source == RUSH_NONE
                                              ? "no source"
                                              : rush_key_source(key, backing->source)->id));
    rush_buffer_byte(buffer, ']');
    if (backing->note) {
        rush_buffer_string(buffer, " ");
        rush_buffer_safe(buffer, rush_text_of(backing->note));
    }
}

/* ---- the key ------------------------------------------------------------------------------------ */

static bool by_memory(const rush_key *key, const rush_trait *trait)
{
    return trait->backing.source == RUSH_NONE ||
           strcmp(rush_key_source(key, trait->backing.source)->id, "memory") == 0;
}

static void count_backing(const rush_key *key, const rush_trait *const *traits, uint32_t count,
                          uint32_t *all, uint32_t *memory)
{
    for (uint32_t i = 0; i < count; i++) {
        ++*all;
        *memory += by_memory(key, traits[i]);
    }
}

/* "1 family", "3 families", "2 genera", "53 species". */
static void write_rank_count(rush_taxon_rank rank, uint32_t count, rush_buffer *buffer)
{
    const char *name = rush_taxon_rank_name(rank);
    size_t length = strlen(name);
    bool invariant = name[length - 1] == 's' && rank != RUSH_RANK_GENUS &&
                     rank != RUSH_RANK_SUBGENUS && rank != RUSH_RANK_CLASS;
    rush_buffer_format(buffer, " %u ", count);
    if (count == 1 || invariant)
        rush_buffer_string(buffer, name);
    else if (name[length - 1] == 'y')
        rush_buffer_format(buffer, "%.*sies", (int)length - 1, name);
    else if (rank == RUSH_RANK_GENUS || rank == RUSH_RANK_SUBGENUS)
        rush_buffer_format(buffer, "%.*sera", (int)length - 2, name);
    else
        rush_buffer_format(buffer, "%s%s", name, rank == RUSH_RANK_CLASS ? "es" : "s");
    rush_buffer_byte(buffer, ',');
}

static void write_counts(const rush_key *key, rush_buffer *buffer)
{
    uint32_t all = 0, memory = 0, by_rank[RUSH_RANK_COUNT] = {0};
    for (uint32_t t = 0; t < rush_key_taxon_count(key); t++) {
        const rush_taxon *taxon = rush_key_taxon(key, t);
        by_rank[taxon->rank]++;
        count_backing(key, taxon->traits, taxon->trait_count, &all, &memory);
    }
    for (uint32_t f = 0; f < rush_key_form_count(key); f++) {
        const rush_form *form = rush_key_form(key, f);
        count_backing(key, form->traits, form->trait_count, &all, &memory);
    }
    rush_buffer_string(buffer, "taxa:");
    for (int r = 0; r < RUSH_RANK_COUNT; r++)
        if (by_rank[r])
            write_rank_count((rush_taxon_rank)r, by_rank[r], buffer);
    rush_buffer_format(buffer, " %u forms\n", rush_key_form_count(key));
    rush_buffer_format(buffer, "traits: %u scored, ", all);
    rush_words_percent(all ? (double)memory / all : 0, buffer);
    rush_buffer_string(buffer, " of them from memory or without a source\n");
    rush_buffer_format(buffer, "worked sightings: %u\n", rush_key_sighting_count(key));
}

static void write_mistakes(const rush_key_header *header, rush_buffer *buffer)
{
    if (header->mistakes.count)
        rush_buffer_string(buffer, "commonly mistaken for it:\n");
    for (uint32_t i = 0; i < header->mistakes.count; i++) {
        rush_buffer_string(buffer, "    ");
        rush_words_wrap(rush_text_of(header->mistakes.names[i]), 6, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

static void write_characters(const rush_key *key, uint32_t language, rush_buffer *buffer)
{
    rush_buffer_string(buffer, "\ncharacters (rushlight about CHARACTER):\n");
    for (uint32_t c = 0; c < rush_key_character_count(key); c++) {
        const rush_character *character = rush_key_character(key, c);
        rush_buffer line = {0};
        rush_buffer_string(buffer, "    ");
        rush_character_name(key, c, language, &line);
        rush_buffer_string(&line, character->setting ? " (setting): " : ": ");
        if (character->kind == RUSH_KIND_NUMBER)
            rush_buffer_format(&line, "a number%s%s", character->unit[0] ? " of " : "",
                               character->unit);
        else if (character->kind == RUSH_KIND_TAXON)
            rush_buffer_string(&line, "any taxon, when you are sure of it");
        else
            for (uint32_t s = 0; s < character->state_count; s++) {
                rush_buffer_string(&line, s ? ", " : "");
                rush_state_name(key, c, s, language, &line);
            }
        rush_words_wrap_part(&line, 8, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

static uint32_t depth_of(const rush_key *key, uint32_t taxon)
{
    uint32_t depth = 0;
    for (uint32_t at = rush_key_taxon(key, taxon)->parent; at != RUSH_NONE;
         at = rush_key_taxon(key, at)->parent)
        depth++;
    return depth;
}

static void write_branch(const rush_key *key, uint32_t taxon, uint32_t language,
                         rush_buffer *buffer)
{
    rush_buffer_fill(buffer, ' ', 4 + 2 * depth_of(key, taxon));
    rush_words_taxon(key, taxon, language, buffer);
    rush_buffer_byte(buffer, '\n');
}

/* Each leaf behind those of its ancestors that have not been shown. */
static void write_classification(const rush_key *key, uint32_t language, rush_buffer *buffer)
{
    rush_buffer_string(buffer, "\ntaxa (rushlight about TAXON):\n");
    for (uint32_t i = 0; i < rush_key_leaf_count(key); i++) {
        uint32_t leaf = rush_key_leaf(key, i);
        for (uint32_t steps = depth_of(key, leaf); steps > 0; steps--) {
            uint32_t above = leaf;
            for (uint32_t s = 0; s < steps; s++)
                above = rush_key_taxon(key, above)->parent;
            if (rush_key_taxon(key, above)->first_leaf == i)
                write_branch(key, above, language, buffer);
        }
        write_branch(key, leaf, language, buffer);
    }
}

static void write_topics(const rush_key_header *header, rush_buffer *buffer)
{
    if (!header->topic_count)
        return;
    rush_buffer_string(buffer, "\ntopics (rushlight about TOPIC):\n");
    for (uint32_t i = 0; i < header->topic_count; i++) {
        rush_buffer_string(buffer, "    ");
        rush_buffer_safe(buffer, rush_text_of(header->topics[i].name));
        rush_buffer_byte(buffer, '\n');
    }
}

void rush_report_topic(const rush_key *key, uint32_t at, uint32_t language, rush_buffer *buffer)
{
    const rush_topic *topic = &rush_key_about(key)->topics[at];
    const char *text = rush_key_words(key, topic->text, language);
    if (text[0]) {
        rush_words_wrap(rush_text_of(text), 0, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
    rush_words_drawing(topic->drawing, 0, buffer);
}

void rush_report_key(const rush_key *key, uint32_t language, rush_buffer *buffer)
{
    const rush_key_header *header = rush_key_about(key);
    write_line("key", header->id, buffer);
    write_line("title", rush_key_words(key, header->title, language), buffer);
    write_line("version", header->version, buffer);
    write_line("sha256", rush_key_digest(key), buffer);
    write_line("credit", rush_key_words(key, header->credit, language), buffer);
    write_line("licence", rush_key_words(key, header->licence, language), buffer);
    write_line("admits", rush_key_words(key, header->admits, language), buffer);
    write_mistakes(header, buffer);
    write_counts(key, buffer);
    write_topics(header, buffer);
    write_characters(key, language, buffer);
    write_classification(key, language, buffer);
}

/* ---- a taxon ------------------------------------------------------------------------------------ */

static void write_trait(const rush_key *key, const rush_trait *trait, uint32_t from,
                        uint32_t language, rush_buffer *buffer)
{
    rush_buffer_string(buffer, "    ");
    rush_words_character(key, trait->character, language, buffer);
    rush_buffer_string(buffer, ": ");
    rush_words_trait(key, trait, language, buffer);
    write_backing(key, &trait->backing, buffer);
    if (from != RUSH_NONE) {
        rush_buffer_string(buffer, " (from ");
        rush_buffer_safe(buffer, rush_text_of(rush_key_taxon(key, from)->name));
        rush_buffer_byte(buffer, ')');
    }
    rush_buffer_byte(buffer, '\n');
}

static void write_taxon_traits(const rush_key *key, uint32_t taxon, uint32_t language,
                               rush_buffer *buffer)
{
    for (uint32_t c = 0; c < rush_key_character_count(key); c++) {
        uint32_t from;
        const rush_trait *trait = rush_key_taxon_trait(key, taxon, c, &from);
        if (trait)
            write_trait(key, trait, from == taxon ? RUSH_NONE : from, language, buffer);
    }
}

static void write_forms(const rush_key *key, uint32_t taxon, uint32_t language,
                        rush_buffer *buffer)
{
    const rush_taxon *here = rush_key_taxon(key, taxon);
    if (here->leaf_count != 1 || rush_key_leaf(key, here->first_leaf) != taxon)
        return;
    for (uint32_t f = here->first_form; f < here->first_form + here->form_count; f++) {
        const rush_form *form = rush_key_form(key, f);
        if (form->sex == RUSH_SEX_ANY && !form->name && here->form_count == 1)
            return;
        rush_buffer_format(buffer, "\n%s",
                           form->sex == RUSH_SEX_ANY ? "either sex" : rush_sex_name(form->sex));
        if (form->name) {
            rush_buffer_string(buffer, ", form ");
            rush_buffer_safe(buffer, rush_text_of(form->name));
        }
        rush_buffer_string(buffer, ", share ");
        rush_words_percent(form->share, buffer);
        write_backing(key, &form->backing, buffer);
        rush_buffer_byte(buffer, '\n');
        for (uint32_t i = 0; i < form->trait_count; i++)
            write_trait(key, form->traits[i], RUSH_NONE, language, buffer);
    }
}

/* The sources that stand behind a taxon, each once. */
static void write_sources(const rush_key *key, uint32_t taxon, rush_buffer *buffer)
{
    const rush_taxon *here = rush_key_taxon(key, taxon);
    bool any = false;
    for (uint32_t s = 0; s < rush_key_source_count(key); s++) {
        bool used = here->backing.source == s;
        for (uint32_t f = here->first_form; f < here->first_form + here->form_count && !used; f++)
            for (uint32_t c = 0; c < rush_key_character_count(key) && !used; c++) {
                const rush_trait *trait = rush_key_trait(key, f, c, NULL);
                used = trait && trait->backing.source == s;
            }
        if (!used)
            continue;
        const rush_source_entry *source = rush_key_source(key, s);
        rush_buffer_string(buffer, any ? "" : "\nsources:\n");
        any = true;
        rush_buffer line = {0};
        rush_buffer_format(&line, "%s: %s", source->id, source->cite ? source->cite : "");
        if (source->doi)
            rush_buffer_format(&line, " doi:%s", source->doi);
        if (source->url)
            rush_buffer_format(&line, " %s", source->url);
        rush_buffer_string(buffer, "    ");
        rush_words_wrap_part(&line, 8, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

void rush_report_taxon(const rush_key *key, uint32_t taxon, uint32_t language,
                       rush_buffer *buffer)
{
    const rush_taxon *here = rush_key_taxon(key, taxon);
    rush_buffer_format(buffer, "%s ", rush_taxon_rank_name(here->rank));
    rush_words_taxon(key, taxon, language, buffer);
    rush_buffer_byte(buffer, '\n');
    for (uint32_t l = 0; here->vernacular.in && l < rush_key_about(key)->language_count; l++)
        if (here->vernacular.in[l])
            write_line(rush_key_about(key)->languages[l], here->vernacular.in[l], buffer);
    write_also(&here->also, "", buffer);
    write_line("authority", here->authority, buffer);
    write_line("note", here->backing.note, buffer);
    rush_buffer_string(buffer, "within: ");
    for (uint32_t at = here->parent; at != RUSH_NONE; at = rush_key_taxon(key, at)->parent) {
        rush_buffer_string(buffer, at == here->parent ? "" : ", ");
        rush_buffer_safe(buffer, rush_text_of(rush_key_taxon(key, at)->name));
    }
    rush_buffer_string(buffer, here->parent == RUSH_NONE ? "nothing in this key\n" : "\n");
    rush_buffer_string(buffer, "occurrence: ");
    rush_buffer_number(buffer, here->occurrence, 3);
    rush_buffer_byte(buffer, '\n');
    write_line("caution", rush_key_words(key, here->caution, language), buffer);
    rush_buffer_string(buffer, "traits:\n");
    write_taxon_traits(key, taxon, language, buffer);
    write_forms(key, taxon, language, buffer);
    write_sources(key, taxon, buffer);
}

/* ---- a character -------------------------------------------------------------------------------- */

/* How often a taxon shows a state, over its forms. */
static double weight_of(const rush_key *key, uint32_t taxon, uint32_t character, uint32_t state)
{
    const rush_taxon *here = rush_key_taxon(key, taxon);
    double sum = 0;
    for (uint32_t f = here->first_form; f < here->first_form + here->form_count; f++) {
        const rush_trait *trait = rush_key_trait(key, f, character, NULL);
        if (trait && trait->kind == RUSH_TRAIT_STATES)
            sum += rush_key_form(key, f)->share * trait->weights[state];
    }
    return sum;
}

static void write_showing(const rush_key *key, uint32_t character, uint32_t state,
                          rush_buffer *buffer)
{
    rush_buffer list = {0};
    for (uint32_t i = 0; i < rush_key_leaf_count(key); i++) {
        uint32_t leaf = rush_key_leaf(key, i);
        if (weight_of(key, leaf, character, state) >= 0.25)
            rush_buffer_format(&list, "%s%s", list.length ? ", " : "",
                               rush_key_taxon(key, leaf)->name);
    }
    if (list.length || list.failed) {
        rush_buffer_string(buffer, "        usual in: ");
        rush_words_wrap_part(&list, 18, RUSH_TEXT_COLUMNS, buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

static void write_confused(const rush_key *key, uint32_t at, uint32_t language,
                           rush_buffer *buffer)
{
    const rush_character *character = rush_key_character(key, at);
    rush_buffer list = {0};
    for (uint32_t i = 0; i < character->confused_count; i++) {
        rush_buffer_string(&list, i ? "; " : "taken for each other: ");
        rush_words_state(key, at, character->confused[i][0], language, &list);
        rush_buffer_string(&list, " and ");
        rush_words_state(key, at, character->confused[i][1], language, &list);
    }
    rush_words_wrap_part(&list, 4, RUSH_TEXT_COLUMNS, buffer);
    rush_buffer_string(buffer, character->confused_count ? "\n" : "");
}

static void write_states(const rush_key *key, uint32_t at, uint32_t language, rush_buffer *buffer)
{
    const rush_character *character = rush_key_character(key, at);
    if (character->state_count)
        rush_buffer_string(buffer, "states:\n");
    for (uint32_t s = 0; s < character->state_count; s++) {
        rush_buffer_string(buffer, "    ");
        rush_words_state(key, at, s, language, buffer);
        rush_buffer_byte(buffer, '\n');
        write_also(&character->states[s].also, "        ", buffer);
        rush_words_drawing(character->states[s].sketch, 12, buffer);
        if (at >= RUSH_BUILT_IN_CHARACTERS)
            write_showing(key, at, s, buffer);
    }
    write_confused(key, at, language, buffer);
}

static void write_measure(const rush_key *key, const rush_character *character, uint32_t language,
                          rush_buffer *buffer)
{
    write_line("measure", character->measure, buffer);
    write_line("unit", character->unit, buffer);
    write_line("includes", rush_key_words(key, character->includes, language), buffer);
    rush_buffer_string(buffer, "reading error: ");
    rush_buffer_number(
        buffer, character->reading_error * (character->reading_error_relative ? 100 : 1), 3);
    rush_buffer_string(buffer, character->reading_error_relative ? " % of the mean\n" : "\n");
    rush_buffer_string(buffer, "in this key: ");
    rush_buffer_number(buffer, character->low, 3);
    rush_buffer_string(buffer, " to ");
    rush_buffer_number(buffer, character->high, 3);
    rush_buffer_string(buffer, character->unit[0] ? " " : "");
    rush_buffer_safe(buffer, rush_text_of(character->unit));
    rush_buffer_byte(buffer, '\n');
    for (uint32_t i = 0; i < character->word_count; i++)
        write_line(character->words[i].word, character->words[i].means, buffer);
}

void rush_report_character(const rush_key *key, uint32_t at, uint32_t language,
                           rush_buffer *buffer)
{
    const rush_character *character = rush_key_character(key, at);
    rush_words_character(key, at, language, buffer);
    rush_buffer_format(buffer, ", %s; id: ", character->setting ? "a setting" : "a character");
    rush_buffer_safe(buffer, rush_text_of(character->id));
    rush_buffer_byte(buffer, '\n');
    write_also(&character->also, "", buffer);
    write_line("ask", rush_key_words(key, character->ask, language), buffer);
    write_line("tip", rush_key_words(key, character->tip, language), buffer);
    if (!character->setting) {
        rush_buffer_format(buffer, "reach: %s\neffort: ", rush_reach_name(character->reach));
        rush_buffer_number(buffer, character->effort, 3);
        rush_buffer_string(buffer, "\nmisread: ");
        rush_buffer_number(buffer, character->misread, 4);
        rush_buffer_byte(buffer, '\n');
    }
    if (character->reach == RUSH_REACH_HAND && !character->setting)
        rush_buffer_string(buffer,
                           "caution: it must be in the hand; see `rushlight ask --help`\n");
    if (character->kind == RUSH_KIND_NUMBER)
        write_measure(key, character, language, buffer);
    write_states(key, at, language, buffer);
}
