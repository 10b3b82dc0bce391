package parse

import (
	"tankroll/record"
)

// endangers reports whether an unread number may change what a fact says or is of.
func (p *placing) endangers(u unread, f *fact) bool {
	toks := f.read.toks
	row, end := p.rows[toks[0].at], toks[len(toks)-1]
	last := p.rows[end.at]
	if p.atLabel(u, f) || p.goesInto(u, f) {
		return true
	}
	if f.field == ownName(p.dr.kind) && p.paired(f) && u.at > toks[0].at+1 {
		return false // TANK 1 REGULAR 21: the number behind the word for it is the tank's
	}
	switch spec, _ := specOf(p.dr.kind, f.field); {
	case u.row == row || u.row == last:
		return !p.safeBeside(u, f) && (!u.dated || f.read.hasTime())
	case u.dated:
		return f.read.hasTime() && u.alone && !p.paired(f) && (u.row == row-1 || u.row == last+1)
	case u.first && u.row == last+1 && spec.Type == record.Label && p.endsLine(end) && len(p.d.lines[u.row].toks) <= 2:
		return true // the rest of a name
	case u.alone && !u.labelled && !f.under && len(f.label) > 0 && p.rows[f.label[0].at] != row:
		return true // a label and its value on lines of their own: all may be shifted
	}
	return u.names && (u.alone || u.first) && p.parts(u.at, f)
}

// atLabel reports whether an unread number may be the value of a fact's label: it stands
// between the two, or before the label while the value is on another line.
func (p *placing) atLabel(u unread, f *fact) bool {
	n := len(f.label)
	if n == 0 || f.under {
		return false
	}
	first := f.read.toks[0].at
	before := u.row == p.rows[f.label[0].at] && u.row != p.rows[first] && u.at < f.label[0].at
	return before || u.at > f.label[n-1].at && u.at < first
}

// goesInto reports whether an unread number right behind a value may be the rest of it: the
// time of day of a date, or more of a number that goes over the end of a line.
func (p *placing) goesInto(u unread, f *fact) bool {
	end := f.read.toks[len(f.read.toks)-1]
	near := u.row == p.rows[end.at]+1 || u.gap < wideGap || u.line != end.line
	switch behind := u.at - end.at; {
	case f.read.hasTime() && f.read.hasClock():
		return false
	case f.read.hasTime():
		return behind == 1 && f.read.hasDate() || behind == 2 && u.dated && near
	default:
		return behind == 1 && near && !u.dated && !f.under && end.number && f.read.used == len(f.read.toks)
	}
}

// parts reports whether a place between them parts a fact from the name of its thing.
func (p *placing) parts(at int, f *fact) bool {
	first := f.read.toks[0].at
	if f.inherited {
		return f.field == ownName(p.dr.kind) && at > first && at < p.begins()
	}
	return p.name >= 0 && at > p.name && at < first
}

// begins is where the first fact of the draft's own stands.
func (p *placing) begins() int {
	out := 1 << 30
	for _, f := range p.dr.facts {
		if !f.inherited && len(f.read.toks) > 0 {
			out = min(out, f.read.toks[0].at)
		}
	}
	return out
}

// endsLine reports whether a token is the last of its line.
func (p *placing) endsLine(t token) bool {
	l := p.d.lines[p.rows[t.at]]
	return l.toks[len(l.toks)-1].at == t.at
}

// paired reports whether a fact's label stands right before its value, on one line.
func (p *placing) paired(f *fact) bool {
	if len(f.label) == 0 || f.under {
		return false
	}
	end, first := f.label[len(f.label)-1], f.read.toks[0]
	if end.at > first.at || p.rows[end.at] != p.rows[first.at] {
		return false
	}
	for _, t := range p.d.lines[p.rows[first.at]].toks {
		if t.at > end.at && t.at < first.at && t.number {
			return false
		}
	}
	return true
}

// safeBeside reports whether a fact is safe from a number on its own line: it stands
// under its heading, or both have labels of their own.
func (p *placing) safeBeside(u unread, f *fact) bool {
	if f.under && len(f.label) > 0 {
		l, r := span2(f.label)
		a, b := span2(f.read.toks)
		return a < r && l < b
	}
	if spec, _ := specOf(p.dr.kind, f.field); spec.Type == record.Label && u.at > f.read.toks[0].at {
		return false // words and a number behind text: of the next column, or more of it
	}
	return u.labelled && p.paired(f)
}

// span2 is where tokens begin and end.
func span2(toks []token) (l, r float64) {
	l, r = toks[0].col, toks[0].end
	for _, t := range toks[1:] {
		l, r = min(l, t.col), max(r, t.end)
	}
	return l, r
}
