package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestComplete: a shell is offered what the archive holds, and nothing is made
// for it.
func TestComplete(t *testing.T) {
	dir := t.TempDir()
	path := file(t, "typed.jsonl", []byte(`{"site": "114", "kind": "tank_test", "fields": {"tank": "3", "grade": "diesel", "ended_at": "2026-02-01T05:00", "result": "pass"}}
{"site": "77", "kind": "inventory", "fields": {"tank": "1", "grade": "premium", "at": "2026-02-01T06:00"}}
`))
	if _, errs, code := tankroll(t, "enter", path, "--archive", dir); code != exitDone {
		t.Fatalf("exit %d: %s", code, errs)
	}
	for typed, want := range map[string]string{
		"find|site:1":               "site:114",
		"find|site:":                "site:114 site:77",
		"find|product:D":            "product:diesel",
		"find|kind:tank":            "kind:tank_test kind:tank_limits",
		"find|result:":              "result:pass result:fail result:inconclusive result:aborted",
		"find|pro":                  "product:",
		"find|--sort|":              "printed tested",
		"coverage|--site|7":         "77",
		"add|--site|":               "114 77",
		"coverage|--site|elsewhere": "",
		"ask|last passing tank":     "last passing tank tests last passing tank limits",
		"ask|deliveries|of|d":       "deliveries diesel",
		"ask|tests at 1":            "tests at 114",
	} {
		args := append([]string{"__complete", "--archive", dir}, strings.Split(typed, "|")...)
		out, errs, code := tankroll(t, args...)
		list, _, _ := strings.Cut(out, ":0\n")
		list, _, _ = strings.Cut(list, ":4\n")
		list, _, _ = strings.Cut(list, ":6\n")
		if got := strings.Join(strings.Fields(list), " "); code != exitDone || got != want {
			t.Errorf("%s: %q, want %q; exit %d %s", typed, got, want, code, errs)
		}
	}
	empty := filepath.Join(dir, "nothing")
	if out, _, code := tankroll(t, "__complete", "--archive", empty, "find", "site:"); code != exitDone || strings.Contains(out, "site:1") {
		t.Errorf("without an archive: exit %d: %s", code, out)
	}
	if _, err := os.Stat(empty); err == nil {
		t.Error("completing made an archive")
	}
}
