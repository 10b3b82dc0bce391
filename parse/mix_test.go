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

// fromEnv is a number in the environment, or another when it is not set.
func fromEnv(name string, or int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
		return n
	}
	return or
}

// TestMixedConsoles counts how well printouts of mixed consoles are read, batch by
// batch. MIX_BATCH, MIX_FROM and MIX_SEEDS choose others; MIX_SHOW shows what differs: a kind,
// "all", or "sure" for what is sure and wrong.
func TestMixedConsoles(t *testing.T) {
	// A guard against going back: a batch's share of right fields and of wrong ones
	// among those that are sure, of the consoles that are counted here.
	least := []struct{ right, sureWrong float64 }{{0.98, 0.003}, {0.93, 0.003}, {0.93, 0.003}, {0.90, 0.004}}
	only, seeds := fromEnv("MIX_BATCH", 0), fromEnv("MIX_SEEDS", 6)
	for batch := 1; batch <= console.Batches; batch++ {
		if only != 0 && batch != only {
			continue
		}
		s := newScoring()
		for n := uint64(fromEnv("MIX_FROM", 1)); n <= uint64(seeds); n++ {
			c := console.Mixed(batch, n)
			for _, k := range record.Kinds() {
				mixed(t, s, c.Print(rand.New(rand.NewPCG(n, 7)), scenario.Make(n), k), k)
			}
		}
		sum := s.total()
		t.Logf("batch %d\n%s", batch, s.table(os.Getenv("PARSE_FIELDS") != ""))
		rate, wrong := float64(sum.right)/float64(sum.wanted), float64(sum.sureWrong)/float64(sum.sure)
		if want := least[batch-1]; only == 0 && (rate < want.right || wrong > want.sureWrong) {
			t.Errorf("batch %d: right %.4f, want at least %.2f; %d of %d sure fields wrong", batch, rate, want.right, sum.sureWrong, sum.sure)
		}
	}
}

// mixed counts one printout and shows it where that is asked for.
func mixed(t *testing.T, s *scoring, p console.Printout, k record.Kind) {
	var notes []string
	s.note = func(f string, a ...any) { notes = append(notes, fmt.Sprintf(f, a...)) }
	before := s.total()
	s.report(p.Truth, readTyped(p.Text(), parse.Hints{}))
	got := minus(s.total(), before)
	differs := got.missing+got.wrong+got.extra > 0
	switch show := os.Getenv("MIX_SHOW"); {
	case show == "", show == "sure" && got.sureWrong == 0, !differs, show != "sure" && show != "all" && !strings.HasPrefix(string(k), show):
	default:
		t.Logf("--- %s %s\n%s\n%s", p.Console, k, p.Text(), strings.Join(notes, "\n"))
	}
}
