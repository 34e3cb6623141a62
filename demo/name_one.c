/* Names one sighting with the library: name_one KEY-FOLDER 'OBSERVATION LINE'
 *
 *     cc name_one.c $(pkg-config --cflags --libs rushlight) -o name_one
 *     ./name_one /usr/share/rushlight/keys/odonata-adults 'folded; red; about 35 mm' */
#include <rushlight/rushlight.h>
#include <stdio.h>

/* The library opens no file: it asks for the key (NULL) and then for the parts that the key lists. */
static const char *read_file(void *folder, const char *name, rush_buffer *text)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", (const char *)folder, name ? name : "key.yaml");
    FILE *file = fopen(path, "rb");
    if (!file)
        return "it cannot be opened";
    for (int byte; (byte = getc(file)) != EOF;)
        rush_buffer_byte(text, (char)byte);
    fclose(file);
    return NULL;
}

/* The leading names, and what to look at next. */
static void show(const rush_key *key, const rush_ranking *ranking, rush_adviser *adviser)
{
    for (uint32_t i = 0; i < ranking->candidate_count && i < 3; i++)
        printf("%5.1f %%  %s\n", 100 * ranking->candidates[i].probability,
               rush_key_taxon(key, ranking->candidates[i].taxon)->name);
    uint32_t count;
    const rush_look *looks = rush_look_next(adviser, ranking, NULL, &count);
    if (count)
        printf("look next: %s\n",
               rush_key_words(key, rush_key_character(key, looks[0].character)->ask, 0));
}

int main(int argc, char **argv)
{
    rush_diagnostics *diagnostics = rush_diagnostics_new(); /* all that is to be told a person */
    if (argc != 3 || !diagnostics)
        return 2;
    rush_key *key = rush_key_load(&(rush_key_files){read_file, argv[1], argv[1]}, diagnostics);
    rush_sighting *sighting = key ? rush_sighting_new(key) : NULL;
    rush_ranker *ranker = key ? rush_ranker_new(key) : NULL;
    rush_adviser *adviser = key ? rush_adviser_new(key) : NULL;
    rush_line line = {rush_text_of(argv[2]), "sighting", 1, RUSH_NONE, NULL};
    bool read = sighting && ranker && adviser && rush_sighting_read(sighting, &line, diagnostics);
    if (read)
        show(key, rush_rank(ranker, sighting, NULL), adviser);
    rush_buffer said = {0};
    rush_diagnostics_write(diagnostics, &said);
    fputs(said.length ? said.bytes : "", stderr);
    rush_buffer_free(&said);
    rush_adviser_free(adviser); /* NULL will do, as for every other */
    rush_ranker_free(ranker);
    rush_sighting_free(sighting);
    rush_key_free(key);
    rush_diagnostics_free(diagnostics);
    return read ? 0 : 1;
}
