package main

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/image/tiff"
)

// keptIn counts the pictures that an archive holds.
func keptIn(t *testing.T, archive string) int {
	t.Helper()
	n := 0
	err := filepath.WalkDir(filepath.Join(archive, "originals"), func(_ string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			n++
		}
		return err
	})
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	return n
}

// TestLimits: each limit can be set, and what is over it is refused in one line
// that names the limit and its flag.
func TestLimits(t *testing.T) {
	white := image.NewGray(image.Rect(0, 0, 400, 300))
	for i := range white.Pix {
		white.Pix[i] = 255
	}
	var p, q bytes.Buffer
	if err := png.Encode(&p, white); err != nil {
		t.Fatal(err)
	}
	if err := tiff.Encode(&q, white, nil); err != nil {
		t.Fatal(err)
	}
	picture, scan := file(t, "white.png", p.Bytes()), file(t, "white.tif", q.Bytes())
	scans, pdf := file(t, "pages.tif", kindOf(t, "pages.tif")), file(t, "pages.pdf", kindOf(t, "plain-pages.pdf"))
	photo := kept(t, "0004-sensor-status-may")
	archive, late := t.TempDir(), t.TempDir()
	tests := []struct {
		args []string
		code int
		says string
	}{
		{[]string{"read", "--max-megapixels", "0.1", picture}, exitFailed, "400 x 300 pixels, the limit is 0.1 megapixels: save it smaller or raise --max-megapixels"},
		{[]string{"add", "--archive", archive, "--max-megapixels", "0.1", scan}, exitFailed, "400 x 300 pixels, the limit is 0.1 megapixels: save it smaller or raise --max-megapixels"},
		{[]string{"read", "--max-mb", "0.1", scan}, exitFailed, "larger than 0.1 MB; save the picture smaller or raise --max-mb"},
		{[]string{"add", "--archive", archive, "--max-mb", "0.1", scan}, exitFailed, "larger than 0.1 MB; save the picture smaller or raise --max-mb"},
		{[]string{"read", "--max-pages", "2", scans}, exitFailed, "more than 2 pages: split it or raise --max-pages"},
		{[]string{"add", "--archive", archive, "--max-pages", "2", scans}, exitFailed, "more than 2 pages: split it or raise --max-pages"},
		{[]string{"read", "--max-pages", "1", pdf}, exitFailed, "2 pages, the limit is 1: split it or raise --max-pages"},
		{[]string{"add", "--archive", archive, "--max-pages", "1", pdf}, exitFailed, "2 pages, the limit is 1: split it or raise --max-pages"},
		{[]string{"read", "--max-time", "1ms", photo}, exitFailed, "not done after 1ms: use a smaller picture or raise --max-time"},
		{[]string{"read", "--max-time", "1ms", pdf}, exitFailed, "not done after 1ms: use a smaller picture or raise --max-time"},
		{[]string{"add", "--archive", late, "--max-time", "1ms", photo}, exitFailed, "not done after 1ms: use a smaller picture or raise --max-time"},
		{[]string{"read", "--max-mb", "0", picture}, exitUsage, "--max-mb must be more than 0"},
		{[]string{"read", "--max-megapixels", "1e9", picture}, exitUsage, "at most 1000"},
		{[]string{"read", "--max-pages", "-1", picture}, exitUsage, "--max-pages must be"},
		{[]string{"add", "--archive", archive, "--max-time", "0s", picture}, exitUsage, "--max-time must be"},
	}
	for _, c := range tests {
		_, errs, code := tankroll(t, c.args...)
		if code != c.code || !strings.Contains(errs, c.says) || strings.Count(errs, "\n") != 1 {
			t.Errorf("%v: exit %d, %q; want %d with %q", c.args[:len(c.args)-1], code, errs, c.code, c.says)
		}
	}
	// The paper may be gone tomorrow: a picture that is over a limit is kept, but for
	// bytes without end.
	if kept := keptIn(t, archive); kept != 3 {
		t.Errorf("%d files are kept: white.tif, pages.tif and pages.pdf are to be, what has too many bytes is not", kept)
	}
	if kept := keptIn(t, late); kept != 1 {
		t.Errorf("%d files are kept of one that took too long to read", kept)
	}
	for _, command := range []string{"read", "add", "show", "serve"} {
		out, _, _ := tankroll(t, command, "--help")
		for _, flag := range []string{"--max-mb", "--max-megapixels", "--max-pages", "--max-time"} {
			if !strings.Contains(out, flag) {
				t.Errorf("the help of %s does not tell of %s", command, flag)
			}
		}
	}
}
