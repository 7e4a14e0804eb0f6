/* Shifts the wall clock of one process tree by the seconds written in the file SET_CLOCK names.
   Preloaded; clocks that only go forward are left alone, as they are when somebody sets a clock. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

static long shift(void) {
    static int file = -2;
    char text[24] = {0};
    if (file == -2) {
        const char *name = getenv("SET_CLOCK");
        file = name ? open(name, O_RDONLY | O_CLOEXEC) : -1;
    }
    return file >= 0 && pread(file, text, sizeof text - 1, 0) > 0 ? atol(text) : 0;
}

int clock_gettime(clockid_t clock, struct timespec *at) {
    static int (*real)(clockid_t, struct timespec *);
    if (!real) real = dlsym(RTLD_NEXT, "clock_gettime");
    int failed = real(clock, at);
    if (!failed && (clock == CLOCK_REALTIME || clock == CLOCK_REALTIME_COARSE)) at->tv_sec += shift();
    return failed;
}

int gettimeofday(struct timeval *restrict at, void *restrict zone) {
    struct timespec now;
    (void)zone;
    if (clock_gettime(CLOCK_REALTIME, &now)) return -1;
    at->tv_sec = now.tv_sec;
    at->tv_usec = now.tv_nsec / 1000;
    return 0;
}

time_t time(time_t *at) {
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    if (at) *at = now.tv_sec;
    return now.tv_sec;
}
