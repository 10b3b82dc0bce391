package intake

import (
	"cmp"
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"tankroll/archive"
)

// WatchOptions say how folders are watched; the zero value works.
type WatchOptions struct {
	Every    time.Duration               // between two looks; 0 means 2 seconds
	Still    time.Duration               // for how long a file must not have changed; 0 means 5 seconds
	Patience time.Duration               // the same for one that looks incomplete; 0 means a minute
	MoveTo   string                      // folder that files go to when they are kept; "" leaves them where they are
	After    func(context.Context) error // is called when files were taken
	Say      func(where string, e error) // what is wrong with a folder or with moving a file, said once
}

func (o WatchOptions) withDefaults() WatchOptions {
	orElse := func(d *time.Duration, otherwise time.Duration) {
		if *d <= 0 {
			*d = otherwise
		}
	}
	orElse(&o.Every, 2*time.Second)
	orElse(&o.Still, 5*time.Second)
	orElse(&o.Patience, time.Minute)
	if o.Say == nil {
		o.Say = func(string, error) {}
	}
	return o
}

// Watch takes in what comes into folders, until ctx ends. A folder is looked
// through again and again, which works on network shares as well, where nobody
// tells of changes. A file is taken when its size and time have stood still for a
// while by this machine's clock and it can be opened to its end; one that cannot
// is given more time, for scanners that pause, before it is taken for damaged.
//
// Files are never changed or deleted. With MoveTo they are moved there, each when
// the archive has acknowledged it. What was taken or refused is remembered in the
// archive, so that a restart neither reads everything again nor complains again.
func (m *Import) Watch(ctx context.Context, dirs []string, o WatchOptions) error {
	w := &watch{m: m, o: o.withDefaults(), files: map[string]*watched{}, noted: map[string]archive.Watched{}, said: map[string]string{}}
	for _, d := range dirs {
		abs, err := filepath.Abs(d)
		if err != nil {
			return err
		}
		w.dirs = append(w.dirs, abs)
	}
	if o.MoveTo != "" {
		var err error
		if w.o.MoveTo, err = filepath.Abs(o.MoveTo); err != nil {
			return err
		}
		if slices.Contains(w.dirs, w.o.MoveTo) {
			return fmt.Errorf("%s: files cannot be moved to where they are; name another folder", o.MoveTo)
		}
	}
	list, err := m.d.store.Watched(ctx)
	if err != nil {
		return err
	}
	for _, n := range list {
		w.noted[n.Path] = n
	}
	for ctx.Err() == nil {
		if err := w.round(ctx); err != nil && ctx.Err() == nil {
			return err
		}
		select {
		case <-ctx.Done():
		case <-time.After(w.o.Every):
		}
	}
	return ctx.Err()
}

// watch is the state of Watch.
type watch struct {
	m     *Import
	o     WatchOptions
	dirs  []string
	files map[string]*watched        // those that are there
	noted map[string]archive.Watched // what the archive remembers
	said  map[string]string          // what was complained of, by place
}

// watched is a file as it was last seen.
type watched struct {
	path, dir string
	size      int64
	changed   time.Time
	since     time.Time // when it was first seen like this
	done      bool      // nothing is to be done until it changes

	refused string // why it was not kept, or ""
	parts   int    // inputs of it that were given out
}

// round looks through the folders once and takes what is ready.
func (w *watch) round(ctx context.Context) error {
	now := time.Now()
	for _, dir := range w.dirs {
		if err := w.look(ctx, dir, now); err != nil {
			return err
		}
	}
	var ready []*watched
	for _, f := range w.files {
		if !f.done && now.Sub(f.since) >= w.o.Still {
			ready = append(ready, f)
		}
	}
	if len(ready) == 0 {
		return nil
	}
	// As they were made: the pictures of a long slip follow each other.
	slices.SortFunc(ready, func(a, b *watched) int {
		return cmp.Or(a.changed.Compare(b.changed), strings.Compare(a.path, b.path))
	})
	return w.take(ctx, ready, now)
}

// look brings what is known of a folder up to date. A folder that cannot be read
// now may be there again later: nothing is concluded from it.
func (w *watch) look(ctx context.Context, dir string, now time.Time) error {
	there := map[string]bool{}
	whole := true
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			whole = false
			w.say(path, fmt.Errorf("cannot be looked through (%w); it is tried again and again", plain(err)))
			return nil
		case d.IsDir() && path != dir && (hidden(d) || path == w.o.MoveTo):
			return filepath.SkipDir
		case d.IsDir():
			w.say(path, nil)
			return nil
		case !d.Type().IsRegular() || !wanted(path, d):
			return nil
		}
		info, err := d.Info()
		if err != nil {
			return nil // gone, or not quite there
		}
		there[path] = true
		w.see(path, dir, info, now)
		return nil
	})
	if err != nil || !whole {
		return err
	}
	for path, f := range w.files {
		if f.dir == dir && !there[path] {
			delete(w.files, path)
		}
	}
	for path, n := range w.noted {
		if n.Error != "" && !there[path] && strings.HasPrefix(path, dir+string(filepath.Separator)) {
			if err := w.forget(ctx, path); err != nil { // what is gone need not be looked at
				return err
			}
		}
	}
	return nil
}

// see notes a file as it is now.
func (w *watch) see(path, dir string, info fs.FileInfo, now time.Time) {
	f := w.files[path]
	if f != nil && f.size == info.Size() && f.changed.Equal(info.ModTime()) {
		return
	}
	f = &watched{path: path, dir: dir, size: info.Size(), changed: info.ModTime(), since: now}
	// One that was kept is taken again where it still has to be moved.
	if n, ok := w.noted[path]; ok && n.Size == f.size && n.Changed.Equal(f.changed) {
		f.done = n.Error != "" || w.o.MoveTo == ""
	}
	w.files[path] = f
}

// say tells of something wrong, once, until it is right again or something else
// is wrong.
func (w *watch) say(where string, err error) {
	if err == nil {
		delete(w.said, where)
		return
	}
	if text := err.Error(); w.said[where] != text {
		w.said[where] = text
		w.o.Say(where, err)
	}
}

func (w *watch) forget(ctx context.Context, path string) error {
	delete(w.noted, path)
	return w.m.d.store.Forget(ctx, path)
}

// take takes files in and notes what became of each.
func (w *watch) take(ctx context.Context, ready []*watched, now time.Time) error {
	byPath := map[string]*watched{}
	for _, f := range ready {
		byPath[f.path] = f
	}
	w.m.onDone = func(o Outcome) {
		f := byPath[o.File]
		for name := o.File; f == nil && name != ""; f = byPath[name] { // a member of a ZIP
			name = name[:max(strings.LastIndex(name, "!"), 0)]
		}
		if f == nil {
			return
		}
		f.parts++
		if o.Capture == "" && f.refused == "" {
			f.refused = o.Reason
		}
	}
	var taken []*watched
	err := w.m.Run(ctx, func(ctx context.Context, put func(Input) error, fail func(string, error)) error {
		for _, f := range ready {
			if !w.complete(ctx, f, now) {
				continue
			}
			taken = append(taken, f)
			if err := takeFile(ctx, f.path, foldersOf(f.dir, f.path), w.m.d.most, put, fail); err != nil {
				return stopping(ctx, err)
			}
		}
		return ctx.Err()
	})
	w.m.onDone = nil
	if err != nil {
		return err
	}
	for _, f := range taken {
		if err := w.settle(ctx, f); err != nil {
			return err
		}
	}
	if len(taken) > 0 && w.o.After != nil {
		return w.o.After(ctx)
	}
	return nil
}

// complete tells whether a file can be taken: it can be opened to its end, or has
// had all the time it can have.
func (w *watch) complete(ctx context.Context, f *watched, now time.Time) bool {
	if !f.unchanged() {
		return false // the next look sees it
	}
	if now.Sub(f.since) >= w.o.Patience {
		return true
	}
	if strings.EqualFold(filepath.Ext(f.path), ".zip") {
		return zipComplete(f.path)
	}
	raw, err := ReadFile(f.path, w.m.d.most)
	return err == nil && w.m.d.reader.Check(ctx, raw) == nil && f.unchanged()
}

// unchanged reports whether the file is as it was seen.
func (f *watched) unchanged() bool {
	info, err := os.Lstat(f.path)
	return err == nil && info.Size() == f.size && info.ModTime().Equal(f.changed)
}

// settle notes what became of a file and moves it, when it is all in the archive.
func (w *watch) settle(ctx context.Context, f *watched) error {
	if f.parts == 0 {
		f.refused = "holds no picture"
	}
	f.done = true
	n := archive.Watched{Path: f.path, Size: f.size, Changed: f.changed, Error: f.refused}
	if err := w.m.d.store.Looked(ctx, n); err != nil {
		return err
	}
	w.noted[f.path] = n
	if w.o.MoveTo == "" || f.refused != "" || !f.unchanged() {
		return nil
	}
	if err := moveTo(f.dir, f.path, w.o.MoveTo); err != nil {
		w.say(f.path, fmt.Errorf("is kept, but cannot be moved to %s: %w", w.o.MoveTo, err))
		return nil
	}
	delete(w.files, f.path)
	return w.forget(ctx, f.path)
}
