package ocr

import (
	"bytes"
	"context"
	"errors"
	"image"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tankroll/internal/golden"
	"tankroll/internal/timeup"
)

// watched notes at which step of a trace the time is looked at.
type watched struct {
	timeup.Context
	steps *int  // done so far
	looks []int // steps done at each look
}

// watch reads the kept picture with a trace until the time was looked at most times.
func watch(t *testing.T, r *Reader, name string, most int) (w *watched, dir string, err error) {
	t.Helper()
	px, err := decodeOne(kept(t, name).Raw)
	if err != nil {
		t.Fatal(err)
	}
	dir = t.TempDir()
	steps := newTrace(dir, 1)
	w = &watched{steps: steps.next}
	w.Context = timeup.Context{Context: t.Context(), Most: most, Note: func() { w.looks = append(w.looks, *w.steps) }}
	_, err = r.slips(w, px, steps)
	return w, dir, err
}

// TestTraceHoldsEveryStep compares the names of the steps that a trace of a worn scan and
// one of a page of a binder hold, and where among them the time limit is looked at; the
// lines of a slip and looks in a row are named once. Each is a picture that shows
// something, or a text.
func TestTraceHoldsEveryStep(t *testing.T) {
	r := testReader(t, Options{})
	for _, name := range []string{"0108-worn-scan", "0114-binder-page"} {
		w, dir, err := watch(t, r, name, 1<<30)
		if err != nil {
			t.Fatal(err)
		}
		golden.Equal(t, "steps/"+name+".txt", strings.Join(stepNames(t, dir, w.looks), "\n")+"\n")
	}
}

// stepNames are the steps of a trace in their order, with the looks at the time.
func stepNames(t *testing.T, dir string, looks []int) []string {
	t.Helper()
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	named := map[int]string{}
	for _, f := range files {
		m := regexp.MustCompile(`^(\d+)-(.*)\.(png|txt)$`).FindStringSubmatch(f.Name())
		if m == nil {
			t.Fatalf("a file %s in the trace", f.Name())
		}
		n, _ := strconv.Atoi(m[1])
		named[n] = m[2]
		if raw, err := os.ReadFile(filepath.Join(dir, f.Name())); err != nil || m[3] == "png" && !shows(raw) {
			t.Errorf("%s shows nothing: %v", f.Name(), err)
		}
	}
	var out []string
	add := func(s string) {
		if len(out) == 0 || out[len(out)-1] != s {
			out = append(out, s)
		}
	}
	for n := range len(named) + 1 {
		if n > 0 {
			if named[n] == "" {
				t.Errorf("step %d was not written", n)
			}
			add(named[n])
		}
		for ; len(looks) > 0 && looks[0] == n; looks = looks[1:] {
			add("  time?")
		}
	}
	return out
}

// shows is whether a picture is not all of one colour.
func shows(raw []byte) bool {
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return false
	}
	b := img.Bounds()
	first := img.At(b.Min.X, b.Min.Y)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			if img.At(x, y) != first {
				return true
			}
		}
	}
	return false
}

// TestTimeEndsSteps: whenever the time is up no further step is done.
func TestTimeEndsSteps(t *testing.T) {
	r := testReader(t, Options{})
	for most := 0; ; most = 2*most + 1 {
		w, _, err := watch(t, r, "0108-worn-scan", most)
		if err == nil {
			if most < 7 {
				t.Errorf("all is read though the time was up at look %d", most)
			}
			return
		}
		if !errors.Is(err, context.DeadlineExceeded) {
			t.Fatal(err)
		}
		at := w.looks[most]
		if len(w.looks) != most+1 || *w.steps != at {
			t.Errorf("the time was up at look %d, step %d: it was looked at %d times, and %d more steps were done", most, at, len(w.looks), *w.steps-at)
		}
	}
}
