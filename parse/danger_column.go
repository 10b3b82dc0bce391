package parse

import (
	"fmt"
	"math"

	"tankroll/record"
)

// edges are where the values of a column of a table begin and end, by the rows they
// stand in.
type edges []token

// noColumn stands for a heading that was not understood: the numbers under it have no place.
const noColumn = -1

// columnEdges collects the numbers of the tables of a slip by the heading they stand
// under.
func columnEdges(drafts []*draft) map[int]edges {
	out := map[int]edges{}
	for _, dr := range drafts {
		for _, f := range dr.facts {
			if _, number := f.read.value.(float64); f.under && number && len(f.label) > 0 && len(f.read.toks) == 1 {
				out[f.label[0].at] = append(out[f.label[0].at], f.read.toks[0])
			}
		}
	}
	return out
}

// aligned reports whether a number of another row ends or begins where t does.
func (e edges) aligned(t token) (ok, others bool) {
	const slack = 0.6
	for _, o := range e {
		if o.at == t.at {
			continue
		}
		others = true
		if math.Abs(o.end-t.end) < slack || math.Abs(o.col-t.col) < slack {
			return true, true
		}
	}
	return false, others
}

// markColumns puts a danger on a number that stands in line with those of another column
// of its table and not with those of its own: where a cell is empty, its neighbour may be
// taken for it.
func (p *placing) markColumns(columns map[int]edges) {
	for i := range p.dr.facts {
		f := &p.dr.facts[i]
		spec, _ := specOf(p.dr.kind, f.field)
		if !f.under || spec.Type != record.Number || len(f.label) == 0 || len(f.read.toks) != 1 || f.danger != "" {
			continue
		}
		t, own := f.read.toks[0], f.label[0]
		if ok, others := columns[own.at].aligned(t); ok || !others {
			continue
		}
		for at, e := range columns {
			if ok, _ := e.aligned(t); ok && at != own.at && (at == noColumn || p.rows[at] == p.rows[own.at]) {
				f.danger = fmt.Sprintf("%q stands in line with the values of another column", textOf(f.read.toks))
			}
		}
	}
}
