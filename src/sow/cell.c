#include "sow/cell.h"

#include <string.h>

#include "base/number.h"
#include "base/unicode.h"
#include "key/month.h"
#include "sow/plan.h"

/* ---- numbers ---------------------------------------------------------------------------------- */

static rush_text behind(rush_text text, size_t bytes)
{
    return rush_text_trim((rush_text){text.at + bytes, text.length - bytes});
}

/* A word or sign in front of what is left; in lower case, as it stands here. */
static bool take_word(rush_text *text, const char *word)
{
    size_t length = strlen(word);
    if (text->length < length)
        return false;
    for (size_t i = 0; i < length; i++) {
        char c = text->at[i];
        if (c >= 'A' && c <= 'Z')
            c = (char)(c - 'A' + 'a');
        if (c != word[i])
            return false;
    }
    *text = behind(*text, length);
    return true;
}

static bool take_number(rush_text *text, double *value)
{
    rush_number number;
    if (!rush_number_take(text, &number))
        return false;
    *value = number.value;
    *text = rush_text_trim(*text);
    return true;
}

/* `n 12`, `n = 12`, `(n=12)`; nothing at all is well too. */
static bool take_count(rush_text *text, uint32_t *n)
{
    rush_text rest = *text;
    double count;
    *n = 0;
    take_word(&rest, ",");
    bool bracket = take_word(&rest, "(");
    if (!take_word(&rest, "n"))
        return true;
    take_word(&rest, "=");
    if (!take_number(&rest, &count) || count < 1 || count > 1e9 || count != (uint32_t)count ||
        (bracket && !take_word(&rest, ")")))
        return true;
    *n = (uint32_t)count;
    *text = rest;
    return true;
}

static bool take_sd(rush_text *text, rush_cell_number *number)
{
    number->ranged = false;
    return take_number(text, &number->sd) && number->sd > 0 && take_count(text, &number->n);
}

static bool take_value(rush_text *text, rush_cell_number *number)
{
    if (take_word(text, "mean")) {
        if (!take_number(text, &number->mean))
            return false;
        take_word(text, ",");
        return take_word(text, "sd") && take_sd(text, number);
    }
    if (!take_number(text, &number->low))
        return false;
    number->mean = number->high = number->low;
    if (take_word(text, "\xc2\xb1") || take_word(text, "+/-") || take_word(text, "+-"))
        return take_sd(text, number);
    number->ranged = true;
    size_t dash = rush_dash_at(*text, 0);
    if (!dash && !take_word(text, "to "))
        return true;
    *text = behind(*text, dash);
    return take_number(text, &number->high);
}

bool rush_cell_number_read(rush_text text, rush_cell_number *number)
{
    *number = (rush_cell_number){0};
    if (!take_value(&text, number))
        return false;
    if (text.length && strchr("0123456789.,;|-+()", text.at[0]))
        return false;
    number->unit = text;
    for (size_t i = 0; i < text.length; i++)
        if (text.at[i] >= '0' && text.at[i] <= '9')
            return false;
    return true;
}

enum { DECIMALS = 9 };

void rush_cell_number_write(const rush_cell_number *number, rush_buffer *buffer)
{
    if (!number->ranged) {
        rush_buffer_number(buffer, number->mean, DECIMALS);
        rush_buffer_string(buffer, "\xc2\xb1");
        rush_buffer_number(buffer, number->sd, DECIMALS);
        if (number->n)
            rush_buffer_format(buffer, " n %u", number->n);
        return;
    }
    rush_buffer_number(buffer, number->low, DECIMALS);
    if (number->high == number->low)
        return;
    /* An en dash: a spreadsheet takes 4-10 for a date. */
    rush_buffer_string(buffer, "\xe2\x80\x93");
    rush_buffer_number(buffer, number->high, DECIMALS);
}

/* ---- months ----------------------------------------------------------------------------------- */

bool rush_cell_months_read(rush_text text, unsigned *months)
{
    *months = 0;
    while (text.length) {
        size_t length = 0;
        while (length < text.length && !strchr("|,;", text.at[length]))
            length++;
        unsigned more;
        if (!rush_months_read(rush_text_trim((rush_text){text.at, length}), &more))
            return false;
        *months |= more;
        text = behind(text, length + (length < text.length));
    }
    return *months != 0;
}

void rush_cell_months_write(unsigned months, const char *dash, const char *between,
                            rush_buffer *buffer)
{
    if (months == (1u << RUSH_MONTHS) - 1) {
        rush_buffer_string(buffer, "all year");
        return;
    }
    bool any = false;
    for (unsigned first = 0; first < RUSH_MONTHS; first++) {
        unsigned before = (first + RUSH_MONTHS - 1) % RUSH_MONTHS, last = first;
        if (!(months >> first & 1) || months >> before & 1)
            continue;
        while (months >> (last + 1) % RUSH_MONTHS & 1)
            last = (last + 1) % RUSH_MONTHS;
        rush_buffer_format(buffer, "%s%.3s", any ? between : "", rush_month_name(first));
        if (last != first)
            rush_buffer_format(buffer, "%s%.3s", dash, rush_month_name(last));
        any = true;
    }
}

/* ---- states ----------------------------------------------------------------------------------- */

/* What is written up to the next sign outside of quotation marks, which open at the start of a name alone. */
static rush_text take_piece(rush_text *text, char sign)
{
    bool quoted = false, begins = true;
    size_t length = 0;
    for (; length < text->length && (quoted || text->at[length] != sign); length++) {
        char c = text->at[length];
        bool mark = c == '"' && (quoted || begins);
        quoted ^= mark;
        begins = mark || (begins && c == ' ') || c == '|';
    }
    rush_text piece = rush_text_trim((rush_text){text->at, length});
    *text = length < text->length ? behind(*text, length + 1) : (rush_text){text->at + length, 0};
    return piece;
}

bool rush_cell_group_take(rush_text *text, rush_text *group)
{
    if (!text->length)
        return false;
    *group = take_piece(text, ';');
    return true;
}

/* `0.7` or `70%`: a weight is never a bare whole number, which may belong to a name ("type 2"), but for one
 * behind quotation marks. */
static bool read_weight(rush_text text, bool whole, double *weight)
{
    bool percent = text.length && text.at[text.length - 1] == '%';
    double value;
    if (percent)
        text = rush_text_trim((rush_text){text.at, text.length - 1});
    bool decimal = memchr(text.at, '.', text.length) || memchr(text.at, ',', text.length);
    if (!(percent || decimal || whole) || !rush_text_number(text, &value))
        return false;
    value /= percent ? 100 : 1;
    if (value < 0 || value > 1)
        return false;
    *weight = value;
    return true;
}

/* The name in quotation marks at the start of a piece; what stands behind it is left. */
static rush_text unquote(rush_text *piece, rush_arena *arena)
{
    char *name = rush_arena_copy(arena, *piece);
    size_t out = 0, at = 1;
    for (; at < piece->length; at++) {
        if (piece->at[at] == '"') {
            if (at + 1 >= piece->length || piece->at[at + 1] != '"')
                break;
            at++;
        }
        name[out++] = piece->at[at];
    }
    *piece = at < piece->length ? behind(*piece, at + 1) : (rush_text){"", 0};
    return rush_text_trim((rush_text){name, out});
}

static size_t weight_begins(rush_text piece)
{
    size_t at = piece.length;
    while (at && piece.at[at - 1] != ' ')
        at--;
    /* `70 %` */
    if (at && piece.length - at == 1 && piece.at[at] == '%')
        for (at--; at && piece.at[at - 1] != ' ';)
            at--;
    return at;
}

bool rush_cell_part_take(rush_text *text, rush_arena *arena, rush_cell_part *part)
{
    if (!text->length)
        return false;
    *part = (rush_cell_part){.weight = -1};
    size_t all = text->length;
    const char *from = text->at;
    rush_text piece = take_piece(text, '|');
    if (piece.length && piece.at[0] == '"') {
        part->quoted = true;
        part->name = unquote(&piece, arena);
        if (piece.length && !read_weight(piece, true, &part->weight))
            part->name.length = 0;
    } else {
        size_t at = weight_begins(piece);
        part->name = piece;
        if (at &&
            read_weight((rush_text){piece.at + at, piece.length - at}, false, &part->weight))
            part->name = rush_text_trim((rush_text){piece.at, at});
    }
    /* A `|` at the end has an empty state behind it: it is told as the empty part in front of it. */
    if (!text->length && from[all - 1] == '|')
        part->name.length = 0;
    return true;
}

static bool needs_quotes(rush_text name)
{
    double weight;
    size_t at = weight_begins(name);
    return !name.length || memchr(name.at, '|', name.length) ||
           memchr(name.at, ';', name.length) || name.at[0] == '"' || rush_cell_is_nothing(name) ||
           rush_sow_alike(name, rush_text_of(RUSH_CELL_UNKNOWN)) ||
           rush_sow_alike(name, rush_text_of(RUSH_CELL_INAPPLICABLE)) ||
           (at && read_weight((rush_text){name.at + at, name.length - at}, false, &weight));
}

void rush_cell_part_write(rush_text name, double weight, rush_buffer *buffer)
{
    bool quotes = needs_quotes(name);
    if (quotes)
        rush_buffer_byte(buffer, '"');
    for (size_t i = 0; i < name.length; i++) {
        if (quotes && name.at[i] == '"')
            rush_buffer_byte(buffer, '"');
        rush_buffer_byte(buffer, name.at[i]);
    }
    if (quotes)
        rush_buffer_byte(buffer, '"');
    if (weight < 0)
        return;
    size_t before = buffer->length + 1;
    rush_buffer_byte(buffer, ' ');
    rush_buffer_number(buffer, weight, DECIMALS);
    if (!buffer->failed && !memchr(buffer->bytes + before, '.', buffer->length - before))
        rush_buffer_string(buffer, ".0");
}

bool rush_cell_is_nothing(rush_text text)
{
    static const char *const words[] = {"?",       "??",    ".",       "n/a",   "na",
                                        "n.a.",    "#n/a",  "#value!", "#ref!", "#name?",
                                        "#div/0!", "#num!", "null",    "nan"};
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(text, folded);
    if (text.length && (length == 0 || rush_text_equal(text, rush_text_of("\xe2\x80\x93")) ||
                        rush_text_equal(text, rush_text_of("\xe2\x80\x94"))))
        return true; /* dashes alone */
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (length != SIZE_MAX &&
            rush_text_equal((rush_text){folded, length}, rush_text_of(words[i])))
            return true;
    return false;
}
