package main

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/internal/golden"
	"tankroll/internal/intake"
	"tankroll/parse"
	"tankroll/record"
)

// readTyped keeps and reads a typed slip as if it had been a picture.
func readTyped(t *testing.T, dir, file, text string, version int, change func(record.Fields)) {
	t.Helper()
	s, err := archive.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	c, _, err := s.Keep(t.Context(), file, []byte(file), "")
	if err != nil {
		t.Fatal(err)
	}
	slip := parse.Typed(text)[0]
	report := parse.Slip(slip, intake.Hints(time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC), ""))
	for _, r := range report.Records {
		change(r.Fields)
	}
	err = s.SaveReadings(t.Context(), c.ID, []archive.Reading{{Page: 1, OCRVersion: version, GrammarVersion: version,
		Slips: []archive.SlipReading{{Slip: slip, Report: report}}}})
	if err != nil {
		t.Fatal(err)
	}
}

func set(name string, v any, sure bool) func(record.Fields) {
	return func(fields record.Fields) {
		f := fields[name]
		f.Value, f.Sure, f.Confidence = v, sure, 0.6
		fields[name] = f
	}
}

var moments = regexp.MustCompile(`20\d\d-\d\d-\d\d \d\d:\d\d( )|on 20\d\d-\d\d-\d\d|/\S*/originals/\S+`)

// TestHistory: two pictures, two readings, decisions by two people, told as one
// story.
func TestHistory(t *testing.T) {
	dir := t.TempDir()
	do := func(args ...string) string {
		t.Helper()
		out, errs, code := tankroll(t, append(args, "--archive", dir)...)
		if code != exitDone {
			t.Fatalf("%v: exit %d: %s", args, code, errs)
		}
		return out
	}
	none := func(record.Fields) {}
	readTyped(t, dir, "faint.jpg", typedSlip, 1, set("leak_rate", -0.018, false))
	do("correct", "r1", "threshold=0.2", "--by", "Ada", "--note", "smudged")
	do("confirm", "r1", "--by", "Ben")
	do("undo", "r1", "--by", "Ada")
	readTyped(t, dir, "faint.jpg", typedSlip, 2, set("leak_rate", -0.013, true))
	readTyped(t, dir, "again.jpg", typedSlip, 2, none)
	readTyped(t, dir, "blurred.jpg", typedSlip, 2, set("ended_at", "2026-03-05T08:55", false))
	listed := do("same")
	if !strings.Contains(listed, "tankroll same r1 r2") || !strings.Contains(listed, "threshold 0.2 gal/h or 0.1 gal/h") {
		t.Errorf("what may be one:\n%s", listed)
	}
	if todo := do("todo"); !strings.Contains(todo, "may be one with another") || !strings.Contains(todo, "again.jpg: r1 r2") {
		t.Errorf("what is to be looked at:\n%s", todo)
	}
	told := func(since int64) string {
		var out strings.Builder
		d, err := intake.Open(t.Context(), dir, intake.Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer d.Close()
		if err := (&app{out: &out}).twins(t.Context(), d, since); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	if all, last, none := told(0), told(6), told(7); strings.Count(all, "may be one") != 2 || strings.Count(last, "may be one") != 1 ||
		!strings.Contains(last, "r3  tank test") || !strings.Contains(last, "tankroll same r2 r3") || none != "" {
		t.Errorf("what may be one of all records:\n%sof those of the last picture:\n%safter it:\n%s", all, last, none)
	}
	do("same", "r1", "r3", "--by", "Ada")
	do("differ", "r1", "r2", "--by", "Ada")
	do("same", "r2", "r1", "--by", "Ben", "--note", "looked again")
	do("site", "c2", "9", "--by", "Ben")
	do("follow-up", "r1", "filed in the binder", "--by", "Ben")
	plain := func(s string) string { return moments.ReplaceAllString(s, "(moment)$1") }
	golden.Equal(t, "history/record.txt", plain(do("history", "r1")))
	golden.Equal(t, "history/field.txt", plain(do("history", "r1", "leak rate")))
	golden.Equal(t, "history/capture.txt", plain(do("history", "c1")))
	golden.Equal(t, "history/show.txt", plain(do("show", "r2")))
	if out := do("ask", "how many tank tests"); strings.Count(out, "  tank test · ") != 1 {
		t.Errorf("one record on three pictures is answered:\n%s", out)
	}
	if out := do("history", "r1", "--json"); strings.Count(out, "\n") != 1 || !strings.Contains(out, `"by":"Ada"`) || !strings.Contains(out, `"reader_version":2`) {
		t.Errorf("for scripts:\n%s", out)
	}
	if _, errs, code := tankroll(t, "history", "r1", "smell", "--archive", dir); code != exitFailed || !strings.Contains(errs, "smell") {
		t.Errorf("a field that is none: exit %d, %s", code, errs)
	}
}

// TestRereadCommand: a dry run tells what the run then does.
func TestRereadCommand(t *testing.T) {
	dir := t.TempDir()
	readTyped(t, dir, "a.jpg", typedSlip, 99, func(record.Fields) {})
	out, errs, code := tankroll(t, "reread", "--archive", dir)
	if code != exitDone || !strings.Contains(out, "nothing to read again") {
		t.Errorf("newest: exit %d, %s%s", code, out, errs)
	}
	readTyped(t, dir, "b.jpg", typedSlip, 1, set("leak_rate", -0.018, false))
	// The bytes are no picture, so that a newer reader cannot read them: that is
	// told, and what was read stays.
	out, errs, code = tankroll(t, "reread", "--archive", dir)
	if code != exitFailed || !strings.Contains(errs, "c2") || !strings.Contains(out, "1 failed; records: none changed") {
		t.Errorf("no picture: exit %d, %s%s", code, out, errs)
	}
	if out, _, _ := tankroll(t, "show", "r2", "--archive", dir); !strings.Contains(out, "-0.0") {
		t.Errorf("what was read is gone:\n%s", out)
	}
}
