package intake

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/record"
)

// watching watches a folder until the test says that it is enough.
type watching struct {
	t     *testing.T
	d     *Desk
	mu    sync.Mutex
	pages []record.Page
	said  []string
	stop  context.CancelFunc
	ended chan error
}

func watchFolder(t *testing.T, kept, dir string, o WatchOptions) *watching {
	t.Helper()
	w := &watching{t: t, d: desk(t, kept), ended: make(chan error, 1)}
	ctx, stop := context.WithCancel(t.Context())
	w.stop = stop
	o.Every, o.Still = 20*time.Millisecond, 150*time.Millisecond
	o.Say = func(where string, err error) {
		w.mu.Lock()
		w.said = append(w.said, filepath.Base(where)+" "+err.Error())
		w.mu.Unlock()
	}
	m := w.d.Import(ctx, ImportOptions{Page: func(p record.Page) error {
		w.mu.Lock()
		w.pages = append(w.pages, p)
		w.mu.Unlock()
		return nil
	}})
	go func() { w.ended <- errors.Join(m.Watch(ctx, []string{dir}, o), m.Close(ctx)) }()
	return w
}

// end ends the watching and gives what was taken, and what was said.
func (w *watching) end() (taken, said []string) {
	w.t.Helper()
	w.stop()
	if err := <-w.ended; !errors.Is(err, context.Canceled) {
		w.t.Errorf("watching ended with %v", err)
	}
	return w.names(), w.said
}

func (w *watching) names() (out []string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, p := range w.pages {
		out = append(out, filepath.Base(p.File))
	}
	return out
}

// until waits until something holds.
func (w *watching) until(what string, holds func() bool) {
	w.t.Helper()
	for deadline := time.Now().Add(20 * time.Second); !holds(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(deadline) {
			w.t.Fatalf("waited in vain until %s: taken %v, said %v", what, w.names(), w.said)
		}
	}
}

func put(t *testing.T, path string, raw []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, raw, 0o644); err != nil {
		t.Fatal(err)
	}
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// TestWatch: a file is taken when it is complete, however slowly it is written and
// whatever it was called meanwhile; nothing is changed in the folder; a restart
// takes nothing again and complains of nothing again.
func TestWatch(t *testing.T) {
	kept, dir := t.TempDir(), t.TempDir()
	put(t, filepath.Join(dir, "there before.png"), blank(t, 1))
	put(t, filepath.Join(dir, ".hidden.png"), blank(t, 2))
	put(t, filepath.Join(dir, "readme.txt"), []byte("not looked at"))
	w := watchFolder(t, kept, dir, WatchOptions{Patience: 700 * time.Millisecond})

	// One that is written with a pause longer than it must stand still for.
	raw := append(blank(t, 3), bytes.Repeat([]byte("padding"), 40)...)
	f, err := os.Create(filepath.Join(dir, "slow.png"))
	if err != nil {
		t.Fatal(err)
	}
	for i, part := range [][]byte{raw[:20], raw[20:50], raw[50:60], raw[60:]} {
		if i > 0 {
			time.Sleep(300 * time.Millisecond)
		}
		if _, err := f.Write(part); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(dir, "renamed.png.part"), blank(t, 4))
	if err := os.Rename(filepath.Join(dir, "renamed.png.part"), filepath.Join(dir, "renamed.png")); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(dir, "below", "deeper.png"), blank(t, 5))
	put(t, filepath.Join(dir, "cut.png"), blank(t, 6)[:50])
	put(t, filepath.Join(dir, "no picture.jpg"), []byte("a letter"))
	put(t, filepath.Join(dir, "box.zip"), []byte(zipOf(t, "member.jpg")))
	w.until("all are taken", func() bool { return len(w.names()) >= 7 })
	time.Sleep(300 * time.Millisecond)
	taken, said := w.end()
	slices.Sort(taken)
	if want := []string{"box.zip!member.jpg", "cut.png", "deeper.png", "no picture.jpg", "renamed.png", "slow.png", "there before.png"}; !slices.Equal(taken, want) || len(said) > 0 {
		t.Errorf("taken %v, want %v; said %v", taken, want, said)
	}
	list, err := w.d.Store().Captures(t.Context())
	if err != nil || len(list) != 5 {
		t.Errorf("%d captures, %v", len(list), err)
	}
	for _, c := range list {
		if filepath.Base(c.File) == "slow.png" && int(c.Size) != len(raw) {
			t.Errorf("slow.png was taken with %d of %d bytes", c.Size, len(raw))
		}
	}
	if files, err := os.ReadDir(dir); err != nil || len(files) != 9 {
		t.Errorf("%d files in the folder, %v", len(files), err)
	}
	todo, err := w.d.Todo(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var refused []string
	for _, x := range todo {
		if x.Why == TodoRefused {
			refused = append(refused, filepath.Base(x.File))
		}
	}
	if want := []string{"box.zip", "no picture.jpg"}; !slices.Equal(refused, want) {
		t.Errorf("todo lists %v as refused, want %v", refused, want)
	}

	again := watchFolder(t, kept, dir, WatchOptions{Patience: 300 * time.Millisecond})
	if err := os.Remove(filepath.Join(dir, "no picture.jpg")); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(dir, "slow.png"), blank(t, 7)) // the scanner uses a name once more
	again.until("the new file is taken", func() bool { return len(again.names()) > 0 })
	time.Sleep(500 * time.Millisecond)
	if taken, said := again.end(); !slices.Equal(taken, []string{"slow.png"}) || len(said) > 0 {
		t.Errorf("after a restart: taken %v, said %v", taken, said)
	}
	if list, err := again.d.Store().Watched(t.Context()); err != nil || slices.ContainsFunc(list, func(f archive.Watched) bool { return filepath.Base(f.Path) == "no picture.jpg" }) {
		t.Errorf("what is gone is still listed: %+v, %v", list, err)
	}
}

// TestWatchMoves: files are moved when they are kept, never over another; what is
// not kept stays; and a folder that is gone for a while is said once and used
// again.
func TestWatchMoves(t *testing.T) {
	kept, dir := t.TempDir(), filepath.Join(t.TempDir(), "in")
	to := filepath.Join(dir, "done")
	put(t, filepath.Join(to, "a.png"), []byte("another of that name"))
	put(t, filepath.Join(dir, "a.png"), blank(t, 1))
	put(t, filepath.Join(dir, "sub", "b.png"), blank(t, 2))
	put(t, filepath.Join(dir, "letter.png"), []byte("a letter"))
	w := watchFolder(t, kept, dir, WatchOptions{MoveTo: to, Patience: 200 * time.Millisecond})
	w.until("they are moved", func() bool { return exists(filepath.Join(to, "a-2.png")) && exists(filepath.Join(to, "sub", "b.png")) })
	if raw, err := os.ReadFile(filepath.Join(to, "a.png")); err != nil || string(raw) != "another of that name" {
		t.Errorf("a file was written over: %q, %v", raw, err)
	}
	w.until("the letter is refused", func() bool { return slices.Contains(w.names(), "letter.png") })
	if err := os.Rename(dir, dir+" away"); err != nil {
		t.Fatal(err)
	}
	time.Sleep(200 * time.Millisecond)
	if err := os.Rename(dir+" away", dir); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(dir, "c.png"), blank(t, 3))
	w.until("the next is moved", func() bool { return exists(filepath.Join(to, "c.png")) })
	_, said := w.end()
	if len(said) != 1 || !strings.Contains(said[0], "cannot be looked through") {
		t.Errorf("said %q", said)
	}
	for name, there := range map[string]bool{"a.png": false, "sub/b.png": false, "c.png": false, "letter.png": true} {
		if exists(filepath.Join(dir, name)) != there {
			t.Errorf("%s is there: %v, want %v", name, !there, there)
		}
	}
	if list, err := w.d.Store().Captures(t.Context()); err != nil || len(list) != 3 {
		t.Errorf("%d captures, %v", len(list), err)
	}
	// Kept, and then the program died before it moved the file.
	put(t, filepath.Join(dir, "a.png"), blank(t, 1))
	w = watchFolder(t, kept, dir, WatchOptions{MoveTo: to, Patience: time.Second})
	w.until("it is moved", func() bool { return exists(filepath.Join(to, "a-3.png")) })
	w.end()
	m := w.d.Import(t.Context(), ImportOptions{})
	if err := m.Watch(t.Context(), []string{dir}, WatchOptions{MoveTo: dir}); err == nil || !strings.Contains(err.Error(), "cannot be moved") {
		t.Errorf("moving into the folder itself: %v", err)
	}
	if err := m.Close(t.Context()); err != nil {
		t.Error(err)
	}
}
