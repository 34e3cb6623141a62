#include "base/unicode.h"
#include "key/fields.h"

/* Signs that an answer uses for "not seen". */
static bool cannot_be_answered(rush_text name)
{
    return name.length == 1 && (name.at[0] == '-' || name.at[0] == '?');
}

/* Where the name of this order stands: here, when it has not been met before. */
static rush_mark mark_of(rush_loader *loader, uint32_t order, rush_mark here)
{
    if (order < loader->marks.count)
        return loader->marks.items[order];
    while (loader->marks.count < order)
        RUSH_PUSH(&loader->scratch,
                  &loader->marks); /* of names that were added without a place */
    *RUSH_PUSH(&loader->scratch, &loader->marks) = here;
    return here;
}

void rush_load_name(rush_loader *loader, uint32_t scope, rush_text name, uint32_t thing,
                    rush_mark mark, rush_slug slug, const char *what)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, folded);
    if (cannot_be_answered(name)) {
        rush_diagnose(loader->list, RUSH_BAD_ID, mark.source, mark.span,
                      "'%.*s' cannot be the name of a %s", (int)name.length, name.at, what);
        return;
    }
    if (length == SIZE_MAX || length == 0) {
        rush_diagnose(loader->list, RUSH_BAD_ID, mark.source, mark.span, "a %s %s", what,
                      length ? "whose name is too long" : "without a name");
        return;
    }
    rush_text key = {folded, length};
    uint32_t at = rush_table_put(loader->arena, &loader->key->names, scope, key, thing);
    uint32_t stands = loader->key->names.items[at].value;
    rush_mark other = mark_of(loader, at, mark);
    bool told =
        mark.source && rush_diagnosed(loader->list, RUSH_REPEATED_FIELD, mark.source, mark.span);
    if (stands == thing || told)
        return;
    rush_diagnostic *made =
        rush_diagnose(loader->list, slug, mark.source, mark.span,
                      "another %s is called '%.*s' too", what, (int)name.length, name.at);
    if (other.source)
        rush_diagnose_other(loader->list, made, other.source, other.span,
                            "the other one is here");
    rush_diagnose_help(
        loader->list, made,
        "upper and lower case count as alike, and space, hyphen and underscore too");
}

/* A name that another character has already is kept beside it, in the first place that is free. */
static bool share_name(rush_loader *loader, rush_text name, uint32_t character)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, folded);
    uint32_t first;
    rush_text key = {folded, length};
    if (length == SIZE_MAX ||
        !rush_table_find(&loader->key->names, RUSH_SCOPE_CHARACTERS, key, &first) ||
        first == character)
        return false;
    for (uint32_t scope = RUSH_SCOPE_SHARED; scope < RUSH_SCOPE_STATES; scope++)
        if (rush_table_add(loader->arena, &loader->key->names, scope, key, character) ==
            character)
            return true;
    return false;
}

/* Every text of a value that may be one, a list, or either for each language. */
void rush_load_names(rush_loader *loader, rush_node value, uint32_t scope, uint32_t thing,
                     const rush_name_manner *manner)
{
    if (!rush_node_is(value))
        return;
    if (rush_node_kind_of(value) == RUSH_SCALAR) {
        bool given = rush_node_text(value).length > 0;
        if (given && manner->judge)
            manner->judge(loader, value);
        if (given && !(manner->shared && share_name(loader, rush_node_text(value), thing)))
            rush_load_name(loader, scope, rush_node_text(value), thing, rush_node_mark(value),
                           manner->slug, manner->what);
        return;
    }
    bool mapping = rush_node_kind_of(value) == RUSH_MAPPING;
    for (rush_node at = rush_node_first(value); rush_node_is(at); at = rush_node_next(at)) {
        if (mapping)
            at = rush_node_next(at);
        rush_load_names(loader, at, scope, thing, manner);
    }
}
