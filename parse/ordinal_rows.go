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
const (
	fewestRows = 3   // of one menu
	mostGap    = 4   // rows that are left out between two
	rowSlack   = 0.5 // character cells between the left edges of their numbers
)

// counter is the number of a row.
type counter struct {
	head string // what stands before its last part: "4.", "A", "" for 01
	n    int
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
	head, last := text[:i], text[i:]
	if len(last) == 0 || len(last) > 2 || head == "" && len(last) < 2 {
		return counter{}, false
	}
	if first := strings.TrimRight(head, ".-"); head != "" {
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
		head, again := run[0].c.head, cut[run[0].c.head]
		if !again && (len(run) < fewestRows || run[0].c.n != 1) {
			run = run[:0]
			return
		}
		labels := map[string]bool{}
		labelled, named := 0, 0
		for _, r := range run {
			if head != "" && d.named(r.l.toks) {
				named++
			} else if d.labelBehind(r.l.toks[1:]) {
				labelled++
			}
			labels[rowLabel(r.l.toks)] = true
		}
		switch {
		case (labelled+named)*3 < len(run)*2 || labelled > named && len(labels)*3 < len(run)*2:
		case head == "" && !d.namesThingAlone(run[0].l.toks[1:]):
		default:
			cut[head] = true
			for _, r := range run {
				r.l.toks = r.l.toks[1:]
				r.l.toks[0].gap = r.l.toks[0].col
			}
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
