#include "rushlight/sow.h"

#include "sow/plan.h"

/* What rush_sow hands to the guard. */
typedef struct sow_work {
    rush_arena arena;
    rush_sow_plan *plan;
    const rush_sowing *sowing;
    rush_diagnostics *list;
    bool good;
} sow_work;

static void sow(void *with)
{
    sow_work *work = with;
    rush_sow_plan *plan = RUSH_NEW(&work->arena, rush_sow_plan);
    plan->arena = &work->arena;
    plan->list = work->list;
    work->plan = plan;
    if (!rush_sheet_read(&plan->sheet, &work->arena, &work->sowing->taxa, work->list) ||
        !rush_sow_columns(plan))
        return;
    if (work->sowing->characters.shown &&
        !rush_sheet_read(&plan->details, &work->arena, &work->sowing->characters, work->list))
        plan->details.rows.count = 0;
    plan->details.source.order = 1;
    rush_sow_outline(plan);
    rush_sow_kinds(plan);
    rush_sow_refine(plan);
    rush_sow_rows(plan);
    rush_sow_tree(plan);
    work->good = plan->taxa.count > 0;
    if (!work->good)
        rush_diagnose(work->list, RUSH_NO_TAXA, &plan->sheet.source, (rush_span){0},
                      "the table has no taxa");
}

bool rush_sow(const rush_sowing *sowing, rush_diagnostics *diagnostics, rush_buffer *yaml)
{
    sow_work work = {.sowing = sowing, .list = diagnostics};
    if (!rush_arena_guard(&work.arena, sow, &work)) {
        rush_diagnose_out_of_memory(diagnostics);
        work.good = false;
    }
    rush_diagnostics_sort(diagnostics);
    if (work.good)
        rush_sow_write(work.plan, sowing, yaml);
    rush_arena_free(&work.arena);
    return work.good;
}
