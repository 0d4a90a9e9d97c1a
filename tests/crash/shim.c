/* Put in front of the C library: at the system call that is asked for, the process is killed, or
 * the disk is full. What only reads is not counted.
 *   STINTBOOK_STOP_AT=N       the call, from 1; 0 counts only
 *   STINTBOOK_STOP_HOW=kill|full|short  short: half is written, and the disk stays full
 *   STINTBOOK_STOP_COUNT=FILE where the number of calls is left */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

static long calls = 0;

static long number(const char *name) {
    const char *text = getenv(name);
    return text ? atol(text) : 0;
}

/* 1 where the call is to fail. */
static int stops(void) {
    calls += 1;
    if (calls != number("STINTBOOK_STOP_AT")) return 0;
    const char *how = getenv("STINTBOOK_STOP_HOW");
    if (how && strcmp(how, "short") == 0) return 0;
    if (how && strcmp(how, "full") == 0) {
        errno = ENOSPC;
        return 1;
    }
    kill(getpid(), SIGKILL);
    return 0;
}

__attribute__((destructor)) static void leave_count(void) {
    const char *path = getenv("STINTBOOK_STOP_COUNT");
    if (!path) return;
    FILE *file = fopen(path, "w");
    if (!file) return;
    fprintf(file, "%ld", calls);
    fclose(file);
}

#define REAL(name) ((typeof(&name))dlsym(RTLD_NEXT, #name))

/* How much of n bytes goes to the disk: all, or half of it once, or (-1) nothing. */
static ssize_t room_for(size_t n) {
    const char *how = getenv("STINTBOOK_STOP_HOW");
    if (!how || strcmp(how, "short") != 0) return stops() ? -1 : (ssize_t)n;
    calls += 1;
    long at = number("STINTBOOK_STOP_AT");
    if (at == 0 || calls < at) return (ssize_t)n;
    if (calls == at && n > 1) return (ssize_t)(n / 2);
    errno = ENOSPC;
    return -1;
}

ssize_t write(int fd, const void *bytes, size_t n) {
    ssize_t room = fd == 1 || fd == 2 ? (ssize_t)n : room_for(n);
    if (room < 0) return -1;
    return REAL(write)(fd, bytes, (size_t)room);
}
ssize_t pwrite64(int fd, const void *bytes, size_t n, off64_t at) {
    ssize_t room = room_for(n);
    if (room < 0) return -1;
    return REAL(pwrite64)(fd, bytes, (size_t)room, at);
}
ssize_t pwrite(int fd, const void *bytes, size_t n, off_t at) {
    ssize_t room = room_for(n);
    if (room < 0) return -1;
    return REAL(pwrite)(fd, bytes, (size_t)room, at);
}
int fsync(int fd) {
    if (stops()) return -1;
    return REAL(fsync)(fd);
}
int fdatasync(int fd) {
    if (stops()) return -1;
    return REAL(fdatasync)(fd);
}
int ftruncate64(int fd, off64_t n) {
    if (stops()) return -1;
    return REAL(ftruncate64)(fd, n);
}
int ftruncate(int fd, off_t n) {
    if (stops()) return -1;
    return REAL(ftruncate)(fd, n);
}
int rename(const char *from, const char *to) {
    if (stops()) return -1;
    return REAL(rename)(from, to);
}
int unlink(const char *path) {
    if (stops()) return -1;
    return REAL(unlink)(path);
}
int link(const char *from, const char *to) {
    if (stops()) return -1;
    return REAL(link)(from, to);
}
int linkat(int here, const char *from, int there, const char *to, int flags) {
    if (stops()) return -1;
    return REAL(linkat)(here, from, there, to, flags);
}
int fchmod(int fd, mode_t mode) {
    if (stops()) return -1;
    return REAL(fchmod)(fd, mode);
}
ssize_t copy_file_range(int from, off64_t *at, int to, off64_t *there, size_t n, unsigned flags) {
    ssize_t room = room_for(n);
    if (room < 0) return -1;
    return REAL(copy_file_range)(from, at, to, there, (size_t)room, flags);
}
int rmdir(const char *path) {
    if (stops()) return -1;
    return REAL(rmdir)(path);
}
int mkdir(const char *path, mode_t mode) {
    if (stops()) return -1;
    return REAL(mkdir)(path, mode);
}
int open64(const char *path, int flags, ...) {
    va_list rest;
    va_start(rest, flags);
    mode_t mode = (flags & O_CREAT) ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    if ((flags & (O_CREAT | O_TRUNC)) && stops()) return -1;
    return REAL(open64)(path, flags, mode);
}
int open(const char *path, int flags, ...) {
    va_list rest;
    va_start(rest, flags);
    mode_t mode = (flags & O_CREAT) ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    if ((flags & (O_CREAT | O_TRUNC)) && stops()) return -1;
    return REAL(open)(path, flags, mode);
}
