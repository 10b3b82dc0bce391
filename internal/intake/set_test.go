package intake

import (
	"context"
	"testing"
	"time"

	"tankroll/fixtures"
	"tankroll/internal/score"
	"tankroll/ocr"
	"tankroll/record"
)

// TestCommittedSet reads every picture of the committed set. The promise it
// guards: no field is given as sure and is wrong. Accuracy itself belongs to
// the benchmark; the floors here only notice a broken reader.
func TestCommittedSet(t *testing.T) {
	r, err := ocr.NewReader(ocr.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	now := time.Date(2026, 9, 1, 12, 0, 0, 0, time.UTC)
	var fields score.Fields
	var words score.Words
	for _, c := range fixtures.Set() {
		var page record.Page
		for reading, err := range Read(context.Background(), r, c.Raw, Hints(now, "")) {
			if err != nil {
				t.Fatalf("%s: %v", c.Name, err)
			}
			page = Page(c.Name, c.Raw, reading)
		}
		var truth, got []record.Record
		var printed, read []string
		for _, s := range c.Slips {
			truth, printed = append(truth, s.Records...), append(printed, s.Text...)
		}
		for _, s := range page.Slips {
			got, read = append(got, s.Records...), append(read, s.Text...)
			checkHeader(t, c, s.Header)
		}
		f, misses := score.CountFields(truth, got)
		for _, m := range misses {
			if !m.Missing && m.Got.Sure {
				t.Errorf("%s: %s %s is sure and wrong: printed %v, read %v (%q)", c.Name, m.Kind, m.Name, m.Want.Value, m.Got.Value, m.Got.Text)
			}
		}
		w := score.CountWords(printed, read)
		t.Logf("%-45s %-6s word F1 %.3f, fields %d of %d right, %d doubtful", c.Name, c.Level, w.F1(), f.Right, f.Truth, f.Doubtful)
		fields, words = fields.Add(f), words.Add(w)
	}
	t.Logf("all: word F1 %.3f, fields %.3f right, %d wrong, %d missing, %d doubtful, %d sure and wrong", words.F1(), fields.Accuracy(), fields.Wrong, fields.Missing, fields.Doubtful, fields.SureWrong)
	const leastF1, leastFields = 0.85, 0.6
	if words.F1() < leastF1 || fields.Accuracy() < leastFields {
		t.Errorf("word F1 %.3f, fields %.3f: the reader is broken", words.F1(), fields.Accuracy())
	}
	if sure := fields.Right + fields.Wrong - fields.Doubtful; sure < fields.Truth/4 {
		t.Errorf("%d of %d fields are sure: a promise that is never made cannot be broken", sure, fields.Truth)
	}
}

// checkHeader holds the header to the same promise. A picture may hold slips of
// several stations; a value must be that of one of them.
func checkHeader(t *testing.T, c fixtures.Case, h record.Header) {
	for name, get := range map[string]func(record.Header) *record.Field{
		"site":        func(h record.Header) *record.Field { return h.Site },
		"site_number": func(h record.Header) *record.Field { return h.SiteNumber },
		"printed_at":  func(h record.Header) *record.Field { return h.PrintedAt },
	} {
		f := get(h)
		if f == nil || !f.Sure {
			continue
		}
		found := false
		for _, s := range c.Slips {
			if want := get(s.Header); want != nil && score.SameValue("", name, *want, *f) {
				found = true
			}
		}
		if !found {
			t.Errorf("%s: header %s is sure and wrong: read %v", c.Name, name, f.Value)
		}
	}
}
