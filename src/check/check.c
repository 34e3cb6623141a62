#include "check/check.h"

#include <stdlib.h>

rush_diagnostic *rush_find(rush_checker *checker, rush_slug slug, rush_mark mark,
                           const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    rush_diagnostic *made =
        rush_vdiagnose(checker->list, slug, mark.source, mark.span, format, arguments);
    va_end(arguments);
    return made;
}

typedef void family(rush_checker *checker);

/* Ranges come before all that compares numbers. */
static family *const families[] = {rush_check_words,   rush_check_names,    rush_check_characters,
                                   rush_check_ranges,  rush_check_seasons,  rush_check_forms,
                                   rush_check_outdone, rush_check_cells,    rush_check_gaps,
                                   rush_check_sources, rush_check_priors,   rush_check_separation,
                                   rush_check_typical, rush_check_sightings};

typedef struct family_run {
    rush_checker *checker;
    family *work;
} family_run;

static void run(void *with)
{
    family_run *of = with;
    of->work(of->checker);
}

void rush_check(const rush_key *key, rush_diagnostics *diagnostics)
{
    rush_checker checker = {.key = key,
                            .list = diagnostics,
                            .adviser = rush_adviser_new(key),
                            .suspect = calloc(key->character_count, sizeof(bool))};
    bool memory = checker.adviser && checker.suspect;
    if (!memory)
        rush_diagnose_out_of_memory(diagnostics);
    bool worth = memory && key->leaf_count && !rush_diagnostics_dropped(diagnostics);
    for (size_t i = 0; worth && i < sizeof families / sizeof *families; i++) {
        family_run of = {&checker, families[i]};
        if (!rush_arena_guard(&checker.arena, run, &of))
            rush_diagnose_out_of_memory(diagnostics);
        rush_arena_free(&checker.arena);
    }
    free(checker.suspect);
    rush_adviser_free(checker.adviser);
    rush_diagnostics_sort(diagnostics);
}
