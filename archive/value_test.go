package archive

import (
	"errors"
	"testing"

	"tankroll/record"
)

// FuzzParseValue: any text gives a value that its specification allows, or
// ErrValue; and the value's own text gives the value again.
func FuzzParseValue(f *testing.F) {
	for _, s := range []string{"", "12", "-0.05 gal/h", "1,234.5 L", "1,2,3", ".", "+", "1e5", "2025-02-29", "2024-02-29T24:00", "0.2", "pass", "007", "ü", "5 %", "١"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, k := range record.Kinds() {
			for _, spec := range record.Specs(k) {
				v, err := ParseValue(spec, text, "")
				if err != nil {
					if !errors.Is(err, ErrValue) {
						t.Fatalf("%s %q: %v", spec.Name, text, err)
					}
					continue
				}
				var again record.Field
				if n, ok := v.Number(); ok {
					again, err = ParseValue(spec, n, v.Unit)
				} else {
					again, err = ParseValue(spec, v.String(), "")
				}
				if err != nil || again.Value != v.Value || again.Unit != v.Unit {
					t.Fatalf("%s %q: %v %q then %v %q, %v", spec.Name, text, v.Value, v.Unit, again.Value, again.Unit, err)
				}
			}
		}
	})
}
