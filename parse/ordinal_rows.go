package parse

import (
	"math"
	"strconv"
	"strings"

	"tankroll/parse/lexicon"
)

// A menu's rows bear numbers of two parts, or a letter and a number. A row that has nothing
// to say may be left out, its number with it, and the rows of the next thing begin anew:
//
//	4.01 Line Nr        1      A1 Tank number   3      01 LINE            2
//	4.02 Product   UNL 87      A2 Fuel    Regular      02 PRODUCT    DIESEL
//	4.04 Start     ......      A4 Net   5,101 gal      04 PRESSURE   29 PSI
//
// Figures alone may be of the menu and the row, as its title shows:
//
//	3 TANK TEST         6 ALARM LOG
//	31 TANK      1      61 02SEP03  3:31am   ACK
//	32 PRODUCT DSL      62 02SEP03  3:26am   SET
const (
	fewestRows = 3   // of one menu
	mostGap    = 4   // rows that are left out between two
	rowSlack   = 0.5 // character cells between the left edges of their numbers
)

// counter is the number of a row.
type counter struct {
	head string // what stands before its last part: "4.", "A", "4" for 401, "" for 01
	n    int
}

// figures reports whether the number is figures alone.
func (c counter) figures() bool { return c.head == "" || len(c.head) == 1 && isDigit(rune(c.head[0])) }

// menu is the number of the menu that a row may be of, "" for none: 31, 401.
func (c counter) menu() string {
	switch {
	case c.figures() && c.head != "" && c.n == 1:
		return c.head
	case c.head == "" && c.n > 10 && c.n%10 == 1:
		return strconv.Itoa(c.n / 10)
	}
	return ""
}

// counterOf reads the number of a row. What names equipment or has a stroke, as dates do, is
// none; without a first part it has two figures, of which 01 shows that they count.
func counterOf(t *token) (counter, bool) {
	const longest = 6
	text := t.text
	if len(text) < 2 || len(text) > longest || t.delim != 0 || t.stop != 0 || t.bar {
		return counter{}, false
	}
	i := len(text)
	for i > 0 && isDigit(rune(text[i-1])) {
		i--
	}
	if i == 0 && len(text) == 3 {
		i = 1 // 401
	}
	head, last := text[:i], text[i:]
	if len(last) == 0 || len(last) > 2 || head == "" && len(last) < 2 {
		return counter{}, false
	}
	if first := strings.TrimRight(head, ".-"); head != "" && !plainDigits(head, 1, 1) {
		letter := len(first) == 1 && isLetter(first[0])
		if !letter && (!plainDigits(first, 1, 2) || len(head) != len(first)+1) || len(head) > len(first)+1 {
			return counter{}, false
		}
		if prefix, _, _, ok := t.ident(); letter && ok && identPrefixes[prefix] != "" {
			return counter{}, false
		}
	}
	n, err := strconv.Atoi(last)
	return counter{head, n}, err == nil && n > 0
}

// cutRowNumbers takes the numbers of rows off them. Of three rows two must say what they are:
// a label stands behind their number, equipment or, in a list, their time.
func (d *doc) cutRowNumbers() {
	type row struct {
		l *line
		c counter
	}
	var run []row
	cut := map[string]bool{} // what rows were cut under
	flush := func() {
		if len(run) == 0 {
			return
		}
		first := run[0].c
		head, again := first.head+first.menu(), cut[first.head+first.menu()]
		if !again && (len(run) < fewestRows || first.n != 1 && first.menu() == "") {
			run = run[:0]
			return
		}
		labels := map[string]bool{}
		labelled, named, dated := 0, 0, 0
		for _, r := range run {
			switch is := d.named(r.l.toks); {
			case is && !first.figures():
				named++
			case is && d.datedBehind(r.l.toks):
				dated++
			case d.labelBehind(r.l.toks[1:]):
				labelled++
			}
			labels[rowLabel(r.l.toks)] = true
		}
		switch listed := first.menu() != "" && dated == len(run); {
		case listed:
		case (labelled+named)*3 < len(run)*2 || labelled > named && len(labels)*3 < len(run)*2:
			run = run[:0]
			return
		case first.figures() && !d.namesThingAlone(run[0].l.toks[1:]):
			run = run[:0]
			return
		}
		cut[head] = true
		if menu := first.menu(); menu != "" && len(run) > 0 {
			d.cutMenuNumber(menu, run[0].l.toks[0].line)
		}
		for _, r := range run {
			r.l.toks = r.l.toks[1:]
			r.l.toks[0].gap = r.l.toks[0].col
		}
		run = run[:0]
	}
	for i := range d.lines {
		l := &d.lines[i]
		if len(l.toks) < 2 {
			continue
		}
		c, ok := counterOf(&l.toks[0])
		if !ok {
			continue
		}
		if n := len(run); n > 0 {
			last := run[n-1]
			if c.head != last.c.head || c.n <= last.c.n || c.n > last.c.n+1+mostGap || math.Abs(l.toks[0].col-last.l.toks[0].col) > rowSlack {
				flush()
			}
		}
		run = append(run, row{l, c})
	}
	flush()
}

// cutMenuNumber takes the number of a menu off its title above the first of its rows.
func (d *doc) cutMenuNumber(menu string, row int) {
	const most = 3 // lines above, rules among them
	for i := row - 1; i >= max(0, row-most); i-- {
		l := &d.lines[i]
		if len(l.toks) < 2 || l.toks[0].text != menu || hasFigures(l.toks[1:]) {
			continue
		}
		rest := *l
		rest.toks = l.toks[1:]
		if t := d.titleAnew(rest); t.kind != "" && t.whole {
			*l = rest
			l.toks[0].gap = l.toks[0].col
		}
		return
	}
}

// datedBehind reports whether a date stands right behind the number of a row.
func (d *doc) datedBehind(toks []token) bool {
	r, ok := d.readTime(toks[1:], false)
	return ok && r.hasDate() && r.hasClock()
}

// labelBehind reports whether a label begins a line behind its number.
func (d *doc) labelBehind(toks []token) bool {
	_, cost, used := d.code(lexicon.Part, toks)
	return used > 0 && cost == 0 && !d.spelt(toks[0], lexicon.Grade)
}

// namesThingAlone reports whether tokens are a word for equipment and its number, no more:
// rows of two figures begin with it, for sensors and tanks have such numbers too.
func (d *doc) namesThingAlone(toks []token) bool {
	_, cost, n := d.code(lexicon.Device, toks)
	return n > 0 && cost == 0 && n+1 == len(toks) && plainDigits(toks[n].text, 1, 3)
}

// rowLabel is what stands behind a row's number, up to its first value.
func rowLabel(toks []token) string {
	var b strings.Builder
	for i := 1; i < len(toks) && (i == 1 || !starts(toks, i)) && !toks[i].number; i++ {
		b.WriteString(toks[i].norm)
		b.WriteByte(' ')
	}
	return b.String()
}
