package lexicon

import "testing"

// TestWith: a taught word means what was taught, also where it means something else by
// default, and what cannot be taught is refused with the reason.
func TestWith(t *testing.T) {
	l, err := With([]Word{{SensorState, "normal", "OPEN"}, {Part, "water+volume", "puddle"}, {Grade, "e85", "rocket"}})
	if err != nil {
		t.Fatal(err)
	}
	for phrase, want := range map[string]struct {
		sense Sense
		code  string
	}{"open": {SensorState, "normal"}, "Puddle": {Part, "water+volume"}, "rocket": {Grade, "e85"}, "regular": {Grade, "regular"}} {
		if code, cost, ok := l.Lookup(want.sense, phrase); code != want.code || cost != 0 || !ok {
			t.Errorf("%q means %s %q at %v, want %q", phrase, want.sense, code, cost, want.code)
		}
	}
	if code, _, _ := Default().Lookup(SensorState, "open"); code != "out" {
		t.Errorf("by default open means %q", code)
	}
	for name, w := range map[string]Word{
		"too short": {Result, "pass", "ok"}, "no letters": {Result, "pass", "1234"}, "no code": {Result, "perhaps", "maybe so"},
		"no part": {Part, "water+colour", "puddle"}, "no sense": {"smell", "bad", "rotten eggs"}, "filler": {Filler, "filler", "whatever"},
		"too long": {Result, "pass", "a very long word that nobody would print on a slip of paper"},
	} {
		if _, err := With([]Word{w}); err == nil {
			t.Errorf("%s: %v was taught", name, w)
		}
	}
}
