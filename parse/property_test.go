package parse_test

import (
	"reflect"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"tankroll/fixtures/console"
	"tankroll/parse"
	"tankroll/record"
)

// FuzzTyped: any text gives a report, and what is in it holds together.
func FuzzTyped(f *testing.F) {
	f.Add("TANK LEAK TEST\nTANK 1 REGULAR\nRESULT: PASS\n")
	f.Add("")
	f.Add("\f\f")
	f.Add("Number  -  415\n")
	f.Add("HILL FARM FUELS   1 250 L   #415\n12 MAIN STREET\nTANK LEAK TEST\nTANK 1\nRESULT PASS\n")
	f.Add("1 250 L / BROOK LANE / CY-12\nTANK 1\nRESULT PASS\n")
	f.Add("|||\n---\n(((\n)))\n1 2 3\n.,.,.,\n")
	f.Add("TANK      1    2\nVOLUME   12   34\nDATE 02/30/2025 25:61\n")
	f.Add("ALARMS   LATEST FIRST\n\nNOV 16/93\n   13:55  HIGH WATER       ON\n   04:12  LOW FUEL        OFF\nNOV 13/93\n   03:40  PROBE FAULT     KAL\nNOV 11/93\n   21:16  PROBE FAULT      ON\n")
	f.Add(strings.Repeat("TANK ", 60))
	printouts("fit", 1, func(p console.Printout, k record.Kind, seed uint64) { f.Add(p.Text()) })
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 4000 {
			t.Skip("long input has its own test")
		}
		for _, s := range parse.Typed(text) {
			holds(t, parse.Slip(s, parse.Hints{Now: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)}))
		}
	})
}

// holds checks what must be true of every report.
func holds(t *testing.T, r record.Report) {
	t.Helper()
	for _, rec := range r.Records {
		if len(rec.Fields) == 0 {
			t.Errorf("%s: a record without fields", rec.Kind)
		}
		doubted := map[string]bool{}
		for _, d := range rec.Doubts {
			doubted[d.Field] = true
			if d.Why == "" {
				t.Errorf("%s.%s: a doubt without words", rec.Kind, d.Field)
			}
		}
		for name, f := range rec.Fields {
			spec, ok := record.Spec(rec.Kind, name)
			if !ok {
				t.Errorf("%s has no field %q", rec.Kind, name)
			}
			if f.Confidence < 0 || f.Confidence > 1 {
				t.Errorf("%s.%s: confidence %v", rec.Kind, name, f.Confidence)
			}
			if !f.Sure && !doubted[name] {
				t.Errorf("%s.%s is not sure but has no doubt", rec.Kind, name)
			}
			if f.Sure && doubted[name] {
				t.Errorf("%s.%s is sure in spite of a doubt", rec.Kind, name)
			}
			checkValue(t, rec.Kind, spec, f)
		}
	}
}

func checkValue(t *testing.T, k record.Kind, spec record.FieldSpec, f record.Field) {
	t.Helper()
	switch spec.Type {
	case record.Number:
		if _, ok := f.Number(); !ok {
			t.Errorf("%s.%s = %v is no number", k, spec.Name, f.Value)
		}
		for _, u := range spec.Quantity.Units() {
			if u == f.Unit {
				return
			}
		}
		if len(spec.Quantity.Units()) > 0 || f.Unit != "" {
			t.Errorf("%s.%s: unit %q is none of %v", k, spec.Name, f.Unit, spec.Quantity.Units())
		}
	case record.Code:
		for _, c := range spec.Codes {
			if c == f.String() {
				return
			}
		}
		t.Errorf("%s.%s = %v is none of %v", k, spec.Name, f.Value, spec.Codes)
	case record.Time:
		for _, layout := range []string{"2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02"} {
			if _, err := time.Parse(layout, f.String()); err == nil {
				return
			}
		}
		t.Errorf("%s.%s = %v is no time", k, spec.Name, f.Value)
	default:
		if f.String() == "" {
			t.Errorf("%s.%s is empty", k, spec.Name)
		}
	}
}

// TestLongInput: what goes beyond the limits is left unread, so that no input
// makes the grammar slow. A generous time stands for "does not hang".
func TestLongInput(t *testing.T) {
	for name, line := range map[string]string{
		"pairs":  "TANK 1 REGULAR VOLUME 5,123 GAL HEIGHT 45.2 IN WATER 0.0 IN TEMP 58.2 F RESULT: PASS",
		"labels": strings.Repeat("start volume high water leak ", 8),
	} {
		s := parse.Typed(strings.Repeat(line+"\n", 10000))[0]
		if len(s.Lines) != 10000 {
			t.Fatalf("typed %d lines", len(s.Lines))
		}
		done := make(chan record.Report, 1)
		go func() { done <- parse.Slip(s, parse.Hints{}) }()
		select {
		case r := <-done:
			if len(r.Records) > parse.MaxLines {
				t.Errorf("%s: %d records from 10,000 lines; at most %d lines are read", name, len(r.Records), parse.MaxLines)
			}
		case <-time.After(2 * time.Minute):
			t.Fatalf("%s: still at it after two minutes", name)
		}
	}
}

// TestOrderOfSlips: what a slip says does not depend on the slips before it.
func TestOrderOfSlips(t *testing.T) {
	var slips []record.Slip
	printouts("fit", 1, func(p console.Printout, k record.Kind, seed uint64) { slips = append(slips, parse.Typed(p.Text())...) })
	first := make([]record.Report, len(slips))
	for i, s := range slips {
		first[i] = parse.Slip(s, parse.Hints{})
	}
	for i := len(slips) - 1; i >= 0; i-- {
		if got := parse.Slip(slips[i], parse.Hints{}); !reflect.DeepEqual(got, first[i]) {
			t.Fatalf("slip %d says something else the second time:\n%s\n%s", i, plainReport(got), plainReport(first[i]))
		}
	}
}

// BenchmarkSlip reads one printout of each kind of every console of part fit a round.
func BenchmarkSlip(b *testing.B) {
	// Memory is collected as seldom as tankroll does when it reads (cmd/tankroll/importing.go).
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	var slips []record.Slip
	printouts("fit", 1, func(p console.Printout, k record.Kind, seed uint64) { slips = append(slips, parse.Typed(p.Text())...) })
	b.ReportAllocs()
	for b.Loop() {
		for _, s := range slips {
			parse.Slip(s, parse.Hints{})
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N*len(slips)), "ms/slip")
}
