/* A library laid under a program, in which one call to the disk fails, once.
 *
 * Loaded by LD_PRELOAD. What to do is shared with benchmarks/disk_faults.py through a file: calls on files under
 * the given folders are counted, and call number `wanted` fails with `error`, or does half of what was
 * asked (`error` < 0). Every counted call is noted there by name and path. Who listens is told of each one's
 * number while the program stands in it, and can see where in the program that is.
 */
#define _GNU_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

enum { FOLDERS = 8, PATH = 256, NOTES = 20000 };
struct note { char name[16]; char path[PATH]; unsigned place; };
struct control {
    int armed, wanted, error, seen;
    char folders[FOLDERS][PATH];
    struct note notes[NOTES];
};
static struct control *control;
void (*disk_faults_listener)(int number);

__attribute__((constructor)) static void begin(void) {
    const char *name = getenv("DISK_FAULTS");
    if (!name) return;
    int file = (int)syscall(SYS_openat, AT_FDCWD, name, O_RDWR | O_CLOEXEC);
    if (file < 0) return;
    void *shared = mmap(NULL, sizeof *control, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
    syscall(SYS_close, file);
    if (shared != MAP_FAILED) control = shared;
}

/* Return 0 to go on, an error number to fail with, or -1 to do half. */
static int fault(const char *name, int folder, const char *path) {
    char full[2 * PATH], link[64];
    ssize_t length = 0;
    if (!control || !control->armed || !path) return 0;
    if (path[0] != '/') {
        if (folder == AT_FDCWD) strcpy(link, "/proc/self/cwd");
        else snprintf(link, sizeof link, "/proc/self/fd/%d", folder);
        length = syscall(SYS_readlinkat, AT_FDCWD, link, full, PATH - 1);
        if (length < 0) return 0;
        full[length++] = '/';
    }
    strncpy(full + length, path, PATH - 1);
    full[length + PATH - 1] = 0;
    for (int at = 0; at < FOLDERS; at++) {
        const char *under = control->folders[at];
        if (!under[0] || strncmp(full, under, strlen(under))) continue;
        int number = __atomic_fetch_add(&control->seen, 1, __ATOMIC_SEQ_CST);
        if (number < NOTES) {
            strncpy(control->notes[number].name, name, 15);
            strncpy(control->notes[number].path, full, PATH - 1);
            if (disk_faults_listener) {
                int kept = errno;
                disk_faults_listener(number);
                errno = kept;
            }
        }
        return number == control->wanted ? control->error : 0;
    }
    return 0;
}

static int fault_of(const char *name, int file) {
    char link[64], path[PATH];
    int kept = errno;
    if (!control || !control->armed) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t length = syscall(SYS_readlinkat, AT_FDCWD, link, path, PATH - 1);
    errno = kept;
    if (length <= 0 || path[0] != '/') return 0;
    path[length] = 0;
    return fault(name, AT_FDCWD, path);
}

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))
#define FAIL(found) do { int e_ = (found); if (e_ > 0) { errno = e_; return -1; } } while (0)

static const char *opening(int flags) { return flags & (O_CREAT | O_TMPFILE) & ~O_DIRECTORY ? "create" : "open"; }
#define OPEN(name)                                                                    \
    int name(const char *path, int flags, ...) {                                      \
        va_list rest; va_start(rest, flags);                                          \
        int mode = va_arg(rest, int); va_end(rest);                                   \
        FAIL(fault(opening(flags), AT_FDCWD, path));                                  \
        return (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);                 \
    }
OPEN(open)
OPEN(open64)
#define OPENAT(name)                                                                  \
    int name(int folder, const char *path, int flags, ...) {                          \
        va_list rest; va_start(rest, flags);                                          \
        int mode = va_arg(rest, int); va_end(rest);                                   \
        FAIL(fault(opening(flags), folder, path));                                    \
        return (int)syscall(SYS_openat, folder, path, flags, mode);                   \
    }
OPENAT(openat)
OPENAT(openat64)

static FILE *stream(FILE *(*real)(const char *, const char *), const char *path, const char *mode) {
    int found = fault(mode[0] == 'r' ? "open" : "create", AT_FDCWD, path);
    if (found > 0) { errno = found; return NULL; }
    return real(path, mode);
}
FILE *fopen(const char *path, const char *mode) { return stream(REAL(fopen), path, mode); }
FILE *fopen64(const char *path, const char *mode) { return stream(REAL(fopen64), path, mode); }

#define DO(call, name, buffer_type, number)                                           \
    ssize_t call(int file, buffer_type buffer, size_t size) {                         \
        int found = fault_of(name, file);                                             \
        FAIL(found);                                                                  \
        return syscall(number, file, buffer, found < 0 && size > 1 ? size / 2 : size); \
    }
DO(read, "read", void *, SYS_read)
DO(write, "write", const void *, SYS_write)
#define DO_AT(call, name, buffer_type, number)                                        \
    ssize_t call(int file, buffer_type buffer, size_t size, off_t at) {               \
        int found = fault_of(name, file);                                             \
        FAIL(found);                                                                  \
        return syscall(number, file, buffer, found < 0 && size > 1 ? size / 2 : size, at); \
    }
DO_AT(pread, "read", void *, SYS_pread64)
DO_AT(pread64, "read", void *, SYS_pread64)
DO_AT(pwrite, "write", const void *, SYS_pwrite64)
DO_AT(pwrite64, "write", const void *, SYS_pwrite64)
ssize_t writev(int file, const struct iovec *parts, int count) {
    FAIL(fault_of("write", file));
    return syscall(SYS_writev, file, parts, count);
}

#define ON_FILE(call, name, number) \
    int call(int file) { FAIL(fault_of(name, file)); return (int)syscall(number, file); }
ON_FILE(fsync, "fsync", SYS_fsync)
ON_FILE(fdatasync, "fsync", SYS_fdatasync)
int close(int file) {
    int found = fault_of("close", file), done = (int)syscall(SYS_close, file);
    FAIL(found); /* it is closed all the same, as on Linux */
    return done;
}
int ftruncate(int file, off_t size) { FAIL(fault_of("truncate", file)); return (int)syscall(SYS_ftruncate, file, size); }
int ftruncate64(int file, off_t size) { FAIL(fault_of("truncate", file)); return (int)syscall(SYS_ftruncate, file, size); }
int posix_fallocate(int file, off_t at, off_t size) {
    int found = fault_of("truncate", file);
    if (found > 0) return found;
    return syscall(SYS_fallocate, file, 0, at, size) ? errno : 0;
}
int flock(int file, int what) { FAIL(fault_of("lock", file)); return (int)syscall(SYS_flock, file, what); }
int fchmod(int file, mode_t mode) { FAIL(fault_of("chmod", file)); return (int)syscall(SYS_fchmod, file, mode); }

#define ON_PATH(call, name, doing) int call(const char *path) { FAIL(fault(name, AT_FDCWD, path)); return (int)(doing); }
ON_PATH(unlink, "unlink", syscall(SYS_unlinkat, AT_FDCWD, path, 0))
ON_PATH(rmdir, "rmdir", syscall(SYS_unlinkat, AT_FDCWD, path, AT_REMOVEDIR))
int unlinkat(int folder, const char *path, int flags) {
    FAIL(fault(flags & AT_REMOVEDIR ? "rmdir" : "unlink", folder, path));
    return (int)syscall(SYS_unlinkat, folder, path, flags);
}
int mkdir(const char *path, mode_t mode) {
    FAIL(fault("mkdir", AT_FDCWD, path));
    return (int)syscall(SYS_mkdirat, AT_FDCWD, path, mode);
}
int chmod(const char *path, mode_t mode) {
    FAIL(fault("chmod", AT_FDCWD, path));
    return (int)syscall(SYS_fchmodat, AT_FDCWD, path, mode);
}
int rename(const char *from, const char *to) {
    FAIL(fault("rename", AT_FDCWD, to));
    return (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
}
int renameat(int one, const char *from, int other, const char *to) {
    FAIL(fault("rename", other, to));
    return (int)syscall(SYS_renameat2, one, from, other, to, 0);
}
#define STAT(call, type, flags)                                                       \
    int call(const char *path, struct type *found) {                                  \
        FAIL(fault("stat", AT_FDCWD, path));                                          \
        return (int)syscall(SYS_newfstatat, AT_FDCWD, path, found, flags);            \
    }
STAT(stat, stat, 0)
STAT(stat64, stat64, 0)
STAT(lstat, stat, AT_SYMLINK_NOFOLLOW)
STAT(lstat64, stat64, AT_SYMLINK_NOFOLLOW)
#define STATAT(call, type)                                                            \
    int call(int folder, const char *path, struct type *found, int flags) {           \
        FAIL(fault("stat", folder, path));                                            \
        return (int)syscall(SYS_newfstatat, folder, path, found, flags);              \
    }
STATAT(fstatat, stat)
STATAT(fstatat64, stat64)
DIR *opendir(const char *path) {
    int found = fault("list", AT_FDCWD, path);
    if (found > 0) { errno = found; return NULL; }
    return REAL(opendir)(path);
}
DIR *fdopendir(int file) {
    int found = fault_of("list", file);
    if (found > 0) { errno = found; return NULL; }
    return REAL(fdopendir)(file);
}
