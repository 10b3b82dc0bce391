package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestServeRenewsIndex: an index that an older version of the program made is made
// anew while the pages are served.
func TestServeRenewsIndex(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "archive")
	if _, errs, code := tankroll(t, "enter", "--archive", dir, file(t, "one.jsonl", []byte(`{"site": "9", "kind": "tank_test", "fields": {"tank": "3", "result": "pass"}}`))); code != exitDone {
		t.Fatal(errs)
	}
	if _, errs, code := tankroll(t, "ask", "--archive", dir, "how many tank tests"); code != exitDone {
		t.Fatal(errs)
	}
	current := filepath.Join(dir, "index", "current")
	raw, err := os.ReadFile(current)
	if err != nil {
		t.Fatal(err)
	}
	i := bytes.Index(raw, []byte(`"content":`)) + len(`"content":`)
	end := i + bytes.IndexByte(raw[i:], ',')
	old := string(raw[:i]) + "1" + string(raw[end:])
	if err := os.WriteFile(current, []byte(old), 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	served := make(chan int)
	go func() {
		var out, errs bytes.Buffer
		served <- run(ctx, []string{"serve", "--archive", dir, "--listen", "127.0.0.1:0"}, strings.NewReader(""), &out, &errs)
	}()
	now := old
	for deadline := time.Now().Add(time.Minute); now == old && time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if raw, err := os.ReadFile(current); err == nil {
			now = string(raw)
		}
	}
	if now == old {
		t.Error("the old index still answers")
	}
	stop()
	if code := <-served; code != exitDone {
		t.Errorf("exit %d", code)
	}
	if a, _, _ := tankroll(t, "ask", "--archive", dir, "how many tank tests"); strings.Contains(a, "another version") {
		t.Errorf("%s", a)
	}
}
