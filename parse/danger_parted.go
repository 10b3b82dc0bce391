package parse

import (
	"fmt"

	"tankroll/record"
)

// markParted puts a danger on a number right behind which three figures stand, a single space
// away: 5 000 is one number where a space parts thousands, though something else took the
// figures behind.
func (p *placing) markParted() {
	const oneSpace = 1.6 // cells
	for i := range p.dr.facts {
		f := &p.dr.facts[i]
		n := len(f.read.toks)
		if n == 0 || f.danger != "" || f.field == ownName(p.dr.kind) {
			continue
		}
		if s, ok := record.Spec(p.dr.kind, f.field); !ok || s.Type != record.Number {
			continue
		}
		last := f.read.toks[n-1]
		toks := p.d.lines[p.rows[last.at]].toks
		for k := 1; k < len(toks); k++ {
			if t := toks[k]; toks[k-1].at == last.at && figuresOnly(last.text) && len(last.text) <= 3 && figuresOnly(t.text) && len(t.text) == 3 && t.gap <= oneSpace {
				f.danger = fmt.Sprintf("%q right behind it may be the rest of the number", t.text)
			}
		}
	}
}
