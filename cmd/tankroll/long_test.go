package main

import (
	"encoding/json"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/fixtures"
	"tankroll/record"
)

// TestLongSlip: a slip in two pictures is one document's slip with its parts,
// the other document says so, and a record that stands on both can be cut from
// both.
func TestLongSlip(t *testing.T) {
	l, err := fixtures.MakeLong("fit", "scan", 101, 5)
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, p := range l.Photos {
		files = append(files, file(t, p.Name+"."+p.Ext, p.Raw))
	}
	// From the bottom up, with a file between that is none.
	out, _, code := tankroll(t, append([]string{"read", "--json"}, files[1], files[0], filepath.Join(t.TempDir(), "gone.jpg"))...)
	docs := documents(t, out)
	if code != exitFailed || len(docs) != 3 || docs[0].File != files[1] || docs[1].File != files[0] || docs[2].Error == "" {
		t.Fatalf("exit %d, documents %s", code, out)
	}
	lower, upper := docs[0].Slips[0], docs[1].Slips[0]
	if lower.JoinedInto == nil || lower.JoinedInto.File != files[0] || len(lower.Records) > 0 || len(lower.Text) == 0 {
		t.Errorf("the lower picture: %+v", lower)
	}
	if len(upper.Parts) != 2 || upper.Parts[0].File != files[0] || upper.Parts[1].File != files[1] || upper.Paper.CutOff {
		t.Errorf("the upper picture: %+v", upper)
	}
	if !strings.Contains(out, `"part":1`) || strings.Contains(out, `"part":0`) {
		t.Error("no field says that it stands on the second part, or one says that it stands on the first")
	}

	dir := filepath.Join(t.TempDir(), "archive")
	out, errs, code := tankroll(t, append([]string{"--archive", dir, "add"}, files...)...)
	if code != exitDone {
		t.Fatalf("exit %d: %s", code, errs)
	}
	for _, want := range []string{"goes on on " + files[1] + " (c2), read as one slip", "read as one slip with " + files[0] + " (c1)"} {
		if !strings.Contains(out, want) {
			t.Errorf("add does not say %q:\n%s", want, out)
		}
	}
	heights := map[string]int{}
	for i, r := range upper.Records {
		id, cut := fmt.Sprintf("r%d", i+1), filepath.Join(t.TempDir(), "cut.png")
		out, errs, code := tankroll(t, "--archive", dir, "show", id, "--picture", cut)
		if code != exitDone {
			t.Fatalf("show %s: exit %d: %s", id, code, errs)
		}
		if n := strings.Count(out, "  picture  "); n != len(r.Areas()) {
			t.Errorf("show %s names %d pictures, it stands on %d:\n%s", id, n, len(r.Areas()), out)
		}
		f, err := os.Open(cut)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		heights[id] = img.Bounds().Dy()
		least := 0
		for _, b := range r.Areas() {
			least += b.H
		}
		if heights[id] < least {
			t.Errorf("the cut of %s is %d high, its places are %d", id, heights[id], least)
		}
	}
}

func documents(t *testing.T, out string) []record.Page {
	t.Helper()
	var docs []record.Page
	for _, l := range strings.Split(strings.TrimSpace(out), "\n") {
		var p record.Page
		if err := json.Unmarshal([]byte(l), &p); err != nil {
			t.Fatalf("%v: %s", err, l)
		}
		docs = append(docs, p)
	}
	return docs
}
