package parse

import (
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// entry is a line or row of facts that belong together.
type entry struct {
	facts []fact
	row   bool // a row of a table: a record of its own
	more  bool // goes on with the row above
}

// structure is one way to read some lines.
type structure struct {
	worth   float64
	lines   int
	entries []entry
}

// section is a run of lines under one title.
type section struct {
	from, to int // lines, to is behind the last
	title    titleFinding
}

// titleFinding says which kind of record a line announces.
type titleFinding struct {
	kind   record.Kind // "" for none
	phrase string      // the words that announce it
	whole  bool        // the line says nothing else
}

// The worth of titles, on the scale of scan.go.
const (
	titleWorth = 4.0 // the title names this kind
	leaveCost  = 0.35
	twiceCost  = 2.0 // a line that holds one field twice: blocks side by side more likely
)

// listTrust scales the worth of lists without a title: their free text may be
// anything, most of all what an alarm says.
var listTrust = map[record.Kind]float64{record.SensorStatus: 0.55, record.Alarm: 0.5}

// related are the kinds that share a title: a plain "leak test" may be of a
// tank or a line, a list of line results may be a summary.
var related = func() map[string][]record.Kind {
	out := map[string][]record.Kind{}
	for kinds, titles := range map[[2]record.Kind]string{
		{record.LineTest, record.LineSummary}:    "leak test|leak tests|leak tests results|tightness test|precision test|leak check|leak detection test|0.2 test|0.1 test",
		{record.TankTest, record.LineSummary}:    "hourly test|3.0 test",
		{record.LineSummary, record.LineTest}:    "line test|line tests|line leak test|line leak tests|line test results|line leak results|piping test|pipe test|line test report|line leak test report|line check|line leak test results",
		{record.LineTest, record.LineTest}:       "line history|line test history|line leak history|piping history|line test log|line leak test history|piping test history",
		{record.TankLimits, record.Delivery}:     "tank report|tank status|tank status report|tank data|tank readings",
		{record.Inventory, record.TankTest}:      "tank data|setup|settings|tank parameters|tank configuration|limits",
		{record.Inventory, record.Delivery}:      "variance|balance report|daily balance|inventory control|stock control",
		{record.SensorStatus, record.Alarm}:      "event list|events|alarm status|warnings",
		{record.Inventory, record.TankLimits}:    "stock report|on hand",
		{record.Alarm, record.Alarm}:             "sump status|leak sensors",
		{record.Reconciliation, record.Delivery}: "shift inventory|stock|inventory",
	} {
		for _, t := range strings.Split(titles, "|") {
			out[t] = append(out[t], kinds[0], kinds[1])
		}
	}
	return out
}()

// draft is a record in the making.
type draft struct {
	kind  record.Kind
	facts []fact
	from  int    // first line
	muddy bool   // words of its section have no place
	split bool   // parted from the next or last record by a field that came twice, not by a name
	led   bool   // the section's records have names or leading fields
	doubt string // why nothing in it can be sure, "" when nothing speaks against it
}

// sections reads the slip section by section. It returns the drafts of records
// and the lines that no structure took.
func (d *doc) sections() ([]*draft, []int) {
	var out []*draft
	var left []int
	parts := d.split()
	for _, s := range parts {
		if s.title.kind == "" && len(parts) > 1 {
			for i := s.from; i < s.to; i++ {
				left = append(left, i)
			}
			continue
		}
		drafts, rest := d.bestKind(s)
		out = append(out, drafts...)
		left = append(left, rest...)
	}
	return out, left
}

// split cuts the slip at its titles. What stands before the first title is a
// section without one.
func (d *doc) split() []section {
	out := d.splitAt(func(i int) titleFinding {
		if d.valueBelow(i) {
			return titleFinding{} // a label above its value
		}
		return d.title(d.lines[i])
	})
	if len(out) == 1 && out[0].title.kind == "" {
		done := false // the first line that speaks of a kind at all
		out = d.splitAt(func(i int) titleFinding {
			if done {
				return titleFinding{}
			}
			t := d.looseTitle(d.lines[i])
			done = t.kind != ""
			return t
		})
	}
	return out
}

// valueBelow reports whether the next line is no more than a number and its
// unit.
func (d *doc) valueBelow(i int) bool {
	if i+1 >= len(d.lines) {
		return false
	}
	toks := d.lines[i+1].toks
	if len(toks) == 0 || len(toks) > 2 || !toks[0].number {
		return false
	}
	return len(toks) == 1 || d.isUnit(toks[1])
}

// looseTitle finds the kind that a short line speaks of among other words.
func (d *doc) looseTitle(l line) titleFinding {
	const most = 8 // words
	if len(l.toks) < 2 || len(l.toks) > most || d.tabular(l) || d.hasValue(l.toks) {
		return titleFinding{}
	}
	for i := range l.toks {
		if code, cost, n := d.kindAt(l.toks[i:]); n > 0 && cost == 0 && (n > 1 || strings.HasSuffix(l.toks[i].norm, "s") || code == "inventory" || code == "delivery" || code == "reconciliation") {
			return titleFinding{kind: record.Kind(code), phrase: phraseOf(l.toks[i : i+n])}
		}
	}
	return titleFinding{}
}

// splitAt cuts the slip at the lines that title finds.
func (d *doc) splitAt(title func(i int) titleFinding) []section {
	var out []section
	cur := section{}
	for i := range d.lines {
		t := title(i)
		if t.kind == "" || d.lines[i].head {
			continue
		}
		cur.to = i
		if cur.to > cur.from {
			out = append(out, cur)
		}
		cur = section{from: i, title: t}
	}
	cur.to = len(d.lines)
	if cur.to > cur.from {
		out = append(out, cur)
	}
	return out
}

// title finds the kind that a line announces:
//
//	title = { class | filler | thing } kind { class | filler | thing }
//
// A line that carries a labelled value or a verdict is no title.
func (d *doc) title(l line) titleFinding {
	const most = 10 // tokens of a title
	if len(l.toks) == 0 || len(l.toks) > most {
		return titleFinding{}
	}
	var best titleFinding
	bestUsed, bestAt := 0, 0
	for i, t := range l.toks {
		if i < len(l.toks)-1 && t.delim == '.' || t.bar {
			return best // leaders lead to a value, bars part the cells of a table
		}
	}
	l.toks = d.withoutMoments(l.toks)
	if len(l.toks) == 0 {
		return best
	}
	for i := 0; i < len(l.toks); i++ {
		code, cost, n := d.kindAt(l.toks[i:])
		if n > bestUsed && cost <= 0.35*float64(n)+0.3 && !crosses(l.toks[i:], n) && (i == 0 || !titleBreak(l.toks[i-1])) {
			best, bestUsed, bestAt = titleFinding{kind: record.Kind(code), phrase: phraseOf(l.toks[i : i+n])}, n, i
		}
	}
	if bestUsed == 0 {
		return best
	}
	over := d.unexplained(best.kind, l.toks, bestAt, bestUsed)
	switch {
	case over <= 0:
		best.whole = true
		return best
	case bestUsed >= 2 && over*3 <= bestUsed && !d.hasValue(l.toks):
		return best
	}
	return titleFinding{}
}

// unexplained counts the tokens of a title that are neither fillers nor name the
// thing, the rate or the method that the title is about.
func (d *doc) unexplained(k record.Kind, toks []token, at, used int) int {
	beside := map[int]bool{}
	facts, _ := d.scan(k, toks)
	for _, f := range facts {
		switch f.field {
		case "tank", "line", "sensor":
			for _, t := range f.label {
				beside[t.at] = true
			}
		case "test_rate", "test_class", "method", "product":
			if len(f.label) > 0 {
				return len(toks) // a field with its label
			}
		default:
			continue
		}
		for _, t := range f.read.toks {
			beside[t.at] = true
		}
	}
	if used == 1 && beside[toks[at].at] {
		return len(toks) // the name of a thing: SENSOR 1 is no title
	}
	n := 0
	for i := range toks {
		if (i < at || i >= at+used) && !d.besideTitle(toks, i) && !beside[toks[i].at] {
			n++
		}
	}
	return n
}

// withoutMoments leaves out dates and times, which may stand beside a title.
func (d *doc) withoutMoments(toks []token) []token {
	var out []token
	for i := 0; i < len(toks); {
		if r, ok := d.readTime(toks[i:], false); ok && r.moment.HasDate {
			i += r.used
			continue
		}
		out = append(out, toks[i])
		i++
	}
	return out
}

// kindAt finds the longest phrase that names a kind, with the usual short forms
// of its words written out.
func (d *doc) kindAt(toks []token) (code string, cost float64, used int) {
	code, cost, used = d.code(lexicon.Kind, toks)
	full := d.written(toks)
	if full == nil {
		return code, cost, used
	}
	if c, k, n := d.code(lexicon.Kind, full); n > used {
		return c, k, n
	}
	return code, cost, used
}

// written replaces short forms, as TST for test; nil when there are none.
func (d *doc) written(toks []token) []token {
	var out []token
	for i, t := range toks {
		for _, h := range d.find(toks[i : i+1]) {
			if h.Sense == lexicon.Short && h.Cost == 0 {
				if out == nil {
					out = append([]token(nil), toks...)
				}
				t.norm, t.at = h.Code, -1
				out[i] = t
				break
			}
		}
	}
	return out
}

func titleBreak(t token) bool { return t.delim != 0 }

// besideTitle reports whether a token may stand beside a title without being
// part of it: a rate, a unit, an equipment number, a filler.
func (d *doc) besideTitle(toks []token, i int) bool {
	t := toks[i]
	if t.blank {
		return true
	}
	if t.number {
		r, ok := d.readClass(record.TankTest, toks[i:], "")
		return ok && r.used > 0 || i > 0 && len(t.text) <= 2 && d.isDevice(toks[i-1])
	}
	if i > 0 && i+1 < len(toks) && toks[i].delim != 0 {
		return false
	}
	for _, h := range d.find(toks[i : i+1]) {
		if h.Cost > 0 {
			continue
		}
		switch h.Sense {
		case lexicon.Kind:
			return false
		case lexicon.TestClass, lexicon.Unit, lexicon.Filler, lexicon.Method:
			return true
		case lexicon.Part:
			switch h.Code {
			case "result", "last", "month", "hours24":
				return true
			}
		}
	}
	return false
}

func (d *doc) isDevice(t token) bool {
	code, cost, ok := d.whole(lexicon.Device, []token{t})
	return ok && cost == 0 && code != "system"
}

func (d *doc) hasValue(toks []token) bool {
	for i, t := range toks {
		if t.number && !d.besideTitle(toks, i) || t.delim == ':' && i+1 < len(toks) {
			return true
		}
		for _, h := range d.find(toks[i : i+1]) {
			if h.Sense == lexicon.Result && h.Cost == 0 {
				return true
			}
		}
	}
	return false
}

// bestKind reads a section as each kind that it may be and keeps the best.
func (d *doc) bestKind(s section) ([]*draft, []int) {
	kinds := record.Kinds()
	bonus := map[record.Kind]float64{}
	if s.title.kind != "" {
		kinds = append([]record.Kind{s.title.kind}, related[s.title.phrase]...)
		bonus[s.title.kind] = titleWorth
	}
	var best reads
	for i, k := range kinds {
		r := d.readAs(k, s)
		if s.title.kind == "" && !r.evident() {
			r.worth = -1
		}
		r.worth += bonus[k]
		if s.title.kind == "" && (k == record.Alarm || k == record.SensorStatus) {
			r.worth *= listTrust[k]
			if k == record.Alarm && !r.severalDevices() {
				r.worth *= onlySensors
			}
		}
		if i == 0 || r.worth > best.worth {
			best = r
		}
	}
	if s.title.kind == "" && !best.evident() {
		var all []int
		for i := s.from; i < s.to; i++ {
			all = append(all, i)
		}
		return nil, all
	}
	if s.title.kind == "" {
		best.dropLeadingText()
	}
	drafts := d.assemble(best)
	share := d.explained(best, s)
	if share < fullyExplained {
		for _, dr := range drafts {
			dr.muddy = true
		}
	}
	d.afterStrangeLines(best, s, drafts)
	for _, dr := range drafts {
		if dr.split && (dr.led || dr.muddy) && dr.doubt == "" {
			dr.doubt = "a name or heading between two records may have been missed; values may belong to another"
		}
	}
	if share < leastExplained {
		for _, dr := range drafts {
			dr.doubt = "much of this part of the slip was not understood; values may belong to other fields"
		}
	}
	return drafts, best.left
}

// afterStrangeLines doubts what a record says below a line that could not be
// read at all: that line may have named another thing.
func (d *doc) afterStrangeLines(r reads, s section, drafts []*draft) {
	var strange []int // places of the last tokens of such lines
	for _, i := range r.left {
		l := d.lines[i]
		if l.head || len(l.toks) == 0 || i == s.from && s.title.kind != "" {
			continue
		}
		for _, t := range l.toks {
			if !t.blank && !d.harmless(t) {
				strange = append(strange, t.at)
				break
			}
		}
	}
	for _, dr := range drafts {
		name := -1
		for _, f := range dr.facts {
			if n := len(f.read.toks); n > 0 && f.field == ownName(dr.kind) {
				name = f.read.toks[n-1].at
			}
		}
		for i := range dr.facts {
			f := &dr.facts[i]
			for _, at := range strange {
				if n := len(f.read.toks); n > 0 && name >= 0 && at > name && at < f.read.toks[0].at && f.guess == "" {
					f.guess = "a line above it could not be read and may name another thing"
				}
			}
		}
	}
}

// leastExplained is the share of the words of a section that must have a place
// in the reading before its fields can be sure: a layout that is not understood
// leaves more over.
const leastExplained = 0.7

// fullyExplained is the share from which what stands above several records
// counts for all of them without a doubt: a line that was not understood may
// have named another thing.
const fullyExplained = 0.97

// explained is the share of a section's words that are part of facts.
func (d *doc) explained(r reads, s section) float64 {
	total, used := 0, 0
	seen := map[int]bool{}
	mark := func(toks []token) {
		for _, t := range toks {
			if !seen[t.at] {
				seen[t.at] = true
				used++
			}
		}
	}
	for i := s.from; i < s.to; i++ {
		if l := d.lines[i]; !l.head && !(i == s.from && s.title.kind != "") {
			for _, t := range l.toks {
				if _, isFiller := d.filler(t); !t.blank && !isFiller {
					total++
				}
			}
		}
	}
	for _, e := range r.entries {
		for _, f := range e.facts {
			mark(f.label)
			mark(f.read.toks)
			used += max(0, f.read.used-len(f.read.toks)) // units
		}
	}
	if total == 0 {
		return 1
	}
	return float64(used) / float64(total)
}

// reads is a section read as one kind.
type reads struct {
	kind    record.Kind
	worth   float64
	entries []entry
	left    []int
	from    int
}

// dropLeadingText leaves the lines before the first fact of a list without a
// title to the header: they are free text.
func (r *reads) dropLeadingText() {
	for len(r.entries) > 0 {
		for _, f := range r.entries[0].facts {
			if f.field != "event" && f.field != "location" || len(f.read.toks) == 0 {
				return
			}
		}
		for _, f := range r.entries[0].facts {
			r.left = append([]int{f.read.toks[0].line}, r.left...)
		}
		r.entries = r.entries[1:]
	}
}

// onlySensors scales what seems to be a list of alarms when it names no tank,
// line or system: it may be one of sensors.
const onlySensors = 0.7

// severalDevices reports whether tanks, lines and the system are named about
// as often as there are times or states; the places of sensors name some too.
func (r *reads) severalDevices() bool {
	devices, states := 0, 0
	for _, e := range r.entries {
		for _, f := range e.facts {
			switch {
			case f.field == "device" && f.read.value != "sensor":
				devices++
			case f.field == "state":
				states++
			}
		}
	}
	return devices > 0 && devices*2 >= states
}

// evident reports whether enough was found to make a record without a title.
func (r reads) evident() bool {
	const fewest = 2 // labelled fields that are the kind's own
	n := 0
	for _, e := range r.entries {
		for _, f := range e.facts {
			if _, ok := specs[r.kind][f.field]; ok && !tellsNothing[f.field] {
				n++
			}
		}
	}
	return n >= fewest && r.worth > 0
}

// tellsNothing are the fields that records of several kinds have or that any
// words may seem to be: they do not show of which kind a record is.
var tellsNothing = map[string]bool{
	"tank": true, "line": true, "sensor": true, "device_number": true, "product": true, "event": true, "location": true, "test_class": true, "test_rate": true, fieldMoment: true,
}

// readAs reads the lines of a section as one kind: the best sequence of
// structures, found from the last line to the first.
func (d *doc) readAs(k record.Kind, s section) reads {
	r := d.readLines(k, d.lines[s.from:s.to], s.title.kind != "")
	r.from = s.from
	for i := range r.left {
		r.left[i] += s.from
	}
	return r
}

// readLines is readAs for any lines; titled says that the first is the title.
func (d *doc) readLines(k record.Kind, lines []line, titled bool) reads {
	n := len(lines)
	best := make([]structure, n+1)
	qualifiers := d.qualifiers(k, lines)
	for i := n - 1; i >= 0; i-- {
		best[i] = d.bestStructure(k, lines, i, best, qualifiers[i], i == 0 && titled)
	}
	r := reads{kind: k, worth: best[0].worth}
	for i := 0; i < n; i += best[i].lines {
		if len(best[i].entries) == 0 && !lines[i].rule && !(i == 0 && titled) {
			r.left = append(r.left, i)
		}
		r.entries = append(r.entries, best[i].entries...)
	}
	return r
}

// maxParagraph is how many lines a sentence may take.
const maxParagraph = 10

// maxParagraphTokens bounds a sentence in tokens.
const maxParagraphTokens = 120

func (d *doc) bestStructure(k record.Kind, lines []line, i int, best []structure, qualifier string, title bool) structure {
	l := lines[i]
	if l.rule || len(l.toks) == 0 || l.head {
		return structure{worth: best[i+1].worth, lines: 1}
	}
	d.qualifier = qualifier
	defer func() { d.qualifier = "" }()
	out := structure{worth: best[i+1].worth - leaveCost*float64(len(l.toks)), lines: 1}
	if title {
		out.worth = best[i+1].worth
	}
	try := func(s structure) {
		if s.lines > 0 && i+s.lines <= len(lines) {
			if w := s.worth + best[i+s.lines].worth; w > out.worth {
				out = structure{w, s.lines, s.entries}
			}
		}
	}
	if title {
		try(d.titleFacts(k, l))
		return out
	}
	facts, worth := d.scan(k, l.toks)
	if abreast(facts) {
		worth -= twiceCost
	}
	if len(facts) > 0 || worth > 0 {
		try(structure{worth, 1, []entry{{facts: facts}}})
	}
	if s, ok := d.severalSensors(k, l.toks); ok {
		try(s)
	}
	if f, w, ok := d.locationBelow(k, lines, i); ok {
		try(structure{w, 1, []entry{{facts: f}}})
	}
	if facts, worth, ok := d.listFacts(k, l.toks); ok && len(facts) > 0 && !(len(cells(l.toks)) >= 3 && d.isHeading(l.toks)) {
		try(structure{worth, 1, []entry{{facts: facts}}})
	}
	if s, ok := d.labelAbove(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.table(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.matrix(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.abreast(k, lines, i); ok {
		try(s)
	}
	if !d.complete(facts, l.toks) {
		d.paragraphs(k, lines, i, try)
	}
	return out
}

// complete reports whether facts give every word of a line a place: nothing of
// it goes on in the next.
func (d *doc) complete(facts []fact, toks []token) bool {
	used := 0
	for _, f := range facts {
		used += len(f.label) + f.read.used
	}
	for _, t := range toks {
		if _, isFiller := d.filler(t); isFiller || t.blank {
			used++
		}
	}
	last := toks[len(toks)-1]
	if n := len(facts); n > 0 && facts[n-1].read.hasTime && !(facts[n-1].read.moment.HasDate && facts[n-1].read.moment.HasClock) {
		return false // the rest of the date may follow
	}
	return used >= len(toks) && last.stop != ','
}

// paragraphs reads the lines from i on as sentences that run over the ends of
// lines, or as one entry of a list that does. A sentence ends with a full stop.
func (d *doc) paragraphs(k record.Kind, lines []line, i int, try func(structure)) {
	const joinCost = 0.05 // of every line: a shorter paragraph that says as much is better
	for n := 1; n <= maxParagraph && i+n <= len(lines); n++ {
		l := lines[i+n-1]
		if l.rule || l.head || len(l.toks) == 0 || !d.prose(l) && !(d.full(l) && punctuated(l)) && n == 1 || d.tabular(l) {
			return
		}
		if n > 1 && !d.full(lines[i+n-2]) {
			return
		}
		ends := l.toks[len(l.toks)-1].stop == '.' || n == maxParagraph || i+n >= len(lines) || !d.full(l) || lines[i+n].rule || lines[i+n].head
		if n > 2 && !ends {
			continue // the sentence goes on
		}
		toks := joinLines(lines[i : i+n])
		if len(toks) > maxParagraphTokens {
			return
		}
		facts, worth := d.scan(k, toks)
		try(structure{worth - joinCost*float64(n), n, []entry{{facts: facts}}})
		if facts, worth, ok := d.listFacts(k, toks); ok && n > 1 && len(facts) > 0 && fullStops(toks) <= 1 {
			try(structure{worth - joinCost*float64(n), n, []entry{{facts: facts}}})
		}
		if l.toks[len(l.toks)-1].stop == '.' {
			return // a paragraph ends with its sentence
		}
	}
}

// punctuated reports whether a comma or bracket stands in the line.
func punctuated(l line) bool {
	for _, t := range l.toks {
		if t.stop != 0 || t.open {
			return true
		}
	}
	return false
}

// full reports whether a line goes far enough to the right that the next may
// go on with its sentence.
func (d *doc) full(l line) bool {
	const share = 0.6 // of the longest line; words are rarely longer than the rest
	return l.toks[len(l.toks)-1].end >= share*d.width
}

// tabular reports whether a line has cells far apart: no part of a sentence.
func (d *doc) tabular(l line) bool {
	for i, t := range l.toks {
		if i > 0 && t.gap > 2.5 || t.bar {
			return true
		}
	}
	return false
}

// fullStops counts the sentences that end within the tokens.
func fullStops(toks []token) int {
	n := 0
	for i, t := range toks {
		if t.stop == '.' && (i == len(toks)-1 || len(t.text) > 2) {
			n++
		}
	}
	if len(toks) > 0 && toks[len(toks)-1].stop != '.' {
		n++
	}
	return n
}

// titleFacts are the fields that stand in a title: the rate of the test, the
// tank.
func (d *doc) titleFacts(k record.Kind, l line) structure {
	facts, _ := d.scan(k, l.toks)
	var keep []fact
	for _, f := range facts {
		switch f.field {
		case "tank", "line", "test_rate", "test_class", "method", "product":
			keep = append(keep, f)
		case fieldMoment:
			f.field = "header.printed_at" // beside the title: when it was printed
			keep = append(keep, f)
		}
	}
	if len(keep) == 0 {
		return structure{}
	}
	return structure{0.1, 1, []entry{{facts: keep}}}
}

// prose reports whether a line looks like part of a sentence: words with small
// gaps, at least one of them a filler.
func (d *doc) prose(l line) bool {
	fillers := 0
	for i, t := range l.toks {
		if i > 0 && t.gap > 2.5 {
			return false
		}
		if _, ok := d.filler(t); ok {
			fillers++
		}
	}
	return fillers > 0 && len(l.toks) >= 2 || l.toks != nil && l.toks[len(l.toks)-1].stop != 0 && len(l.toks) >= 3
}

// joinLines puts the tokens of several lines in a row, as one line.
func joinLines(lines []line) []token {
	var out []token
	for i, l := range lines {
		for j, t := range l.toks {
			if i > 0 && j == 0 {
				t.gap = 1
			}
			t.line, t.prose = lines[0].toks[0].line, true
			out = append(out, t)
		}
	}
	return out
}

// locationBelow reads a line of text that is set in below a sensor's line: the
// place where it sits.
func (d *doc) locationBelow(k record.Kind, lines []line, i int) ([]fact, float64, bool) {
	if k != record.SensorStatus || i == 0 || len(lines[i-1].toks) < 2 {
		return nil, 0, false
	}
	toks, above := lines[i].toks, lines[i-1].toks
	if toks[0].col < above[0].col+0.9 || len(toks) > 6 {
		return nil, 0, false
	}
	facts, _ := d.sensorLine(above)
	if !hasField(facts, "sensor") || hasField(facts, "location") {
		return nil, 0, false
	}
	r := reading{used: len(toks), toks: toks, value: textOf(toks)}
	return []fact{{field: "location", read: r}}, textWorth*float64(len(toks)) + 0.5, true
}

// labelAbove reads a label that has a line of its own with its value on the
// next:
//
//	label above = label newline value
func (d *doc) labelAbove(k record.Kind, lines []line, i int) (structure, bool) {
	if i+1 >= len(lines) || lines[i+1].rule || lines[i+1].head || len(lines[i].toks) > maxNameTokens {
		return structure{}, false
	}
	toks, under := lines[i].toks, lines[i+1].toks
	for _, n := range d.names(toks) {
		if n.used != len(toks) || n.bag == "" || len(under) == 0 {
			continue
		}
		field, ok := d.field(k, n.bag)
		spec, known := specOf(k, field)
		if !ok || !known {
			continue
		}
		r, ok := d.readField(k, spec, under, n.unit)
		if !ok || r.used != len(under) || spec.Type == record.Label && d.isHeading(under) {
			continue
		}
		f := fact{field: field, read: r, label: toks, cost: n.cost, printed: true}
		worth := float64(len(toks)+len(under))*0.9 + factWorth - (n.cost+r.cost)*misreadCost - float64(r.fixed)*0.3
		return structure{worth, 2, []entry{{facts: []fact{f}}}}, true
	}
	return structure{}, false
}

// qualifiers says for each line whether it stands under a heading such as
// "before", "end" or "passes in 24 h", which then counts for the labels below
// it.
func (d *doc) qualifiers(k record.Kind, lines []line) []string {
	out := make([]string, len(lines))
	cur := ""
	for i, l := range lines {
		out[i] = cur
		if len(l.toks) == 0 {
			continue
		}
		cur = d.qualifierOf(l.toks, cur)
	}
	return out
}

func (d *doc) qualifierOf(toks []token, cur string) string {
	t := labelTables()
	names := d.names(toks)
	if len(names) > 0 {
		last := names[len(names)-1]
		alone := last.used == len(toks)
		for _, q := range []string{"start", "end"} {
			if t.has(last.bag, q) && (alone || !t.has(last.bag, "volume")) && len(last.bag) <= 3 {
				return q
			}
		}
		if t.has(last.bag, "tank") || t.has(last.bag, "line") {
			return ""
		}
	}
	for i := range toks {
		for _, n := range d.names(toks[i:]) {
			for _, q := range []string{"hours24", "midnight"} {
				if t.has(n.bag, q) && i+n.used == len(toks) {
					return q
				}
			}
		}
	}
	return cur
}
