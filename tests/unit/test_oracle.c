/* The library against a second, slow reckoning of its model (oracle.c), on a few hundred invented
 * keys.
 *
 * The keys reach the library as YAML and the sightings as lines, so that the loader, the compiled
 * model and the grammar are under test together. A disagreement prints the key, the line, what
 * was compared and both numbers. */
#include <inttypes.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "oracle.h"
#include "rushlight/advice.h"

#define CLOSE      1e-7 /* what is kept of the unlisted and of misreads is in single precision */
#define CLOSE_BITS 1e-6 /* information, whose tables are in single precision */
#define LOOSE      1e-3 /* for what the oracle finds on a grid */

enum { KEYS = 400, LINES = 6, STRICT_KEYS = 300 };

/* ---- one key and one line, on both sides
 * ----------------------------------------------------------- */

typedef struct bench {
    made_key made;
    made_sighting saw;
    oracle_posterior posterior;
    rush_key *key;
    rush_diagnostics *diagnostics;
    rush_sighting *sighting;
    rush_ranker *ranker;
    rush_adviser *adviser;
    const rush_ranking *ranking;
    rush_rank_options options;
    uint32_t form[MADE_FORMS]; /* the library's number of each made form */
} bench;

static void show_case(const bench *with)
{
    fprintf(stderr, "---- key.yaml\n%s", with->made.text);
    if (with->made.in_parts)
        fprintf(stderr, "---- characters.yaml\n%s", with->made.part);
    fprintf(stderr, "---- the line (key %" PRIu64 ", unlisted %g)\n%s\n----\n", with->made.seed,
            with->made.unlisted, with->saw.line);
}

#define FAIL_CASE(with, ...)                                                                     \
    do {                                                                                         \
        show_case(with);                                                                         \
        fprintf(stderr, __VA_ARGS__);                                                            \
        fail();                                                                                  \
    } while (0)

static void agree_within(const bench *with, double tolerance, const char *what, const char *of,
                         double got, double want)
{
    if (got == want || fabs(got - want) <= tolerance)
        return;
    FAIL_CASE(with, "%s of '%s': the library has %.17g, the oracle %.17g\n", what, of, got, want);
}

static void agree(const bench *with, const char *what, const char *of, double got, double want)
{
    agree_within(with, CLOSE, what, of, got, want);
}

/* A comparison of two numbers so near that rounding could settle it. */
static bool too_near(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b));
}

static const char *read_file(void *user, const char *name, rush_buffer *text)
{
    const made_key *made = user;
    if (name && strcmp(name, "characters.yaml") != 0)
        return "no such file";
    rush_buffer_string(text, name ? made->part : made->text);
    return NULL;
}

static void fail_with_diagnostics(const bench *with, const char *what)
{
    rush_buffer text = {0};
    rush_diagnostics_write(with->diagnostics, &text);
    show_case(with);
    fprintf(stderr, "%s:\n%s", what, text.bytes ? text.bytes : "");
    rush_buffer_free(&text);
    fail();
}

/* Forms of one taxon keep the order in which they were written. */
static void match_forms(bench *with)
{
    for (int t = 0; t < with->made.taxa; t++) {
        const made_taxon *made = &with->made.taxon[t];
        const rush_taxon *taxon = rush_key_taxon(with->key, (uint32_t)t);
        assert_string_equal(taxon->name, made->name);
        for (int i = 0; made->leaf && i < made->forms; i++)
            with->form[made->first_form + i] = taxon->first_form + (uint32_t)i;
        if (made->leaf)
            assert_int_equal(taxon->form_count, made->forms);
    }
    assert_int_equal(rush_key_form_count(with->key), with->made.forms);
}

static void begin_key(bench *with, uint64_t seed, made_wish wish)
{
    make_key(&with->made, seed, wish);
    with->saw.line[0] = 0;
    with->diagnostics = rush_diagnostics_new();
    rush_key_files files = {read_file, &with->made, "key.yaml"};
    with->key = rush_key_load(&files, with->diagnostics);
    if (!with->key)
        fail_with_diagnostics(with, "the key does not load");
    assert_int_equal(rush_key_taxon_count(with->key), with->made.taxa);
    assert_int_equal(rush_key_character_count(with->key), with->made.characters);
    match_forms(with);
    with->sighting = rush_sighting_new(with->key);
    with->ranker = rush_ranker_new(with->key);
    with->adviser = rush_adviser_new(with->key);
    assert_non_null(with->sighting);
    assert_non_null(with->ranker);
    assert_non_null(with->adviser);
}

static void end_key(bench *with)
{
    rush_adviser_free(with->adviser);
    rush_ranker_free(with->ranker);
    rush_sighting_free(with->sighting);
    rush_key_free(with->key);
    rush_diagnostics_free(with->diagnostics);
}

static void rank_line(bench *with, uint64_t seed)
{
    static const double thresholds[] = {0, 0.95, 0.6, 0.8, 0.99};
    make_sighting(&with->saw, &with->made, seed);
    with->options =
        (rush_rank_options){.safe = thresholds[seed % 5], .no_occurrence = seed % 4 == 3};
    rush_line line = {
        .text = rush_text_of(with->saw.line), .file = "line", .number = 1, .asked = RUSH_NONE};
    if (!rush_sighting_read(with->sighting, &line, with->diagnostics))
        fail_with_diagnostics(with, "the line cannot be read");
    with->ranking = rush_rank(with->ranker, with->sighting, &with->options);
    oracle_rank(&with->made, &with->saw, (oracle_options){with->options.no_occurrence, false},
                &with->posterior);
}

typedef void comparison(bench *with);

static void with_key(bench *with, uint64_t seed, int lines, made_wish wish, comparison *check)
{
    begin_key(with, seed, wish);
    for (int i = 0; i < lines; i++) {
        rank_line(with, (uint64_t)i + 1);
        check(with);
    }
    end_key(with);
}

/* The first seeds, and some in which the two sides once had different answers. */
static void with_each(int keys, int lines, made_wish wish, comparison *check)
{
    static const uint64_t once[] = {2398, 4798};
    static bench with;
    for (int k = 0; k < keys; k++)
        with_key(&with, (uint64_t)k + 1, lines, wish, check);
    for (size_t i = 0; i < sizeof once / sizeof *once; i++)
        with_key(&with, once[i], lines, wish, check);
}

static const char *name_of_answer(const bench *with, int at)
{
    return with->made.character[with->saw.answer[at].character].id;
}

/* The library's number of an answer: it may keep them in another order. */
static uint32_t answer_number(const bench *with, int at)
{
    rush_text id = rush_text_of(name_of_answer(with, at));
    uint32_t character = rush_key_find_character(with->key, id);
    for (uint32_t i = 0; i < rush_sighting_answer_count(with->sighting); i++)
        if (rush_sighting_answer(with->sighting, i)->character == character)
            return i;
    FAIL_CASE(with, "the answer for '%s' is lost\n", name_of_answer(with, at));
    return RUSH_NONE;
}

/* ---- answers
 * --------------------------------------------------------------------------------------- */

static void check_answers(bench *with)
{
    assert_int_equal(rush_sighting_answer_count(with->sighting), with->saw.answers);
    for (int i = 0; i < with->saw.answers; i++) {
        uint32_t answer = answer_number(with, i);
        for (int f = 0; f < with->made.forms; f++)
            agree(with, name_of_answer(with, i), with->made.taxon[with->made.form[f].taxon].name,
                  rush_answer_likelihood(with->ranker, answer, with->form[f]),
                  oracle_answer(&with->made, &with->saw.answer[i], f).value);
    }
}

static void answers_have_the_likelihood_of_the_model(void **state)
{
    (void)state;
    with_each(KEYS, LINES, MADE_USUAL, check_answers);
}

static void check_bits(bench *with)
{
    for (int i = 0; i < with->saw.answers; i++) {
        uint32_t answer = answer_number(with, i);
        for (int f = 0; f < with->made.forms; f++) {
            int g = (f * 7 + i + 1) % with->made.forms;
            double one = oracle_answer(&with->made, &with->saw.answer[i], f).value;
            double other = oracle_answer(&with->made, &with->saw.answer[i], g).value;
            if (one < 1e-12 || other < 1e-12) /* too little is left of so far a tail */
                continue;
            agree_within(with, 1e-8, "bits", name_of_answer(with, i),
                         rush_answer_bits(with->ranker, answer, with->form[f], with->form[g]),
                         log2(one / other));
        }
    }
}

static void bits_are_the_ratio_of_likelihoods(void **state)
{
    (void)state;
    with_each(KEYS / 2, LINES, MADE_USUAL, check_bits);
}

/* ---- the posterior
 * --------------------------------------------------------------------------------- */

/* Of a leaf, without the unlisted relative that it has when it is a genus. */
static double listed(const bench *with, int leaf)
{
    const made_taxon *made = &with->made.taxon[leaf];
    double sum = 0;
    for (int i = 0; i < made->forms; i++)
        sum += with->posterior.forms[made->first_form + i];
    return sum;
}

/* What has next to nothing beside the leading candidate need not be in order. */
static double least_that_counts(const bench *with)
{
    double lead = 0;
    for (int t = 0; t < with->made.taxa; t++)
        lead = with->made.taxon[t].leaf ? fmax(lead, listed(with, t)) : lead;
    return 1e-30 * lead;
}

/* The better first; what differs only by rounding is a tie. */
static void check_candidate_order(const bench *with, const rush_candidate *here,
                                  const rush_candidate *next)
{
    bool wrong = next->probability > least_that_counts(with) &&
                 here->probability < next->probability * (1 - 1e-6);
    bool wrong_tie = here->probability == next->probability && here->taxon > next->taxon;
    if (wrong || wrong_tie)
        FAIL_CASE(with, "'%s' with %.17g stands before '%s' with %.17g\n",
                  with->made.taxon[here->taxon].name, here->probability,
                  with->made.taxon[next->taxon].name, next->probability);
}

static void check_best_form(const bench *with, const rush_candidate *candidate)
{
    const rush_taxon *taxon = rush_key_taxon(with->key, candidate->taxon);
    const double *forms = with->ranking->forms;
    double best = forms[candidate->form];
    if (candidate->probability < least_that_counts(with))
        return;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        if (best < forms[f] * (1 - 1e-6))
            FAIL_CASE(with, "'%s' has form %u with %.17g, likelier than form %u with %.17g\n",
                      taxon->name, f, forms[f], candidate->form, best);
}

static void check_candidates(const bench *with)
{
    const rush_ranking *ranking = with->ranking;
    uint32_t leaves = rush_key_leaf_count(with->key);
    double sum = 0;
    assert_int_equal(ranking->candidate_count, leaves);
    for (uint32_t i = 0; i < leaves; i++) {
        const rush_candidate *here = &ranking->candidates[i];
        agree(with, "probability", with->made.taxon[here->taxon].name, here->probability,
              listed(with, (int)here->taxon));
        sum += here->probability;
        check_best_form(with, here);
        if (i + 1 < leaves)
            check_candidate_order(with, here, here + 1);
    }
    agree(with, "the sum", "the candidates", sum, 1 - with->posterior.unlisted);
}

static void check_in_play(const bench *with)
{
    int in_play = 0;
    double lead = 0;
    for (int t = 0; t < with->made.taxa; t++)
        if (with->made.taxon[t].leaf)
            lead = fmax(lead, listed(with, t));
    for (int t = 0; t < with->made.taxa; t++) {
        if (!with->made.taxon[t].leaf)
            continue;
        if (lead == 0 || too_near(listed(with, t) * 50, lead))
            return;
        in_play += listed(with, t) * 50 >= lead;
    }
    if ((int)with->ranking->in_play != in_play)
        FAIL_CASE(with, "in play: the library has %u, the oracle %d\n", with->ranking->in_play,
                  in_play);
}

static void check_posterior(bench *with)
{
    assert_int_equal(with->ranking->nothing_fits, with->posterior.nothing_fits);
    if (with->posterior.nothing_fits)
        return;
    for (int f = 0; f < with->made.forms; f++)
        agree(with, "form", with->made.taxon[with->made.form[f].taxon].name,
              with->ranking->forms[with->form[f]], with->posterior.forms[f]);
    for (int t = 0; t < with->made.taxa; t++)
        agree(with, "taxon", with->made.taxon[t].name, with->ranking->taxa[t],
              with->posterior.taxa[t]);
    agree(with, "probability", "unlisted", with->ranking->unlisted, with->posterior.unlisted);
    check_candidates(with);
    check_in_play(with);
}

static void the_posterior_is_that_of_bayes_rule(void **state)
{
    (void)state;
    with_each(KEYS, LINES, MADE_USUAL, check_posterior);
}

/* ---- the fit
 * --------------------------------------------------------------------------------------- */

/* The leading form, where the library's choice is as good as any. */
static int leading_form(const bench *with)
{
    uint32_t lead = with->ranking->candidates[0].form;
    for (int f = 0; f < with->made.forms; f++)
        if (with->form[f] == lead)
            return f;
    return 0;
}

/* Of each answer but the settings, whether it sits badly; -1 when rounding could settle it. */
static int sits_badly(const bench *with, int at, int form)
{
    oracle_seat seat = oracle_sits(&with->made, &with->saw.answer[at], form);
    if (too_near(seat.eightfold, seat.largest))
        return -1;
    return seat.eightfold < seat.largest;
}

static void fail_seat(const bench *with, int at, int form)
{
    oracle_seat seat = oracle_sits(&with->made, &with->saw.answer[at], form);
    FAIL_CASE(with,
              "sits badly, '%s' with '%s' (form %d): the library says %s, the oracle has %.17g "
              "against %.17g\n",
              name_of_answer(with, at), with->made.taxon[with->made.form[form].taxon].name, form,
              seat.eightfold < seat.largest ? "no" : "yes", seat.eightfold, seat.largest);
}

static void check_seats(const bench *with)
{
    for (int i = 0; i < with->saw.answers; i++) {
        if (with->made.character[with->saw.answer[i].character].setting)
            continue;
        for (int f = 0; f < with->made.forms; f++) {
            int badly = sits_badly(with, i, f);
            if (badly >= 0 && badly != rush_answer_sits_badly(
                                           with->ranker, answer_number(with, i), with->form[f]))
                fail_seat(with, i, f);
        }
    }
}

static void check_tail(const bench *with, int form)
{
    double chances[MADE_ANSWERS];
    int of = 0;
    for (int i = 0; i < with->saw.answers; i++) {
        if (with->made.character[with->saw.answer[i].character].setting)
            continue;
        chances[of] = oracle_bad_chance(&with->made, &with->saw.answer[i], form);
        if (chances[of++] < 0)
            return;
    }
    agree_within(with, LOOSE, "tail", "the fit", with->ranking->fit.tail,
                 oracle_tail(chances, of, (int)with->ranking->fit.against));
}

static void check_fit(bench *with)
{
    const rush_fit *fit = &with->ranking->fit;
    int of = 0, against = 0, form = -1;
    bool clear = true;
    if (with->posterior.nothing_fits)
        return;
    form = leading_form(with);
    check_seats(with);
    for (int i = 0; i < with->saw.answers; i++) {
        if (with->made.character[with->saw.answer[i].character].setting)
            continue;
        int badly = sits_badly(with, i, form);
        of++;
        clear = clear && badly >= 0;
        against += badly > 0;
    }
    agree(with, "answers", "the fit", fit->of, of);
    if (clear)
        agree(with, "answers against", "the fit", fit->against, against);
    if (fit->poor != (fit->tail < RUSH_POOR_FIT))
        FAIL_CASE(with, "a tail of %g and poor %d\n", fit->tail, fit->poor);
    if (fit->against)
        check_tail(with, form);
    else
        agree(with, "tail", "nothing against", fit->tail, 1);
}

static void the_fit_counts_what_sits_badly(void **state)
{
    (void)state;
    with_each(KEYS, LINES, MADE_USUAL, check_fit);
}

/* ---- the verdict
 * ----------------------------------------------------------------------------------- */

static double threshold(const bench *with)
{
    return with->options.safe > 0 ? with->options.safe : RUSH_SAFE_DEFAULT;
}

/* The lowest taxon that is safe; -1: none; -2: rounding could settle it. */
static int safe_taxon(const bench *with)
{
    int lowest = -1;
    for (int t = 0; t < with->made.taxa; t++) {
        double probability = with->posterior.taxa[t];
        if (fabs(probability - threshold(with)) < CLOSE)
            return -2;
        if (probability >= threshold(with) &&
            (lowest < 0 || with->made.taxon[t].rank > with->made.taxon[lowest].rank))
            lowest = t;
    }
    return lowest;
}

/* The name of a safe form of a leaf, as a number; -1: none; -2: rounding could settle it. */
static int safe_name(const bench *with, int taxon)
{
    const made_taxon *made = &with->made.taxon[taxon];
    double whole = with->posterior.taxa[taxon];
    for (int name = 0; made->leaf && name < with->made.names; name++) {
        double sum = 0;
        for (int i = 0; i < made->forms; i++)
            if (with->made.form[made->first_form + i].name == name)
                sum += with->posterior.forms[made->first_form + i];
        if (fabs(sum - threshold(with) * whole) < CLOSE)
            return -2;
        if (sum >= threshold(with) * whole)
            return name;
    }
    return -1;
}

static void check_form(const bench *with)
{
    const rush_verdict *verdict = &with->ranking->verdict;
    int name = verdict->safe ? safe_name(with, (int)verdict->taxon) : -1;
    const char *want = name < 0 ? "" : with->made.character[MADE_FORM].state[name];
    const char *got =
        verdict->form == RUSH_NONE ? "" : rush_key_form(with->key, verdict->form)->name;
    if (name != -2 && strcmp(got, want) != 0)
        FAIL_CASE(with, "safe form: the library has '%s', the oracle '%s'\n", got, want);
}

static void check_sex(const bench *with)
{
    const rush_verdict *verdict = &with->ranking->verdict;
    double male = oracle_male(&with->made, &with->saw, &with->posterior), safe = threshold(with);
    rush_sex want = !verdict->safe     ? RUSH_SEX_ANY
                    : male >= safe     ? RUSH_SEX_MALE
                    : 1 - male >= safe ? RUSH_SEX_FEMALE
                                       : RUSH_SEX_ANY;
    if (fabs(male - safe) < CLOSE || fabs(1 - male - safe) < CLOSE)
        return;
    if (verdict->sex != want)
        FAIL_CASE(with, "sex: the library has %s, the oracle %s (male %.17g)\n",
                  rush_sex_name(verdict->sex), rush_sex_name(want), male);
}

static void check_verdict(bench *with)
{
    static oracle_posterior marks;
    const rush_verdict *verdict = &with->ranking->verdict;
    int taxon = safe_taxon(with);
    if (with->posterior.nothing_fits || taxon == -2)
        return;
    bool safe = taxon >= 0 && with->ranking->fit.of > 0 && !with->ranking->fit.poor;
    if (!safe)
        taxon = (int)with->ranking->candidates[0].taxon;
    if (verdict->safe != safe || verdict->taxon != (uint32_t)taxon)
        FAIL_CASE(with, "verdict: the library has '%s' safe %d, the oracle '%s' safe %d\n",
                  with->made.taxon[verdict->taxon].name, verdict->safe,
                  with->made.taxon[taxon].name, safe);
    agree(with, "probability", "the verdict", verdict->probability, with->posterior.taxa[taxon]);
    oracle_rank(&with->made, &with->saw, (oracle_options){true, true}, &marks);
    agree(with, "marks alone", with->made.taxon[taxon].name, verdict->marks_alone,
          marks.taxa[taxon]);
    check_sex(with);
    check_form(with);
}

static void the_verdict_is_the_lowest_safe_rank(void **state)
{
    (void)state;
    with_each(KEYS, LINES, MADE_USUAL, check_verdict);
}

/* ---- second looks
 * ---------------------------------------------------------------------------------- */

static double shown_misread(const bench *with, uint32_t answer)
{
    for (uint32_t i = 0; i < with->ranking->second_look_count; i++)
        if (with->ranking->second_looks[i].answer == answer)
            return with->ranking->second_looks[i].misread;
    return -1;
}

static void check_second_looks(bench *with)
{
    const rush_ranking *ranking = with->ranking;
    for (int i = 0; i < with->saw.answers; i++) {
        double want = oracle_misread(&with->made, &with->saw, &with->posterior, i);
        double got = shown_misread(with, answer_number(with, i));
        if (fabs(want - RUSH_SECOND_LOOK_FROM) < CLOSE)
            continue;
        agree(with, "second look", name_of_answer(with, i), got,
              want >= RUSH_SECOND_LOOK_FROM ? want : -1);
    }
    for (uint32_t i = 1; i < ranking->second_look_count; i++)
        if ((float)ranking->second_looks[i - 1].misread < (float)ranking->second_looks[i].misread)
            FAIL_CASE(with, "second look %u is likelier than the one before it\n", i);
}

static void second_looks_are_the_probable_misreads(void **state)
{
    (void)state;
    with_each(KEYS, LINES, MADE_USUAL, check_second_looks);
}

/* ---- look next
 * ------------------------------------------------------------------------------------- */

static const rush_look *find_look(const rush_look *looks, uint32_t count, int character)
{
    for (uint32_t i = 0; i < count; i++)
        if (looks[i].character == (uint32_t)character)
            return &looks[i];
    return NULL;
}

static void check_order(const bench *with, const rush_look *looks, uint32_t count)
{
    for (uint32_t i = 1; i < count; i++) {
        double before = looks[i - 1].gain / with->made.character[looks[i - 1].character].effort;
        double here = looks[i].gain / with->made.character[looks[i].character].effort;
        if (before < here - 1e-6)
            FAIL_CASE(with, "look %u is better than the one before it\n", i);
    }
}

static bool answered(const bench *with, int character)
{
    for (int i = 0; i < with->saw.answers; i++)
        if (with->saw.answer[i].character == character)
            return true;
    return false;
}

/* Whether a character is offered: 1, 0, or -1 when rounding could settle it. */
static int offered(const bench *with, int character, double gain, int reach)
{
    const made_character *made = &with->made.character[character];
    if (!made->look_next || made->reach > reach || answered(with, character))
        return 0;
    double cannot = oracle_cannot_show(&with->made, &with->posterior, character);
    if (fabs(cannot - 0.5) < CLOSE_BITS || fabs(gain - RUSH_LEAST_GAIN) < CLOSE_BITS)
        return -1;
    return cannot < 0.5 && gain >= RUSH_LEAST_GAIN;
}

static void check_offers(const bench *with, const double *gains, int reach)
{
    rush_look_options options = {(rush_reach)reach, RUSH_LEAST_GAIN, false};
    uint32_t count;
    const rush_look *looks = rush_look_next(with->adviser, with->ranking, &options, &count);
    check_order(with, looks, count);
    for (int c = 0; c < with->made.characters; c++) {
        const rush_look *look = find_look(looks, count, c);
        int want = offered(with, c, gains[c], reach);
        if (want >= 0 && want != (look != NULL))
            FAIL_CASE(with, "look next at '%s' (gain %g): the oracle has %d\n",
                      with->made.character[c].id, gains[c], want);
        if (look)
            agree_within(with, CLOSE_BITS, "gain", with->made.character[c].id, look->gain,
                         gains[c]);
    }
}

static bool has_gain(const bench *with, int character)
{
    const made_character *made = &with->made.character[character];
    return made->kind != MADE_OF_TAXA && !made->setting &&
           (character != MADE_FORM || made->states >= 2);
}

static void check_looks(bench *with)
{
    rush_look_options all = {.reach = RUSH_REACH_HAND, .least_gain = -1, .any_character = true};
    double gains[MADE_CHARACTERS] = {0};
    uint32_t count;
    if (with->posterior.nothing_fits)
        return;
    const rush_look *looks = rush_look_next(with->adviser, with->ranking, &all, &count);
    check_order(with, looks, count);
    for (int c = 0; c < with->made.characters; c++) {
        if (!has_gain(with, c))
            continue;
        const rush_look *look = find_look(looks, count, c);
        if (!look)
            FAIL_CASE(with, "no gain is told of '%s'\n", with->made.character[c].id);
        gains[c] = oracle_gain(&with->made, &with->posterior, c);
        agree_within(with, CLOSE_BITS, "gain", with->made.character[c].id, look->gain, gains[c]);
    }
    for (int reach = RUSH_REACH_FAR; reach < RUSH_REACH_COUNT; reach++)
        check_offers(with, gains, reach);
}

static void look_next_is_the_expected_information(void **state)
{
    (void)state;
    with_each(KEYS, 3, MADE_USUAL, check_looks);
}

static void check_apart(bench *with)
{
    uint32_t count;
    int one = (int)(with->made.seed * 3) % with->made.forms, other = (one + 1) % with->made.forms;
    const rush_look *looks = rush_tell_apart(with->adviser, with->form[one], with->form[other],
                                             RUSH_REACH_HAND, &count);
    check_order(with, looks, count);
    for (uint32_t i = 0; i < count; i++)
        agree_within(with, CLOSE_BITS, "bits apart", with->made.character[looks[i].character].id,
                     looks[i].gain,
                     oracle_apart(&with->made, one, other, (int)looks[i].character));
}

static void telling_two_forms_apart_is_the_same_between_two(void **state)
{
    (void)state;
    with_each(KEYS, 1, MADE_USUAL, check_apart);
}

/* ---- nothing fits
 * ---------------------------------------------------------------------------------- */

static int times_nothing_fitted;

static void check_strict(bench *with)
{
    check_answers(with);
    check_posterior(with);
    if (!with->posterior.nothing_fits) {
        check_verdict(with);
        check_fit(with);
        check_second_looks(with);
        return;
    }
    times_nothing_fitted++;
    const rush_ranking *ranking = with->ranking;
    agree(with, "candidates", "nothing", ranking->candidate_count, 0);
    agree(with, "in play", "nothing", ranking->in_play, 0);
    agree(with, "probability", "unlisted", ranking->unlisted, 0);
    agree(with, "second looks", "nothing", ranking->second_look_count, 0);
    assert_false(ranking->verdict.safe);
    for (int t = 0; t < with->made.taxa; t++)
        agree(with, "probability", with->made.taxon[t].name, ranking->taxa[t], 0);
    for (int f = 0; f < with->made.forms; f++)
        agree(with, "probability", "a form", ranking->forms[f], 0);
}

static void nothing_fits_when_every_likelihood_is_0(void **state)
{
    (void)state;
    times_nothing_fitted = 0;
    with_each(STRICT_KEYS, LINES, MADE_STRICT, check_strict);
    assert_true(times_nothing_fitted > 50);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(answers_have_the_likelihood_of_the_model),
        cmocka_unit_test(bits_are_the_ratio_of_likelihoods),
        cmocka_unit_test(the_posterior_is_that_of_bayes_rule),
        cmocka_unit_test(the_fit_counts_what_sits_badly),
        cmocka_unit_test(the_verdict_is_the_lowest_safe_rank),
        cmocka_unit_test(second_looks_are_the_probable_misreads),
        cmocka_unit_test(look_next_is_the_expected_information),
        cmocka_unit_test(telling_two_forms_apart_is_the_same_between_two),
        cmocka_unit_test(nothing_fits_when_every_likelihood_is_0),
    };
    return cmocka_run_group_tests_name("oracle", tests, NULL, NULL);
}
