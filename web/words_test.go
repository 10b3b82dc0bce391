package web

import (
	"testing"

	"tankroll/record"
)

func TestAsked(t *testing.T) {
	r := record.Record{Fields: map[string]record.Field{
		"water_height": {Value: 0.82, Unit: "in"}, "result": {Value: "pass"},
	}}
	for name, want := range map[string]string{"water_height": "Water height 0.82\u00a0in", "leak_rate": "", "": ""} {
		if got := asked(r, name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}
