package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/internal/golden"
	"tankroll/internal/score"
)

// TestRealSlips: pictures with text beside them are found, others counted; a folder that
// is not there or has none is named, with what to do.
func TestRealSlips(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a.jpg", "b.PNG", "b.txt", "c.txt", "d.jpeg", "d.txt", "e.pdf", "e.txt"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("LEAK TEST\nPASSED\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	found, bare, err := realSlips(dir)
	if err != nil || bare != 1 || len(found) != 2 || found[0].name != "b" || found[1].file != filepath.Join(dir, "d.jpeg") {
		t.Fatalf("%+v, %d without text, %v", found, bare, err)
	}
	if w := score.CountWords(found[0].text, []string{"PASSED"}); w.Truth != 3 || w.Both != 1 {
		t.Errorf("what is printed: %q", found[0].text)
	}
	for _, folder := range []string{filepath.Join(dir, "none"), t.TempDir()} {
		if _, _, err := realSlips(folder); err == nil || !strings.Contains(err.Error(), folder) || !strings.Contains(err.Error(), "NAME.txt") {
			t.Errorf("%s: error %v", folder, err)
		}
	}
}

// TestWriteReal: a row a picture and the sum of all.
func TestWriteReal(t *testing.T) {
	var out bytes.Buffer
	writeReal(&out, []realSlip{
		{name: "march", words: score.Words{Truth: 60, Got: 60, Both: 57}, plain: score.Words{Truth: 60, Got: 40, Both: 20}, took: 1.5, plainTook: 0.5},
		{name: "april", words: score.Words{Truth: 40, Got: 38, Both: 30}, plain: score.Words{Truth: 40, Got: 20, Both: 6}, took: 2, plainTook: 1},
	}, 1)
	golden.Equal(t, "real.txt", out.String())
}
