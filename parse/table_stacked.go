package parse

import (
	"slices"

	"tankroll/record"
)

// A heading too wide for its paper takes two lines or three, and so does each row of values below
// it. The name of each record may have a line of its own above its row:
//
//	     VOLUME L   NET L     LEVEL MM
//	     ULLAGE L   WATER L   WATER MM
//	TANK 1  REGULAR
//	       17904.2   18066.1    1320.5
//	       12095.8       0.0       0.0
//
// or stand once above all, or lead the row itself.

// mostStacked is the most lines of such a heading.
const mostStacked = 3

// stackedRows reads such a heading with the rows below it.
func (d *doc) stackedRows(k record.Kind, lines []line, i int) (structure, bool) {
	if l := lines[i]; len(l.toks) < 2 || l.toks[len(l.toks)-1].number || l.toks[0].number || i+3 >= len(lines) || len(lines[i+1].toks) < 2 || lines[i+1].toks[0].number {
		return structure{}, false
	}
	var best structure
	found := false
	for n := 2; n <= mostStacked && i+2*n <= len(lines); n++ {
		if !d.stackedHead(lines[i : i+n]) {
			break
		}
		if s, ok := d.stackedGroups(k, lines, i, n); ok && (!found || s.worth > best.worth) {
			best, found = s, true
		}
	}
	return best, found
}

// stackedHead reports whether lines in one block are the lines of a heading: each has cells of
// labels and no values.
func (d *doc) stackedHead(lines []line) bool {
	const fewest = 2 // cells
	for n, l := range lines {
		if l.rule || l.head || n > 0 && l.gap || cellCount(l.toks) < fewest || slices.ContainsFunc(l.toks, func(t token) bool { return t.bar || t.delim != 0 }) {
			return false
		}
		for c := range eachCell(l.toks) {
			if c[0].number && !c[0].blank || !d.isHeading(c) {
				return false
			}
		}
	}
	return true
}

// stackedGroups reads rows of n lines each below a heading of as many lines.
func (d *doc) stackedGroups(k record.Kind, lines []line, i, n int) (structure, bool) {
	own := ownName(k)
	j := skipRules(lines, i+n)
	groups := [][]line{lines[i : i+n]}
	names := [][]fact{nil}
	named, worth, end := false, 0.0, j
	for j+n <= len(lines) {
		var facts []fact
		if d.thingAlone(lines[j]) && (own == "tank" || own == "line") {
			f, w := d.scan(k, lines[j].toks)
			if !hasField(f, own) || j+1+n > len(lines) {
				break
			}
			facts, worth, named = f, worth+w, true
			j++
		} else if named {
			break
		}
		if !d.stackedRow(lines[j:j+n], facts != nil) {
			break
		}
		groups, names = append(groups, lines[j:j+n]), append(names, facts)
		end = j + n
		j = skipRules(lines, end)
	}
	if len(groups) < 2 || len(groups) < 3 && !named && own != "" && len(lines[i].toks) < 3 {
		return structure{}, false
	}
	rows := d.unstacked(groups)
	s, ok := d.table(k, rows, 0)
	if !ok || s.lines != len(rows) || len(s.entries) != len(rows)-1 {
		return structure{}, false
	}
	out := structure{worth: s.worth + worth, lines: end - i}
	for m, e := range s.entries {
		if named && hasField(e.facts, own) {
			return structure{}, false
		}
		e.facts, e.row = slices.Concat(names[m+1], e.facts), true
		out.entries = append(out.entries, e)
	}
	return out, true
}

// stackedRow reports whether lines in one block may be one row: each holds a value, and the later
// ones nothing but such. The first may begin with the name of what it is of.
func (d *doc) stackedRow(lines []line, named bool) bool {
	for n, l := range lines {
		if l.rule || l.head || n > 0 && l.gap || len(l.toks) == 0 || !hasFigures(l.toks) && !slices.ContainsFunc(l.toks, func(t token) bool { return t.blank }) {
			return false
		}
		if (n > 0 || named) && !l.toks[0].number && !l.toks[0].blank && !d.mayBeginTime(l.toks) {
			return false
		}
		if d.hasLabel(l.toks) {
			return false
		}
	}
	return true
}

// unstacked puts the lines of each group one behind the other, all as far apart as their widest.
func (d *doc) unstacked(groups [][]line) []line {
	const apart = 3 // cells of characters
	n := len(groups[0])
	shift := make([]float64, n)
	for m := 1; m < n; m++ {
		right := 0.0
		for _, g := range groups {
			right = max(right, shift[m-1]+g[m-1].toks[len(g[m-1].toks)-1].end)
		}
		left := right
		for _, g := range groups {
			left = min(left, g[m].toks[0].col)
		}
		shift[m] = right + apart - left
	}
	var out []line
	for _, g := range groups {
		l := g[0]
		l.toks = slices.Clone(l.toks)
		for m := 1; m < n; m++ {
			for q, t := range g[m].toks {
				if t.col, t.end = t.col+shift[m], t.end+shift[m]; q == 0 {
					t.gap = t.col - l.toks[len(l.toks)-1].end
				}
				l.toks = append(l.toks, t)
			}
		}
		out = append(out, l)
	}
	return out
}
