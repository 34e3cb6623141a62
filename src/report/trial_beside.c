#include "report/cells.h"
#include "rushlight/report.h"

enum { NAME = 20, CELL = 14 };

/* One row: a figure of a run, as a part of 1 or as a number. */
typedef struct figure {
    const char *name;
    double (*value)(const rush_trial_run *run);
    bool percent;
} figure;

static double right(const rush_trial_run *run)
{
    return rush_trial_share(&run->all, RUSH_OUTCOME_RIGHT);
}

static double wrong(const rush_trial_run *run)
{
    return rush_trial_share(&run->all, RUSH_OUTCOME_WRONG);
}

static double group(const rush_trial_run *run)
{
    return rush_trial_share(&run->all, RUSH_OUTCOME_GROUP);
}

static double nothing(const rush_trial_run *run)
{
    return rush_trial_share(&run->all, RUSH_OUTCOME_NOTHING);
}

static double safe_right(const rush_trial_run *run)
{
    return rush_trial_safe_right(&run->all);
}

static double asked(const rush_trial_run *run)
{
    return run->asked.mean;
}

static double answered(const rush_trial_run *run)
{
    return run->answered.mean;
}

static double brier(const rush_trial_run *run)
{
    return run->brier;
}

static double log_score(const rush_trial_run *run)
{
    return run->log_score;
}

static const figure figures[] = {
    {"right and safe", right, true},       {"safe but wrong", wrong, true},
    {"a group only", group, true},         {"nothing safe", nothing, true},
    {"of safe, right", safe_right, true},  {"asked, mean", asked, false},
    {"answered, mean", answered, false},   {"Brier score", brier, false},
    {"log score, bits", log_score, false},
};

static void write_value(const figure *row, double value, bool signed_, rush_buffer *buffer)
{
    rush_buffer cell = {0};
    rush_buffer_string(&cell, signed_ && value > 0 ? "+" : "");
    rush_buffer_decimal(&cell, row->percent ? value * 100 : value, row->percent ? 2 : 3);
    rush_buffer_string(&cell, row->percent && !signed_ ? " %" : "");
    rush_buffer_fill(buffer, ' ', cell.length < CELL ? CELL - cell.length : 1);
    rush_buffer_add(buffer, (rush_text){cell.bytes, cell.length});
    buffer->failed |= cell.failed;
    rush_buffer_free(&cell);
}

static void write_row(const rush_trial_column *columns, uint32_t count, rush_observer observer,
                      const figure *row, rush_buffer *buffer)
{
    rush_buffer_string(buffer, "  ");
    rush_cell_text(row->name, NAME, buffer);
    double values[2] = {0};
    for (uint32_t i = 0; i < count; i++) {
        double value = row->value(rush_trial_find(columns[i].trial, observer, columns[i].blank));
        write_value(row, value, false, buffer);
        if (i < 2)
            values[i] = value;
    }
    if (count == 2)
        write_value(row, values[1] - values[0], true, buffer);
    rush_buffer_byte(buffer, '\n');
}

static bool all_have(const rush_trial_column *columns, uint32_t count, rush_observer observer)
{
    for (uint32_t i = 0; i < count; i++)
        if (!rush_trial_find(columns[i].trial, observer, columns[i].blank))
            return false;
    return true;
}

void rush_report_trials_beside(const rush_trial_column *columns, uint32_t count,
                               rush_buffer *buffer)
{
    for (int o = 0; o < RUSH_OBSERVER_COUNT; o++) {
        if (!all_have(columns, count, (rush_observer)o))
            continue;
        rush_cell_text(rush_observer_name((rush_observer)o), NAME + 2, buffer);
        for (uint32_t i = 0; i < count; i++) {
            size_t wide = rush_text_columns(rush_text_of(columns[i].head));
            rush_buffer_fill(buffer, ' ', wide < CELL ? CELL - wide : 1);
            rush_buffer_safe(buffer, rush_text_of(columns[i].head));
        }
        if (count == 2)
            rush_cell_head("difference", CELL, buffer);
        rush_buffer_byte(buffer, '\n');
        for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
            write_row(columns, count, (rush_observer)o, &figures[i], buffer);
    }
}
