#define _XOPEN_SOURCE 700 /* realpath */
#include "record_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "kept_file.h"

/* The file while it is worked on. What is not open is -1. */
typedef struct record_file {
    const char *path;   /* as it was told */
    char *target;       /* where links lead */
    const char *name;   /* in its folder */
    rush_buffer beside; /* the name of the file that is written */
    rush_buffer header;
    int folder, old, new;
    struct stat status; /* of the old file */
    bool there;         /* there is an old file */
    bool empty;         /* it has no header yet */
    bool returns;       /* its lines end with CR LF */
    bool open_line;     /* it does not end with a line break */
    rush_buffer *problem;
} record_file;

/* ---- what can be wrong -------------------------------------------------------------------------- */

static bool refuse(record_file *file, const char *why)
{
    rush_buffer_string(file->problem, "nothing is written to '");
    rush_buffer_safe(file->problem, rush_text_of(file->path));
    rush_buffer_format(file->problem, "': %s", why);
    return false;
}

static bool refuse_for_errno(record_file *file)
{
    return refuse(file, strerror(errno));
}

/* ---- the folder --------------------------------------------------------------------------------- */

/* A plain file here is one that another session has just made. */
static bool is_link(const char *path)
{
    struct stat status;
    return lstat(path, &status) == 0 && S_ISLNK(status.st_mode);
}

/* A file that is not there yet has no real path, but its folder has one. */
static bool resolve(record_file *file)
{
    file->target = realpath(file->path, NULL);
    if (!file->target && errno != ENOENT)
        return refuse_for_errno(file);
    if (!file->target && is_link(file->path))
        return refuse(file, "it is a link to a file that is not there");
    if (!file->target)
        file->target = strdup(file->path);
    if (!file->target)
        return refuse_for_errno(file);
    char *slash = strrchr(file->target, '/');
    file->name = slash ? slash + 1 : file->target;
    rush_buffer_format(&file->beside, ".%s.rushlight", file->name);
    rush_darwin_core_header(&file->header);
    if (!file->name[0])
        return refuse(file, "it is not the name of a file");
    return !file->beside.failed && !file->header.failed ? true : refuse(file, "out of memory");
}

static bool open_folder(record_file *file)
{
    size_t length = (size_t)(file->name - file->target);
    rush_buffer folder = {0};
    rush_buffer_add(&folder, length ? (rush_text){file->target, length} : rush_text_of("."));
    errno = ENOMEM;
    if (!folder.failed)
        file->folder = open(folder.bytes, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    rush_buffer_free(&folder);
    return file->folder >= 0 ? true : refuse_for_errno(file);
}

/* The new file is made in it. */
static bool check_folder(record_file *file)
{
    return faccessat(file->folder, ".", W_OK | X_OK, AT_EACCESS) == 0 ? true
                                                                      : refuse_for_errno(file);
}

/* The lock is on the folder, since the file itself is replaced. It goes when the folder is closed. */
static bool lock_folder(record_file *file)
{
    while (flock(file->folder, LOCK_EX) != 0)
        if (errno != EINTR)
            return refuse_for_errno(file);
    return true;
}

/* ---- the old file ------------------------------------------------------------------------------- */

/* For writing too, so that one who may not write it is told so, although it would only be replaced. */
static bool open_old(record_file *file)
{
    struct stat opened;
    file->there = fstatat(file->folder, file->name, &file->status, AT_SYMLINK_NOFOLLOW) == 0;
    file->empty = !file->there || file->status.st_size == 0;
    if (!file->there)
        return errno == ENOENT ? true : refuse_for_errno(file);
    if (!S_ISREG(file->status.st_mode))
        return refuse(file, "it is not a plain file");
    file->old = openat(file->folder, file->name, O_RDWR | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (file->old < 0 || fstat(file->old, &opened) != 0)
        return refuse_for_errno(file);
    return opened.st_ino == file->status.st_ino ? true : refuse(file, "it is being changed");
}

static ssize_t read_some(int file, char *bytes, size_t size)
{
    ssize_t got;
    do
        got = read(file, bytes, size);
    while (got < 0 && errno == EINTR);
    return got;
}

/* Reads until `size` bytes are there or the file ends. */
static ssize_t read_start(int file, char *bytes, size_t size)
{
    size_t length = 0;
    while (length < size) {
        ssize_t got = read_some(file, bytes + length, size - length);
        if (got < 0)
            return -1;
        if (got == 0)
            break;
        length += (size_t)got;
    }
    return lseek(file, 0, SEEK_SET) == 0 ? (ssize_t)length : -1;
}

/* The first line is our header, behind a byte order mark or not, before CR LF or LF or the end. */
static bool is_ours(record_file *file, rush_text start)
{
    static const char mark[] = "\xef\xbb\xbf";
    size_t length = file->header.length - 1;
    if (start.length >= 3 && memcmp(start.at, mark, 3) == 0)
        start = (rush_text){start.at + 3, start.length - 3};
    if (start.length < length || memcmp(start.at, file->header.bytes, length) != 0)
        return false;
    start = (rush_text){start.at + length, start.length - length};
    file->returns = start.length >= 2 && start.at[0] == '\r' && start.at[1] == '\n';
    return !start.length || start.at[0] == '\n' || file->returns;
}

static bool check_header(record_file *file)
{
    enum { MARK_AND_BREAK = 5 };
    if (file->empty)
        return true;
    size_t size = file->header.length + MARK_AND_BREAK;
    char *bytes = malloc(size);
    if (!bytes)
        return refuse_for_errno(file);
    ssize_t length = read_start(file->old, bytes, size);
    bool ours = length >= 0 && is_ours(file, (rush_text){bytes, (size_t)length});
    free(bytes);
    if (length < 0)
        return refuse_for_errno(file);
    return ours ? true : refuse(file, "its first line is not the header of these records");
}

/* ---- the new file ------------------------------------------------------------------------------- */

/* Nobody else writes it while the folder is locked: one that is there is a killed session's. */
static bool open_new(record_file *file)
{
    if (unlinkat(file->folder, file->beside.bytes, 0) != 0 && errno != ENOENT)
        return refuse_for_errno(file);
    file->new = openat(file->folder, file->beside.bytes,
                       O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
    return file->new >= 0 ? true : refuse_for_errno(file);
}

/* An odd number of quotation marks means a record that is cut off, which would swallow ours. */
static bool copy_old(record_file *file)
{
    enum { BLOCK = 1 << 16 };
    char bytes[BLOCK], last = '\n';
    bool quoted = false;
    ssize_t got;
    while ((got = read_some(file->old, bytes, sizeof bytes)) > 0) {
        if (!kept_file_write(file->new, (rush_text){bytes, (size_t)got}))
            return refuse_for_errno(file);
        for (ssize_t i = 0; i < got; i++)
            quoted ^= bytes[i] == '"';
        last = bytes[got - 1];
    }
    if (got < 0)
        return refuse_for_errno(file);
    file->open_line = last != '\n';
    return quoted ? refuse(file, "its last record is cut off inside quotation marks") : true;
}

static bool write_row(record_file *file, rush_text row)
{
    rush_text line_break = rush_text_of(file->returns ? "\r\n" : "\n");
    row.length--;
    bool written =
        (!file->empty ||
         kept_file_write(file->new, (rush_text){file->header.bytes, file->header.length})) &&
        (!file->open_line || kept_file_write(file->new, line_break)) &&
        kept_file_write(file->new, row) && kept_file_write(file->new, line_break);
    return written ? true : refuse_for_errno(file);
}

/* The owner is kept where we may give files away; else the new file is ours. Its mode comes last, since
 * a new owner can cost mode bits. */
static bool keep_mode(record_file *file)
{
    if (!file->there)
        return true;
    if (fchown(file->new, file->status.st_uid, file->status.st_gid) != 0 && errno != EPERM)
        return refuse_for_errno(file);
    return fchmod(file->new, file->status.st_mode & 07777) == 0 ? true : refuse_for_errno(file);
}

static bool sync_new(record_file *file)
{
    bool synced = kept_file_sync(file->new);
    int why = errno;
    bool closed = close(file->new) == 0;
    file->new = -1;
    if (!synced)
        errno = why;
    return synced && closed ? true : refuse_for_errno(file);
}

/* Programs that know nothing of our lock may have saved the file in the meantime. */
static bool is_unchanged(record_file *file)
{
    struct stat now;
    bool there = fstatat(file->folder, file->name, &now, AT_SYMLINK_NOFOLLOW) == 0;
    const struct stat *was = &file->status;
    bool same = there == file->there &&
                (!there || (now.st_ino == was->st_ino && now.st_size == was->st_size &&
                            now.st_mtim.tv_sec == was->st_mtim.tv_sec &&
                            now.st_mtim.tv_nsec == was->st_mtim.tv_nsec));
    return same ? true : refuse(file, "another program has changed it meanwhile");
}

/* The new file has taken its place; the folder must remember it. */
static bool confirm(record_file *file)
{
    if (kept_file_sync(file->folder))
        return true;
    rush_buffer_string(file->problem, "the record is in '");
    rush_buffer_safe(file->problem, rush_text_of(file->path));
    rush_buffer_format(file->problem, "', but the disk has not confirmed it: %s",
                       strerror(errno));
    return false;
}

static bool replace(record_file *file)
{
    return renameat(file->folder, file->beside.bytes, file->folder, file->name) == 0
               ? true
               : refuse_for_errno(file);
}

static bool write_new(record_file *file, rush_text row)
{
    if (!open_new(file))
        return false;
    if ((!file->there || copy_old(file)) && write_row(file, row) && keep_mode(file) &&
        sync_new(file) && is_unchanged(file) && replace(file))
        return confirm(file);
    unlinkat(file->folder, file->beside.bytes, 0);
    return false;
}

/* ---- the whole ---------------------------------------------------------------------------------- */

static bool begin(record_file *file, const char *path, rush_buffer *problem)
{
    *file = (record_file){.path = path, .folder = -1, .old = -1, .new = -1, .problem = problem};
    return resolve(file) && open_folder(file);
}

static void end(record_file *file)
{
    const int files[] = {file->old, file->new, file->folder};
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        if (files[i] >= 0)
            close(files[i]);
    rush_buffer_free(&file->beside);
    rush_buffer_free(&file->header);
    free(file->target);
}

bool record_file_check(const char *path, rush_buffer *problem)
{
    record_file file;
    bool good = begin(&file, path, problem) && check_folder(&file) && lock_folder(&file) &&
                open_old(&file) && check_header(&file);
    end(&file);
    return good;
}

bool record_file_append(const char *path, rush_text row, rush_buffer *problem)
{
    record_file file;
    bool good = begin(&file, path, problem) && lock_folder(&file) && open_old(&file) &&
                check_header(&file) && write_new(&file, row);
    end(&file);
    return good;
}
