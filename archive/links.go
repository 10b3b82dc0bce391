package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"maps"
	"slices"

	"tankroll/record"
)

// Links are what ties a slip to slips of other pictures; none for nearly all.
type Links struct {
	Whole   *Whole       `json:"whole,omitempty"`     // on the page where a slip that was joined of several pictures begins
	Into    *record.Ref  `json:"into,omitempty"`      // on the pages of its other parts: where it begins
	MayGoOn []record.Ref `json:"may_go_on,omitempty"` // perhaps the same slip, too little is on both pictures to be sure
}

// Whole is a joined slip; its Parts name captures.
type Whole struct {
	Slip   record.Slip   `json:"slip"`
	Report record.Report `json:"report"`
}

// Joined gives the slip that stands on the page: the joined one where it
// begins there, else the slip as it was seen. Of one that was joined into
// another the report is empty: what it says stands there.
func (r SlipReading) Joined() (record.Slip, record.Report) {
	switch {
	case r.Whole != nil:
		return r.Whole.Slip, r.Whole.Report
	case r.Into != nil:
		return r.Slip, record.Report{}
	}
	return r.Slip, r.Report
}

// text is the links as they are kept.
func (l Links) text() (string, error) {
	if l.Whole == nil && l.Into == nil && len(l.MayGoOn) == 0 {
		return "", nil
	}
	raw, err := json.Marshal(l)
	return string(raw), err
}

// noteLinks adds the captures that readings are joined with.
func noteLinks(readings []Reading, to map[int64]bool) error {
	for _, p := range readings {
		for _, sl := range p.Slips {
			var refs []record.Ref
			if sl.Into != nil {
				refs = append(refs, *sl.Into)
			}
			if sl.Whole != nil {
				for _, part := range sl.Whole.Slip.Parts {
					refs = append(refs, part.Ref)
				}
			}
			for _, r := range refs {
				n, err := number("c", r.Capture)
				if err != nil {
					return err
				}
				to[n] = true
			}
		}
	}
	return nil
}

// settleLinks takes back what is linked from one side only. It returns the
// readings of the captures that were saved and of those that changed by it.
func settleLinks(ctx context.Context, t *sql.Tx, seq int64, saved []int64, linked map[int64]bool) (map[int64][]Reading, error) {
	all := map[int64][]Reading{}
	for _, c := range saved {
		linked[c] = true
	}
	for len(all) < len(linked) { // what is linked may be linked further
		for _, c := range slices.Sorted(maps.Keys(linked)) {
			if _, ok := all[c]; ok {
				continue
			}
			var err error
			if all[c], err = pageReadings(ctx, t, c); err != nil {
				return nil, err
			}
			if err := noteLinks(all[c], linked); err != nil {
				return nil, err
			}
		}
	}
	changed := map[int64]bool{}
	for again := true; again; { // a whole that is taken back frees its other parts
		again = false
		for c, readings := range all {
			n, err := cutLoose(ctx, t, c, readings, all)
			if err != nil {
				return nil, err
			}
			if n > 0 {
				changed[c], again = true, true
			}
		}
	}
	out := map[int64][]Reading{}
	for c, readings := range all {
		own := slices.Contains(saved, c)
		if own || changed[c] {
			out[c] = readings
		}
		if own || !changed[c] {
			continue
		}
		if _, err := t.ExecContext(ctx, `UPDATE captures SET seq = ? WHERE id = ?`, seq, c); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// cutLoose takes back the links of one capture that are not returned, and
// counts them.
func cutLoose(ctx context.Context, t *sql.Tx, c int64, readings []Reading, all map[int64][]Reading) (int, error) {
	n := 0
	for i, p := range readings {
		for k := range p.Slips {
			sl := &readings[i].Slips[k]
			here := record.Ref{Capture: name("c", c), Page: p.Page, Slip: k}
			if (sl.Whole == nil || returned(sl.Whole, here, all)) && (sl.Into == nil || holds(at(all, *sl.Into), here)) {
				continue
			}
			n++
			sl.Whole, sl.Into = nil, nil
			text, err := sl.Links.text()
			if err != nil {
				return n, err
			}
			if _, err := t.ExecContext(ctx, `UPDATE slips SET joined = ? WHERE capture = ? AND page = ? AND slip = ?`, text, c, p.Page, k); err != nil {
				return n, err
			}
		}
	}
	return n, nil
}

// returned reports whether a joined slip begins where it stands and all its
// other parts point there.
func returned(w *Whole, here record.Ref, all map[int64][]Reading) bool {
	for i, part := range w.Slip.Parts {
		if i == 0 {
			if !part.Same(here) {
				return false
			}
			continue
		}
		sl := at(all, part.Ref)
		if sl == nil || sl.Into == nil || !sl.Into.Same(here) {
			return false
		}
	}
	return len(w.Slip.Parts) > 1
}

// holds reports whether a slip is the whole that a part was joined into.
func holds(sl *SlipReading, part record.Ref) bool {
	return sl != nil && sl.Whole != nil && slices.ContainsFunc(sl.Whole.Slip.Parts, func(p record.Part) bool { return p.Same(part) })
}

// at finds a slip.
func at(all map[int64][]Reading, r record.Ref) *SlipReading {
	c, err := number("c", r.Capture)
	if err != nil {
		return nil
	}
	for i, p := range all[c] {
		if p.Page == r.Page && r.Slip >= 0 && r.Slip < len(p.Slips) {
			return &all[c][i].Slips[r.Slip]
		}
	}
	return nil
}
