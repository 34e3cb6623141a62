#define _XOPEN_SOURCE 700 /* realpath */
#include "practice_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "input.h"
#include "kept_file.h"

static const char *check_plain(const char *path)
{
    struct stat status;
    if (lstat(path, &status) != 0)
        return errno == ENOENT ? NULL : strerror(errno);
    if (stat(path, &status) != 0)
        return errno == ENOENT ? "it is a link to a file that is not there" : strerror(errno);
    return S_ISREG(status.st_mode) ? NULL : "it is not a plain file";
}

const char *practice_file_read(const char *path, rush_buffer *text)
{
    const char *problem = path[0] ? check_plain(path) : "it is not the name of a file";
    if (problem)
        return problem;
    /* "-" is a name here as any other. */
    rush_buffer name = {0};
    rush_buffer_format(&name, "%s%s", path[0] == '-' ? "./" : "", path);
    if (name.failed)
        problem = strerror(ENOMEM);
    else if (access(name.bytes, F_OK) == 0)
        problem = input_whole(name.bytes, text);
    rush_buffer_free(&name);
    return problem;
}

static bool fill(int file, const char *target, rush_text text)
{
    struct stat old;
    bool kept = stat(target, &old) != 0 || fchmod(file, old.st_mode & 07777) == 0;
    return kept_file_write(file, text) && kept && kept_file_sync(file);
}

static bool replace(const char *beside, const char *target, rush_text text)
{
    if (unlink(beside) != 0 && errno != ENOENT)
        return false;
    int file = open(beside, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
    if (file < 0)
        return false;
    bool filled = fill(file, target, text);
    int why = errno;
    bool closed = close(file) == 0;
    if (filled && !closed)
        why = errno;
    if (filled && closed && rename(beside, target) == 0)
        return true;
    if (filled && closed)
        why = errno;
    unlink(beside);
    errno = why;
    return false;
}

/* Up to its last slash, which may be nothing. */
static rush_text folder_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    return (rush_text){path, slash ? (size_t)(slash + 1 - path) : 0};
}

int practice_file_lock(const char *path)
{
    char *target = realpath(path, NULL);
    rush_text folder = folder_of(target ? target : path);
    rush_buffer name = {0};
    rush_buffer_add(&name, folder.length ? folder : rush_text_of("."));
    int file = name.failed ? -1 : open(name.bytes, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    while (file >= 0 && flock(file, LOCK_EX) != 0 && errno == EINTR)
        ;
    rush_buffer_free(&name);
    free(target);
    return file;
}

const char *practice_file_write(const char *path, rush_text text)
{
    char *target = realpath(path, NULL);
    rush_buffer beside = {0};
    if (!target && errno != ENOENT)
        return strerror(errno);
    if (target && access(target, W_OK) != 0) { /* although it would only be replaced */
        const char *why = strerror(errno);
        free(target);
        return why;
    }
    const char *whole = target ? target : path;
    rush_text folder = folder_of(whole);
    rush_buffer_add(&beside, folder);
    rush_buffer_format(&beside, ".%s.rushlight", whole + folder.length);
    errno = ENOMEM;
    const char *problem =
        !beside.failed && replace(beside.bytes, whole, text) ? NULL : strerror(errno);
    rush_buffer_free(&beside);
    free(target);
    return problem;
}
