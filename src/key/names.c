#include "base/unicode.h"
#include "key/load.h"

void rush_load_name(rush_loader *loader, uint32_t scope, rush_text name, uint32_t thing,
                    rush_mark mark, rush_slug slug, const char *what)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, folded);
    if (length == SIZE_MAX || length == 0) {
        rush_diagnose(loader->list, RUSH_BAD_ID, mark.source, mark.span, "%s %s", what,
                      length ? "with a name that is too long" : "without a name");
        return;
    }
    rush_text key = {folded, length};
    uint32_t stands = rush_table_add(loader->arena, &loader->key->names, scope, key, thing);
    uint32_t first = rush_table_add(loader->arena, &loader->marks, scope, key,
                                    loader->mark_list.count);
    if (first == loader->mark_list.count)
        *RUSH_PUSH(loader->arena, &loader->mark_list) = mark;
    if (stands == thing)
        return;
    rush_diagnostic *made = rush_diagnose(loader->list, slug, mark.source, mark.span,
                                          "%s '%.*s' has a name that another one has", what,
                                          (int)name.length, name.at);
    rush_mark other = loader->mark_list.items[first];
    if (other.source)
        rush_diagnose_other(loader->list, made, other.source, other.span, "the other one is here");
    rush_diagnose_help(loader->list, made,
                       "upper and lower case count as alike, and space, hyphen and underscore too");
}
