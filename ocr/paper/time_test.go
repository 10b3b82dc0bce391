package paper

import (
	"context"
	"errors"
	"testing"

	"tankroll/internal/timeup"
	"tankroll/ocr/raster"
)

// findIn is what Find finds when it has all the time that it needs.
func findIn(t testing.TB, p Planes) []Candidate {
	t.Helper()
	found, err := Find(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// TestFindEndsWithTime: time is looked at before every threshold, fence and outline that
// is put together anew, and between the steps that choose; when it is up nothing more is
// done and nothing found.
func TestFindEndsWithTime(t *testing.T) {
	s := newScene(760, 820, woodGround)
	s.slip(leftSlip, 225)
	s.slip(rightSlip, 225)
	p := s.planes()
	whole := &timeup.Context{Context: t.Context(), Most: 1 << 30}
	found, err := Find(whole, p)
	if err != nil || len(found) != 2 {
		t.Fatalf("%d slips, %v", len(found), err)
	}
	// What Find does up to where outlines are put together, each mask counted.
	f := newFinder(p)
	masks := &timeup.Context{Context: t.Context(), Most: 1 << 30}
	err = f.addLevels(masks, f.closed)
	for _, ground := range []raster.Plane{f.closed, f.soft} {
		for _, mask := range fenced(ground) {
			f.add(mask)
			masks.Looks++
		}
	}
	together := &timeup.Context{Context: t.Context(), Most: 1 << 30}
	if err := errors.Join(err, f.addLevels(masks, coloured(f.closed, p)...), f.assemble(together)); err != nil {
		t.Fatal(err)
	}
	if masks.Looks < levels || together.Looks <= rounds {
		t.Errorf("time is looked at %d times for thresholds and fences, %d times as outlines are put together", masks.Looks, together.Looks)
	}
	if want := masks.Looks + together.Looks + 2; whole.Looks != want {
		t.Errorf("time is looked at %d times, want %d", whole.Looks, want)
	}
	for most := 0; most < whole.Looks; most = max(most+1, min(2*most, whole.Looks-3)) {
		l := &timeup.Context{Context: t.Context(), Most: most}
		if found, err := Find(l, p); !errors.Is(err, context.DeadlineExceeded) || found != nil || l.Looks != most+1 {
			t.Errorf("the time was up at look %d: %d slips, %v, looked at %d times", most, len(found), err, l.Looks)
		}
	}
}
