package worker

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"tankroll/ocr/decode/reason"
)

func TestMain(m *testing.M) {
	RunIfAsked()
	os.Exit(m.Run())
}

func kind(t *testing.T, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "testdata", "kinds", name))
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func newWorker(t *testing.T) *Worker {
	w := New()
	t.Cleanup(func() { w.Close() })
	return w
}

// TestKilled: a decoder that is stopped at its deadline, or dies, does not take
// the next file with it.
func TestKilled(t *testing.T) {
	w := newWorker(t)
	raw := kind(t, "grey.heic")
	if _, err := w.Picture(t.Context(), raw, 1e6); err != nil {
		t.Fatal(err)
	}
	if err := w.child.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Picture(t.Context(), raw, 1e6); !errors.Is(err, reason.ErrNotPicture) {
		t.Errorf("when its process has died: %v", err)
	}
	if p, err := w.Picture(t.Context(), raw, 1e6); err != nil || p.Luma.Rect.Dx() != 96 {
		t.Errorf("after that: %v", err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), time.Millisecond)
	defer cancel()
	if _, err := w.PDFPages(ctx, kind(t, "plain.pdf")); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("at the deadline: %v", err)
	}
	if n, err := w.PDFPages(t.Context(), kind(t, "plain.pdf")); n != 1 || err != nil {
		t.Errorf("after the deadline: %d pages, %v", n, err)
	}
}

// TestReasons: errors keep their reason on the way from the child.
func TestReasons(t *testing.T) {
	w := newWorker(t)
	if _, err := w.Picture(t.Context(), kind(t, "grey.heic"), 96*64-1); !errors.Is(err, reason.ErrTooLarge) {
		t.Errorf("a pixel too many: %v", err)
	}
	if _, err := w.PDFPages(t.Context(), kind(t, "encrypted.pdf")); !errors.Is(err, reason.ErrUnsupported) {
		t.Errorf("an encrypted PDF: %v", err)
	}
	if _, err := w.PDFPage(t.Context(), kind(t, "plain.pdf"), 0, 100); !errors.Is(err, reason.ErrTooLarge) {
		t.Errorf("a picture on a page with a pixel too many: %v", err)
	}
	if _, err := w.PDFPage(t.Context(), kind(t, "plain.pdf"), 7, 1e6); err == nil {
		t.Error("there is an eighth page")
	}
}

// TestTogether: several may ask at once, and close while others ask.
func TestTogether(t *testing.T) {
	w := newWorker(t)
	heic, pdf := kind(t, "colour.heic"), kind(t, "plain.pdf")
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			if i == 5 {
				w.Close()
			}
			if i%2 == 0 {
				if p, err := w.Picture(t.Context(), heic, 1e6); err != nil || p.Cb == nil {
					t.Errorf("HEIC: %v", err)
				}
			} else if p, err := w.PDFPage(t.Context(), pdf, 0, 1e6); err != nil || p.Luma.Rect.Dx() != 96 {
				t.Errorf("PDF: %v", err)
			}
		})
	}
	all.Wait()
}
