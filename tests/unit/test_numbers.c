/* Numbers against printed tables: tests/reference/normal_table.tsv and scores.tsv name their sources. */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/score.h"
#include "key/month.h"

static const char *folder;

typedef double (*evaluate)(const char *function, char *input);

/* Rows: function, input, expected, tolerance, source. */
static void check_table(const char *name, evaluate value)
{
    rush_buffer text = {0};
    char path[1024];
    unsigned asked = 0;
    snprintf(path, sizeof path, "%s/%s", folder, name);
    support_read(path, &text);
    for (char *row = text.bytes, *next; row && *row; row = next) {
        char *fields[5];
        next = strchr(row, '\n');
        if (next)
            *next++ = '\0';
        if (row[0] == '#' || !row[0] || support_split(row, '\t', fields, 5) != 5)
            continue;
        double expected = strtod(fields[2], NULL), got = value(fields[0], fields[1]);
        if (isnan(got))
            continue;
        asked++;
        if (!(fabs(got - expected) <= strtod(fields[3], NULL)))
            fail_msg("%s %s: wanted %s, got %.15g (%s)", fields[0], fields[1], fields[2], got,
                     fields[4]);
    }
    rush_buffer_free(&text);
    assert_true(asked > 0);
}

static double normal_value(const char *function, char *input)
{
    char *second = strstr(input, "..");
    double x = strtod(input, NULL);
    if (strcmp(function, "phi") == 0)
        return rush_normal_between(-INFINITY, x);
    if (strcmp(function, "phi_between") == 0 && second)
        return rush_normal_between(x, strtod(second + 2, NULL));
    if (strcmp(function, "erf") == 0)
        return x < 0 ? -2 * rush_normal_between(0, -x * sqrt(2))
                     : 2 * rush_normal_between(0, x * sqrt(2));
    if (strcmp(function, "erfc") == 0)
        return 2 * rush_normal_between(x * sqrt(2), INFINITY);
    return NAN;
}

static void normal_table(void **state)
{
    (void)state;
    check_table("normal_table.tsv", normal_value);
}

static double score_value(const char *function, char *input)
{
    char *fields[64];
    double numbers[64], sum = 0;
    size_t count = support_split(input, ' ', fields, 64);
    for (size_t i = 0; i < count; i++)
        numbers[i] = strtod(fields[i], NULL);
    if (strcmp(function, "brier_binary") == 0 || strcmp(function, "brier_mean") == 0) {
        for (size_t i = 0; i + 1 < count; i += 2)
            sum += rush_score_brier(numbers[i], numbers[i + 1] > 0.5);
        return sum / ((double)count / 2);
    }
    if (strcmp(function, "brier_classes") == 0)
        return rush_score_brier_classes(numbers, (uint32_t)count, 0);
    if (strncmp(function, "share_", 6) == 0) {
        double low, high;
        rush_share_interval((uint32_t)numbers[0], (uint32_t)numbers[1], &low, &high);
        return strcmp(function, "share_low") == 0 ? low : high;
    }
    if (strncmp(function, "log_loss_mean", 13) == 0) {
        for (size_t i = 0; i < count; i++)
            sum += rush_score_log(numbers[i]);
        return sum / (double)count * (strstr(function, "bits") ? 1 : log(2));
    }
    return NAN;
}

static void scores(void **state)
{
    (void)state;
    check_table("scores.tsv", score_value);
}

static void months(void **state)
{
    (void)state;
    unsigned set;
    assert_true(rush_months_read(rush_text_of("11-2"), &set)); /* over the end of the year */
    assert_int_equal(set, 1u << 10 | 1u << 11 | 1u << 0 | 1u << 1);
    assert_true(rush_months_read(rush_text_of("Apr\xe2\x80\x93Oct"), &set));
    assert_int_equal(set, 0x3f8);
    assert_true(rush_months_read(rush_text_of("all year"), &set));
    assert_int_equal(set, 0xfff);
    assert_false(rush_months_read(rush_text_of("13"), &set));
    /* ISO 8601-1:2019, calendar dates; the Gregorian leap year */
    assert_true(rush_date_read(rush_text_of("2026-06-14"), &set));
    assert_int_equal(set, 1u << 5);
    assert_true(rush_date_read(rush_text_of("2024-02-29"), &set));
    assert_false(rush_date_read(rush_text_of("2026-02-29"), &set));
    assert_false(rush_date_read(rush_text_of("14-06-2026"), &set));
    assert_true(rush_date_read(rush_text_of("2026-06-14T11:20+01:00"), &set));
    assert_true(rush_date_read(rush_text_of("2026-06-14/16"), &set));
    /* its intervals, each with the months that it touches */
    assert_true(rush_date_read(rush_text_of("2026-04-01/2026-10-31"), &set));
    assert_int_equal(set, 0x3f8);
    assert_true(rush_date_read(rush_text_of("2026-06-30/07-01"), &set));
    assert_int_equal(set, 1u << 5 | 1u << 6);
    assert_true(rush_date_read(rush_text_of("2026-11/2027-02"), &set));
    assert_int_equal(set, 1u << 10 | 1u << 11 | 1u << 0 | 1u << 1);
    assert_true(rush_date_read(rush_text_of("2024-06/2026-02"), &set));
    assert_int_equal(set, 0xfff);
    assert_false(rush_date_read(rush_text_of("2026-10-31/2026-04-01"), &set));
    assert_true(rush_date_reversed(rush_text_of("2026-10-31/2026-04-01")));
    assert_true(rush_date_reversed(rush_text_of("2026-06-14/13")));
    assert_false(rush_date_reversed(rush_text_of("2026-06-14/14")));
    assert_false(rush_date_reversed(rush_text_of("2026-06-14/2026-06")));
}

static void written_numbers(void **state)
{
    (void)state;
    rush_text text = rush_text_of("3,4 cm");
    rush_number number;
    assert_true(rush_number_take(&text, &number));
    assert_true(fabs(number.value - 3.4) < 1e-12 && fabs(number.step - 0.1) < 1e-12);
    double factor;
    assert_true(rush_unit_factor(rush_text_of("in"), rush_text_of("mm"), &factor));
    assert_true(fabs(factor - 25.4) < 1e-12); /* international inch, 1959 */
    assert_false(rush_unit_factor(rush_text_of("kg"), rush_text_of("mm"), &factor));
    rush_buffer buffer = {0};
    rush_buffer_decimal(&buffer, 0.9299996, 6);
    assert_string_equal(buffer.bytes, "0.930000");
    rush_buffer_clear(&buffer);
    rush_buffer_decimal(&buffer, -0.0000001, 6);
    assert_string_equal(buffer.bytes, "0.000000");
    rush_buffer_clear(&buffer);
    rush_buffer_number(&buffer, 34.50, 3);
    rush_buffer_byte(&buffer, ' ');
    rush_buffer_number(&buffer, 100, 3);
    assert_string_equal(buffer.bytes, "34.5 100");
    rush_buffer_free(&buffer);
}

int main(int argc, char **argv)
{
    folder = argc > 1 ? argv[1] : ".";
    const struct CMUnitTest tests[] = {cmocka_unit_test(normal_table), cmocka_unit_test(scores),
                                       cmocka_unit_test(months),
                                       cmocka_unit_test(written_numbers)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
