package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tankroll/internal/golden"
	"tankroll/internal/score"
)

func someLosses() losses {
	return losses{
		made: []string{"part fit", "seeds 1 to 2", "ocr 1"},
		rows: []lossRow{
			{"scan", 1, score.Losses{Printed: 80, Read: 81, Right: 75, Lost: score.Stages{Line: 2, Recognition: 3}, Invented: score.Stages{Line: 1, Recognition: 2}}},
			{"scan", 2, score.Losses{Printed: 40, Read: 40, Right: 40}},
			{"ghost", 1, score.Losses{Printed: 60, Read: 12, Right: 0, Lost: score.Stages{Turn: 60}, Invented: score.Stages{Turn: 12}}},
		},
	}
}

// TestKeptLosses: what is kept is what a person reads, and reads back the same.
func TestKeptLosses(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sub", "losses-fit.txt")
	if none, err := readLosses(file); err != nil || len(none.rows) != 0 {
		t.Fatalf("a file that is not there: %v, %v", none, err)
	}
	want := someLosses()
	if err := want.write(file); err != nil {
		t.Fatal(err)
	}
	got, err := readLosses(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got, cmp.AllowUnexported(losses{}, lossRow{})); d != "" {
		t.Error(d)
	}
	golden.Equal(t, "kept.txt", want.String())
}

// TestKeptLossesDamaged: a file that was edited badly is named, not believed.
func TestKeptLossesDamaged(t *testing.T) {
	good := someLosses().String()
	row := strings.Split(good, "\n")
	for name, text := range map[string]string{
		"empty":         "",
		"other columns": strings.Replace(good, "misread", "wrong", 1),
		"cut row":       strings.TrimSpace(good[:strings.LastIndex(good, "60")]) + "\n",
		"no number":     strings.Replace(good, "75", "7x", 1),
		"does not add":  strings.Replace(good, "75", "74", 1),
		"blank row":     strings.Join(row[:len(row)-2], "\n") + "\n\n" + row[len(row)-2] + "\n",
	} {
		file := filepath.Join(t.TempDir(), "losses-fit.txt")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := readLosses(file); err == nil || !strings.Contains(err.Error(), file) || !strings.Contains(err.Error(), "-update") {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

// TestTables shows both tables and every kind of change: won and lost on
// different pictures of a level, another maker, a picture that is another one
// now, one that was never kept.
func TestTables(t *testing.T) {
	var out bytes.Buffer
	writeHeader(&out)
	writeRow(&out, "scan", result{words: score.Words{Truth: 120, Got: 121, Both: 115}, plain: score.Words{Truth: 120, Got: 90, Both: 60}, paper: paper{slips: 2, found: 2, turn: said{right: 2}},
		pictures: 2, pixels: 24_400_000, took: 9 * time.Second, plainTook: 3 * time.Second, peak: 150 << 10})
	kept, now := someLosses(), someLosses()
	now.made[2] = "ocr 2"
	now.rows[0].Losses = score.Losses{Printed: 80, Read: 79, Right: 77, Lost: score.Stages{Line: 3}, Invented: score.Stages{Line: 2}}
	now.rows[1].Losses = score.Losses{Printed: 40, Read: 40, Right: 38, Lost: score.Stages{Recognition: 2}}
	now.rows[2].Printed, now.rows[2].Lost.Turn = 61, 61
	now.rows = append(now.rows, lossRow{"ghost", 9, score.Losses{}})
	out.WriteString("\n")
	writeLosses(&out, []string{"scan", "worn", "ghost"}, now)
	out.WriteString("\n")
	writeChanges(&out, "FILE", kept, now)
	out.WriteString("\n")
	writeChanges(&out, "FILE", losses{}, now)
	out.WriteString("\n" + inWords(now.level("scan")) + "\n")
	golden.Equal(t, "tables.txt", out.String())
}

// TestUpdateOfNothing: figures that are kept are not replaced by those of no pictures.
func TestUpdateOfNothing(t *testing.T) {
	folder := t.TempDir()
	err := run(t.Context(), &bytes.Buffer{}, &bytes.Buffer{}, options{part: "fit", golden: folder, update: true})
	if err == nil || !strings.Contains(err.Error(), "-n 1") {
		t.Errorf("error %v", err)
	}
	if files, err := os.ReadDir(folder); len(files) != 0 || err != nil {
		t.Errorf("written: %v, %v", files, err)
	}
}
