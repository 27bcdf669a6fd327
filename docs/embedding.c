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

/* The library reads no files: the host does, and hands it bytes. */
static bool read_file(const char *name, char *room, size_t room_size, struct stave_text *text)
{
    FILE *file = fopen(name, "rb");
    if (!file) {
        perror(name);
        return false;
    }
    *text = (struct stave_text){name, room, fread(room, 1, room_size, file)};
    bool whole = !ferror(file) && text->size < room_size;
    fclose(file);
    if (!whole) {
        fprintf(stderr, "%s: cannot be read whole\n", name);
    }
    return whole;
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
    static char book_room[1 << 20], record_room[1 << 20];
    struct stave_text book_text, record_text;
    if (argc != 3 || !read_file(argv[1], book_room, sizeof book_room, &book_text) ||
        !read_file(argv[2], record_room, sizeof record_room, &record_text)) {
        fprintf(stderr, "usage: embedding BOOK RECORD\n");
        return 2;
    }
    /* NULL for the host: memory from malloc, and books that use no other text. */
    stave_book *book = NULL;
    stave_record *record = NULL;
    stave_verdict *verdict = NULL;
    size_t count = 0;
    enum stave_status status = stave_book_read(NULL, &book_text, &book);
    const struct stave_problem *problems = stave_book_problems(book, &count);
    print_problems(problems, count);
    if (status == STAVE_OK) {
        status = stave_record_read(NULL, book, &record_text, &record);
        problems = stave_record_problems(record, &count);
        print_problems(problems, count);
    }
    if (status == STAVE_OK) {
        status = stave_assess(NULL, record, &verdict);
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
