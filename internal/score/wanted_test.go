package score

import (
	"testing"

	"tankroll/record"
)

// TestAsWanted: a field that may be read or not counts where it was read as wanted, and
// nowhere else.
func TestAsWanted(t *testing.T) {
	of := func(fields map[string]any) record.Record {
		r := record.Record{Kind: record.TankTest, Fields: map[string]record.Field{}}
		for name, v := range fields {
			r.Fields[name] = record.Field{Value: v}
		}
		return r
	}
	w := Wanted{
		Report: record.Report{Records: []record.Record{of(map[string]any{"tank": "1", "result": "pass", "height": 40.0}), of(map[string]any{"tank": "2", "result": "fail", "height": 41.0})}},
		Either: [][]string{{"height", "method"}, {"height"}},
	}
	for name, c := range map[string]struct {
		read         []record.Record
		wanted, left []int // fields of each record
	}{
		"read as wanted":    {[]record.Record{of(map[string]any{"tank": "1", "result": "pass", "height": 40.0, "method": "static"}), of(map[string]any{"tank": "2", "height": 41.0})}, []int{3, 3}, []int{3, 2}},
		"read otherwise":    {[]record.Record{of(map[string]any{"tank": "1", "result": "pass", "height": 44.0}), of(map[string]any{"tank": "2", "height": 41.0})}, []int{2, 3}, []int{2, 2}},
		"not read":          {[]record.Record{of(map[string]any{"tank": "1", "result": "pass"}), of(map[string]any{"tank": "2", "result": "fail", "capacity": 9.0})}, []int{2, 2}, []int{2, 3}},
		"a record not read": {[]record.Record{of(map[string]any{"tank": "2", "height": 41.0})}, []int{2, 3}, []int{2}},
	} {
		wanted, read := w.AsWanted(c.read)
		for i, r := range wanted {
			if len(r.Fields) != c.wanted[i] {
				t.Errorf("%s: of record %d %v is wanted", name, i, r.Fields)
			}
		}
		for i, r := range read {
			if len(r.Fields) != c.left[i] {
				t.Errorf("%s: of record %d %v was read", name, i, r.Fields)
			}
		}
	}
	if len(w.Report.Records[0].Fields) != 3 {
		t.Error("what is wanted was changed")
	}
}
