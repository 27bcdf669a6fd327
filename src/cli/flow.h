/*
 * One input on its way through a sweep: read in blocks, answered by several threads, written in
 * order. Every thread does the same: under one lock it reads and cuts its next block, then
 * answers it in its own memory. Where its turn to write has come it writes; else it leaves the answers
 * to the thread whose turn it is, and goes on. Of those there is room for a few, so memory depends on
 * the number of threads alone.
 */
#ifndef STAVE_CLI_FLOW_H
#define STAVE_CLI_FLOW_H

#include <pthread.h>
#include <stdbool.h>
#include <stdint.h>

#include "stave.h"

enum flow_end { FLOW_DONE, FLOW_STOPPED, FLOW_READ_ERROR, FLOW_WRITE_ERROR, FLOW_NO_MEMORY };

/* How far all inputs have come, for a terminal. */
struct progress {
    bool shown;
    uint64_t rows, bytes, total_bytes; /* total 0: not known */
    int64_t began, told;               /* milliseconds */
};

struct flow {
    int input, output;
    const char *file;          /* where answers name files, else NULL */
    const stave_sweep *sweep;
    stave_cutter *cutter;
    unsigned threads;
    const struct stave_host *host;
    struct progress *progress;
    /* What was read and not yet taken, with room for STAVE_BLOCK_LEAST; the caller's. */
    char *carry;
    size_t carry_size;
    bool input_ended;
    uint64_t line;             /* on which `carry` begins */
    void (*count)(void *user, const struct stave_sweep_counts *counts); /* of each thread, at the end */
    void *user;
    /* The flow's own. */
    pthread_mutex_t reading, writing;
    pthread_cond_t room;       /* there is some among `left` again, or nothing more will be written */
    uint64_t taken, written;   /* blocks */
    bool is_writing;           /* a thread is, and will write what is left and follows */
    struct answers *left;      /* of the blocks after the next to be written, by their place */
    unsigned left_count;
    bool passing_line;
    _Atomic bool ended;        /* no further block is taken */
    _Atomic(enum flow_end) end;
    int error;                 /* errno */
};

/* Runs all of it. */
enum flow_end flow_run(struct flow *flow);

/* Fills `carry` with what can be had at once, to see how the input begins. False with errno. */
bool flow_fill(struct flow *flow);

/* From here on SIGINT and SIGTERM stop a flow. flow_signal: which one did, or 0. */
bool flow_catch_signals(void);
int flow_signal(void);

bool flow_write(int output, const char *bytes, size_t size);
void progress_clear(struct progress *progress);

#endif
