#include "rushlight/sow.h"

#include "sow/plan.h"

/* What rush_sow hands to the guard. */
typedef struct sow_work {
    rush_arena arena;
    const rush_sowing *sowing;
    rush_diagnostics *list;
    rush_buffer *yaml;
    bool good;
} sow_work;

static void sow(void *with)
{
    sow_work *work = with;
    rush_sow_plan *plan = RUSH_NEW(&work->arena, rush_sow_plan);
    plan->arena = &work->arena;
    plan->list = work->list;
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
    if (plan->taxa.count)
        rush_sow_write(plan, work->sowing, work->yaml);
    else
        rush_diagnose(work->list, RUSH_NO_TAXA, &plan->sheet.source, (rush_span){0},
                      "the table has no taxa");
    work->good = plan->taxa.count > 0;
}

bool rush_sow(const rush_sowing *sowing, rush_diagnostics *diagnostics, rush_buffer *yaml)
{
    sow_work work = {.sowing = sowing, .list = diagnostics, .yaml = yaml};
    if (!rush_arena_guard(&work.arena, sow, &work)) {
        rush_diagnose_out_of_memory(diagnostics);
        yaml->failed = true; /* there may be a part of the key in it */
    }
    rush_diagnostics_sort(diagnostics);
    rush_arena_free(&work.arena);
    return work.good;
}
