package record

import (
	"encoding/json"
	"reflect"
	"testing"
)

// TestScanner: what the scanner takes it reads as encoding/json does, and what
// MarshalJSON writes of plain text it takes.
func TestScanner(t *testing.T) {
	full := Record{Kind: TankTest, Fields: Fields{
		"tank":      {Value: "2", Text: "Z", Box: Box{1, 2, 3, 4, 0}, Confidence: 0.987654321, Sure: true, Origin: Printed},
		"leak_rate": {Value: -0.0125, Unit: "gal/h", Text: "-.0125", Box: Box{1, 2, 3, 4, 2}, Confidence: 1e-7, Origin: Entered},
		"product":   {Value: "Ünleaded °", Text: "x"},
	}, Doubts: []Doubt{{"tank", "cut off above"}, {"", "all of it"}}}
	raw, err := json.Marshal(full)
	if err != nil {
		t.Fatal(err)
	}
	s := scanner{raw: raw, ok: true}
	if s.record(); !s.ok {
		t.Errorf("not taken: %s", raw)
	}
	cases := []string{string(raw), `{}`, `null`, ``, `{"kind":"alarm","fields":{},"doubts":[]}`, `{"kind":"alarm","fields":null,"doubts":null}`,
		`{"kind":"al\u0061rm","fields":{"a":{"value":"\"","text":"\\"}}}`, `{ "kind" : "alarm" }`, `{"kind":"alarm","more":[1,{"a":2}]}`,
		`{"kind":"alarm","fields":{"a":{"value":true}}}`, `{"kind":"alarm","fields":{"a":{"value":null,"sure":true}}}`, `{"kind":"alarm","fields":{"a":{"value":1,"box":[1,2,3]}}}`,
		`{"kind":"alarm","fields":{"a":{"value":1,"box":[1,2,3,4],"part":1}},"box":[9,8,7,6],"part":2}`, `{"kind":"alarm"}x`, `{"kind":"alarm"`, `{"kind":"alarm",}`,
		`{"kind":3}`, `{"kind":"alarm","doubts":[{"field":"a","why":"b"},]}`, `{"fields":{"a":{"value":"` + "\xff" + `"}}}`, `{"fields":{"a":{"box":[1.5,2,3,4]}}}`}
	for _, c := range cases {
		checkScanner(t, []byte(c))
	}
}

func checkScanner(t *testing.T, raw []byte) {
	t.Helper()
	s := scanner{raw: raw, ok: true}
	got := s.record()
	if !s.ok {
		return
	}
	var want Record
	if err := want.unmarshalAny(raw); err != nil {
		t.Errorf("%s: taken, but %v", raw, err)
	} else if !reflect.DeepEqual(got, want) {
		t.Errorf("%s:\n%+v, want\n%+v", raw, got, want)
	}
}

// TestWordsOf: what is taken gives the words that encoding/json gives.
func TestWordsOf(t *testing.T) {
	full := Slip{Lines: []Line{
		{Words: []Word{{Text: "TANK", Col: 1.5, Box: Box{1, 2, 3, 4, 0}, Alternatives: []Alternative{{Text: "T4NK"}}}, {Text: "2 °"}}, Wide: true},
		{Rule: true, Words: []Word{{Text: "-----"}}}, {}, {Words: []Word{{Text: "END"}}}}, Parts: []Part{{Turn: 90}}}
	raw, err := json.Marshal(full)
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := WordsOf(raw); !ok {
		t.Errorf("not taken: %s", raw)
	}
	cases := []string{string(raw), `{}`, `{"lines":null}`, `{"lines":[]}`, `{"lines":[{"words":null}]}`, ``, `[]`, `{"lines":[{"words":[{"text":"a\"b"}]}]}`,
		`{"other":"]}\"","lines":[{"words":[{"more":[1,{"a":"}"}],"text":"a"}],"rule":false}]}`, `{"lines":[{"words":[{"text":"a"}]}]`, `{"lines":[{"words":[{"text":"a"}]}]}x`,
		`{"lines":[{"words":[{"text":"a","box":[1,2}]}]}`, `{ "lines" : [] }`}
	for i := range raw {
		cases = append(cases, string(raw[:i]))
	}
	for _, c := range cases {
		got, ok := WordsOf([]byte(c))
		var want Slip
		if err := json.Unmarshal([]byte(c), &want); !ok || err != nil {
			if ok && c != `{"lines":[{"words":[{"text":"a","box":[1,2}]}]}` { // brackets are only counted
				t.Errorf("%s: taken, but %v", c, err)
			}
			continue
		}
		var lines [][]string
		for _, l := range want.Lines {
			if l.Rule {
				continue
			}
			var words []string
			for _, w := range l.Words {
				words = append(words, w.Text)
			}
			lines = append(lines, words)
		}
		if !reflect.DeepEqual(got, lines) {
			t.Errorf("%s:\n%q, want\n%q", c, got, lines)
		}
	}
}
