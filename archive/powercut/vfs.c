#include "vfs.h"
#include "_cgo_export.h"
#include <stdlib.h>
#include <string.h>

// A file system for SQLite that tells a Disk of every operation before it goes
// on to the system's own. Nothing is ever synced for real: what a sync makes
// durable is the Disk's to know, and tests are many.

typedef struct {
	sqlite3_vfs base;
	sqlite3_vfs *real;
	uintptr_t disk;
	int err; // errno of the last operation that the Disk made fail
} shim;

typedef struct {
	sqlite3_file base;
	shim *vfs;
	char *path;   // NULL: a temporary file, which may vanish
	int dir_too;  // the first sync is one of the folder as well, as in SQLite's unixSync
	sqlite3_file *real;
} shim_file;

static int tell(shim *v, int op, const char *path, int64_t off, const void *data, int n) {
	if (path == NULL) return 0;
	return v->err = powercutOp(v->disk, op, (char *)path, off, (void *)data, n);
}

#define SELF shim_file *f = (shim_file *)file
#define REAL(call) f->real->pMethods->call

static int f_close(sqlite3_file *file) {
	SELF;
	int rc = REAL(xClose)(f->real);
	free(f->path);
	free(f->real);
	return rc;
}
static int f_read(sqlite3_file *file, void *to, int n, int64_t off) {
	SELF;
	if (tell(f->vfs, OP_READ, f->path, off, NULL, n)) return SQLITE_IOERR_READ;
	return REAL(xRead)(f->real, to, n, off);
}
static int f_write(sqlite3_file *file, const void *from, int n, int64_t off) {
	SELF;
	if (tell(f->vfs, OP_WRITE, f->path, off, from, n)) return f->vfs->err == powercutNoSpace() ? SQLITE_FULL : SQLITE_IOERR_WRITE;
	return REAL(xWrite)(f->real, from, n, off);
}
static int f_truncate(sqlite3_file *file, int64_t size) {
	SELF;
	if (tell(f->vfs, OP_TRUNCATE, f->path, size, NULL, 0)) return SQLITE_IOERR_TRUNCATE;
	return REAL(xTruncate)(f->real, size);
}
static int f_sync(sqlite3_file *file, int flags) {
	SELF;
	if (tell(f->vfs, OP_SYNC, f->path, 0, NULL, 0)) return SQLITE_IOERR_FSYNC;
	if (f->dir_too) {
		if (tell(f->vfs, OP_SYNC_DIR, f->path, 0, NULL, 0)) return SQLITE_IOERR_FSYNC;
		f->dir_too = 0;
	}
	return SQLITE_OK;
}
static int f_size(sqlite3_file *file, int64_t *n) { SELF; return REAL(xFileSize)(f->real, n); }
static int f_lock(sqlite3_file *file, int how) { SELF; return REAL(xLock)(f->real, how); }
static int f_unlock(sqlite3_file *file, int how) { SELF; return REAL(xUnlock)(f->real, how); }
static int f_reserved(sqlite3_file *file, int *out) { SELF; return REAL(xCheckReservedLock)(f->real, out); }
static int f_control(sqlite3_file *file, int op, void *arg) { SELF; return REAL(xFileControl)(f->real, op, arg); }
static int f_sector(sqlite3_file *file) { SELF; return REAL(xSectorSize)(f->real); }
static int f_device(sqlite3_file *file) { SELF; return REAL(xDeviceCharacteristics)(f->real); }
static int f_shm_map(sqlite3_file *file, int page, int size, int extend, void volatile **to) {
	SELF;
	return REAL(xShmMap)(f->real, page, size, extend, to);
}
static int f_shm_lock(sqlite3_file *file, int off, int n, int flags) { SELF; return REAL(xShmLock)(f->real, off, n, flags); }
static void f_shm_barrier(sqlite3_file *file) { SELF; REAL(xShmBarrier)(f->real); }
static int f_shm_unmap(sqlite3_file *file, int del) { SELF; return REAL(xShmUnmap)(f->real, del); }

// Version 2: without memory mapping, which would hide reads.
static const sqlite3_io_methods methods = {
	2, f_close, f_read, f_write, f_truncate, f_sync, f_size, f_lock, f_unlock, f_reserved, f_control,
	f_sector, f_device, f_shm_map, f_shm_lock, f_shm_barrier, f_shm_unmap,
};

static int v_open(sqlite3_vfs *vfs, const char *path, sqlite3_file *file, int flags, int *out) {
	shim *v = (shim *)vfs;
	SELF;
	memset(f, 0, sizeof *f);
	f->vfs = v;
	const char *known = flags & SQLITE_OPEN_DELETEONCLOSE ? NULL : path;
	if (tell(v, OP_OPEN, known, flags & SQLITE_OPEN_CREATE, NULL, 0)) return SQLITE_CANTOPEN;
	f->real = calloc(1, v->real->szOsFile);
	int rc = v->real->xOpen(v->real, path, f->real, flags, out);
	if (rc != SQLITE_OK) {
		if (f->real->pMethods) f->real->pMethods->xClose(f->real);
		free(f->real);
		return rc;
	}
	f->path = known ? strdup(known) : NULL;
	f->dir_too = (flags & SQLITE_OPEN_CREATE) && (flags & (SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_SUPER_JOURNAL | SQLITE_OPEN_WAL));
	f->base.pMethods = &methods;
	return SQLITE_OK;
}
static int v_delete(sqlite3_vfs *vfs, const char *path, int sync_dir) {
	shim *v = (shim *)vfs;
	if (tell(v, OP_DELETE, path, 0, NULL, 0)) return SQLITE_IOERR_DELETE;
	int rc = v->real->xDelete(v->real, path, 0);
	if (rc == SQLITE_OK && sync_dir && tell(v, OP_SYNC_DIR, path, 0, NULL, 0)) return SQLITE_IOERR_FSYNC;
	return rc;
}
static int v_last_error(sqlite3_vfs *vfs, int n, char *to) {
	shim *v = (shim *)vfs;
	return v->err ? v->err : v->real->xGetLastError(v->real, n, to);
}

#define REAL_VFS ((shim *)vfs)->real
static int v_access(sqlite3_vfs *vfs, const char *path, int flags, int *out) { return REAL_VFS->xAccess(REAL_VFS, path, flags, out); }
static int v_full(sqlite3_vfs *vfs, const char *path, int n, char *out) { return REAL_VFS->xFullPathname(REAL_VFS, path, n, out); }
static int v_random(sqlite3_vfs *vfs, int n, char *out) { return REAL_VFS->xRandomness(REAL_VFS, n, out); }
static int v_sleep(sqlite3_vfs *vfs, int us) { return REAL_VFS->xSleep(REAL_VFS, us); }
static int v_time(sqlite3_vfs *vfs, double *out) { return REAL_VFS->xCurrentTime(REAL_VFS, out); }
static int v_time64(sqlite3_vfs *vfs, int64_t *out) { return REAL_VFS->xCurrentTimeInt64(REAL_VFS, out); }

void *powercut_register(const char *name, uintptr_t disk) {
	sqlite3_vfs *real = sqlite3_vfs_find(NULL);
	shim *v = calloc(1, sizeof *v);
	if (real == NULL || v == NULL) return NULL;
	v->real = real;
	v->disk = disk;
	v->base = (sqlite3_vfs){
		.iVersion = 2, .szOsFile = sizeof(shim_file), .mxPathname = real->mxPathname, .zName = strdup(name),
		.xOpen = v_open, .xDelete = v_delete, .xAccess = v_access, .xFullPathname = v_full, .xRandomness = v_random,
		.xSleep = v_sleep, .xCurrentTime = v_time, .xGetLastError = v_last_error, .xCurrentTimeInt64 = v_time64,
	};
	if (sqlite3_vfs_register(&v->base, 0) != SQLITE_OK) return NULL;
	return v;
}

void powercut_unregister(void *vfs) {
	sqlite3_vfs_unregister(&((shim *)vfs)->base);
}
