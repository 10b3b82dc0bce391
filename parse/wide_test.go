package parse_test

import (
	"testing"

	"tankroll/parse"
)

// TestWideLine: a line at double width has spaces as wide as its letters, and says the
// same as at normal width: two words of a product's name are not two cells.
func TestWideLine(t *testing.T) {
	const text = `TANK LEAK TEST
TANK 3 SUPER 93
START  11-12-25 12:27 PM
END    11-12-25 02:27 PM
RATE   0.2 GAL/HR
RESULT PASS
`
	for _, wide := range []bool{false, true} {
		s := parse.Typed(text)[0]
		if l := &s.Lines[1]; wide {
			l.Wide = true
			for i := range l.Words {
				l.Words[i].Col *= 2
				l.Words[i].Width *= 2
			}
		}
		r := parse.Slip(s, parse.Hints{})
		if len(r.Records) != 1 {
			t.Fatalf("wide %v: %d records", wide, len(r.Records))
		}
		for name, want := range map[string]string{"tank": "3", "product": "SUPER 93", "result": "pass"} {
			if f, ok := r.Records[0].Fields[name]; !ok || f.String() != want {
				t.Errorf("wide %v: %s is %q, want %q", wide, name, f.String(), want)
			}
		}
	}
}
