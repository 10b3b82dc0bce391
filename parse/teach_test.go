package parse_test

import (
	"slices"
	"strings"
	"testing"

	"tankroll/parse"
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// strange is a slip with a label and a result that the grammar does not know.
const strange = `MARLOW CORNER FUELS
SITE NO. 9
PRINTED 14-MAR-2026 06:46

TANK LEAK TEST
TANK 3   DIESEL
TEST RATE ....... 0.2 GAL/HR
ENDED ........... 14-MAR-2026 05:55
SNOOKER ......... 5123 GAL
LEAK RATE ....... -0.016 GAL/HR
RESULT .......... HUNKY DORY
`

// guessable is the slip with a result that is guessed from one word of two.
var guessable = strings.Replace(strange, "HUNKY DORY", "QUITE SOUND", 1)

// TestTeaches: what a person says of a field teaches the word for it, and nothing is
// taught by what is read surely or by what no word makes the grammar read.
func TestTeaches(t *testing.T) {
	slip := parse.Typed(strange)[0]
	volume := parse.Said{Kind: record.TankTest, Field: "start_volume", Value: record.Field{Value: 5123.0, Unit: "gal"}}
	result := parse.Said{Kind: record.TankTest, Field: "result", Value: record.Field{Value: "pass"}, Text: "HUNKY DORY"}
	for name, c := range map[string]struct {
		said parse.Said
		want []lexicon.Word
	}{
		"label":            {volume, []lexicon.Word{{Sense: lexicon.Part, Code: "start+volume", Spelling: "snooker"}}},
		"code":             {result, []lexicon.Word{{Sense: lexicon.Result, Code: "pass", Spelling: "hunky dory"}}},
		"read surely":      {parse.Said{Kind: record.TankTest, Field: "leak_rate", Value: record.Field{Value: -0.016, Unit: "gal/h"}, Text: "-0.016"}, nil},
		"not on the slip":  {parse.Said{Kind: record.TankTest, Field: "end_volume", Value: record.Field{Value: 4711.0, Unit: "gal"}}, nil},
		"behind its label": {parse.Said{Kind: record.TankTest, Field: "result", Value: record.Field{Value: "fail"}}, []lexicon.Word{{Sense: lexicon.Result, Code: "fail", Spelling: "hunky dory"}}},
		"no word for it":   {parse.Said{Kind: record.TankTest, Field: "method", Value: record.Field{Value: "static"}}, nil},
		"of another kind":  {parse.Said{Kind: record.Delivery, Field: "delivered", Value: record.Field{Value: 5123.0, Unit: "gal"}}, nil},
		"no field of any":  {parse.Said{Kind: record.TankTest, Field: "colour", Value: record.Field{Value: "red"}}, nil},
		"a letter or two":  {parse.Said{Kind: record.TankTest, Field: "result", Value: record.Field{Value: "pass"}, Text: "OK"}, nil},
		"figures, no word": {parse.Said{Kind: record.TankTest, Field: "result", Value: record.Field{Value: "pass"}, Text: "123"}, nil},
	} {
		got := parse.Teaches(slip, parse.Hints{}, nil, c.said)
		if len(got) != len(c.want) || len(got) > 0 && got[0] != c.want[0] {
			t.Errorf("%s: taught %v, want %v", name, got, c.want)
		}
	}
	guessed := parse.Typed(guessable)[0]
	if f := parse.Slip(guessed, parse.Hints{}).Records[0].Fields["result"]; f.Text != "SOUND" || f.Sure {
		t.Fatalf("the result is %q, sure %v, and should be guessed by one word", f.Text, f.Sure)
	}
	want := []lexicon.Word{{Sense: lexicon.Result, Code: "pass", Spelling: "quite sound"}}
	if got := parse.Teaches(guessed, parse.Hints{}, nil, parse.Said{Kind: record.TankTest, Field: "result", Value: record.Field{Value: "pass"}, Text: "SOUND"}); !slices.Equal(got, want) {
		t.Errorf("guessed by one word of two: taught %v, want %v", got, want)
	}
	if again := parse.Teaches(slip, parse.Hints{}, []lexicon.Word{{Sense: lexicon.Result, Code: "pass", Spelling: "hunky dory"}}, result); again != nil {
		t.Errorf("a word that is known is taught again: %v", again)
	}
}

// TestTaughtWords: a slip is read with the words of its site, and without them as before.
func TestTaughtWords(t *testing.T) {
	lex, err := lexicon.With([]lexicon.Word{{Sense: lexicon.Part, Code: "start+volume", Spelling: "Snooker"}, {Sense: lexicon.Result, Code: "pass", Spelling: "HUNKY DORY"}})
	if err != nil {
		t.Fatal(err)
	}
	slip := parse.Typed(strange)[0]
	plain := parse.Slip(slip, parse.Hints{})
	with := parse.Slip(slip, parse.Hints{Lexicon: lex})
	if f := with.Records[0].Fields["start_volume"]; f.Value != 5123.0 || !f.Sure {
		t.Errorf("the volume reads %v, sure %v", f.Value, f.Sure)
	}
	if f := with.Records[0].Fields["result"]; f.Value != "pass" || !f.Sure {
		t.Errorf("the result reads %v, sure %v", f.Value, f.Sure)
	}
	if again := parse.Slip(slip, parse.Hints{}); plainReport(again) != plainReport(plain) {
		t.Errorf("words of one site serve another:\n%s\n%s", plainReport(again), plainReport(plain))
	}
	for text, c := range map[string]struct{ spelling, want string }{
		strange:   {"HUNKY DORY", "tank test tank 3: result was nothing, would be pass"},
		guessable: {"QUITE SOUND", "tank test tank 3: result was pass ?, would be pass"},
	} {
		lex, err := lexicon.With([]lexicon.Word{{Sense: lexicon.Result, Code: "pass", Spelling: c.spelling}})
		if err != nil {
			t.Fatal(err)
		}
		told := ""
		for _, change := range parse.Changes(parse.Typed(text)[0], parse.Hints{}, nil, lex) {
			if change.Field == "result" {
				told = change.String()
			}
		}
		if told != c.want {
			t.Errorf("told %q, want %q", told, c.want)
		}
	}
}
