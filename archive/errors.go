package archive

import (
	"errors"
	"fmt"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

// describe says what to do about the errors of the disk and of the database that
// a person can mend. Those of the system can be told by errors.Is, whether a file
// operation or the database met them.
func describe(err error) error {
	var e sqlite3.Error
	if errors.As(err, &e) {
		return describeDB(err, e)
	}
	return onDisk(err)
}

func describeDB(err error, e sqlite3.Error) error {
	code := e.Code & 0xff // copying gives the extended one
	switch {
	case e.SystemErrno != 0:
		err = system{err, e.SystemErrno}
	case code == sqlite3.ErrIoErr: // copying does not say which
		err = system{err, syscall.EIO}
	}
	switch code {
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return fmt.Errorf("another program holds %s, wait for it to end and try again: %w", dbName, err)
	case sqlite3.ErrReadonly, sqlite3.ErrPerm: // to look takes the right to write too: readers leave a mark
		return fmt.Errorf("cannot write %s, check whether the disk is read-only and whether you may write to the folder and the file: %w", dbName, err)
	case sqlite3.ErrFull:
		return onDisk(system{err, syscall.ENOSPC})
	case sqlite3.ErrCorrupt, sqlite3.ErrNotADB:
		return fmt.Errorf("%s is %w, restore it from a backup: %w", dbName, ErrDamaged, err)
	}
	if told := onDisk(err); told != err || code != sqlite3.ErrCantOpen {
		return told
	}
	return fmt.Errorf("cannot write %s, check the folder's permissions: %w", dbName, err)
}

// onDisk says what to do about an error of the system.
func onDisk(err error) error {
	if errors.Is(err, errDescribed) {
		return err
	}
	for _, c := range []struct {
		errno syscall.Errno
		say   string
	}{
		{syscall.ENOSPC, "the disk is full, make room and try again"},
		{syscall.EDQUOT, "there is no more room for this user, make room and try again"},
		{syscall.EROFS, "the disk is read-only, make it writable or choose another folder"},
		{syscall.EACCES, "no right to write there, check the folder's permissions"},
		{syscall.EPERM, "no right to write there, check the folder's permissions"},
		{syscall.EIO, "the disk fails, check it, and try again on one that works"},
	} {
		if errors.Is(err, c.errno) {
			return fmt.Errorf("%s%w: %w", c.say, errDescribed, err)
		}
	}
	return err
}

// errDescribed marks an error that says what to do already; it adds no words.
var errDescribed error = described{}

type described struct{}

func (described) Error() string { return "" }

// system is an error of the database with the system's error that is behind it.
type system struct {
	error
	errno syscall.Errno
}

func (s system) Unwrap() []error { return []error{s.error, s.errno} }
