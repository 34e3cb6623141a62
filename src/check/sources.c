#include "check/check.h"

/* What rests on sources and what does not. */
typedef struct source_check {
    rush_checker *checker;
    bool *used;          /* by source */
    size_t traits, bare; /* all; those without a source */
    bool telling;        /* the second time round: each bare one is told */
} source_check;

static void use(source_check *with, rush_backing backing)
{
    if (backing.source != RUSH_NONE)
        with->used[backing.source] = true;
}

static void see_traits(source_check *with, uint32_t taxon, uint32_t form,
                       const rush_trait *const *traits, uint32_t count)
{
    const rush_key *key = with->checker->key;
    for (uint32_t i = 0; i < count; i++) {
        with->traits++;
        use(with, traits[i]->backing);
        if (traits[i]->backing.source != RUSH_NONE || traits[i]->kind == RUSH_TRAIT_UNSCORED)
            continue;
        with->bare++;
        if (!with->telling)
            continue;
        rush_diagnostic *made =
            rush_find(with->checker, RUSH_NO_SOURCE,
                      rush_place_trait(key, taxon, form, traits[i]->character),
                      "'%s' of '%s' does not say where it comes from",
                      key->characters[traits[i]->character].id, key->taxa[taxon].name);
        rush_diagnose_help(
            with->checker->list, made,
            "write {is: ..., source: ...}, or give the taxon a `source:` for all its traits");
    }
}

static void see_all(source_check *with)
{
    const rush_key *key = with->checker->key;
    with->traits = with->bare = 0;
    for (uint32_t t = 0; t < key->taxon_count; t++) {
        use(with, key->taxa[t].backing);
        see_traits(with, t, RUSH_NONE, key->taxa[t].traits, key->taxa[t].trait_count);
    }
    for (uint32_t f = 0; f < key->form_count; f++) {
        use(with, key->forms[f].backing);
        see_traits(with, key->forms[f].taxon, f, key->forms[f].traits, key->forms[f].trait_count);
    }
    for (uint32_t i = 0; i < key->sighting_count; i++)
        use(with, key->sightings[i].backing);
}

/* A few stray traits among many that say it are told one by one; else it is told once for the key. A small key
 * is somebody's sketch. */
static void check_bare(source_check *with)
{
    enum { FEW = 10, SKETCH = 8 };
    rush_checker *checker = with->checker;
    bool stray = with->bare <= FEW && with->bare * 4 <= with->traits;
    if (!with->bare || checker->key->sources_lost ||
        (!stray && checker->key->leaf_count < SKETCH))
        return;
    if (stray) {
        with->telling = true;
        see_all(with);
        return;
    }
    rush_diagnostic *made =
        rush_find(checker, RUSH_NO_SOURCE, rush_place_header(checker->key, NULL),
                  "%zu of %zu traits do not say where they come from", with->bare, with->traits);
    rush_diagnose_help(
        checker->list, made,
        "list what they rest on under `sources:`, and name it with `source:` in a trait or, for all "
        "its traits, in a taxon; your own knowledge is a source too");
}

void rush_check_sources(rush_checker *checker)
{
    const rush_key *key = checker->key;
    source_check with = {.checker = checker,
                         .used = RUSH_ARRAY(&checker->arena, bool, key->source_count)};
    see_all(&with);
    for (uint32_t s = 0; s < key->source_count; s++) {
        if (with.used[s] || rush_part_is_lost(checker))
            continue;
        rush_diagnostic *made = rush_find(checker, RUSH_UNUSED_SOURCE, rush_place_source(key, s),
                                          "nothing rests on the source '%s'", key->sources[s].id);
        rush_diagnose_help(checker->list, made, "name it where it is used, or leave it out");
    }
    check_bare(&with);
}
