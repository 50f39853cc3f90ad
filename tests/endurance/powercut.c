/* Records what a program asks of the disk under one folder: writes with their bytes, flushes, and
   changes of names, in order, so that the disk of any moment of a power cut can be built from it.
   Loaded with LD_PRELOAD; POWERCUT_FOLDER and POWERCUT_LOG say where. One line of text an event,
   followed by the bytes for a write. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static int out = -1;
static const char *folder;

static void put(const void *from, size_t count) {
  const char *at = from;
  while (count > 0) {
    long done = syscall(SYS_write, out, at, count);
    if (done <= 0) _exit(99);
    at += done;
    count -= (size_t)done;
  }
}

static int ours(int fd, char *path, size_t size) {
  char link[64];
  if (folder == NULL) {
    folder = getenv("POWERCUT_FOLDER");
    const char *log = getenv("POWERCUT_LOG");
    if (folder == NULL || log == NULL) { folder = ""; return 0; }
    out = (int)syscall(SYS_openat, AT_FDCWD, log, O_WRONLY | O_CREAT | O_APPEND, 0600);
  }
  if (out < 0 || *folder == 0) return 0;
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, path, size - 1);
  if (length <= 0) return 0;
  path[length] = 0;
  return strncmp(path, folder, strlen(folder)) == 0;
}

static void event(const char *kind, long a, long b, const char *one, const char *two,
                  const void *bytes, size_t count) {
  char line[9000];
  int length = snprintf(line, sizeof line, "%s\t%ld\t%ld\t%s\t%s\n", kind, a, b, one, two);
  pthread_mutex_lock(&lock);
  put(line, (size_t)length);
  if (bytes != NULL) put(bytes, count);
  pthread_mutex_unlock(&lock);
}

#define REAL(name) ((typeof(&name))dlsym(RTLD_NEXT, #name))

ssize_t write(int fd, const void *from, size_t count) {
  ssize_t done = REAL(write)(fd, from, count);
  char path[4096];
  if (done > 0 && fd != out && ours(fd, path, sizeof path))
    event("write", (long)lseek(fd, 0, SEEK_CUR) - done, done, path, "", from, (size_t)done);
  return done;
}
static ssize_t at(ssize_t done, int fd, const void *from, off_t where) {
  char path[4096];
  if (done > 0 && ours(fd, path, sizeof path))
    event("write", (long)where, done, path, "", from, (size_t)done);
  return done;
}
ssize_t pwrite(int fd, const void *from, size_t count, off_t where) {
  return at(REAL(pwrite)(fd, from, count, where), fd, from, where);
}
ssize_t pwrite64(int fd, const void *from, size_t count, off64_t where) {
  return at(REAL(pwrite64)(fd, from, count, where), fd, from, where);
}
static int flushed(int done, int fd) {
  char path[4096];
  if (done == 0 && ours(fd, path, sizeof path)) event("flush", 0, 0, path, "", NULL, 0);
  return done;
}
int fsync(int fd) { return flushed(REAL(fsync)(fd), fd); }
int fdatasync(int fd) { return flushed(REAL(fdatasync)(fd), fd); }
static int cut(int done, int fd, off_t length) {
  char path[4096];
  if (done == 0 && ours(fd, path, sizeof path))
    event("cut", (long)length, 0, path, "", NULL, 0);
  return done;
}
int ftruncate(int fd, off_t length) { return cut(REAL(ftruncate)(fd, length), fd, length); }
int ftruncate64(int fd, off64_t length) { return cut(REAL(ftruncate64)(fd, length), fd, length); }
int rename(const char *old, const char *new) {
  int done = REAL(rename)(old, new);
  char path[4096];
  ours(-1, path, sizeof path);
  if (done == 0 && out >= 0) event("rename", 0, 0, old, new, NULL, 0);
  return done;
}
int unlink(const char *old) {
  int done = REAL(unlink)(old);
  char path[4096];
  ours(-1, path, sizeof path);
  if (done == 0 && out >= 0) event("unlink", 0, 0, old, "", NULL, 0);
  return done;
}
/* A call that nothing here makes: by it the program that is watched says what it acknowledged. */
int chroot(const char *said) {
  char path[4096];
  ours(-1, path, sizeof path);
  if (out >= 0) event("said", 0, 0, said, "", NULL, 0);
  return 0;
}
