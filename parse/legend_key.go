package parse

import (
	"slices"

	"tankroll/record"
)

// withoutKeys takes results and states from drafts whose words are explained by what stands behind
// them, on a line that has nothing else of the record: in OK = HELD PRESSURE, OK is a word that the
// slip uses, no result.
func (d *doc) withoutKeys(drafts []*draft) []*draft {
	return slices.DeleteFunc(drafts, func(dr *draft) bool {
		before := len(dr.facts)
		dr.facts = slices.DeleteFunc(dr.facts, func(f fact) bool {
			spec, ok := specOf(dr.kind, f.field)
			if !ok || spec.Type != record.Code || f.field != "result" && f.field != "state" || len(f.label) > 0 || len(f.read.toks) == 0 {
				return false
			}
			last := f.read.toks[len(f.read.toks)-1]
			return (last.delim == '=' || last.delim == ':') && len(d.lineFrom(last)) > 1 && !slices.ContainsFunc(dr.facts, func(o fact) bool {
				return o.field != f.field && len(o.read.toks) > 0 && o.read.toks[0].line == last.line
			})
		})
		return len(dr.facts) < before && !dr.substance()
	})
}
