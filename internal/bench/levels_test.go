package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/internal/golden"
	"tankroll/internal/score"
)

// someLevels is a level where all is reached that is wanted, and one where nothing is.
func someLevels() levels {
	return levels{
		made: []string{"part fit", "ocr 1"},
		rows: []result{{
			level: "scan", words: score.Words{Truth: 100, Got: 100, Both: 99},
			fields: score.Fields{Truth: 200, Right: 197, Wrong: 1, Missing: 2, Records: 20, Whole: 19},
			paper: paper{slips: 401, found: 400, whole: 3, turn: said{399, 1, 360, 0.5}, stripe: sign{20, 19, 380, 0, said{399, 1, 380, 0.25}},
				cut: sign{10, 9, 390, 1, said{398, 2, 300, 1}}, inkOff: 8, corners: []float64{0.01, 0.02, 0.5}},
		}, {
			level: "binder", words: score.Words{Truth: 50, Got: 50, Both: 40},
			fields: score.Fields{Truth: 10, Right: 4, Wrong: 1, Missing: 5, Records: 2, Spurious: 1},
			paper:  paper{slips: 5, found: 3, extra: 1, turn: said{1, 2, 0.5, 0.5}, stripe: sign{1, 0, 2, 1, said{2, 1, 1, 1}}, blurred: 1, inkOff: 0.9},
		}},
	}
}

// TestLevels: what is kept, and what a run says that differs from it.
func TestLevels(t *testing.T) {
	file := filepath.Join(t.TempDir(), "levels-fit.txt")
	if err := keep(file, someLevels().String()); err != nil {
		t.Fatal(err)
	}
	kept, err := readKept(file)
	if err != nil {
		t.Fatal(err)
	}
	now := someLevels()
	now.rows[1].paper.turn = said{2, 1, 1, 0.5}
	var out bytes.Buffer
	out.WriteString(kept + "\n")
	writeKeptChanges(&out, "FILE", kept, now.String())
	golden.Equal(t, "levels.txt", out.String())
}

// TestLevelsMissed: nothing is missed where what is wanted is just reached; where it is
// not, each thing is said.
func TestLevelsMissed(t *testing.T) {
	all := someLevels()
	if m := (levels{rows: all.rows[:1]}).missed(); len(m) != 0 {
		t.Errorf("missed at a level that reaches all: %q", m)
	}
	want := []string{
		"binder: word F1 0.8000, wanted 0.95",
		"binder: 3 of 5 slips found, wanted all",
		"turn: right on 1 of 3 slips found, wanted 199 in 200",
		"stripe: 0 of 1 found, wanted 19 in 20",
		"stripe: 1 invented, wanted none",
	}
	if got := (levels{rows: all.rows[1:]}).missed(); strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("missed %q, want %q", got, want)
	}
}

// TestWantedAt: each level's figures, just missed and just reached.
func TestWantedAt(t *testing.T) {
	for _, v := range []struct {
		level                  string
		words, fields, records int // in 1000
	}{
		{"scan", 990, 985, 950}, {"worn", 980, 0, 0}, {"photo", 970, 970, 900},
		{"faded", 930, 930, 0}, {"ghost", 800, 800, 0}, {"binder", 950, 0, 0},
	} {
		at := func(words, fields, records int) int {
			r := result{level: v.level, words: score.Words{Truth: 1000, Got: 1000, Both: words},
				fields: score.Fields{Truth: 1000, Right: fields, Records: 1000, Whole: records}}
			return len(levels{rows: []result{r}}.missed())
		}
		if n := at(v.words, v.fields, v.records); n != 0 {
			t.Errorf("%s: %d things missed where all is reached", v.level, n)
		}
		for i, n := range []int{v.words, v.fields, v.records} {
			just := [3]int{v.words, v.fields, v.records}
			just[i]--
			if n > 0 && at(just[0], just[1], just[2]) != 1 {
				t.Errorf("%s: %v of 1000 is not missed", v.level, just)
			}
		}
	}
}
