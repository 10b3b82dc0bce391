package web

import (
	"testing"

	"tankroll/archive"
	"tankroll/record"
)

// TestTroubleOf: what a picture lacks is said in the words that help most.
func TestTroubleOf(t *testing.T) {
	slip := func(p record.Paper) []archive.SlipReading {
		return []archive.SlipReading{{Slip: record.Slip{Paper: p}}}
	}
	for name, c := range map[string]struct {
		reading archive.Reading
		want    string
	}{
		"nothing found":     {archive.Reading{Error: "no printed slip found"}, "take it again: nothing could be read"},
		"no slips":          {archive.Reading{}, "take it again: nothing could be read"},
		"blurred, no text":  {archive.Reading{Error: "blurred", Slips: slip(record.Paper{Blurred: true})}, "take it again: blurred"},
		"blurred":           {archive.Reading{Slips: slip(record.Paper{Blurred: true})}, "take it again: blurred"},
		"cut off":           {archive.Reading{Slips: slip(record.Paper{CutOff: true})}, "take it again: cut off"},
		"all of it is read": {archive.Reading{Slips: slip(record.Paper{})}, ""},
	} {
		if got := troubleOf(archive.Capture{Read: true}, []archive.Reading{c.reading}); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
	if got := troubleOf(archive.Capture{}, nil); got != "kept, not read yet" {
		t.Errorf("not read: %q", got)
	}
}
