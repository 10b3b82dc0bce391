package parse_test

import (
	"slices"
	"strings"
	"testing"

	"tankroll/parse"
)

// unforeseen is a way to put on a line what no grammar foresees.
type unforeseen struct {
	name string
	most float64 // of the fields of a slip that are not read any more; the line itself is some hundredths
	put  func(line string) string
}

// TestUnforeseen puts a word or line that nobody foresaw at places all over the strangers' slips
// and counts what else is lost with it.
func TestUnforeseen(t *testing.T) {
	const strange = "QUIVERA"
	in := func(l string) int { return len(l) - len(strings.TrimLeft(l, " ")) }
	ways := []unforeseen{
		{"a line below", 0.017, func(l string) string { return l + "\n" + l[:in(l)] + strange + " FLANGE" }},
		{"a word before", 0.053, func(l string) string { return l[:in(l)] + strange + " " + l[in(l):] }},
		{"a word behind", 0.032, func(l string) string { return l + " " + strange }},
		{"a cell behind", 0.032, func(l string) string { return l + "    " + strange }},
	}
	const step = 97 // lines
	lost, of := make([]int, len(ways)), make([]int, len(ways))
	at := 0
	for _, slip := range strangers(t, "testdata/strangers/*") {
		raw, want := slip.text, slip.want
		right := func(lines []string) int {
			s := newScoring()
			got := readTyped(strings.Join(lines, "\n")+"\n", parse.Hints{})
			asked := want.Report
			asked.Records, got.Records = want.AsWanted(got.Records)
			s.report(asked, got)
			return s.total().right
		}
		lines := strings.Split(strings.TrimRight(string(raw), "\n"), "\n")
		before := -1
		for i, l := range lines {
			if at++; strings.TrimSpace(l) == "" || at%step >= len(ways) {
				continue
			}
			if before < 0 {
				before = right(lines)
			}
			w := at % step
			other := slices.Clone(lines)
			other[i] = ways[w].put(l)
			of[w] += before
			lost[w] += max(0, before-right(other))
		}
	}
	for w, way := range ways {
		share := float64(lost[w]) / float64(max(of[w], 1))
		t.Logf("%-14s %.4f of %d fields lost", way.name, share, of[w])
		if share > way.most {
			t.Errorf("%s: %.4f of the fields are lost with it, want at most %.3f", way.name, share, way.most)
		}
	}
}
