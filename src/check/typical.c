#include <math.h>
#include <string.h>

#include "base/number.h"
#include "check/check.h"
#include "rank/likelihood.h"

/* Each form is described as it most often is, character by character, and ranked against the others: a taxon
 * that does not come out first then never will. (Williams et al. 1983, J. Gen. Microbiol. 129:1815-1830, put
 * their matrix to the same test.)
 *
 * Cost: forms x forms x (characters + EXP_COST, for the sum over forms). Of a key where that is more than WORK_MAX a form is ranked against those
 * of its nearest enclosing taxon that has enough, and if that is still too much only some taxa are described,
 * evenly spread; twice WORK_MAX ends it. */
enum { WORK_MAX = 400 * 1000 * 1000, RIVALS_MIN = 50, RIVALS_MAX = 400, EXP_COST = 16 };

typedef struct typical_check {
    rush_checker *checker;
    rush_separator separator;
    double **report; /* by character: log P(report | profile), a row for each report */
    uint8_t *
        *usual; /* by character: the report of each profile that is likeliest; NO_REPORT: none */
    uint64_t work;
    double *score; /* of each form: log P(the description, and the form) */
} typical_check;

enum { NO_REPORT = 255 };

static uint32_t reports_of(const rush_character *character)
{
    return character->kind == RUSH_KIND_NUMBER ? (uint32_t)RUSH_BINS : character->state_count;
}

static void tabulate_profile(typical_check *with, uint32_t at, uint32_t p, double *reports)
{
    const rush_key *key = with->checker->key;
    const rush_column *column = &key->model.columns[at];
    uint32_t count = reports_of(&key->characters[at]), best = 0;
    memset(reports, 0, count * sizeof *reports);
    if (key->characters[at].kind == RUSH_KIND_NUMBER)
        rush_reports_of_number(key, at, p, 1, reports);
    else
        rush_reports_of_states(key, at, p, 1, reports);
    for (uint32_t r = 0; r < count; r++) {
        with->report[at][(size_t)r * column->profile_count + p] = log(fmax(reports[r], 1e-12));
        best = reports[r] > reports[best] * (1 + 1e-9) ? r : best;
    }
    rush_profile_kind kind = rush_column_kind(column, p);
    bool told = kind != RUSH_PROFILE_MIXTURE && kind != RUSH_PROFILE_INAPPLICABLE;
    with->usual[at][p] = told ? (uint8_t)best : NO_REPORT;
}

static void tabulate(typical_check *with, uint32_t at)
{
    enum { REPORTS_MAX = 64 };
    const rush_key *key = with->checker->key;
    rush_arena *arena = &with->checker->arena;
    uint32_t profiles = key->model.columns[at].profile_count,
             count = reports_of(&key->characters[at]);
    double reports[REPORTS_MAX];
    if (!rush_is_mark(key, at) || rush_lost_character(with->checker, at) || count < 2 ||
        count > REPORTS_MAX)
        return;
    with->report[at] = RUSH_ARRAY(arena, double, (size_t)profiles *count);
    with->usual[at] = RUSH_ARRAY(arena, uint8_t, profiles);
    for (uint32_t p = 0; p < profiles; p++)
        tabulate_profile(with, at, p, reports);
}

/* ---- ranking a description ------------------------------------------------------------------------------- */

static void score_rivals(typical_check *with, uint32_t form, uint32_t first, uint32_t count)
{
    const rush_key *key = with->checker->key;
    for (uint32_t f = first; f < first + count; f++)
        with->score[f] = log(key->model.prior[f]);
    for (uint32_t c = 0; c < key->character_count; c++) {
        if (!with->report[c])
            continue;
        const rush_column *column = &key->model.columns[c];
        uint8_t usual = with->usual[c][rush_column_profile(column, form)];
        if (usual == NO_REPORT)
            continue;
        const double *row = with->report[c] + (size_t)usual * column->profile_count;
        for (uint32_t f = first; f < first + count; f++)
            with->score[f] += row[rush_column_profile(column, f)];
    }
}

static double score_of_taxon(const typical_check *with, const rush_taxon *taxon)
{
    double best = -INFINITY, sum = 0;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        best = fmax(best, with->score[f]);
    if (isinf(best))
        return best;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        sum += exp(with->score[f] - best);
    return best + log(sum);
}

/* The leaf of those around that comes first, the key's first of equal ones. */
static uint32_t first_of(const typical_check *with, uint32_t first_leaf, uint32_t count,
                         double *score)
{
    const rush_key *key = with->checker->key;
    uint32_t best = key->leaves[first_leaf];
    *score = -INFINITY;
    for (uint32_t i = first_leaf; i < first_leaf + count; i++) {
        double here = score_of_taxon(with, &key->taxa[key->leaves[i]]);
        if (here > *score + 1e-9) {
            *score = here;
            best = key->leaves[i];
        }
    }
    return best;
}

/* ---- findings ----------------------------------------------------------------------------------------------- */

typedef struct failure {
    uint32_t form, rival;
    double bits; /* by which the rival is ahead; 0: there is none */
} failure;

/* "female 'dark'", "form 'dark'", "female", "animal". */
static void write_form(const rush_form *form, rush_buffer *buffer)
{
    const char *kind = form->sex != RUSH_SEX_ANY ? rush_sex_name(form->sex)
                       : form->name              ? "form"
                                                 : "animal";
    rush_buffer_string(buffer, kind);
    if (form->name)
        rush_buffer_format(buffer, " '%s'", form->name);
}

static void complain(typical_check *with, const failure *worst)
{
    rush_checker *checker = with->checker;
    const rush_key *key = checker->key;
    const rush_form *form = &key->forms[worst->form];
    bool several = key->taxa[form->taxon].form_count > 1;
    char bits[RUSH_NUMBER_TEXT];
    rush_buffer name = {0};
    write_form(form, &name);
    rush_diagnostic *made = NULL;
    if (name.failed)
        rush_diagnose_out_of_memory(checker->list);
    else
        made = rush_find(checker, RUSH_NOT_ITSELF,
                         several ? rush_place_form(key, worst->form)
                                 : rush_place_taxon(key, form->taxon, NULL),
                         "the typical %s of '%s' is taken for '%s', by %s bits", name.bytes,
                         key->taxa[form->taxon].name, key->taxa[worst->rival].name,
                         rush_number_text(bits, worst->bits, 1));
    rush_buffer_free(&name);
    uint32_t count;
    const rush_look *looks =
        rush_tell_apart(checker->adviser, worst->form, key->taxa[worst->rival].first_form,
                        RUSH_REACH_HAND, &count);
    if (count)
        rush_diagnose_help(
            checker->list, made,
            "'%s' tells them apart best: score it more sharply, or another mark, or look at "
            "how often each is met",
            key->characters[looks[0].character].id);
    else
        rush_diagnose_help(checker->list, made,
                           "score a mark in which they differ, or look at how often each is met");
}

/* The taxon around a leaf whose forms it is ranked against: all, or enough of them. */
static uint32_t rivals_of(const rush_key *key, uint32_t leaf, bool all)
{
    uint32_t around = key->leaves[leaf];
    if (all)
        return RUSH_NONE;
    while (key->taxa[around].form_count < RIVALS_MIN && key->taxa[around].parent != RUSH_NONE &&
           key->taxa[key->taxa[around].parent].form_count <= RIVALS_MAX)
        around = key->taxa[around].parent;
    return around;
}

static void check_form(typical_check *with, uint32_t form, uint32_t around, failure *worst)
{
    const rush_key *key = with->checker->key;
    bool all = around == RUSH_NONE;
    uint32_t own = key->forms[form].taxon;
    double best;
    with->work += (uint64_t)(all ? key->form_count : key->taxa[around].form_count) *
                  (key->character_count + EXP_COST);
    score_rivals(with, form, all ? 0 : key->taxa[around].first_form,
                 all ? key->form_count : key->taxa[around].form_count);
    uint32_t first = first_of(with, all ? 0 : key->taxa[around].first_leaf,
                              all ? key->leaf_count : key->taxa[around].leaf_count, &best);
    double bits = (best - score_of_taxon(with, &key->taxa[own])) / log(2);
    if (first != own && bits > 1e-6 && bits > worst->bits &&
        !rush_doubts_taxon(with->checker, first) &&
        !rush_may_differ(&with->separator, own, first) &&
        rush_separated(&with->separator, own, first, key->forms[form].sex))
        *worst = (failure){form, first, bits};
}

void rush_check_typical(rush_checker *checker)
{
    const rush_key *key = checker->key;
    rush_arena *arena = &checker->arena;
    if (key->leaf_count < 2)
        return; /* there is nothing that it could be taken for */
    typical_check with = {.checker = checker,
                          .report = RUSH_ARRAY(arena, double *, key->character_count),
                          .usual = RUSH_ARRAY(arena, uint8_t *, key->character_count),
                          .score = RUSH_ARRAY(arena, double, key->form_count)};
    rush_separator_begin(&with.separator, checker);
    for (uint32_t c = 0; c < key->character_count; c++)
        tabulate(&with, c);
    double each = (double)key->form_count * (key->character_count + EXP_COST);
    bool all = each * key->form_count <= WORK_MAX;
    double some = each * RIVALS_MAX / WORK_MAX;
    uint32_t step = all || some <= 1 ? 1 : (uint32_t)some + 1;
    for (uint32_t i = 0; i < key->leaf_count; i += step) {
        const rush_taxon *taxon = &key->taxa[key->leaves[i]];
        failure worst = {0};
        if (rush_doubts_taxon(checker, key->leaves[i]) ||
            rush_prior_drowns(checker, key->leaves[i]))
            continue;
        for (uint32_t f = taxon->first_form;
             f < taxon->first_form + taxon->form_count && with.work <= 2 * (uint64_t)WORK_MAX;
             f++)
            check_form(&with, f, rivals_of(key, i, all), &worst);
        if (worst.bits > 0)
            complain(&with, &worst);
    }
}
