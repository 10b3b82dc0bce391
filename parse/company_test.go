package parse

import (
	"testing"

	"tankroll/record"
)

// TestCompany: a record is held against those of its kind and class, and against those that are of
// the same thing at the same time.
func TestCompany(t *testing.T) {
	of := func(kind record.Kind, fields ...string) *built {
		b := &built{rec: record.Record{Kind: kind, Fields: map[string]record.Field{}}}
		for i := 0; i < len(fields); i += 2 {
			b.rec.Fields[fields[i]] = record.Field{Value: fields[i+1]}
		}
		return b
	}
	at := "2025-03-02T01:00"
	all := []*built{
		of(record.TankTest, "tank", "1", "product", "REGULAR", "test_class", "0.2", "ended_at", at, "result", "pass"),
		of(record.TankTest, "tank", "1", "test_class", "0.2", "ended_at", "2025-02-02T01:00", "result", "pass"),
		of(record.TankTest, "tank", "1", "test_class", "0.2", "ended_at", at),
		of(record.TankTest, "tank", "1", "test_class", "0.1", "ended_at", at),
		of(record.Inventory, "tank", "1"),
	}
	c := (&doc{}).company(all)
	for i, want := range []struct {
		share float64
		twins int
	}{{1, 1}, {1, 0}, {0.75, 1}, {1, 0}, {1, 0}} {
		if e := c.of(all[i]); e.share != want.share || e.twins != want.twins {
			t.Errorf("record %d says %v of what others say and has %d twins, want %v and %d", i, e.share, e.twins, want.share, want.twins)
		}
	}
}

// TestCompanyOfWordsLeft: a word that the second reading takes for a field and no record took counts
// against that field of the others.
func TestCompanyOfWordsLeft(t *testing.T) {
	free := func(text string) float64 {
		most := 0.0
		for _, s := range Typed(text) {
			d := newDoc(s, Hints{})
			d.testOnlyField = func(e evidence) { most = max(most, e.free) }
			d.understand(s)
		}
		return most
	}
	const slip = "TANK TEST\nTANK 1 REGULAR\nTEST RATE 0.2 GAL/HR\nENDED 03/02/2025 05:00\nRESULT PASSED\n"
	if p := free(slip); p > 0.2 {
		t.Errorf("nothing is left over, and some word is a field with %.2f", p)
	}
	if p := free(slip + "LEAK RATE -0.02 -0.03\n"); p < 0.5 {
		t.Errorf("one of two rates is left over, and no word is a field with more than %.2f", p)
	}
}
