package record

import (
	"encoding/json"
	"strings"
	"testing"
)

// TestMark: a mark reads back as it was written, and says in words where it lies.
func TestMark(t *testing.T) {
	for _, v := range []struct {
		mark      Mark
		json, say string
	}{
		{Mark{Kind: Handwriting, Box: Box{X: 1, Y: 2, W: 30, H: 40}, Sure: 0.5, Over: []int{3, 4, 5}},
			`{"kind":"handwriting","box":[1,2,30,40],"sure":0.5,"over":[3,4,5]}`, "written by hand on the slip, over lines 4-6"},
		{Mark{Kind: Stamp, Box: Box{X: 1, Y: 2, W: 3, H: 4, Part: 1}, Sure: 1},
			`{"kind":"stamp","box":[1,2,3,4],"sure":1,"part":1}`, "stamped on the slip"},
		{Mark{Kind: Stamp, Box: Box{W: 3, H: 4}, Over: []int{0}},
			`{"kind":"stamp","box":[0,0,3,4],"sure":0,"over":[0]}`, "stamped on the slip, over line 1"},
	} {
		raw, err := json.Marshal(v.mark)
		if err != nil || string(raw) != v.json {
			t.Errorf("%s, %v: want %s", raw, err, v.json)
		}
		var back Mark
		if err := json.Unmarshal(raw, &back); err != nil || back.Say() != v.say || back.Box != v.mark.Box || back.Kind != v.mark.Kind {
			t.Errorf("%s: %+v, %v, %q", raw, back, err, back.Say())
		}
	}
	raw, err := json.Marshal(Slip{Lines: []Line{}})
	if err != nil || strings.Contains(string(raw), "marks") {
		t.Errorf("a slip without marks writes %s, %v", raw, err)
	}
}
