package index

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	bolt "go.etcd.io/bbolt"
)

// The two locks of an index: one is held to write the index that answers, for
// moments, the other to make a new one beside it, for minutes.
const (
	writeLock = "lock"
	buildLock = "building"
)

// How long a call waits for another process that holds a lock.
var waitLimit = map[string]time.Duration{writeLock: 90 * time.Second, buildLock: 15 * time.Minute}

// locked runs f while no other process holds the lock. A lock is a small
// database, because its file lock ends with the process and works on every
// system.
func (ix *Index) locked(ctx context.Context, name string, f func() error) error {
	path := filepath.Join(ix.dir, name)
	deadline := time.Now().Add(waitLimit[name])
	for {
		l, err := bolt.Open(path, 0o644, &bolt.Options{Timeout: time.Second})
		if err == nil {
			defer l.Close()
			return guarded(f)
		}
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.Is(err, fs.ErrPermission):
			return fmt.Errorf("index %s: cannot write, check the folder's permissions: %w", ix.dir, err)
		case !strings.Contains(err.Error(), "timeout"):
			// A lock file that a crash cut short is worth nothing.
			if os.Remove(path) != nil || time.Now().After(deadline) {
				return fmt.Errorf("index %s: lock: %w", ix.dir, err)
			}
		case time.Now().After(deadline):
			return fmt.Errorf("index %s: another program has been writing it for %s, wait for it to end and try again", ix.dir, waitLimit[name])
		}
	}
}

// guarded turns a panic over damaged files into errUnfit.
func guarded(f func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: %v", errUnfit, r)
		}
	}()
	return f()
}
