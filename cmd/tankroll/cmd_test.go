package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/fixtures"
	"tankroll/record"
)

// tankroll runs the program and returns what it wrote and its exit status.
func tankroll(t *testing.T, args ...string) (out, errs string, code int) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(context.Background(), args, strings.NewReader(""), &o, &e)
	return o.String(), e.String(), code
}

func file(t *testing.T, name string, raw []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, raw, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func kept(t *testing.T, name string) string {
	t.Helper()
	for _, c := range fixtures.Set() {
		if c.Name == name {
			return file(t, c.Name+c.Ext, c.Raw)
		}
	}
	t.Fatalf("the set has no %s", name)
	return ""
}

// typedSlip is text of our own making.
const typedSlip = `MARLOW CORNER FUELS
SITE NO. 9
PRINTED 2026-03-05 06:46

TANK LEAK TEST
TANK 3   DIESEL
TEST RATE ....... 0.2 GAL/HR
STARTED ......... 2026-03-05 03:55
ENDED ........... 2026-03-05 05:55
LEAK RATE ....... -0.016 GAL/HR
THRESHOLD ....... 0.100 GAL/HR
RESULT .......... PASSED
`

func TestReadTyped(t *testing.T) {
	path := file(t, "slip.txt", []byte(typedSlip))
	out, errs, code := tankroll(t, "read", "--typed", "--json", path)
	if code != exitDone || errs != "" {
		t.Fatalf("exit %d: %s", code, errs)
	}
	var p record.Page
	if err := json.Unmarshal([]byte(out), &p); err != nil {
		t.Fatal(err)
	}
	if p.File != path || len(p.Slips) != 1 || len(p.Slips[0].Records) != 1 {
		t.Fatalf("got %s", out)
	}
	r := p.Slips[0].Records[0]
	for name, want := range map[string]string{"tank": "3", "grade": "diesel", "test_class": "0.2", "result": "pass", "ended_at": "2026-03-05T05:55"} {
		if got := r.Text(name); got != want || !r.Fields[name].Sure {
			t.Errorf("%s: %q sure %v, want %q", name, got, r.Fields[name].Sure, want)
		}
	}
	if v, ok := r.Fields["leak_rate"].Number(); !ok || v != -0.016 || r.Fields["leak_rate"].Unit != "gal/h" {
		t.Errorf("leak rate %v %s", r.Fields["leak_rate"].Value, r.Fields["leak_rate"].Unit)
	}

	out, _, code = tankroll(t, "read", "--typed", path)
	if code != exitDone || !strings.Contains(out, "tank test · tank 3 DIESEL · 0.2 gal/h · pass") || !strings.Contains(out, "-0.016 gal/h") {
		t.Errorf("for people, exit %d:\n%s", code, out)
	}
}

// TestBadInput: one clear line a bad file with its name, the others complete,
// and the documents in input order.
func TestBadInput(t *testing.T) {
	bad, err := fixtures.BadFiles()
	if err != nil {
		t.Fatal(err)
	}
	args := []string{"read", "--json"}
	var names []string
	for _, b := range bad {
		if b.Expect == "error" {
			names = append(names, file(t, b.Name, b.Raw))
		}
	}
	names = append(names, filepath.Join(t.TempDir(), "gone.jpg"), kept(t, "0004-sensor-status-may"))
	out, errs, code := tankroll(t, append(args, names...)...)
	if code != exitFailed {
		t.Errorf("exit %d, want %d", code, exitFailed)
	}
	docs := strings.Split(strings.TrimSpace(out), "\n")
	told := strings.Split(strings.TrimSpace(errs), "\n")
	if len(docs) != len(names) || len(told) != len(names)-1 {
		t.Fatalf("%d files, %d documents, %d lines of error:\n%s", len(names), len(docs), len(told), errs)
	}
	for i, name := range names {
		var p record.Page
		if err := json.Unmarshal([]byte(docs[i]), &p); err != nil {
			t.Fatal(err)
		}
		good := i == len(names)-1
		if p.File != name || (p.Error == "") != good || (len(p.Slips) > 0) != good {
			t.Errorf("%s: document of %s, error %q, %d slips", name, p.File, p.Error, len(p.Slips))
		}
		if !good && !strings.Contains(told[i], name) {
			t.Errorf("the error line does not name %s: %s", name, told[i])
		}
	}
}

func TestUsage(t *testing.T) {
	for _, args := range [][]string{{"read"}, {"reed", "x"}, {"read", "--no-such-flag", "x"}, {"ask"}, {"show"}, {"coverage", "--from", "yesterday"},
		{"coverage", "--from", "2026-02-01", "--to", "2026-01-01"}, {"correct", "r1", "leak_rate"}} {
		out, errs, code := tankroll(t, append(args, "--archive", t.TempDir())...)
		if code != exitUsage || strings.Count(strings.TrimSpace(errs), "\n") != 0 || errs == "" || out != "" {
			t.Errorf("%v: exit %d, out %q, error %q", args, code, out, errs)
		}
	}
}

// TestNoArchive: what only looks makes no archive where a name was mistyped, and no
// name is not the working folder.
func TestNoArchive(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "mistyped")
	for _, args := range [][]string{{"todo"}, {"ask", "what"}, {"find", "what"}, {"show", "r1"}, {"history", "r1"}, {"same"}, {"coverage"}, {"reread"},
		{"reindex"}, {"verify"}, {"backup", "b.zip"}, {"export", "out", "--as", "csv"}, {"retention"}, {"confirm", "r1"}} {
		_, errs, code := tankroll(t, append(args, "--archive", dir)...)
		if _, err := os.Stat(dir); err == nil || code != exitFailed || !strings.Contains(errs, "there is none") {
			t.Errorf("%v: exit %d, %q", args, code, errs)
		}
		if _, errs, code := tankroll(t, append(args, "--archive", "")...); code != exitUsage || !strings.Contains(errs, "--archive is empty") {
			t.Errorf("%v and an empty name: exit %d, %q", args, code, errs)
		}
	}
}

// TestEnterCorrectConfirm: typed records stay told apart, a correction shows in
// the answer, and what was there before stays in the history.
func TestEnterCorrectConfirm(t *testing.T) {
	dir := t.TempDir()
	lines := `{"site": "9", "kind": "tank_test", "printed_at": "2026-02-01T06:10", "fields": {"tank": "3", "grade": "diesel", "test_class": "0.2", "ended_at": "2026-02-01T05:00", "result": "pass"}, "note": "roll torn"}
{"site": "9", "kind": "inventory", "fields": {"tank": "3", "volume": 4120, "at": "2026-02-01T06:00"}}
`
	path := file(t, "typed.jsonl", []byte(lines))
	out, errs, code := tankroll(t, "enter", path, "--archive", dir)
	if code != exitDone || strings.Count(out, "\n") != 2 {
		t.Fatalf("exit %d: %s%s", code, out, errs)
	}
	ask := func() string {
		out, errs, code := tankroll(t, "ask", "last passing 0.2 test on the diesel tank", "--archive", dir)
		if code != exitDone {
			t.Fatalf("exit %d: %s", code, errs)
		}
		return out
	}
	if got := ask(); !strings.Contains(got, "r1  tank test") || !strings.Contains(got, "entered by hand") {
		t.Errorf("answered:\n%s", got)
	}
	if _, errs, code := tankroll(t, "correct", "r1", "result=fail", "--by", "Ada", "--archive", dir); code != exitDone {
		t.Fatalf("exit %d: %s", code, errs)
	}
	if got := ask(); strings.Contains(got, "r1  ") {
		t.Errorf("a corrected fail still passes:\n%s", got)
	}
	if out, _, _ := tankroll(t, "show", "r1", "--archive", dir); !strings.Contains(out, "Ada corrected result from pass to fail") {
		t.Errorf("the history does not tell:\n%s", out)
	}
	if _, errs, code := tankroll(t, "correct", "r1", "result=splendid", "--archive", dir); code != exitFailed || !strings.Contains(errs, "result") {
		t.Errorf("a value that cannot be: exit %d, %q", code, errs)
	}
	if _, errs, code := tankroll(t, "show", "r99", "--archive", dir); code != exitFailed || !strings.Contains(errs, "r99") {
		t.Errorf("an unknown record: exit %d, %q", code, errs)
	}
}

func TestEnterRefuses(t *testing.T) {
	for what, line := range map[string]string{
		"no JSON":        `tank 3 passed`,
		"an odd key":     `{"site": "9", "kind": "inventory", "feilds": {}}`,
		"an odd kind":    `{"site": "9", "kind": "teapot", "fields": {"tank": "1"}}`,
		"an odd field":   `{"site": "9", "kind": "inventory", "fields": {"tank": "1", "smell": "strong"}}`,
		"an odd result":  `{"site": "9", "kind": "tank_test", "fields": {"tank": "1", "result": "splendid"}}`,
		"an odd date":    `{"site": "9", "kind": "tank_test", "fields": {"tank": "1", "ended_at": "2026-13-45T99:00"}}`,
		"nothing at all": "\n\n",
	} {
		_, errs, code := tankroll(t, "enter", file(t, "typed.jsonl", []byte(line+"\n")), "--archive", t.TempDir())
		if code != exitFailed || !strings.Contains(errs, "typed.jsonl") {
			t.Errorf("%s: exit %d, %q", what, code, errs)
		}
	}
}

func TestGrouped(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 999: "999", 1000: "1,000", -12345.5: "-12,345.5", 1234567: "1,234,567", 0.02: "0.02"} {
		if got := grouped(v); got != want {
			t.Errorf("%v: %s, want %s", v, got, want)
		}
	}
}
