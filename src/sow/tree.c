#include <math.h>

#include "base/number.h"
#include "sow/plan.h"

/* A taxon stands within one of a higher rank; so it can never stand within itself. */
static void find_parent(rush_sow_plan *plan, rush_sow_taxon *taxon)
{
    if (!taxon->within.length)
        return;
    uint32_t parent = rush_sow_find(plan, RUSH_SOW_SCOPE_TAXA, taxon->within);
    if (parent == RUSH_NONE)
        return; /* its row was faulty, and that is told */
    const rush_sow_taxon *above = &plan->taxa.items[parent];
    if (above->rank < taxon->rank) {
        taxon->parent = parent;
        return;
    }
    rush_diagnostic *made = rush_sow_diagnose(
        plan, taxon->place, RUSH_MISRANKED, "the %s '%.*s' is within the %s '%.*s'",
        rush_taxon_rank_name(taxon->rank), (int)taxon->name.length, taxon->name.at,
        rush_taxon_rank_name(above->rank), (int)above->name.length, above->name.at);
    rush_sow_other(plan, made, above->place, "it is here");
    rush_diagnose_help(plan->list, made, "correct the rank of one of them, or `within`");
}

static void refuse_forms(rush_sow_plan *plan, const rush_sow_taxon *child)
{
    if (child->parent == RUSH_NONE)
        return;
    rush_sow_taxon *taxon = &plan->taxa.items[child->parent];
    if (!taxon->forms.count)
        return;
    rush_diagnostic *made = rush_sow_diagnose(
        plan, taxon->forms.items[0].place, RUSH_MISPLACED_FORMS,
        "'%.*s' has forms and taxa within it", (int)taxon->name.length, taxon->name.at);
    rush_sow_other(plan, made, child->place, "one within it");
    rush_diagnose_help(plan->list, made, "give forms to the taxa at the end of the branch");
    taxon->forms.count = 0;
}

/* Shares sum to 1, or leave something for the forms without one; else none is kept. */
static void check_shares(rush_sow_plan *plan, rush_sow_taxon *taxon)
{
    uint32_t open = 0;
    double sum = 0;
    for (uint32_t i = 0; i < taxon->forms.count; i++) {
        open += taxon->forms.items[i].share < 0;
        sum += fmax(taxon->forms.items[i].share, 0);
    }
    if (!taxon->forms.count || (open ? sum < 1 : fabs(sum - 1) <= 1e-6))
        return;
    char total[RUSH_NUMBER_TEXT];
    rush_diagnostic *made = rush_sow_diagnose(
        plan, taxon->forms.items[0].place, RUSH_SHARES_SUM,
        "the shares of the forms of '%.*s' sum to %s%s", (int)taxon->name.length, taxon->name.at,
        rush_number_text(total, sum, 6),
        open ? ", which leaves nothing for the forms without a share" : ", not to 1");
    rush_diagnose_help(plan->list, made,
                       "shares are of the whole taxon, both sexes together; they were left out");
    for (uint32_t i = 0; i < taxon->forms.count; i++)
        taxon->forms.items[i].share = -1;
}

void rush_sow_tree(rush_sow_plan *plan)
{
    for (uint32_t i = 0; i < plan->taxa.count; i++)
        find_parent(plan, &plan->taxa.items[i]);
    for (uint32_t i = 0; i < plan->taxa.count; i++)
        refuse_forms(plan, &plan->taxa.items[i]);
    for (uint32_t i = 0; i < plan->taxa.count; i++)
        check_shares(plan, &plan->taxa.items[i]);
}
