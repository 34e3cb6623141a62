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

/* The sex that forms show of which `rest` more are not looked at; false when these could change it. */
static bool sex_of(double male, double female, double rest, double safe, rush_sex *sex)
{
    double least = safe * (male + female + rest);
    *sex = male >= least && male > 0       ? RUSH_SEX_MALE
           : female >= least && female > 0 ? RUSH_SEX_FEMALE
                                           : RUSH_SEX_ANY;
    return *sex != RUSH_SEX_ANY || (male + rest < least && female + rest < least);
}

/* The sex of the insect, whichever of the listed forms it is. */
static rush_sex safe_sex(const rush_ranker *ranker, double safe)
{
    double male = 0, female = 0;
    rush_sex sex;
    for (uint32_t i = 0; i < ranker->heavy_count; i++) {
        double all = ranker->posterior[ranker->heavy[i]],
               part = male_part(ranker, ranker->heavy[i]);
        male += all * part;
        female += all * (1 - part);
    }
    if (sex_of(male, female, ranker->light, safe, &sex))
        return sex;
    male = female = 0;
    for (uint32_t f = 0; f < ranker->key->form_count; f++) {
        double part = male_part(ranker, f);
        male += ranker->posterior[f] * part;
        female += ranker->posterior[f] * (1 - part);
    }
    sex_of(male, female, 0, safe, &sex);
    return sex;
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

/* Two taxa of which neither encloses the other are not both safe, so it is unique. */
static uint32_t lowest_safe(const rush_ranker *ranker, double safe)
{
    const rush_taxon *taxa = ranker->key->taxa;
    uint32_t lowest = RUSH_NONE;
    for (uint32_t t = 0; t < ranker->key->taxon_count; t++)
        if (ranker->taxa[t] >= safe && (lowest == RUSH_NONE || taxa[t].rank > taxa[lowest].rank))
            lowest = t;
    return lowest;
}

rush_verdict rush_find_verdict(rush_ranker *ranker, double safe)
{
    uint32_t lowest = lowest_safe(ranker, safe);
    const rush_fit *fit = &ranker->ranking.fit;
    rush_verdict verdict = {.safe = lowest != RUSH_NONE && fit->of && !fit->poor,
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
