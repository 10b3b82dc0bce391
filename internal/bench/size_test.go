package main

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"tankroll/internal/golden"
	"tankroll/internal/score"
)

// TestSizes: the table, and what is wanted of 12 and 48 megapixels and not reached.
func TestSizes(t *testing.T) {
	size := func(megapixels float64, seconds int, mb int64) sizeResult {
		return sizeResult{megapixels: megapixels, own: cost{time.Duration(seconds) * time.Second, mb << 20}, plain: cost{10 * time.Second, 90 << 20},
			highest: 2.5, words: score.Words{Truth: 100, Got: 100, Both: 97}, plainWords: score.Words{Truth: 100, Got: 80, Both: 45}}
	}
	all := []sizeResult{size(1, 50, 900), size(12, 20, 900), size(12, 21, 100), size(48, 50, 599), size(48, 10, 600)}
	var out bytes.Buffer
	if err := writeSizes(&out, all); err != nil {
		t.Fatal(err)
	}
	var missed []string
	for _, s := range all {
		missed = append(missed, s.missed()...)
	}
	out.WriteString("\n" + strings.Join(missed, "\n") + "\n")
	golden.Equal(t, "sizes.txt", out.String())
}
