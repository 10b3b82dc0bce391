package parse

import "tankroll/parse/lexicon"

// The lines that a header may have on either side of the slip's title.
const mostHeadLines = 5

// markZone marks the header by its place: what stands above the title, and what
// stands between the title and the first rule, as long as nothing of it is said
// of equipment.
func (d *doc) markZone() {
	title := -1
	for i := 0; i < len(d.lines) && i <= headLines; i++ {
		if !d.lines[i].rule && d.title(d.lines[i]).kind != "" {
			title = i
			break
		}
	}
	if title < 0 {
		return
	}
	d.markDates(title)
	end := title + 1
	for end < len(d.lines) && d.lines[end].rule {
		end++
	}
	from := end
	for end < len(d.lines) && !d.lines[end].rule && end-from <= mostHeadLines {
		end++
	}
	if end+1 >= len(d.lines) || !d.lines[end].rule || end-from > mostHeadLines {
		return
	}
	says := false
	for i := from; i < end; i++ {
		if !d.headLike(d.lines[i].toks) {
			return
		}
		says = says || d.lines[i].head || len(d.lines[i].toks) > 0 && d.saysHead(d.lines[i].toks)
	}
	if !says {
		return
	}
	for i := from; i < end; i++ {
		d.lines[i].head = true
	}
}

// markDates marks dates that have a line of their own above the title or among
// the header's lines below it: the time of printing.
func (d *doc) markDates(title int) {
	for i := 0; i < len(d.lines); i++ {
		l := &d.lines[i]
		if i > title && !l.head && !l.rule && len(l.toks) > 0 && !d.dateLine(l.toks) {
			return
		}
		if l.head || len(l.toks) == 0 || !d.dateLine(l.toks) {
			continue
		}
		if i < title || i > title && d.lines[i-1].head || i+1 < len(d.lines) && d.lines[i+1].head {
			l.head = true
		}
	}
}

// dateLine reports whether a line is a date, alone or with no more than the
// words date and time.
func (d *doc) dateLine(toks []token) bool {
	rest := d.withoutMoments(toks)
	if len(rest) == len(toks) {
		return false
	}
	for i, t := range rest {
		if _, ok := d.readTime(rest[i:], false); ok && t.number {
			continue
		}
		if r, ok := d.readTime(rest[i:], false); ok && r.used == 1 && r.moment.HasClock {
			continue
		}
		if !d.dateOnly(rest[i : i+1]) {
			return false
		}
	}
	return true
}

// headLike reports whether nothing in a line is said of equipment: no name of
// any with its number, no amount with a unit, no result.
func (d *doc) headLike(toks []token) bool {
	if len(toks) == 0 {
		return true
	}
	for i, t := range toks {
		if i+1 < len(toks) && toks[i+1].number && (d.isDevice(t) && d.spelt(t, lexicon.Part) || t.number && d.isUnit(toks[i+1])) && identPrefixes[t.norm] != "" {
			return false
		}
		if i > 0 && toks[i-1].number && d.isUnit(t) {
			return false
		}
		if i > 0 && t.delim == 0 && d.spelt(t, lexicon.Result) && len(toks) < 3 {
			return false
		}
	}
	return true
}
