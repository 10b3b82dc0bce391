package parse_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"tankroll/fixtures/console"
	"tankroll/fixtures/scenario"
	"tankroll/parse"
	"tankroll/record"
)

// TestMixedConsoles counts how well printouts of mixed consoles are read.
func TestMixedConsoles(t *testing.T) {
	batch, seeds, first := console.Batches, uint64(12), uint64(1)
	if v, err := strconv.Atoi(os.Getenv("MIX_BATCH")); err == nil {
		batch = v
	}
	if v, err := strconv.Atoi(os.Getenv("MIX_SEEDS")); err == nil {
		seeds = uint64(v)
	}
	if v, err := strconv.Atoi(os.Getenv("MIX_FIRST")); err == nil {
		first = uint64(v)
	}
	show, most := os.Getenv("MIX_SHOW"), 8
	if v, err := strconv.Atoi(os.Getenv("MIX_MOST")); err == nil {
		most = v
	}
	s := newScoring()
	for n := first; n < first+seeds; n++ {
		c := console.Mixed(batch, n)
		for _, k := range record.Kinds() {
			if show != "" && !strings.HasPrefix(string(k), show) && show != "sure" && show != "all" && !strings.HasPrefix(show, "h") {
				continue
			}
			p := c.Print(rand.New(rand.NewPCG(n, 7)), scenario.Make(n), k)
			var notes []string
			s.note = func(f string, a ...any) { notes = append(notes, fmt.Sprintf(f, a...)) }
			before := s.total()
			s.report(p.Truth, readTyped(p.Text(), parse.Hints{}))
			after := s.total()
			bad := after.missing+after.wrong+after.extra > before.missing+before.wrong+before.extra
			if show == "sure" {
				bad = after.sureWrong > before.sureWrong
			}
			if show != "" && strings.HasPrefix(show, "header") {
				bad = bad && strings.Contains(strings.Join(notes, " "), show)
			}
			if show != "" && bad && most > 0 {
				most--
				t.Logf("--- %s %s\n%s\n%s", c.Name, k, p.Text(), strings.Join(notes, "\n"))
			}
		}
	}
	t.Logf("\n%s", s.table(os.Getenv("PARSE_FIELDS") != ""))
}
