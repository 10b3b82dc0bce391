package text

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// TestWordIs: a printed word is found by the word that was meant, and by no other.
func TestWordIs(t *testing.T) {
	for _, c := range []struct {
		asked, printed string
		want           bool
	}{
		{"diesel", "D1ESEL", true}, {"d1esel", "DIESEL", true}, {"diesel", "DIESFL", true}, {"diesel", "DIFSFI", false},
		{"premium", "PREMIUN", true}, {"premium", "PREMIURN", true}, {"alarm", "A1ARM", true}, {"terminal", "TERRNINAL", true},
		{"test", "TE5T", true}, {"tank", "TAHK", true}, {"line", "FINE", false}, {"pass", "PAST", false}, {"fuel", "FULL", false},
		{"68", "86", false}, {"68", "6B", true}, {"1234", "1235", false}, {"0.2", "0.3", false}, {"oak", "OAT", false},
	} {
		term, ok := NewTerm(c.asked, false)
		if got := term.On(Fold(c.printed), nil); !ok || got != c.want {
			t.Errorf("%s on %s: %t", c.asked, c.printed, got)
		}
		if exact, _ := NewTerm(c.asked, true); exact.On(Fold(c.printed), nil) && Fold(c.asked)[0] != Fold(c.printed)[0] {
			t.Errorf("%s on %s, exactly", c.asked, c.printed)
		}
	}
}

// TestPart: a part finds what Term.On finds on the same lines, and notices damage.
func TestPart(t *testing.T) {
	slips := [][]string{
		{"TANK LEAK TEST", "TANK 3 D1ESEL"}, {"LEAK RATE 0.2", "TEST OF THE TANK"}, {"PREMIUN UNLEADED"}, {"PREMIURN UNLEADED 68"}, {"Ünleaded 86"}, {""},
	}
	path := filepath.Join(t.TempDir(), "p1")
	b, err := NewBuilder(path)
	if err != nil {
		t.Fatal(err)
	}
	for i, lines := range slips {
		if err := b.Add(uint32(i+1), lines, nil); err != nil {
			t.Fatal(err)
		}
	}
	if err := b.Add(100, []string{"UPPER HALF"}, []string{"UPPER HALF", "LOWER END"}); err != nil {
		t.Fatal(err)
	}
	sum, err := b.Close()
	if err != nil {
		t.Fatal(err)
	}
	p, err := OpenPart(path, sum)
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	search := func(joined bool, terms ...Term) []uint32 {
		var got []uint32
		err := p.Search(context.Background(), terms, joined, func(no uint32, score float64) {
			if score <= 0 {
				t.Errorf("%v: score %g", terms, score)
			}
			got = append(got, no)
		})
		if err != nil {
			t.Fatal(err)
		}
		slices.Sort(got)
		return got
	}
	for _, asked := range []string{"tank", "leak test", "test of the tank", "test leak", "diesel", "premium", "unleaded", "68", "0.2", "nothing", "premium unleaded"} {
		term, _ := NewTerm(asked, false)
		var want []uint32
		for i, lines := range slips {
			var folded []string
			for _, l := range lines {
				folded = append(folded, Fold(l)...)
			}
			if term.On(folded, nil) {
				want = append(want, uint32(i+1))
			}
		}
		if got := search(false, term); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", asked, got, want)
		}
	}
	lower, _ := NewTerm("lower end", false)
	if own, all := search(false, lower), search(true, lower); len(own) != 0 || !slices.Equal(all, []uint32{100}) {
		t.Errorf("a joined slip: %v %v", own, all)
	}
	if _, err := OpenPart(path, "00000000"); !errors.Is(err, ErrDamaged) {
		t.Errorf("another sum: %v", err)
	}
	if err := os.WriteFile(filepath.Join(path, "more"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenPart(path, sum); !errors.Is(err, ErrDamaged) {
		t.Errorf("one file more: %v", err)
	}
}
