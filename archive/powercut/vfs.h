#ifndef POWERCUT_VFS_H
#define POWERCUT_VFS_H

// The part of SQLite's interface that a file system for it needs. It is declared
// here because the library is linked from another package, which does not hand
// out its header; these structures are part of SQLite's stable interface.
#include <stdint.h>

#define SQLITE_OK 0
#define SQLITE_FULL 13
#define SQLITE_CANTOPEN 14
#define SQLITE_IOERR_READ 266
#define SQLITE_IOERR_WRITE 778
#define SQLITE_IOERR_FSYNC 1034
#define SQLITE_IOERR_TRUNCATE 1546
#define SQLITE_IOERR_DELETE 2570

#define SQLITE_OPEN_CREATE 0x4
#define SQLITE_OPEN_DELETEONCLOSE 0x8
#define SQLITE_OPEN_MAIN_JOURNAL 0x800
#define SQLITE_OPEN_SUPER_JOURNAL 0x4000
#define SQLITE_OPEN_WAL 0x80000

typedef struct sqlite3_file sqlite3_file;
typedef struct sqlite3_vfs sqlite3_vfs;

typedef struct {
	int iVersion;
	int (*xClose)(sqlite3_file *);
	int (*xRead)(sqlite3_file *, void *, int, int64_t);
	int (*xWrite)(sqlite3_file *, const void *, int, int64_t);
	int (*xTruncate)(sqlite3_file *, int64_t);
	int (*xSync)(sqlite3_file *, int);
	int (*xFileSize)(sqlite3_file *, int64_t *);
	int (*xLock)(sqlite3_file *, int);
	int (*xUnlock)(sqlite3_file *, int);
	int (*xCheckReservedLock)(sqlite3_file *, int *);
	int (*xFileControl)(sqlite3_file *, int, void *);
	int (*xSectorSize)(sqlite3_file *);
	int (*xDeviceCharacteristics)(sqlite3_file *);
	int (*xShmMap)(sqlite3_file *, int, int, int, void volatile **);
	int (*xShmLock)(sqlite3_file *, int, int, int);
	void (*xShmBarrier)(sqlite3_file *);
	int (*xShmUnmap)(sqlite3_file *, int);
} sqlite3_io_methods;

struct sqlite3_file {
	const sqlite3_io_methods *pMethods;
};

struct sqlite3_vfs {
	int iVersion;
	int szOsFile;
	int mxPathname;
	sqlite3_vfs *pNext;
	const char *zName;
	void *pAppData;
	int (*xOpen)(sqlite3_vfs *, const char *, sqlite3_file *, int, int *);
	int (*xDelete)(sqlite3_vfs *, const char *, int);
	int (*xAccess)(sqlite3_vfs *, const char *, int, int *);
	int (*xFullPathname)(sqlite3_vfs *, const char *, int, char *);
	void *(*xDlOpen)(sqlite3_vfs *, const char *);
	void (*xDlError)(sqlite3_vfs *, int, char *);
	void (*(*xDlSym)(sqlite3_vfs *, void *, const char *))(void);
	void (*xDlClose)(sqlite3_vfs *, void *);
	int (*xRandomness)(sqlite3_vfs *, int, char *);
	int (*xSleep)(sqlite3_vfs *, int);
	int (*xCurrentTime)(sqlite3_vfs *, double *);
	int (*xGetLastError)(sqlite3_vfs *, int, char *);
	int (*xCurrentTimeInt64)(sqlite3_vfs *, int64_t *);
};

sqlite3_vfs *sqlite3_vfs_find(const char *);
int sqlite3_vfs_register(sqlite3_vfs *, int);
int sqlite3_vfs_unregister(sqlite3_vfs *);

// What SQLite does to a file; the same numbers as in sqlite.go.
enum { OP_OPEN, OP_READ, OP_WRITE, OP_TRUNCATE, OP_SYNC, OP_SYNC_DIR, OP_DELETE };

void *powercut_register(const char *name, uintptr_t disk);
void powercut_unregister(void *vfs);

#endif
