package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// headingLines takes h lines of labels from line i; rules may stand between
// and behind.
func (d *doc) headingLines(k record.Kind, lines []line, i, h int) (next int, out [][]token) {
	j, passed := i, false
	for j < len(lines) && len(out) < h {
		if lines[j].rule {
			if j == i {
				return j, nil
			}
			j++
			continue
		}
		if len(out) > 0 && lines[j].gap {
			return j, out // what stood between the two may be lost
		}
		if !d.isHeading(lines[j].toks) && (len(out) == 0 || !d.onlyShares(lines[j].toks) && !brokenBelow(out[len(out)-1], lines[j].toks) && !d.stackedBelow(out[len(out)-1], lines[j].toks) && !(withoutFigures(lines[j].toks) && d.statesAcross(lines[j].toks))) {
			if next := skipRules(lines, j+1); len(out) > 0 && !passed && d.amongHeadings(k, out[len(out)-1], lines, j, next) {
				j, passed = next, true
				continue
			}
			return j, out
		}
		out = append(out, lines[j].toks)
		j++
	}
	return skipRules(lines, j), out
}

// amongHeadings reports whether line j is one cell of words that say nothing, and the heading above it
// goes on at line next: a line that was not understood stands between the two.
func (d *doc) amongHeadings(k record.Kind, above []token, lines []line, j, next int) bool {
	if next >= len(lines) || lines[next].gap || len(above) < 3 || !d.strangeLine(k, lines[j]) {
		return false
	}
	below := lines[next].toks
	return cellCount(below) > 1 && d.isHeading(below) && (d.onlyUnits(below) || d.stackedBelow(above, below))
}

// brokenBelow reports whether a line holds the second halves of words that were
// broken in the heading line above.
func brokenBelow(above, toks []token) bool {
	broken := 0
	for _, t := range above {
		if strings.HasSuffix(t.text, "-") || strings.HasSuffix(t.text, "/") {
			broken++
		}
	}
	for _, t := range toks {
		if t.number || t.blank {
			return false
		}
	}
	return broken > 0 && len(toks) <= broken+1
}

// stackedBelow reports whether a line without figures goes on with the heading above
// it: each of its cells stands below one of that, and half of its words at least
// are such as labels are made of.
func (d *doc) stackedBelow(above, toks []token) bool {
	upper, parts := cells(above), 0
	for i, t := range toks {
		if t.number || t.blank || t.delim != 0 {
			return false
		}
		if _, cost, n := d.code(lexicon.Part, toks[i:i+1]); n > 0 && cost == 0 || d.isUnit(t) || belowBroken(upper, t) {
			parts++
		}
	}
	lower := cells(toks)
	for _, c := range lower {
		over := slices.ContainsFunc(upper, func(u []token) bool { return c[0].col < u[len(u)-1].end && c[len(c)-1].end > u[0].col })
		if !over {
			return false
		}
	}
	return len(lower) >= 2 && len(lower) <= len(upper) && 2*parts >= len(toks)
}

// isHeading reports whether nearly all tokens are parts of labels or units.
func (d *doc) isHeading(toks []token) bool {
	if len(toks) == 0 || len(toks) > 2*maxColumns {
		return false
	}
	parts, little, notes := 0, 0, 0
	words := cellCount(toks) > 1 && withoutFigures(toks)
	states := words && cellCount(toks) > 2 && d.statesAcross(toks)
	for i := 0; i < len(toks); {
		n := 1
		if formNote(&toks[i]) {
			parts++
		} else if note := d.shareNote(toks[i:]); note > 0 {
			n = note
			notes += n
		} else if c := toks[i:cellEnd(toks, i)]; words && starts(toks, i) && (states || slices.ContainsFunc(c[1:], timeWord)) && d.timeState(c) != "" {
			n = len(c) // ON SINCE
			parts += n
		} else if _, _, used := d.code(lexicon.Part, toks[i:]); used > 0 {
			parts += used
			n = used
		} else if _, cost, used := d.code(lexicon.Unit, toks[i:]); used > 0 && cost == 0 {
			parts += used
			n = used
		} else if d.yearIn(toks, i) {
			parts++ // END 2011
		} else if toks[i].number && !toks[i].paren {
			return false
		} else if d.spelt(toks[i], lexicon.Filler) || words && brokenWord(toks[i]) {
			little++
		}
		i += n
	}
	if cellCount(toks) < 3 {
		little = 0 // words of a sentence
	}
	return parts > 0 && float64(parts) >= 0.7*float64(len(toks)-little-notes)
}

// yearIn reports whether token i of a heading is the year of the times below it.
func (d *doc) yearIn(toks []token, i int) bool {
	if i == 0 || !plainDigits(toks[i].text, 4, 4) || toks[i].text < "1980" || toks[i].text > "2079" || starts(toks, i) {
		return false
	}
	bag, _, _ := d.bag(toks[i-1 : i])
	t := labelTables()
	return t.has(bag, "end") || t.has(bag, "start") || t.has(bag, "date") || t.has(bag, "time") || t.has(bag, "test")
}

// groupings lists the ways to give the lines of a heading to the lines of a
// row: all to one, or in order to several. A line of units belongs to that above it.
func (d *doc) groupings(heading [][]token) [][][][]token {
	h := len(heading)
	never := 0 // cuts above a line of units
	for i := 1; i < h; i++ {
		if d.onlyUnits(heading[i]) {
			never |= 1 << (i - 1)
		}
	}
	var out [][][][]token
	for cuts := 0; cuts < 1<<(h-1); cuts++ {
		if cuts&never != 0 {
			continue
		}
		var groups [][][]token
		from := 0
		for i := 1; i <= h; i++ {
			if i == h || cuts>>(i-1)&1 == 1 {
				groups = append(groups, heading[from:i])
				from = i
			}
		}
		if len(groups) <= maxRowLines {
			out = append(out, groups)
		}
	}
	return out
}

// headingCut says where the words of a heading are cut into columns.
type headingCut int

const (
	atCells headingCut = iota
	atPhrases
	atWords
)

// segment is a run of heading tokens of one line.
type segment struct {
	l, r float64
	toks []token
}

// segments cuts one line of a heading.
func (d *doc) segments(toks []token, cut headingCut) []segment {
	var out []segment
	units := len(toks) > 1 && d.onlyUnits(toks)
	for i := 0; i < len(toks); {
		j := cellEnd(toks, i)
		if units {
			_, _, n := d.code(lexicon.Unit, toks[i:j])
			j = i + max(n, 1) // of a column each
		} else if cut != atCells {
			n := 1
			if cut == atPhrases {
				_, _, n = d.code(lexicon.Part, toks[i:j])
				n = max(n, 1)
			}
			if note := d.shareNote(toks[i:j]); note > 0 && i+note < j {
				_, _, n = d.code(lexicon.Part, toks[i+note:j])
				n = note + max(n, 1) // 90% ULLAGE
			} else if note := d.shareNote(toks[min(i+n, j):j]); note > 0 && (i+n+note >= j || !d.ullageWord(toks[i+n+note])) {
				n += note
			}
			for i+n < j && (toks[i+n].paren || d.isUnit(toks[i+n]) && d.hasAmount(toks[i:i+n]) && d.besideUnit(toks[i:i+n], toks[i+n])) {
				n++
			}
			j = i + n
		}
		out = append(out, segment{toks[i].col, toks[j-1].end, toks[i:j]})
		i = j
	}
	return out
}

// hasAmount reports whether a heading may have a unit: the name of a thing or a verdict has none.
func (d *doc) hasAmount(toks []token) bool {
	bag, _, _ := d.bag(toks)
	for _, part := range []string{"tank", "line", "sensor", "product", "grade", "result", "number"} {
		if bag == bagOf(part) {
			return false
		}
	}
	return true
}

// besideUnit reports whether a unit may be that of the heading before it: water, fuel and room
// have no temperature of their own there, so that H2O DEGF are two headings.
func (d *doc) besideUnit(toks []token, unit token) bool {
	code, _, n := d.code(lexicon.Unit, []token{unit})
	if n == 0 || quantityOf(unitCodes[code]) != record.Temperature {
		return true
	}
	bag, _, _ := d.bag(toks)
	for _, part := range []string{"water", "volume", "ullage", "net", "height", "gross"} {
		if bag == bagOf(part) {
			return false
		}
	}
	return true
}

// isUnit reports whether a word is a unit and no part of a label.
func (d *doc) isUnit(t token) bool {
	isUnit := false
	for _, h := range d.find([]token{t}) {
		if h.Cost > 0 {
			continue
		}
		switch h.Sense {
		case lexicon.Part:
			return false
		case lexicon.Unit:
			isUnit = true
		}
	}
	return isUnit
}
