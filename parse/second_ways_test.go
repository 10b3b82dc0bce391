package parse

import (
	"maps"
	"reflect"
	"testing"

	"tankroll/record"
)

// A test of tank 1 as a way of reading a slip may say it.
func wayTest(tank string, sure bool, more ...string) record.Record {
	r := record.Record{Kind: record.TankTest, Fields: record.Fields{}}
	for name, v := range map[string]string{"tank": tank, "test_class": "0.2", "ended_at": "2025-03-02T01:00", "result": "pass"} {
		r.Fields[name] = record.Field{Value: v, Sure: sure, Confidence: 0.99}
	}
	for _, name := range more {
		r.Fields[name] = record.Field{Value: "5", Sure: sure, Confidence: 0.99}
	}
	return r
}

// TestDoubtUnlike: of a report nothing stays sure that another way of reading the slip does not say in the same
// record.
func TestDoubtUnlike(t *testing.T) {
	usual := wayTest("1", true)
	otherTime := wayTest("1", true)
	otherTime.Fields["ended_at"] = record.Field{Value: "2025-02-02T01:00", Sure: true}
	elsewhere := wayTest("1", true)
	elsewhere.Fields["result"] = record.Field{Value: "pass", Box: record.Box{X: 9}, Sure: true}
	less := wayTest("1", true)
	maps.DeleteFunc(less.Fields, func(name string, _ record.Field) bool { return name == "result" || name == "ended_at" })
	for name, c := range map[string]struct {
		usual, other []record.Record
		sure         int
	}{
		"the same":             {[]record.Record{usual}, []record.Record{wayTest("1", true)}, 4},
		"doubtful before":      {[]record.Record{wayTest("1", false)}, []record.Record{wayTest("1", true)}, 0},
		"another tank":         {[]record.Record{usual}, []record.Record{wayTest("2", true)}, 0},
		"another time":         {[]record.Record{usual}, []record.Record{otherTime}, 0},
		"other words":          {[]record.Record{usual}, []record.Record{elsewhere}, 0},
		"a field more":         {[]record.Record{usual}, []record.Record{wayTest("1", true, "height")}, 4},
		"many fields more":     {[]record.Record{usual}, []record.Record{wayTest("1", true, "height", "volume", "ullage")}, 0},
		"half of it":           {[]record.Record{usual}, []record.Record{less}, 0},
		"a second one":         {[]record.Record{usual}, []record.Record{wayTest("1", true), otherTime}, 0},
		"a second one in both": {[]record.Record{usual, otherTime}, []record.Record{wayTest("1", true), otherTime}, 8},
	} {
		got := record.Report{}
		for _, r := range c.other {
			r.Fields = maps.Clone(r.Fields)
			got.Records = append(got.Records, r)
		}
		doubtUnlike(&got, record.Report{Records: c.usual})
		sure := 0
		for _, r := range got.Records {
			for _, f := range r.Fields {
				if f.Sure {
					sure++
				}
			}
		}
		if sure != c.sure {
			t.Errorf("%s: %d fields are sure, want %d", name, sure, c.sure)
		}
	}
}

// TestKeepsSure: a way that loses what is sure in the usual one is not taken; what is doubtful may go.
func TestKeepsSure(t *testing.T) {
	for name, c := range map[string]struct {
		usual, other record.Record
		want         bool
	}{
		"the same":          {wayTest("1", true), wayTest("1", true), true},
		"doubtful now":      {wayTest("1", true), wayTest("1", false), true},
		"another tank":      {wayTest("1", true), wayTest("2", true), false},
		"doubtful and gone": {wayTest("1", false), wayTest("2", true), true},
		"a field less":      {wayTest("1", true, "height"), wayTest("1", true), false},
	} {
		if got := keepsSure(record.Report{Records: []record.Record{c.other}}, record.Report{Records: []record.Record{c.usual}}); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// TestWaysLeaveDrafts: a slip that is read in all ways reads the same in the usual way as before.
func TestWaysLeaveDrafts(t *testing.T) {
	const slip = "ALARMS   14-03-2025 06:12\n1. Tank 2: water high (since 14-03-2025 04:11)\n3. Line 1: low pressure (12-03-2025 11:30 to 12-03-2025 12:15)\n"
	torn := false
	for _, s := range Typed(slip) {
		d := newDoc(s, Hints{})
		drafts, left := d.sections()
		head := d.header(left, drafts)
		d.second = d.readSecond(s)
		first, _ := d.reportIn(asExpected, drafts, head)
		for _, w := range []way{bySecond, byGrammar} {
			d.reportIn(w, drafts, head)
		}
		again, _ := d.reportIn(asExpected, drafts, head)
		torn = torn || d.torn
		if !reflect.DeepEqual(first, again) {
			t.Errorf("first\n%+v\nthen\n%+v", first, again)
		}
	}
	if !torn {
		t.Error("both readings say the same of this slip")
	}
}
