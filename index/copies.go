package index

import (
	"fmt"

	"tankroll/archive"
)

// copiesOf tells which records repeat what a better one tells. Records on one
// slip never repeat each other: a slip that lists the same thing twice means
// two things.
func copiesOf(rows []archive.Row) map[string]bool {
	seen := map[string]int{}      // slip -> records of this event on it
	best := map[int]archive.Row{} // n-th on its slip -> the one that counts
	members := map[int][]archive.Row{}
	copies := map[string]bool{}
	for _, r := range rows {
		if r.One != "" { // another picture of a record that has a row already
			copies[r.ID] = true
			continue
		}
		slip := fmt.Sprintf("%s/%d/%d", r.Capture, r.Page, r.Slip)
		if r.ByHand {
			slip = "by hand"
		}
		n := seen[slip]
		seen[slip]++
		members[n] = append(members[n], r)
		if b, ok := best[n]; !ok || better(r, b) {
			best[n] = r
		}
	}
	for n, list := range members {
		for _, r := range list {
			copies[r.ID] = r.ID != best[n].ID
		}
	}
	return copies
}

// better reports whether a is the better witness of an event than b; of equals
// the older record stays.
func better(a, b archive.Row) bool {
	switch {
	case a.Confirmed != b.Confirmed:
		return a.Confirmed
	case a.Sure() != b.Sure():
		return a.Sure()
	}
	return !a.ByHand && b.ByHand
}
