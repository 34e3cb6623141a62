#include "rank/ranker.h"

/* The chance that an insect of this form is male, given what was answered of its sex. */
static double male_part(const rush_ranker *ranker, uint32_t form)
{
    rush_sex sex = ranker->key->forms[form].sex;
    if (sex != RUSH_SEX_ANY)
        return sex == RUSH_SEX_MALE ? 1 : 0;
    for (uint32_t i = 0; i < ranker->table_count; i++) {
        const rush_answer *answer = ranker->tables[i].answer;
        if (answer->character != RUSH_SEX_CHARACTER)
            continue;
        double error = ranker->key->characters[RUSH_SEX_CHARACTER].error;
        bool male = answer->states[0] & 1, female = answer->states[0] >> 1 & 1;
        double as_male = male ? (female ? 1 : 1 - error) : error;
        double as_female = female ? (male ? 1 : 1 - error) : error;
        if (answer->unsure) {
            as_male = (as_male + ranker->tables[i].even) / 2;
            as_female = (as_female + ranker->tables[i].even) / 2;
        }
        return as_male + as_female > 0 ? as_male / (as_male + as_female) : 0.5;
    }
    return 0.5;
}

/* The sex of the insect, whichever of the listed forms it is. */
static rush_sex safe_sex(const rush_ranker *ranker, double safe)
{
    double male = 0, female = 0;
    for (uint32_t i = 0; i < ranker->near_count; i++) {
        uint32_t f = ranker->near[i];
        if (f >= ranker->key->form_count)
            break;
        double part = male_part(ranker, f);
        male += ranker->posterior[f] * part;
        female += ranker->posterior[f] * (1 - part);
    }
    double listed = male + female;
    if (!(listed > 0))
        return RUSH_SEX_ANY;
    return male >= safe * listed     ? RUSH_SEX_MALE
           : female >= safe * listed ? RUSH_SEX_FEMALE
                                     : RUSH_SEX_ANY;
}

/* A form's name is safe when the taxon's forms of that name are, given the taxon. */
static uint32_t safe_form(const rush_ranker *ranker, uint32_t taxon, double safe)
{
    const rush_key *key = ranker->key;
    const rush_taxon *within = &key->taxa[taxon];
    if (within->leaf_count > 1 || key->leaves[within->first_leaf] != taxon)
        return RUSH_NONE;
    uint32_t end = within->first_form + within->form_count;
    for (uint32_t f = within->first_form; f < end; f++) {
        if (!key->forms[f].name)
            continue;
        uint32_t name = rush_column_profile(&key->model.columns[RUSH_FORM_CHARACTER], f);
        double sum = 0;
        for (uint32_t g = f; g < end; g++)
            if (rush_column_profile(&key->model.columns[RUSH_FORM_CHARACTER], g) == name)
                sum += ranker->posterior[g];
        if (sum >= safe * ranker->taxa[taxon])
            return f;
    }
    return RUSH_NONE;
}

/* The lowest taxon at or above one that is safe; RUSH_NONE: none is. */
static uint32_t safe_above(const rush_ranker *ranker, uint32_t taxon, double safe)
{
    while (taxon != RUSH_NONE && ranker->taxa[taxon] < safe)
        taxon = ranker->key->taxa[taxon].parent;
    return taxon;
}

/* Two taxa of which neither encloses the other are not both safe, so it is unique. What is safe holds a
 * hypothesis of at least its part in half of the probability. */
static uint32_t lowest_safe(const rush_ranker *ranker, double safe)
{
    const rush_key *key = ranker->key;
    double least = 0.5 / key->model.hypothesis_count;
    uint32_t lowest = RUSH_NONE;
    for (uint32_t i = 0; i < ranker->near_count; i++) {
        uint32_t h = ranker->near[i];
        if (ranker->posterior[h] < least)
            continue;
        uint32_t at =
            safe_above(ranker,
                       h < key->form_count ? key->forms[h].taxon
                                           : key->model.unlisted[h - key->form_count].taxon,
                       safe);
        if (at != RUSH_NONE &&
            (lowest == RUSH_NONE || key->taxa[at].rank > key->taxa[lowest].rank))
            lowest = at;
    }
    return lowest;
}

rush_verdict rush_find_verdict(rush_ranker *ranker, double safe)
{
    uint32_t lowest = lowest_safe(ranker, safe);
    rush_verdict verdict = {.safe = lowest != RUSH_NONE && !ranker->ranking.fit.poor,
                            .sex = RUSH_SEX_ANY,
                            .form = RUSH_NONE};
    verdict.taxon = verdict.safe ? lowest : ranker->candidates[0].taxon;
    verdict.probability = ranker->taxa[verdict.taxon];
    if (verdict.safe) {
        verdict.sex = safe_sex(ranker, safe);
        verdict.form = safe_form(ranker, lowest, safe);
    }
    return verdict;
}
