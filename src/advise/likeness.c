#include "advise/likeness.h"

#include <math.h>

#include "base/random.h"
#include "rank/likelihood.h"

/* ---- forms ------------------------------------------------------------------------------------------------ */

static double chance_of(const rush_key *key, const rush_part *part, uint32_t at, rush_sex sex)
{
    const rush_form *form = &key->forms[at];
    if (part && !part->forms[at])
        return 0;
    if (sex == RUSH_SEX_ANY || form->sex == sex)
        return form->share;
    return form->sex == RUSH_SEX_ANY ? form->share / 2 : 0;
}

rush_likely_forms rush_likely_of(rush_arena *arena, const rush_key *key, const rush_part *part,
                                 const uint32_t *taxa, uint32_t count, rush_sex sex)
{
    rush_likely_forms likely = {.taxa = count};
    uint32_t all = 0;
    for (uint32_t t = 0; t < count; t++)
        all += key->taxa[taxa[t]].form_count;
    likely.forms = RUSH_ARRAY(arena, rush_likely_form, all);
    for (uint32_t t = 0; t < count; t++) {
        const rush_taxon *taxon = &key->taxa[taxa[t]];
        double sum = 0;
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
            sum += chance_of(key, part, f, sex);
        if (!(sum > 0))
            return (rush_likely_forms){.taxa = count};
        for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++) {
            double chance = chance_of(key, part, f, sex);
            if (chance > 0)
                likely.forms[likely.count++] = (rush_likely_form){f, t, chance / sum / count};
        }
    }
    return likely;
}

/* ---- reports ---------------------------------------------------------------------------------------------- */

bool rush_may_tell(const rush_key *key, uint32_t at)
{
    const rush_character *character = &key->characters[at];
    return at >= RUSH_BUILT_IN_CHARACTERS && character->look_next && !character->setting &&
           key->model.columns[at].profile_count &&
           (character->kind == RUSH_KIND_STATES || character->kind == RUSH_KIND_NUMBER);
}

uint32_t rush_report_count(const rush_character *character)
{
    return character->kind == RUSH_KIND_NUMBER ? RUSH_BINS : character->state_count;
}

double *rush_reports_by_form(rush_arena *arena, const rush_key *key, uint32_t character,
                             const rush_likely_forms *likely)
{
    uint32_t reports = rush_report_count(&key->characters[character]);
    double *by_form = RUSH_ARRAY(arena, double, (size_t)likely->count *reports);
    for (uint32_t i = 0; i < likely->count; i++) {
        uint32_t profile =
            rush_column_profile(&key->model.columns[character], likely->forms[i].form);
        double *row = by_form + (size_t)i * reports;
        if (key->characters[character].kind == RUSH_KIND_NUMBER)
            rush_reports_of_number(key, character, profile, 1, row);
        else
            rush_reports_of_states(key, character, profile, 1, row);
    }
    return by_form;
}

double *rush_reports_by_taxon(rush_arena *arena, const rush_likely_forms *likely,
                              const double *by_form, uint32_t reports)
{
    double *by_taxon = RUSH_ARRAY(arena, double, (size_t)likely->taxa *reports);
    for (uint32_t i = 0; i < likely->count; i++) {
        double part = likely->forms[i].chance * likely->taxa;
        for (uint32_t r = 0; r < reports; r++)
            by_taxon[(size_t)likely->forms[i].taxon * reports + r] +=
                part * by_form[(size_t)i * reports + r];
    }
    return by_taxon;
}

/* ---- how much they tell ------------------------------------------------------------------------------------ */

static double surprise(double part)
{
    return part > 0 ? -part * log2(part) : 0;
}

double rush_bits_between(const double *by_taxon, uint32_t taxa, uint32_t reports)
{
    double all = 0, within = 0;
    for (uint32_t r = 0; r < reports; r++) {
        double sum = 0;
        for (uint32_t t = 0; t < taxa; t++) {
            sum += by_taxon[(size_t)t * reports + r];
            within += surprise(by_taxon[(size_t)t * reports + r]);
        }
        all += surprise(sum / taxa);
    }
    return fmax(all - within / taxa, 0);
}

double rush_safe_alone(const double *by_taxon, uint32_t taxa, uint32_t reports)
{
    double safe = 0;
    for (uint32_t r = 0; r < reports; r++) {
        double most = 0;
        for (uint32_t t = 0; t < taxa; t++)
            most = fmax(most, by_taxon[(size_t)t * reports + r]);
        safe += most;
    }
    return safe / taxa;
}

/* P(the likeliest taxon | what was reported), the forms' posteriors being in `posterior`. */
static double greatest_taxon(const rush_likely_forms *likely, const double *posterior)
{
    double most = 0, of_taxon = 0, all = 0;
    for (uint32_t i = 0; i < likely->count; i++) {
        of_taxon += posterior[i];
        all += posterior[i];
        if (i + 1 == likely->count || likely->forms[i + 1].taxon != likely->forms[i].taxon) {
            most = fmax(most, of_taxon);
            of_taxon = 0;
        }
    }
    return all > 0 ? most / all : 0;
}

/* What one insect, of the form at `f`, is reported to show, and what is then believed. */
static void draw_reports(const rush_likely_forms *likely, uint32_t f, uint32_t draw,
                         const rush_looked_at *looks, uint32_t count, double *posterior)
{
    for (uint32_t i = 0; i < likely->count; i++)
        posterior[i] = likely->forms[i].chance;
    for (uint32_t c = 0; c < count; c++) {
        uint32_t reports = looks[c].reports;
        const double *mine = looks[c].by_form + (size_t)f * reports;
        rush_random random = rush_random_at(looks[c].character, likely->forms[f].form, draw);
        uint32_t report = rush_random_of(&random, mine, reports, 1);
        double here = mine[report]; /* so that a long product stays within a double */
        for (uint32_t i = 0; i < likely->count; i++)
            posterior[i] *= looks[c].by_form[(size_t)i * reports + report] / here;
    }
}

double rush_safe_together(rush_arena *arena, const rush_likely_forms *likely,
                          const rush_looked_at *looks, uint32_t count)
{
    /* Of each form; the error of a mean of what lies in 0 to 1 is at most 0.5 / sqrt(draws). */
    enum { DRAWS = 2500 };
    double *posterior = RUSH_ARRAY(arena, double, likely->count);
    double safe = 0;
    for (uint32_t f = 0; f < likely->count; f++) {
        double sum = 0;
        for (uint32_t draw = 0; draw < DRAWS; draw++) {
            draw_reports(likely, f, draw, looks, count, posterior);
            sum += greatest_taxon(likely, posterior);
        }
        safe += likely->forms[f].chance * sum / DRAWS;
    }
    return safe;
}
