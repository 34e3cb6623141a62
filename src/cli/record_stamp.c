#include "record_stamp.h"

#include <errno.h>
#include <sys/random.h>
#include <time.h>

bool record_uuid(char text[UUID_TEXT])
{
    static const char digits[] = "0123456789abcdef";
    unsigned char random[16];
    ssize_t got;
    do
        got = getrandom(random, sizeof random, 0);
    while (got < 0 && errno == EINTR);
    if (got != sizeof random)
        return false;
    random[6] = (random[6] & 0x0f) | 0x40; /* the version */
    random[8] = (random[8] & 0x3f) | 0x80; /* the variant */
    for (size_t i = 0; i < sizeof random; i++) {
        if (i == 4 || i == 6 || i == 8 || i == 10)
            *text++ = '-';
        *text++ = digits[random[i] >> 4];
        *text++ = digits[random[i] & 15];
    }
    *text = '\0';
    return true;
}

bool record_today(char text[DATE_TEXT])
{
    time_t now = time(NULL);
    struct tm local;
    return now != (time_t)-1 && localtime_r(&now, &local) &&
           strftime(text, DATE_TEXT, "%Y-%m-%d", &local) == DATE_TEXT - 1;
}
