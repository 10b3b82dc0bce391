package parse_test

import (
	"testing"

	"tankroll/parse"
)

// TestSaidState: the "On" of a sentence is no state, and what was done to an alarm is not its text.
func TestSaidState(t *testing.T) {
	for text, sure := range map[string]bool{
		"On 03/14/25 7:15 AM tank 2\nHIGH WATER was cleared.\n": false,
		"03/14/25 7:15 AM  TANK 2  HIGH WATER   ON\n":           true,
		"On   03/14/25 7:15 AM   Tank 2   High water\n":         true,
	} {
		r := readTyped("MILL END FUELS\nSITE NO. 12\nALARM HISTORY\n\n"+text, parse.Hints{})
		if len(r.Records) != 1 {
			t.Errorf("%q: %d records", text, len(r.Records))
			continue
		}
		if f := r.Records[0].Fields["state"]; f.Sure != sure || f.Sure && f.Value != "raised" {
			t.Errorf("%q: state %v, sure %v, want sure %v; %v", text, f.Value, f.Sure, sure, r.Records[0].Doubts)
		}
	}
}
