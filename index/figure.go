package index

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/record"
)

// Figure is a sum or a mean over the records that answer, in US units.
type Figure struct {
	Name  string // query.Total or query.Average
	Field string
	Value float64
	Unit  string
	Of    int // how many records it is worked out from
}

// Say is the value with its unit.
func (f Figure) Say() string { return strings.TrimSpace(fmt.Sprintf("%.10g %s", f.Value, f.Unit)) }

// figure works out a sum or a mean.
func (k *asker) figure(a *Answer) error {
	s, err := k.answers()
	if err != nil {
		return err
	}
	f, notes, err := k.figureOf(s.ToArray())
	a.Figure, a.Notes = f, append(a.Notes, notes...)
	return err
}

// figureOf works out the figure of records, nil of none. Those in doubt about
// what was asked are counted in and said.
func (k *asker) figureOf(nos []uint32) (*Figure, []string, error) {
	if len(nos) == 0 {
		return nil, nil, nil
	}
	numbers, err := k.v.Numbers(k.ctx, numberName(k.q.Measure))
	if err != nil {
		return nil, nil, err
	}
	signed, err := k.v.Numbers(k.ctx, signedName(k.q.Measure))
	if err != nil {
		return nil, nil, err
	}
	f := &Figure{Name: k.q.Figure, Field: k.q.Measure, Unit: unitOf(k.q.Measure), Of: len(nos)}
	for _, no := range nos {
		f.Value += unsortable(cmp.Or(signed.Of(no), numbers.Of(no)))
	}
	if f.Name == query.Average {
		f.Value /= float64(len(nos))
	}
	f.Value = math.Round(f.Value*1e3) / 1e3
	notes, err := k.doubtfulOf(nos)
	return f, notes, err
}

// maxDoubtful bounds the records that are read to see what they are in doubt
// about.
const maxDoubtful = 1000

// doubtfulOf says how many records are in doubt about what was asked.
func (k *asker) doubtfulOf(nos []uint32) ([]string, error) {
	some, err := inDoubt(append(k.rests(), timeFields...)).within(k.ctx, k.v, roaring.BitmapOf(nos...))
	if err != nil {
		return nil, err
	}
	list := some.ToArray()
	rows, err := k.rows(recordIDs(list[:min(len(list), maxDoubtful)]), k.list)
	if err != nil {
		return nil, err
	}
	n := 0
	for _, r := range rows {
		if len(k.doubts(r)) > 0 {
			n++
		}
	}
	switch {
	case n == 0:
		return nil, nil
	case len(list) > maxDoubtful:
		return []string{fmt.Sprintf("at least %d of the %d are in doubt about what was asked", n, len(nos))}, nil
	}
	return []string{fmt.Sprintf("%d of the %d are in doubt about what was asked", n, len(nos))}, nil
}

// unitOf is the US unit of a field.
func unitOf(field string) string {
	for _, k := range record.Kinds() {
		if s, ok := record.Spec(k, field); ok {
			if u := s.Quantity.Units(); len(u) > 0 {
				return u[0]
			}
		}
	}
	return ""
}

// doubtNote says which of several rows are in doubt about what was asked.
func (k *asker) doubtNote(rows []archive.Row) []string {
	n, first := 0, ""
	for _, r := range rows {
		if names := k.doubts(r); len(names) > 0 {
			if n++; first == "" {
				first = fmt.Sprintf("%s about its %s", r.ID, names[0])
			}
		}
	}
	if n == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%d of these are in doubt about what was asked, such as %s", n, first)}
}
