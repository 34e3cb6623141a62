#include "diagnostic/diagnostic.h"

#include <stdlib.h>
#include <string.h>

struct rush_diagnostics {
    rush_arena arena;
    RUSH_LIST(rush_diagnostic *) found;
    size_t dropped, counts[RUSH_ERROR + 1]; /* by severity */
    bool graded;
    rush_grades grades; /* when graded */
    size_t faults;      /* errors as the table has them, with those that were not worth telling */
    bool out_of_memory;
};

static const struct {
    const char *name;
    rush_severity severity;
    const char *meaning;
} slugs[] = {
#define X(name, slug, severity, meaning) {slug, RUSH_##severity, meaning},
    RUSH_SLUGS(X)
#undef X
};

const char *rush_slug_name(rush_slug slug)
{
    return slugs[slug].name;
}

const char *rush_slug_meaning(rush_slug slug)
{
    return slugs[slug].meaning;
}

rush_severity rush_slug_severity(rush_slug slug)
{
    return slugs[slug].severity;
}

rush_slug rush_slug_find(rush_text name)
{
    for (int i = 0; i < RUSH_SLUG_COUNT; i++)
        if (rush_text_equal(name, rush_text_of(slugs[i].name)))
            return (rush_slug)i;
    return RUSH_SLUG_COUNT;
}

const char *rush_slug_nearest(rush_text name)
{
    const char *names[RUSH_SLUG_COUNT + 1];
    for (int i = 0; i < RUSH_SLUG_COUNT; i++)
        names[i] = slugs[i].name;
    names[RUSH_SLUG_COUNT] = NULL;
    return rush_text_nearest(name, names);
}

bool rush_slug_adjustable(rush_slug slug)
{
    return slugs[slug].severity != RUSH_ERROR || slug == RUSH_SIGHTING_FAILS ||
           slug == RUSH_SIGHTING_UNREAD;
}

void rush_grades_usual(rush_grades *grades)
{
    for (int i = 0; i < RUSH_SLUG_COUNT; i++) {
        grades->of[i] = slugs[i].severity;
        grades->allowed[i] = false;
    }
}

void rush_diagnostics_grade(rush_diagnostics *list, const rush_grades *grades)
{
    list->graded = true;
    list->grades = *grades;
}

const char *rush_severity_name(rush_severity severity)
{
    static const char *const names[] = {"note", "warning", "error"};
    return names[severity];
}

rush_diagnostics *rush_diagnostics_new(void)
{
    return calloc(1, sizeof(rush_diagnostics));
}

void rush_diagnostics_clear(rush_diagnostics *list)
{
    rush_arena_free(&list->arena);
    *list = (rush_diagnostics){0};
}

void rush_diagnostics_free(rush_diagnostics *list)
{
    if (list)
        rush_arena_free(&list->arena);
    free(list);
}

size_t rush_diagnostics_count(const rush_diagnostics *list)
{
    return list->found.count;
}

size_t rush_diagnostics_dropped(const rush_diagnostics *list)
{
    return list->dropped;
}

size_t rush_diagnostics_errors(const rush_diagnostics *list)
{
    return list->counts[RUSH_ERROR];
}

size_t rush_diagnostics_of(const rush_diagnostics *list, rush_severity severity)
{
    return list->counts[severity];
}

size_t rush_diagnostics_faults(const rush_diagnostics *list)
{
    return list->faults;
}

bool rush_diagnostics_out_of_memory(const rush_diagnostics *list)
{
    return list->out_of_memory;
}

const rush_diagnostic *rush_diagnostics_at(const rush_diagnostics *list, size_t at)
{
    return list->found.items[at];
}

static int compare(const rush_diagnostic *a, const rush_diagnostic *b)
{
    if (a->place.order != b->place.order)
        return a->place.order < b->place.order ? -1 : 1;
    if (a->place.line != b->place.line)
        return a->place.line < b->place.line ? -1 : 1;
    if (a->place.column != b->place.column)
        return a->place.column < b->place.column ? -1 : 1;
    return 0;
}

/* By insertion: a list holds at most RUSH_DIAGNOSTICS_MAX and is nearly sorted as it comes. */
void rush_diagnostics_sort(rush_diagnostics *list)
{
    rush_diagnostic **items = list->found.items;
    for (uint32_t i = 1; i < list->found.count; i++) {
        rush_diagnostic *moving = items[i];
        uint32_t at = i;
        for (; at && compare(items[at - 1], moving) > 0; at--)
            items[at] = items[at - 1];
        items[at] = moving;
    }
}

static rush_place keep_place(rush_arena *arena, rush_place place)
{
    place.file = rush_arena_copy(arena, rush_text_of(place.file));
    place.excerpt.at = rush_arena_copy(arena, place.excerpt);
    return place;
}

static bool stands_already(const rush_diagnostics *list, rush_slug slug, const rush_place *place,
                           const char *message)
{
    for (uint32_t i = 0; i < list->found.count; i++) {
        const rush_diagnostic *other = list->found.items[i];
        if (other->slug == slug && other->place.line && other->place.order == place->order &&
            other->place.offset == place->offset && other->place.line == place->line &&
            strcmp(other->message, message) == 0)
            return true;
    }
    return false;
}

bool rush_diagnosed(const rush_diagnostics *list, rush_slug slug, const rush_source *source,
                    rush_span span)
{
    for (uint32_t i = 0; i < list->found.count; i++) {
        const rush_place *place = &list->found.items[i]->place;
        if (list->found.items[i]->slug == slug && place->order == source->order &&
            place->offset == span.start)
            return true;
    }
    return false;
}

void rush_suggest_init(const rush_diagnostics *list, rush_nearest *nearest, rush_text wanted)
{
    enum { SUGGESTED = 100 }; /* a list that is longer wants another cure than spelling */
    rush_nearest_init(nearest, list->found.count < SUGGESTED ? wanted : (rush_text){"", 0});
}

/* What is being made, for the guard. */
typedef struct diagnostic_making {
    rush_diagnostics *list;
    rush_slug slug;
    rush_severity severity;
    rush_place place; /* its strings are the source's until they are kept */
    rush_diagnostic *made;
    const char *text;
} diagnostic_making;

static bool guard(diagnostic_making *making, void (*work)(void *with))
{
    bool whole = rush_arena_guard(&making->list->arena, work, making);
    if (!whole)
        making->list->out_of_memory = true;
    return whole;
}

static void make(void *with)
{
    diagnostic_making *making = with;
    rush_arena *arena = &making->list->arena;
    rush_diagnostic *made = RUSH_NEW(arena, rush_diagnostic);
    made->slug = making->slug;
    made->severity = making->severity;
    if (making->place.file)
        made->place = keep_place(arena, making->place);
    made->message = rush_arena_copy(arena, rush_text_of(making->text));
    *RUSH_PUSH(arena, &making->list->found) = made;
    making->made = made;
}

rush_diagnostic *rush_vdiagnose(rush_diagnostics *list, rush_slug slug, const rush_source *source,
                                rush_span span, const char *format, va_list arguments)
{
    bool error = slugs[slug].severity == RUSH_ERROR;
    if (source && rush_source_doubts(source, span)) {
        list->faults += error;
        return NULL;
    }
    rush_severity severity = list->graded ? list->grades.of[slug] : slugs[slug].severity;
    if (list->graded && list->grades.allowed[slug])
        return NULL;
    if (list->found.count >= RUSH_DIAGNOSTICS_MAX) {
        list->counts[severity]++;
        list->faults += error;
        list->dropped++;
        return NULL;
    }
    rush_buffer message = {0};
    rush_buffer_vformat(&message, format, arguments);
    diagnostic_making making = {
        .list = list, .slug = slug, .severity = severity, .text = message.bytes};
    if (source)
        making.place = rush_source_place(source, span);
    if (message.failed) {
        list->out_of_memory = true;
    } else if (!stands_already(list, slug, &making.place, message.bytes)) {
        list->counts[severity]++;
        list->faults += error;
        guard(&making, make);
    }
    rush_buffer_free(&message);
    return making.made;
}

rush_diagnostic *rush_diagnose(rush_diagnostics *list, rush_slug slug, const rush_source *source,
                               rush_span span, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    rush_diagnostic *made = rush_vdiagnose(list, slug, source, span, format, arguments);
    va_end(arguments);
    return made;
}

static void make_help(void *with)
{
    diagnostic_making *making = with;
    making->made->help = rush_arena_copy(&making->list->arena, rush_text_of(making->text));
}

void rush_diagnose_help(rush_diagnostics *list, rush_diagnostic *diagnostic, const char *format,
                        ...)
{
    if (!diagnostic)
        return;
    rush_buffer help = {0};
    va_list arguments;
    va_start(arguments, format);
    rush_buffer_vformat(&help, format, arguments);
    va_end(arguments);
    diagnostic_making making = {.list = list, .made = diagnostic, .text = help.bytes};
    if (help.failed)
        list->out_of_memory = true;
    else
        guard(&making, make_help);
    rush_buffer_free(&help);
}

void rush_diagnose_help_from(rush_diagnostics *list, rush_diagnostic *diagnostic,
                             rush_buffer *help)
{
    if (help->failed)
        list->out_of_memory = true;
    else if (help->length)
        rush_diagnose_help(list, diagnostic, "%s", help->bytes);
    rush_buffer_free(help);
}

void rush_diagnose_nearest(rush_diagnostics *list, rush_diagnostic *diagnostic,
                           const rush_nearest *nearest, const char *otherwise)
{
    rush_buffer said = {0};
    if (!rush_nearest_say(nearest, &said) && otherwise)
        rush_buffer_string(&said, otherwise);
    rush_diagnose_help_from(list, diagnostic, &said);
}

static void make_other(void *with)
{
    diagnostic_making *making = with;
    rush_arena *arena = &making->list->arena;
    making->made->other = keep_place(arena, making->place);
    making->made->other_message = rush_arena_copy(arena, rush_text_of(making->text));
}

void rush_diagnose_other(rush_diagnostics *list, rush_diagnostic *diagnostic,
                         const rush_source *source, rush_span span, const char *message)
{
    if (!diagnostic)
        return;
    diagnostic_making making = {.list = list,
                                .made = diagnostic,
                                .place = rush_source_place(source, span),
                                .text = message};
    guard(&making, make_other);
}

void rush_diagnose_follows(rush_diagnostics *list)
{
    list->faults++;
}

void rush_diagnose_out_of_memory(rush_diagnostics *list)
{
    list->out_of_memory = true;
}

static void name_file(void *with)
{
    diagnostic_making *making = with;
    making->made->place.file = rush_arena_copy(&making->list->arena, rush_text_of(making->text));
}

void rush_diagnostics_note(rush_diagnostics *list, rush_slug slug, const char *file,
                           const char *message, const char *help)
{
    rush_diagnostic *made = rush_diagnose(list, slug, NULL, (rush_span){0}, "%s", message);
    if (!made)
        return;
    diagnostic_making making = {.list = list, .made = made, .text = file};
    guard(&making, name_file);
    if (help)
        rush_diagnose_help(list, made, "%s", help);
}
