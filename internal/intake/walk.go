package intake

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"syscall"

	"tankroll/ocr"
)

// Input is one file to take in: its name as given (for a member of a ZIP,
// ZIP!member), the names of the folders that it lies in below the one that was
// given, and a function that reads it. A ZIP in a folder counts as a folder of its
// name.
type Input struct {
	Name    string
	Folders []string
	Read    func() ([]byte, error)
}

// maxMembers bounds the files of one ZIP: twenty years of one station's slips. A
// member is limited by what it unpacks to, whatever its header says.
const maxMembers = 20_000

// maxUnpacked bounds what a ZIP unpacks to as a whole, as a multiple of its size
// and of one file's limit: pictures hardly shrink in a ZIP, plain TIFF to a
// thirtieth, and what shrinks to less than that is made to fill a disk.
const maxUnpacked = 100

// orDefault is the most bytes of one file.
func orDefault(maxBytes int64) int64 { return ocr.Limits{Bytes: maxBytes}.WithDefaults().Bytes }

// pictures are the endings taken from folders and ZIPs; a file named on the
// command line is opened whatever its ending.
var pictures = map[string]bool{".jpg": true, ".jpeg": true, ".png": true, ".webp": true, ".tif": true, ".tiff": true,
	".pdf": true, ".heic": true, ".heif": true}

// Walk gives every input below the paths to take, in the order of the paths
// and by name within a folder. A path that cannot be opened is given to fail,
// and the walk goes on. It ends early only when the context is done or take
// returns an error. A file of more than maxBytes is an error when it is read; 0
// means the reader's default.
func Walk(ctx context.Context, paths []string, maxBytes int64, take func(Input) error, fail func(name string, err error)) error {
	for _, p := range paths {
		info, err := os.Stat(p)
		switch {
		case err != nil:
			fail(p, plain(err))
		case info.IsDir():
			err = walkFolder(ctx, p, maxBytes, take, fail)
		default:
			err = takeFile(ctx, p, nil, maxBytes, take, fail)
		}
		if stop := stopping(ctx, err); stop != nil {
			return stop
		}
	}
	return nil
}

// stopError marks an error of take or the context, which ends the walk.
type stopError struct{ error }

func (e stopError) Unwrap() error { return e.error }

func stopping(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	var stop stopError
	if errors.As(err, &stop) {
		return stop.error
	}
	return nil
}

func walkFolder(ctx context.Context, dir string, maxBytes int64, take func(Input) error, fail func(string, error)) error {
	// Symbolic links to folders are not followed, so that a loop cannot hang.
	return filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if ctx.Err() != nil {
			return stopError{ctx.Err()}
		}
		if err != nil {
			fail(path, plain(err))
			return nil
		}
		if hidden(d) && path != dir && d.IsDir() {
			return filepath.SkipDir
		}
		if d.IsDir() || !wanted(path, d) {
			return nil
		}
		return takeFile(ctx, path, foldersOf(dir, path), maxBytes, take, fail)
	})
}

func hidden(d fs.DirEntry) bool {
	return strings.HasPrefix(d.Name(), ".") && d.Name() != "." && d.Name() != ".."
}

// wanted reports whether a file of a folder is taken, by its name.
func wanted(path string, d fs.DirEntry) bool {
	ext := strings.ToLower(filepath.Ext(path))
	return !hidden(d) && (pictures[ext] || ext == ".zip")
}

// foldersOf names the folders between dir and a file below it.
func foldersOf(dir, path string) []string {
	rel, err := filepath.Rel(dir, filepath.Dir(path))
	if err != nil || rel == "." {
		return []string{}
	}
	return strings.Split(filepath.ToSlash(rel), "/")
}

func takeFile(ctx context.Context, path string, folders []string, maxBytes int64, take func(Input) error, fail func(string, error)) error {
	if strings.EqualFold(filepath.Ext(path), ".zip") {
		if folders != nil {
			folders = append(folders, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
		}
		return walkZip(ctx, path, folders, maxBytes, take, fail)
	}
	if err := take(Input{path, folders, func() ([]byte, error) { return ReadFile(path, maxBytes) }}); err != nil {
		return stopError{err}
	}
	return nil
}

// ReadFile reads one file, refusing what is larger than maxBytes; 0 means the
// reader's default.
func ReadFile(path string, maxBytes int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, plain(err)
	}
	defer f.Close()
	var size int64
	if info, err := f.Stat(); err == nil {
		size = info.Size()
	}
	return readLimited(f, orDefault(maxBytes), size)
}

// readLimited reads at most most bytes and refuses more. size is what the file is
// said to have: a buffer of that size need not grow.
func readLimited(r io.Reader, most, size int64) ([]byte, error) {
	tooLarge := fmt.Errorf("larger than %.4g MB; save the picture smaller or raise the limit of megabytes", float64(most)/(1<<20))
	if size > most {
		return nil, tooLarge
	}
	var raw bytes.Buffer
	raw.Grow(int(max(size, 0)) + bytes.MinRead)
	if _, err := raw.ReadFrom(io.LimitReader(r, most+1)); err != nil {
		return nil, plain(err)
	}
	if int64(raw.Len()) > most {
		return nil, tooLarge
	}
	return raw.Bytes(), nil
}

func walkZip(ctx context.Context, path string, folders []string, maxBytes int64, take func(Input) error, fail func(string, error)) error {
	z, err := zip.OpenReader(path)
	if err != nil {
		fail(path, fmt.Errorf("not a ZIP that can be opened (%w); unpack it by hand and add the folder", err))
		return nil
	}
	defer z.Close()
	if len(z.File) > maxMembers {
		fail(path, fmt.Errorf("holds %d files, more than %d; split it", len(z.File), maxMembers))
		return nil
	}
	left := maxUnpacked * max(sizeOf(path), orDefault(maxBytes)/8)
	members := append([]*zip.File(nil), z.File...)
	sort.Slice(members, func(i, j int) bool { return members[i].Name < members[j].Name })
	for _, m := range members {
		if ctx.Err() != nil {
			return stopError{ctx.Err()}
		}
		if m.FileInfo().IsDir() || !pictures[strings.ToLower(filepath.Ext(m.Name))] || strings.HasPrefix(filepath.Base(m.Name), ".") {
			continue
		}
		in := slices.Concat(folders, foldersOf(".", filepath.FromSlash(m.Name)))
		if err := take(Input{path + "!" + m.Name, in, func() ([]byte, error) {
			raw, err := readMember(m, maxBytes)
			left -= int64(len(raw))
			return raw, err
		}}); err != nil {
			return stopError{err}
		}
		if left < 0 {
			fail(path, fmt.Errorf("unpacks to more than %d times its size, the rest was left; unpack it by hand and add the folder", maxUnpacked))
			return nil
		}
	}
	return nil
}

func sizeOf(path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}

func readMember(m *zip.File, maxBytes int64) ([]byte, error) {
	const encrypted = 1 // bit of the flags
	if m.Flags&encrypted != 0 {
		return nil, errors.New("is encrypted; unpack it by hand")
	}
	r, err := m.Open()
	if err != nil {
		return nil, fmt.Errorf("cannot be unpacked (%w); unpack it by hand", err)
	}
	defer r.Close()
	return readLimited(r, orDefault(maxBytes), int64(m.UncompressedSize64))
}

// plain drops the operation and path from an error of the file system: the
// caller names the file.
func plain(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		if errors.Is(err, fs.ErrNotExist) {
			return errors.New("no such file; check the name")
		}
		if errors.Is(err, fs.ErrPermission) {
			return errors.New("no right to read it; change its permissions")
		}
		if errors.Is(err, syscall.EISDIR) {
			return errors.New("is a folder; name the files in it")
		}
		return pe.Err
	}
	return err
}
