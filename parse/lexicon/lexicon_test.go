package lexicon

import "testing"

func TestLookup(t *testing.T) {
	for _, c := range []struct {
		sense  Sense
		phrase string
		want   string
	}{
		{Grade, "DIESEL", "diesel"}, {Grade, "D1ESEL", "diesel"}, {Grade, "D|E5EL", "diesel"}, {Grade, "Reg Unleaded", "regular"},
		{Grade, "ULSD #2", "diesel"}, {Grade, "88", "e15"}, {Grade, "B8", "e15"}, {Grade, "98", "premium"}, {Grade, "K-1", "kerosene"},
		{Result, "PASS", "pass"}, {Result, "PAS5ED", "pass"}, {Result, "NOT TIGHT", "fail"}, {Result, "TIGHT", "pass"},
		{Result, "FA1LED", "fail"}, {Result, "INCONCLUS1VE", "inconclusive"}, {Result, "ABORTED", "aborted"},
		{Kind, "tank leak test", "tank_test"}, {Kind, "piping test", "line_test"}, {Kind, "D ELIVERY", "delivery"},
		{Device, "snsr", "sensor"}, {Unit, "GPH", "gal/h"}, {Unit, "gal/hr", "gal/h"}, {Unit, "°F", "degf"},
		{Month, "MAR", "3"}, {Part, "thresho1d", "threshold"}, {FieldLabel, "leak rate", "leak_rate"}, {FieldLabel, "ullage", "ullage"},
		{TestClass, "monthly", "0.2"}, {TestClass, ".2", "0.2"}, {TestClass, "11.4", "3.0"},
		{SensorState, "normal", "normal"}, {AlarmState, "CLEARED", "cleared"}, {Method, "static", "static"},
		// Too far or too short to tell.
		{Grade, "86", ""}, {Grade, "x", ""}, {Result, "pa", ""}, {Result, "", ""}, {Unit, "q", ""},
		{TestClass, "0.8", ""}, {TestClass, "0.3", ""},
	} {
		got, cost, ok := Default().Lookup(c.sense, c.phrase)
		if got != c.want || ok != (c.want != "") {
			t.Errorf("Lookup(%s, %q) = %q, %.2f, %v; want %q", c.sense, c.phrase, got, cost, ok, c.want)
		}
	}
}

// TestBits: each sense has a bit of its own.
func TestBits(t *testing.T) {
	var all Senses
	for _, s := range senses {
		if b := s.Bit(); b == 0 || all&b != 0 {
			t.Errorf("%s has bit %b, others have %b", s, b, all)
		}
		all |= s.Bit()
	}
}
