package archive

import (
	"context"
	"errors"
	"testing"

	"tankroll/record"
)

func open(t *testing.T, dir string) *Store {
	t.Helper()
	s, err := Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func printed(v any, box record.Box) record.Field {
	f := record.Field{Value: v, Box: box, Confidence: 0.999, Sure: true, Origin: record.Printed}
	f.Text, _ = v.(string)
	return f
}

// tankTest is an invented tank test on one slip of one page.
func tankTest(tank, ended, result string) Reading {
	box := record.Box{X: 40, Y: 100, W: 300, H: 200}
	site := printed("0114", record.Box{X: 40, Y: 20, W: 80, H: 20})
	r := record.Record{Kind: record.TankTest, Fields: record.Fields{
		"tank": printed(tank, box), "ended_at": printed(ended, box), "result": printed(result, box),
		"test_class": printed("0.2", box),
	}}
	slip := record.Slip{Turn: 90, Lines: []record.Line{{Words: []record.Word{{Text: "TANK", Width: 4, Confidence: 1}}}}}
	return Reading{Page: 1, OCRVersion: 1, GrammarVersion: 1,
		Slips: []SlipReading{{Slip: slip, Report: record.Report{Header: record.Header{SiteNumber: &site}, Records: []record.Record{r}}}}}
}

func TestKeepReadAsk(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	c, already, err := s.Keep(ctx, "a.jpg", []byte("\xff\xd8\xff picture"), "")
	if err != nil || already || c.ID != "c1" || c.Read {
		t.Fatalf("keep: %+v %v %v", c, already, err)
	}
	if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("2", "2025-03-14T06:41", "pass")}); err != nil {
		t.Fatal(err)
	}
	rows, err := s.Rows(ctx, Filter{Kind: record.TankTest, Site: "114", From: "2025-03-14", To: "2025-03-14"})
	if err != nil || len(rows) != 1 {
		t.Fatalf("rows: %v %v", rows, err)
	}
	r := rows[0]
	if r.ID != "r1" || r.Site != "114" || r.At != "2025-03-14T06:41" || r.File != "a.jpg" || !r.Sure() || r.Turn != 90 {
		t.Errorf("row: %+v", r)
	}
	if _, err := s.Record(ctx, "r2"); !errors.Is(err, ErrNotFound) {
		t.Errorf("a record that is not there: %v", err)
	}
}
