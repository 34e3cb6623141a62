#include <string.h>

#include "check/check.h"

static bool scored_alike(const rush_key *key, uint32_t a, uint32_t b)
{
    for (uint32_t c = 0; c < key->character_count; c++)
        if (rush_is_mark(key, c) && rush_column_profile(&key->model.columns[c], a) !=
                                        rush_column_profile(&key->model.columns[c], b))
            return false;
    return true;
}

/* What is lost in the taxon is the same in both. */
static bool any_lost(const rush_form *form)
{
    bool lost = false;
    for (uint32_t i = 0; i < form->trait_count; i++)
        lost |= form->traits[i]->lost;
    return lost;
}

static void complain_form(rush_checker *checker, uint32_t form, uint32_t other)
{
    const rush_key *key = checker->key;
    const char *name = key->forms[form].name, *second = key->forms[other].name;
    rush_diagnostic *made = rush_find(
        checker, RUSH_FORMS_ALIKE, rush_place_form(key, form),
        "the form '%s' of '%s' is scored like its form '%s'", name ? name : "without a name",
        key->taxa[key->forms[form].taxon].name, second ? second : "without a name");
    rush_mark there = rush_place_form(key, other);
    rush_diagnose_other(checker->list, made, there.source, there.span, "the other one");
    rush_diagnose_help(checker->list, made,
                       "give each the traits that make it a form, or make one form of them");
}

/* Forms of one taxon and sex; males and females may well look alike. */
void rush_check_forms(rush_checker *checker)
{
    enum { FORMS_MAX = 64 }; /* of a taxon are compared */
    const rush_key *key = checker->key;
    for (uint32_t i = 0; i < key->leaf_count; i++) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        uint32_t count = taxon->form_count < FORMS_MAX ? taxon->form_count : FORMS_MAX;
        for (uint32_t f = taxon->first_form; f < taxon->first_form + count; f++)
            for (uint32_t g = taxon->first_form; g < f; g++)
                if (!key->taxon_lost[key->leaves[i]] && !any_lost(&key->forms[f]) &&
                    !any_lost(&key->forms[g]) && key->forms[f].sex == key->forms[g].sex &&
                    scored_alike(key, f, g)) {
                    complain_form(checker, f, g);
                    break;
                }
    }
}
