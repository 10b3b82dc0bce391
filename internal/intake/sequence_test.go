package intake

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tankroll/archive"
	"tankroll/parse"
	"tankroll/record"
)

// inventoryLines is a long printout, made up.
func inventoryLines() []string {
	out := []string{"QUARRY BEND FUEL", "STATION 114", "418 QUARRY BEND RD", "03/14/25 06:41 AM", "INVENTORY REPORT"}
	for i, v := range [][4]string{
		{"7342", "2658", "66.13", "61.42"}, {"3128", "4872", "41.77", "60.85"}, {"5561", "4439", "52.06", "59.97"}, {"1893", "2107", "38.29", "60.11"},
		{"6477", "3523", "57.34", "61.08"}, {"2719", "1281", "49.86", "58.73"},
	} {
		out = append(out, fmt.Sprintf("TANK %d DIESEL", i+1), "VOLUME = "+v[0]+" GAL", "ULLAGE = "+v[1]+" GAL", "HEIGHT = "+v[2]+" IN", "TEMP = "+v[3]+" DEG F")
	}
	return out
}

func limitLines() []string {
	out := []string{"QUARRY BEND FUEL", "STATION 114", "03/14/25 06:41 AM", "TANK LIMITS"}
	for i := range 6 {
		out = append(out, fmt.Sprintf("TANK %d DIESEL", i+1), fmt.Sprintf("CAPACITY %d473 GAL", 11+i), fmt.Sprintf("HIGH PRODUCT %d358 GAL", 10+i),
			fmt.Sprintf("LOW PRODUCT %d27 GAL", 11+i), fmt.Sprintf("DELIVERY NEEDED %d691 GAL", 2+i))
	}
	return out
}

// shown is a page with one slip of some lines, cut at the ends named.
func shown(lines []string, ends string) archive.Reading {
	s := parse.Typed(strings.Join(lines, "\n"))[0]
	for i := range s.Lines {
		s.Lines[i].Box = record.Box{X: 10, Y: 30 * i, W: 300, H: 20}
		for k := range s.Lines[i].Words {
			w := &s.Lines[i].Words[k]
			w.Box = record.Box{X: 10 + 10*int(w.Col), Y: 30 * i, W: 10 * int(w.Width), H: 20}
		}
	}
	if strings.Contains(ends, "top") {
		s.Paper.Top = record.EdgeCut
	}
	if strings.Contains(ends, "bottom") {
		s.Paper.Bottom = record.EdgeCut
	}
	s.Paper.CutOff = ends != ""
	return archive.Reading{Page: 1, Slips: []archive.SlipReading{{Slip: s, Report: parse.Slip(s, parse.Hints{})}}}
}

// run adds pages to a sequence and notes after each which came out.
func run(t *testing.T, pages ...archive.Reading) (given []record.Page, after []int) {
	t.Helper()
	q := NewSequence(func(_ context.Context, s record.Slip) (record.Report, error) {
		return parse.Slip(s, parse.Hints{}), nil
	},
		func(p record.Page) error { given = append(given, p); return nil })
	for i, p := range pages {
		if err := q.Add(t.Context(), string(rune('a'+i)), []byte{byte(i)}, false, p); err != nil {
			t.Fatal(err)
		}
		after = append(after, len(given))
	}
	if err := q.End(t.Context()); err != nil {
		t.Fatal(err)
	}
	for i, p := range given {
		if p.File != string(rune('a'+i)) {
			t.Errorf("page %d is %s: out of order", i, p.File)
		}
	}
	if len(given) != len(pages) {
		t.Fatalf("%d pages given, %d added", len(given), len(pages))
	}
	return given, after
}

func TestSequence(t *testing.T) {
	inv, lim := inventoryLines(), limitLines()
	whole := shown(inv, "")
	for _, c := range []struct {
		name  string
		pages []archive.Reading
		after []int    // pages that are out after each one came in
		parts []string // of the slip on each page: the files it was joined of, "> file" when joined into that, "? file" when unsure
	}{
		{"whole slips are given at once", []archive.Reading{whole, whole, whole}, []int{1, 2, 3}, []string{"", "", ""}},
		{"two pictures", []archive.Reading{shown(inv[:22], "bottom"), shown(inv[16:], "top")}, []int{0, 2}, []string{"a b", "> a"}},
		{"from the bottom up", []archive.Reading{shown(inv[16:], "top"), shown(inv[:22], "bottom")}, []int{0, 2}, []string{"> b", "b a"}},
		{"three pictures", []archive.Reading{shown(inv[:16], "bottom"), shown(inv[10:26], "top bottom"), shown(inv[20:], "top")}, []int{0, 0, 3},
			[]string{"a b c", "> a", "> a"}},
		{"three from the bottom up", []archive.Reading{shown(inv[20:], "top"), shown(inv[10:26], "top bottom"), shown(inv[:16], "bottom")}, []int{0, 0, 3},
			[]string{"> c", "> c", "c b a"}},
		{"another slip between", []archive.Reading{shown(inv[:22], "bottom"), whole, shown(inv[16:], "top")}, []int{0, 2, 2}, []string{"", "", ""}},
		{"a gap", []archive.Reading{shown(inv[:18], "bottom"), shown(inv[20:], "top")}, []int{0, 1}, []string{"", ""}},
		{"too little on both", []archive.Reading{shown(inv[:18], "bottom"), shown(inv[16:], "top")}, []int{0, 1}, []string{"? b", "? a"}},
		{"limits say the same each time", []archive.Reading{shown(lim[:24], "bottom"), shown(lim[14:], "top")}, []int{0, 1}, []string{"? b", "? a"}},
		{"nothing was read", []archive.Reading{shown(inv[:22], "bottom"), {Page: 1, Error: "no print"}, shown(inv[16:], "top")}, []int{0, 2, 2}, []string{"", "-", ""}},
	} {
		given, after := run(t, c.pages...)
		if !slices.Equal(after, c.after) {
			t.Errorf("%s: pages out after each: %v, want %v", c.name, after, c.after)
		}
		for i, p := range given {
			got := "-"
			if len(p.Slips) > 0 {
				got = links(p.Slips[0])
			}
			if got != c.parts[i] {
				t.Errorf("%s: page %d: %q, want %q", c.name, i+1, got, c.parts[i])
			}
		}
		records := 0
		for _, p := range given {
			for _, s := range p.Slips {
				records += len(s.Records)
			}
		}
		if c.parts[0] == "a b" || c.parts[0] == "a b c" || strings.HasPrefix(c.parts[0], ">") {
			if want := len(whole.Slips[0].Report.Records); records != want {
				t.Errorf("%s: %d records, the printout has %d", c.name, records, want)
			}
		}
	}
}

func links(s record.ReadSlip) string {
	var out []string
	for _, p := range s.Parts {
		out = append(out, p.File)
	}
	if s.JoinedInto != nil {
		out = append(out, "> "+s.JoinedInto.File)
	}
	for _, r := range s.MayGoOn {
		out = append(out, "? "+r.File)
	}
	return strings.Join(out, " ")
}

// TestTableGoesOn: a record that begins on one picture and ends on the next is
// whole, and each field says where it stands.
func TestTableGoesOn(t *testing.T) {
	inv := inventoryLines()
	given, _ := run(t, shown(inv[:23], "bottom"), shown(inv[17:], "top"))
	s := given[0].Slips[0]
	if s.Paper.CutOff {
		t.Error("the joined slip is called cut off")
	}
	both := 0
	for _, r := range s.Records {
		if r.Kind != record.Inventory || r.Text("tank") == "" || r.Fields["volume"].Value == nil || r.Fields["temperature"].Value == nil {
			t.Errorf("not whole: %v", r.Fields)
		}
		for name, f := range r.Fields {
			if f.Box.Part < 0 || f.Box.Part > 1 {
				t.Errorf("%s lies on part %d", name, f.Box.Part)
			}
		}
		if len(r.Areas()) == 2 {
			both++
		}
	}
	if both != 1 {
		t.Errorf("%d records stand on both pictures, want 1", both)
	}
}
