/* sheet: a handout for a part of a key. */
#include <string.h>

#include "command.h"
#include "input.h"
#include "output.h"
#include "part_options.h"

typedef struct sheet_settings {
    const char *key, *language, *title, *place;
    part_settings part;
    uint32_t leads, pairs, marks;
    int reach, out;
    bool large, no_couplets;
} sheet_settings;

static const char *const reaches[] = {"far", "near", "close", "hand", NULL};
enum { OUT_HTML, OUT_MARKDOWN, OUT_TEXT, OUT_JSON };
static const char *const outs[] = {"html", "markdown", "text", "json", NULL};

static const sheet_settings defaults = {
    .leads = 2, .pairs = 8, .marks = 6, .reach = RUSH_REACH_CLOSE};

#define AT(member) offsetof(sheet_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    PART_OPTIONS(sheet_settings, part),
    {"title", OPTION_STRING, AT(title), "TEXT", "of the sheet; the key's own unless told", 0, 0,
     NULL},
    {"place", OPTION_STRING, AT(place), "TEXT", "said below the title: where, when, for whom", 0,
     0, NULL},
    {"out", OPTION_CHOICE, AT(out), NULL, "one HTML file, Markdown, text, or JSON", 0, 0, outs},
    {"large-print", OPTION_FLAG, AT(large), NULL, "for those who read with difficulty", 0, 0,
     NULL},
    {"language", OPTION_STRING, AT(language), "L", "of what the key says; its first unless told",
     0, 0, NULL},
    {"leads", OPTION_WHOLE, AT(leads), "N", "of a couplet, at most", 2, RUSH_LEADS_MAX, NULL},
    {"reach", OPTION_CHOICE, AT(reach), NULL, "couplets ask nothing that needs more", 0, 0,
     reaches},
    {"no-couplets", OPTION_FLAG, AT(no_couplets), NULL, "leave the printed key out", 0, 0, NULL},
    {"marks", OPTION_WHOLE, AT(marks), "N", "in an account, at most: those that tell most here",
     1, 1000, NULL},
    {"pairs", OPTION_WHOLE, AT(pairs), "N",
     "of look-alikes, at most; not what is told\n"
     "                          apart 99 times in 100",
     0, 30, NULL},
};
#undef AT

static const char examples[] =
    "  rushlight sheet --where 'habitat: garden pond; month: July' >pond.html\n"
    "  rushlight sheet --where 'month: July' --occurrence common >everyday.html\n"
    "  rushlight sheet --taxa pond.txt --title 'At our pond' --place 'Marl Pit, an invented pond' >pond.html\n"
    "  rushlight sheet --within Zygoptera --large-print --language nl >juffers.html\n"
    "  rushlight sheet --where 'month: May' --no-couplets --out text\n";

static const char more[] =
    "Print the HTML file at 100 %, on A4: the bars of size are then as long as in life, which the ruler\n"
    "on it lets you check. It needs no network and runs no script. Names and words of the key are in the\n"
    "language that is asked for, as far as the key has them; what the sheet itself says is English, and is\n"
    "marked as such for those who have it read aloud. Each sheet says what to take care of; local law and\n"
    "licensed practice come first. --occurrence local, or common, keeps what is met seldom off the sheet.\n";

static int write_sheet(const sheet_settings *settings, const rush_sheet_request *request)
{
    rush_buffer out = {0};
    rush_document *document = rush_sheet_make(request);
    if (!document)
        return output_no_memory();
    if (settings->out == OUT_HTML)
        rush_document_html(document, &out);
    else if (settings->out == OUT_MARKDOWN)
        rush_document_markdown(document, &out);
    else if (settings->out == OUT_TEXT)
        rush_document_text(document, &out);
    else
        rush_document_json(document, &out);
    rush_document_free(document);
    bool written = output_write(&out);
    rush_buffer_free(&out);
    return written ? EXIT_DONE : EXIT_FAULT;
}

static const char *said_or_null(const char *text)
{
    return text && text[strspn(text, " ")] ? text : NULL;
}

static int make(const rush_key *key, const void *given)
{
    const sheet_settings *settings = given;
    int status = EXIT_DONE, written;
    rush_sheet_request request = {.title = said_or_null(settings->title),
                                  .place = said_or_null(settings->place),
                                  .pairs = settings->pairs,
                                  .marks = settings->marks,
                                  .large = settings->large};
    if (!input_language(key, settings->language, &request.language))
        return EXIT_USAGE;
    if (!part_or_whole(key, &settings->part, request.language, &request.part, &status))
        return status;
    rush_couplets_options how = {settings->leads, (rush_reach)settings->reach};
    if (!settings->no_couplets)
        request.couplets = rush_couplets_make(request.part, &how);
    if (!settings->no_couplets && !request.couplets)
        written = output_no_memory();
    else
        written = write_sheet(settings, &request);
    rush_couplets_free(request.couplets);
    rush_part_free(request.part);
    return written ? written : status;
}

const rush_command command_sheet = {
    .name = "sheet",
    .summary = "a handout to print: key, look-alikes, accounts, true sizes",
    .operands = "",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .work = make,
    .key_offset = offsetof(sheet_settings, key),
    .drawn = true,
};
