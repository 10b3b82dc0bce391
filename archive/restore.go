package archive

import (
	"archive/zip"
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"tankroll/internal/whole"
)

// RestoreOptions say how Restore works; the zero options work.
type RestoreOptions struct {
	Found    func(Problem)           // called with what was wrong when the backup was made
	Progress func(done, total int64) // called now and then: bytes unpacked; from several goroutines
}

// Restore makes an archive from a backup, in a folder that is empty or not there.
// Every file is compared with its hash, and the whole is verified, before the
// folder gets its name; of a backup that is cut short or damaged nothing is left.
func Restore(ctx context.Context, file, dir string, o RestoreOptions) (note BackupNote, err error) {
	defer func() {
		if err != nil && ctx.Err() == nil {
			err = fmt.Errorf("restore %s: %w", file, describe(err))
		}
	}()
	err = whole.Dir(dir, func(temp string) (err error) {
		if note, err = checkBackup(ctx, file, &unpack{dir: temp, progress: o.Progress}); err != nil {
			return err
		}
		sum, err := Verify(ctx, temp, VerifyOptions{Found: o.Found})
		if err != nil {
			return err
		}
		if sum.Problems > 0 && !note.Damaged {
			return fmt.Errorf("the backup is %w inside, use another", ErrDamaged)
		}
		for _, tail := range []string{"-wal", "-shm"} { // what looking made
			if err := os.Remove(filepath.Join(temp, dbName+tail)); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
		}
		return nil
	})
	return note, err
}

// entryName is what may be in a backup; nothing else is unpacked.
var entryName = regexp.MustCompile(`^(README\.txt|backup\.json|SHA256SUMS|tankroll\.db|originals/([0-9a-f]{2})/([0-9a-f]{64})\.[a-z0-9]{1,5})$`)

// checkBackup compares every entry of a backup with its hash, and unpacks it as
// well when asked to.
func checkBackup(ctx context.Context, file string, to *unpack) (BackupNote, error) {
	z, err := zip.OpenReader(file)
	if errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF) {
		return BackupNote{}, fmt.Errorf("it is cut short, or no backup: %w", err)
	}
	if err != nil {
		return BackupNote{}, err
	}
	defer z.Close()
	entries := map[string]*zip.File{}
	var total int64
	for _, e := range z.File {
		m := entryName.FindStringSubmatch(e.Name)
		if m == nil || m[2] != "" && !strings.HasPrefix(m[3], m[2]) || e.Method != zip.Store || entries[e.Name] != nil {
			return BackupNote{}, fmt.Errorf("it is no backup that tankroll wrote: %q has no place in one", e.Name)
		}
		entries[e.Name] = e
		total += int64(e.UncompressedSize64)
	}
	sums, err := readSums(entries)
	if err != nil {
		return BackupNote{}, err
	}
	work, inner := errgroup.WithContext(ctx)
	work.SetLimit(runtime.NumCPU())
	var done atomic.Int64
	for name, e := range entries {
		if name == backupSums {
			continue
		}
		work.Go(func() error {
			if err := inner.Err(); err != nil {
				return err
			}
			if err := to.entry(e, sums[name]); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			if n := done.Add(int64(e.UncompressedSize64)); to != nil && to.progress != nil {
				to.progress(n, total)
			}
			return nil
		})
	}
	if err := work.Wait(); err != nil {
		return BackupNote{}, err
	}
	if to != nil { // also when there is none
		if err := os.MkdirAll(filepath.Join(to.dir, "originals"), 0o755); err != nil {
			return BackupNote{}, err
		}
	}
	var note BackupNote
	raw, err := content(entries[backupNote])
	if err == nil {
		err = json.Unmarshal(raw, &note)
	}
	return note, err
}

// readSums reads the list of hashes, which must name every entry and no other.
func readSums(entries map[string]*zip.File) (map[string]string, error) {
	for _, name := range []string{backupSums, backupNote, dbName} {
		if entries[name] == nil {
			return nil, fmt.Errorf("it is no backup that tankroll wrote, or a damaged one: it has no %s", name)
		}
	}
	r, err := entries[backupSums].Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	sums := map[string]string{}
	in := bufio.NewScanner(r)
	for in.Scan() {
		sum, name, ok := strings.Cut(in.Text(), "  ")
		if !ok || entries[name] == nil || sums[name] != "" {
			return nil, fmt.Errorf("%w: %s names %q, which is not in it", ErrDamaged, backupSums, name)
		}
		sums[name] = sum
	}
	if err := in.Err(); err != nil {
		return nil, fmt.Errorf("%w: %s: %w", ErrDamaged, backupSums, err)
	}
	if len(sums) != len(entries)-1 {
		return nil, fmt.Errorf("%w: it holds %d files, and %s names %d", ErrDamaged, len(entries)-1, backupSums, len(sums))
	}
	return sums, nil
}

func content(e *zip.File) ([]byte, error) {
	r, err := e.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return io.ReadAll(io.LimitReader(r, maxNote))
}

// maxNote bounds the note of a backup: it may list every capture as left out.
const maxNote = 64 << 20

// unpack is where a backup is unpacked to; a nil one only looks.
type unpack struct {
	dir      string
	progress func(done, total int64)
}

// entry compares one entry with its hash and writes it, synced.
func (u *unpack) entry(e *zip.File, want string) (err error) {
	r, err := e.Open()
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	defer r.Close()
	h := sha256.New()
	var out io.Writer = h
	name := filepath.FromSlash(e.Name)
	original := strings.HasPrefix(e.Name, "originals/")
	var f *os.File
	if u != nil && (original || e.Name == dbName) {
		path := filepath.Join(u.dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if f, err = os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, f.Close()) }()
		out = io.MultiWriter(f, h)
	}
	if _, err := io.Copy(out, r); err != nil {
		var disk *fs.PathError
		if errors.As(err, &disk) {
			return err
		}
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if hex.EncodeToString(h.Sum(nil)) != want || original && !strings.HasPrefix(filepath.Base(name), want+".") {
		return fmt.Errorf("%w: its bytes are not those that were backed up; use another backup", ErrDamaged)
	}
	if f == nil {
		return nil
	}
	if original {
		if err := f.Chmod(0o444); err != nil {
			return err
		}
	}
	return f.Sync()
}
