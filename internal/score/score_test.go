package score

import (
	"testing"

	"tankroll/record"
)

func TestWords(t *testing.T) {
	got := CountWords([]string{"TANK 2  PASS", "------"}, []string{"TANK 2 PA5S", "..."})
	if want := (Words{3, 3, 2}); got != want {
		t.Fatalf("got %+v, want %+v", got, want)
	}
	if f := got.F1(); f < 0.66 || f > 0.67 {
		t.Errorf("F1 = %v, want 2/3", f)
	}
}

func field(v any, sure bool) record.Field { return record.Field{Value: v, Sure: sure} }

// TestFields checks that a wrong sure field, an invented one, a missing one and
// an invented record each land in their own count.
func TestFields(t *testing.T) {
	truth := []record.Record{
		{Kind: record.Inventory, Fields: record.Fields{"tank": field("1", true), "volume": field(5000.0, true)}},
		{Kind: record.Inventory, Fields: record.Fields{"tank": field("2", true), "volume": field(700.0, true), "height": field(12.0, true)}},
	}
	got := []record.Record{
		{Kind: record.Inventory, Fields: record.Fields{"tank": field("2", true), "volume": field(100.0, true)}},
		{Kind: record.Inventory, Fields: record.Fields{"tank": field("1", false), "volume": field(5000.0, true), "product": field("diesel", false)}},
		{Kind: record.Alarm, Fields: record.Fields{"event": field("leak", true)}},
	}
	f, m := CountFields(truth, got)
	want := Fields{Truth: 5, Right: 3, Wrong: 3, Missing: 1, Doubtful: 2, SureWrong: 2, Records: 2, Whole: 0, Spurious: 1}
	if f != want {
		t.Errorf("got  %+v\nwant %+v", f, want)
	}
	if len(m) != 4 {
		t.Errorf("%d mismatches, want 4: %+v", len(m), m)
	}
	if f, _ := CountFields(truth, truth); f.Whole != 2 || f.Right != 5 || f.Wrong+f.Missing+f.Spurious != 0 {
		t.Errorf("truth against itself: %+v", f)
	}
}

func TestSameValue(t *testing.T) {
	num := func(v float64, unit string) record.Field { return record.Field{Value: v, Unit: unit} }
	for _, c := range []struct {
		name string
		a, b record.Field
		want bool
	}{
		{"volume", num(1, "gal"), num(1, "gal"), true},
		{"volume", num(1, "gal"), num(1, "L"), false},
		{"volume", num(1, "gal"), num(1.01, "gal"), false},
		{"volume", num(1, "gal"), field("1", true), false},
		{"product", field("Diesel  No 2", true), field("DIESEL NO 2", true), true},
		{"grade", field("diesel", true), field("DIESEL", true), false},
	} {
		if got := SameValue(record.Inventory, c.name, c.a, c.b); got != c.want {
			t.Errorf("%s: %v against %v: %v", c.name, c.a, c.b, got)
		}
	}
}
