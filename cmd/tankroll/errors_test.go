package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/fixtures"
	"tankroll/internal/golden"
)

// kindOf is a small file of the decoders' tests.
func kindOf(t *testing.T, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "ocr", "decode", "testdata", "kinds", name))
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// TestErrorLines: what is said of each bad file, to the letter: its name, what is
// wrong and what to do.
func TestErrorLines(t *testing.T) {
	type row struct {
		name string
		raw  []byte
		args []string
	}
	kind := func(name string, args ...string) row { return row{name, kindOf(t, name), args} }
	cut := func(name string) row { raw := kindOf(t, name); return row{"cut-" + name, raw[:len(raw)/2], nil} }
	with := func(name, from, old, new string) row {
		raw := kindOf(t, from)
		if n := bytes.Count(raw, []byte(old)); n != 1 {
			t.Fatalf("%s has %q %d times", from, old, n)
		}
		return row{name, bytes.Replace(raw, []byte(old), []byte(new), 1), nil}
	}
	bad, err := fixtures.BadFiles()
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for _, b := range bad {
		if b.Expect == "error" || b.Expect == "nothing" {
			rows = append(rows, row{b.Name, b.Raw, nil})
		}
	}
	rows = append(rows, cut("colour.png"), cut("colour.webp"), cut("colour.heic"), cut("grey.tif"), cut("grey-jpeg.tif"), cut("bilevel-g4.tif"), cut("plain.pdf"),
		row{"header.tif", kindOf(t, "grey.tif")[:6], nil}, row{"no-page.tif", kindOf(t, "grey.tif")[:100], nil},
		kind("encrypted.pdf"), kind("big.tif"), row{"film.gif", []byte("GIF89a\x01\x00\x01\x00\x00\x00\x00;"), nil},
		with("no-picture.pdf", "plain.pdf", "/Predictor 15 >> /Filter /FlateDecode", "/Predictor 15 >> /Filter /DCTDecode  "),
		row{"avif.jpg", []byte("\x00\x00\x00\x14ftypavif\x00\x00\x00\x00mif1"), nil}, row{"old.bmp", append([]byte("BM"), make([]byte, 60)...), nil},
		with("damaged.jpg", "grey.jpg", "\xff\xda", "\xff\x02"), with("no-pixels.heic", "grey.heic", "ispe\x00\x00\x00\x00\x00\x00\x00\x60", "ispe\x00\x00\x00\x00\x00\x00\x00\x00"),
		kind("grey.heic", "--max-megapixels", "0.001"), kind("plain.pdf", "--max-megapixels", "0.001"), kind("grey.tif", "--max-mb", "0.002"),
		kind("pages.tif", "--max-pages", "2"), kind("plain-pages.pdf", "--max-pages", "1"))
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "folder"), 0o755); err != nil {
		t.Fatal(err)
	}
	var told strings.Builder
	read := func(args ...string) {
		_, errs, _ := tankroll(t, append([]string{"read"}, args...)...)
		told.WriteString(strings.ReplaceAll(errs, dir+string(filepath.Separator), ""))
	}
	plain := []string{filepath.Join(dir, "folder"), filepath.Join(dir, "gone.jpg")}
	for _, r := range rows {
		path := filepath.Join(dir, r.name)
		if err := os.WriteFile(path, r.raw, 0o644); err != nil {
			t.Fatal(err)
		}
		if r.args == nil {
			plain = append(plain, path)
		} else {
			read(append(r.args, path)...)
		}
	}
	read(plain...)
	golden.Equal(t, "errors.txt", told.String())
}
