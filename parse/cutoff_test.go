package parse_test

import (
	"strings"
	"testing"

	"tankroll/parse"
	"tankroll/record"
)

// TestCutAbove: the rest of a record whose beginning is off the picture must not
// pass for surely of the next one.
func TestCutAbove(t *testing.T) {
	const text = `ENDED 2026-03-05 05:55
LEAK RATE -0.016 GAL/HR
THRESHOLD 0.100 GAL/HR
RESULT PASSED
TANK 5 DIESEL
TEST RATE 0.2 GAL/HR
STARTED 2026-03-05 14:22
TANK 6 PREMIUM
TEST RATE 0.2 GAL/HR
STARTED 2026-03-06 03:55
ENDED 2026-03-06 05:55
LEAK RATE -0.011 GAL/HR
THRESHOLD 0.100 GAL/HR
RESULT PASSED`
	s := parse.Typed("TANK LEAK TEST\n" + text)[0]
	sure := func(r record.Report) (first, last int) {
		for name, f := range r.Records[0].Fields {
			if f.Sure {
				first++
				t.Logf("first: %s", name)
			}
		}
		for _, f := range r.Records[len(r.Records)-1].Fields {
			if f.Sure {
				last++
			}
		}
		return first, last
	}
	s.Paper.Top = record.EdgeCut
	r := parse.Slip(s, parse.Hints{})
	if len(r.Records) < 2 {
		t.Fatalf("%d records", len(r.Records))
	}
	if first, last := sure(r); first > 0 || last == 0 {
		t.Errorf("cut above: %d fields of the first record are sure, %d of the last", first, last)
	}
	s.Paper.Top = record.EdgeOpen // the paper runs off, the print does not
	for _, d := range parse.Slip(s, parse.Hints{}).Records[0].Doubts {
		if strings.Contains(d.Why, "runs off the picture") {
			t.Errorf("whole: doubt %s: %s", d.Field, d.Why)
		}
	}
}
