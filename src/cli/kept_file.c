#define _XOPEN_SOURCE 700 /* fsync */
#include "kept_file.h"

#include <errno.h>
#include <unistd.h>

bool kept_file_write(int file, rush_text text)
{
    while (text.length) {
        ssize_t written = write(file, text.at, text.length);
        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        text = (rush_text){text.at + written, text.length - (size_t)written};
    }
    return true;
}

bool kept_file_sync(int file)
{
    while (fsync(file) != 0)
        if (errno != EINTR)
            return errno == EINVAL || errno == ENOTSUP;
    return true;
}
