#include "report/location.h"

#include <math.h>
#include <string.h>

/* Half of the earth's girth: no position is less certain. */
#define UNCERTAINTY_MAX 20037509.0

/* Rounded up, so that the circle still holds the whole location and is never 0, which Darwin Core
 * does not allow. */
static double whole_metres(double metres)
{
    return metres > 0 && metres <= UNCERTAINTY_MAX ? ceil(metres) : 0;
}

/* ---- decimal degrees ---------------------------------------------------------------------------- */

/* WGS 84 (NIMA TR 8350.2): metres in a degree along the meridian and along the parallel, from the
 * ellipsoid's two radii of curvature (rho and nu in IOGP Guidance Note 7-2). */
#define PI              3.14159265358979323846
#define SEMI_MAJOR_AXIS 6378137.0
#define FLATTENING      (1 / 298.257223563)
#define ECCENTRICITY_2  (FLATTENING * (2 - FLATTENING))
#define MEAN_RADIUS     6371008.8 /* of the IUGG */

static double meridian_degree(double latitude)
{
    double s = sin(latitude * PI / 180), w = 1 - ECCENTRICITY_2 * s * s;
    return SEMI_MAJOR_AXIS * (1 - ECCENTRICITY_2) / (w * sqrt(w)) * PI / 180;
}

static double parallel_degree(double latitude)
{
    double s = sin(latitude * PI / 180), w = 1 - ECCENTRICITY_2 * s * s;
    return SEMI_MAJOR_AXIS / sqrt(w) * cos(latitude * PI / 180) * PI / 180;
}

typedef struct interval {
    double low, high, middle;
} interval;

/* The one of the equal parts of low to low + span, each of about `step`, that holds a value. The middle
 * has the five decimals that it is written with. */
static interval part_of(double value, double low, double span, double step)
{
    double parts = fmax(1, floor(span / step)), width = span / parts;
    double at = fmin(floor((value - low) / width), parts - 1);
    interval part = {.low = low + at * width, .high = low + (at + 1) * width};
    part.middle = round((part.low + part.high) / 2 * 1e5) / 1e5;
    return part;
}

static double half_width(interval part)
{
    return fmax(part.high - part.middle, part.middle - part.low);
}

/* The cells are laid out from the south pole and the date line, rows first; the columns of a row depend
 * on its latitude alone. So every position in a cell gives the same centre, and nothing of where in the
 * cell it was leaks out. The cell is widest on the side of the equator. */
static void blur_degrees(rush_location *location, uint32_t metres)
{
    interval row = part_of(location->latitude.value, -90, 180, metres / (MEAN_RADIUS * PI / 180));
    double middle = (row.low + row.high) / 2;
    interval column =
        part_of(location->longitude.value, -180, 360, metres / parallel_degree(middle));
    double widest = row.low > 0 ? row.low : row.high < 0 ? row.high : 0;
    double radius = hypot(half_width(row) * meridian_degree(middle),
                          half_width(column) * parallel_degree(widest));
    location->latitude = (rush_degrees){row.middle, 5};
    location->longitude = (rush_degrees){column.middle, 5};
    location->uncertainty = whole_metres(radius + location->uncertainty);
    location->blurred = true;
}

/* ---- grid references ---------------------------------------------------------------------------- */

static bool is_letter(char c)
{
    char capital = (char)(c & ~0x20);
    return capital >= 'A' && capital <= 'Z' && capital != 'I';
}

/* Takes the digits, and where a gap stood among them (0: nowhere). */
static size_t take_digits(rush_text text, char digits[10], size_t *gap)
{
    size_t count = 0;
    *gap = 0;
    for (size_t i = 0; i < text.length; i++) {
        if (text.at[i] == ' ' && count && !*gap)
            *gap = count;
        else if (text.at[i] >= '0' && text.at[i] <= '9' && count < 10)
            digits[count++] = text.at[i];
        else if (text.at[i] != ' ' || count > *gap)
            return 0;
    }
    return count;
}

static uint32_t whole_number(const char *digits, size_t count)
{
    uint32_t number = 0;
    for (size_t i = 0; i < count; i++)
        number = number * 10 + (uint32_t)(digits[i] - '0');
    return number;
}

static bool read_grid(rush_text text, rush_grid_square *square)
{
    char digits[10];
    size_t letters = 0, gap;
    while (letters < text.length && letters < 2 && is_letter(text.at[letters])) {
        square->letters[letters] = (char)(text.at[letters] & ~0x20);
        letters++;
    }
    size_t count =
        take_digits((rush_text){text.at + letters, text.length - letters}, digits, &gap);
    if (!letters || count < 2 || count % 2 || (gap && gap != count / 2))
        return false;
    square->letters[letters] = '\0';
    square->digits = (int)(count / 2);
    square->easting = whole_number(digits, count / 2);
    square->northing = whole_number(digits + count / 2, count / 2);
    return true;
}

static double square_size(const rush_grid_square *square)
{
    return pow(10, 5 - square->digits);
}

static double square_radius(const rush_grid_square *square)
{
    return square_size(square) * sqrt(0.5);
}

/* A reference is cut, never rounded: its digits name the south-west corner of the square that holds the
 * place (Ordnance Survey, A Guide to Coordinate Systems in Great Britain). Squares come in powers of
 * ten, so it is the next coarser one. */
static void blur_grid(rush_location *location, uint32_t metres)
{
    rush_grid_square *square = &location->square;
    for (; square->digits && square_size(square) < metres; square->digits--) {
        square->easting /= 10;
        square->northing /= 10;
        location->blurred = true;
    }
}

void rush_grid_square_write(const rush_grid_square *square, rush_buffer *buffer)
{
    rush_buffer_string(buffer, square->letters);
    if (square->digits)
        rush_buffer_format(buffer, "%0*u%0*u", square->digits, square->easting, square->digits,
                           square->northing);
}

/* ---- both --------------------------------------------------------------------------------------- */

static void blur(rush_location *location, uint32_t metres)
{
    if (location->kind == RUSH_LOCATION_DEGREES)
        blur_degrees(location, metres);
    else if (location->kind == RUSH_LOCATION_GRID)
        blur_grid(location, metres);
    bool fine = location->kind == RUSH_LOCATION_GRID && square_size(&location->square) < metres;
    if (fine || location->kind == RUSH_LOCATION_WRITTEN)
        *location = (rush_location){.withheld = true};
}

rush_location rush_location_read(rush_text written, double uncertainty, uint32_t metres)
{
    rush_location location = {.written = rush_text_trim(written)};
    if (!location.written.length)
        return location;
    location.uncertainty = whole_metres(uncertainty);
    if (rush_degrees_read(location.written, &location.latitude, &location.longitude) ==
        RUSH_DEGREES_PAIR)
        location.kind = RUSH_LOCATION_DEGREES;
    else if (read_grid(location.written, &location.square))
        location.kind = RUSH_LOCATION_GRID;
    else
        location.kind = RUSH_LOCATION_WRITTEN;
    if (metres)
        blur(&location, metres);
    bool own =
        location.kind == RUSH_LOCATION_GRID && (location.blurred || location.uncertainty == 0);
    if (own)
        location.uncertainty =
            whole_metres(square_radius(&location.square) + location.uncertainty);
    return location;
}
