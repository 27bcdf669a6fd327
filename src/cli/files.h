/*
 * Texts from files, whole and in memory, and where a book finds what it uses.
 *
 * Only regular files are read, and standard input: opening a pipe could wait for ever. A
 * file that was read before, under whatever name, is given again under its first name, so that
 * a circle of uses is seen as one.
 */
#ifndef STAVE_CLI_FILES_H
#define STAVE_CLI_FILES_H

#include <stdbool.h>
#include <stddef.h>

#include "stave.h"

/* The name of standard input in messages. */
#define FILES_INPUT "standard input"

/* No text that the library reads is as large as this; what is larger is not even read. */
#define FILES_LIMIT_MIB 32

struct file;

struct files {
    const struct stave_allocator *memory; /* for the texts */
    struct file *first;
    char *reason; /* why the last text could not be read */
};

enum files_result { FILES_OK, FILES_UNREADABLE, FILES_NO_MEMORY };

/* Reads a file, or standard input for "-". The text lives until files_close. */
enum files_result files_open(struct files *files, const char *path, struct stave_text *text);

/* A stave_find_text; `user` is a struct files. A name is sought from the folder of the text that
 * uses it. */
bool files_find(void *user, const char *from, const char *name, struct stave_text *found,
                const char **why);

/* A text that was read before, by the name that it was given. `user` is a struct files. */
bool files_given(void *user, const char *name, struct stave_text *text);

/*
 * Writes a file into a folder, which is made when it is not there. Without `replace` a file that is
 * there already stays as it is, and that is an error. A file is never left half written under its
 * name. On failure files->reason says why.
 */
enum files_result files_write(struct files *files, const char *folder, const char *name,
                              const char *bytes, size_t size, bool replace);
/* Is there anything of that name in the folder? */
bool files_exists(const char *folder, const char *name);

/* The files of a folder whose name ends so, by name; a folder without one is unreadable. */
struct files_list {
    char **paths;
    size_t count, capacity;
};
enum files_result files_list(struct files *files, const char *folder, const char *ending,
                             struct files_list *list);
void files_list_free(struct files_list *list);
bool files_is_folder(const char *path);

void files_close(struct files *files);

#endif
