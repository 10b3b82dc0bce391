package index

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"

	"tankroll/index/table"
	"tankroll/index/text"
)

// pointer is the file that names the folder of the index that answers. A new
// index is made in a folder of its own and takes over when the file is replaced,
// so that an answer is given by one or by the other.
const pointer = "current"

// pointed is what the file holds.
type pointed struct {
	Folder  string `json:"folder"`
	Format  int    `json:"format"`
	Content int    `json:"content"`
	Made    int64  `json:"made"` // nanoseconds since 1970: no two are the same
}

// generation is one index in its folder: a table of typed fields and the parts
// of the text index. It is kept open while it answers.
type generation struct {
	pointed
	dir   string
	table *table.Table
	users int  // calls that use it; guarded by Index.mu
	old   bool // another one answers now; guarded by Index.mu

	mu    sync.Mutex
	view  view
	parts map[string]*text.Part
	gone  []*text.Part // no longer part of it, perhaps still in use
}

func tablePath(dir string) string { return filepath.Join(dir, "fields.db") }

func openGeneration(base string, p pointed) (*generation, error) {
	dir := filepath.Join(base, p.Folder)
	t, err := table.Open(tablePath(dir))
	if err != nil {
		return nil, err
	}
	return &generation{pointed: p, dir: dir, table: t, parts: map[string]*text.Part{}}, nil
}

func (g *generation) close() error {
	err := g.table.Close()
	for _, p := range g.parts {
		err = errors.Join(err, p.Close())
	}
	for _, p := range g.gone {
		err = errors.Join(err, p.Close())
	}
	return err
}

// now is the newest view of the index.
func (g *generation) now(ctx context.Context) (view, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.view != nil {
		err := g.view.Current(ctx)
		if err == nil {
			return g.view, nil
		}
		if !errors.Is(err, table.ErrChanged) {
			return nil, err
		}
	}
	t, err := g.table.View(ctx)
	if err != nil {
		return nil, err
	}
	seq, err := g.table.Note(ctx, noteSeq)
	if err != nil {
		return nil, err
	}
	keep := map[string]bool{}
	for _, p := range t.Parts {
		keep[p.Name] = true
	}
	for name, p := range g.parts {
		if !keep[name] {
			g.gone = append(g.gone, p)
			delete(g.parts, name)
		}
	}
	g.view = &snapshot{View: t, gen: g, seq: seq}
	return g.view, t.Current(ctx)
}

// part opens a part of the text index when it is first needed.
func (g *generation) part(p table.Part) (*text.Part, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if open, ok := g.parts[p.Name]; ok {
		return open, nil
	}
	open, err := text.OpenPart(filepath.Join(g.dir, p.Name), p.Sum)
	if err != nil {
		return nil, err
	}
	g.parts[p.Name] = open
	return open, nil
}

// readPointer reads which folder answers.
func (ix *Index) readPointer() (pointed, error) {
	var p pointed
	raw, err := os.ReadFile(filepath.Join(ix.dir, pointer))
	if err != nil {
		return p, fmt.Errorf("%w: %w", errUnfit, err)
	}
	if err := json.Unmarshal(raw, &p); err != nil || folderNo(p.Folder) == 0 {
		return p, fmt.Errorf("%w: it does not say where it is", errUnfit)
	}
	if p.Format != format {
		return p, fmt.Errorf("%w: it has format %d", errUnfit, p.Format)
	}
	return p, nil
}

func (ix *Index) writePointer(p pointed) error {
	raw, err := json.Marshal(p)
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(ix.dir, pointer+"-")
	if err != nil {
		return err
	}
	_, err = f.Write(raw)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), filepath.Join(ix.dir, pointer))
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// folderNo is the number of an index's folder such as g12, 0 for anything else.
func folderNo(name string) int {
	n, err := strconv.Atoi(strings.TrimPrefix(name, "g"))
	if err != nil || n < 1 || name != "g"+strconv.Itoa(n) {
		return 0
	}
	return n
}

// sweep takes away what is not the index that answers: what a crash left, older
// indexes and those of older formats. A process that still answers from one has
// its files open. It returns the number for the next folder.
func (ix *Index) sweep() (int, error) {
	list, err := os.ReadDir(ix.dir)
	if err != nil {
		return 0, err
	}
	p, _ := ix.readPointer()
	next := 1
	for _, e := range list {
		n := e.Name()
		next = max(next, folderNo(n)+1)
		if n != p.Folder && (folderNo(n) > 0 || n == "words" || n == "new" || n == "old" || strings.HasPrefix(n, pointer+"-")) {
			os.RemoveAll(filepath.Join(ix.dir, n)) // where an open file cannot be removed, the next sweep tries again
		}
	}
	return next, nil
}

// hold gives the index that answers and keeps it open until release is called.
func (ix *Index) hold() (g *generation, release func(), err error) {
	p, err := ix.readPointer()
	if err != nil {
		return nil, nil, err
	}
	ix.mu.Lock()
	defer ix.mu.Unlock()
	if ix.closed {
		return nil, nil, errClosed
	}
	if ix.gen == nil || ix.gen.pointed != p {
		fresh, err := openGeneration(ix.dir, p)
		if err != nil {
			return nil, nil, err
		}
		ix.retire()
		ix.gen = fresh
	}
	g = ix.gen
	g.users++
	return g, func() {
		ix.mu.Lock()
		defer ix.mu.Unlock()
		if g.users--; g.old && g.users == 0 {
			g.close()
		}
	}, nil
}

// retire closes the index that is open as soon as nobody uses it. The caller
// holds mu.
func (ix *Index) retire() {
	if ix.gen == nil {
		return
	}
	ix.gen.old = true
	if ix.gen.users == 0 {
		ix.gen.close()
	}
	ix.gen = nil
}

var errClosed = errors.New("the index is closed")
