package query

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tankroll/parse/lexicon"
)

// device reads "tank 2", "tank #2", "line two" and "#2 tank"; a device without
// a number is remembered for what it says about the kind.
func (p *parser) device(i int) int {
	if p.w[i] == "#" && i+2 < len(p.w) && devices[p.w[i+2]] != "" {
		if m := deviceForm.FindStringSubmatch(p.w[i+1]); m != nil {
			p.setDevice(devices[p.w[i+2]], m[1])
			return 3
		}
	}
	if m := letterForm.FindStringSubmatch(p.w[i]); m != nil {
		dev := map[string]string{"t": "tank", "l": "line", "s": "sensor"}[m[1]]
		p.setDevice(dev, m[2])
		p.assume(p.t[i].raw + " is taken as " + dev + " " + m[2])
		if dev == "line" { // the numbers of liquid sensors begin with it too
			p.alternative("sensor "+m[2], func(q *Query) { q.Line, q.Sensor = "", m[2] })
		}
		return 1
	}
	dev := devices[p.w[i]]
	if dev == "" {
		return 0
	}
	n := 1
	if i+n < len(p.w) && numberSigns[p.w[i+n]] {
		n++
	}
	if i+n < len(p.w) && !p.t[i+n].cut && !p.unitAt(i+n+1) {
		no := ""
		if k := p.deviceRange(i+n, dev); k > 0 {
			return n + k
		}
		if m := deviceForm.FindStringSubmatch(p.w[i+n]); m != nil && !(len(m[1]) > 2 && p.q.Site == "" && p.siteAhead(i+n)) { // the sensors at 117
			no = m[1]
		} else if v := numerals[p.w[i+n]]; v > 0 && p.w[i+n] != "couple" {
			no = strconv.Itoa(v)
		}
		if no != "" {
			p.setDevice(dev, no)
			return n + 1 + p.moreDevices(i+n+1, dev)
		}
	}
	p.mentioned[dev] = true
	return 1
}

var rangeForm = regexp.MustCompile(`^([1-9]\d?)[-–]([1-9]\d?)$`)

// deviceRange reads "lines 1-3" and "tanks 1 through 3".
func (p *parser) deviceRange(i int, dev string) int {
	from, to, n := 0, 0, 1
	if m := rangeForm.FindStringSubmatch(p.w[i]); m != nil {
		from, to = atoi(m[1]), atoi(m[2])
	} else if i+2 < len(p.w) && has([]string{"through", "thru", "to"}, p.w[i+1]) && deviceForm.MatchString(p.w[i]) && deviceForm.MatchString(p.w[i+2]) && !p.unitAt(i+3) && !p.quantityAt(i+3) {
		from, to, n = atoi(p.w[i]), atoi(p.w[i+2]), 3
	}
	if from < 1 || to <= from || to-from > 8 {
		return 0
	}
	for no := from; no <= to; no++ {
		p.setDevice(dev, strconv.Itoa(no))
	}
	return n
}

// moreDevices reads the numbers that "tanks 1, 2 and 3" adds.
func (p *parser) moreDevices(i int, dev string) int {
	n := 0
	for i+n < len(p.w) {
		k := 0
		if p.w[i+n] == "and" || p.w[i+n] == "or" {
			k = 1
		} else if !p.t[i+n].cut {
			break
		}
		if i+n+k >= len(p.w) || !deviceForm.MatchString(p.w[i+n+k]) || p.unitAt(i+n+k+1) || p.quantityAt(i+n+k+1) && p.w[i+n+k+1] != "in" {
			break
		}
		field := map[string]*string{"tank": &p.q.Tank, "line": &p.q.Line, "sensor": &p.q.Sensor}[dev]
		no := deviceForm.FindStringSubmatch(p.w[i+n+k])[1]
		if strings.Count(*field, ",") > 8 {
			break
		}
		if !slices.Contains(strings.Split(*field, ","), no) {
			*field += "," + no
		}
		n += k + 1
	}
	return n
}

func (p *parser) setDevice(dev, no string) {
	p.mentioned[dev] = true
	field := map[string]*string{"tank": &p.q.Tank, "line": &p.q.Line, "sensor": &p.q.Sensor}[dev]
	switch {
	case field == nil:
	case *field == "":
		*field = no
	case !slices.Contains(strings.Split(*field, ","), no) && strings.Count(*field, ",") <= 8: // tank 1 and tank 2
		*field += "," + no
	}
}

// unitAt reports whether the word is a unit of time or rate, so that the number
// before it is not an equipment number.
func (p *parser) unitAt(i int) bool {
	if i >= len(p.w) {
		return false
	}
	switch calendarUnit(p.w[i]) {
	case "day", "week", "month", "quarter", "year", "gph", "gal/h", "gal/hr", "gal", "gallon", "l/h", "lph", "octane":
		return true
	}
	return false
}

// site reads "site 114", "store #114", `at "Oak Street"` and "at Oak Street".
func (p *parser) site(i int) int {
	n := 0
	switch {
	case siteWords[p.w[i]]:
		n = 1
		if i+n < len(p.w) && numberSigns[p.w[i+n]] {
			n++
		}
		if i+n < len(p.w) && !p.t[i+n].quoted && (!p.t[i+n].cut || many[p.w[i]] && p.siteAhead(i+n)) && identForm.MatchString(p.w[i+n]) &&
			(siteNumber.MatchString(p.w[i+n]) && !(many[p.w[i]] && p.unitAt(i+n+1)) || !p.dateAt(i+n) && !shortForm.MatchString(p.w[i+n])) { // site 2014 is a site, not a year
			p.takeNumber(p.t[i+n].raw)
			n++
			n += p.moreSites(i + n)
			n += p.nameAfter(i + n)
			p.siteEnd = i + n
			return n
		}
		if many[p.w[i]] && p.w[i] != "sites" {
			return n
		}
	case p.w[i] == "at" && !has([]string{"least", "most"}, p.from(i+1, 1)) || (p.w[i] == "in" || p.w[i] == "for" || p.w[i] == "from" || p.w[i] == "to") && p.siteAhead(i+1):
		n = 1
		for i+n < len(p.w) && (p.w[i+n] == "the" || p.w[i+n] == "our") {
			n++
		}
		if i+n < len(p.w) && p.w[i+n] == "#" {
			n++
		}
		if i+n < len(p.w) && siteNumber.MatchString(p.w[i+n]) && !p.unitAt(i+n+1) {
			p.takeNumber(p.w[i+n])
			n += 1 + p.moreSites(i+n+1)
			p.siteEnd = i + n
			return n
		}
	default:
		return 0
	}
	if i+n < len(p.w) && p.t[i+n].quoted {
		p.q.Site = p.t[i+n].raw
		return n + 1
	}
	if k := p.knownAt(i + n); k > 0 {
		n += k
		p.siteEnd = i + n
		if i+n < len(p.w) && siteWords[p.w[i+n]] && !(i+n+1 < len(p.w) && identForm.MatchString(p.w[i+n+1])) {
			n++
		}
		return n
	}
	name := []string{}
	for j := i + n; j < len(p.w) && len(name) < 5 && !p.stops(j, len(name) == 0); j++ {
		name = append(name, p.t[j].raw)
	}
	if len(name) == 0 {
		return n
	}
	next := ""
	if i+n+len(name) < len(p.w) {
		next = p.w[i+n+len(name)]
	}
	if len(p.sites.sites) > 0 && (next == "alarm" || next == "alarms") { // at the overfill alarm
		return n
	}
	if p.q.Site != "" { // a second one: a Query has one by name
		for j := i + n; j < i+n+len(name); j++ {
			p.lost = append(p.lost, j)
		}
		return n + len(name)
	}
	p.q.Site = strings.Join(name, " ")
	return n + len(name)
}

// moreSites reads the numbers that "101, 102 and 103" adds.
func (p *parser) moreSites(i int) int {
	n := p.siteRange(i)
	for i+n < len(p.w) {
		k := 0
		if p.w[i+n] == "or" || p.w[i+n] == "and" {
			k = 1
		} else if !p.t[i+n].cut {
			break
		}
		if i+n+k >= len(p.w) || !siteNumber.MatchString(p.w[i+n+k]) || k == 0 && !p.siteAhead(i+n) || p.unitAt(i+n+k+1) || !p.addSite(p.w[i+n+k]) {
			break
		}
		n += k + 1
	}
	return n
}

// siteRange reads what "118 through 126" adds to the first: the known sites up to the
// last, if a query may hold so many.
func (p *parser) siteRange(i int) int {
	if i+1 >= len(p.w) || !has([]string{"through", "thru", "to", "until"}, p.w[i]) || !p.siteAhead(i+1) || !siteNumber.MatchString(p.q.Site) {
		return 0
	}
	from, to := atoi(p.q.Site), atoi(p.w[i+1])
	if to <= from || to-from > 9 {
		return 0
	}
	for no := from + 1; no <= to; no++ {
		if x, ok := p.sites.number(strconv.Itoa(no)); ok {
			p.addSite(x.Number)
		}
	}
	return 2
}

// takeNumber takes a site's number, and its name when the site is known.
func (p *parser) takeNumber(no string) {
	p.q.Site = no
	if x, ok := p.sites.number(no); ok {
		p.q.SiteName = x.Name
	}
}

// nameAfter reads the name that String writes after a site's number.
func (p *parser) nameAfter(i int) int {
	if i < len(p.w) && p.t[i].quoted && !p.t[i].cut {
		p.q.SiteName = p.t[i].raw
		return 1
	}
	return 0
}

// siteAhead reports the number of a known site that can be no date.
func (p *parser) siteAhead(i int) bool {
	if i < len(p.w) && p.w[i] == "#" {
		i++
	}
	if i >= len(p.w) || !siteNumber.MatchString(p.w[i]) || yearForm.MatchString(p.w[i]) || p.unitAt(i+1) || p.quantityAt(i+1) {
		return false
	}
	_, ok := p.sites.number(p.w[i])
	return ok
}

// stops reports whether a site's name ends before word j.
func (p *parser) stops(j int, first bool) bool {
	w := p.w[j]
	if p.t[j].quoted || p.t[j].cut && !first || bounds[w].side != "" || bounds[p.from(j, 2)].side != "" || devices[w] != "" || siteWords[w] || superlatives[w] != "" || turners[w] || numberSigns[w] ||
		filler[w] || has([]string{"whose", "among", "according", "because", "total", "altogether", "average"}, w) || everything[w] || prepositions[w] || p.dateAt(j) {
		return true
	}
	for _, s := range []lexicon.Sense{lexicon.Result, lexicon.TestClass} {
		if _, ok := p.exact(s, w); ok {
			return true
		}
	}
	if _, ok := testPhrases[w]; ok {
		return true
	}
	if _, ok := p.kindOf(w); ok {
		return true
	}
	if k, ok := p.kindOf(p.from(j, 2)); ok && k != "" {
		return true
	}
	_, ok := p.exact(lexicon.Grade, w)
	return ok && first
}

func (p *parser) dateAt(j int) bool {
	d := p.dates // a copy: nothing is assumed by looking
	d.assumed = nil
	_, n := d.span(p.w[j:], yearForm.MatchString(p.w[j]))
	return n > 0
}
