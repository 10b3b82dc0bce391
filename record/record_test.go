package record_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tankroll/record"
)

// TestJSON holds the form that scripts rely on: field order of the kind's
// table, boxes and points as arrays, no null lists.
func TestJSON(t *testing.T) {
	r := record.Record{Kind: record.TankTest, Fields: record.Fields{
		"result":    {Value: "pass", Text: "PASS", Box: record.Box{X: 5, Y: 6, W: 7, H: 8}, Confidence: 0.99, Sure: true, Origin: record.Printed},
		"leak_rate": {Value: -0.02, Unit: "gal/h", Text: "-0.02", Confidence: 1, Origin: record.Entered},
		"tank":      {Value: "2", Text: "T02", Box: record.Box{X: 1, Y: 2, W: 3, H: 4}, Confidence: 1, Sure: true, Origin: record.Printed},
	}}
	raw, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"kind":"tank_test","fields":{` +
		`"tank":{"value":"2","text":"T02","box":[1,2,3,4],"confidence":1,"sure":true,"origin":"printed"},` +
		`"leak_rate":{"value":-0.02,"unit":"gal/h","text":"-0.02","confidence":1,"sure":false,"origin":"entered"},` +
		`"result":{"value":"pass","text":"PASS","box":[5,6,7,8],"confidence":0.99,"sure":true,"origin":"printed"}},` +
		`"doubts":[],"box":[1,2,11,12]}`
	if d := cmp.Diff(want, string(raw)); d != "" {
		t.Error(d)
	}
	var back record.Record
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	again, err := json.Marshal(back)
	if err != nil {
		t.Fatal(err)
	}
	if string(again) != string(raw) {
		t.Errorf("read back and written again:\n%s\n%s", raw, again)
	}
}

// TestTextBoxes: a script finds the box of each line of text at the same place
// in its list; rules have neither text nor box, typed text has no boxes at all.
func TestTextBoxes(t *testing.T) {
	line := func(text string, b record.Box) record.Line {
		return record.Line{Words: []record.Word{{Text: text}}, Box: b}
	}
	for _, c := range []struct {
		name  string
		lines []record.Line
		want  string
	}{
		{"a rule between", []record.Line{
			line("TANK 2", record.Box{X: 1, Y: 2, W: 30, H: 4}),
			{Rule: true, Box: record.Box{X: 1, Y: 8, W: 30, H: 1}},
			line("PASS", record.Box{X: 1, Y: 12, W: 20, H: 4}),
		}, `"text":["TANK 2","PASS"],"text_boxes":[[1,2,30,4],[1,12,20,4]],`},
		{"typed", []record.Line{line("TANK 2", record.Box{})}, `"text":["TANK 2"],"header"`},
		{"no lines", nil, `"text":[],"header"`},
	} {
		raw, err := json.Marshal(record.Join(record.Slip{Lines: c.lines}, record.Report{}))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(raw), c.want) {
			t.Errorf("%s: %s is not in\n%s", c.name, c.want, raw)
		}
	}
}

// TestLetters: a script finds one number for each character of a line that is no
// space; a word whose text was put together of others has its own for each; where
// nobody asked there are none.
func TestLetters(t *testing.T) {
	word := func(text string, conf float64, letters ...float64) record.Word {
		return record.Word{Text: text, Confidence: conf, Letters: letters}
	}
	lines := func(w ...record.Word) []record.Line {
		return []record.Line{{Rule: true}, {Words: w}}
	}
	for _, c := range []struct {
		name  string
		lines []record.Line
		want  string
	}{
		{"each its own", lines(word("2°", 0.5, 0.9, 0.8), word("A", 0.5, 1)), `"letters":[[0.9,0.8,1]]`},
		{"put together", lines(word("12", 0.5, 0.9), word("A", 0.5, 1)), `"letters":[[0.5,0.5,1]]`},
	} {
		raw, err := json.Marshal(record.Join(record.Slip{Lines: c.lines}, record.Report{}))
		if err != nil || !strings.Contains(string(raw), c.want) {
			t.Errorf("%s: %s is not in (%v)\n%s", c.name, c.want, err, raw)
		}
	}
	if l := (record.Slip{Lines: lines(word("12", 0.5))}).Letters(); l != nil {
		t.Errorf("nobody asked: %v", l)
	}
}

func TestPointJSON(t *testing.T) {
	raw, err := json.Marshal([]record.Point{{X: 1.26, Y: -3.04}, {X: 0, Y: 10}})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := string(raw), `[[1.3,-3],[0,10]]`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestLineString(t *testing.T) {
	line := func(words ...record.Word) record.Line { return record.Line{Words: words} }
	w := func(col float64, text string) record.Word { return record.Word{Text: text, Col: col} }
	for _, c := range []struct {
		name, want string
		line       record.Line
	}{
		{"empty", "", line()},
		{"columns kept", "TANK      2", line(w(0, "TANK"), w(10, "2"))},
		{"indented", "  A B", line(w(2.2, "A"), w(3.8, "B"))},
		{"overlapping columns stay apart", "LONGWORD X", line(w(0, "LONGWORD"), w(4, "X"))},
	} {
		if got := c.line.String(); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
	if n := len(line(w(1e9, "FAR"), w(2e9, "OFF")).String()); n > 200 {
		t.Errorf("a wild column makes a line of %d characters", n)
	}
}

// TestSpecs checks the table of kinds against itself: every kind has fields,
// no field twice, codes where they belong, units where they belong.
func TestSpecs(t *testing.T) {
	for _, k := range record.Kinds() {
		seen := map[string]bool{}
		for _, s := range record.Specs(k) {
			if seen[s.Name] {
				t.Errorf("%s has %s twice", k, s.Name)
			}
			seen[s.Name] = true
			if (s.Type == record.Code) != (len(s.Codes) > 0) {
				t.Errorf("%s %s: codes %v do not go with its type", k, s.Name, s.Codes)
			}
			if s.Quantity != record.Plain && (s.Type != record.Number || len(s.Quantity.Units()) == 0) {
				t.Errorf("%s %s: quantity %q without number or units", k, s.Name, s.Quantity)
			}
		}
		if len(seen) == 0 {
			t.Errorf("%s has no fields", k)
		}
	}
	if record.Specs("teapot") != nil {
		t.Error("an unknown kind has fields")
	}
}

func TestAt(t *testing.T) {
	printed := &record.Field{Value: "2026-03-01T06:00"}
	r := record.Record{Kind: record.TankTest, Fields: record.Fields{"started_at": {Value: "2026-02-28T01:00"}}}
	if at, from := r.At(record.Header{PrintedAt: printed}); at != "2026-02-28T01:00" || from != "started_at" {
		t.Errorf("got %s from %s", at, from)
	}
	r.Fields["ended_at"] = record.Field{Value: "2026-02-28T03:00"}
	if at, from := r.At(record.Header{}); at != "2026-02-28T03:00" || from != "ended_at" {
		t.Errorf("got %s from %s", at, from)
	}
	if at, from := (record.Record{Kind: record.TankLimits}).At(record.Header{PrintedAt: printed}); at != "2026-03-01T06:00" || from != "printed_at" {
		t.Errorf("got %s from %s", at, from)
	}
}
