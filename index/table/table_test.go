package table

import (
	"context"
	"errors"
	"fmt"
	"math/rand"
	"path/filepath"
	"slices"
	"testing"
)

// TestAgainstMap changes records at random and compares the table with a map, as
// the writer and another process that has the file open see it.
func TestAgainstMap(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "fields.db")
	first, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewSource(1))
	docs := map[uint32]Doc{}
	change := func(w *Writer) error {
		for range 40 {
			no := uint32(rng.Intn(60))
			if no%3 == 0 {
				no += setChunk - 30 // on both sides of the end of a chunk
			}
			if rng.Intn(4) == 0 {
				delete(docs, no)
				if err := w.Delete(no); err != nil {
					return err
				}
				continue
			}
			d := Doc{No: no, Fact: fmt.Sprint(rng.Intn(9)), Numbers: map[string]int64{"at": int64(rng.Intn(3)) * rng.Int63n(1e15) * int64(1-2*rng.Intn(2))},
				Values: []Value{{"kind", fmt.Sprint(rng.Intn(3))}, {"site", fmt.Sprint(rng.Intn(9))}}}
			docs[no] = d
			if err := w.Put(d); err != nil {
				return err
			}
		}
		return nil
	}
	if err := first.Write(ctx, func(w *Writer) error { return change(w) }); err != nil {
		t.Fatal(err)
	}
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	tb, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer tb.Close()
	other, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	for range 10 {
		v, err := other.View(ctx)
		if err != nil {
			t.Fatal(err)
		}
		same(t, v, docs)
		if err := tb.Write(ctx, func(w *Writer) error { return change(w) }); err != nil {
			t.Fatal(err)
		}
		if _, err := v.Set(ctx, "kind", "not asked for before"); !errors.Is(err, ErrChanged) {
			t.Errorf("an old view reads what is new: %v", err)
		}
	}
	// What fails leaves nothing behind.
	broken := errors.New("broken off")
	kept := map[uint32]Doc{}
	for no, d := range docs {
		kept[no] = d
	}
	if err := tb.Write(ctx, func(w *Writer) error { return errors.Join(change(w), broken) }); !errors.Is(err, broken) {
		t.Errorf("%v", err)
	}
	v, err := tb.View(ctx)
	if err != nil {
		t.Fatal(err)
	}
	same(t, v, kept)
}

func same(t *testing.T, v *View, docs map[uint32]Doc) {
	t.Helper()
	ctx := context.Background()
	want := map[Value][]uint32{}
	for no, d := range docs {
		for _, x := range d.Values {
			want[x] = append(want[x], no)
		}
	}
	for _, field := range []string{"kind", "site"} {
		values, err := v.Values(ctx, field)
		if err != nil {
			t.Fatal(err)
		}
		if field == "site" {
			if err := v.Load(ctx, field, values); err != nil {
				t.Fatal(err)
			}
		}
		n := 0
		for x, list := range want {
			if x.Field != field {
				continue
			}
			n++
			slices.Sort(list)
			s, err := v.Set(ctx, field, x.Value)
			if err != nil {
				t.Fatal(err)
			}
			if got := s.ToArray(); !slices.Equal(got, list) || !slices.Contains(values, x.Value) {
				t.Fatalf("%v: %v, want %v", x, got, list)
			}
		}
		if n != len(values) {
			t.Fatalf("%s: %d values, want %d", field, len(values), n)
		}
	}
	at, err := v.Numbers(ctx, "at")
	if err != nil {
		t.Fatal(err)
	}
	for no, d := range docs {
		if got := at.Of(no); got != d.Numbers["at"] {
			t.Fatalf("number of %d: %d, want %d", no, got, d.Numbers["at"])
		}
	}
	if at.Of(1<<31) != 0 {
		t.Error("a number where there is none")
	}
}
