#include "report/trial_text.h"

#include "report/cells.h"
#include "report/words.h"

enum { OBSERVER = 11, WIDE = 15 };

static const char *const outcomes[RUSH_OUTCOME_COUNT] = {"right and safe", "safe but wrong",
                                                         "a group only", "nothing safe"};

static void write_title(const rush_trial *trial, uint32_t language, rush_buffer *buffer)
{
    const rush_key_header *header = rush_key_about(trial->key);
    const rush_trial_options *options = &trial->options;
    rush_buffer_safe(buffer, rush_text_of(header->id));
    if (header->version) {
        rush_buffer_byte(buffer, ' ');
        rush_buffer_safe(buffer, rush_text_of(header->version));
    }
    rush_buffer_format(buffer, ": %u sighting%s of each observer", options->sightings,
                       options->sightings == 1 ? "" : "s");
    if (options->within != RUSH_NONE) {
        rush_buffer_string(buffer, " within ");
        rush_words_taxon(trial->key, options->within, language, buffer);
    }
    rush_buffer_format(buffer, "%s, seed %llu\n", options->evenly ? ", each taxon alike" : "",
                       (unsigned long long)options->seed);
    rush_buffer_string(buffer, "  unseen ");
    rush_buffer_number(buffer, options->unseen * 100, 1);
    rush_buffer_format(buffer, " %% of the characters; reach %s; safe from ",
                       rush_reach_name(options->reach));
    rush_buffer_number(buffer, (options->safe > 0 ? options->safe : RUSH_SAFE_DEFAULT) * 100, 4);
    rush_buffer_string(buffer, " %\n");
}

/* ---- how they ended ------------------------------------------------------------------------------- */

static void write_heads(const char *first, size_t width, rush_buffer *buffer)
{
    rush_buffer_byte(buffer, '\n');
    rush_cell_text(first, width, buffer);
    for (int o = 0; o < RUSH_OUTCOME_COUNT; o++)
        rush_cell_head(outcomes[o], WIDE, buffer);
    rush_cell_head("of safe, right", WIDE, buffer);
    rush_buffer_string(buffer, "  (95 % interval)\n");
}

static void write_tally(const rush_trial_tally *tally, rush_buffer *buffer)
{
    for (int o = 0; o < RUSH_OUTCOME_COUNT; o++)
        rush_cell_percent(rush_trial_share(tally, (rush_outcome)o), WIDE, buffer);
    double low, high;
    if (rush_trial_safe_interval(tally, &low, &high)) {
        rush_cell_percent(rush_trial_safe_right(tally), WIDE, buffer);
        rush_buffer_string(buffer, "  (");
        rush_buffer_decimal(buffer, low * 100, 1);
        rush_buffer_string(buffer, " to ");
        rush_buffer_decimal(buffer, high * 100, 1);
        rush_buffer_byte(buffer, ')');
    }
    rush_buffer_byte(buffer, '\n');
}

static bool is_whole(const rush_trial_run *run)
{
    return run->blank == RUSH_NONE && run->all.sightings;
}

static void write_observers(const rush_trial *trial, rush_buffer *buffer)
{
    write_heads("observer", OBSERVER, buffer);
    for (uint32_t r = 0; r < trial->run_count; r++) {
        if (!is_whole(&trial->runs[r]))
            continue;
        rush_cell_text(rush_observer_name(trial->runs[r].observer), OBSERVER, buffer);
        write_tally(&trial->runs[r].all, buffer);
    }
}

/* Whether the key tells the sexes of anything: galls and cast skins have none. */
static bool has_sexes(const rush_key *key)
{
    for (uint32_t f = 0; f < rush_key_form_count(key); f++)
        if (rush_key_form(key, f)->sex != RUSH_SEX_ANY)
            return true;
    return false;
}

/* Of the sexes that were called safe beside a name, how many were right. */
static void write_sexes(const rush_trial *trial, rush_buffer *buffer)
{
    write_heads("sex", OBSERVER + 8, buffer);
    for (uint32_t r = 0; r < trial->run_count; r++) {
        const rush_trial_run *run = &trial->runs[r];
        for (int sex = 0; sex < 2 && is_whole(run); sex++) {
            if (!run->by_sex[sex].sightings)
                continue;
            rush_cell_text(rush_observer_name(run->observer), OBSERVER, buffer);
            rush_cell_text(rush_sex_name((rush_sex)sex), 8, buffer);
            write_tally(&run->by_sex[sex], buffer);
        }
    }
    for (uint32_t r = 0; r < trial->run_count; r++) {
        const rush_trial_tally *all = &trial->runs[r].all;
        if (!is_whole(&trial->runs[r]) || !all->sexed)
            continue;
        rush_buffer_format(buffer, "  %s: a sex was safe beside the name in ",
                           rush_observer_name(trial->runs[r].observer));
        rush_words_percent((double)all->sexed / all->sightings, buffer);
        rush_buffer_string(buffer, ", and right in ");
        rush_words_percent((double)all->sexed_right / all->sexed, buffer);
        rush_buffer_string(buffer, " of these\n");
    }
}

/* ---- questions ------------------------------------------------------------------------------------ */

static void write_spread(const char *observer, const char *what, const rush_trial_spread *spread,
                         rush_buffer *buffer)
{
    rush_cell_text(observer, OBSERVER, buffer);
    rush_cell_text(what, 10, buffer);
    rush_cell_number(spread->mean, 2, 8, buffer);
    rush_cell_number(spread->sd, 2, 8, buffer);
    const uint32_t points[] = {spread->least, spread->lower, spread->median, spread->upper,
                               spread->most};
    for (size_t i = 0; i < sizeof points / sizeof *points; i++)
        rush_cell_whole(points[i], 8, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_floor(const rush_trial *trial, uint32_t language, rush_buffer *buffer)
{
    const rush_trial_run *run = &trial->runs[0];
    rush_buffer text = {0};
    if (trial->best_character == RUSH_NONE || !run->all.sightings)
        return;
    rush_buffer_string(&text,
                       "no questions could find the taxon beyond doubt with fewer answers than ");
    rush_buffer_decimal(&text, rush_trial_floor(trial, run), 2);
    rush_buffer_string(&text, " in the mean: the prior leaves ");
    rush_buffer_decimal(&text, run->entropy, 2);
    rush_buffer_string(&text, " bits open once the settings are told, and the best character (");
    rush_character_name(trial->key, trial->best_character, language, &text);
    rush_buffer_string(&text, ") tells at most ");
    rush_buffer_decimal(&text, trial->capacity, 2);
    rush_buffer_string(&text, " an answer");
    rush_buffer_string(buffer, "  floor: ");
    rush_words_wrap_part(&text, 9, RUSH_TEXT_COLUMNS, buffer);
    rush_buffer_byte(buffer, '\n');
}

static void write_questions(const rush_trial *trial, uint32_t language, rush_buffer *buffer)
{
    static const char *const heads[] = {"mean", "sd", "least", "1/4", "1/2", "3/4", "most"};
    rush_buffer_byte(buffer, '\n');
    rush_cell_text("questions", OBSERVER + 10, buffer);
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++)
        rush_cell_head(heads[i], 8, buffer);
    rush_buffer_byte(buffer, '\n');
    for (uint32_t r = 0; r < trial->run_count; r++) {
        const rush_trial_run *run = &trial->runs[r];
        if (!is_whole(run))
            continue;
        write_spread(rush_observer_name(run->observer), "asked", &run->asked, buffer);
        write_spread("", "answered", &run->answered, buffer);
    }
    write_floor(trial, language, buffer);
}

/* ---- calibration ---------------------------------------------------------------------------------- */

enum { PLOT = 40 };

static double right_of(const rush_trial_bin *bin)
{
    return bin->sightings ? (double)bin->right / bin->sightings : 0;
}

/* Where the plot begins: the ten per cent below all that it shows. */
static int plot_from(const rush_trial_run *run)
{
    double least = 0.9;
    for (int b = 0; b < RUSH_TRIAL_BINS; b++) {
        const rush_trial_bin *bin = &run->bins[b];
        if (bin->sightings && bin->stated < least)
            least = bin->stated;
        if (bin->sightings && right_of(bin) < least)
            least = right_of(bin);
    }
    return (int)(least * 10);
}

/* So many were right `#`, so many should have been `|`. */
static void write_bar(double right, double stated, int from, rush_buffer *buffer)
{
    double scale = PLOT / (1 - from / 10.0);
    int filled = (int)((right - from / 10.0) * scale + 0.5);
    int mark = (int)((stated - from / 10.0) * scale + 0.5);
    rush_buffer_string(buffer, "  ");
    for (int i = 0; i <= PLOT; i++)
        rush_buffer_byte(buffer, i == mark ? '|' : i < filled ? '#' : '.');
    rush_buffer_byte(buffer, '\n');
}

static void write_bin(const rush_trial_bin *bin, int from, rush_buffer *buffer)
{
    rush_cell_number(bin->from * 100, 0, 5, buffer);
    rush_buffer_string(buffer, " to");
    rush_cell_number(bin->to * 100, 0, 4, buffer);
    rush_buffer_string(buffer, " %");
    rush_cell_whole(bin->sightings, 10, buffer);
    rush_cell_percent(bin->stated, 10, buffer);
    rush_cell_percent(right_of(bin), 10, buffer);
    write_bar(right_of(bin), bin->stated, from, buffer);
}

static void write_calibration(const rush_trial_run *run, rush_buffer *buffer)
{
    int from = plot_from(run);
    rush_buffer_format(
        buffer,
        "\n%s: of verdicts that stated so much, so many were right\n"
        "  stated         sightings      mean     right  from %d %% to 100 %%; | is the "
        "mean stated\n",
        rush_observer_name(run->observer), from * 10);
    for (int b = 0; b < RUSH_TRIAL_BINS; b++)
        if (run->bins[b].sightings)
            write_bin(&run->bins[b], from, buffer);
    rush_buffer_string(buffer, "  over all taxa: Brier score ");
    rush_buffer_decimal(buffer, run->brier, 3);
    rush_buffer_string(buffer, " (0 is perfect, 2 the worst), log score ");
    rush_buffer_decimal(buffer, run->log_score, 3);
    rush_buffer_string(buffer, " bits\n");
}

/* ---- blanks --------------------------------------------------------------------------------------- */

/* The tally of the taxon's own sightings. */
static rush_trial_tally tally_within(const rush_key *key, const rush_trial_run *run,
                                     uint32_t taxon)
{
    const rush_taxon *within = rush_key_taxon(key, taxon);
    rush_trial_tally sum = {0};
    for (uint32_t i = within->first_leaf; i < within->first_leaf + within->leaf_count; i++) {
        sum.sightings += run->by_taxon[i].sightings;
        for (int o = 0; o < RUSH_OUTCOME_COUNT; o++)
            sum.outcomes[o] += run->by_taxon[i].outcomes[o];
    }
    return sum;
}

static void write_own_sightings(const rush_trial *trial, uint32_t blank, rush_buffer *buffer)
{
    uint32_t taxon = trial->options.blanks[blank].taxon;
    for (uint32_t r = 0; r < trial->run_count; r++) {
        const rush_trial_run *run = &trial->runs[r];
        if (!is_whole(run) || run->observer == RUSH_OBSERVER_STRANGERS)
            continue;
        rush_trial_tally whole = tally_within(trial->key, run, taxon);
        rush_trial_tally less =
            tally_within(trial->key, rush_trial_find(trial, run->observer, blank), taxon);
        if (!whole.sightings)
            continue;
        rush_buffer_format(buffer, "  of its own %u sightings, %s: right and safe ",
                           whole.sightings, rush_observer_name(run->observer));
        rush_words_percent(rush_trial_share(&whole, RUSH_OUTCOME_RIGHT), buffer);
        rush_buffer_string(buffer, ", blank ");
        rush_words_percent(rush_trial_share(&less, RUSH_OUTCOME_RIGHT), buffer);
        rush_buffer_byte(buffer, '\n');
    }
}

static void write_blanks(const rush_trial *trial, uint32_t language, rush_buffer *buffer)
{
    for (uint32_t b = 0; b < trial->options.blank_count; b++) {
        const rush_blank *blank = &trial->options.blanks[b];
        rush_trial_column columns[] = {{"the key", trial, RUSH_NONE}, {"blank", trial, b}};
        rush_buffer_string(buffer, "\nblank: ");
        rush_words_taxon(trial->key, blank->taxon, language, buffer);
        rush_buffer_string(buffer, ", ");
        rush_words_character(trial->key, blank->character, language, buffer);
        rush_buffer_byte(buffer, '\n');
        rush_report_trials_beside(columns, 2, buffer);
        write_own_sightings(trial, b, buffer);
    }
}

/* ---- the whole ------------------------------------------------------------------------------------ */

static void write_taxa(const rush_trial_table *table, rush_buffer *buffer)
{
    bool strangers = table->run->observer == RUSH_OBSERVER_STRANGERS;
    rush_buffer_format(buffer, "\n%s: taxa %s\n", rush_observer_name(table->run->observer),
                       strangers
                           ? "most often called safe as another, when they are not in the key"
                           : "least often right and safe");
    rush_buffer_string(buffer,
                       "                                sightings     right     wrong     "
                       "group   nothing\n");
    rush_trial_write_taxa(table, buffer);
}

static void write_lessons(const rush_trial_table *table, rush_buffer *buffer)
{
    const char *observer = rush_observer_name(table->run->observer);
    if (table->run->confusion_count) {
        rush_buffer_format(
            buffer,
            "\n%s: confusions, the costliest first, and what would mend them\n"
            "     cost    in wrong names; an unsettled sighting counts as little as "
            "the threshold has it\n",
            observer);
        rush_trial_write_confusions(table, buffer);
    }
    rush_buffer_format(buffer,
                       "\n%s: what characters earn, in bits\n"
                       "                                  asked  answered   misread an answer "
                       "a sighting\n",
                       observer);
    rush_trial_write_characters(table, buffer);
}

void rush_report_trial(const rush_trial *trial, uint32_t language, uint32_t top,
                       rush_buffer *buffer)
{
    write_title(trial, language, buffer);
    write_observers(trial, buffer);
    write_questions(trial, language, buffer);
    for (uint32_t r = 0; r < trial->run_count; r++)
        if (is_whole(&trial->runs[r]) && trial->runs[r].observer != RUSH_OBSERVER_STRANGERS)
            write_calibration(&trial->runs[r], buffer);
    if (has_sexes(trial->key))
        write_sexes(trial, buffer);
    for (uint32_t r = 0; r < trial->run_count; r++) {
        const rush_trial_run *run = &trial->runs[r];
        rush_trial_table table = {trial, run, language, top};
        /* Of one observer; the others' are much the same, and in the JSON document. */
        bool strangers = run->observer == RUSH_OBSERVER_STRANGERS;
        if (is_whole(run) && (r == 0 || strangers))
            write_taxa(&table, buffer);
        if (is_whole(run) && r == 0 && !strangers)
            write_lessons(&table, buffer);
    }
    write_blanks(trial, language, buffer);
}
