package index

import (
	"fmt"
	"math"
	"strings"

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

// maxFigure bounds the records of which a figure is worked out.
const maxFigure = 20000

// figure works out a sum or a mean.
func (k *asker) figure(a *Answer) error {
	f, notes, err := k.figureOf(all(k.list))
	a.Figure, a.Notes = f, append(a.Notes, notes...)
	return err
}

// figureOf works out the figure of what an expression finds, nil of nothing.
// Records in doubt about what was asked are counted in and said.
func (k *asker) figureOf(where expr) (*Figure, []string, error) {
	list, total, err := find(k.ctx, k.v, where, maxFigure, byTime(true))
	if err != nil {
		return nil, nil, err
	}
	rows, err := k.rows(list, k.list)
	if err != nil || len(rows) == 0 {
		return nil, nil, err
	}
	f := &Figure{Name: k.q.Figure, Field: k.q.Measure, Unit: unitOf(k.q.Measure), Of: len(rows)}
	doubtful := 0
	for _, r := range rows {
		v, _ := signedOf(r, k.q.Measure)
		f.Value += v
		if len(k.doubts(r)) > 0 {
			doubtful++
		}
	}
	if f.Name == query.Average {
		f.Value /= float64(len(rows))
	}
	f.Value = math.Round(f.Value*1e3) / 1e3
	var notes []string
	if total > len(rows) {
		notes = append(notes, fmt.Sprintf("the figure is of the newest %d of %d", len(rows), total))
	}
	if doubtful > 0 {
		notes = append(notes, fmt.Sprintf("%d of the %d are in doubt about what was asked", doubtful, len(rows)))
	}
	return f, notes, nil
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
