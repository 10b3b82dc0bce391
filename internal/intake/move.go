package intake

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// mostNames bounds the files of one name in the folder that files are moved to.
const mostNames = 100_000

// moveTo moves a file that lies below dir to the same place below to. A file that
// has its name there is left alone and the new one gets a number.
func moveTo(dir, path, to string) error {
	rel, err := filepath.Rel(dir, path)
	if err != nil {
		return err
	}
	to = filepath.Join(to, rel)
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	place, err := reserve(to)
	if err != nil {
		return err
	}
	// The empty file that holds the name is replaced.
	err = os.Rename(path, place)
	if errors.Is(err, syscall.EXDEV) {
		err = copyOver(path, place)
		if err == nil {
			return os.Remove(path)
		}
	}
	if err != nil {
		return errors.Join(err, os.Remove(place))
	}
	return nil
}

// reserve makes an empty file of that name, or of one with a number.
func reserve(path string) (string, error) {
	ext := filepath.Ext(path)
	name := path
	for n := 2; n < mostNames; n++ {
		f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
		if err == nil {
			return name, f.Close()
		}
		if !errors.Is(err, os.ErrExist) {
			return "", err
		}
		name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(path, ext), n, ext)
	}
	return "", fmt.Errorf("%s: there are %d files of that name; clear the folder", path, mostNames)
}

// copyOver copies a file to another disk and makes it durable there.
func copyOver(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_TRUNC, 0o644)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// zipComplete reports whether a ZIP has its directory, which stands at its end.
func zipComplete(path string) bool {
	z, err := zip.OpenReader(path)
	if err != nil {
		return false
	}
	return z.Close() == nil
}
