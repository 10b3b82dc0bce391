package parse

import "tankroll/record"

// things tries equipment numbers that carry their letter: T2, SENSOR-04, or L 2 at the
// beginning of a line.
func (s *scanner) things(i int, try *ways) {
	if s.letterApart(i) {
		field := identPrefixes[s.toks[i].norm]
		if r, ok := s.d.readIdent(field, s.toks[i+1:]); ok {
			s.thing(i, i+1, r, fact{field: field, read: r, label: s.toks[i : i+1], printed: true}, factWorth+wordWorth, try)
		}
		return
	}
	prefix, _, _, ok := s.toks[i].ident()
	field := identPrefixes[prefix]
	if !ok || field == "" {
		return
	}
	if _, has := specs[s.kind][field]; !has {
		return
	}
	r, ok := s.d.readIdent(field, s.toks[i:])
	if ok {
		s.thing(i, i, r, fact{field: field, read: r, printed: true}, factWorth, try)
	}
}

// letterApart reports whether a line begins with the letter of what its kind is about
// and a number behind a space.
func (s *scanner) letterApart(i int) bool {
	device, n := letterDevice(s.toks)
	return i == 0 && n > 0 && device == ownName(s.kind) && (len(s.toks) == n || !s.d.isUnit(s.toks[n]))
}

// thing goes on from an equipment number to the product behind it.
func (s *scanner) thing(i, j int, r reading, f fact, worth float64, try *ways) {
	try.with(j-i+r.used, worth, f)
	at := j + r.used
	for at < len(s.toks) && joinsProduct(s.toks[at]) {
		at++
	}
	if p, more, ok := s.productAt(at, true); ok && (f.field == "tank" || f.field == "line") {
		try.with(at+p.read.used-i, worth+more, f, p)
	}
}

// bareNames tries a number in the first cell of a line as the name of what the
// line is about.
func (s *scanner) bareNames(i int, try *ways) {
	own := ownName(s.kind)
	if i > 0 || !s.has.own || own == "device" || s.toks[0].ordinal || len(s.toks) < 2 || !s.toks[0].number || s.toks[0].delim == '.' {
		return
	}
	if !starts(s.toks, 1) {
		if p, _, ok := s.productAt(1, false); !ok || !s.mostlyGrade(p.read.toks) || len(s.toks[0].text) > 2 {
			return
		}
	}
	if r, ok := s.d.readIdent(own, s.toks); ok && len(s.toks[0].text) <= 3 {
		try.with(1, freeWorth, fact{field: own, read: r, weak: true})
	}
}

// ownName is the field that names what a kind of record is about.
func ownName(k record.Kind) string {
	switch k {
	case record.LineTest, record.LineSummary:
		return "line"
	case record.SensorStatus:
		return "sensor"
	case record.Alarm:
		return "device"
	}
	return "tank"
}

// numbersThingAt reports whether a label of several words ends in the one for a tank, line or sensor
// and no more than its number stands right behind: STOCK, TANK 4 holds no amount.
func (s *scanner) numbersThingAt(i, j int, n name) bool {
	last := i + n.used - 1
	if n.used < 2 || j != last+1 || !plainDigits(s.toks[j].text, 1, 2) || starts(s.toks, j) || s.toks[last].delim != 0 || n.unit != "" || s.unitAt(j+1) {
		return false
	}
	if j+1 < len(s.toks) && plainDigits(s.toks[j+1].text, 3, 3) && !starts(s.toks, j+1) {
		return false // FULL TANK 56 781 L
	}
	return s.d.isDevice(s.toks[last])
}

// unitAt reports whether a unit stands at a place.
func (s *scanner) unitAt(j int) bool { return j < len(s.toks) && s.d.isUnit(s.toks[j]) }
