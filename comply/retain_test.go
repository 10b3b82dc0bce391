package comply

import (
	"strings"
	"testing"

	"tankroll/record"
)

func TestRetention(t *testing.T) {
	rec := func(k record.Kind, at string, sure bool, more ...string) record.Record {
		r := record.Record{Kind: k, Fields: record.Fields{}}
		name := map[record.Kind]string{record.TankTest: "ended_at", record.Alarm: "at", record.TankLimits: "capacity"}[k]
		if at != "" {
			r.Fields[name] = record.Field{Value: at, Sure: sure}
		}
		for i := 0; i < len(more); i += 2 {
			r.Fields[more[i]] = record.Field{Value: more[i+1], Sure: true}
		}
		return r
	}
	tight := func(at, tank, result string) record.Record {
		return rec(record.TankTest, at, true, "tank", tank, "result", result, "test_class", "0.1")
	}
	for name, c := range map[string]struct {
		years   int
		records []record.Record
		count   int
		unsure  int
		past    string // their places in the list
	}{
		"a year to the day":         {0, []record.Record{rec(record.Alarm, "2025-11-26T23:59", true)}, 1, 0, ""},
		"a day more":                {0, []record.Record{rec(record.Alarm, "2025-11-25", true), rec(record.Alarm, "2025-11-26", true)}, 2, 0, "0"},
		"a doubtful day":            {0, []record.Record{rec(record.Alarm, "2020-11-25", false)}, 1, 1, ""},
		"no day":                    {0, []record.Record{rec(record.Alarm, "", true)}, 1, 1, ""},
		"three years asked for":     {3, []record.Record{rec(record.Alarm, "2023-11-25", true), rec(record.Alarm, "2023-11-26", true)}, 2, 0, "0"},
		"monthly test":              {0, []record.Record{rec(record.TankTest, "2024-01-01", true, "tank", "1", "test_class", "0.2", "result", "pass")}, 1, 0, "0"},
		"tightness, the last":       {0, []record.Record{tight("2022-01-01", "1", "pass")}, 1, 0, ""},
		"tightness, followed":       {0, []record.Record{tight("2022-01-01", "1", "pass"), tight("2023-01-01", "1", "fail")}, 2, 0, "0"},
		"tightness, another tank":   {0, []record.Record{tight("2022-01-01", "1", "pass"), tight("2023-01-01", "2", "pass")}, 2, 0, ""},
		"tightness, not conclusive": {0, []record.Record{tight("2022-01-01", "1", "pass"), tight("2023-01-01", "1", "aborted")}, 2, 0, ""},
		"tightness, within a year":  {0, []record.Record{tight("2026-01-01", "1", "pass"), tight("2026-02-01", "1", "pass")}, 2, 0, ""},
		"limits":                    {0, []record.Record{rec(record.TankLimits, "", true)}, 1, 1, ""},
	} {
		n := Retention{Today: Date{2026, 11, 26}, Years: c.years}
		for i, r := range c.records {
			n.Add(string(rune('0'+i)), "114", r, record.Header{})
		}
		sum := n.Sum()
		if len(sum) != 1 || sum[0].Count != c.count || sum[0].Unsure != c.unsure || strings.Join(sum[0].PastIDs, "") != c.past || sum[0].Past != len(c.past) {
			t.Errorf("%s: %+v", name, sum)
		}
	}
	printed := record.Field{Value: "2020-01-02T03:04", Sure: true}
	n := Retention{Today: Date{2026, 11, 26}}
	n.Add("r1", "2", rec(record.TankLimits, "", true), record.Header{PrintedAt: &printed})
	n.Add("r2", "1", rec(record.Alarm, "2026-01-02", true), record.Header{})
	n.Add("r3", "1", rec(record.TankTest, "2026-01-03", true), record.Header{})
	sum := n.Sum()
	if len(sum) != 3 || sum[0].Kind != record.TankTest || sum[1].Kind != record.Alarm || sum[2].Oldest.String() != "2020-01-02" || sum[2].Years != 0 || sum[2].Past != 0 {
		t.Errorf("%+v", sum)
	}
}
