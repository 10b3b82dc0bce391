package archive

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"tankroll/archive/powercut"
)

// faults are what a disk can answer, to which operations, and what the error says.
var faults = []struct {
	name  string
	errno syscall.Errno
	on    func(powercut.Kind) bool
	say   string
	step  int // of operations that there are many of, the quick test takes each so many
}{
	{"disk full", syscall.ENOSPC, func(k powercut.Kind) bool {
		return k == powercut.Write || k == powercut.Create || k == powercut.Mkdir || k == powercut.Rename
	}, "the disk is full, make room", 59},
	{"disk fails", syscall.EIO, func(k powercut.Kind) bool { return k != powercut.Open }, "the disk fails", 83},
	{"read-only", syscall.EROFS, func(k powercut.Kind) bool { return k == powercut.Create || k == powercut.Mkdir || k == powercut.Remove }, "read-only", 3},
	{"no rights", syscall.EACCES, func(k powercut.Kind) bool { return k == powercut.Open || k == powercut.Create || k == powercut.Mkdir }, "no right to write", 7},
}

// TestErrorAtEachOperation fails each operation of each story in turn, SQLite's
// and the archive's own: the error comes back as what it is, what was promised
// before is there, and the same work can be done once the error is gone.
func TestErrorAtEachOperation(t *testing.T) {
	for i, st := range stories {
		for _, f := range faults {
			t.Run(st.name+" "+f.name, func(t *testing.T) {
				surfaced, passed := 0, 0
				step := f.step
				if long() {
					step = 1
				}
				for n := 1; ; n += step {
					failed, err := faulty(t, i, n, f.errno, f.on)
					if failed == "" {
						break
					}
					switch {
					case err == nil:
						passed++ // SQLite could do without, as with the end of a log that it writes again
					case strings.HasPrefix(failed, "create "+scratchName) && strings.Contains(err.Error(), "cannot write "+dbName):
						surfaced++ // SQLite's copying does not say why it could not open a file
					case !errors.Is(err, f.errno) || !strings.Contains(err.Error(), f.say):
						t.Errorf("operation %d (%s): %v", n, failed, err)
					default:
						surfaced++
					}
				}
				if surfaced == 0 && passed > 2 {
					t.Error("no error came back")
				}
				t.Logf("%d errors came back, %d changed nothing", surfaced, passed)
			})
		}
	}
}

// faulty tells a story in which one operation fails, then tells it again to its
// end; it returns the operation and the error that came of it.
func faulty(t *testing.T, i, n int, errno syscall.Errno, on func(powercut.Kind) bool) (failed string, came error) {
	t.Helper()
	ctx := context.Background()
	dir := t.TempDir()
	if stories[i].base != nil {
		stories[i].base(t, dir)
	}
	w := &story{disk: newDisk(t, dir)}
	defer w.disk.Close()
	w.disk.FailAt(n, errno, on)
	w.store, came = openOn(ctx, w.disk, dir)
	if came == nil {
		came = stories[i].tell(ctx, w)
	}
	failed = w.disk.Failed()
	w.disk.FailAt(0, 0, nil)
	if w.store == nil {
		s, err := openOn(ctx, w.disk, dir)
		if err != nil {
			t.Fatalf("operation %d (%s) failed with %v; opened again: %v", n, failed, came, err)
		}
		w.store = s
	}
	defer w.store.Close()
	held := func(what string) {
		for _, p := range w.promises {
			if err := p.holds(ctx, w.store); err != nil {
				t.Fatalf("operation %d (%s): %s: %s: %v", n, failed, what, p.what, err)
			}
		}
		if err := allWhole(ctx, w.store); err != nil {
			t.Fatalf("operation %d (%s): %s: %v", n, failed, what, err)
		}
		if left, _ := filepath.Glob(filepath.Join(dir, "originals", tempPrefix+"*")); len(left) != 0 {
			t.Fatalf("operation %d (%s) left %v", n, failed, left)
		}
	}
	held("after the error")
	if err := stories[i].tell(ctx, w); err != nil {
		t.Fatalf("operation %d (%s): again: %v", n, failed, err)
	}
	held("again")
	return failed, came
}
