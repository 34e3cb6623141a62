#include <string.h>

#include "base/unicode.h"
#include "sow/plan.h"

rush_diagnostic *rush_sow_diagnose(rush_sow_plan *plan, const rush_cell *cell, rush_slug slug,
                                   const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    rush_diagnostic *made =
        rush_vdiagnose(plan->list, slug, cell->source, cell->span, format, arguments);
    va_end(arguments);
    return made;
}

void rush_sow_other(rush_sow_plan *plan, rush_diagnostic *made, const rush_cell *cell,
                    const char *message)
{
    rush_diagnose_other(plan->list, made, cell->source, cell->span, message);
}

uint32_t rush_sow_find(const rush_sow_plan *plan, uint32_t scope, rush_text name)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, folded);
    uint32_t number;
    if (length == SIZE_MAX ||
        !rush_table_find(&plan->names, scope, (rush_text){folded, length}, &number))
        return RUSH_NONE;
    return number;
}

uint32_t rush_sow_add(rush_sow_plan *plan, uint32_t scope, rush_text name, uint32_t number)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, folded);
    if (length == SIZE_MAX)
        return number;
    return rush_table_add(plan->arena, &plan->names, scope, (rush_text){folded, length}, number);
}

bool rush_sow_good_name(rush_sow_plan *plan, const rush_cell *cell, rush_text name,
                        const char *what)
{
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(name, folded);
    bool sign = length == 1 && folded[0] == '?';
    if (length && length != SIZE_MAX && !sign)
        return true;
    rush_sow_diagnose(plan, cell, RUSH_BAD_ID,
                      length == SIZE_MAX ? "the name of this %s is too long"
                                         : "this cannot be the name of a %s",
                      what);
    return false;
}

bool rush_sow_good_character(rush_sow_plan *plan, const rush_cell *cell, rush_text name)
{
    static const char *const reserved[] = {"id",          "date",        "place",
                                           "coordinates", "uncertainty", "count",
                                           "recorder",    "behaviour",   "notes"};
    if (!rush_sow_good_name(plan, cell, name, "character"))
        return false;
    for (size_t i = 0; i < name.length; i++)
        if (strchr(":;\"", name.at[i])) {
            rush_diagnostic *made = rush_sow_diagnose(
                plan, cell, RUSH_BAD_ID, "'%.*s' cannot be typed as a character's name",
                (int)name.length, name.at);
            rush_diagnose_help(plan->list, made, "leave out ':', ';' and quotation marks");
            return false;
        }
    for (size_t i = 0; i < sizeof reserved / sizeof *reserved; i++)
        if (rush_sow_alike(name, rush_text_of(reserved[i]))) {
            rush_diagnostic *made = rush_sow_diagnose(
                plan, cell, RUSH_RESERVED_NAME, "'%s' is a field of every record", reserved[i]);
            rush_diagnose_help(plan->list, made,
                               "this was not read; name the character otherwise");
            return false;
        }
    return true;
}

/* Small letters, digits, hyphen and point: nothing that a label would say better. */
static bool is_plain(rush_text name)
{
    for (size_t i = 0; i < name.length; i++) {
        unsigned char c = (unsigned char)name.at[i];
        bool letter = (c >= 'a' && c <= 'z') || c >= 0x80;
        if (!letter && !(c >= '0' && c <= '9') && c != '-' && c != '.')
            return false;
    }
    return true;
}

rush_text rush_sow_id(rush_sow_plan *plan, rush_text name)
{
    if (is_plain(name))
        return name;
    char *id = rush_arena_copy(plan->arena, name);
    size_t out = 0;
    for (size_t i = 0; i < name.length; i++) {
        char c = name.at[i];
        bool gap = c == ' ' || c == '-' || c == '_';
        if (gap && (!out || id[out - 1] == '-'))
            continue;
        id[out++] = gap ? '-' : (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
    }
    out -= out && id[out - 1] == '-';
    return (rush_text){id, out};
}

/* A citation is long, and then its short form is its name. */
enum { SOURCE_ID_MAX = 40 };

uint32_t rush_sow_source(rush_sow_plan *plan, const rush_cell *cell)
{
    if (!cell->text.length || !rush_sow_good_name(plan, cell, cell->text, "source"))
        return RUSH_NONE;
    uint32_t next = plan->sources.count;
    uint32_t source = rush_sow_add(plan, RUSH_SOW_SCOPE_SOURCES, cell->text, next);
    if (source == next)
        *RUSH_PUSH(plan->arena, &plan->sources) = (rush_sow_name){
            cell->text,
            cell->text.length <= SOURCE_ID_MAX ? cell->text : rush_sow_id(plan, cell->text),
            NULL};
    return source;
}

rush_text rush_sow_head(const rush_sow_plan *plan, uint32_t column)
{
    return rush_sheet_cell(&plan->sheet, 0, column)->text;
}
