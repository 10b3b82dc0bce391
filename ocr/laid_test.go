package ocr

import (
	"os"
	"testing"

	"tankroll/fixtures"
)

// laidCase is one way for slips to lie, and the least that is read of it.
type laidCase struct {
	level  string
	want   fixtures.Laying
	seeds  []uint64
	words  float64 // F1 of each slip
	off    float64 // of a slip's outline, as apart reckons
	missed int     // slips in all
	extra  int
}

// TestLaid: slips that are held in a hand, roll up, lie before a leaning phone, overlap, are
// taped together or are one or eight on a page are found where they lie, and read. The floors
// leave some room below what was measured; where slips are missed, as many are counted.
func TestLaid(t *testing.T) {
	cases := []laidCase{
		{level: "photo", want: fixtures.Laying{Tilt: 35}, seeds: []uint64{303}, words: 0.93, off: 0.08},
		{level: "photo", want: fixtures.Laying{Hand: true}, seeds: []uint64{302}, words: 0.95, off: 0.05},
		{level: "photo", want: fixtures.Laying{Rolled: true}, seeds: []uint64{304}, words: 0.95, off: 0.08},
		{level: "binder", want: fixtures.Laying{Overlap: true}, seeds: []uint64{302}, words: 0.93, off: 0.2},
		{level: "binder", want: fixtures.Laying{Strip: true}, seeds: []uint64{303}, words: 0.93, off: 0.2},
		{level: "binder", want: fixtures.Laying{Slips: 7}, seeds: []uint64{301}, words: 0.9, off: 0.25},
	}
	if os.Getenv("TANKROLL_LONG") != "" {
		cases = append(cases, []laidCase{
			{level: "photo", want: fixtures.Laying{Tilt: 25}, seeds: []uint64{301, 302, 303, 304}, words: 0.95, off: 0.05},
			{level: "photo", want: fixtures.Laying{Tilt: 30}, seeds: []uint64{301, 302, 303, 304}, words: 0.95, off: 0.06},
			{level: "photo", want: fixtures.Laying{Tilt: 35}, seeds: []uint64{301, 302, 304}, words: 0.93, off: 0.08},
			{level: "photo", want: fixtures.Laying{Hand: true}, seeds: []uint64{301, 303, 304, 305, 306}, words: 0.95, off: 0.05},
			{level: "photo", want: fixtures.Laying{Rolled: true}, seeds: []uint64{301, 302, 303, 305, 306}, words: 0.95, off: 0.1},
			{level: "binder", want: fixtures.Laying{Overlap: true}, seeds: []uint64{301, 303}, words: 0.9, off: 0.2},
			{level: "binder", want: fixtures.Laying{Strip: true}, seeds: []uint64{301, 302}, words: 0.93, off: 0.3},
			{level: "binder", want: fixtures.Laying{Slips: 1}, seeds: []uint64{301}, words: 0.95, off: 0.2},
			{level: "binder", want: fixtures.Laying{Slips: 8}, seeds: []uint64{301}, words: 0.8, off: 0.55},
		}...)
	}
	r := testReader(t, Options{})
	for _, c := range cases {
		missed, extra := 0, 0
		for _, seed := range c.seeds {
			m, e := readLaid(t, r, c, seed)
			missed, extra = missed+m, extra+e
		}
		if missed > c.missed || extra > c.extra {
			t.Errorf("%s %s: %d slips are missed and %d that are none found, at most %d and %d were", c.level, c.want.Name(), missed, extra, c.missed, c.extra)
		}
	}
}

// readLaid reads one picture and counts the slips that are missed and those that are none.
func readLaid(t *testing.T, r *Reader, c laidCase, seed uint64) (missed, extra int) {
	t.Helper()
	drawn, err := fixtures.MakeLaid("fit", c.level, seed, c.want)
	if err != nil {
		t.Fatal(err)
	}
	got := readOne(t, r, drawn.Raw).Slips
	used := make([]bool, len(got))
	for i, w := range drawn.Slips {
		best, bestD := -1, 0.8
		for k, g := range got {
			if d := apart(w.Corners, g.Corners); !used[k] && d < bestD {
				best, bestD = k, d
			}
		}
		if best < 0 {
			missed++
			continue
		}
		used[best] = true
		f1 := wordF1(got[best], w.Text)
		if f1 < c.words || bestD > c.off || got[best].Turn != w.Turn {
			t.Errorf("%s: slip %d has word F1 %.3f, at least %.2f is wanted; its outline is off by %.3f, at most %.2f; it is turned by %d, want %d",
				drawn.Name, i, f1, c.words, bestD, c.off, got[best].Turn, w.Turn)
		}
		t.Logf("%s: slip %d word F1 %.3f, outline off by %.3f", drawn.Name, i, f1, bestD)
	}
	for k := range got {
		if !used[k] && len(slipWords(got[k])) > 0 {
			extra++
		}
	}
	return missed, extra
}
