#include "cli/files.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define FILES_LIMIT ((size_t)FILES_LIMIT_MIB << 20)
#define CHUNK ((size_t)1 << 16)

struct file {
    struct file *next;
    char *name;
    char *bytes;
    size_t size, capacity;
    dev_t device;
    ino_t number;
};

/* ---- reasons ----------------------------------------------------------------- */

static char *join(const char *a, const char *b, const char *c, const char *d)
{
    size_t size = strlen(a) + strlen(b) + strlen(c) + strlen(d) + 1;
    char *joined = malloc(size);
    if (joined) {
        snprintf(joined, size, "%s%s%s%s", a, b, c, d);
    }
    return joined;
}

static enum files_result unreadable(struct files *files, char *reason)
{
    free(files->reason);
    files->reason = reason;
    return reason ? FILES_UNREADABLE : FILES_NO_MEMORY;
}

static enum files_result refused(struct files *files, const char *reason)
{
    return unreadable(files, join(reason, "", "", ""));
}

static enum files_result failed(struct files *files)
{
    return refused(files, strerror(errno));
}

static enum files_result too_large(struct files *files)
{
    char limit[24];
    snprintf(limit, sizeof limit, "%d", FILES_LIMIT_MIB);
    return unreadable(files, join("larger than ", limit, " MiB, which no book or record is", ""));
}

/* ---- reading ------------------------------------------------------------------- */

static bool make_room(const struct files *files, struct file *file, size_t capacity)
{
    char *larger =
        files->memory->resize(files->memory->user, file->bytes, file->capacity, capacity);
    if (!larger) {
        return false;
    }
    file->bytes = larger;
    file->capacity = capacity;
    return true;
}

/* `expected` bytes are there, unless the file grows. */
static enum files_result read_all(struct files *files, int descriptor, size_t expected,
                                  struct file *file)
{
    if (!make_room(files, file, expected ? expected + 1 : CHUNK)) {
        return FILES_NO_MEMORY;
    }
    for (;;) {
        if (file->size == file->capacity && !make_room(files, file, 2 * file->capacity)) {
            return FILES_NO_MEMORY;
        }
        ssize_t got = read(descriptor, file->bytes + file->size, file->capacity - file->size);
        if (got == 0) {
            return FILES_OK;
        }
        if (got < 0 && errno != EINTR) {
            return failed(files);
        }
        file->size += got > 0 ? (size_t)got : 0;
        if (file->size > FILES_LIMIT) {
            return too_large(files);
        }
    }
}

static struct file *known_file(const struct files *files, const struct stat *status)
{
    struct file *file = files->first;
    while (file && !(file->device == status->st_dev && file->number == status->st_ino)) {
        file = file->next;
    }
    return file;
}

static const char *why_not_a_file(mode_t mode)
{
    return S_ISREG(mode)    ? NULL
           : S_ISDIR(mode)  ? "it is a directory"
           : S_ISFIFO(mode) ? "it is a pipe, not a file (a text can come through standard input: "
                              "write '-')"
                            : "it is not a regular file";
}

static void file_free(const struct files *files, struct file *file)
{
    if (file->bytes) {
        files->memory->resize(files->memory->user, file->bytes, file->capacity, 0);
    }
    free(file->name);
    free(file);
}

static enum files_result keep(struct files *files, int descriptor, const char *name,
                              const struct stat *status, struct file **kept)
{
    struct file *file = calloc(1, sizeof *file);
    if (!file) {
        return FILES_NO_MEMORY;
    }
    file->name = join(name, "", "", "");
    file->device = status->st_dev;
    file->number = status->st_ino;
    enum files_result result = FILES_NO_MEMORY;
    if (file->name) {
        result = read_all(files, descriptor, (size_t)status->st_size, file);
    }
    if (result != FILES_OK) {
        file_free(files, file);
        return result;
    }
    file->next = files->first;
    files->first = file;
    *kept = file;
    return FILES_OK;
}

static enum files_result open_path(struct files *files, const char *path, struct file **file)
{
    struct stat status;
    /* Without O_NONBLOCK, opening a pipe that nobody writes to would not return. */
    int descriptor = open(path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    if (descriptor < 0) {
        return failed(files);
    }
    enum files_result result;
    if (fstat(descriptor, &status) != 0) {
        result = failed(files);
    } else if (why_not_a_file(status.st_mode)) {
        result = refused(files, why_not_a_file(status.st_mode));
    } else if (status.st_size > (off_t)FILES_LIMIT) {
        result = too_large(files);
    } else {
        *file = known_file(files, &status);
        result = *file ? FILES_OK : keep(files, descriptor, path, &status, file);
    }
    close(descriptor);
    return result;
}

static void give(const struct file *file, struct stave_text *text)
{
    *text = (struct stave_text){.name = file->name, .bytes = file->bytes, .size = file->size};
}

enum files_result files_open(struct files *files, const char *path, struct stave_text *text)
{
    struct file *file = NULL;
    enum files_result result;
    if (strcmp(path, "-") == 0) {
        static const struct stat nothing; /* no file is known by it: device 0, number 0 */
        result = keep(files, STDIN_FILENO, FILES_INPUT, &nothing, &file);
    } else {
        result = open_path(files, path, &file);
    }
    if (result == FILES_OK) {
        give(file, text);
    }
    return result;
}

bool files_given(void *user, const char *name, struct stave_text *text)
{
    const struct files *files = user;
    for (const struct file *file = files->first; file; file = file->next) {
        if (strcmp(file->name, name) == 0) {
            give(file, text);
            return true;
        }
    }
    return false;
}

/* ---- texts that a book uses --------------------------------------------------------- */

/* The path of a name as seen from the text that uses it, from malloc. */
static char *path_beside(const char *from, const char *name)
{
    while (name[0] == '.' && name[1] == '/') {
        name += 2;
    }
    const char *slash = strrchr(from, '/');
    char *folder = join(from, "", "", "");
    if (!folder) {
        return NULL;
    }
    folder[slash ? slash - from + 1 : 0] = '\0';
    char *path = join(folder, name, "", "");
    free(folder);
    return path;
}

bool files_find(void *user, const char *from, const char *name, struct stave_text *found,
                const char **why)
{
    struct files *files = user;
    *why = "out of memory";
    if (name[0] == '/' || name[0] == '\0') {
        *why = "a used text is named as seen from the folder of the book, such as "
               "\"common.stave\" or \"../common.stave\"";
        return false;
    }
    char *path = path_beside(from, name);
    struct file *file = NULL;
    enum files_result result = path ? open_path(files, path, &file) : FILES_NO_MEMORY;
    if (result == FILES_OK) {
        give(file, found);
    } else if (result == FILES_UNREADABLE) {
        char *reason = join("tried '", path, "': ", files->reason);
        if (reason) {
            unreadable(files, reason);
            *why = files->reason;
        }
    }
    free(path);
    return result == FILES_OK;
}

/* ---- writing ------------------------------------------------------------------------- */

static bool write_all(int descriptor, const char *bytes, size_t size)
{
    for (size_t sent = 0; sent < size;) {
        ssize_t wrote = write(descriptor, bytes + sent, size - sent);
        if (wrote < 0 && errno != EINTR) {
            return false;
        }
        sent += wrote > 0 ? (size_t)wrote : 0;
    }
    return true;
}

bool files_exists(const char *folder, const char *name)
{
    struct stat status;
    char *path = join(folder, "/", name, "");
    bool there = path && lstat(path, &status) == 0;
    free(path);
    return there;
}

/* Writes beside the name first, and takes the name only when all is written. */
static bool write_beside(const char *beside, const char *path, const char *bytes, size_t size,
                         bool replace)
{
    int descriptor = open(beside, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (descriptor < 0) {
        return false;
    }
    bool good = write_all(descriptor, bytes, size);
    int failure = errno;
    if (close(descriptor) != 0 && good) {
        good = false;
        failure = errno;
    }
    /* A link does not take the place of what is there. */
    if (good && (replace ? rename(beside, path) : link(beside, path)) != 0) {
        good = false;
        failure = errno;
    }
    unlink(beside);
    errno = failure;
    return good;
}

enum files_result files_write(struct files *files, const char *folder, const char *name,
                              const char *bytes, size_t size, bool replace)
{
    if (mkdir(folder, 0777) != 0 && errno != EEXIST) {
        return failed(files);
    }
    char *path = join(folder, "/", name, "");
    char *beside = join(folder, "/.", name, ".part");
    enum files_result result = FILES_NO_MEMORY;
    if (path && beside) {
        result = write_beside(beside, path, bytes, size, replace) ? FILES_OK : failed(files);
    }
    free(path);
    free(beside);
    return result;
}

/* ---- folders ------------------------------------------------------------------------- */

bool files_is_folder(const char *path)
{
    struct stat status;
    return stat(path, &status) == 0 && S_ISDIR(status.st_mode);
}

static bool ends_so(const char *name, const char *ending)
{
    size_t size = strlen(name), end = strlen(ending);
    return name[0] != '.' && size > end && strcmp(name + size - end, ending) == 0;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static bool list_add(struct files_list *list, char *path)
{
    if (path && list->count == list->capacity) {
        size_t capacity = list->capacity ? 2 * list->capacity : 64;
        char **larger = realloc(list->paths, capacity * sizeof *larger);
        if (!larger) {
            free(path);
            return false;
        }
        list->paths = larger;
        list->capacity = capacity;
    }
    if (path) {
        list->paths[list->count++] = path;
    }
    return path != NULL;
}

void files_list_free(struct files_list *list)
{
    for (size_t i = 0; i < list->count; i++) {
        free(list->paths[i]);
    }
    free(list->paths);
    *list = (struct files_list){0};
}

enum files_result files_list(struct files *files, const char *folder, const char *ending,
                             struct files_list *list)
{
    *list = (struct files_list){0};
    DIR *open_folder = opendir(folder);
    if (!open_folder) {
        return failed(files);
    }
    size_t size = strlen(folder);
    const char *between = size > 0 && folder[size - 1] == '/' ? "" : "/";
    bool good = true;
    errno = 0;
    for (struct dirent *entry; good && (entry = readdir(open_folder)) != NULL; errno = 0) {
        if (ends_so(entry->d_name, ending)) {
            good = list_add(list, join(folder, between, entry->d_name, ""));
        }
    }
    int failure = good ? errno : 0;
    closedir(open_folder);
    enum files_result result = FILES_OK;
    if (!good) {
        result = FILES_NO_MEMORY;
    } else if (failure) {
        errno = failure;
        result = failed(files);
    } else if (list->count == 0) {
        result = unreadable(files,
                            join("a folder without a file whose name ends in '", ending, "'", ""));
    }
    if (result != FILES_OK) {
        files_list_free(list);
    } else {
        qsort(list->paths, list->count, sizeof *list->paths, by_name);
    }
    return result;
}

void files_close(struct files *files)
{
    while (files->first) {
        struct file *file = files->first;
        files->first = file->next;
        file_free(files, file);
    }
    free(files->reason);
    files->reason = NULL;
}
