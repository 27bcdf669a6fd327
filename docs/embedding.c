/*
 * Stave in a program of one's own: reads a book and an inspection record, judges, says why.
 *
 *     cc embedding.c $(pkg-config --cflags --libs stave) -o embedding
 *     ./embedding field-composite.stave inspection.yaml
 *
 * Exit status: 0 may fly, 1 may not or cannot be said, 2 nothing was judged.
 */
#include <stave.h>
#include <stdio.h>
#include <string.h>

#define TEXTS 8
#define TEXT_ROOM ((size_t)1 << 20)

/* The texts that were read, all from one folder; their bytes stay until the books are read. */
struct shelf {
    const char *folder; /* not zero-terminated */
    int folder_length;  /* with its slash */
    size_t count;
    char paths[TEXTS][256];
    char rooms[TEXTS][TEXT_ROOM];
};

/* The library reads no files: the host does, and hands it bytes. False, and why, if it cannot. */
static bool shelf_read(struct shelf *shelf, const char *name, struct stave_text *text,
                       const char **why)
{
    if (shelf->count == TEXTS) {
        *why = "too many texts";
        return false;
    }
    char *path = shelf->paths[shelf->count], *room = shelf->rooms[shelf->count];
    int length =
        snprintf(path, sizeof shelf->paths[0], "%.*s%s", shelf->folder_length, shelf->folder, name);
    FILE *file = length < (int)sizeof shelf->paths[0] ? fopen(path, "rb") : NULL;
    if (!file) {
        *why = "no such file, or not to be opened";
        return false;
    }
    *text = (struct stave_text){path, room, fread(room, 1, TEXT_ROOM, file)};
    bool whole = !ferror(file) && text->size < TEXT_ROOM;
    fclose(file);
    shelf->count++;
    *why = "it cannot be read whole";
    return whole;
}

/* What a book asks for with `use "..."` stands beside it. */
static bool find_text(void *user, const char *from, const char *name, struct stave_text *found,
                      const char **why)
{
    (void)from;
    return shelf_read(user, name, found, why);
}

static void print_problems(const struct stave_problem *problems, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        fprintf(stderr, "%s:%u: %s\n", problems[i].at.text_name, problems[i].at.line,
                problems[i].message);
    }
}

static void print_verdict(const struct stave_verdict *verdict)
{
    printf("library: %s\n", stave_version());
    printf("outcome: %s\n", verdict->book->scale[verdict->outcome].name);
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        printf("%s %s %s: %s\n", item->id, item->part, item->kind,
               verdict->book->scale[item->outcome].name);
        for (size_t j = 0; j < item->reason_count && item->reasons[j].governs; j++) {
            printf("    line %u: %s\n", item->reasons[j].line, item->reasons[j].line_text);
        }
    }
    for (size_t i = 0; i < verdict->caution_count; i++) {
        printf("caution: %s\n", verdict->cautions[i]);
    }
}

int main(int argc, char **argv)
{
    static struct shelf shelf;
    shelf.folder = "";
    struct stave_text book_text, record_text;
    const char *why = "usage: embedding BOOK RECORD";
    if (argc != 3 || !shelf_read(&shelf, argv[1], &book_text, &why) ||
        !shelf_read(&shelf, argv[2], &record_text, &why)) {
        fprintf(stderr, "embedding: %s\n", why);
        return 2;
    }
    const char *slash = strrchr(argv[1], '/');
    shelf.folder = argv[1];
    shelf.folder_length = slash ? (int)(slash - argv[1]) + 1 : 0;

    /* No allocator: memory comes from malloc. */
    struct stave_host host = {.find_text = find_text, .user = &shelf};
    stave_book *book = NULL;
    stave_record *record = NULL;
    stave_verdict *verdict = NULL;
    size_t count = 0;
    enum stave_status status = stave_book_read(&host, &book_text, &book);
    const struct stave_problem *problems = stave_book_problems(book, &count);
    print_problems(problems, count);
    if (status == STAVE_OK) {
        status = stave_record_read(&host, book, &record_text, &record);
        problems = stave_record_problems(record, &count);
        print_problems(problems, count);
    }
    if (status == STAVE_OK) {
        status = stave_assess(&host, record, &verdict);
    }
    int answer = 2;
    if (status == STAVE_OK) {
        print_verdict(verdict);
        answer = verdict->flight == STAVE_FLIGHT_YES ? 0 : 1;
    } else {
        fprintf(stderr, "no verdict: %s\n", stave_status_text(status));
    }
    stave_verdict_free(verdict); /* each in turn; a verdict's strings live until here */
    stave_record_free(record);
    stave_book_free(book);
    return answer;
}
