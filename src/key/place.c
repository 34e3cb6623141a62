#include "key/place.h"

#include "key/fields.h"

/* The value of a field of a body; the name of what has the body when there is none. */
static rush_mark field_or_name(rush_node name, rush_node body, const char *field)
{
    rush_node value = field ? rush_field_find(body, field) : (rush_node){.tree = body.tree};
    return rush_node_mark(rush_node_is(value) && !rush_node_blank(value) ? value : name);
}

rush_mark rush_place_header(const rush_key *key, const char *field)
{
    if (!key->root.tree)
        return (rush_mark){0};
    rush_node own = rush_field_find(key->root, "key");
    rush_node name = rush_node_is(own) ? own : key->root;
    return field_or_name(name, key->root, field);
}

rush_mark rush_place_character(const rush_key *key, uint32_t character, const char *field)
{
    if (!key->root.tree)
        return (rush_mark){0};
    rush_node name = key->character_nodes[character];
    if (!name.tree)
        return (rush_mark){0};
    return field_or_name(name, rush_node_next(name), field);
}

rush_mark rush_place_word(const rush_key *key, uint32_t character, const char *word)
{
    rush_node name = key->character_nodes[character];
    rush_node words = rush_field_find(rush_node_next(name), "words");
    if (rush_node_is(words) && rush_node_kind_of(words) == RUSH_MAPPING)
        for (rush_node at = rush_node_first(words); rush_node_is(at);
             at = rush_node_next(rush_node_next(at)))
            if (rush_text_equal(rush_node_text(at), rush_text_of(word)))
                return rush_node_mark(rush_node_next(at));
    return rush_node_mark(name);
}

rush_mark rush_place_state(const rush_key *key, uint32_t character, uint32_t state)
{
    if (!key->root.tree)
        return (rush_mark){0};
    rush_node name = key->character_nodes[character];
    if (!name.tree)
        return (rush_mark){0};
    rush_node states = rush_field_find(rush_node_next(name), "states");
    bool list = rush_node_is(states) && rush_node_kind_of(states) == RUSH_SEQUENCE;
    rush_node at = rush_node_is(states) ? rush_node_first(states) : states;
    for (uint32_t s = 0; s < state && rush_node_is(at); s++)
        at = list ? rush_node_next(at) : rush_node_next(rush_node_next(at));
    return rush_node_mark(rush_node_is(at) ? at : name);
}

rush_mark rush_place_taxon(const rush_key *key, uint32_t taxon, const char *field)
{
    if (!key->root.tree)
        return (rush_mark){0};
    rush_node name = key->taxon_nodes[taxon];
    return field_or_name(name, rush_node_next(name), field);
}

static rush_node form_node(const rush_key *key, uint32_t form)
{
    uint32_t taxon = key->forms[form].taxon;
    rush_node forms = rush_field_find(rush_node_next(key->taxon_nodes[taxon]), "forms");
    rush_node at = rush_node_is(forms) ? rush_node_first(forms) : forms;
    for (uint32_t f = key->taxa[taxon].first_form; f < form && rush_node_is(at); f++)
        at = rush_node_next(at);
    return at;
}

rush_mark rush_place_form(const rush_key *key, uint32_t form)
{
    if (!key->root.tree)
        return (rush_mark){0};
    rush_node node = form_node(key, form);
    return rush_node_is(node) ? rush_node_mark(node)
                              : rush_place_taxon(key, key->forms[form].taxon, NULL);
}

rush_mark rush_place_trait(const rush_key *key, uint32_t taxon, uint32_t form, uint32_t character)
{
    if (!key->root.tree)
        return (rush_mark){0};
    bool of_form = form != RUSH_NONE;
    rush_node owner = of_form ? form_node(key, form) : rush_node_next(key->taxon_nodes[taxon]);
    rush_node traits = rush_node_is(owner) ? rush_field_find(owner, "traits") : owner;
    if (rush_node_is(traits) && rush_node_kind_of(traits) == RUSH_MAPPING)
        for (rush_node name = rush_node_first(traits); rush_node_is(name);
             name = rush_node_next(rush_node_next(name)))
            if (rush_key_find(key, RUSH_SCOPE_CHARACTERS, rush_node_text(name)) == character) {
                rush_node value = rush_node_next(name), is = rush_field_find(value, "is");
                rush_node range = rush_field_find(value, "range");
                value = rush_node_is(is) ? is : rush_node_is(range) ? range : value;
                return rush_node_mark(rush_node_kind_of(value) == RUSH_SCALAR ? value : name);
            }
    return of_form ? rush_place_form(key, form) : rush_place_taxon(key, taxon, NULL);
}

rush_mark rush_place_source(const rush_key *key, uint32_t source)
{
    if (!key->root.tree)
        return (rush_mark){0};
    return rush_node_mark(key->source_nodes[source]);
}
