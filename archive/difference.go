package archive

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"tankroll/record"
)

// What a new reading may have made of a record.
const (
	NowOther   = "changed" // it shows other values, or is sure of others
	NowNew     = "new"     // it was not read before
	NowGone    = "gone"    // it is not read any more and counts no longer; it comes back when it is read again
	NowStays   = "stays"   // it is not read any more, but a person has decided something about it
	NowBack    = "back"    // it is read again
	NowAgainst = "against" // it shows what it did, by a person's word; the new reading says otherwise
)

// Difference is what a new reading made of one record.
type Difference struct {
	ID      string
	What    string
	Row     Row      // as it is now; of one that is gone, as it was last
	Changes []Change // what it shows, before and after
	Against []Change // From a person's word, To what the new reading says instead
}

// errDry ends a transaction that was only to see what would come of it.
var errDry = errors.New("nothing was to be kept")

// Replace is SaveTogether that tells what it changed in the records of these
// captures. When it is dry nothing is kept, and new records have no ID.
func (s *Store) Replace(ctx context.Context, dry bool, all ...Pages) ([]Difference, error) {
	var out []Difference
	what := ""
	err := s.tx(ctx, func(t *sql.Tx) error {
		before, err := standing(ctx, t, all)
		if err != nil {
			return err
		}
		if err := s.saveTogether(ctx, t, all, &what); err != nil {
			return err
		}
		after, err := standing(ctx, t, all)
		if err != nil {
			return err
		}
		out = differences(before, after)
		if dry {
			return errDry
		}
		return nil
	})
	switch {
	case dry && errors.Is(err, errDry):
		for i := range out {
			if out[i].What == NowNew {
				out[i].ID = ""
			}
		}
	case err != nil:
		return nil, fmt.Errorf("archive: replace readings of %s: %w", what, err)
	}
	return out, nil
}

// shownRecord is a row with what was read for it and which fields a person has
// decided about.
type shownRecord struct {
	row     Row
	read    reading
	decided map[string]bool
}

func standing(ctx context.Context, t *sql.Tx, all []Pages) (map[string]shownRecord, error) {
	out := map[string]shownRecord{}
	for _, p := range all {
		c, err := number("c", p.Capture)
		if err != nil {
			return nil, err
		}
		rows, err := selectRows(ctx, t, `WHERE r.capture = ?`, c)
		if err != nil {
			return nil, err
		}
		for _, r := range rows {
			n, err := number("r", r.ID)
			if err != nil {
				return nil, err
			}
			m, err := loadMember(ctx, t, n)
			if err != nil {
				return nil, err
			}
			x := shownRecord{r, reading{m.record, m.header}, map[string]bool{}}
			for _, id := range append([]string{r.ID}, r.With...) {
				list, err := decisions(ctx, t, id)
				if err != nil {
					return nil, err
				}
				for _, e := range list {
					x.decide(e)
				}
			}
			out[r.ID] = x
		}
	}
	return out, nil
}

func (x *shownRecord) decide(e journalled) {
	switch {
	case e.undone:
	case e.action == Correct:
		x.decided[e.body.Field] = true
	case e.action == Confirm && e.body.Shown != nil:
		for name := range allFields(record.Record{Kind: x.row.Record.Kind, Fields: e.body.Shown.Fields}, e.body.Shown.Header) {
			x.decided[name] = true
		}
	}
}

func differences(before, after map[string]shownRecord) []Difference {
	var out []Difference
	for id, now := range after {
		was, known := before[id]
		d := Difference{ID: id, Row: now.row}
		if known {
			d.Changes = shownChanges(was.row, now.row)
			if !now.row.Unseen {
				d.Against = against(was, now)
			}
		}
		switch {
		case !known:
			d.What = NowNew
		case !was.row.Gone && now.row.Gone:
			d.What, d.Row, d.Changes = NowGone, was.row, nil
		case was.row.Gone && !now.row.Gone:
			d.What = NowBack
		case now.row.Gone:
			continue
		case !was.row.Unseen && now.row.Unseen:
			d.What = NowStays
		case len(d.Changes) > 0:
			d.What = NowOther
		case len(d.Against) > 0:
			d.What = NowAgainst
		default:
			continue
		}
		out = append(out, d)
	}
	slices.SortFunc(out, func(a, b Difference) int { return cmp.Or(len(a.ID)-len(b.ID), cmp.Compare(a.ID, b.ID)) })
	return out
}

// shownChanges lists the fields that show something else, or are sure where they
// were not, or the other way round.
func shownChanges(was, now Row) []Change {
	var out []Change
	for _, c := range changesOf(&reading{was.Record, was.Header}, reading{now.Record, now.Header}) {
		if c.From == nil || c.To == nil || !sameValue(*c.From, *c.To) || c.From.Sure != c.To.Sure {
			out = append(out, c)
		}
	}
	return out
}

// against lists what the new reading says otherwise than a person, where the
// reading before did not say that too.
func against(was, now shownRecord) []Change {
	var out []Change
	for _, c := range changesOf(&reading{now.row.Record, now.row.Header}, now.read) {
		said := fieldIn(was.read.record.Fields, c.Field)
		if fieldPlace(now.row.Record.Kind, c.Field) < 0 {
			said = *headerField(&was.read.header, c.Field)
		}
		if now.decided[c.Field] && !sameOrAbsent(c.From, c.To) && !sameOrAbsent(said, c.To) {
			out = append(out, c)
		}
	}
	return out
}

func sameOrAbsent(a, b *record.Field) bool {
	if a == nil || b == nil {
		return a == b
	}
	return sameValue(*a, *b)
}

// Behind lists the captures of which some page was read by an older version of
// the reader or the grammar, oldest first.
func (s *Store) Behind(ctx context.Context, ocr, grammar int) ([]string, error) {
	return s.names(ctx, "c", `SELECT DISTINCT capture FROM pages WHERE ocr < ? OR grammar < ? ORDER BY capture`, ocr, grammar)
}
