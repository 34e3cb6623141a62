/* Slices of text and the growing buffer that every way out writes to.
 *
 * Layer: base (the lowest; knows nothing else).
 * Ownership: a rush_text borrows; a rush_buffer owns its bytes until rush_buffer_free.
 * Errors: a buffer that cannot grow stays as it was and is marked failed; later writes do nothing. */
#ifndef RUSHLIGHT_TEXT_H
#define RUSHLIGHT_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
#define RUSH_LINKAGE extern "C"
#else
#define RUSH_LINKAGE
#endif

/* What programs may call; nothing else can be seen in the shared library. */
#if defined(__GNUC__)
#define RUSH_PUBLIC           RUSH_LINKAGE __attribute__((visibility("default")))
#define RUSH_FORMAT(at, from) __attribute__((format(printf, at, from)))
#else
#define RUSH_PUBLIC RUSH_LINKAGE
#define RUSH_FORMAT(at, from)
#endif

/* Bytes that somebody else owns; UTF-8 unless said otherwise, not ended by a NUL. */
typedef struct rush_text {
    const char *at;
    size_t length;
} rush_text;

/* A borrowed view of a NUL-ended string; NULL gives the empty text. */
RUSH_PUBLIC rush_text rush_text_of(const char *string);
RUSH_PUBLIC bool rush_text_equal(rush_text a, rush_text b);
/* Without spaces, no-break spaces and tabs at either end. */
RUSH_PUBLIC rush_text rush_text_trim(rush_text text);

typedef struct rush_buffer {
    char *bytes; /* NULL or `length` bytes followed by a NUL */
    size_t length;
    size_t capacity;
    bool failed; /* memory ran out; what is in the buffer is not whole */
} rush_buffer;

/* All zero bytes is an empty buffer too. */
RUSH_PUBLIC void rush_buffer_init(rush_buffer *buffer);
RUSH_PUBLIC void rush_buffer_free(rush_buffer *buffer);
RUSH_PUBLIC void rush_buffer_clear(rush_buffer *buffer);
/* Room for `size` more bytes; false (and failed) when there is no memory. */
RUSH_PUBLIC bool rush_buffer_reserve(rush_buffer *buffer, size_t size);
RUSH_PUBLIC void rush_buffer_add(rush_buffer *buffer, rush_text text);
RUSH_PUBLIC void rush_buffer_string(rush_buffer *buffer, const char *string);
RUSH_PUBLIC void rush_buffer_byte(rush_buffer *buffer, char byte);
/* `count` copies of `byte`. */
RUSH_PUBLIC void rush_buffer_fill(rush_buffer *buffer, char byte, size_t count);
/* Text and whole numbers only (%s %.*s %d %zu %u): a floating-point conversion would ask the
 * locale for its decimal sign; rush_buffer_decimal is for those. */
RUSH_PUBLIC void rush_buffer_format(rush_buffer *buffer, const char *format, ...)
    RUSH_FORMAT(2, 3);
RUSH_PUBLIC void rush_buffer_vformat(rush_buffer *buffer, const char *format, va_list arguments)
    RUSH_FORMAT(2, 0);
/* `value` with `decimals` (0 to 9) digits after a point, rounded half away from zero, whatever the
 * locale; without decimals where there would be more than 18 digits. Not finite or above 1e15 in size:
 * "nan", "inf" or "-inf". */
RUSH_PUBLIC void rush_buffer_decimal(rush_buffer *buffer, double value, int decimals);
/* As the decimal, without zeros that end it ("34.5", "34"). */
RUSH_PUBLIC void rush_buffer_number(rush_buffer *buffer, double value, int decimals);
/* Text that came from a file or a person, made safe for a terminal: control characters, bytes that
 * are not UTF-8 and the characters that reverse or hide text are shown as <U+001B> or <1B>;
 * a tab or a line break becomes a space. */
RUSH_PUBLIC void rush_buffer_safe(rush_buffer *buffer, rush_text text);

/* Columns of a terminal that the text takes once it is made safe. */
RUSH_PUBLIC size_t rush_text_columns(rush_text text);

/* The whole text is one number, with a point or a comma for its decimals; no exponent. */
RUSH_PUBLIC bool rush_text_number(rush_text text, double *number);

/* Of some names (NULL ends them), the first of those nearest to one that is none of them; NULL when
 * nothing is near. */
RUSH_PUBLIC const char *rush_text_nearest(rush_text wanted, const char *const *names);

#endif
