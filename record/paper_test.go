package record

import (
	"encoding/json"
	"testing"
)

// What is said of how sure the paper's state is stands in the JSON where a
// picture was seen, and not for typed text.
func TestPaperSure(t *testing.T) {
	for _, c := range []struct {
		paper Paper
		want  string
	}{
		{Paper{}, `{"ink":0,"end_of_roll":false,"cut_off":false,"blurred":false}`},
		{Paper{Ink: 0.5, Sure: PaperSure{Corners: 0.914, Turn: 0.999, Ink: 1, CutOff: 0.5, Blurred: 0.126}},
			`{"ink":0.5,"end_of_roll":false,"cut_off":false,"blurred":false,"sure":{"corners":0.91,"turn":1,"ink":1,"end_of_roll":0,"cut_off":0.5,"blurred":0.13}}`},
	} {
		got, err := json.Marshal(c.paper)
		if err != nil || string(got) != c.want {
			t.Errorf("got  %s (%v)\nwant %s", got, err, c.want)
		}
	}
	a, b := PaperSure{Corners: 0.9, Turn: 0.2}, PaperSure{Corners: 0.3, Turn: 0.8, Ink: 1}
	if got := a.Least(b); got != (PaperSure{Corners: 0.3, Turn: 0.2}) {
		t.Errorf("the less sure of two is %+v", got)
	}
}
