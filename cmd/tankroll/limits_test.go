package main

import (
	"bytes"
	"image"
	"image/png"
	"strings"
	"testing"

	"golang.org/x/image/tiff"
)

// TestLimits: each limit can be set, and what is over it is refused in one line
// that names the limit, before anything is kept.
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
	archive := t.TempDir()
	tests := []struct {
		args []string
		code int
		says string
	}{
		{[]string{"read", "--max-megapixels", "0.1", picture}, exitFailed, "400 x 300 pixels, the limit is 0.1 megapixels"},
		{[]string{"add", "--archive", archive, "--max-megapixels", "0.1", scan}, exitFailed, "400 x 300 pixels, the limit is 0.1 megapixels"},
		{[]string{"read", "--max-mb", "0.1", scan}, exitFailed, "larger than 0.1 MB"},
		{[]string{"add", "--archive", archive, "--max-mb", "0.1", scan}, exitFailed, "larger than 0.1 MB"},
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
	for _, command := range []string{"read", "add", "show", "serve"} {
		out, _, _ := tankroll(t, command, "--help")
		for _, flag := range []string{"--max-mb", "--max-megapixels", "--max-pages", "--max-time"} {
			if !strings.Contains(out, flag) {
				t.Errorf("the help of %s does not tell of %s", command, flag)
			}
		}
	}
}
