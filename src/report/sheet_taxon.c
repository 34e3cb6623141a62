#include <math.h>
#include <string.h>

#include "report/lead_words.h"
#include "report/apart_words.h"
#include "report/sheet.h"

/* The account of a taxon: size, season, marks by sex and form, drawings, where, and who says so. Only what tells it
 * from others of the part is said, and of a form only what differs. */

enum { DRAWINGS_MAX = 3, MONTHS = 12, SEXES = 2 };
#define DRAWING_MM 16.0
/* A state that a smaller part of the insects shows is not said. */
#define SAID_SHARE 0.2
/* One that this part shows is what a form usually looks like. */
#define MAIN_SHARE 0.4

typedef struct account {
    const rush_taxon *taxon;
    uint32_t end;         /* of its forms */
    uint32_t base[SEXES]; /* the usual form of each sex; RUSH_NONE: there is none */
    uint32_t form_count;  /* of the part */
    uint32_t size;        /* the character that is drawn as a bar; RUSH_NONE */
    rush_wording both, sexes[SEXES], *forms;
    bool *cites; /* by source */
} account;

/* ---- forms ------------------------------------------------------------------------------------------------ */

static const rush_trait *trait_of(rush_sheet *sheet, account *made, uint32_t form,
                                  uint32_t character)
{
    const rush_trait *trait = rush_key_trait(sheet->key, form, character, NULL);
    if (trait && trait->kind != RUSH_TRAIT_UNSCORED && trait->backing.source != RUSH_NONE)
        made->cites[trait->backing.source] = true;
    return trait;
}

/* The most frequent form that a sex has; where it has none of its own, that of either sex. */
static uint32_t usual_form(const rush_sheet *sheet, const account *made, rush_sex sex)
{
    uint32_t best = RUSH_NONE;
    for (uint32_t f = made->taxon->first_form; f < made->end; f++) {
        const rush_form *form = rush_key_form(sheet->key, f);
        const rush_form *so_far = best == RUSH_NONE ? NULL : rush_key_form(sheet->key, best);
        if (!sheet->part->forms[f] || (form->sex != sex && form->sex != RUSH_SEX_ANY))
            continue;
        bool own = form->sex == sex, had = so_far && so_far->sex == sex;
        if (!so_far || (own && !had) || (own == had && form->share > so_far->share))
            best = f;
    }
    return best;
}

static account begin(rush_sheet *sheet, uint32_t taxon)
{
    account made = {.taxon = rush_key_taxon(sheet->key, taxon), .size = RUSH_NONE};
    made.end = made.taxon->first_form + made.taxon->form_count;
    made.base[RUSH_SEX_MALE] = usual_form(sheet, &made, RUSH_SEX_MALE);
    made.base[RUSH_SEX_FEMALE] = usual_form(sheet, &made, RUSH_SEX_FEMALE);
    made.forms = RUSH_ARRAY(sheet->builder.arena, rush_wording, made.taxon->form_count + 1);
    made.cites = RUSH_ARRAY(sheet->builder.arena, bool, rush_key_source_count(sheet->key) + 1);
    made.both = made.sexes[0] = made.sexes[1] = rush_sheet_wording(sheet);
    for (uint32_t f = 0; f < made.taxon->form_count; f++) {
        made.forms[f] = rush_sheet_wording(sheet);
        made.form_count += sheet->part->forms[made.taxon->first_form + f];
    }
    return made;
}

/* ---- marks ------------------------------------------------------------------------------------------------ */

static void tell_trait(rush_sheet *sheet, rush_teller *teller, const rush_trait *trait,
                       uint32_t character)
{
    rush_showing showing = {.kind = RUSH_TRAIT_UNSCORED};
    if (trait)
        showing = (rush_showing){.kind = trait->kind,
                                 .weights = trait->weights,
                                 .low = trait->low,
                                 .high = trait->high};
    rush_sheet_tell(sheet, teller, character, &showing, SAID_SHARE);
}

/* What is said of a form's character, as one text; "" when it cannot show it. */
static const char *said_of(rush_sheet *sheet, uint32_t form, uint32_t character)
{
    rush_teller plain = {sheet->key, sheet->language, &sheet->builder.words, NULL};
    const rush_trait *trait =
        form == RUSH_NONE ? NULL : rush_key_trait(sheet->key, form, character, NULL);
    if (form == RUSH_NONE || (trait && trait->kind == RUSH_TRAIT_INAPPLICABLE))
        return "";
    tell_trait(sheet, &plain, trait, character);
    return rush_build_taken(&sheet->builder);
}

/* "segment 2 mark: mostly U", behind what is there already. */
static void add_mark(rush_sheet *sheet, account *made, rush_wording *to, uint32_t form,
                     uint32_t character)
{
    rush_build_say(to, to->runs.count ? "; " : "");
    rush_tell_character(&to->teller, character);
    rush_build_say(to, ": ");
    tell_trait(sheet, &to->teller, trait_of(sheet, made, form, character), character);
    rush_build_say(to, "");
}

static bool is_known(const rush_sheet *sheet, uint32_t form, uint32_t character)
{
    const rush_trait *trait =
        form == RUSH_NONE ? NULL : rush_key_trait(sheet->key, form, character, NULL);
    return trait && trait->kind != RUSH_TRAIT_UNSCORED;
}

/* Whether two forms mostly show something else; of what is not known nothing is said. */
static bool are_unlike(const rush_sheet *sheet, uint32_t form, uint32_t usual, uint32_t character)
{
    const rush_trait *a = rush_key_trait(sheet->key, form, character, NULL);
    const rush_trait *b =
        usual == RUSH_NONE ? NULL : rush_key_trait(sheet->key, usual, character, NULL);
    if (a == b || !a || a->kind == RUSH_TRAIT_UNSCORED || a->kind == RUSH_TRAIT_INAPPLICABLE)
        return false;
    if (!b || a->kind != b->kind)
        return true;
    if (a->kind == RUSH_TRAIT_NUMBER)
        return a->low != b->low || a->high != b->high;
    for (uint32_t s = 0; s < rush_key_character(sheet->key, character)->state_count; s++)
        if (a->weights[s] >= MAIN_SHARE && b->weights[s] < MAIN_SHARE)
            return true;
    return false;
}

/* From the usual form of its sex; of both, when it can be either. */
static bool differs(const rush_sheet *sheet, const account *made, uint32_t form,
                    uint32_t character)
{
    rush_sex sex = rush_key_form(sheet->key, form)->sex;
    for (int of = 0; of < SEXES; of++)
        if ((sex == RUSH_SEX_ANY || (int)sex == of) && form != made->base[of] &&
            made->base[of] != RUSH_NONE && are_unlike(sheet, form, made->base[of], character))
            return true;
    return false;
}

/* Where the usual forms of the sexes show the same states, one of them only more often: the one that is less sure of
 * them, whose words hold of both. RUSH_NONE: they do not. */
static uint32_t vaguer_of(const rush_sheet *sheet, const account *made, uint32_t character)
{
    const rush_trait *traits[SEXES];
    double most[SEXES] = {0, 0};
    for (int sex = 0; sex < SEXES; sex++) {
        traits[sex] = made->base[sex] == RUSH_NONE
                          ? NULL
                          : rush_key_trait(sheet->key, made->base[sex], character, NULL);
        if (!traits[sex] || traits[sex]->kind != RUSH_TRAIT_STATES)
            return RUSH_NONE;
    }
    for (uint32_t s = 0; s < rush_key_character(sheet->key, character)->state_count; s++) {
        double one = traits[0]->weights[s], other = traits[1]->weights[s];
        if ((one >= SAID_SHARE) != (other >= SAID_SHARE) ||
            (one >= MAIN_SHARE) != (other >= MAIN_SHARE))
            return RUSH_NONE;
        most[0] = fmax(most[0], one);
        most[1] = fmax(most[1], other);
    }
    return made->base[most[1] < most[0]];
}

/* Of both sexes where they are alike, else of each; then of the forms that are not as their sex. */
static void sort_mark(rush_sheet *sheet, account *made, uint32_t character)
{
    const char *said[SEXES];
    for (int sex = 0; sex < SEXES; sex++)
        said[sex] = said_of(sheet, made->base[sex], character);
    uint32_t vaguer = vaguer_of(sheet, made, character);
    bool alike = vaguer != RUSH_NONE || strcmp(said[0], said[1]) == 0;
    uint32_t of_both = vaguer != RUSH_NONE ? vaguer : made->base[0];
    if (alike && said[0][0] && is_known(sheet, of_both, character))
        add_mark(sheet, made, &made->both, of_both, character);
    for (int sex = 0; sex < SEXES && !alike; sex++)
        if (said[sex][0] && is_known(sheet, made->base[sex], character))
            add_mark(sheet, made, &made->sexes[sex], made->base[sex], character);
    for (uint32_t f = made->taxon->first_form; f < made->end; f++)
        if (sheet->part->forms[f] && differs(sheet, made, f, character))
            add_mark(sheet, made, &made->forms[f - made->taxon->first_form], f, character);
}

static void add_paragraph(rush_sheet *sheet, const char *who, const char *form,
                          rush_wording *marks)
{
    rush_phrase told = rush_build_worded(marks);
    rush_wording words = rush_sheet_wording(sheet);
    if (!told.count)
        return;
    words.voice = RUSH_VOICE_STRONG;
    rush_build_say(&words, who);
    words.voice = RUSH_VOICE_STRONG;
    if (form)
        rush_build_said(&words, RUSH_VOICE_STRONG, rush_key_about(sheet->key)->languages[0], form,
                        NULL);
    words.voice = RUSH_VOICE_PLAIN;
    rush_build_say(&words, ". ");
    for (uint32_t i = 0; i < told.count; i++)
        *RUSH_PUSH(sheet->builder.arena, &words.runs) = told.runs[i];
    rush_build_say(&words, ".");
    rush_phrase phrase = rush_build_worded(&words);
    rush_build_block(&sheet->builder, RUSH_BLOCK_PARAGRAPH)->words = phrase;
}

static void add_marks(rush_sheet *sheet, account *made, uint32_t leaf)
{
    static const char *const sexes[] = {"Male", "Female"};
    static const char *const others[] = {"Male, ", "Female, ", "Either sex, "};
    bool sexed = rush_words_has_sexes(sheet->key);
    const rush_own_marks *own = &sheet->marks->own[leaf];
    for (uint32_t i = 0; i < own->count; i++)
        if (own->characters[i] != made->size)
            sort_mark(sheet, made, own->characters[i]);
    add_paragraph(sheet,
                  made->form_count < 2 ? "Marks"
                  : sexed              ? "Both sexes"
                                       : "All",
                  NULL, &made->both);
    for (int sex = 0; sex < SEXES; sex++)
        add_paragraph(sheet, sexes[sex], NULL, &made->sexes[sex]);
    for (uint32_t f = 0; f < made->taxon->form_count; f++) {
        const rush_form *form = rush_key_form(sheet->key, made->taxon->first_form + f);
        add_paragraph(sheet, sexed ? others[form->sex] : "Form ",
                      form->name ? form->name : "otherwise", &made->forms[f]);
    }
}

/* ---- drawings --------------------------------------------------------------------------------------------- */

/* A drawn state of one of the marks, and in how many taxa of the part it is seen. */
typedef struct drawn_state {
    uint32_t character, state, taxa;
    const char *who;
} drawn_state;

/* Keeps the ones that are seen in the fewest taxa. */
static void keep_drawn(drawn_state *kept, uint32_t *count, drawn_state found)
{
    uint32_t at = *count;
    for (uint32_t i = 0; i < *count; i++)
        if (kept[i].character == found.character && kept[i].state == found.state)
            return;
    for (; at && kept[at - 1].taxa > found.taxa; at--)
        if (at < DRAWINGS_MAX)
            kept[at] = kept[at - 1];
    if (at < DRAWINGS_MAX)
        kept[at] = found;
    *count += *count < DRAWINGS_MAX;
}

static void find_drawn(rush_sheet *sheet, account *made, uint32_t character, drawn_state *kept,
                       uint32_t *count)
{
    static const char *const who[] = {" (male)", " (female)"};
    const rush_character *owner = rush_key_character(sheet->key, character);
    for (int sex = 0; sex < SEXES && owner->kind == RUSH_KIND_STATES; sex++) {
        const rush_trait *traits[SEXES];
        for (int s = 0; s < SEXES; s++)
            traits[s] = made->base[s] == RUSH_NONE
                            ? NULL
                            : rush_key_trait(sheet->key, made->base[s], character, NULL);
        const rush_trait *other = traits[1 - sex], *trait = traits[sex];
        if (!trait || trait->kind != RUSH_TRAIT_STATES)
            continue;
        for (uint32_t s = 0; s < owner->state_count; s++) {
            uint32_t taxa = trait->weights[s] >= 0.5 && owner->states[s].figure
                                ? rush_sheet_showing(sheet, character, s)
                                : 0;
            bool shared = other && other->kind == RUSH_TRAIT_STATES && other->weights[s] >= 0.5;
            /* What many show is drawn once, before the accounts. */
            if (taxa && taxa * 3 <= sheet->part->leaf_count + 2)
                keep_drawn(kept, count,
                           (drawn_state){character, s, taxa, shared ? "" : who[sex]});
        }
    }
}

static void add_drawings(rush_sheet *sheet, account *made, uint32_t leaf)
{
    drawn_state kept[DRAWINGS_MAX];
    uint32_t count = 0;
    rush_picture_list pictures = {0};
    const rush_own_marks *own = &sheet->marks->own[leaf];
    for (uint32_t i = 0; i < own->count; i++)
        find_drawn(sheet, made, own->characters[i], kept, &count);
    for (uint32_t i = 0; i < count; i++) {
        const rush_character *character = rush_key_character(sheet->key, kept[i].character);
        rush_picture picture =
            rush_sheet_drawing(sheet, character->states[kept[i].state].figure, DRAWING_MM);
        rush_wording caption = rush_sheet_wording(sheet);
        rush_tell_character(&caption.teller, kept[i].character);
        rush_build_say(&caption, ": ");
        rush_tell_state(&caption.teller, kept[i].character, kept[i].state);
        rush_build_say(&caption, kept[i].who);
        picture.caption = rush_build_worded(&caption);
        *RUSH_PUSH(sheet->builder.arena, &pictures) = picture;
    }
    rush_build_pictures(&sheet->builder, (rush_phrase){0}, &pictures);
}

/* ---- bars ------------------------------------------------------------------------------------------------- */

/* The first length of the key that the taxon has. */
static void add_size(rush_sheet *sheet, account *made, rush_picture_list *pictures)
{
    for (uint32_t c = 0; c < rush_key_character_count(sheet->key); c++) {
        const rush_character *character = rush_key_character(sheet->key, c);
        double unit = character->kind == RUSH_KIND_NUMBER ? rush_sheet_unit(character->unit) : 0;
        double low = INFINITY, high = 0;
        for (uint32_t f = made->taxon->first_form; unit > 0 && f < made->end; f++) {
            if (!sheet->part->forms[f])
                continue;
            const rush_trait *trait = trait_of(sheet, made, f, c);
            if (!trait || trait->kind != RUSH_TRAIT_NUMBER)
                continue;
            low = fmin(low, trait->low * unit);
            high = fmax(high, trait->high * unit);
        }
        rush_picture picture;
        if (!(high > 0) || !rush_sheet_size(sheet, c, low, high, &picture))
            continue;
        sheet->builder.document->wide |= high > RUSH_COLUMN_MM;
        made->size = c;
        *RUSH_PUSH(sheet->builder.arena, pictures) = picture;
        return;
    }
}

static void add_season(rush_sheet *sheet, account *made, rush_picture_list *pictures)
{
    for (uint32_t c = 0; c < rush_key_character_count(sheet->key); c++) {
        if (rush_key_character(sheet->key, c)->kind != RUSH_KIND_MONTHS)
            continue;
        double months[MONTHS] = {0};
        bool any = false;
        for (uint32_t f = made->taxon->first_form; f < made->end; f++) {
            const rush_trait *trait = sheet->part->forms[f] ? trait_of(sheet, made, f, c) : NULL;
            for (uint32_t m = 0; trait && trait->kind == RUSH_TRAIT_STATES && m < MONTHS; m++) {
                months[m] = trait->weights[m] > 0 ? 1 : months[m];
                any |= trait->weights[m] > 0;
            }
        }
        if (any) {
            rush_picture picture = rush_sheet_season(sheet, c, months);
            *RUSH_PUSH(sheet->builder.arena, pictures) = picture;
        }
        return;
    }
}

static void add_bars(rush_sheet *sheet, account *made)
{
    rush_picture_list bars = {0};
    add_size(sheet, made, &bars);
    add_season(sheet, made, &bars);
    rush_build_pictures(&sheet->builder, (rush_phrase){0}, &bars);
}

/* ---- where, and who says so ------------------------------------------------------------------------------- */

/* "habitat: garden pond, fen." or, when that is shorter, "region: all but Scotland." */
static void add_setting(rush_sheet *sheet, account *made, uint32_t character, rush_wording *words)
{
    const rush_character *owner = rush_key_character(sheet->key, character);
    uint32_t form = made->base[made->base[RUSH_SEX_MALE] == RUSH_NONE], listed = 0, said = 0;
    const rush_trait *trait = trait_of(sheet, made, form, character);
    if (!trait || trait->kind != RUSH_TRAIT_STATES)
        return;
    for (uint32_t s = 0; s < owner->state_count; s++)
        listed += trait->weights[s] > 0;
    if (listed == owner->state_count)
        return;
    bool but = listed > 3 && owner->state_count - listed < listed;
    words->voice = RUSH_VOICE_STRONG;
    rush_tell_character(&words->teller, character);
    words->voice = RUSH_VOICE_PLAIN;
    rush_build_say(words, but ? ": all but " : ": ");
    for (uint32_t s = 0; s < owner->state_count; s++) {
        if ((trait->weights[s] > 0) == but)
            continue;
        rush_build_say(words, said++ ? ", " : "");
        rush_tell_state(&words->teller, character, s);
    }
    rush_build_say(words, ". ");
}

/* Where it stands in the key, each couplet once. */
static void add_places(rush_sheet *sheet, uint32_t leaf, rush_wording *words)
{
    const rush_couplets *couplets = sheet->request->couplets;
    uint32_t last = RUSH_NONE;
    if (!couplets || !couplets->couplet_count)
        return;
    rush_build_said(words, RUSH_VOICE_STRONG, NULL, "in the key", NULL);
    for (uint32_t i = 0; i < couplets->outs[leaf].count; i++) {
        uint32_t at = couplets->outs[leaf].at[i].couplet;
        if (at == last)
            continue;
        rush_build_say(words, last == RUSH_NONE ? ": " : ", ");
        words->target = rush_sheet_couplet_id(sheet, at);
        rush_buffer_format(words->teller.words, "%u", at + 1);
        rush_build_say(words, "");
        words->target = NULL;
        last = at;
    }
    rush_build_say(words, ". ");
}

static void add_sources(rush_sheet *sheet, const account *made, rush_wording *words)
{
    bool any = false;
    for (uint32_t s = 0; s < rush_key_source_count(sheet->key); s++) {
        if (!made->cites[s])
            continue;
        if (!sheet->cited[s])
            sheet->cited[s] = ++sheet->cited_count;
        if (!any)
            rush_build_said(words, RUSH_VOICE_STRONG, NULL, "sources", NULL);
        rush_build_say(words, any ? " " : ": ");
        any = true;
        words->target = rush_sheet_source_id(sheet, sheet->cited[s]);
        rush_buffer_format(words->teller.words, "[%u]", sheet->cited[s]);
        rush_build_say(words, "");
        words->target = NULL;
    }
}

static void add_notes(rush_sheet *sheet, account *made, uint32_t leaf)
{
    rush_wording words = rush_sheet_wording(sheet);
    for (uint32_t c = 0; c < rush_key_character_count(sheet->key); c++)
        if (rush_key_character(sheet->key, c)->setting &&
            rush_key_character(sheet->key, c)->kind == RUSH_KIND_STATES)
            add_setting(sheet, made, c, &words);
    add_places(sheet, leaf, &words);
    add_sources(sheet, made, &words);
    rush_phrase phrase = rush_build_worded(&words);
    if (phrase.count)
        rush_build_block(&sheet->builder, RUSH_BLOCK_NOTE)->words = phrase;
}

/* ---- the whole -------------------------------------------------------------------------------------------- */

static void add_caution(rush_sheet *sheet, const account *made)
{
    rush_wording words = rush_sheet_wording(sheet);
    if (!rush_key_words(sheet->key, made->taxon->caution, sheet->language)[0])
        return;
    rush_build_said(&words, RUSH_VOICE_STRONG, NULL, "Take care: ", NULL);
    rush_tell(&words.teller, made->taxon->caution);
    rush_phrase phrase = rush_build_worded(&words);
    rush_build_block(&sheet->builder, RUSH_BLOCK_PARAGRAPH)->words = phrase;
}

static void add_taxon(rush_sheet *sheet, uint32_t leaf)
{
    uint32_t taxon = sheet->part->leaves[leaf];
    account made = begin(sheet, taxon);
    rush_wording name = rush_sheet_wording(sheet);
    rush_build_taxon(&name, taxon, false, NULL);
    rush_phrase heading = rush_build_worded(&name);
    rush_build_heading(&sheet->builder, 3, rush_sheet_taxon_id(sheet, taxon), heading);
    add_bars(sheet, &made);
    add_caution(sheet, &made);
    add_marks(sheet, &made, leaf);
    add_drawings(sheet, &made, leaf);
    add_notes(sheet, &made, leaf);
}

void rush_sheet_taxa(rush_sheet *sheet)
{
    rush_build_heading(&sheet->builder, 2, "accounts",
                       rush_build_phrase(&sheet->builder, "One by one"));
    rush_build_paragraph(
        &sheet->builder, RUSH_BLOCK_PARAGRAPH,
        "The bar of size is as long as in life: black up to the least length, black "
        "and white together up to the greatest. Dark months are those of its season. "
        "The marks are what strikes the eye from afar, then those that tell it from the others on this sheet, the "
        "most telling first: what the usual form shows, of each sex where they differ, then what differs in other "
        "forms. What fewer than one in five show is left out.");
    for (uint32_t leaf = 0; leaf < sheet->part->leaf_count; leaf++)
        add_taxon(sheet, leaf);
}
