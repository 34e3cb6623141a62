#include "diagnostic/explain.h"

#include <stddef.h>

const rush_explanation *rush_slug_explain(rush_slug slug)
{
    static const rush_explanation *const tables[] = {rush_explain_file, rush_explain_values,
                                                     rush_explain_weak, rush_explain_line};
    static const rush_explanation none = {RUSH_SLUG_COUNT, "", NULL, NULL, false};
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
        for (const rush_explanation *at = tables[i]; at->slug != RUSH_SLUG_COUNT; at++)
            if (at->slug == slug)
                return at;
    return &none;
}
