package parse

import (
	"math"
	"slices"

	"tankroll/record"
)

// A delivery may have a column for its start, one for its end and one for what came in between, and
// a row for each of the things that were measured:
//
//	           START       END    CHANGE
//	DATE   09/24/14   09/24/14
//	TIME      10:18      10:57
//	GALLONS   29655      41710     12055
//	DEG F      61.2       63.4

// gainWords head the column of what came in, besides the words for what was delivered.
var gainWords = map[string]bool{"change": true, "diff": true, "diff.": true, "difference": true, "increase": true, "incr": true, "delta": true, "gained": true, "gain": true, "rise": true, "added": true, "recd": true, "rec'd": true}

// gainColumns reads such a heading and the rows below it as one delivery.
func (d *doc) gainColumns(k record.Kind, lines []line, i int) (structure, bool) {
	const fewest = 1 // rows of amounts with a gain
	if k != record.Delivery || len(lines[i].toks) < 3 || hasFigures(lines[i].toks) || cellCount(lines[i].toks) != 3 {
		return structure{}, false
	}
	cols, sides := d.gainHead(lines[i].toks)
	if cols == nil {
		return structure{}, false
	}
	s := structure{lines: 1, worth: 3 * factWorth}
	var facts []fact
	gains := 0
	for ; i+s.lines < len(lines); s.lines++ {
		l := lines[i+s.lines]
		if l.rule {
			continue
		}
		got, ok := d.gainRowOf(k, cols, sides, l, facts)
		if !ok {
			break
		}
		for _, f := range got {
			if f.field == "delivered" || f.field == "net_delivered" {
				gains++
			}
		}
		facts = joinSides(facts, got)
		s.worth += float64(len(l.toks))*wordWorth + factWorth*float64(len(got))
	}
	s.entries = []entry{{facts: facts}}
	return s, gains >= fewest
}

// joinSides adds facts, a date to the time of day of its side that is there.
func joinSides(facts, got []fact) []fact {
next:
	for _, f := range got {
		for n := range facts {
			if facts[n].field != f.field || f.field == "" {
				continue
			}
			if m, ok := joinMoments(facts[n].read, f.read); ok {
				facts[n].read = m
			}
			continue next
		}
		facts = append(facts, f)
	}
	return facts
}

// gainHead cuts a heading into its columns and says what each is of; nil for another line.
func (d *doc) gainHead(toks []token) ([]sideColumn, []string) {
	var cols []sideColumn
	var sides []string
	seen := map[string]bool{}
	for c := range eachCell(toks) {
		side := ""
		for _, n := range d.names(c) {
			if n.used != len(c) || n.cost > 0 {
				continue
			}
			switch n.bag {
			case startBag(), bagOf("opening"):
				side = startBag()
			case endBag(), bagOf("closing"):
				side = endBag()
			case bagOf("delivered"), bagOf("gain"):
				side = "gain"
			}
		}
		switch {
		case len(c) == 1 && gainWords[c[0].norm]:
			side = "gain"
		case len(c) == 1 && c[0].norm == "was":
			side = startBag()
		case len(c) == 1 && c[0].norm == "now":
			side = endBag()
		}
		if side == "" || seen[side] {
			return nil, nil
		}
		seen[side] = true
		cols = append(cols, sideColumn{bound: bound{c[0].col, c[len(c)-1].end}, head: c})
		sides = append(sides, side)
	}
	if len(cols) != 3 {
		return nil, nil
	}
	return cols, sides
}

// gainRowOf reads a row below such a heading; a side or the gain may lack its value.
func (d *doc) gainRowOf(k record.Kind, cols []sideColumn, sides []string, l line, have []fact) ([]fact, bool) {
	if l.head || len(l.toks) < 2 || l.toks[0].number {
		return nil, false
	}
	toks := l.toks
	n := 0
	for n < len(toks) && !toks[n].number && !toks[n].blank && !d.mayBeginTime(toks[n:]) {
		n++
	}
	if n == 0 || n == len(toks) {
		return nil, false
	}
	label := toks[:n]
	bag, unit, cost := d.bag(label)
	if cost > 0 || bag == "" && unit == "" {
		return nil, false
	}
	if bag == "" {
		bag = bagOf(quantityPart[quantityOf(unitCodes[unit])])
	}
	timed := bag == bagOf("date") || bag == bagOf("time") || bag == bagOf("date", "time")
	var out []fact
	taken := map[int]bool{}
	for rest := toks[n:]; len(rest) > 0; {
		c := nearestSide(rest[0], cols)
		if timed && taken[c] {
			c = slices.Index(sides, endBag()) // dates are wider than the words above them
		} else if timed && len(taken) == 0 {
			c = slices.Index(sides, startBag())
		}
		if taken[c] {
			return nil, false
		}
		taken[c] = true
		if timed {
			r, ok := d.readTime(rest, true)
			if !ok || sides[c] == "gain" {
				return nil, false
			}
			field := "started_at"
			if sides[c] == endBag() {
				field = "ended_at"
			}
			out = append(out, fact{field: field, read: r, label: label, printed: true, under: true})
			rest = rest[r.used:]
			continue
		}
		used := 1
		if _, _, u := d.unitAfter(rest[1:]); u > 0 && 1+u <= len(rest) && !rest[1].number && !starts(rest, 1) {
			used += u
		}
		if !rest[0].number && !rest[0].blank {
			return nil, false
		}
		f, ok := d.gainFact(k, bag, unit, sides[c], label, rest[:used])
		if !ok || f.field != "" && hasField(have, f.field) {
			return nil, false
		}
		if f.field == "" {
			f.read = reading{used: used, toks: rest[:used], value: textOf(rest[:used])} // read, but of no field
		}
		out = append(out, f)
		rest = rest[used:]
	}
	return out, true
}

// gainFact is an amount of a row in the column of a side or of the gain; without a field where a
// delivery has none for it.
func (d *doc) gainFact(k record.Kind, bag, unit, side string, label, toks []token) (fact, bool) {
	if side == "gain" {
		side = bagOf("delivered")
	}
	return d.sideAmount(k, bag, unit, side, label, toks)
}

// nearestSide is the column whose right edge or middle a value stands nearest to.
func nearestSide(t token, cols []sideColumn) int {
	best, least := 0, math.Inf(1)
	for c, col := range cols {
		off := math.Min(math.Abs(t.end-col.r), math.Abs((t.col+t.end)/2-(col.l+col.r)/2))
		if off < least {
			best, least = c, off
		}
	}
	return best
}
