#include <string.h>

#include "key/fields.h"
#include "key/span.h"

/* ---- the classification ----------------------------------------------------------------------- */

/* "A, within B, within A": the loop that a taxon stands in. */
static void complain_loop(rush_loader *loader, uint32_t start)
{
    const rush_taxon *taxa = loader->taxa.items;
    enum { SHOWN = 4 };
    rush_buffer round = {0};
    uint32_t steps = 0;
    for (uint32_t at = taxa[start].parent; at != start && steps < SHOWN;
         at = taxa[at].parent, steps++)
        rush_buffer_format(&round, "within '%s', ", taxa[at].name);
    if (round.failed) {
        rush_buffer_free(&round);
        rush_arena_escape(loader->arena);
    }
    rush_diagnostic *made = rush_node_diagnose(
        loader, loader->taxon_drafts.items[start].within, RUSH_PARENT_LOOP,
        "'%s' stands within itself: %s%swithin '%s'", taxa[start].name, steps ? round.bytes : "",
        steps == SHOWN ? "... " : "", taxa[start].name);
    rush_diagnose_help(loader->list, made, "one of these `within:` is wrong");
    rush_buffer_free(&round);
}

static void doubt(rush_loader *loader, uint32_t at)
{
    loader->taxon_drafts.items[at].lost = loader->taxon_drafts.items[at].doubtful = true;
}

/* A taxon that stands within itself is reported once for each loop, and all of the loop is cut loose. */
static void cut_loops(rush_loader *loader)
{
    rush_taxon *taxa = loader->taxa.items;
    uint32_t *seen = RUSH_ARRAY(loader->arena, uint32_t, loader->taxa.count + 1);
    for (uint32_t start = 0; start < loader->taxa.count; start++) {
        uint32_t at = start;
        for (; at != RUSH_NONE && !seen[at]; at = taxa[at].parent)
            seen[at] = start + 1;
        if (at == RUSH_NONE || seen[at] != start + 1)
            continue;
        complain_loop(loader, at);
        doubt(loader, at);
        for (uint32_t next; taxa[at].parent != RUSH_NONE; at = next) {
            next = taxa[at].parent;
            taxa[at].parent = RUSH_NONE;
            doubt(loader, next);
        }
    }
}

/* A taxon of the wrong rank is set into the nearest one around that is high enough, so that little follows
 * from the mistake; what it holds by itself is no less known for that, unless it should hold others. */
static void rehang(rush_loader *loader, uint32_t at)
{
    rush_taxon *taxon = &loader->taxa.items[at];
    uint32_t above = taxon->parent;
    for (int steps = 0; above != RUSH_NONE && loader->taxa.items[above].rank >= taxon->rank;
         steps++)
        above = steps < RUSH_RANK_COUNT ? loader->taxa.items[above].parent : RUSH_NONE;
    taxon->parent = above;
    if (taxon->rank < RUSH_RANK_SPECIES)
        doubt(loader, at);
}

static void check_ranks(rush_loader *loader)
{
    for (uint32_t at = 0; at < loader->taxa.count; at++) {
        const rush_taxon *taxon = &loader->taxa.items[at];
        if (taxon->parent == RUSH_NONE || taxon->rank > loader->taxa.items[taxon->parent].rank ||
            !loader->taxon_drafts.items[at].rank_given ||
            !loader->taxon_drafts.items[taxon->parent].rank_given)
            continue;
        const rush_taxon *parent = &loader->taxa.items[taxon->parent];
        rush_mark mark = loader->taxon_drafts.items[at].mark;
        rush_diagnostic *made =
            rush_diagnose(loader->list, RUSH_MISRANKED, mark.source, mark.span,
                          "the %s '%s' is within the %s '%s'", rush_taxon_rank_name(taxon->rank),
                          taxon->name, rush_taxon_rank_name(parent->rank), parent->name);
        rush_mark other = loader->taxon_drafts.items[taxon->parent].mark;
        rush_diagnose_other(loader->list, made, other.source, other.span, "declared here");
        rush_diagnose_help(loader->list, made, "correct `rank:` or `within:`");
        rehang(loader, at);
    }
}

static void link_children(rush_loader *loader)
{
    rush_taxon_draft *drafts = loader->taxon_drafts.items;
    for (uint32_t at = 0; at < loader->taxa.count; at++) {
        uint32_t parent = loader->taxa.items[at].parent;
        if (parent == RUSH_NONE)
            continue;
        if (drafts[parent].last_child == RUSH_NONE)
            drafts[parent].first_child = at;
        else
            drafts[drafts[parent].last_child].next_sibling = at;
        drafts[parent].last_child = at;
    }
}

/* Its own occurrence, else its parent's, which is settled by now; `local` at the top. */
static void settle_occurrence(rush_loader *loader, uint32_t at)
{
    rush_taxon *taxon = &loader->taxa.items[at];
    if (loader->taxon_drafts.items[at].occurrence_given)
        return;
    if (taxon->parent != RUSH_NONE) {
        taxon->occurrence = loader->taxa.items[taxon->parent].occurrence;
        return;
    }
    for (uint32_t i = 0; i < loader->occurrences.count; i++)
        if (strcmp(loader->occurrences.items[i].word, "local") == 0) {
            taxon->occurrence = loader->occurrences.items[i].value;
            return;
        }
}

/* ---- leaves and forms in order ----------------------------------------------------------------- */

typedef struct leaf_order {
    RUSH_LIST(uint32_t) leaves;
    RUSH_LIST(rush_form) forms;
} leaf_order;

/* Room for as many as there can be. */
static void reserve_order(rush_loader *loader, leaf_order *order)
{
    for (uint32_t at = 0; at < loader->taxa.count; at++) {
        uint32_t forms = loader->taxon_drafts.items[at].form_list.count;
        order->forms.capacity += forms ? forms : 1;
    }
    order->leaves.capacity = loader->taxa.count;
    order->leaves.items = RUSH_ARRAY(loader->arena, uint32_t, order->leaves.capacity);
    order->forms.items = RUSH_ARRAY(loader->arena, rush_form, order->forms.capacity);
}

static void take_leaf(rush_loader *loader, uint32_t at, leaf_order *order)
{
    const rush_taxon_draft *draft = &loader->taxon_drafts.items[at];
    *RUSH_PUSH(loader->arena, &order->leaves) = at;
    for (uint32_t i = 0; i < draft->form_list.count; i++)
        *RUSH_PUSH(loader->arena, &order->forms) = draft->form_list.items[i];
    if (!draft->form_list.count)
        *RUSH_PUSH(loader->arena, &order->forms) =
            (rush_form){.taxon = at,
                        .sex = RUSH_SEX_ANY,
                        .share = 1,
                        .backing = loader->taxa.items[at].backing};
}

/* Depth first, children in the key's order, without recursion: a key may be deep. */
static void walk(rush_loader *loader, uint32_t root, leaf_order *order)
{
    rush_taxon *taxa = loader->taxa.items;
    const rush_taxon_draft *drafts = loader->taxon_drafts.items;
    uint32_t at = root;
    for (;;) {
        settle_occurrence(loader, at);
        taxa[at].first_leaf = order->leaves.count;
        taxa[at].first_form = order->forms.count;
        if (drafts[at].first_child != RUSH_NONE) {
            at = drafts[at].first_child;
            continue;
        }
        take_leaf(loader, at, order);
        for (;;) {
            taxa[at].leaf_count = order->leaves.count - taxa[at].first_leaf;
            taxa[at].form_count = order->forms.count - taxa[at].first_form;
            if (at == root)
                return;
            if (drafts[at].next_sibling != RUSH_NONE) {
                at = drafts[at].next_sibling;
                break;
            }
            at = taxa[at].parent;
        }
    }
}

static void check_forms(rush_loader *loader)
{
    for (uint32_t at = 0; at < loader->taxa.count; at++) {
        const rush_taxon_draft *draft = &loader->taxon_drafts.items[at];
        if (!draft->form_list.count || draft->first_child == RUSH_NONE)
            continue;
        rush_diagnostic *made =
            rush_node_diagnose(loader, draft->forms, RUSH_MISPLACED_FORMS,
                               "'%s' has forms and taxa within it", loader->taxa.items[at].name);
        rush_mark other = loader->taxon_drafts.items[draft->first_child].mark;
        rush_diagnose_other(loader->list, made, other.source, other.span, "one within it");
        rush_diagnose_help(loader->list, made, "give forms to the taxa at the end of the branch");
    }
}

/* ---- what follows from the forms ---------------------------------------------------------------- */

/* The states of the character `form`: the names that forms have, and one for those without. */
static void name_forms(rush_loader *loader, const leaf_order *order)
{
    RUSH_LIST(rush_state) states = {0};
    for (uint32_t i = 0; i < order->forms.count; i++) {
        const char *name = order->forms.items[i].name;
        if (!name || rush_key_find(loader->key, RUSH_SCOPE_STATES + RUSH_FORM_CHARACTER,
                                   rush_text_of(name)) != RUSH_NONE)
            continue;
        rush_load_name(loader, RUSH_SCOPE_STATES + RUSH_FORM_CHARACTER, rush_text_of(name),
                       states.count, (rush_mark){0}, RUSH_REPEATED_NAME, "form");
        RUSH_PUSH(loader->arena, &states)->id = name;
    }
    if (!states.count)
        return;
    RUSH_PUSH(loader->arena, &states)->id = "unnamed";
    loader->characters.items[RUSH_FORM_CHARACTER].states = states.items;
    loader->characters.items[RUSH_FORM_CHARACTER].state_count = states.count;
}

/* A worked sighting may expect only forms that the taxon has. */
static void check_expected_forms(rush_loader *loader, const leaf_order *order)
{
    for (uint32_t i = 0; i < loader->sightings.count; i++) {
        const rush_worked_sighting *worked = &loader->sightings.items[i];
        bool there = !worked->form || worked->expect == RUSH_NONE;
        for (uint32_t f = 0; f < order->forms.count && !there; f++)
            there = order->forms.items[f].taxon == worked->expect && order->forms.items[f].name &&
                    strcmp(order->forms.items[f].name, worked->form) == 0;
        rush_mark mark = loader->sighting_marks.items[i];
        bool known = !there && !loader->taxon_drafts.items[worked->expect].doubtful;
        if (!there && !known)
            rush_diagnose_follows(loader->list);
        if (!known)
            continue;
        rush_diagnostic *made =
            rush_diagnose(loader->list, RUSH_UNKNOWN_STATE, mark.source, mark.span,
                          "'%s' has no form '%s' to expect",
                          loader->taxa.items[worked->expect].name, worked->form);
        rush_diagnose_help(loader->list, made,
                           "name a form of that taxon itself, or leave 'form:' out; a group has none");
    }
}

/* A number's span: from the least to the greatest that any taxon of the key shows. */
static void find_spans(rush_loader *loader, const leaf_order *order)
{
    rush_spans_begin(loader->characters.items, loader->characters.count);
    for (uint32_t at = 0; at < loader->taxa.count; at++)
        rush_spans_widen(loader->characters.items, loader->taxa.items[at].traits,
                         loader->taxa.items[at].trait_count);
    for (uint32_t i = 0; i < order->forms.count; i++)
        rush_spans_widen(loader->characters.items, order->forms.items[i].traits,
                         order->forms.items[i].trait_count);
    rush_spans_end(loader->characters.items, loader->characters.count);
}

static const rush_mark *marks_of_taxa(rush_loader *loader)
{
    rush_mark *marks = RUSH_ARRAY(loader->arena, rush_mark, loader->taxa.count);
    for (uint32_t i = 0; i < loader->taxa.count; i++)
        marks[i] = loader->taxon_drafts.items[i].mark;
    return marks;
}

static const rush_mark *marks_of_characters(rush_loader *loader)
{
    rush_mark *marks = RUSH_ARRAY(loader->arena, rush_mark, loader->characters.count);
    for (uint32_t i = 0; i < loader->characters.count; i++)
        marks[i] = loader->character_drafts.items[i].mark;
    return marks;
}

static void link_nodes(rush_loader *loader)
{
    rush_key *key = loader->key;
    rush_node *characters = RUSH_ARRAY(loader->arena, rush_node, loader->characters.count);
    for (uint32_t i = 0; i < loader->characters.count; i++)
        characters[i] = loader->character_drafts.items[i].name;
    rush_node *taxa = RUSH_ARRAY(loader->arena, rush_node, loader->taxa.count);
    for (uint32_t i = 0; i < loader->taxa.count; i++)
        taxa[i] = loader->taxon_drafts.items[i].name;
    key->character_nodes = characters;
    key->taxon_nodes = taxa;
    key->source_nodes = loader->source_nodes.items;
    key->root = rush_tree_root(&loader->trees.items[0]);
}

/* A doubt of a taxon is one of all that stand within it. */
static void inherit(const rush_loader *loader, bool *doubts)
{
    const rush_taxon *all = loader->taxa.items;
    bool *known = RUSH_ARRAY(loader->arena, bool, loader->taxa.count);
    for (uint32_t i = 0; i < loader->taxa.count; i++) {
        uint32_t top = i;
        while (top != RUSH_NONE && !known[top] && !doubts[top])
            top = all[top].parent;
        bool doubtful = top != RUSH_NONE && doubts[top];
        for (uint32_t at = i; at != RUSH_NONE && !known[at];
             at = at == top ? RUSH_NONE : all[at].parent) {
            doubts[at] = doubtful;
            known[at] = true;
        }
    }
}

static bool all_above_species(const rush_loader *loader, uint32_t at)
{
    return loader->taxon_drafts.items[at].first_child == RUSH_NONE &&
           loader->taxa.items[at].rank < RUSH_RANK_SPECIES;
}

static void link_doubts(rush_loader *loader)
{
    bool *characters = RUSH_ARRAY(loader->arena, bool, loader->characters.count);
    bool *lost_characters = RUSH_ARRAY(loader->arena, bool, loader->characters.count);
    for (uint32_t i = 0; i < loader->characters.count; i++) {
        characters[i] = loader->character_drafts.items[i].doubtful;
        lost_characters[i] = loader->character_drafts.items[i].lost;
    }
    bool *taxa = RUSH_ARRAY(loader->arena, bool, loader->taxa.count);
    bool *lost_taxa = RUSH_ARRAY(loader->arena, bool, loader->taxa.count);
    for (uint32_t i = 0; i < loader->taxa.count; i++) {
        taxa[i] = loader->taxon_drafts.items[i].doubtful;
        lost_taxa[i] = loader->taxon_drafts.items[i].lost;
    }
    /* A group without taxa may have them in what could not be read. */
    for (uint32_t i = 0; i < loader->taxa.count && loader->incomplete; i++)
        if (all_above_species(loader, i))
            taxa[i] = lost_taxa[i] = true;
    inherit(loader, taxa);
    inherit(loader, lost_taxa);
    loader->key->character_doubts = characters;
    loader->key->character_lost = lost_characters;
    loader->key->taxon_doubts = taxa;
    loader->key->taxon_lost = lost_taxa;
}

void rush_load_link(rush_loader *loader)
{
    rush_key *key = loader->key;
    leaf_order order = {0};
    reserve_order(loader, &order);
    cut_loops(loader);
    check_ranks(loader);
    link_children(loader);
    check_forms(loader);
    for (uint32_t at = 0; at < loader->taxa.count; at++)
        if (loader->taxa.items[at].parent == RUSH_NONE)
            walk(loader, at, &order);
    name_forms(loader, &order);
    check_expected_forms(loader, &order);
    find_spans(loader, &order);
    if (!order.leaves.count &&
        (loader->incomplete || rush_node_doubtful(rush_tree_root(&loader->trees.items[0])))) {
        rush_diagnose_follows(loader->list);
    } else if (!order.leaves.count) {
        const rush_source *source = loader->trees.items[0].source;
        rush_diagnostic *made = rush_diagnose(loader->list, RUSH_NO_TAXA, source, (rush_span){0},
                                              "the key has no taxa");
        rush_diagnose_help(loader->list, made, "list them under `taxa:`");
    }
    key->characters = loader->characters.items;
    key->character_count = loader->characters.count;
    key->taxa = loader->taxa.items;
    key->taxon_count = loader->taxa.count;
    key->forms = order.forms.items;
    key->form_count = order.forms.count;
    key->leaves = order.leaves.items;
    key->leaf_count = order.leaves.count;
    key->sources = loader->sources.items;
    key->source_count = loader->sources.count;
    key->sightings = loader->sightings.items;
    key->sighting_count = loader->sightings.count;
    key->trait_count = loader->traits.count;
    key->sighting_marks = loader->sighting_marks.items;
    key->taxon_marks = marks_of_taxa(loader);
    key->character_marks = marks_of_characters(loader);
    link_nodes(loader);
    link_doubts(loader);
}
