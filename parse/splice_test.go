package parse_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/parse"
)

// TestSpliced reads slips that are put together from lines and cells of the strangers' ones, in
// any order: what no console prints must not stop the program either, and what is said of it must
// hold together. SPLICE_SEEDS makes more of them.
func TestSpliced(t *testing.T) {
	files, err := filepath.Glob("testdata/strangers/*/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatalf("no slips (%v)", err)
	}
	var lines []string
	for _, f := range files {
		raw, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, strings.Split(strings.TrimRight(string(raw), "\n"), "\n")...)
	}
	seeds := 800
	if os.Getenv("TANKROLL_LONG") != "" {
		seeds = 30000
	}
	for seed := range uint64(fromEnv("SPLICE_SEEDS", seeds)) {
		text := spliced(rand.New(rand.NewPCG(seed, 5)), lines)
		if p := panicked(func() { holds(t, readTyped(text, parse.Hints{})) }); p != nil {
			t.Errorf("seed %d: %v", seed, p)
		}
		if t.Failed() {
			t.Fatalf("seed %d:\n%s", seed, text)
		}
	}
}

// spliced puts lines next to each other that stand together on some slip, or not, and cells of
// one line behind those of another.
func spliced(rng *rand.Rand, lines []string) string {
	var out []string
	at := rng.IntN(len(lines))
	for range 4 + rng.IntN(30) {
		if rng.IntN(3) == 0 {
			at = rng.IntN(len(lines))
		}
		l := lines[at]
		if rng.IntN(4) == 0 {
			other := strings.Fields(lines[rng.IntN(len(lines))])
			words := strings.Fields(l)
			cut, from := rng.IntN(len(words)+1), rng.IntN(len(other)+1)
			gap := []string{" ", "  ", "    ", " - ", " / ", ": ", " | "}[rng.IntN(7)]
			l = strings.Join(words[:cut], " ") + gap + strings.Join(other[from:], " ")
		}
		out = append(out, l)
		at = (at + 1) % len(lines)
	}
	return strings.Join(out, "\n") + "\n"
}

// panicked is what f panicked with, nil when it did not.
func panicked(f func()) (p error) {
	defer func() {
		if r := recover(); r != nil {
			p = fmt.Errorf("%v", r)
		}
	}()
	f()
	return nil
}
