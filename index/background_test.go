package index

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestAnswersWhileRebuilt: until a new index is done the old one answers, in this
// process and as another would, what comes in meanwhile included; then the new one
// answers, without that anything is opened anew.
func TestAnswersWhileRebuilt(t *testing.T) {
	ctx := context.Background()
	s, dir := newArchive(t)
	some(t, s, 3)
	ix, other := openIndex(t, dir, s), openIndex(t, dir, s)
	if a := ask(t, ix, allTests); a.Total != 3 {
		t.Fatalf("%d", a.Total)
	}
	before := folder(t, dir)
	asked := false
	other.testOnlyBuilding = func() {
		asked = true
		some(t, s, 5)
		for _, x := range []*Index{ix, other} {
			if a := ask(t, x, allTests); a.Total != 5 {
				t.Errorf("while it is made anew: %d", a.Total)
			}
		}
		if hits, err := findHits(ix, "leak"); err != nil || len(hits) != 8 {
			t.Errorf("while it is made anew: %d slips, %v", len(hits), err)
		}
	}
	if err := other.Rebuild(ctx); err != nil || !asked {
		t.Fatal(err, asked)
	}
	for _, x := range []*Index{ix, other} {
		if a := ask(t, x, allTests); a.Total != 5 {
			t.Errorf("afterwards: %d", a.Total)
		}
		if hits, err := findHits(x, "leak"); err != nil || len(hits) != 8 {
			t.Errorf("afterwards: %d slips, %v", len(hits), err)
		}
	}
	if now := folder(t, dir); now == before {
		t.Errorf("the old index in %s still answers", now)
	}
	if _, err := os.Stat(before); err == nil {
		t.Errorf("%s is left over", before)
	}
}

// TestRebuildFails: a rebuild that is broken off leaves the old index.
func TestRebuildFails(t *testing.T) {
	s, dir := newArchive(t)
	some(t, s, 3)
	ix := openIndex(t, dir, s)
	ctx, stop := context.WithCancel(context.Background())
	ix.testOnlyBuilding = stop
	if err := ix.Rebuild(ctx); err == nil {
		t.Error("a rebuild that was broken off says that it is done")
	}
	if a := ask(t, ix, allTests); a.Total != 3 {
		t.Errorf("%d", a.Total)
	}
}

// TestOlderContent: an index in which an older program put other values answers,
// says so, and is made anew by Renew.
func TestOlderContent(t *testing.T) {
	ctx := context.Background()
	s, dir := newArchive(t)
	some(t, s, 3)
	ix := openIndex(t, dir, s)
	p, err := ix.readPointer()
	if err != nil {
		t.Fatal(err)
	}
	p.Content = content - 1
	if err := ix.writePointer(p); err != nil {
		t.Fatal(err)
	}
	if a := ask(t, ix, allTests); a.Total != 3 || !strings.Contains(strings.Join(a.Notes, "\n"), "tankroll reindex") {
		t.Errorf("%d: %q", a.Total, a.Notes)
	}
	if err := ix.Renew(ctx); err != nil {
		t.Fatal(err)
	}
	if a := ask(t, ix, allTests); a.Total != 3 || strings.Contains(strings.Join(a.Notes, "\n"), "tankroll reindex") {
		t.Errorf("renewed: %d: %q", a.Total, a.Notes)
	}
	now, err := ix.readPointer()
	if err != nil || now.Folder == p.Folder || now.Content != content {
		t.Errorf("renewed: %+v %v", now, err)
	}
	if err := ix.Renew(ctx); err != nil {
		t.Fatal(err)
	}
	if again, err := ix.readPointer(); err != nil || again != now {
		t.Errorf("renewed without need: %+v %v", again, err)
	}
}

// TestPartsAreJoined: however many times pictures are added, there are few parts,
// and every slip is found once, also by an index that was open all the time.
func TestPartsAreJoined(t *testing.T) {
	s, dir := newArchive(t)
	ix, other := openIndex(t, dir, s), openIndex(t, dir, s)
	const adds = 3*joinParts + 2
	for i := range adds {
		put(t, s, "114", []string{fmt.Sprintf("LEAK NUMBER %d", i)}, test("1", "diesel", "0.2", fmt.Sprintf("2025-01-%02dT03:00", i+1), "pass"))
		if err := ix.CatchUp(context.Background()); err != nil {
			t.Fatal(err)
		}
		if i%7 == 0 {
			if _, f := findAll(t, other, Search{Text: "leak"}); f.Total != i+1 {
				t.Errorf("after %d: %d slips", i+1, f.Total)
			}
		}
	}
	list, err := filepath.Glob(filepath.Join(folder(t, dir), "p*"))
	if err != nil || len(list) > 3+joinParts {
		t.Errorf("%d parts after %d additions: %v", len(list), adds, err)
	}
	for _, x := range []*Index{ix, other} {
		for i := range adds {
			if got, _ := findAll(t, x, Search{Text: fmt.Sprintf("number %d", i)}); got != fmt.Sprintf("c%d ", i+1) {
				t.Errorf("number %d: %q", i, got)
			}
		}
	}
}
