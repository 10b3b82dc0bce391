// Package golden compares a test's output with a file kept in testdata. Run
// `go test ./pkg -update` to write the files anew, then read the diff.
package golden

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Equal fails the test when got differs from testdata/name.
func Equal(t testing.TB, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", filepath.FromSlash(name))
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (run with -update to write it)", err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s differs (-want +got); run with -update and read the diff if this is meant:\n%s", path, d)
	}
}

// Updating is whether -update was given: for tests that keep more than text.
func Updating() bool { return *update }
