/* A key's likelihoods as one JSON object, for programs that score in another way:
 *
 *     answer_tables KEY <ANSWERS        ANSWERS has one "character: answer" a line
 *
 * For each answer: how it is read, P(answer | form) of every form (of a setting its suitability), of each taxon's
 * unlisted relative, of the stranger, and the forms that it sits badly with. For the whole key: the taxa, the
 * forms and what each hypothesis has beforehand, with and without occurrence. */
#include "support/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct table_writer {
    const rush_key *key;
    rush_sighting *sighting;
    rush_ranker *ranker;
    rush_diagnostics *list;
} table_writer;

static void write_numbers(const char *name, const double *numbers, uint32_t count)
{
    printf("\"%s\":[", name);
    for (uint32_t i = 0; i < count; i++)
        printf("%s%.17g", i ? "," : "", numbers[i]);
    printf("]");
}

static void write_string(const char *name, const char *value)
{
    printf("\"%s\":", name);
    if (!value || !value[0]) {
        printf("null");
        return;
    }
    putchar('"');
    for (; *value; value++)
        printf(*value == '"' || *value == '\\' ? "\\%c" : "%c", *value);
    putchar('"');
}

/* What is left of each taxon's probability without the taxa and forms within it: its unlisted relative's; and of
 * all that is unlisted without those, the stranger's. */
static double find_relatives(const rush_ranking *ranking, double *relatives)
{
    const rush_key *key = ranking->key;
    uint32_t taxa = rush_key_taxon_count(key);
    double stranger = ranking->unlisted;
    memcpy(relatives, ranking->taxa, taxa * sizeof *relatives);
    for (uint32_t t = 0; t < taxa; t++) {
        const rush_taxon *taxon = rush_key_taxon(key, t);
        if (taxon->parent != RUSH_NONE)
            relatives[taxon->parent] -= ranking->taxa[t];
        if (taxon->leaf_count == 1 && rush_key_leaf(key, taxon->first_leaf) == t)
            relatives[t] = 0;
    }
    for (uint32_t t = 0; t < taxa; t++) {
        if (relatives[t] < 1e-13)
            relatives[t] = 0; /* what rounding leaves of a taxon without one */
        stranger -= relatives[t];
    }
    return stranger;
}

static const rush_ranking *rank_line(table_writer *writer, rush_text text, bool no_occurrence)
{
    rush_line line = {text, "stdin", 1, RUSH_NONE, NULL};
    rush_rank_options how = {.no_occurrence = no_occurrence};
    if (rush_sighting_read(writer->sighting, &line, writer->list))
        return rush_rank(writer->ranker, writer->sighting, &how);
    support_show(writer->list);
    exit(1);
}

static void write_key(const table_writer *writer)
{
    const rush_key *key = writer->key;
    write_string("key", rush_key_about(key)->id);
    printf(",");
    write_string("version", rush_key_about(key)->version);
    printf(",\"taxa\":[");
    for (uint32_t t = 0; t < rush_key_taxon_count(key); t++) {
        const rush_taxon *taxon = rush_key_taxon(key, t);
        printf("%s{", t ? "," : "");
        write_string("name", taxon->name);
        printf(",");
        write_string("vernacular", rush_key_words(key, taxon->vernacular, 0));
        printf(
            ",\"rank\":\"%s\",\"order\":%d,\"parent\":%d,\"first_form\":%u,\"form_count\":%u,\"leaf\":%s}",
            rush_taxon_rank_name(taxon->rank), (int)taxon->rank,
            taxon->parent == RUSH_NONE ? -1 : (int)taxon->parent, taxon->first_form,
            taxon->form_count,
            taxon->leaf_count == 1 && rush_key_leaf(key, taxon->first_leaf) == t ? "true"
                                                                                 : "false");
    }
    printf("],\"leaves\":[");
    for (uint32_t i = 0; i < rush_key_leaf_count(key); i++)
        printf("%s%u", i ? "," : "", rush_key_leaf(key, i));
    printf("],\"forms\":[");
    for (uint32_t f = 0; f < rush_key_form_count(key); f++) {
        const rush_form *form = rush_key_form(key, f);
        printf("%s{\"sex\":\"%s\",", f ? "," : "", rush_sex_name(form->sex));
        write_string("form", form->name);
        printf("}");
    }
    printf("]");
}

static void write_priors(table_writer *writer, double *relatives)
{
    static const char *const names[] = {"prior", "flat"};
    uint32_t forms = rush_key_form_count(writer->key);
    for (int flat = 0; flat < 2; flat++) {
        const rush_ranking *ranking = rank_line(writer, (rush_text){"", 0}, flat);
        printf(",");
        write_numbers(names[flat], ranking->forms, forms);
    }
    double stranger = find_relatives(rank_line(writer, (rush_text){"", 0}, false), relatives);
    printf(",");
    write_numbers("relatives", relatives, rush_key_taxon_count(writer->key));
    printf(",\"stranger\":%.17g", stranger);
}

/* A relative's likelihood from its share afterwards and before, set against that of the leading form. */
static void write_answer(table_writer *writer, rush_text entry, double *before, double *work)
{
    const rush_key *key = writer->key;
    uint32_t forms = rush_key_form_count(key), taxa = rush_key_taxon_count(key);
    const rush_ranking *prior = rank_line(writer, (rush_text){"", 0}, false);
    double stranger_before = find_relatives(prior, before);
    for (uint32_t f = 0; f < forms; f++)
        work[f] = prior->forms[f];
    const rush_ranking *ranking = rank_line(writer, entry, false);
    const rush_answer *answer = rush_sighting_answer(writer->sighting, 0);
    uint32_t lead = ranking->candidates[0].form;
    double scale =
        rush_answer_likelihood(writer->ranker, 0, lead) * work[lead] / ranking->forms[lead];
    for (uint32_t f = 0; f < forms; f++)
        work[f] = rush_answer_likelihood(writer->ranker, 0, f);
    double *after = work + forms;
    double stranger = find_relatives(ranking, after) / stranger_before * scale;
    for (uint32_t t = 0; t < taxa; t++)
        after[t] = before[t] > 0 ? after[t] / before[t] * scale : 1;
    rush_buffer read_as = {0};
    rush_answer_write(key, answer, 0, &read_as);
    printf("{");
    write_string("character", rush_key_character(key, answer->character)->id);
    printf(",\"setting\":%s,",
           rush_key_character(key, answer->character)->setting ? "true" : "false");
    write_string("given", answer->given.at);
    printf(",");
    write_string("read_as", read_as.bytes);
    printf(",");
    write_numbers("forms", work, forms);
    printf(",");
    write_numbers("relatives", after, taxa);
    printf(",\"stranger\":%.17g,\"badly\":[", stranger);
    for (uint32_t f = 0, count = 0; f < forms; f++)
        if (rush_answer_sits_badly(writer->ranker, 0, f))
            printf("%s%u", count++ ? "," : "", f);
    printf("]}");
    rush_buffer_free(&read_as);
}

int main(int argc, char **argv)
{
    if (argc != 2) {
        fputs("usage: answer_tables KEY <ANSWERS\n", stderr);
        return 2;
    }
    rush_key *key = support_key(argv[1]);
    table_writer writer = {key, rush_sighting_new(key), rush_ranker_new(key),
                           rush_diagnostics_new()};
    uint32_t taxa = rush_key_taxon_count(key), forms = rush_key_form_count(key);
    double *before = calloc(taxa, sizeof *before), *work = calloc(forms + taxa, sizeof *work);
    char line[4096];
    printf("{");
    write_key(&writer);
    write_priors(&writer, before);
    printf(",\"answers\":[");
    for (int count = 0; fgets(line, sizeof line, stdin); count++) {
        line[strcspn(line, "\n")] = '\0';
        printf(count ? ",\n" : "\n");
        write_answer(&writer, rush_text_of(line), before, work);
    }
    printf("]}\n");
    free(before);
    free(work);
    rush_sighting_free(writer.sighting);
    rush_ranker_free(writer.ranker);
    rush_diagnostics_free(writer.list);
    rush_key_free(key);
    return 0;
}
