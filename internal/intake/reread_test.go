package intake

import (
	"context"
	"errors"
	"fmt"
	"os"
	"testing"

	"tankroll/archive"
	"tankroll/ocr"
	"tankroll/parse"
	"tankroll/record"
)

// older keeps a typed slip as an older grammar read it: its result is another.
func older(t *testing.T, d *Desk, tank int) string {
	t.Helper()
	text := fmt.Sprintf("SITE NO. 9\nPRINTED 2026-03-05 06:46\n\nTANK LEAK TEST\nTANK %d   DIESEL\nTEST RATE ....... 0.2 GAL/HR\n"+
		"STARTED ......... 2026-03-05 03:55\nENDED ........... 2026-03-05 05:55\nRESULT .......... PASSED\n", tank)
	c, _, err := d.Store().Keep(t.Context(), fmt.Sprintf("%d.jpg", tank), []byte(text), "")
	if err != nil {
		t.Fatal(err)
	}
	slip := parse.Typed(text)[0]
	report := parse.Slip(slip, Hints(d.Now(), ""))
	if len(report.Records) != 1 {
		t.Fatalf("%d records of the typed slip", len(report.Records))
	}
	f := report.Records[0].Fields["result"]
	f.Value, f.Sure = "inconclusive", false
	report.Records[0].Fields["result"] = f
	err = d.Store().SaveReadings(t.Context(), c.ID, []archive.Reading{{Page: 1, OCRVersion: ocr.Version, GrammarVersion: parse.Version - 1,
		Slips: []archive.SlipReading{{Slip: slip, Report: report}}}})
	if err != nil {
		t.Fatal(err)
	}
	return c.ID
}

func results(t *testing.T, d *Desk) map[string]int {
	t.Helper()
	rows, err := d.Store().Rows(t.Context(), archive.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]int{}
	for _, r := range rows {
		out[r.Record.Text("result")]++
	}
	return out
}

// TestRereadGoesOn: interrupted at any picture, a second run does the rest and
// nothing twice; what a person decided stands, and the pictures are not needed
// where only the grammar is newer.
func TestRereadGoesOn(t *testing.T) {
	d := desk(t, t.TempDir())
	const n = 6
	for i := range n {
		older(t, d, i+1)
	}
	if err := d.Store().Decide(t.Context(), archive.Decision{Record: "r2", Action: archive.Correct, Field: "result", Value: "aborted"}); err != nil {
		t.Fatal(err)
	}
	dry := 0
	if err := d.Reread(t.Context(), nil, RereadOptions{Dry: true}, func(a Again) error { dry += len(a.Records); return a.Err }); err != nil || dry != n {
		t.Fatalf("a dry run tells of %d records, %v", dry, err)
	}
	if got := results(t, d); got["inconclusive"] != n-1 {
		t.Fatalf("a dry run changed them: %v", got)
	}
	done := 0
	for stop := 1; done < n; stop++ {
		ctx, cancel := context.WithCancel(t.Context())
		got := 0
		err := d.Reread(ctx, nil, RereadOptions{}, func(a Again) error {
			if a.Err != nil || a.Picture || len(a.Records) != 1 {
				t.Errorf("%+v", a)
			}
			if got++; got == stop {
				cancel()
			}
			return nil
		})
		cancel()
		done += got
		if err != nil && !errors.Is(err, context.Canceled) {
			t.Fatal(err)
		}
		behind, err := d.Store().Behind(t.Context(), ocr.Version, parse.Version)
		if err != nil || len(behind) != n-done {
			t.Fatalf("%d done and %v behind, %v", done, behind, err)
		}
	}
	if got := results(t, d); got["pass"] != n-1 || got["aborted"] != 1 || done != n {
		t.Errorf("%v after %d readings", got, done)
	}
	if bad, err := d.Store().Check(t.Context()); err != nil || len(bad) > 0 {
		t.Errorf("check: %v %v", bad, err)
	}
}

// TestRereadPicture: what an older reader read is read from the picture; an
// original that is gone stops nothing and keeps what it has.
func TestRereadPicture(t *testing.T) {
	d := desk(t, t.TempDir())
	gone, err := d.Store().Capture(t.Context(), older(t, d, 1))
	if err != nil {
		t.Fatal(err)
	}
	add(t, d, picture(t, "0004-sensor-status-may"))
	var want []archive.Row
	for _, id := range []string{gone.ID, "c2"} {
		readings, err := d.Store().Readings(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		if want, err = d.Store().Rows(t.Context(), archive.Filter{}); err != nil {
			t.Fatal(err)
		}
		readings[0].OCRVersion, readings[0].Number = ocr.Version-1, 0
		if id == "c2" { // as if the older reader had not seen the records
			readings[0].Slips[0].Report = record.Report{}
		}
		if err := d.Store().SaveReadings(t.Context(), id, readings); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Remove(d.Store().OriginalPath(gone)); err != nil {
		t.Fatal(err)
	}
	var all []Again
	if err := d.Reread(t.Context(), nil, RereadOptions{}, func(a Again) error { all = append(all, a); return nil }); err != nil {
		t.Fatal(err)
	}
	if len(all) != 2 || all[0].Err == nil || all[1].Err != nil || !all[1].Picture {
		t.Fatalf("%+v", all)
	}
	for _, r := range all[1].Records {
		if r.What != archive.NowBack {
			t.Errorf("%s %s, want it to come back", r.ID, r.What)
		}
	}
	rows, err := d.Store().Rows(t.Context(), archive.Filter{})
	if err != nil || len(rows) != len(want) || len(all[1].Records) != len(want)-1 {
		t.Errorf("%d records, want %d; %d told of, %v", len(rows), len(want), len(all[1].Records), err)
	}
}
