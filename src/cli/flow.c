#include "cli/flow.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* ---- signals -------------------------------------------------------------------------- */

static volatile sig_atomic_t stopped_by;
static int wake[2] = {-1, -1}; /* a byte in it ends every wait for input */

static void stop(int number)
{
    int kept = errno;
    stopped_by = number;
    ssize_t wrote = write(wake[1], "", 1);
    (void)wrote;
    errno = kept;
}

bool flow_catch_signals(void)
{
    if (pipe(wake) != 0) {
        return false;
    }
    for (int i = 0; i < 2; i++) {
        fcntl(wake[i], F_SETFD, FD_CLOEXEC);
        fcntl(wake[i], F_SETFL, O_NONBLOCK);
    }
    struct sigaction action = {.sa_handler = stop};
    sigaction(SIGTERM, &action, NULL);
    struct sigaction now;
    /* A shell starts what is in the background with SIGINT ignored: so it stays. */
    if (sigaction(SIGINT, NULL, &now) == 0 && now.sa_handler != SIG_IGN) {
        sigaction(SIGINT, &action, NULL);
    }
    return true;
}

int flow_signal(void)
{
    return stopped_by;
}

/* ---- bytes ------------------------------------------------------------------------------ */

static bool wait_for(int descriptor, short events)
{
    struct pollfd wait[2] = {{.fd = descriptor, .events = events},
                             {.fd = wake[0], .events = POLLIN}};
    return poll(wait, 2, -1) >= 0 || errno == EINTR;
}

/* As read(), but gives 0 with errno EINTR when it was stopped. */
static ssize_t read_some(int input, char *to, size_t room)
{
    for (;;) {
        if (!wait_for(input, POLLIN)) {
            return -1;
        }
        if (stopped_by) {
            errno = EINTR;
            return -1;
        }
        ssize_t got = read(input, to, room);
        if (got >= 0 || (errno != EINTR && errno != EAGAIN)) {
            return got;
        }
    }
}

/* Writes all, or takes back what it wrote where the output is a file: no half answer stays. */
bool flow_write(int output, const char *bytes, size_t size)
{
    size_t sent = 0;
    while (sent < size) {
        ssize_t wrote = write(output, bytes + sent, size - sent);
        if (wrote >= 0) {
            sent += (size_t)wrote;
        } else if (errno == EAGAIN) {
            struct pollfd wait = {.fd = output, .events = POLLOUT};
            poll(&wait, 1, -1);
        } else if (errno != EINTR) {
            break;
        }
    }
    if (sent == size) {
        return true;
    }
    int error = errno;
    struct stat status;
    off_t at = lseek(output, 0, SEEK_CUR);
    if (sent && at >= (off_t)sent && fstat(output, &status) == 0 && S_ISREG(status.st_mode) &&
        status.st_size == at) {
        (void)!ftruncate(output, at - (off_t)sent);
    }
    errno = error;
    return false;
}

/* ---- progress ------------------------------------------------------------------------------ */

static int64_t milliseconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void progress_show(struct progress *progress)
{
    int64_t now = milliseconds();
    if (!progress->began) {
        progress->began = progress->told = now;
    }
    if (!progress->shown || now - progress->told < 250) {
        return;
    }
    progress->told = now;
    uint64_t took = (uint64_t)(now - progress->began) + 1;
    char line[160];
    int size = snprintf(line, sizeof line, "\r%llu rows, %llu a second",
                        (unsigned long long)progress->rows,
                        (unsigned long long)(progress->rows * 1000 / took));
    if (progress->total_bytes > progress->bytes && progress->bytes) {
        uint64_t left = (progress->total_bytes - progress->bytes) / (progress->bytes / took + 1);
        size += snprintf(line + size, sizeof line - (size_t)size, ", %llu s left",
                         (unsigned long long)(left / 1000 + 1));
    }
    size += snprintf(line + size, sizeof line - (size_t)size, "\033[K");
    (void)!write(STDERR_FILENO, line, (size_t)size);
}

void progress_clear(struct progress *progress)
{
    if (progress->shown && progress->told != progress->began) {
        (void)!write(STDERR_FILENO, "\r\033[K", 4);
    }
}

/* ---- reading ---------------------------------------------------------------------------------- */

bool flow_fill(struct flow *flow)
{
    while (flow->carry_size < STAVE_BLOCK_LEAST && !flow->input_ended) {
        ssize_t got = read_some(flow->input, flow->carry + flow->carry_size,
                                STAVE_BLOCK_LEAST - flow->carry_size);
        if (got < 0) {
            return false;
        }
        flow->input_ended = got == 0;
        flow->carry_size += (size_t)got;
        if (memchr(flow->carry + flow->carry_size - got, '\n', (size_t)got)) {
            return true; /* of a pipe, the first lines are enough */
        }
    }
    return true;
}

/* One thread's scratch. */
struct worker {
    struct flow *flow;
    pthread_t thread;
    bool started;
    char *buffer;
    stave_sweeper *sweeper;
    uint64_t rows; /* told to the progress */
};

static void give_up(struct flow *flow, enum flow_end end)
{
    enum flow_end none = FLOW_DONE;
    if (atomic_compare_exchange_strong(&flow->end, &none, end)) {
        flow->error = errno;
    }
    flow->ended = true;
}

/* Leaves out the rest of a row that was too long. */
static size_t pass_line(struct flow *flow, char *bytes, size_t size)
{
    if (!flow->passing_line) {
        return size;
    }
    const char *line_end = memchr(bytes, '\n', size);
    size_t passed = line_end ? (size_t)(line_end + 1 - bytes) : size;
    flow->passing_line = !line_end;
    memmove(bytes, bytes + passed, size - passed);
    return size - passed;
}

static bool read_more(struct flow *flow, char *buffer, size_t *size)
{
    ssize_t got = read_some(flow->input, buffer + *size, STAVE_BLOCK_LEAST - *size);
    if (got < 0) {
        give_up(flow, stopped_by ? FLOW_STOPPED : FLOW_READ_ERROR);
        return false;
    }
    flow->input_ended = got == 0;
    *size += (size_t)got;
    return true;
}

/* The next block, with its place in the order. False at the end. Under the lock for reading. */
static bool take_block(struct flow *flow, struct worker *worker, struct stave_block *block,
                       uint64_t *place)
{
    char *buffer = worker->buffer;
    size_t size = flow->carry_size;
    struct stave_cut cut = {0};
    if (flow->ended) {
        return false;
    }
    if (stopped_by) {
        give_up(flow, FLOW_STOPPED);
        return false;
    }
    memcpy(buffer, flow->carry, size);
    flow->carry_size = 0;
    /* What is there already comes first: of a slow pipe, no row waits for the next. */
    for (;;) {
        size = pass_line(flow, buffer, size);
        enum stave_status status = stave_cut(flow->cutter, buffer, size, flow->input_ended, &cut);
        if (status != STAVE_OK) {
            errno = ENOMEM;
            give_up(flow, FLOW_NO_MEMORY);
            return false;
        }
        if (cut.size > 0) {
            break;
        }
        if (flow->input_ended) {
            flow->ended = true;
            return false;
        }
        if (!read_more(flow, buffer, &size)) {
            return false;
        }
    }
    flow->carry_size = size - cut.size;
    memcpy(flow->carry, buffer + cut.size, flow->carry_size);
    flow->passing_line = cut.pass_line;
    *block = (struct stave_block){.bytes = buffer,
                                  .size = cut.size,
                                  .first_line = flow->line,
                                  .file = flow->file,
                                  .again = cut.again,
                                  .too_large = cut.too_large};
    flow->line += cut.lines;
    *place = flow->taken++;
    return true;
}

/* ---- answering and writing ----------------------------------------------------------------------- */

/* Answers to one block. */
struct answers {
    const char *bytes;
    size_t size;
    size_t block_size;
    uint64_t rows;
    bool good;    /* else there was no memory for them */
    bool is_here; /* among those that are left */
    char *kept;   /* there, room for a copy */
    size_t room;
};

/* Blocks of which answers may be left: so many that all threads go on while one is held up for a while. */
enum { LEFT_LEAST = 6, LEFT_A_THREAD = 1 };

static bool is_broken(const struct flow *flow)
{
    enum flow_end end = flow->end;
    return end != FLOW_DONE && end != FLOW_STOPPED;
}

/* Leaves the answers of a later block. Under the lock. */
static void leave(struct flow *flow, uint64_t place, const struct answers *answers)
{
    struct answers *left = &flow->left[place % flow->left_count];
    char *kept = left->kept;
    size_t room = left->room;
    if (room < answers->size) {
        room = answers->size + answers->size / 2;
        kept = realloc(kept, room);
        if (kept == NULL) {
            give_up(flow, FLOW_NO_MEMORY);
            return;
        }
    }
    if (answers->size > 0) {
        memcpy(kept, answers->bytes, answers->size);
    }
    *left = *answers;
    left->bytes = left->kept = kept;
    left->room = room;
    left->is_here = true;
}

/* Those of the next block to be written; NULL: they are not here yet. */
static struct answers *answers_left(struct flow *flow)
{
    struct answers *next = &flow->left[flow->written % flow->left_count];
    return next->is_here ? next : NULL;
}

/* Writes the next block's answers. The lock, which is held, is given up in the meantime. */
static void write_next(struct flow *flow, const struct answers *answers)
{
    bool good = answers->good;
    if (!good) {
        errno = ENOMEM;
    } else {
        pthread_mutex_unlock(&flow->writing);
        good = flow_write(flow->output, answers->bytes, answers->size);
        int error = errno;
        pthread_mutex_lock(&flow->writing);
        errno = error;
    }
    if (!good) {
        give_up(flow, answers->good ? FLOW_WRITE_ERROR : FLOW_NO_MEMORY);
    }
    flow->progress->rows += answers->rows;
    flow->progress->bytes += answers->block_size;
    progress_show(flow->progress);
    flow->written++;
    pthread_cond_broadcast(&flow->room);
}

/* Writes the answers or leaves them to be written, in the order of the blocks. False when nothing more
 * can be written. */
static bool hand_over(struct flow *flow, uint64_t place, const struct answers *answers)
{
    pthread_mutex_lock(&flow->writing);
    while (!is_broken(flow) && place != flow->written &&
           place - flow->written >= flow->left_count) {
        pthread_cond_wait(&flow->room, &flow->writing);
    }
    if (!is_broken(flow) && (place != flow->written || flow->is_writing)) {
        leave(flow, place, answers);
    } else if (!is_broken(flow)) {
        flow->is_writing = true;
        write_next(flow, answers);
        struct answers *next = answers_left(flow);
        while (next != NULL && !is_broken(flow)) {
            next->is_here = false;
            write_next(flow, next);
            next = answers_left(flow);
        }
        flow->is_writing = false;
    }
    bool broken = is_broken(flow);
    if (broken) {
        pthread_cond_broadcast(&flow->room);
    }
    pthread_mutex_unlock(&flow->writing);
    return !broken;
}

static void *work(void *given)
{
    struct worker *worker = given;
    struct flow *flow = worker->flow;
    struct stave_block block;
    uint64_t place;
    bool going = true;
    while (going) {
        pthread_mutex_lock(&flow->reading);
        bool taken = take_block(flow, worker, &block, &place);
        pthread_mutex_unlock(&flow->reading);
        if (!taken) {
            return NULL;
        }
        struct answers answers = {.block_size = block.size};
        answers.good = stave_sweeper_answer(worker->sweeper, &block, &answers.bytes,
                                            &answers.size) == STAVE_OK;
        uint64_t rows = stave_sweeper_counts(worker->sweeper)->rows;
        answers.rows = rows - worker->rows;
        worker->rows = rows;
        going = hand_over(flow, place, &answers);
    }
    return NULL;
}

static bool worker_begin(struct worker *worker, struct flow *flow)
{
    worker->flow = flow;
    worker->buffer = malloc(STAVE_BLOCK_LEAST);
    return worker->buffer &&
           stave_sweeper_make(flow->host, flow->sweep, &worker->sweeper) == STAVE_OK;
}

static void run_workers(struct flow *flow, struct worker *workers)
{
    for (unsigned i = 1; i < flow->threads; i++) {
        workers[i].started = pthread_create(&workers[i].thread, NULL, work, &workers[i]) == 0;
    }
    work(&workers[0]);
    for (unsigned i = 1; i < flow->threads; i++) {
        if (workers[i].started) {
            pthread_join(workers[i].thread, NULL);
        }
    }
    for (unsigned i = 0; i < flow->threads; i++) {
        flow->count(flow->user, stave_sweeper_counts(workers[i].sweeper));
    }
}

enum flow_end flow_run(struct flow *flow)
{
    struct worker *workers = calloc(flow->threads, sizeof *workers);
    flow->left_count = LEFT_LEAST + LEFT_A_THREAD * flow->threads;
    flow->left = calloc(flow->left_count, sizeof *flow->left);
    bool good = workers != NULL && flow->left != NULL;
    pthread_mutex_init(&flow->reading, NULL);
    pthread_mutex_init(&flow->writing, NULL);
    pthread_cond_init(&flow->room, NULL);
    for (unsigned i = 0; good && i < flow->threads; i++) {
        good = worker_begin(&workers[i], flow);
    }
    if (good) {
        run_workers(flow, workers);
    } else {
        errno = ENOMEM;
        give_up(flow, FLOW_NO_MEMORY);
    }
    for (unsigned i = 0; workers && i < flow->threads; i++) {
        free(workers[i].buffer);
        stave_sweeper_free(workers[i].sweeper);
    }
    free(workers);
    for (unsigned i = 0; flow->left && i < flow->left_count; i++) {
        free(flow->left[i].kept);
    }
    free(flow->left);
    pthread_cond_destroy(&flow->room);
    pthread_mutex_destroy(&flow->writing);
    pthread_mutex_destroy(&flow->reading);
    return flow->end;
}
