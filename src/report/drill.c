/* Practice, as lines of text. */
#include "rushlight/drill.h"

#include "report/screen.h"

static const rush_taxon *taxon_of(const rush_drill_reply *reply, uint32_t form)
{
    return rush_key_taxon(reply->key, rush_key_form(reply->key, form)->taxon);
}

/* The name that a learner is likelier to use: the common one, else the scientific one. */
static void write_short(const rush_drill_reply *reply, uint32_t form, rush_buffer *line)
{
    const rush_taxon *taxon = taxon_of(reply, form);
    const char *common = rush_key_words(reply->key, taxon->vernacular, reply->language);
    rush_buffer_safe(line, rush_text_of(common[0] ? common : taxon->name));
}

/* ", male, form mature" */
static void write_form(const rush_drill_reply *reply, uint32_t at, rush_buffer *line)
{
    const rush_form *form = rush_key_form(reply->key, at);
    if (form->sex != RUSH_SEX_ANY)
        rush_buffer_format(line, ", %s", rush_sex_name(form->sex));
    if (form->name) {
        rush_buffer_string(line, ", form ");
        rush_buffer_safe(line, rush_text_of(form->name));
    }
}

/* ---- marks ----------------------------------------------------------------------------------------- */

static void write_value(const rush_drill_reply *reply, const rush_drill_mark *mark,
                        rush_buffer *line)
{
    const rush_character *character = rush_key_character(reply->key, mark->character);
    if (character->kind != RUSH_KIND_NUMBER) {
        rush_words_state(reply->key, mark->character, mark->state, reply->language, line);
        return;
    }
    rush_buffer_string(line, "about ");
    rush_buffer_number(line, mark->value, 1);
    rush_buffer_string(line, character->unit[0] ? " " : "");
    rush_buffer_safe(line, rush_text_of(character->unit));
}

static void write_mark(const rush_drill_reply *reply, const rush_drill_mark *mark,
                       rush_buffer *line)
{
    rush_words_character(reply->key, mark->character, reply->language, line);
    rush_buffer_string(line, ": ");
    write_value(reply, mark, line);
}

/* "usually blue or green" */
static void write_usual(const rush_drill_reply *reply, uint32_t form, uint32_t character,
                        rush_buffer *line)
{
    const rush_trait *trait = rush_key_trait(reply->key, form, character, NULL);
    if (trait && trait->kind == RUSH_TRAIT_INAPPLICABLE) {
        rush_buffer_string(line, "nothing of the kind");
        return;
    }
    rush_buffer_string(line, "usually ");
    rush_words_usual(reply->key, form, character, reply->language, line);
}

/* Under the reach from which they are seen, where that is another than before. */
static void write_marks(const rush_drill_reply *reply, uint32_t from, const rush_screen *screen,
                        rush_buffer *buffer)
{
    static const char *const heads[] = {
        "From afar:", "A few paces off:", "Close up, through binoculars or on a photograph:",
        "In the hand:"};
    for (uint32_t i = from; i < reply->mark_count; i++) {
        rush_reach reach = rush_key_character(reply->key, reply->marks[i].character)->reach;
        bool same =
            i && rush_key_character(reply->key, reply->marks[i - 1].character)->reach == reach;
        rush_buffer line = {0};
        if (i == 0 || !same || (i == from && !from))
            rush_screen_string(screen, 2, heads[reach], buffer);
        write_mark(reply, &reply->marks[i], &line);
        rush_screen_text(screen, 4, &line, buffer);
    }
}

static void write_occasion(const rush_drill_reply *reply, const rush_screen *screen,
                           rush_buffer *buffer)
{
    rush_buffer line = {0};
    if (!reply->occasion_count)
        return;
    for (uint32_t i = 0; i < reply->occasion_count; i++) {
        rush_buffer_string(&line, i ? "; " : "");
        write_mark(reply, &reply->occasion[i], &line);
    }
    rush_screen_text(screen, 2, &line, buffer);
}

/* What can come, which a learner may have chosen days ago. */
static void write_opening(const rush_drill_reply *reply, const rush_screen *screen,
                          rush_buffer *buffer)
{
    rush_buffer line = {0};
    if (reply->taxa < reply->card_count)
        rush_buffer_format(&line, "Practice with %u of the key's %u taxa", reply->taxa,
                           reply->card_count);
    else
        rush_buffer_format(&line, "Practice with all %u taxa of the key", reply->taxa);
    if (reply->set && rush_sighting_answer_count(reply->set)) {
        rush_buffer_string(&line, " (");
        rush_sighting_write_seen(reply->set, reply->language, &line);
        rush_buffer_byte(&line, ')');
    }
    rush_buffer_string(&line, reply->hard && reply->taxa < reply->card_count
                                  ? ": those that are confused most often."
                                  : ".");
    if (reply->due)
        rush_buffer_format(&line, " %u of them %s due to come back.", reply->due,
                           reply->due == 1 ? "is" : "are");
    rush_screen_text(screen, 0, &line, buffer);
}

static void write_look(const rush_drill_reply *reply, const rush_screen *screen,
                       rush_buffer *buffer)
{
    rush_buffer head = {0};
    if (reply->round == 1)
        write_opening(reply, screen, buffer);
    rush_buffer_format(&head, "Round %u of %u", reply->round, reply->rounds);
    rush_buffer_byte(buffer, '\n');
    rush_screen_paint(screen, RUSH_PAINT_STRONG, buffer);
    rush_screen_text(screen, 0, &head, buffer);
    rush_screen_plain(screen, buffer);
    write_occasion(reply, screen, buffer);
    write_marks(reply, 0, screen, buffer);
    rush_screen_string(screen, 0,
                       reply->round == 1
                           ? "Who is it? Any name will do. Enter: one mark more; ?: help."
                           : "Who is it?",
                       buffer);
}

/* ---- what came of it ------------------------------------------------------------------------------- */

/* What is told as the mark that tells needs no second telling. */
static bool decides(const rush_drill_outcome *outcome, uint32_t character)
{
    for (uint32_t i = 0; i < outcome->deciding_count; i++)
        if (outcome->deciding[i].character == character)
            return true;
    return false;
}

/* The marks that the other form does not show, or those that it does; at most MOST of them unless somebody asks why. */
static void write_fits(const rush_drill_reply *reply, bool against, const rush_screen *screen,
                       rush_buffer *buffer)
{
    enum { MOST = 4 };
    const rush_drill_outcome *outcome = reply->outcome;
    uint32_t count = 0, more = 0;
    rush_buffer line = {0};
    rush_buffer_string(&line, against ? "does not fit: " : "fits too: ");
    for (uint32_t i = 0; i < outcome->mark_count; i++) {
        const rush_drill_mark *mark = &outcome->marks[i];
        if (!(against ? mark->against : mark->fits) || decides(outcome, mark->character))
            continue;
        if (count == MOST && reply->kind != RUSH_DRILL_WHY) {
            more++;
            continue;
        }
        rush_buffer_string(&line, count++ ? "; " : "");
        write_mark(reply, mark, &line);
        if (!against)
            continue;
        rush_buffer_string(&line, " (");
        write_usual(reply, outcome->other, mark->character, &line);
        rush_buffer_byte(&line, ')');
    }
    if (more)
        rush_buffer_format(&line, "; and %u more", more);
    buffer->failed |= line.failed;
    if (count)
        rush_screen_text(screen, 4, &line, buffer);
    else
        rush_buffer_free(&line);
}

/* "the mark that tells: eye spacing: apart (not shown yet); there usually meeting along a line" */
static void write_deciding(const rush_drill_reply *reply, const rush_screen *screen,
                           rush_buffer *buffer)
{
    const rush_drill_outcome *outcome = reply->outcome;
    for (uint32_t i = 0; i < outcome->deciding_count; i++) {
        const rush_drill_mark *mark = &outcome->deciding[i];
        rush_buffer line = {0};
        rush_buffer_string(&line, i ? "and next: " : "the mark that tells: ");
        write_mark(reply, mark, &line);
        rush_buffer_string(&line, mark->seen ? "; there " : " (not shown yet); there ");
        write_usual(reply, outcome->other, mark->character, &line);
        rush_screen_text(screen, 4, &line, buffer);
    }
    if (!outcome->deciding_count)
        rush_screen_string(screen, 4, "None of its marks tells the two apart by itself.", buffer);
}

static void write_head(const rush_drill_reply *reply, const rush_screen *screen,
                       rush_buffer *buffer)
{
    static const char *const heads[] = {
        [RUSH_DRILL_RIGHT] = "Right: ",
        [RUSH_DRILL_WRONG] = "Not this time: it was ",
        [RUSH_DRILL_GIVEN_UP] = "It was ",
    };
    const rush_drill_outcome *outcome = reply->outcome;
    bool right = outcome->result == RUSH_DRILL_RIGHT;
    rush_buffer line = {0};
    rush_buffer_string(&line, reply->kind == RUSH_DRILL_WHY ? "The one before was "
                                                            : heads[outcome->result]);
    rush_words_taxon(reply->key, rush_key_form(reply->key, outcome->form)->taxon, reply->language,
                     &line);
    write_form(reply, outcome->form, &line);
    rush_buffer_byte(&line, '.');
    rush_screen_paint(screen, right ? RUSH_PAINT_SAFE : RUSH_PAINT_DOUBT, buffer);
    rush_screen_text(screen, 0, &line, buffer);
    rush_screen_plain(screen, buffer);
}

/* What was right in a name that was not, or wrong in one that was. */
static void write_near_miss(const rush_drill_reply *reply, const rush_screen *screen,
                            rush_buffer *buffer)
{
    const rush_drill_outcome *outcome = reply->outcome;
    rush_sex sex = rush_key_form(reply->key, outcome->form)->sex;
    rush_buffer line = {0};
    if (outcome->group != RUSH_NONE) {
        const rush_taxon *group = rush_key_taxon(reply->key, outcome->group);
        rush_buffer_format(&line, "The %s is right: ", rush_taxon_rank_name(group->rank));
        rush_words_taxon(reply->key, outcome->group, reply->language, &line);
        rush_buffer_byte(&line, '.');
    } else if (outcome->result == RUSH_DRILL_RIGHT && sex != RUSH_SEX_ANY &&
               outcome->sex != RUSH_SEX_ANY && outcome->sex != sex) {
        rush_buffer_format(&line, "The species is right, the sex is not: this is a %s.",
                           rush_sex_name(sex));
    }
    if (line.length || line.failed)
        rush_screen_text(screen, 2, &line, buffer);
    /* In the second box after a miss: it has just left the first. */
    if (outcome->result == RUSH_DRILL_RIGHT && outcome->card->box == 2 &&
        outcome->card->now_right < outcome->card->now)
        rush_screen_string(screen, 2, "You missed it before; now you have it.", buffer);
}

/* Whether a mark that tells was not shown. */
static bool more_tells(const rush_drill_outcome *outcome)
{
    for (uint32_t i = 0; i < outcome->deciding_count; i++)
        if (!outcome->deciding[i].seen)
            return true;
    return false;
}

/* How far what was shown could carry a name. */
static void write_how_sure(const rush_drill_reply *reply, const rush_screen *screen,
                           rush_buffer *buffer)
{
    static const double likely = 0.5;
    const rush_drill_outcome *outcome = reply->outcome;
    bool right = outcome->result == RUSH_DRILL_RIGHT;
    bool doubtful = right ? outcome->probability < likely : outcome->fair;
    rush_buffer line = {0};
    if (!doubtful || outcome->other == RUSH_NONE)
        return;
    if (right) {
        rush_buffer_string(
            &line, "A good eye, or luck: by what was shown it could still have been others, ");
        write_short(reply, outcome->other, &line);
        rush_buffer_string(&line, " among them.");
    } else if (outcome->result == RUSH_DRILL_GIVEN_UP) {
        rush_buffer_string(&line, "All there was to see spoke rather for ");
        write_short(reply, outcome->other, &line);
        rush_buffer_string(&line, ", so this does not count.");
    } else {
        rush_buffer_string(&line, "By what was shown ");
        write_short(reply, outcome->other, &line);
        rush_buffer_string(&line, " was the better guess, so this does not count");
        rush_buffer_string(&line,
                           more_tells(outcome) ? "; one mark more could have helped." : ".");
    }
    rush_screen_text(screen, 2, &line, buffer);
}

/* What it is compared with, sex and form as well. */
static void write_other(const rush_drill_reply *reply, const rush_screen *screen,
                        rush_buffer *buffer)
{
    rush_buffer line = {0};
    rush_buffer_string(&line, reply->outcome->result == RUSH_DRILL_WRONG
                                  ? "Beside "
                                  : "Beside the next likeliest, ");
    write_short(reply, reply->outcome->other, &line);
    write_form(reply, reply->outcome->other, &line);
    rush_buffer_byte(&line, ':');
    rush_screen_text(screen, 2, &line, buffer);
}

static void write_outcome(const rush_drill_reply *reply, const rush_screen *screen,
                          rush_buffer *buffer)
{
    const rush_drill_outcome *outcome = reply->outcome;
    write_head(reply, screen, buffer);
    write_near_miss(reply, screen, buffer);
    if (outcome->other == RUSH_NONE)
        return;
    write_other(reply, screen, buffer);
    if (outcome->result == RUSH_DRILL_WRONG || reply->kind == RUSH_DRILL_WHY) {
        write_fits(reply, false, screen, buffer);
        write_fits(reply, true, screen, buffer);
    }
    write_deciding(reply, screen, buffer);
    write_how_sure(reply, screen, buffer);
    if (reply->kind != RUSH_DRILL_WHY && outcome->card->box == 1 &&
        reply->rounds - reply->round >= RUSH_DRILL_BETWEEN)
        rush_screen_string(screen, 2, "It will come back.", buffer);
}

/* ---- the rest -------------------------------------------------------------------------------------- */

static void write_group(const rush_drill_reply *reply, const rush_screen *screen,
                        rush_buffer *buffer)
{
    rush_buffer line = {0};
    rush_buffer_string(&line,
                       reply->within ? "Yes, it belongs to " : "No, it does not belong to ");
    rush_words_taxon(reply->key, reply->group, reply->language, &line);
    rush_buffer_string(&line, reply->within ? ". Which one is it?"
                                            : ". A group costs nothing: look again.");
    rush_screen_text(screen, 2, &line, buffer);
}

static void write_outside(const rush_drill_reply *reply, const rush_screen *screen,
                          rush_buffer *buffer)
{
    rush_buffer line = {0};
    rush_words_taxon(reply->key, reply->group, reply->language, &line);
    rush_buffer_string(
        &line, " is not among those that are played here. That costs nothing: try again.");
    rush_screen_text(screen, 2, &line, buffer);
}

static void write_unknown(const rush_drill_reply *reply, const rush_screen *screen,
                          rush_buffer *buffer)
{
    for (size_t i = 0; i < rush_diagnostics_count(reply->diagnostics); i++) {
        const rush_diagnostic *diagnostic = rush_diagnostics_at(reply->diagnostics, i);
        rush_buffer line = {0}, message = {0};
        rush_buffer_format(&message, "%s%s%s", diagnostic->message, diagnostic->help ? "; " : "",
                           diagnostic->help ? diagnostic->help : "");
        rush_words_add_part(&message, &line);
        rush_screen_text(screen, 2, &line, buffer);
    }
    rush_screen_string(screen, 2, "That costs nothing: try again.", buffer);
}

/* What is not shown yet and tells most, and how to look: once in a drill, which ? repeats. */
static void write_hint(const rush_drill_reply *reply, const rush_screen *screen,
                       rush_buffer *buffer)
{
    uint32_t at = reply->marks[reply->mark_count - 1].character;
    const char *tip =
        rush_key_words(reply->key, rush_key_character(reply->key, at)->tip, reply->language);
    rush_buffer line = {0};
    write_marks(reply, reply->mark_count - 1, screen, buffer);
    rush_buffer_string(&line, "Of what is left, this tells most. ");
    if (!reply->explained)
        rush_buffer_safe(&line, rush_text_of(tip));
    rush_screen_text(screen, 4, &line, buffer);
}

/* `why` speaks of the round before, which need not be what was meant. */
static void write_back_to(const rush_drill_reply *reply, const rush_screen *screen,
                          rush_buffer *buffer)
{
    rush_buffer line = {0};
    if (!reply->outcome)
        rush_buffer_string(&line, "Nothing has been named yet. ");
    rush_buffer_format(&line, "Round %u goes on: who is it? hint: the mark that tells most.",
                       reply->round);
    rush_screen_text(screen, 0, &line, buffer);
}

static void write_help(const rush_drill_reply *reply, const rush_screen *screen,
                       rush_buffer *buffer)
{
    enum { TIPS = 3 };
    static const char *const lines[] = {
        ("Name it: a common or a scientific name, or how its words begin. The name of a group is told "
         "right or wrong and costs nothing."),
        "Enter: one mark more; hint or h: the mark that tells most; marks: all so far",
        "give up: tell me; why: the last one again, with all its marks",
        "quit or q: end, with the score", "How to look:"};
    uint32_t from = reply->mark_count > TIPS ? reply->mark_count - TIPS : 0;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        rush_screen_string(screen, 2, lines[i], buffer);
    for (uint32_t i = from; i < reply->mark_count; i++) {
        uint32_t at = reply->marks[i].character;
        const rush_character *character = rush_key_character(reply->key, at);
        const char *tip = rush_key_words(reply->key, character->tip, reply->language);
        rush_buffer line = {0};
        rush_words_character(reply->key, at, reply->language, &line);
        rush_buffer_string(&line, ": ");
        rush_buffer_safe(&line, rush_text_of(tip[0] ? tip : "the key does not say"));
        rush_screen_text(screen, 4, &line, buffer);
    }
}

static void write_end(const rush_drill_reply *reply, const rush_screen *screen,
                      rush_buffer *buffer)
{
    rush_buffer line = {0};
    rush_buffer_byte(buffer, '\n');
    if (rush_diagnostics_out_of_memory(reply->diagnostics))
        rush_screen_string(screen, 0, rush_slug_meaning(RUSH_OUT_OF_MEMORY), buffer);
    if (reply->played)
        rush_buffer_format(&line, "%u of %u named rightly.", reply->right, reply->played);
    else if (!reply->fair)
        rush_buffer_string(&line, "Nothing was named; come back soon.");
    if (reply->fair)
        rush_buffer_format(&line,
                           "%s%u round%s did not count: what was shown spoke for another name.",
                           reply->played ? " " : "", reply->fair, reply->fair == 1 ? "" : "s");
    rush_screen_paint(screen, RUSH_PAINT_STRONG, buffer);
    rush_screen_text(screen, 0, &line, buffer);
    rush_screen_plain(screen, buffer);
    bool first = true;
    for (uint32_t i = 0; i < reply->card_count; i++) {
        const rush_drill_card *card = &reply->cards[i];
        rush_buffer missed = {0};
        if (card->now == card->now_right)
            continue;
        if (first)
            rush_screen_string(screen, 0, "To look at again:", buffer);
        first = false;
        rush_words_taxon(reply->key, card->taxon, reply->language, &missed);
        rush_buffer_format(&missed, ", %u of %u", card->now_right, card->now);
        rush_screen_text(screen, 2, &missed, buffer);
    }
}

void rush_report_drill(const rush_drill_reply *reply, const rush_screen *screen,
                       rush_buffer *buffer)
{
    rush_screen assumed = rush_screen_assumed(screen);
    screen = &assumed;
    if (reply->outcome)
        write_outcome(reply, screen, buffer);
    switch (reply->kind) {
    case RUSH_DRILL_LOOK:
        write_look(reply, screen, buffer);
        break;
    case RUSH_DRILL_MORE:
        write_marks(reply, reply->mark_count - reply->newest, screen, buffer);
        break;
    case RUSH_DRILL_HINT:
        write_hint(reply, screen, buffer);
        break;
    case RUSH_DRILL_WHY:
        write_back_to(reply, screen, buffer);
        break;
    case RUSH_DRILL_NO_MORE:
        rush_screen_string(screen, 2,
                           "That is all there is to see. Name it as well as you can, or give up.",
                           buffer);
        break;
    case RUSH_DRILL_MARKS:
        write_occasion(reply, screen, buffer);
        write_marks(reply, 0, screen, buffer);
        break;
    case RUSH_DRILL_GROUP:
        write_group(reply, screen, buffer);
        break;
    case RUSH_DRILL_OUTSIDE:
        write_outside(reply, screen, buffer);
        break;
    case RUSH_DRILL_UNKNOWN:
        write_unknown(reply, screen, buffer);
        break;
    case RUSH_DRILL_HELP:
        write_help(reply, screen, buffer);
        break;
    case RUSH_DRILL_END:
        write_end(reply, screen, buffer);
        break;
    }
}
