/* Simulated observers: what they see, what is counted, and that it does not matter who does the work. */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "key/without.h"
#include "trial/capacity.h"
#include "trial/view.h"

static const char *key_path;

static void assert_near(double value, double wanted, double within)
{
    if (!(fabs(value - wanted) <= within))
        fail_msg("%.12g instead of %.12g", value, wanted);
}

static rush_trial *hold(const rush_key *key, const rush_trial_options *options)
{
    rush_trial *trial = rush_trial_hold(key, options);
    assert_non_null(trial);
    return trial;
}

static rush_trial_options only(rush_observer observer, uint32_t sightings)
{
    rush_trial_options options = rush_trial_usual();
    for (int o = 0; o < RUSH_OBSERVER_COUNT; o++)
        options.observers[o] = o == (int)observer;
    options.sightings = sightings;
    return options;
}

static rush_key *key_of(const char *text)
{
    rush_diagnostics *list = rush_diagnostics_new();
    rush_key *key = support_key_of_text(text, list);
    if (!key)
        support_show(list);
    rush_diagnostics_free(list);
    assert_non_null(key);
    return key;
}

/* ---- threads -------------------------------------------------------------------------------------- */

static uint64_t told, told_of;

static void listen(void *user, uint64_t done, uint64_t of)
{
    assert_ptr_equal(user, &told);
    assert_true(done > told || done == of);
    told = done;
    told_of = of;
}

static void add_tally(rush_trial_tally *sum, const rush_trial_tally *more)
{
    uint32_t ended = 0;
    sum->sightings += more->sightings;
    for (int o = 0; o < RUSH_OUTCOME_COUNT; o++) {
        sum->outcomes[o] += more->outcomes[o];
        ended += more->outcomes[o];
    }
    sum->sexed += more->sexed;
    sum->sexed_right += more->sexed_right;
    assert_int_equal(ended, more->sightings);
    assert_true(more->sexed_right <= more->sexed);
}

/* Each sighting is counted once in every table. */
static void assert_sums(const rush_trial *trial, const rush_trial_run *run)
{
    rush_trial_tally by_sex = {0}, by_taxon = {0};
    uint32_t binned = 0, right = run->all.outcomes[RUSH_OUTCOME_RIGHT], against = 0;
    add_tally(&by_sex, &run->by_sex[0]);
    add_tally(&by_sex, &run->by_sex[1]);
    for (uint32_t i = 0; i < rush_key_leaf_count(trial->key); i++)
        add_tally(&by_taxon, &run->by_taxon[i]);
    assert_memory_equal(&by_sex, &run->all, sizeof by_sex);
    assert_memory_equal(&by_taxon, &run->all, sizeof by_taxon);
    for (int b = 0; b < RUSH_TRIAL_BINS; b++)
        binned += run->bins[b].sightings;
    assert_int_equal(binned, trial->options.sightings);
    for (uint32_t i = 0; i < run->confusion_count; i++)
        against +=
            run->confusions[i].taken + run->confusions[i].mistaken + run->confusions[i].unsettled;
    assert_true(against <= run->all.sightings - right);
    double asked = 0, answered = 0;
    for (uint32_t c = 0; c < rush_key_character_count(trial->key); c++) {
        asked += run->characters[c].asked;
        answered += run->characters[c].answered;
    }
    assert_near(asked / binned, run->asked.mean, 1e-9);
    assert_near(answered / binned, run->answered.mean, 1e-9);
}

/* The whole document is the same, byte by byte. */
static void any_number_of_threads(void **state)
{
    (void)state;
    rush_key *key = support_key(key_path);
    rush_blank blank = {0};
    rush_buffer documents[3] = {{0}};
    blank.taxon = rush_key_find_taxon(key, rush_text_of("Pyrrhosoma nymphula"));
    blank.character = rush_key_find_character(key, rush_text_of("total length"));
    for (uint32_t jobs = 1; jobs <= 3; jobs++) {
        rush_trial_options options = rush_trial_usual();
        options.sightings = 300;
        options.jobs = jobs;
        options.blanks = &blank;
        options.blank_count = 1;
        options.progress = listen;
        options.user = &told;
        told = told_of = 0;
        rush_trial *trial = hold(key, &options);
        assert_int_equal(told_of, 2 * RUSH_OBSERVER_COUNT * 300);
        for (uint32_t r = 0; r < trial->run_count; r++)
            assert_sums(trial, &trial->runs[r]);
        rush_report_trial_json(trial, &documents[jobs - 1]);
        rush_trial_free(trial);
    }
    assert_false(documents[0].failed);
    assert_string_equal(documents[0].bytes, documents[1].bytes);
    assert_string_equal(documents[0].bytes, documents[2].bytes);
    for (int i = 0; i < 3; i++)
        rush_buffer_free(&documents[i]);
    rush_key_free(key);
}

/* ---- a key to reckon with ------------------------------------------------------------------------- */

/* Two taxa, one character of two states, one answer in five misread: a binary symmetric channel. */
static const char channel_text[] =
    "rushlight: 1\nkey: channel\ntitle: A channel\nunlisted: 0\ncaution_factor: 1\n"
    "characters: {outline: {states: [round, fan], misread: 0.2}}\n"
    "taxa:\n  Tidella ficta: {rank: species, traits: {outline: round}}\n"
    "  Murmica ficta: {rank: species, traits: {outline: fan}}\n";

static void reckoned_by_hand(void **state)
{
    (void)state;
    enum { SIGHTINGS = 5000 };
    rush_key *key = key_of(channel_text);
    rush_trial_options options = only(RUSH_OBSERVER_CAREFUL, SIGHTINGS);
    options.unseen = 0;
    rush_trial *trial = hold(key, &options);
    const rush_trial_run *run = rush_trial_find(trial, RUSH_OBSERVER_CAREFUL, RUSH_NONE);
    /* One question, after which the taxon that was seen stands at 0.8: not safe, nothing left to ask. */
    assert_int_equal(run->all.outcomes[RUSH_OUTCOME_NOTHING], SIGHTINGS);
    assert_near(run->asked.mean, 1, 0);
    assert_near(run->asked.sd, 0, 0);
    assert_int_equal(run->answered.median, 1);
    const rush_trial_character *outline = &run->characters[RUSH_BUILT_IN_CHARACTERS];
    uint32_t misread = outline->misread, right = SIGHTINGS - misread;
    uint32_t counted = 0;
    for (int b = 0; b < RUSH_TRIAL_BINS; b++)
        counted += run->bins[b].right;
    assert_int_equal(counted, right);
    /* Three and a half standard deviations of the binomial law. */
    assert_true(fabs(misread - 0.2 * SIGHTINGS) < 3.5 * sqrt(SIGHTINGS * 0.2 * 0.8));
    /* Brier's score over the two taxa is 2 (1 - 0.8)^2 = 0.08 or 2 (1 - 0.2)^2 = 1.28; Good's is
     * -log2 0.8 = 0.321928 or -log2 0.2 = 2.321928. */
    assert_near(run->brier, (0.08 * right + 1.28 * misread) / SIGHTINGS, 1e-9);
    assert_near(run->log_score, (0.321928095 * right + 2.321928095 * misread) / SIGHTINGS, 1e-8);
    /* An answer takes the truth from 1/2 to 0.8 or to 0.2: log2 1.6 = 0.678072, log2 0.4 = -1.321928. */
    assert_near(outline->bits, 0.678072 * right - 1.321928 * misread, 0.01);
    /* Of a binary symmetric channel the capacity is 1 - H(e) (Shannon 1948; Cover and Thomas 2006, Elements
     * of Information Theory, 7.1.4): 1 - H(0.2) = 0.278072. */
    assert_near(run->entropy, 1, 1e-9);
    assert_near(trial->capacity, 0.278072, 1e-3);
    assert_int_equal(trial->best_character, RUSH_BUILT_IN_CHARACTERS);
    assert_near(rush_trial_floor(trial, run), 1 / 0.278072, 0.02);
    rush_trial_free(trial);
    rush_key_free(key);
}

/* Capacities from Cover and Thomas (2006), chapter 7: erasure, Z-channel, noisy typewriter (of 4 letters). */
static void capacities(void **state)
{
    (void)state;
    double scratch[16];
    static const double erasure[] = {0.7, 0.3, 0, 0, 0.3, 0.7};
    assert_near(rush_capacity(erasure, 2, 3, 1e-9, scratch), 0.7, 1e-6);
    static const double z[] = {1, 0, 0.5, 0.5};
    assert_near(rush_capacity(z, 2, 2, 1e-9, scratch), log2(1.25), 1e-6);
    static const double typewriter[] = {0.5, 0.5, 0,   0,   0,   0.5, 0.5, 0,
                                        0,   0,   0.5, 0.5, 0.5, 0,   0,   0.5};
    assert_near(rush_capacity(typewriter, 4, 4, 1e-9, scratch), 1, 1e-6);
    static const double useless[] = {0.3, 0.7, 0.3, 0.7};
    assert_near(rush_capacity(useless, 2, 2, 1e-9, scratch), 0, 1e-9);
    /* The divergence of two laws is the information at even chances: of the Z-channel H(1/4) - 1/2. */
    assert_near(rush_divergence(z, z + 2, 2), 0.811278124 - 0.5, 1e-9);
    assert_near(rush_divergence(z, z, 2), 0, 0);
    static const double apart[] = {0, 1};
    assert_near(rush_divergence(z, apart, 2), 1, 0);
}

/* ---- calibration ---------------------------------------------------------------------------------- */

/* Its observers do just what its model says: no caution, nothing unlisted, settings as they are met. It is
 * variety more than misreads that leaves them in doubt, since an answer that is looked at twice is chosen. */
#define KEY_HEAD "rushlight: 1\nkey: perfect\ntitle: A perfect key\n"
#define KEY_CHARACTERS(outline, ribs, rim, width)                                                \
    "characters:\n"                                                                              \
    "  outline: {states: [round, oval, fan, tall], misread: " outline                            \
    ", confused: [[round, oval]]}\n"                                                             \
    "  ribs: {states: [few, many], misread: " ribs "}\n"                                         \
    "  rim: {states: [plain, toothed, thick], misread: " rim "}\n"                               \
    "  width: {measure: length, reading_error: 3, misread: " width ", resolution: 1}\n"          \
    "  month: {setting: months}\n"                                                               \
    "  shore: {setting: states, states: [sand, mud]}\n"                                          \
    "taxa:\n"
#define KEY_TAXA                                                                                                  \
    "  A: {rank: genus}\n"                                                                                        \
    "  A a: {rank: species, within: A, occurrence: 30, traits: {outline: {round: 0.7, oval: 0.3}, ribs: few, "    \
    "rim: {plain: 0.8, thick: 0.2}, width: 10-20, month: Apr-Oct}}\n"                                             \
    "  A b: {rank: species, within: A, occurrence: 10, traits: {outline: {round: 0.3, oval: 0.7}, "               \
    "ribs: {few: 0.3, many: 0.7}, rim: plain, width: 14-26, shore: sand}}\n"                                      \
    "  A c: {rank: species, within: A, occurrence: 5, traits: {outline: oval, ribs: few, rim: [toothed, thick], " \
    "width: 18-30, month: Jun-Aug}}\n"                                                                            \
    "  B: {rank: genus}\n"                                                                                        \
    "  B a: {rank: species, within: B, occurrence: 20, traits: {outline: {fan: 0.8, oval: 0.2}, ribs: many, "     \
    "rim: [thick, plain], width: 12-24, shore: mud}}\n"                                                           \
    "  B b:\n"                                                                                                    \
    "    rank: species\n"                                                                                         \
    "    within: B\n"                                                                                             \
    "    occurrence: 8\n"                                                                                         \
    "    traits: {outline: [fan, tall], width: 20-40}\n"                                                          \
    "    forms:\n"                                                                                                \
    "      - {sex: male, share: 0.6, traits: {ribs: many, rim: toothed}}\n"                                       \
    "      - {sex: female, share: 0.4, traits: {ribs: few, rim: thick}}\n"

static const char perfect_text[] = KEY_HEAD
    "unlisted: 0\ncaution_factor: 1\n" KEY_CHARACTERS("0.02", "0.02", "0.02", "0.02") KEY_TAXA;

static void a_perfect_key_is_calibrated(void **state)
{
    (void)state;
    enum { SIGHTINGS = 20000 };
    rush_key *key = key_of(perfect_text);
    rush_trial_options options = only(RUSH_OBSERVER_CAREFUL, SIGHTINGS);
    options.jobs = 2;
    rush_trial *trial = hold(key, &options);
    const rush_trial_run *run = &trial->runs[0];
    uint32_t tested = 0;
    for (int b = 0; b < RUSH_TRIAL_BINS; b++) {
        const rush_trial_bin *bin = &run->bins[b];
        double right = bin->sightings ? (double)bin->right / bin->sightings : 0;
        print_message("stated %.4f, right %.4f of %u\n", bin->stated, right, bin->sightings);
        if (bin->sightings < 200)
            continue;
        tested++;
        double sd = sqrt(bin->stated * (1 - bin->stated) / bin->sightings);
        assert_true(fabs(right - bin->stated) < 3.5 * sd + 0.002);
    }
    assert_true(tested >= 4);
    /* What answers told of the truth, in all, is what is left of the entropy; both are means of draws. */
    double told_bits = 0;
    for (uint32_t c = 0; c < rush_key_character_count(key); c++)
        told_bits += run->characters[c].bits / SIGHTINGS;
    assert_near(run->entropy - told_bits, run->log_score, 0.05);
    assert_true(run->answered.mean > rush_trial_floor(trial, run) * told_bits / run->entropy);
    assert_true(rush_trial_safe_right(&run->all) >= 0.95);
    rush_trial_free(trial);
    rush_key_free(key);
}

/* ---- what observers see --------------------------------------------------------------------------- */

static void rates_of_a_view(void **state)
{
    (void)state;
    enum { VIEWS = 20000 };
    rush_key *key = key_of(KEY_HEAD KEY_CHARACTERS("0.1", "0.1", "0.1", "0.1") KEY_TAXA);
    uint32_t outline = rush_key_find_character(key, rush_text_of("outline")), states[4] = {0};
    uint32_t seen_count = 0, misread[2] = {0}, both = 0, again = 0;
    for (uint64_t i = 0; i < VIEWS; i++) {
        rush_view careful = {.key = key,
                             .seed = 5,
                             .number = i,
                             .form = 2,
                             .misread = 1,
                             .unseen = 0.2,
                             .in_mind = RUSH_NONE};
        rush_view poor = careful, stubborn = careful;
        poor.misread = 2;
        stubborn.stubborn = true;
        rush_seen one, other, third, fourth;
        bool shown = rush_view_look(&careful, outline, 0, &one);
        assert_int_equal(rush_view_look(&poor, outline, 0, &other), shown);
        if (!shown)
            continue;
        seen_count++;
        states[one.state]++;
        assert_int_equal(one.misread, one.state != 1); /* it is oval */
        misread[0] += one.misread;
        misread[1] += other.misread;
        both += one.misread && other.misread;
        assert_true(rush_view_look(&careful, outline, 1, &third));
        again += one.misread && third.misread;
        assert_true(rush_view_look(&stubborn, outline, 0, &third));
        assert_true(rush_view_look(&stubborn, outline, 1, &fourth));
        assert_int_equal(third.state, fourth.state);
    }
    double seen = seen_count;
    assert_true(fabs(seen / VIEWS - 0.8) < 0.01);
    assert_true(fabs(misread[0] / seen - 0.1) < 0.01);
    assert_true(fabs(misread[1] / seen - 0.2) < 0.01);
    assert_int_equal(both, misread[0]); /* the poor observer errs wherever the careful one does */
    assert_true(fabs(again / seen - 0.01) < 0.004); /* a second look is a new one */
    /* Four fifths of the misreads of oval go to round, which it is confused with; the rest evenly. */
    assert_true(fabs(states[0] / seen - 0.08) < 0.01);
    assert_true(fabs(states[2] / seen - 0.01) < 0.004);
    assert_true(fabs(states[3] / seen - 0.01) < 0.004);
    rush_key_free(key);
}

static void numbers_and_settings(void **state)
{
    (void)state;
    enum { VIEWS = 20000 };
    rush_key *key = key_of(perfect_text);
    uint32_t width = rush_key_find_character(key, rush_text_of("width"));
    uint32_t month = rush_key_find_character(key, rush_text_of("month")), months[12] = {0};
    double sum = 0, squares = 0, count = 0;
    for (uint64_t i = 0; i < VIEWS; i++) {
        rush_view view = {.key = key, .seed = 6, .number = i, .form = 0, .in_mind = RUSH_NONE};
        rush_seen seen;
        assert_true(rush_view_look(&view, width, 0, &seen));
        assert_near(seen.step, 1, 0); /* nobody writes parts of what is read to 3 mm */
        assert_near(seen.value, round(seen.value), 0);
        sum += seen.value;
        squares += seen.value * seen.value;
        count++;
        assert_true(rush_view_look(&view, month, 0, &seen));
        months[seen.state]++;
    }
    double mean = sum / count, sd = sqrt(squares / count - mean * mean);
    /* 10-20 is mean 15, sd 2.5; with a reading error of 3 and rounding, sqrt(2.5^2 + 3^2 + 1/12). */
    assert_true(fabs(mean - 15) < 0.12);
    assert_true(fabs(sd - 3.916) < 0.1);
    /* April to October: 1 within, 0.5 at the ends, 0.2 beside them, 0.01 beyond: 6.43 in all. */
    assert_true(fabs(months[6] / count - 1 / 6.43) < 0.01);
    assert_true(fabs(months[3] / count - 0.5 / 6.43) < 0.01);
    assert_true(fabs(months[2] / count - 0.2 / 6.43) < 0.006);
    assert_true(months[0] < 0.005 * count);
    rush_key_free(key);
}

/* Somebody with another form in mind, and with eyes for nothing else, reports that one. */
static void what_is_in_mind(void **state)
{
    (void)state;
    rush_key *key = key_of(perfect_text);
    uint32_t outline = rush_key_find_character(key, rush_text_of("outline"));
    for (uint64_t i = 0; i < 200; i++) {
        rush_view view = {
            .key = key, .seed = 8, .number = i, .form = 2, .in_mind = 3, .leans = 1};
        rush_seen seen;
        assert_true(rush_view_look(&view, outline, 0, &seen));
        assert_true(seen.state == 2 || seen.state == 1); /* B a: a fan, sometimes oval */
        assert_int_equal(seen.misread, seen.state != 1); /* the insect is A c, which is oval */
    }
    rush_key_free(key);
}

/* Forms are met by occurrence x share x the settings that suit them; a look-alike is another taxon of the genus,
 * of the same sex where there is one. */
static void what_is_met(void **state)
{
    (void)state;
    enum { MET = 40000 };
    rush_key *key = key_of(perfect_text);
    /* Months: April to October 6.43, June to August 2 + 0.4 + 7 x 0.01 = 2.47, any 12. Shores: one 1.03, any 2. */
    static const double weights[] = {30 * 6.43 * 2,  10 * 12 * 1.03, 5 * 2.47 * 2,
                                     20 * 12 * 1.03, 8 * 0.6 * 24,   8 * 0.4 * 24};
    double total = 0;
    uint32_t met[6] = {0};
    rush_meeting meeting;
    assert_true(rush_meeting_begin(&meeting, key, false));
    for (uint64_t i = 0; i < MET; i++)
        met[rush_meeting_form(&meeting, 3, i, RUSH_NONE)]++;
    for (int f = 0; f < 6; f++)
        total += weights[f];
    for (int f = 0; f < 6; f++)
        assert_near((double)met[f] / MET, weights[f] / total, 0.008);
    uint32_t genus = rush_key_find_taxon(key, rush_text_of("B"));
    rush_random random = {11};
    for (uint64_t i = 0; i < 500; i++) {
        uint32_t form = rush_meeting_form(&meeting, 3, i, genus);
        assert_true(form >= 3);
        uint32_t like = rush_meeting_look_alike(&meeting, form, &random);
        assert_true(form == 3 ? like > 3 : like == 3);
        like = rush_meeting_look_alike(&meeting, 0, &random);
        assert_true(like == 1 || like == 2);
    }
    rush_meeting_free(&meeting);
    rush_key_free(key);
}

/* ---- less than the whole key ---------------------------------------------------------------------- */

/* A text without what stands between two marks. */
static void cut(char *text, const char *from, const char *to)
{
    char *begin = strstr(text, from);
    assert_non_null(begin);
    char *end = strstr(begin, to);
    assert_non_null(end);
    memmove(begin, end, strlen(end) + 1);
}

/* Both keys rank some lines alike; `b`'s taxa are those of `a` in their order. */
static void assert_alike(const rush_key *a, const rush_key *b)
{
    static const char *const lines[] = {"outline: fan", "outline: oval; ribs: many; month: May",
                                        "width: 22 mm; rim: thick; shore: mud",
                                        "ribs: few; width: 31 mm; outline: tall"};
    assert_int_equal(rush_key_taxon_count(a), rush_key_taxon_count(b));
    assert_int_equal(rush_key_form_count(a), rush_key_form_count(b));
    rush_sighting *sighting = rush_sighting_new(b);
    rush_ranker *one = rush_ranker_new(a), *other = rush_ranker_new(b);
    rush_adviser *adviser = rush_adviser_new(a), *other_adviser = rush_adviser_new(b);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        support_sighting(sighting, lines[i]);
        const rush_ranking *mine = rush_rank(one, sighting, NULL);
        const rush_ranking *theirs = rush_rank(other, sighting, NULL);
        for (uint32_t t = 0; t < rush_key_taxon_count(a); t++)
            assert_near(mine->taxa[t], theirs->taxa[t], 1e-12);
        for (uint32_t f = 0; f < rush_key_form_count(a); f++)
            assert_near(mine->forms[f], theirs->forms[f], 1e-12);
        assert_near(mine->unlisted, theirs->unlisted, 1e-12);
        uint32_t count, other_count;
        const rush_look *looks = rush_look_next(adviser, mine, NULL, &count);
        const rush_look *other_looks = rush_look_next(other_adviser, theirs, NULL, &other_count);
        assert_int_equal(count, other_count);
        for (uint32_t l = 0; l < count; l++) {
            assert_int_equal(looks[l].character, other_looks[l].character);
            assert_near(looks[l].gain, other_looks[l].gain, 1e-12);
        }
    }
    rush_adviser_free(adviser);
    rush_adviser_free(other_adviser);
    rush_ranker_free(one);
    rush_ranker_free(other);
    rush_sighting_free(sighting);
}

/* A key less a taxon ranks as the key whose text does not have it: with siblings, and the last of a genus. */
static void without_a_taxon(void **state)
{
    (void)state;
    static const char text[] = KEY_HEAD KEY_CHARACTERS("0.1", "0.1", "0.1", "0.1") KEY_TAXA
        "  C: {rank: genus}\n  C a: {rank: species, within: C, occurrence: 9, traits: "
        "{outline: tall, width: 44-60}}\nsightings: []\n";
    static const struct {
        const char *taxon, *from, *to;
    } cases[] = {{"A a", "  A a:", "  A b:"},
                 {"A b", "  A b:", "  A c:"},
                 {"B a", "  B a:", "  B b:"},
                 {"C a", "  C:", "sightings:"}};
    char less[4096];
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        snprintf(less, sizeof less, "%s", text);
        cut(less, cases[i].from, cases[i].to);
        rush_key *whole = key_of(text), *authored = key_of(less);
        uint32_t taxa[16], gone = rush_key_find_taxon(whole, rush_text_of(cases[i].taxon));
        rush_key *made = rush_key_without_taxon(whole, gone, taxa);
        assert_non_null(made);
        assert_alike(made, authored);
        for (uint32_t t = 0; t < rush_key_taxon_count(made); t++)
            assert_string_equal(rush_key_taxon(whole, taxa[t])->name,
                                rush_key_taxon(authored, t)->name);
        rush_key_free(made);
        rush_key_free(authored);
        rush_key_free(whole);
    }
}

/* A key less a trait ranks as the key whose text says `unknown` there. */
static void without_a_trait(void **state)
{
    (void)state;
    static const char with[] = ", width: 20-40}", without[] = "}";
    char text[4096];
    const char *at = strstr(perfect_text, with);
    assert_non_null(at);
    snprintf(text, sizeof text, "%.*s%s%s", (int)(at - perfect_text), perfect_text, without,
             at + strlen(with));
    rush_key *whole = key_of(perfect_text), *authored = key_of(text);
    uint32_t taxon = rush_key_find_taxon(whole, rush_text_of("B b"));
    rush_key *made = rush_key_without_trait(
        whole, taxon, rush_key_find_character(whole, rush_text_of("width")));
    assert_non_null(made);
    assert_alike(made, authored);
    rush_key_free(made);
    rush_key_free(authored);
    rush_key_free(whole);
}

/* ---- what would mend it --------------------------------------------------------------------------- */

/* Two that only their ribs separate, which one of them has lost; the trial points at it. */
static void points_at_what_is_missing(void **state)
{
    (void)state;
    static const char head[] =
        "rushlight: 1\nkey: mend\ntitle: To be mended\n"
        "characters:\n"
        "  outline: {states: [round, oval, fan], misread: 0.01}\n"
        "  ribs: {states: [few, many], misread: 0.01}\n"
        "  rim: {states: [plain, toothed], misread: 0.01}\n"
        "taxa:\n"
        "  A: {rank: genus, traits: {rim: plain}}\n"
        "  A a: {rank: species, within: A, traits: {outline: round, ribs: few}}\n"
        "  A d: {rank: species, within: A, traits: {outline: oval, ribs: many}}\n"
        "  A c: {rank: species, within: A, traits: {outline: fan, ribs: few}}\n"
        "  A e: {rank: species, within: A, traits: {outline: fan, ribs: many, rim: toothed}}\n";
    static const char whole_line[] =
        "  A b: {rank: species, within: A, traits: {outline: round, ribs: many}}\n";
    static const char blank_line[] =
        "  A b: {rank: species, within: A, traits: {outline: round}}\n";
    char text[2][2048];
    snprintf(text[0], sizeof text[0], "%s%s", head, whole_line);
    snprintf(text[1], sizeof text[1], "%s%s", head, blank_line);
    rush_key *key[2] = {key_of(text[0]), key_of(text[1])};
    rush_trial_options options = only(RUSH_OBSERVER_CAREFUL, 1000);
    options.unseen = 0;
    rush_trial *whole = hold(key[0], &options), *blank = hold(key[1], &options);
    const rush_confusion *worst = &blank->runs[0].confusions[0];
    assert_true(blank->runs[0].confusion_count > 0);
    assert_string_equal(rush_key_taxon(key[1], worst->taxon)->name, "A a");
    assert_string_equal(rush_key_taxon(key[1], worst->other)->name, "A b");
    assert_int_equal(worst->mend, RUSH_MEND_SCORE);
    assert_int_equal(worst->character, rush_key_find_character(key[1], rush_text_of("ribs")));
    for (uint32_t i = 0; i < whole->runs[0].confusion_count; i++) {
        const rush_confusion *before = &whole->runs[0].confusions[i];
        if (before->taxon == worst->taxon && before->other == worst->other)
            assert_true(worst->cost > 3 * before->cost);
    }
    rush_trial_free(whole);
    rush_trial_free(blank);
    rush_key_free(key[0]);
    rush_key_free(key[1]);
}

/* A blank on the whole key is the same as the key without the trait, but for what is met. */
static void blanks_cost_something(void **state)
{
    (void)state;
    rush_key *key = key_of(perfect_text);
    rush_blank blank = {rush_key_find_taxon(key, rush_text_of("A a")),
                        rush_key_find_character(key, rush_text_of("outline"))};
    rush_trial_options options = only(RUSH_OBSERVER_CAREFUL, 3000);
    options.blanks = &blank;
    options.blank_count = 1;
    rush_trial *trial = hold(key, &options);
    assert_int_equal(trial->run_count, 2);
    const rush_trial_run *whole = rush_trial_find(trial, RUSH_OBSERVER_CAREFUL, RUSH_NONE);
    const rush_trial_run *less = rush_trial_find(trial, RUSH_OBSERVER_CAREFUL, 0);
    for (uint32_t i = 0; i < rush_key_leaf_count(key); i++)
        assert_int_equal(whole->by_taxon[i].sightings, less->by_taxon[i].sightings);
    assert_true(less->log_score > whole->log_score + 0.02);
    assert_true(rush_trial_share(&less->all, RUSH_OUTCOME_RIGHT) <
                rush_trial_share(&whole->all, RUSH_OUTCOME_RIGHT));
    assert_null(rush_trial_find(trial, RUSH_OBSERVER_POOR, RUSH_NONE));
    rush_trial_free(trial);
    rush_key_free(key);
}

/* ---- the shipped key ------------------------------------------------------------------------------ */

/* This project's own promise: of what is called safe, the part that is right is at least the threshold, for
 * careful observers and for those who misread twice as often. The rest is printed. */
static void safe_is_safe(void **state)
{
    (void)state;
    rush_key *key = support_key(key_path);
    rush_trial_options options = rush_trial_usual();
    options.sightings = 1500;
    options.jobs = 2;
    rush_trial *trial = hold(key, &options);
    for (int o = 0; o < RUSH_OBSERVER_COUNT; o++) {
        const rush_trial_run *run = rush_trial_find(trial, (rush_observer)o, RUSH_NONE);
        print_message(
            "%s: safe and right %.1f %%, of what was called safe %.2f %% right; %.2f asked, %.2f "
            "answered\n",
            rush_observer_name((rush_observer)o),
            100 * rush_trial_share(&run->all, RUSH_OUTCOME_RIGHT),
            100 * rush_trial_safe_right(&run->all), run->asked.mean, run->answered.mean);
        if (o == RUSH_OBSERVER_CAREFUL || o == RUSH_OBSERVER_POOR)
            assert_true(rush_trial_safe_right(&run->all) >= RUSH_SAFE_DEFAULT);
    }
    rush_trial_free(trial);
    rush_key_free(key);
}

int main(int argc, char **argv)
{
    if (argc < 2)
        return 2;
    key_path = argv[1];
    const struct CMUnitTest tests[] = {cmocka_unit_test(any_number_of_threads),
                                       cmocka_unit_test(reckoned_by_hand),
                                       cmocka_unit_test(capacities),
                                       cmocka_unit_test(a_perfect_key_is_calibrated),
                                       cmocka_unit_test(rates_of_a_view),
                                       cmocka_unit_test(numbers_and_settings),
                                       cmocka_unit_test(what_is_in_mind),
                                       cmocka_unit_test(what_is_met),
                                       cmocka_unit_test(without_a_taxon),
                                       cmocka_unit_test(without_a_trait),
                                       cmocka_unit_test(points_at_what_is_missing),
                                       cmocka_unit_test(blanks_cost_something),
                                       cmocka_unit_test(safe_is_safe)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
