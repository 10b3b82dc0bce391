package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/archive"
)

// careArchive has a few records typed in, and two pictures that were never read.
func careArchive(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "archive")
	lines := `{"site": "9", "kind": "tank_test", "fields": {"tank": "3", "grade": "diesel", "test_class": "0.2", "ended_at": "2020-02-01T05:00", "result": "pass"}}
{"site": "9", "kind": "inventory", "fields": {"tank": "3", "product": "=1+1", "volume": 4120, "at": "2026-02-01T06:00"}}
`
	if _, errs, code := tankroll(t, "enter", file(t, "typed.jsonl", []byte(lines)), "--archive", dir); code != exitDone {
		t.Fatal(errs)
	}
	s, err := archive.Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for i := range 2 {
		if _, _, err := s.Keep(context.Background(), "a.jpg", fmt.Appendf(nil, "\xff\xd8\xff %d", i), ""); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// TestVerifyCommand: what is wrong is said with what to do, in words and as JSON,
// and the exit status tells.
func TestVerifyCommand(t *testing.T) {
	dir := careArchive(t)
	if _, errs, code := tankroll(t, "find", "nothing", "--archive", dir); code != exitDone { // makes the index
		t.Fatal(errs)
	}
	out, errs, code := tankroll(t, "verify", "--archive", dir)
	if code != exitDone || errs != "" || !strings.Contains(out, "looked at 2 captures") || !strings.Contains(out, "nothing wrong found\njournal head 4:") {
		t.Fatalf("exit %d: %s%s", code, out, errs)
	}
	_, head, _ := strings.Cut(strings.TrimSpace(out), "journal head ")
	if out, _, code := tankroll(t, "verify", "--head", head, "--archive", dir); code != exitDone {
		t.Errorf("its own head: exit %d: %s", code, out)
	}
	other := head[:len(head)-1] + map[bool]string{true: "1", false: "0"}[strings.HasSuffix(head, "0")]
	if out, _, code := tankroll(t, "verify", "--head", other, "--archive", dir); code != exitFailed || !strings.Contains(out, "WRONG  journal: ") {
		t.Errorf("another head: exit %d: %s", code, out)
	}
	if _, errs, code := tankroll(t, "verify", "--head", "yesterday", "--archive", dir); code != exitUsage || !strings.Contains(errs, "--head") {
		t.Errorf("no head: exit %d: %s", code, errs)
	}
	// One original and the index.
	originals, err := filepath.Glob(filepath.Join(dir, "originals", "*", "*"))
	if err != nil || len(originals) != 2 {
		t.Fatal(originals, err)
	}
	tables, err := filepath.Glob(filepath.Join(dir, "index", "g*", "fields.db"))
	if err != nil || len(tables) != 1 {
		t.Fatal(tables, err)
	}
	if err := os.Truncate(tables[0], 8192); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(originals[0])
	if err != nil {
		t.Fatal(err)
	}
	raw[len(raw)/2] ^= 1
	os.Chmod(originals[0], 0o644)
	if err := os.WriteFile(originals[0], raw, 0o644); err != nil {
		t.Fatal(err)
	}
	out, errs, code = tankroll(t, "verify", "--archive", dir)
	if code != exitFailed || strings.Count(out, "WRONG  ") != 2 || strings.Count(out, "to do: ") != 2 || !strings.Contains(out, "tankroll reindex") || !strings.Contains(errs, "2 things wrong in "+dir) {
		t.Errorf("exit %d: %s%s", code, out, errs)
	}
	out, _, code = tankroll(t, "verify", "--json", "--archive", dir)
	lines := strings.Split(strings.TrimSpace(out), "\n")
	var p problemLine
	var sum verifiedLine
	if code != exitFailed || len(lines) != 3 || json.Unmarshal([]byte(lines[0]), &p) != nil || json.Unmarshal([]byte(lines[2]), &sum) != nil {
		t.Fatalf("exit %d: %s", code, out)
	}
	if p.What == "" || p.Wrong == "" || p.Do == "" || sum.Problems != 2 || sum.Captures != 2 || sum.Records != 2 || sum.Entries != 4 || sum.Head != head {
		t.Errorf("%+v %+v", p, sum)
	}
}

// TestCareNeedsAnArchive: a folder that was misspelt is not made into one.
func TestCareNeedsAnArchive(t *testing.T) {
	dir, to := filepath.Join(t.TempDir(), "misspelt"), filepath.Join(t.TempDir(), "to")
	for _, args := range [][]string{{"verify"}, {"backup", to}, {"export", "--as", "csv", to}, {"retention"}} {
		_, errs, code := tankroll(t, append(args, "--archive", dir)...)
		if code != exitFailed || !strings.Contains(errs, dir) || !strings.Contains(errs, "--archive DIR") {
			t.Errorf("%v: exit %d: %s", args, code, errs)
		}
		for _, path := range []string{dir, to} {
			if _, err := os.Stat(path); err == nil {
				t.Errorf("%v made %s", args, path)
			}
		}
	}
}

// TestBackupRestoreCommands: the same questions have the same answers.
func TestBackupRestoreCommands(t *testing.T) {
	dir := careArchive(t)
	file, to := filepath.Join(t.TempDir(), "b.zip"), filepath.Join(t.TempDir(), "again")
	if out, errs, code := tankroll(t, "backup", file, "--archive", dir); code != exitDone || !strings.Contains(out, "2 captures") || !strings.Contains(out, "every file checked") {
		t.Fatalf("exit %d: %s%s", code, out, errs)
	}
	if _, errs, code := tankroll(t, "backup", file, "--archive", dir); code != exitFailed || !strings.Contains(errs, "--force") || !strings.Contains(errs, file) {
		t.Errorf("exit %d: %s", code, errs)
	}
	out, errs, code := tankroll(t, "restore", file, "--json", "--archive", to)
	var l backupLine
	if code != exitDone || json.Unmarshal([]byte(out), &l) != nil || l.File != file || l.Captures != 2 || l.Records != 2 || l.Head == "" {
		t.Fatalf("exit %d: %s%s", code, out, errs)
	}
	for _, question := range []string{"all tank tests", "diesel", "inventory of tank 3"} {
		a, _, _ := tankroll(t, "ask", question, "--json", "--archive", dir)
		b, _, _ := tankroll(t, "ask", question, "--json", "--archive", to)
		if a != b || !strings.Contains(a, `"answers"`) {
			t.Errorf("%s:\n%s\nrestored:\n%s", question, a, b)
		}
	}
	if out, _, code := tankroll(t, "verify", "--archive", to); code != exitDone {
		t.Errorf("restored: exit %d: %s", code, out)
	}
	if _, errs, code := tankroll(t, "restore", file, "--archive", dir); code != exitFailed || !strings.Contains(errs, "not empty") {
		t.Errorf("into an archive: exit %d: %s", code, errs)
	}
	if _, errs, code := tankroll(t, "restore", os.Args[0], "--archive", to+"2"); code != exitFailed || !strings.Contains(errs, "no backup") {
		t.Errorf("of something else: exit %d: %s", code, errs)
	}
}

func TestExportRetentionCommands(t *testing.T) {
	dir := careArchive(t)
	to := t.TempDir()
	for as, holds := range map[string]string{"csv": "inventory.csv", "jsonl": "", "folder": "index.html"} {
		path := filepath.Join(to, as)
		out, errs, code := tankroll(t, "export", path, "--as", as, "--site", "9", "--archive", dir)
		if code != exitDone || out != "2 records written to "+path+"\n" {
			t.Errorf("%s: exit %d: %s%s", as, code, out, errs)
		}
		if info, err := os.Stat(filepath.Join(path, holds)); err != nil || info.Size() == 0 {
			t.Errorf("%s: %v", as, err)
		}
	}
	raw, err := os.ReadFile(filepath.Join(to, "csv", "inventory.csv"))
	if err != nil || !strings.Contains(string(raw), ",'=1+1,") {
		t.Errorf("a formula is not guarded: %s %v", raw, err)
	}
	for _, args := range [][]string{{}, {"--as", "tab"}, {"--as", "csv", "--kind", "teapot"}, {"--as", "csv", "--from", "yesterday"}} {
		if _, errs, code := tankroll(t, append([]string{"export", filepath.Join(to, "new"), "--archive", dir}, args...)...); code != exitUsage || errs == "" {
			t.Errorf("%v: exit %d: %s", args, code, errs)
		}
	}
	out, errs, code := tankroll(t, "retention", "--list", "--archive", dir)
	if code != exitDone || !strings.Contains(out, "1 past 1 year (40 CFR 280.45)") || !strings.Contains(out, "past  r1\n") || !strings.Contains(out, "Nothing is deleted") {
		t.Errorf("exit %d: %s%s", code, out, errs)
	}
	if out, _, _ := tankroll(t, "retention", "--years", "90", "--archive", dir); !strings.Contains(out, "0 past 90 years (as asked for)") {
		t.Errorf("90 years: %s", out)
	}
}
