package archive

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"
)

// originals compares the files with the captures, folder by folder.
func (c *checker) originals(ctx context.Context) error {
	for n := range 256 {
		prefix := fmt.Sprintf("%02x", n)
		c.work.Go(func() error { return c.folder(ctx, prefix) })
	}
	c.work.Go(func() error { return c.strangers(ctx) })
	return nil
}

// folder looks at the originals whose hash begins with prefix.
func (c *checker) folder(ctx context.Context, prefix string) error {
	dir := filepath.Join(c.s.dir, "originals", prefix)
	// The files come first: one that comes in meanwhile is then a capture without
	// a file here, which a look tells from a lost one.
	files, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		c.found(Problem{c.rel(dir), fmt.Errorf("cannot be read: %w", err), "give yourself the right to read it"})
	}
	known, err := c.known(ctx, prefix)
	if err != nil {
		return c.judge(ctx, dbName, err)
	}
	var extra []string
	for _, f := range files {
		if _, ok := known[f.Name()]; !ok {
			extra = append(extra, f.Name())
		}
	}
	for _, k := range known {
		if err := ctx.Err(); err != nil {
			return err
		}
		c.original(k)
	}
	return c.extra(ctx, prefix, extra)
}

// known are the captures with a hash that begins with prefix, by the name of
// their file.
func (c *checker) known(ctx context.Context, prefix string) (map[string]Capture, error) {
	list, err := c.s.captures(ctx, `sha256 >= ? AND sha256 < ?`, prefix, prefix+"g")
	out := map[string]Capture{}
	for _, k := range list {
		out[filepath.Base(c.s.OriginalPath(k))] = k
	}
	return out, err
}

// original looks at one file.
func (c *checker) original(k Capture) {
	tell := func(do, format string, args ...any) {
		args = append([]any{k.File}, args...)
		c.found(Problem{k.ID, fmt.Errorf("its original (%s) "+format, args...), do})
	}
	path := c.s.OriginalPath(k)
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		tell(doAddAgain, "is missing: %w", err)
		return
	case err != nil:
		tell("give yourself the right to read it", "cannot be looked at: %w", err)
		return
	case !info.Mode().IsRegular():
		tell(doAddAgain, "is %w: not a plain file at %s", ErrDamaged, c.rel(path))
		return
	case info.Size() < k.Size:
		tell(doAddAgain, "is %w: cut short, %d of %d bytes at %s", ErrDamaged, info.Size(), k.Size, c.rel(path))
		return
	}
	sum, err := c.hash(path)
	switch {
	case err != nil:
		tell("give yourself the right to read it, or "+doAddAgain, "cannot be read: %w", err)
	case sum != k.SHA256:
		tell(doAddAgain, "is %w: other bytes than came in at %s", ErrDamaged, c.rel(path))
	case info.Mode().Perm()&0o222 != 0:
		tell("take the right to write away: chmod 444 "+path, "can be written to (%v)", info.Mode().Perm())
	}
}

// hash is the SHA-256 of a file, hexadecimal.
func (c *checker) hash(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, f)
	c.mu.Lock()
	c.sum.Bytes += n
	c.mu.Unlock()
	if c.o.Progress != nil {
		c.o.Progress(c.done.Add(n), c.total)
	}
	return hex.EncodeToString(h.Sum(nil)), err
}

// extra tells of files that no capture owns. A file lies there before its
// capture is in the database, so young ones get the time that this may take.
func (c *checker) extra(ctx context.Context, prefix string, names []string) error {
	for _, n := range names {
		path := filepath.Join(c.s.dir, "originals", prefix, n)
		for {
			settled, err := c.settled(path)
			if err != nil { // moved away meanwhile
				break
			}
			known, err := c.known(ctx, prefix)
			if err != nil {
				if err = c.judge(ctx, dbName, err); err != nil {
					return err
				}
			} else if _, ok := known[n]; ok {
				break
			}
			if settled {
				c.found(Problem{c.rel(path), errExtra, doExtra})
				break
			}
			select {
			case <-ctx.Done():
				return ctx.Err()
			case <-time.After(100 * time.Millisecond):
			}
		}
	}
	return nil
}

// settled reports whether a file is older than any commit takes; a time to come
// is no time of a writer.
func (c *checker) settled(path string) (bool, error) {
	info, err := os.Lstat(path)
	if err != nil {
		return false, err
	}
	age := time.Since(info.ModTime())
	return age > busyTimeout || age < 0, nil
}

var errExtra = errors.New("the archive does not know this file")

const doExtra = "if it is a picture, tankroll add it to keep it for good; else move it away"

var prefixName = regexp.MustCompile(`^[0-9a-f]{2}$`)

// strangers tells of what has no place among the originals.
func (c *checker) strangers(ctx context.Context) error {
	dir := filepath.Join(c.s.dir, "originals")
	list, err := os.ReadDir(dir)
	if err != nil {
		c.found(Problem{c.rel(dir), fmt.Errorf("cannot be read: %w", err), doRestore})
		return nil
	}
	for _, e := range list {
		if err := ctx.Err(); err != nil {
			return err
		}
		// What is half written is another process's, or is swept up later.
		if e.IsDir() && prefixName.MatchString(e.Name()) || strings.HasPrefix(e.Name(), tempPrefix) {
			continue
		}
		c.found(Problem{c.rel(filepath.Join(dir, e.Name())), errExtra, doExtra})
	}
	return nil
}

// rel is a path as people see it, from the archive's folder.
func (c *checker) rel(path string) string {
	r, err := filepath.Rel(c.s.dir, path)
	if err != nil {
		return path
	}
	return filepath.ToSlash(r)
}

// verifyFilesAlone looks at the originals of an archive whose database cannot be
// opened: each file's name says what its hash must be.
func verifyFilesAlone(ctx context.Context, dir string, o VerifyOptions, why error) (Verified, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return Verified{}, err
	}
	c := newChecker(&Store{dir: abs, now: time.Now}, o)
	c.found(Problem{dbName, why, doRestore})
	err = filepath.WalkDir(filepath.Join(abs, "originals"), func(path string, d fs.DirEntry, err error) error {
		if e := ctx.Err(); e != nil {
			return e
		}
		if err != nil {
			c.found(Problem{c.rel(path), fmt.Errorf("cannot be read: %w", err), "give yourself the right to read it"})
			return nil
		}
		if d.IsDir() || strings.HasPrefix(d.Name(), tempPrefix) {
			return nil
		}
		sum, err := c.hash(path)
		if want, _, _ := strings.Cut(d.Name(), "."); err != nil || sum != want {
			c.found(Problem{c.rel(path), errors.Join(fmt.Errorf("%w: its bytes are not those that it is named after", ErrDamaged), err), doAddAgain})
		}
		return nil
	})
	return c.sum, err
}
