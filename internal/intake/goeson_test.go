package intake

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/record"
)

// TestGoesOnInFile: a file of many pages that was read halfway goes on with the
// pages that are left, and gives all of them out once; when reading it ends the
// program each time, the pages that were read stand.
func TestGoesOnInFile(t *testing.T) {
	const n = 6
	raw := grayTIFF(n)
	for _, poison := range []bool{false, true} {
		d := halfRead(t, raw)
		b, err := d.Store().Queue().Begun(t.Context(), "c1")
		read := len(b.Read)
		if err != nil || b.Pages != n || read >= n {
			t.Fatalf("%d of %d pages were noted, %v", read, b.Pages, err)
		}
		want := n - read
		for range mostTries {
			if poison {
				want = 0
				if _, ok, err := d.Store().Queue().Claim(t.Context(), "dying", "", -time.Second); err != nil || !ok {
					t.Fatal(ok, err)
				}
			}
		}
		var pages []int
		again := d.Import(t.Context(), ImportOptions{Page: func(p record.Page) error {
			pages = append(pages, p.Page)
			if aside := strings.Contains(p.Error, "ended the program"); aside != (poison && b.Read[p.Page].Page == 0) {
				t.Errorf("page %d: %q", p.Page, p.Error)
			}
			return nil
		}})
		if err := errors.Join(again.Run(t.Context(), inputs("many.tiff", raw)), again.Close(t.Context())); err != nil {
			t.Fatal(err)
		}
		if got := again.Progress().Pages; got != want || !slices.Equal(pages, []int{1, 2, 3, 4, 5, 6}) {
			t.Errorf("of %d pages %d were read before and %d after; given out: %v", n, read, got, pages)
		}
		if bad, err := d.Store().Check(t.Context()); err != nil || len(bad) > 0 {
			t.Errorf("%v %v", bad, err)
		}
	}
}

// grayTIFF is a TIFF of n blank pages.
func grayTIFF(n int) []byte {
	const side = 24
	le := binary.LittleEndian
	out := le.AppendUint32([]byte("II*\x00"), 8)
	tags := [][3]uint32{{256, 4, side}, {257, 4, side}, {258, 3, 8}, {259, 3, 1}, {262, 3, 1}, {273, 4, 0}, {277, 3, 1}, {278, 4, side}, {279, 4, side * side}}
	for p := range n {
		strip := uint32(len(out) + 2 + 12*len(tags) + 4)
		out = le.AppendUint16(out, uint16(len(tags)))
		for _, tag := range tags {
			if tag[0] == 273 {
				tag[2] = strip
			}
			out = le.AppendUint16(le.AppendUint16(out, uint16(tag[0])), uint16(tag[1]))
			out = le.AppendUint32(le.AppendUint32(out, 1), tag[2])
		}
		next := strip + side*side
		if p == n-1 {
			next = 0
		}
		out = le.AppendUint32(out, next)
		out = append(out, bytes.Repeat([]byte{byte(200 + p)}, side*side)...)
	}
	return out
}

// halfRead is a desk that was stopped when some pages of a file were read. On a busy
// machine all of them may be before anybody looks: then it is done once more.
func halfRead(t *testing.T, raw []byte) *Desk {
	t.Helper()
	const tries, enough = 50, 3
	for range tries {
		d := desk(t, t.TempDir())
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		m := d.Import(ctx, ImportOptions{Jobs: 1})
		ended := make(chan error, 1)
		go func() { ended <- m.Run(ctx, inputs("many.tiff", raw)) }()
		var err error
		for read, over := 0, false; read < enough && !over; {
			b, e := d.Store().Queue().Begun(t.Context(), "c1")
			if e != nil && !errors.Is(e, archive.ErrNotFound) {
				t.Fatal(e)
			}
			read = len(b.Read)
			select {
			case err = <-ended:
				over = true
			default:
			}
			if over && err != nil {
				t.Fatalf("it ended with %v before it was stopped", err)
			}
			if read >= enough && !over {
				cancel()
				if err = <-ended; errors.Is(err, context.Canceled) {
					if err := m.Close(ctx); err != nil {
						t.Fatal(err)
					}
					return d
				}
			}
		}
		if err := m.Close(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	t.Fatalf("it was never stopped in %d tries", tries)
	return nil
}
