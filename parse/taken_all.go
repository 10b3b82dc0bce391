package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// When all that stands above was read, said once:
//
//	all = "all" [ plural equipment | "readings" ] [ "were" ] [ "read" ] [ "at" | "on" ] moment
//	                                     ALL AT 03/14/25 07:15 · All tanks were read on 14 March

// saysAllRead is how many tokens say that all were read then, up to the moment; 0 for none.
func (d *doc) saysAllRead(toks []token) int {
	const most = 6 // words before the moment
	if len(toks) < 3 || toks[0].norm != "all" || toks[0].delim != 0 {
		return 0
	}
	for n := 1; n < len(toks) && n <= most; n++ {
		if t := toks[n]; !t.number && !hasDigit(t.text) && (d.readWord(t) || d.plural(t)) {
			continue
		}
		if r, ok := d.readTime(toks[n:], false); ok && r.hasDate() && n+r.used == len(toks) && n > 1 {
			return n
		}
		return 0
	}
	return 0
}

// readWord reports whether a word may say that values were read, or stands beside such a one.
func (d *doc) readWord(t token) bool {
	switch t.norm {
	case "were", "are", "was", "at", "on", "as", "of", "read", "taken", "checked", "measured", "gauged", "polled", "scanned", "values", "readings", "states", "levels", "volumes", "stocks", "status":
		return true
	}
	return false
}

// plural reports whether a word is one for several tanks, lines or sensors.
func (d *doc) plural(t token) bool {
	code, cost, ok := d.whole(lexicon.Device, []token{t})
	return ok && cost == 0 && code != "system" && t.norm[len(t.norm)-1] == 's'
}

// readTogether finds the lines that say when all above them were read.
func (d *doc) readTogether() {
	for i := range d.lines {
		toks := d.lines[i].toks
		n := d.saysAllRead(toks)
		if n == 0 {
			continue
		}
		r, _ := d.readTime(toks[n:], false)
		if i+1 < len(d.lines) && !r.hasClock() && !d.lines[i+1].rule && !d.lines[i+1].gap && len(d.lines[i+1].toks) > 0 && len(d.lines[i+1].toks) <= 3 {
			both := joinLines([]line{{toks: toks[n:]}, d.lines[i+1]})
			if over, ok := d.readTime(both, false); ok && over.hasClock() && over.used == len(both) {
				r = over
				d.lines[i+1].head = true
			}
		}
		d.lines[i].head = true
		d.together = append(d.together, fact{field: "at", read: r, label: toks[:n], printed: true, inherited: true})
	}
}

// readWith is the fact of the line that says when all were read that a record stands above: no
// title of another kind stands between the two.
func (d *doc) readWith(dr *draft) *fact {
	for k := range d.together {
		f := &d.together[k]
		at := f.label[0].line
		if at < dr.from {
			continue
		}
		if slices.ContainsFunc(d.lines[dr.from:at], func(l line) bool {
			t := d.title(l)
			return t.kind != "" && t.kind != dr.kind && l.toks[0].line != dr.from
		}) {
			return nil
		}
		return f
	}
	return nil
}

// wasRead reports whether records of a kind hold what was read at one time.
func wasRead(k record.Kind) bool { return k == record.Inventory || k == record.SensorStatus }
