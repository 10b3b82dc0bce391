package index

import (
	"context"
	"fmt"
	"math/rand"
	"path/filepath"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/record"
)

var today = time.Date(2025, 8, 20, 12, 0, 0, 0, time.UTC)

func newArchive(t testing.TB) (*archive.Store, string) {
	t.Helper()
	dir := t.TempDir()
	s, err := archive.Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s, filepath.Join(dir, "index")
}

func openIndex(t testing.TB, dir string, s *archive.Store) *Index {
	t.Helper()
	ix, err := Open(context.Background(), dir, s)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { ix.Close() })
	return ix
}

// put keeps one slip with its records; fields whose value begins with "?" are
// in doubt.
func put(t testing.TB, s *archive.Store, site string, lines []string, records ...record.Record) {
	t.Helper()
	ctx := context.Background()
	c, already, err := s.Keep(ctx, "a.jpg", fmt.Appendf(nil, "%s %v %v %d", site, lines, records, rand.Int63()), "")
	if err != nil || already {
		t.Fatal(already, err)
	}
	slip := record.Slip{}
	for i, l := range lines {
		slip.Lines = append(slip.Lines, record.Line{Box: record.Box{X: 1, Y: 1 + 10*i, W: 100, H: 10}, Words: []record.Word{{Text: l}}})
	}
	rep := record.Report{Records: records}
	if site != "" {
		f := field(site)
		rep.Header.SiteNumber = &f
	}
	if err := s.SaveReadings(ctx, c.ID, []archive.Reading{{Page: 1, Slips: []archive.SlipReading{{Slip: slip, Report: rep}}}}); err != nil {
		t.Fatal(err)
	}
}

func field(v string) record.Field {
	f := record.Field{Value: v, Text: v, Confidence: 0.999, Sure: true, Origin: record.Printed}
	if v[0] == '?' {
		f.Value, f.Text, f.Sure, f.Confidence = v[1:], v[1:], false, 0.5
	}
	return f
}

func rec(k record.Kind, pairs ...string) record.Record {
	r := record.Record{Kind: k, Fields: record.Fields{}}
	for i := 0; i < len(pairs); i += 2 {
		r.Fields[pairs[i]] = field(pairs[i+1])
	}
	return r
}

func ask(t testing.TB, ix *Index, question string) Answer {
	t.Helper()
	a, err := ix.AskWords(context.Background(), question, today)
	if err != nil {
		t.Fatalf("%s: %v", question, err)
	}
	return a
}

func idsOf(rows []archive.Row) string {
	out := ""
	for _, r := range rows {
		out += r.ID + " "
	}
	return out
}
