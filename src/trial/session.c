#include "trial/session.h"

#include <math.h>
#include <stdlib.h>

#include "base/score.h"

/* What an answer is taken to have told when it made the truth impossible, or possible again. */
static const double most_bits = 64;

bool rush_seat_begin(rush_seat *seat)
{
    seat->ranker = rush_ranker_new(seat->key);
    seat->adviser = rush_adviser_new(seat->key);
    seat->sighting = rush_sighting_new(seat->key);
    seat->chances = calloc(seat->key->leaf_count + 1, sizeof *seat->chances);
    return rush_asking_begin(&seat->asking, seat->key) && seat->ranker && seat->adviser &&
           seat->sighting && seat->chances;
}

void rush_seat_free(rush_seat *seat)
{
    rush_ranker_free(seat->ranker);
    rush_adviser_free(seat->adviser);
    rush_sighting_free(seat->sighting);
    rush_asking_free(&seat->asking);
    free(seat->chances);
}

static uint32_t natural_taxon(const rush_seat *seat, uint32_t taxon)
{
    return seat->taxa ? seat->taxa[taxon] : taxon;
}

/* A form under trial, as nature counts it: forms of one taxon keep their order. */
static uint32_t natural_form(const rush_seat *seat, uint32_t form)
{
    uint32_t taxon = seat->key->forms[form].taxon;
    const rush_taxon *natural = &seat->nature->taxa[natural_taxon(seat, taxon)];
    return natural->first_form + (form - seat->key->taxa[taxon].first_form);
}

/* ---- what is believed ----------------------------------------------------------------------------- */

/* By leaf under trial, and behind them of all that is unlisted. */
static void find_chances(const rush_seat *seat, const rush_ranking *ranking)
{
    for (uint32_t i = 0; i < ranking->candidate_count; i++) {
        const rush_candidate *candidate = &ranking->candidates[i];
        seat->chances[seat->key->taxa[candidate->taxon].first_leaf] = candidate->probability;
    }
    seat->chances[seat->key->leaf_count] = ranking->unlisted;
}

/* The insect's leaf under trial; behind the last for one that the key does not have. */
static uint32_t true_class(const rush_seat *seat, uint32_t form)
{
    const rush_key *nature = seat->nature;
    if (seat->taxa)
        return seat->key->leaf_count;
    return nature->taxa[nature->forms[form].taxon].first_leaf;
}

static double chance_of(const rush_seat *seat, const rush_ranking *ranking, uint32_t class)
{
    if (class == seat->key->leaf_count)
        return ranking->unlisted;
    const rush_taxon *taxon = &seat->key->taxa[seat->key->leaves[class]];
    double sum = 0;
    for (uint32_t f = taxon->first_form; f < taxon->first_form + taxon->form_count; f++)
        sum += ranking->forms[f];
    return sum;
}

static double entropy_of(const rush_ranking *ranking)
{
    double sum = 0, listed = 1 - ranking->unlisted;
    for (uint32_t i = 0; i < ranking->candidate_count; i++) {
        double chance = ranking->candidates[i].probability / listed;
        if (chance > 0)
            sum -= chance * log2(chance);
    }
    return sum;
}

/* ---- the conversation ----------------------------------------------------------------------------- */

typedef struct session {
    rush_seat *seat;
    const rush_view *view;
    const rush_ranking *ranking;
    uint32_t class;
    double chance; /* of the truth, as it is believed now */
    uint32_t asked, answered;
} session;

static void rank(session *now)
{
    now->ranking = rush_rank(now->seat->ranker, now->seat->sighting, &now->seat->rank);
    now->chance = now->ranking->nothing_fits ? 0 : chance_of(now->seat, now->ranking, now->class);
}

static void tell_settings(session *now)
{
    const rush_key *key = now->seat->key;
    rush_seen seen;
    for (uint32_t c = 0; c < key->character_count; c++)
        if (key->characters[c].setting && rush_view_look(now->view, c, 0, &seen))
            rush_seen_answer(&seen, c, now->seat->sighting);
    rank(now);
}

static double bits_between(double before, double after)
{
    double bits = log2(after / before);
    return isnan(bits) ? 0 : fmax(fmin(bits, most_bits), -most_bits);
}

/* True when the character has been answered. */
static bool look_at(session *now, uint32_t character, uint32_t look)
{
    rush_seat *seat = now->seat;
    rush_earnings *earned = &seat->earnings[character];
    rush_seen seen;
    now->asked++;
    earned->asked++;
    if (!rush_view_look(now->view, character, look, &seen))
        return false;
    now->answered++;
    earned->answered++;
    earned->misread += seen.misread;
    double before = now->chance;
    rush_sighting_drop(seat->sighting, character);
    rush_seen_answer(&seen, character, seat->sighting);
    rank(now);
    earned->microbits += llround(bits_between(before, now->chance) * 1e6);
    return true;
}

/* Asks down the looks until one is answered; false when none is. */
static bool look_down(session *now, const rush_turn *turn)
{
    rush_asking *asking = &now->seat->asking;
    uint32_t character = turn->character;
    while (character != RUSH_NONE) {
        if (look_at(now, character, 0))
            return true;
        asking->skipped[character] = true;
        character = rush_asking_among(asking, turn->looks, turn->look_count);
    }
    return false;
}

static void converse(session *now)
{
    rush_seat *seat = now->seat;
    bool answered = rush_sighting_answer_count(seat->sighting) > 0;
    while (!now->ranking->nothing_fits) {
        rush_turn turn =
            rush_asking_turn(&seat->asking, seat->adviser, now->ranking, seat->reach, answered);
        if (turn.kind == RUSH_TURN_AGAIN)
            answered = look_at(now, turn.character, 1);
        else if (turn.kind == RUSH_TURN_LOOK && look_down(now, &turn))
            answered = true;
        else
            return;
    }
}

/* ---- the end -------------------------------------------------------------------------------------- */

static bool named(const rush_seat *seat, uint32_t taxon)
{
    return seat->key->taxa[taxon].leaf_count == 1;
}

static rush_outcome outcome_of(const rush_seat *seat, const rush_ranking *ranking, bool true_)
{
    if (!ranking->verdict.safe)
        return RUSH_OUTCOME_NOTHING;
    if (!true_)
        return RUSH_OUTCOME_WRONG;
    /* Of a group with one taxon left under trial, a taken-out taxon is still no more than a member. */
    bool right = named(seat, ranking->verdict.taxon) && !seat->taxa;
    return right ? RUSH_OUTCOME_RIGHT : RUSH_OUTCOME_GROUP;
}

/* What stood against the truth: what it was called, or the likeliest other taxon. */
static uint32_t rival_of(const rush_seat *seat, const rush_ranking *ranking,
                         const rush_session_end *end, uint32_t true_taxon)
{
    if (end->outcome == RUSH_OUTCOME_RIGHT)
        return RUSH_NONE;
    if (end->outcome == RUSH_OUTCOME_WRONG)
        return natural_form(seat, rush_likeliest_form(ranking, ranking->verdict.taxon));
    for (uint32_t i = 0; i < ranking->candidate_count; i++)
        if (natural_taxon(seat, ranking->candidates[i].taxon) != true_taxon)
            return natural_form(seat, ranking->candidates[i].form);
    return RUSH_NONE;
}

static uint8_t sex_of(const rush_view *view)
{
    rush_view plain = *view;
    plain.unseen = plain.misread = 0;
    plain.in_mind = RUSH_NONE;
    rush_seen seen;
    rush_view_look(&plain, RUSH_SEX_CHARACTER, 0, &seen);
    return (uint8_t)seen.state;
}

static rush_session_end end_of(const session *now)
{
    const rush_seat *seat = now->seat;
    const rush_ranking *ranking = now->ranking;
    const rush_verdict *verdict = &ranking->verdict;
    uint32_t true_taxon = seat->nature->forms[now->view->form].taxon;
    rush_session_end end = {.form = now->view->form,
                            .rival = RUSH_NONE,
                            .asked = now->asked,
                            .answered = now->answered,
                            .outcome = RUSH_OUTCOME_NOTHING,
                            .sex = sex_of(now->view),
                            .told_sex = RUSH_SEX_ANY,
                            .brier = 1,
                            .surprise = INFINITY};
    if (ranking->nothing_fits)
        return end;
    end.true_verdict =
        rush_key_within(seat->nature, true_taxon, natural_taxon(seat, verdict->taxon));
    end.stated = verdict->probability;
    end.outcome = (uint8_t)outcome_of(seat, ranking, end.true_verdict);
    if (verdict->safe)
        end.told_sex = (uint8_t)verdict->sex;
    end.rival = rival_of(seat, ranking, &end, true_taxon);
    find_chances(seat, ranking);
    end.brier = rush_score_brier_classes(seat->chances, seat->key->leaf_count + 1, now->class);
    end.surprise = rush_score_log(seat->chances[now->class]);
    return end;
}

rush_session_end rush_session_hold(rush_seat *seat, const rush_view *view)
{
    session now = {.seat = seat, .view = view, .class = true_class(seat, view->form)};
    rush_sighting_clear(seat->sighting);
    rush_asking_restart(&seat->asking, seat->key);
    tell_settings(&now);
    double entropy = now.ranking->nothing_fits ? 0 : entropy_of(now.ranking);
    converse(&now);
    rush_session_end end = end_of(&now);
    end.entropy = entropy;
    return end;
}
