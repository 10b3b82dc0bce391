package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// fieldNone says that a summary has a test of which no pass is told: NONE YET.
const fieldNone = "none"

// passLine is a row of a table of passes: what it is of and its values.
type passLine struct {
	toks   []token
	names  []fact
	values []passValue
}

// passValue is a value of such a row.
type passValue struct {
	l, r  float64
	toks  []token
	reads []reading // one, or two counts
	dated bool
	date  *reading // what may be two counts is a date as well: 3/14
	none  bool     // no pass yet
}

// left is where the values of a row begin.
func (r passLine) left() float64 { return r.values[0].l }

// passLine reads a row: the name of a line with its product or neither, and values to the
// end. Blank cells are passed over. gaps says that the names end at a gap rather than as
// soon as they can.
func (d *doc) passLine(toks []token, gaps bool) (passLine, bool) {
	if len(toks) == 0 || len(toks) > 3*maxColumns {
		return passLine{}, false
	}
	if v, ok := d.passValues(toks); ok && (len(v) > 1 || v[0].dated || toks[0].col > wideGap) && !d.rowOfLine(toks) {
		return passLine{toks: toks, values: v}, true
	}
	var cuts []int
	for s := 1; s < len(toks); s++ {
		if !gaps || starts(toks, s) {
			cuts = append(cuts, s)
		}
	}
	for s := len(toks) - 1; s > 0 && gaps; s-- {
		if !starts(toks, s) {
			cuts = append(cuts, s)
		}
	}
	for _, s := range cuts {
		names, ok := d.passNames(toks[:s], starts(toks, s))
		if !ok {
			continue
		}
		if v, ok := d.passValues(toks[s:]); ok {
			return passLine{toks, names, v}, true
		}
	}
	return passLine{}, false
}

// rowOfLine reports whether a row of figures begins with the number of its line.
func (d *doc) rowOfLine(toks []token) bool {
	return plainDigits(toks[0].text, 1, 2) && len(toks) > 1 && toks[0].col <= wideGap && !d.countBelow(toks[0])
}

// countBelow reports whether a figure that begins its line stands right below a label of counts,
// behind the rate of their test or not: it is such a count and names no line.
func (d *doc) countBelow(t token) bool {
	if t.line < 1 || t.line >= len(d.lines) || d.lines[t.line].gap || len(d.lines[t.line-1].toks) == 0 {
		return false
	}
	above := d.lines[t.line-1].toks
	label := above[:cellEnd(above, 0)]
	if label[0].col > t.end || label[len(label)-1].end < t.col {
		return false
	}
	if r, ok := d.readClass(record.LineSummary, label, ""); ok && label[0].number && r.used < len(label) {
		label = label[r.used:]
	}
	for _, n := range d.names(label) {
		if f, ok := d.field(record.LineSummary, n.bag); ok && n.used == len(label) && n.cost == 0 && (f == "passes_24h" || f == "passes_since_midnight") {
			return true
		}
	}
	return false
}

// passNames reads what a row is of: a line, and its product, which must be a known one
// unless a gap parts it from the values.
func (d *doc) passNames(toks []token, apart bool) ([]fact, bool) {
	if r, ok := d.readIdent("line", toks); ok {
		names := []fact{{field: "line", read: r, printed: true, under: true}}
		rest := toks[r.used:]
		if len(rest) > 0 && rest[0].blank {
			rest = rest[1:]
		}
		if len(rest) == 0 {
			return names, true
		}
		if _, cost, month := d.whole(lexicon.Month, rest); month && cost == 0 {
			return nil, false // (1) JAN: an entry of a list
		}
		p, ok := d.readField(record.LineSummary, specs[record.LineSummary]["product"], rest, "")
		if !ok || p.used != len(rest) || p.cost >= unknownGrade && !apart {
			return nil, false
		}
		return append(names, fact{field: "product", read: p, printed: true, under: true}), true
	}
	if last := len(toks) - 1; last > 0 && starts(toks, last) && plainDigits(toks[last].text, 1, 2) {
		p, ok := d.readField(record.LineSummary, specs[record.LineSummary]["product"], toks[:last], "")
		r, named := d.readIdent("line", toks[last:])
		if ok && named && p.used == last && p.cost < unknownGrade {
			return []fact{{field: "line", read: r, printed: true, under: true}, {field: "product", read: p, printed: true, under: true}}, true // REGULAR   1
		}
	}
	f, worth := d.scan(record.LineSummary, toks)
	if worth <= 0 || !hasField(f, "line") || !d.complete(f, toks) {
		return nil, false
	}
	for _, o := range f {
		if o.field != "line" && o.field != "product" {
			return nil, false
		}
	}
	return f, true
}

// passValues reads tokens as counts and dates to the last of them.
func (d *doc) passValues(toks []token) ([]passValue, bool) {
	var out []passValue
	said := false
	for i := 0; i < len(toks); {
		v, n := d.passValue(toks[i:])
		if n == 0 {
			return nil, false
		}
		if n > 0 && (len(v.reads) > 0 || v.none) {
			v.toks, v.l, v.r = toks[i:i+n], toks[i].col, toks[i+n-1].end
			out = append(out, v)
			said = true
		}
		i += n
	}
	return out, said
}

// passValue reads one value; 0 tokens for none.
func (d *doc) passValue(toks []token) (passValue, int) {
	t := toks[0]
	if t.blank {
		return passValue{}, 1
	}
	if n := noneYet(toks); n > 0 {
		return passValue{none: true}, n
	}
	date := d.passDate(toks)
	if a, b, ok := strokeCounts(t); ok && (date.used < 2 || !date.hasClock()) {
		v := passValue{reads: []reading{a, b}}
		if date.used == 1 {
			v.date = &date
		}
		return v, 1
	}
	if date.used > 0 {
		return passValue{reads: []reading{date}, dated: true}, date.used
	}
	return d.passCount(toks)
}

// passDate reads the date of a pass, with its time of day or not; 0 tokens for none.
func (d *doc) passDate(toks []token) reading {
	r, ok := d.readTime(toks, true)
	if !ok || !r.hasDate() || plainDigits(toks[0].text, 1, 3) && (r.used == 1 || starts(toks, 1)) {
		return reading{}
	}
	if n := r.used - 1; n > 0 && plainDigits(toks[n].text, 1, 2) {
		next, ok := d.readTime(toks[n:], false)
		if one, is := d.readTime(toks[:n], false); ok && is && next.hasDate() && one.hasDate() && one.used == n {
			return one // 06 FEB 2024 23 SEP 2023: the day of the next date is no hour
		}
	}
	return r
}

// noneYet counts the tokens that say that there is no pass: NONE, NONE YET, NONE SO FAR.
func noneYet(toks []token) int {
	if !noValue(toks[0]) {
		return 0
	}
	n := 1
	for n < len(toks) && !starts(toks, n) && slices.Contains([]string{"yet", "so", "far", "this", "month", "recorded"}, toks[n].norm) {
		n++
	}
	return n
}

// passCount reads a count of passes.
func (d *doc) passCount(toks []token) (passValue, int) {
	r, ok := d.readField(record.LineSummary, specs[record.LineSummary]["passes_24h"], toks[:1], "")
	if !ok || !plainDigits(toks[0].text, 1, 3) {
		return passValue{}, 0
	}
	return passValue{reads: []reading{r}}, 1
}

// strokeCounts reads two counts with a stroke between them: 22/7.
func strokeCounts(t token) (a, b reading, ok bool) {
	at := strings.IndexByte(t.text, '/')
	if at < 1 || !plainDigits(t.text[:at], 1, 3) || !plainDigits(t.text[at+1:], 1, 3) {
		return a, b, false
	}
	return countOf(t, t.text[:at]), countOf(t, t.text[at+1:]), true
}

// countOf is a count that is printed as a part of a token.
func countOf(t token, text string) reading {
	n := 0
	for _, c := range text {
		n = n*10 + int(c-'0')
	}
	part := t
	part.text, part.norm = text, text
	if s := *t.seen; true {
		s.shown = ""
		part.seen = &s
	}
	r := reading{used: 1, toks: []token{part}, value: float64(n)}
	r.num.Value = float64(n)
	return r
}
