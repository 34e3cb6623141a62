#include <math.h>
#include <string.h>

#include "base/number.h"
#include "key/fields.h"

static const char *const ranks[] = {
#define X(name, word) word,
    RUSH_TAXON_RANKS(X)
#undef X
        NULL};
static const char *const sexes[] = {"male", "female", "any", NULL};

/* ---- forms ------------------------------------------------------------------------------------ */

typedef struct form_draft {
    rush_form form;
    int sex;
    rush_node share, traits;
} form_draft;

#define AT(member) offsetof(form_draft, member)
static const rush_field form_fields[] = {
    {"sex", RUSH_FIELD_CHOICE, AT(sex), 0, 0, sexes},
    {"form", RUSH_FIELD_STRING, AT(form.name), 0, 0, NULL},
    {"share", RUSH_FIELD_NODE, AT(share), 0, 0, NULL},
    {"traits", RUSH_FIELD_NODE, AT(traits), 0, 0, NULL},
    {"source", RUSH_FIELD_SOURCE, AT(form.backing.source), 0, 0, NULL},
    {"note", RUSH_FIELD_STRING, AT(form.backing.note), 0, 0, NULL},
};
#undef AT

/* Whether the taxon has another one of the sex and name: it is told, and left out. */
static bool is_repeated_form(rush_loader *loader, rush_node node, uint32_t taxon,
                             const rush_form *form)
{
    uint32_t number = loader->taxon_drafts.items[taxon].form_list.count;
    uint32_t scope = taxon * (uint32_t)RUSH_COUNT(sexes) + (uint32_t)form->sex;
    if (!form->name || rush_table_add(&loader->scratch, &loader->form_names, scope,
                                      rush_text_of(form->name), number) == number)
        return false;
    rush_diagnostic *made = rush_node_diagnose(loader, node, RUSH_REPEATED_NAME,
                                               "two forms of '%s' have the same sex and name",
                                               loader->taxa.items[taxon].name);
    rush_diagnose_help(loader->list, made, "give one of them another `form:` name");
    return true;
}

static void read_form(rush_loader *loader, rush_node node, uint32_t taxon)
{
    form_draft draft = {
        .form = {.taxon = taxon, .share = -1, .backing = loader->taxa.items[taxon].backing},
        .sex = -1};
    rush_fields_read(loader, node, form_fields, RUSH_COUNT(form_fields), "a form", &draft);
    bool sexed = draft.sex >= 0 || !rush_node_is(rush_field_find(node, "sex"));
    draft.form.sex = draft.sex >= 0 ? (rush_sex)draft.sex : RUSH_SEX_ANY;
    if (draft.share.tree)
        rush_value_number(loader, draft.share, 0, 1, &draft.form.share);
    if (sexed && is_repeated_form(loader, node, taxon, &draft.form)) {
        loader->taxon_drafts.items[taxon].form_repeated = true;
        return;
    }
    rush_trait_list traits = {0};
    if (draft.traits.tree)
        rush_load_traits(loader, draft.traits, draft.form.backing, &traits);
    draft.form.traits = traits.items;
    draft.form.trait_count = traits.count;
    *RUSH_PUSH(&loader->scratch, &loader->taxon_drafts.items[taxon].form_list) = draft.form;
}

/* Forms without a share split what the others leave. */
static void settle_shares(rush_loader *loader, uint32_t taxon)
{
    rush_taxon_draft *draft = &loader->taxon_drafts.items[taxon];
    uint32_t open = 0;
    double sum = 0;
    for (uint32_t i = 0; i < draft->form_list.count; i++) {
        double share = draft->form_list.items[i].share;
        if (share < 0)
            open++;
        else
            sum += share;
    }
    double left = 1 - sum;
    bool wrong = open ? left <= 0 : fabs(left) > 1e-6;
    if (wrong && !draft->form_repeated) {
        char total[RUSH_NUMBER_TEXT];
        rush_diagnostic *made = rush_node_diagnose(
            loader, draft->forms, RUSH_SHARES_SUM, "the shares of the forms sum to %s%s",
            rush_number_text(total, sum, 6),
            open ? ", which leaves nothing for the forms without a share" : ", not to 1");
        rush_diagnose_help(loader->list, made,
                           "shares are of the whole taxon, both sexes together");
        for (uint32_t i = 0; i < draft->form_list.count && !open && sum > 0; i++)
            draft->form_list.items[i].share /= sum;
        loader->recovered += !open && sum > 0;
    }
    for (uint32_t i = 0; i < draft->form_list.count; i++)
        if (draft->form_list.items[i].share < 0)
            draft->form_list.items[i].share = fmax(left, 0) / open;
}

static void read_forms(rush_loader *loader, uint32_t taxon)
{
    rush_node forms = loader->taxon_drafts.items[taxon].forms;
    if (rush_node_kind_of(forms) != RUSH_SEQUENCE) {
        rush_node_wrong_shape(loader, forms, "a list of forms");
        return;
    }
    rush_taxon_draft *draft = &loader->taxon_drafts.items[taxon];
    draft->form_list.capacity = rush_node_children(forms);
    draft->form_list.items = RUSH_ARRAY(&loader->scratch, rush_form, draft->form_list.capacity);
    for (rush_node form = rush_node_first(forms); rush_node_is(form); form = rush_node_next(form))
        read_form(loader, form, taxon);
    settle_shares(loader, taxon);
}

/* ---- taxa ------------------------------------------------------------------------------------- */

typedef struct taxon_draft {
    rush_taxon taxon;
    int rank;
    rush_node within, occurrence, traits, forms;
} taxon_draft;

#define AT(member) offsetof(taxon_draft, member)
static const rush_field taxon_fields[] = {
    {"rank", RUSH_FIELD_CHOICE, AT(rank), 0, 0, ranks},
    {"within", RUSH_FIELD_NODE, AT(within), 0, 0, NULL},
    {"vernacular", RUSH_FIELD_WORDS, AT(taxon.vernacular), 0, 0, NULL},
    {"also", RUSH_FIELD_ALSO, AT(taxon.also), 0, 0, NULL},
    {"authority", RUSH_FIELD_STRING, AT(taxon.authority), 0, 0, NULL},
    {"occurrence", RUSH_FIELD_NODE, AT(occurrence), 0, 0, NULL},
    {"source", RUSH_FIELD_SOURCE, AT(taxon.backing.source), 0, 0, NULL},
    {"note", RUSH_FIELD_STRING, AT(taxon.backing.note), 0, 0, NULL},
    {"caution", RUSH_FIELD_WORDS, AT(taxon.caution), 0, 0, NULL},
    {"traits", RUSH_FIELD_NODE, AT(traits), 0, 0, NULL},
    {"forms", RUSH_FIELD_NODE, AT(forms), 0, 0, NULL},
};
#undef AT

static void read_occurrence(rush_loader *loader, rush_node node, uint32_t at)
{
    rush_text text = rush_node_text(node);
    double *occurrence = &loader->taxa.items[at].occurrence;
    rush_nearest nearest;
    double number;
    loader->taxon_drafts.items[at].occurrence_given = true;
    if (rush_text_number(text, &number)) {
        loader->taxon_drafts.items[at].occurrence_given =
            rush_value_number(loader, node, 1e-6, 1e6, occurrence);
        return;
    }
    rush_suggest_init(loader->list, &nearest, text);
    for (uint32_t i = 0; i < loader->occurrences.count; i++) {
        if (rush_text_equal(text, rush_text_of(loader->occurrences.items[i].word))) {
            *occurrence = loader->occurrences.items[i].value;
            return;
        }
        rush_nearest_offer(&nearest, loader->occurrences.items[i].word);
    }
    loader->taxon_drafts.items[at].occurrence_given = false;
    rush_diagnostic *made =
        rush_unknown_name(loader, node, RUSH_SCOPE_OCCURRENCES, &nearest,
                          "'%.*s' is not an occurrence", (int)text.length, text.at);
    rush_diagnose_nearest(
        loader->list, made, &nearest,
        "say common, local, scarce, rare, a word of the key's `occurrence:`, or a "
        "number");
}

static void declare_taxon(rush_loader *loader, rush_node name, rush_node body)
{
    uint32_t at = loader->taxa.count;
    rush_mark mark = rush_node_mark(name);
    *RUSH_PUSH(loader->arena, &loader->taxa) =
        (rush_taxon){.name = rush_arena_copy(loader->arena, rush_node_text(name)),
                     .rank = RUSH_RANK_SPECIES,
                     .parent = RUSH_NONE,
                     .backing = {.source = RUSH_NONE}};
    rush_taxon_draft *draft = RUSH_PUSH(&loader->scratch, &loader->taxon_drafts);
    draft->mark = mark;
    draft->name = name;
    draft->body = body;
    draft->lost = draft->doubtful =
        rush_key_find(loader->key, RUSH_SCOPE_TAXA, rush_node_text(name)) != RUSH_NONE;
    draft->first_child = draft->last_child = draft->next_sibling = RUSH_NONE;
    rush_load_name(loader, RUSH_SCOPE_TAXA, rush_node_text(name), at, mark, RUSH_REPEATED_NAME,
                   "taxon");
}

static void name_taxon(rush_loader *loader, uint32_t at)
{
    static const rush_name_manner as_taxon = {"taxon", RUSH_SHARED_NAME, NULL, false};
    rush_node body = loader->taxon_drafts.items[at].body;
    rush_load_names(loader, rush_field_find(body, "vernacular"), RUSH_SCOPE_TAXA, at, &as_taxon);
    rush_load_names(loader, rush_field_find(body, "also"), RUSH_SCOPE_TAXA, at, &as_taxon);
}

/* A trait of a setting tells nothing of the animal itself. */
static bool lost_among(const rush_loader *loader, const rush_trait *const *traits, uint32_t count)
{
    bool lost = false;
    for (uint32_t i = 0; i < count; i++)
        lost |= traits[i]->lost && !loader->characters.items[traits[i]->character].setting;
    return lost;
}

static bool any_lost(const rush_loader *loader, uint32_t at)
{
    const rush_taxon *taxon = &loader->taxa.items[at];
    const rush_taxon_draft *draft = &loader->taxon_drafts.items[at];
    bool lost = lost_among(loader, taxon->traits, taxon->trait_count);
    for (uint32_t i = 0; i < draft->form_list.count; i++)
        lost |= lost_among(loader, draft->form_list.items[i].traits,
                           draft->form_list.items[i].trait_count);
    return lost;
}

static void read_taxon(rush_loader *loader, uint32_t at)
{
    taxon_draft draft = {.taxon = loader->taxa.items[at], .rank = -1};
    size_t losses = rush_losses(loader);
    rush_fields_read(loader, loader->taxon_drafts.items[at].body, taxon_fields,
                     RUSH_COUNT(taxon_fields), "a taxon", &draft);
    loader->taxon_drafts.items[at].rank_given = draft.rank >= 0;
    if (draft.rank >= 0)
        draft.taxon.rank = (rush_taxon_rank)draft.rank;
    else if (rush_node_kind_of(loader->taxon_drafts.items[at].body) == RUSH_MAPPING &&
             rush_field_missing(loader->taxon_drafts.items[at].body, "rank")) {
        rush_mark mark = loader->taxon_drafts.items[at].mark;
        rush_diagnostic *made =
            rush_diagnose(loader->list, RUSH_MISSING_FIELD, mark.source, mark.span,
                          "the taxon '%s' does not say its rank", draft.taxon.name);
        rush_diagnose_help(loader->list, made, "add `rank: species`, genus, family ...");
        loader->recovered++;
    }
    loader->taxa.items[at] = draft.taxon;
    if (draft.within.tree)
        rush_value_taxon(loader, draft.within, "declare it under `taxa:`",
                         &loader->taxa.items[at].parent);
    if (draft.occurrence.tree)
        read_occurrence(loader, draft.occurrence, at);
    rush_trait_list traits = {0};
    if (draft.traits.tree)
        rush_load_traits(loader, draft.traits, draft.taxon.backing, &traits);
    loader->taxa.items[at].traits = traits.items;
    loader->taxa.items[at].trait_count = traits.count;
    loader->taxon_drafts.items[at].forms = draft.forms;
    loader->taxon_drafts.items[at].within = draft.within;
    if (draft.forms.tree)
        read_forms(loader, at);
    rush_taxon_draft *all = &loader->taxon_drafts.items[at];
    all->lost |= rush_losses(loader) > losses || rush_node_doubtful(all->body);
    all->doubtful |= all->lost || any_lost(loader, at);
}

/* Room for all of them at once: what a list leaves behind as it grows stays with the key. */
static void reserve_taxa(rush_loader *loader)
{
    for (uint32_t i = 0; i < loader->trees.count; i++) {
        rush_node taxa = rush_load_section(loader, i, "taxa");
        if (rush_node_is(taxa))
            loader->taxa.capacity += rush_node_children(taxa) / 2;
    }
    loader->taxa.items = RUSH_ARRAY(loader->arena, rush_taxon, loader->taxa.capacity);
    loader->taxon_drafts.capacity = loader->taxa.capacity;
    loader->taxon_drafts.items =
        RUSH_ARRAY(&loader->scratch, rush_taxon_draft, loader->taxa.capacity);
}

void rush_load_taxa(rush_loader *loader)
{
    uint32_t states = 1;
    for (uint32_t i = 0; i < loader->characters.count; i++)
        if (loader->characters.items[i].state_count > states)
            states = loader->characters.items[i].state_count;
    loader->weights = RUSH_ARRAY(loader->arena, double, states);
    reserve_taxa(loader);
    for (uint32_t i = 0; i < loader->trees.count; i++) {
        rush_node taxa = rush_load_section(loader, i, "taxa");
        if (!rush_node_is(taxa))
            continue;
        if (rush_node_kind_of(taxa) != RUSH_MAPPING) {
            rush_node_wrong_shape(loader, taxa, "taxa by name");
            continue;
        }
        for (rush_node name = rush_node_first(taxa); rush_node_is(name);) {
            rush_node body = rush_node_next(name);
            declare_taxon(loader, name, body);
            name = rush_node_next(body);
        }
    }
    for (uint32_t at = 0; at < loader->taxa.count; at++)
        read_taxon(loader, at);
    for (uint32_t at = 0; at < loader->taxa.count; at++)
        name_taxon(loader, at);
}
