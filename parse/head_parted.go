package parse

// partedFromList reports whether line i of the head is a date with its time of day, and an empty
// line or a rule parts it from what stands below, while each other such line of the slip has
// the entry that it dates right below: it dates no entry, and is when the slip was printed. In
// one block with the site's lines, or right below the title, and before no other.
//
//	title / 03/18/91 5:47A / empty / 03/18/91 5:30A / entry / 03/17/91 7:05P / entry
func (r *headReader) partedFromList(i int) bool {
	m, ok := r.lineMoment(i)
	l := r.lines[i]
	if !ok || !m.HasDate || !m.HasClock || !r.d.partedBelow(l.at) || i == 0 || !r.lines[i-1].title && !r.withSite(l.at) {
		return false
	}
	text, ok := r.d.timeText(m)
	if !ok || r.d.after(text) {
		return false
	}
	others := 0
	for k := l.at + 1; k < len(r.d.lines); k++ {
		if t := r.d.lines[k].toks; len(t) == 0 || len(r.d.withoutMoments(t)) > 0 {
			continue
		}
		if r.d.partedBelow(k) {
			return false
		}
		others++
	}
	return others > 0
}

// partedBelow reports whether nothing stands right below a line: an empty line, a rule or the
// slip's end.
func (d *doc) partedBelow(i int) bool {
	return i+1 >= len(d.lines) || d.lines[i+1].gap || d.lines[i+1].rule || len(d.lines[i+1].toks) == 0
}
