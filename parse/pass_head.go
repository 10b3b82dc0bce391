package parse

import (
	"math"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// passPhrase is a heading of a table of passes, over one column or several.
type passPhrase struct {
	l, r  float64
	class *fact        // the test that it names, nil for none
	toks  []token      // its other words
	atoms [][]token    // the same, cut at every part of a label
	spans [][2]float64 // where the atoms stand
}

// passHeading cuts a line into headings: at wide gaps, and before each test where several
// stand in a cell. It is none when a word is neither part of a label nor a test. The headings
// are remembered: the caller must not change them.
func (d *doc) passHeading(toks []token) ([]passPhrase, bool) {
	if len(toks) == 0 || len(toks) > 2*maxColumns {
		return nil, false
	}
	key, ok := run(toks)
	m := d.memory(key.at)
	if !ok || m == nil {
		return d.passHeadingAnew(toks)
	}
	for a := m.passHeads; a != nil; a = a.before {
		if a.is.n == key.n {
			return a.is.phrases, a.is.ok
		}
	}
	phrases, ok := d.passHeadingAnew(toks)
	d.kept.passHeads.keep(&m.passHeads, passHeadAnswer{key.n, phrases, ok})
	return phrases, ok
}

// passHeadAnswer are the headings that so many tokens were cut into.
type passHeadAnswer struct {
	n       int
	phrases []passPhrase
	ok      bool
}

// passHeadingAnew is passHeading without a memory.
func (d *doc) passHeadingAnew(toks []token) ([]passPhrase, bool) {
	var out []passPhrase
	all := cells(toks)
	for n, c := range all {
		p := passPhrase{l: c[0].col}
		for i := 0; i < len(c); {
			if f, words, ok := d.strokeClass(c[i]); ok {
				if p.class != nil {
					p.r = c[i-1].end
					out = append(out, p)
					p = passPhrase{l: c[i].col}
				}
				class := f
				p.class, p.toks, p.atoms = &class, append(p.toks, words...), append(p.atoms, words)
				p.spans = append(p.spans, [2]float64{c[i].col, c[i].end})
				i++
				continue
			}
			if f, n := d.passClass(c, i); n > 0 {
				class := f
				if p.class != nil && p.class.read.class == f.read.class {
					if p.class.field == "test_class" {
						p.class = &class // HOURLY 3.0 GPH: the figure says it
					}
					i += n
					continue
				}
				if p.class != nil {
					p.r = c[i-1].end
					out = append(out, p)
					p = passPhrase{l: c[i].col}
				}
				p.class = &class
				i += n
				continue
			}
			parts, n, ok := d.passWords(c[i:])
			if !ok {
				return nil, false
			}
			if len(parts) > 0 {
				p.toks, p.atoms = append(p.toks, parts...), append(p.atoms, parts)
				p.spans = append(p.spans, [2]float64{c[i].col, c[i+n-1].end})
			}
			i += n
		}
		p.r = c[len(c)-1].end
		if n+1 < len(all) && all[n+1][0].bar {
			p.r = math.Max(p.r, all[n+1][0].col-1) // its box goes on to the bar
		}
		out = append(out, p)
	}
	return out, true
}

// passClass reads the test that token i of a heading names; 0 tokens for none.
func (d *doc) passClass(toks []token, i int) (fact, int) {
	r, ok := d.readClass(record.LineSummary, toks[i:], "")
	if !ok || r.cost > 0 {
		return fact{}, 0
	}
	field := "test_rate"
	if !toks[i].number {
		field = "test_class"
		switch toks[i].norm {
		case "month", "hour", "year", "tightness":
			return fact{}, 0 // OF MONTH, PER HOUR
		}
		if _, cost, n := d.code(lexicon.Part, toks[i:]); n > r.used && cost == 0 {
			return fact{}, 0
		}
	} else if r.num.Decimals == 0 && r.unitFrom != unitBeside {
		return fact{}, 0
	}
	return fact{field: field, read: r, weak: true}, r.used
}

// passWords reads words of a heading: a part of labels, or what says nothing of its own. The
// halves of 24H/MIDN are words of their own.
func (d *doc) passWords(toks []token) ([]token, int, bool) {
	if _, cost, n := d.code(lexicon.Part, toks); n > 0 && cost == 0 {
		return toks[:n], n, true
	}
	t := toks[0]
	if halves := strokeHalves(t); len(halves) == 2 && d.spelt(halves[0], lexicon.Part) && d.spelt(halves[1], lexicon.Part) {
		return halves, 1, true
	}
	if n := midnightClock(toks); n > 0 {
		t.text, t.norm, t.at, t.end = "midnight", "midnight", -1, toks[n-1].end
		return []token{t}, n, true
	}
	if _, cost, n := d.code(lexicon.Unit, toks); n > 0 && cost == 0 {
		return nil, n, true
	}
	if _, cost, ok := d.timeNames.Month(t.text); ok && cost == 0 {
		if len(toks) > 1 && !starts(toks, 1) && plainDigits(toks[1].text, 4, 4) {
			return toks[:1], 2, true // NOV 2017
		}
		return toks[:1], 1, true
	}
	return nil, 1, !t.number && (t.blank || d.spelt(t, lexicon.Filler) || d.littleWord(t))
}

// midnightClock counts the tokens of the clock's midnight as a heading has it: 0:00, 12:00 AM.
func midnightClock(toks []token) int {
	switch toks[0].norm {
	case "0:00", "00:00", "24:00", "0h00", "00h00", "12:00a", "12:00am", "12am":
		return 1
	case "12:00", "12":
		if len(toks) > 1 && !starts(toks, 1) && (toks[1].norm == "am" || toks[1].norm == "a.m" || toks[1].norm == "a") {
			return 2
		}
	}
	return 0
}

// strokeHalves are the words before and behind the stroke in a token, nil when it has not
// just one.
func strokeHalves(t token) []token {
	a, b, ok := strings.Cut(t.text, "/")
	if !ok || a == "" || b == "" || strings.Contains(b, "/") {
		return nil
	}
	left, right := t, t
	left.text, left.norm, left.at = a, strings.ToLower(a), -1
	right.text, right.norm, right.at = b, strings.ToLower(b), -1
	left.end = t.col + float64(len(a))
	right.col = left.end + 1
	left.delim, left.stop = 0, 0
	return []token{left, right}
}

// nameColumnsOf gives columns the tests and fields that the headings over them name. apart
// says that a cell over several columns is cut between them, else it counts for each. The
// values begin at left.
func (d *doc) nameColumnsOf(cols []passColumn, heads [][]passPhrase, apart bool, left float64) bool {
	for n := range cols {
		c := &cols[n]
		c.toks, c.class, c.guess, c.fields, c.cost = nil, nil, "", nil, 0
		c.from, c.to = c.l, c.r
	}
	var labels []passPhrase // that stand over no column
	for _, h := range heads {
		for _, p := range h {
			pieces := []passPhrase{p}
			if apart && p.class == nil && len(columnsUnder(cols, p)) > 1 {
				pieces = p.pieces()
			}
			for _, q := range pieces {
				under := columnsUnder(cols, q)
				if len(under) == 0 && q.class == nil && !(q.r <= left && d.onlyNames(q.toks)) {
					labels = append(labels, q)
				}
				for _, n := range under {
					c := &cols[n]
					if q.class != nil && c.class != nil && c.class.read.class != q.class.read.class {
						return false
					}
					c.toks = append(c.toks, q.toks...)
					if len(under) == 1 && q.class == nil {
						c.from, c.to = math.Min(c.from, q.l), math.Max(c.to, q.r)
					}
					if q.class != nil {
						c.class = q.class
					}
				}
			}
		}
	}
	taken := map[string]bool{}
	for n := range cols {
		c := &cols[n]
		if c.class == nil && !c.nearestClass(heads) && passesAmong(heads) {
			return false
		}
		if c.pair && !d.passFields(c) && c.dates {
			c.pair, c.dated = false, true // 3/14
		}
		if !d.passFields(c) {
			p := c.nearestLabel(labels, heads)
			if p == nil {
				return false
			}
			labels = slices.DeleteFunc(labels, func(o passPhrase) bool { return o.l == p.l && o.r == p.r && len(o.toks) == len(p.toks) })
			c.toks = append(slices.Clone(p.toks), c.toks...)
			if !d.passFields(c) {
				return false
			}
		}
	}
	if slices.ContainsFunc(labels, func(p passPhrase) bool { return d.namesPass(p.toks) }) {
		return false // values of its own were not found
	}
	d.monthColumns(cols)
	for _, c := range cols {
		for _, f := range c.fields {
			key := c.test() + f
			if taken[key] && f != fieldMoment {
				return false
			}
			taken[key] = true
		}
	}
	return true
}

// pieces are the atoms of a heading as headings of their own.
func (p passPhrase) pieces() []passPhrase {
	var out []passPhrase
	for n, a := range p.atoms {
		out = append(out, passPhrase{l: p.spans[n][0], r: p.spans[n][1], toks: a})
	}
	return out
}

// columnsUnder are the columns that a heading stands over. One that it only touches is
// left out where it covers half of another.
func columnsUnder(cols []passColumn, p passPhrase) []int {
	var all, well []int
	for n, c := range cols {
		over := math.Min(c.r, p.r) - math.Max(c.l, p.l)
		if over <= 0 {
			continue
		}
		all = append(all, n)
		if 2*over >= math.Min(c.r-c.l, p.r-p.l) {
			well = append(well, n)
		}
	}
	if len(well) > 0 {
		return well
	}
	return all
}

// namesPass reports whether words name a count or a date of passes.
func (d *doc) namesPass(toks []token) bool {
	bag, _, _ := d.bag(toks)
	return slices.ContainsFunc([]string{"hours24", "midnight", "first", "last"}, func(part string) bool { return labelTables().has(bag, part) })
}

// onlyNames reports whether words name no more than the line and its product.
func (d *doc) onlyNames(toks []token) bool {
	bag, _, _ := d.bag(toks)
	for _, part := range []string{"line", "product", "number", "grade", "tank", "test", "name"} {
		bag = withoutPart(bag, labelTables().parts[part])
	}
	return bag == ""
}

// nearestClass gives a column the test of the heading nearest to it, with a doubt where
// another is nearly as near.
func (c *passColumn) nearestClass(heads [][]passPhrase) bool {
	const close = 3 // character cells
	near, next := math.Inf(1), math.Inf(1)
	for _, h := range heads {
		for _, p := range h {
			if p.class == nil {
				continue
			}
			gap := math.Max(0, math.Max(p.l-c.to, c.from-p.r))
			switch same := c.class != nil && c.class.read.class == p.class.read.class; {
			case gap < near:
				if !same {
					next = near
				}
				near, c.class = gap, p.class
			case gap < next && !same:
				next = gap
			}
		}
	}
	if c.class != nil && next-near < close {
		c.guess = "it stands between the headings of two tests; which it is of is not certain"
	}
	return c.class != nil
}

// nearestLabel is the heading without a test nearest to a column that has none, nil when
// none is near.
func (c *passColumn) nearestLabel(loose []passPhrase, heads [][]passPhrase) *passPhrase {
	const far = 16 // character cells
	var best *passPhrase
	near := float64(far)
	consider := func(p *passPhrase) {
		if gap := math.Max(p.l-c.r, c.l-p.r); len(p.toks) > 0 && gap < near {
			near, best = gap, p
		}
	}
	for n := range loose {
		consider(&loose[n])
	}
	for _, h := range heads {
		for n := range h {
			if len(h) < 2 || h[n].r <= c.l && h[n].class == nil {
				consider(&h[n])
			}
		}
	}
	return best
}

// passFields finds what the words over a column name: a count, or two with a stroke between,
// or a date.
func (d *doc) passFields(c *passColumn) bool {
	t := labelTables()
	bag, _, cost := d.bag(c.toks)
	months := 0
	for _, tok := range c.toks {
		if _, k, ok := d.timeNames.Month(tok.text); ok && k == 0 {
			months++
		}
	}
	cost -= float64(months) // they are no parts of labels
	if cost > sureLabelCost {
		return false
	}
	c.fields, c.cost = nil, math.Max(0, cost)
	day, midnight, first, last := t.has(bag, "hours24"), t.has(bag, "midnight"), t.has(bag, "first"), t.has(bag, "last")
	for _, part := range []string{"hours24", "midnight", "first", "last", "passes", "test", "month", "number", "date", "time", "line", "quantity", "result", "start"} {
		bag = withoutPart(bag, t.parts[part])
	}
	switch {
	case bag != "":
	case c.pair && day && midnight:
		c.fields = []string{"passes_24h", "passes_since_midnight"}
		for _, tok := range c.toks {
			if one, _, _ := d.bag([]token{tok}); t.has(one, "midnight") {
				slices.Reverse(c.fields)
				break
			} else if t.has(one, "hours24") {
				break
			}
		}
	case c.pair:
	case !c.dated && !day && !midnight && !first && !last && slices.ContainsFunc(c.toks, func(t token) bool { return t.norm == "day" }):
		c.fields = []string{"passes_since_midnight"} // 24H beside DAY
	case !c.dated && day != midnight && !first:
		c.fields = []string{map[bool]string{true: "passes_24h", false: "passes_since_midnight"}[day]}
	case c.dated && !day && !midnight && first != last:
		c.fields = []string{map[bool]string{true: "first_pass_of_month", false: "last_pass_at"}[first]}
	case c.dated && months == 1 && !day && !midnight && !last:
		c.fields = []string{"first_pass_of_month"}
	}
	return len(c.fields) > 0
}

// monthColumns takes the first passes of several months, a column for each, as passes of
// which none is told to be this month's.
func (d *doc) monthColumns(cols []passColumn) {
	count := map[string]int{}
	for _, c := range cols {
		if c.fields[0] == "first_pass_of_month" {
			count[c.test()]++
		}
	}
	for n := range cols {
		if c := &cols[n]; c.fields[0] == "first_pass_of_month" && count[c.test()] > 1 && slices.ContainsFunc(c.toks, func(t token) bool { _, _, ok := d.timeNames.Month(t.text); return ok }) {
			c.fields[0] = fieldMoment
		}
	}
}
