package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tankroll/internal/golden"
	"tankroll/internal/score"
)

// someTrust is a level where all is reached that is wanted, and one where nothing is.
func someTrust() trust {
	good := levelTrust{
		level: "scan", slips: 2,
		firstWords: score.Words{Truth: 100, Got: 100, Both: 90}, words: score.Words{Truth: 100, Got: 100, Both: 99},
		firstChars: score.Chars{Printed: 500, Read: 500, Wrong: 20}, chars: score.Chars{Printed: 500, Read: 500, Wrong: 2},
		sure: 2, firstTook: 2 * time.Second, took: 2200 * time.Millisecond,
	}
	for range 99 {
		good.letters.Add(0.99, true)
	}
	good.letters.Add(0.99, false)
	good.fields.Add(0.999, true)
	good.fields.Add(1, true)
	good.fields.Add(0.5, true)
	good.fields.Add(0.5, false)
	bad := levelTrust{
		level: "ghost", slips: 1,
		firstWords: score.Words{Truth: 50, Got: 50, Both: 40}, words: score.Words{Truth: 50, Got: 50, Both: 30},
		firstChars: score.Chars{Printed: 250, Read: 250, Wrong: 20}, chars: score.Chars{Printed: 250, Read: 240, Wrong: 25},
		sure: 1, sureWrong: 1, firstTook: time.Second, took: 2 * time.Second,
	}
	bad.letters.Add(0.9, false)
	bad.fields.Add(0.999, false)
	return trust{made: []string{"part fit", "ocr 1"}, levels: []levelTrust{good, bad}}
}

// TestTrustTables: what a person reads, with what is wanted and not reached, and
// what is kept, against an older one.
func TestTrustTables(t *testing.T) {
	var out bytes.Buffer
	now := someTrust()
	writeTrust(&out, now)
	writeMissed(&out, now.missed())
	kept := someTrust()
	kept.made[1] = "ocr 0"
	kept.levels[1].chars.Wrong = 30
	for _, was := range []string{"", now.String(), kept.String()} {
		out.WriteString("\n")
		writeKeptChanges(&out, "FILE", was, now.String())
	}
	golden.Equal(t, "trust.txt", out.String())
}

// TestTrustMissed: nothing is missed at the good level alone; at the other one each
// thing that is wanted is.
func TestTrustMissed(t *testing.T) {
	all := someTrust()
	if m := (trust{levels: all.levels[:1]}).missed(); len(m) != 0 {
		t.Errorf("missed at a level that reaches all: %q", m)
	}
	missed := strings.Join(trust{levels: all.levels[1:]}.missed(), "\n")
	for _, want := range []string{"word F1 0.6000, wanted 0.920", "1.25 of the first", "worse than", "2.00 times", "1 of 1 sure", "characters: what is said is off by 0.9000", "fields: what is said is off by 0.9990"} {
		if !strings.Contains(missed, want) {
			t.Errorf("%q is not said in\n%s", want, missed)
		}
	}
}

// TestTrustKept: what is written is read back, times are no part of it, and a file
// that is not there is none.
func TestTrustKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sub", "trust-fit.txt")
	if none, err := readKept(file); none != "" || err != nil {
		t.Fatalf("a file that is not there: %q, %v", none, err)
	}
	a, b := someTrust(), someTrust()
	b.levels[0].took, b.levels[1].firstTook = time.Minute, time.Minute
	if err := keep(file, a.String()); err != nil {
		t.Fatal(err)
	}
	if got, err := readKept(file); err != nil || got != b.String() {
		t.Errorf("%v: read back\n%s\nwant\n%s", err, got, b.String())
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(file, 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := readKept(file); err == nil {
		t.Error("a folder was read as a file")
	}
}
