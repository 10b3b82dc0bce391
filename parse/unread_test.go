package parse_test

import (
	"testing"

	"tankroll/parse"
)

// A line whose own label was hardly read takes its value along and no other: the
// lines beside it stay as sure as they are without it.
func TestUnreadLabel(t *testing.T) {
	const text = `HOLLOW LANE
SITE NO. 12
TANK LEAK TEST
TANK 3  DIESEL
TEST RATE ........... 0.2 GAL/HR
START VOLUME ......... 7,631 GAL
W#T#R D=PTH ............ 0.30 IN
LEAK RATE ........ -0.008 GAL/HR
RESULT .................. PASSED
PRINTED 2026-07-09 06:49`
	slip := parse.Typed(text)[0]
	faint := 0
	for i := range slip.Lines {
		for k := range slip.Lines[i].Words {
			if w := &slip.Lines[i].Words[k]; w.Text == "W#T#R" || w.Text == "D=PTH" {
				w.Confidence, faint = 0.4, faint+1
			}
		}
	}
	if faint != 2 {
		t.Fatalf("%d faint words, want 2", faint)
	}
	r := parse.Slip(slip, parse.Hints{})
	if len(r.Records) != 1 {
		t.Fatalf("%d records, want 1", len(r.Records))
	}
	for _, name := range []string{"tank", "test_rate", "start_volume", "leak_rate", "result"} {
		if f, ok := r.Records[0].Fields[name]; !ok || !f.Sure {
			t.Errorf("%s is %+v, want it sure; doubts %v", name, f, r.Records[0].Doubts)
		}
	}
}
