#include "key/fields.h"

typedef struct worked_reading {
    rush_worked_sighting sighting;
    rush_node saw, expect;
    int sex;
} worked_reading;

static const char *const sexes[] = {"male", "female", "any", NULL};

#define AT(member) offsetof(worked_reading, member)
static const rush_field sighting_fields[] = {
    {"saw", RUSH_FIELD_NODE, AT(saw), 0, 0, NULL},
    {"expect", RUSH_FIELD_NODE, AT(expect), 0, 0, NULL},
    {"sex", RUSH_FIELD_CHOICE, AT(sex), 0, 0, sexes},
    {"form", RUSH_FIELD_STRING, AT(sighting.form), 0, 0, NULL},
    {"source", RUSH_FIELD_SOURCE, AT(sighting.backing.source), 0, 0, NULL},
    {"note", RUSH_FIELD_STRING, AT(sighting.backing.note), 0, 0, NULL},
};
#undef AT

static void read_sighting(rush_loader *loader, rush_node node)
{
    size_t losses = rush_losses(loader);
    worked_reading draft = {.sighting = {.expect = RUSH_NONE, .backing = {.source = RUSH_NONE}},
                            .sex = RUSH_SEX_ANY};
    rush_fields_read(loader, node, sighting_fields, RUSH_COUNT(sighting_fields),
                     "a worked sighting", &draft);
    draft.sighting.sex = (rush_sex)draft.sex;
    if (rush_node_kind_of(node) != RUSH_MAPPING)
        return;
    if (!draft.saw.tree || !draft.expect.tree) {
        if (!rush_field_missing(node, "saw") && !rush_field_missing(node, "expect")) {
            rush_diagnose_follows(loader->list);
            return;
        }
        rush_diagnostic *made = rush_node_diagnose(
            loader, node, RUSH_MISSING_FIELD, "a worked sighting needs `saw:` and `expect:`");
        rush_diagnose_help(loader->list, made, "write {saw: \"...\", expect: TAXON}");
        return;
    }
    if (!rush_value_string(loader, draft.saw, &draft.sighting.saw))
        return;
    size_t faults = rush_diagnostics_faults(loader->list);
    if (!rush_text_equal(rush_node_text(draft.expect), rush_text_of("none")))
        rush_value_taxon(loader, draft.expect,
                         "name a taxon, or `none` when nothing should be safe",
                         &draft.sighting.expect);
    if (rush_diagnostics_faults(loader->list) > faults || rush_losses(loader) > losses ||
        rush_node_doubtful(node))
        return; /* one that is not what was meant proves nothing */
    *RUSH_PUSH(loader->arena, &loader->sightings) = draft.sighting;
    *RUSH_PUSH(loader->arena, &loader->sighting_marks) = rush_node_mark(draft.saw);
}

void rush_load_sightings(rush_loader *loader)
{
    for (uint32_t i = 0; i < loader->trees.count; i++) {
        rush_node sightings = rush_load_section(loader, i, "sightings");
        if (!rush_node_is(sightings))
            continue;
        if (rush_node_kind_of(sightings) != RUSH_SEQUENCE) {
            rush_node_wrong_shape(loader, sightings, "a list of worked sightings");
            continue;
        }
        for (rush_node node = rush_node_first(sightings); rush_node_is(node);
             node = rush_node_next(node))
            read_sighting(loader, node);
    }
}
