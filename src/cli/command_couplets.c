/* couplets: a printed key out of the multi-access one. */
#include "command.h"
#include "input.h"
#include "output.h"
#include "part_options.h"

typedef struct couplets_settings {
    const char *key, *language;
    part_settings part;
    uint32_t leads;
    int reach, style, out;
} couplets_settings;

static const char *const reaches[] = {"far", "near", "close", "hand", NULL};
static const char *const styles[] = {"bracketed", "indented", NULL};
enum { OUT_TEXT, OUT_JSON, OUT_MARKDOWN };
static const char *const outs[] = {"text", "json", "markdown", NULL};

static const couplets_settings defaults = {.leads = 2, .reach = RUSH_REACH_HAND};

#define AT(member) offsetof(couplets_settings, member)
static const rush_option options[] = {
    {"key", OPTION_STRING, AT(key), "KEY",
     "a key file, a folder with a key.yaml, or a built-in key's\n"
     "                          name; the adult Odonata key unless told",
     0, 0, NULL},
    PART_OPTIONS(couplets_settings, part),
    {"leads", OPTION_WHOLE, AT(leads), "N", "of a couplet, at most", 2, RUSH_LEADS_MAX, NULL},
    {"reach", OPTION_CHOICE, AT(reach), NULL, "nothing is asked that needs more", 0, 0, reaches},
    {"style", OPTION_CHOICE, AT(style), NULL,
     "leads of a couplet together with the way back in brackets,\n"
     "                          or each behind what it leads to, set in",
     0, 0, styles},
    {"out", OPTION_CHOICE, AT(out), NULL, "text, JSON, or Markdown", 0, 0, outs},
    {"language", OPTION_STRING, AT(language), "L",
     "of names and texts; the key's first unless told", 0, 0, NULL},
};
#undef AT

static const char examples[] =
    "  rushlight couplets\n"
    "  rushlight couplets --where 'habitat: garden pond; month: July' --reach close\n"
    "  rushlight couplets --within Zygoptera --leads 4 --style indented\n"
    "  rushlight couplets --taxa pond.txt --out markdown >key.md\n";

static const char more[] =
    "Whoever reads each couplet rightly ends at the right name: what can be seen in two ways\n"
    "goes both ways, so that a name may stand in several places. What under a tenth of a form\n"
    "shows is not followed. Couplets that are easy and seldom misread come first. What cannot be told\n"
    "ends as a group, with what would tell it. --occurrence local, or common, leaves out what is met\n"
    "seldom, and makes the key much shorter.\n";

static void write(const couplets_settings *settings, const rush_couplets *couplets,
                  uint32_t language, rush_buffer *out)
{
    rush_couplets_style style =
        settings->style ? RUSH_COUPLETS_INDENTED : RUSH_COUPLETS_BRACKETED;
    if (settings->out == OUT_JSON)
        rush_report_couplets_json(couplets, language, out);
    else if (settings->out == OUT_MARKDOWN)
        rush_report_couplets_markdown(couplets, style, language, out);
    else
        rush_report_couplets_text(couplets, style, language, out);
}

static int make(const rush_key *key, const void *given)
{
    const couplets_settings *settings = given;
    int status = EXIT_DONE;
    uint32_t language;
    const rush_part *part = NULL;
    if (!input_language(key, settings->language, &language))
        return EXIT_USAGE;
    if (!part_or_whole(key, &settings->part, language, &part, &status))
        return status;
    rush_couplets_options how = {settings->leads, (rush_reach)settings->reach};
    const rush_couplets *couplets = rush_couplets_make(part, &how);
    rush_buffer out = {0};
    if (!couplets) {
        status = output_no_memory();
    } else {
        write(settings, couplets, language, &out);
        if (!output_write(&out))
            status = EXIT_FAULT;
    }
    rush_buffer_free(&out);
    rush_couplets_free(couplets);
    rush_part_free(part);
    return status;
}

const rush_command command_couplets = {
    .name = "couplets",
    .summary = "a printed key: numbered couplets, for the whole key or a part",
    .operands = "",
    .examples = examples,
    .more = more,
    .options = options,
    .option_count = COUNT(options),
    .defaults = &defaults,
    .settings_size = sizeof defaults,
    .work = make,
    .key_offset = offsetof(couplets_settings, key),
};
