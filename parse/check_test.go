package parse

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tankroll/record"
)

// The threshold of inventory control: 1 % of the flow-through plus 130 gal,
// 40 CFR 280.43(a) (seen in the pre-2015 text).
func TestAllowance(t *testing.T) {
	for _, c := range []struct{ sold, want float64 }{{0, 130}, {10000, 230}, {47123, 601.23}} {
		if got := allowance(c.sold, "gal"); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("allowance(%v gal) = %v, want %v", c.sold, got, c.want)
		}
	}
	// 130 gal in litres, at 231 cubic inches a gallon.
	if got := allowance(0, "L"); math.Abs(got-492.10353192) > 1e-6 {
		t.Errorf("allowance(0 L) = %v", got)
	}
}

// doubted reads a typed slip and tells which fields of its first record are
// doubted.
func doubted(t *testing.T, text string) (record.Record, map[string]string) {
	t.Helper()
	r := Slip(Typed(text)[0], Hints{})
	if len(r.Records) == 0 {
		t.Fatalf("no record in:\n%s", text)
	}
	out := map[string]string{}
	for _, d := range r.Records[0].Doubts {
		out[d.Field] += d.Why + "; "
	}
	return r.Records[0], out
}

// Verdicts against the threshold, California LG 139-2 (19 May 2003): below it
// passes, at or above it fails, and a gain counts like a loss.
func TestVerdict(t *testing.T) {
	for _, c := range []struct {
		rate, threshold, result string
		doubt                   bool
	}{
		{"-0.049", "0.050", "PASS", false}, {"-0.050", "0.050", "PASS", true}, {"0.050", "0.050", "FAIL", false},
		{"0.049", "0.050", "FAIL", true}, {"0.120", "0.050", "PASS", true}, {"-0.120", "0.050", "FAIL", false},
		{"0.120", "0.050", "INCONCLUSIVE", false},
	} {
		_, d := doubted(t, fmt.Sprintf("TANK LEAK TEST\nTANK 1 REGULAR\nTEST RATE 0.1 GAL/H\nLEAK RATE %s GAL/H\nTHRESHOLD %s GAL/H\nRESULT %s\n", c.rate, c.threshold, c.result))
		if (d["result"] != "") != c.doubt {
			t.Errorf("%s against %s, %s: doubt %q, want one: %v", c.rate, c.threshold, c.result, d["result"], c.doubt)
		}
	}
}

// The column algebra of inventory control: closing book = opening - pumped +
// delivered, over or short = closing stick - closing book (Maine DEP UST-08).
func TestBooks(t *testing.T) {
	slip := "RECONCILIATION\nTANK 1 REGULAR\nOPENING 4,255 GAL\nDELIVERED 33,090 GAL\nSOLD 29,191 GAL\nCLOSING 7,633 GAL\nOVER/SHORT %s GAL\nALLOWED 422 GAL\nRESULT FAIL\n"
	r, d := doubted(t, fmt.Sprintf(slip, "-521"))
	if len(d) > 0 {
		t.Errorf("the stock adds up, but: %v", d)
	}
	if v, _ := r.Fields["over_short"].Number(); v != -521 {
		t.Errorf("over_short %v", v)
	}
	_, d = doubted(t, fmt.Sprintf(slip, "-527"))
	for _, name := range []string{"opening", "delivered", "sold", "closing", "over_short"} {
		if !strings.Contains(d[name], "does not add up") {
			t.Errorf("%s: doubt %q, want one about the sum", name, d[name])
		}
	}
}

// misreadWord replaces a word of a slip, as a reader that is not sure of it.
func misreadWord(s record.Slip, was, is string, conf float64) record.Slip {
	for i, l := range s.Lines {
		words := append([]record.Word(nil), l.Words...)
		for k, w := range words {
			if w.Text == was {
				words[k].Text, words[k].Confidence = is, conf
			}
		}
		s.Lines[i].Words = words
	}
	return s
}

// One misread character is put right when the sum leaves no other reading; a
// word that was read well is not touched.
func TestRepair(t *testing.T) {
	const text = "INVENTORY\nTANK 1 REGULAR\nVOLUME 6,287 GAL\nULLAGE 3,713 GAL\nCAPACITY 10,000 GAL\n"
	f := Slip(misreadWord(Typed(text)[0], "6,287", "6,237", 0.8), Hints{}).Records[0].Fields["volume"]
	if v, _ := f.Number(); v != 6287 || f.Origin != record.Repaired || f.Text != "6,237" {
		t.Errorf("read badly: volume %v (%q) %s, want 6287 repaired", f.Value, f.Text, f.Origin)
	}
	r := Slip(misreadWord(Typed(text)[0], "6,287", "6,237", 1), Hints{}).Records[0]
	if f := r.Fields["volume"]; f.Origin != record.Printed || f.Sure {
		t.Errorf("read well: volume %v %s sure %v, want it as printed and doubted", f.Value, f.Origin, f.Sure)
	}
}

// Values that cannot be are never sure.
func TestImpossible(t *testing.T) {
	for _, c := range []struct{ text, field string }{
		{"TANK LEAK TEST\nTANK 1 REGULAR\nLEAK RATE 2,000.5 GAL/H\nRESULT FAIL\n", "leak_rate"},
		{"INVENTORY\nTANK 1 REGULAR\nVOLUME 6,287 GAL\nTEMPERATURE 900 F\n", "temperature"},
		{"INVENTORY\nTANK 1 REGULAR\nVOLUME 6,287,000 GAL\nHEIGHT 45.2 IN\n", "volume"},
		{"INVENTORY\nTANK 1 REGULAR\nVOLUME -287 GAL\nHEIGHT 45.2 IN\n", "volume"},
		{"TANK LEAK TEST\nTANK 1 REGULAR\nSTARTED 03/14/2025 05:00\nENDED 03/14/2025 01:00\nRESULT PASS\n", "ended_at"},
	} {
		r, d := doubted(t, c.text)
		if f := r.Fields[c.field]; f.Sure || d[c.field] == "" {
			t.Errorf("%s = %v sure %v, doubt %q:\n%s", c.field, f.Value, f.Sure, d[c.field], c.text)
		}
	}
}

// The order of day and month: one date with a day above 12 settles a slip, a
// hint settles it, else both orders stand in a doubt.
func TestDayAndMonth(t *testing.T) {
	slip := "TANK LEAK TEST\nTANK 1 REGULAR\nSTARTED %s 01:00\nENDED %s 05:00\nRESULT PASS\n"
	read := func(text string, h Hints) (record.Field, string) {
		rec := Slip(Typed(text)[0], h).Records[0]
		why := ""
		for _, d := range rec.Doubts {
			if d.Field == "ended_at" {
				why += d.Why
			}
		}
		return rec.Fields["ended_at"], why
	}
	for _, c := range []struct {
		start, end string
		h          Hints
		want       string
		sure       bool
	}{
		{"03/13/2025", "03/13/2025", Hints{}, "2025-03-13T05:00", true},
		{"12/03/2025", "13/03/2025", Hints{}, "2025-03-13T05:00", true},
		{"03/04/2025", "03/04/2025", Hints{}, "2025-03-04T05:00", false},
		{"03/04/2025", "03/04/2025", Hints{DayFirst: true, DayFirstKnown: true}, "2025-04-03T05:00", true},
		{"03/04/2025", "03/04/2025", Hints{DayFirstKnown: true}, "2025-03-04T05:00", true},
		{"05/05/2025", "05/05/2025", Hints{}, "2025-05-05T05:00", true},
		{"2025-03-04", "2025-03-04", Hints{}, "2025-03-04T05:00", true},
		{"4 MAR 2025", "4 MAR 2025", Hints{}, "2025-03-04T05:00", true},
	} {
		f, why := read(fmt.Sprintf(slip, c.start, c.end), c.h)
		if f.String() != c.want || f.Sure != c.sure || (why != "") == c.sure {
			t.Errorf("%s to %s: %v sure %v (%s), want %s sure %v", c.start, c.end, f.Value, f.Sure, why, c.want, c.sure)
		}
	}
}
