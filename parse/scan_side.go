package parse

import "tankroll/record"

// An amount may go with the start or the end that stands on its line:
//
//	side = ( "start" | "end" ) moment { label value }       START 12:30  VOL 5123  T 12
//	     | label value [ "at" ] ( "start" | "end" )         VOLUME 5123 AT START
//	     | label "from" value "to" value                    TEMPERATURE ROSE FROM 12 TO 14

// sideLabel is the part, start or end, that a line begins with before a time, "" for none.
func (d *doc) sideLabel(toks []token) string {
	for _, n := range d.names(toks) {
		if n.bag != startBag() && n.bag != endBag() || n.used >= len(toks) {
			continue
		}
		if r, ok := d.readTime(toks[n.used:], true); ok && r.used+n.used < len(toks) && (r.moment.HasDate || r.moment.HasClock) {
			if n.bag == startBag() {
				return "start"
			}
			return "end"
		}
	}
	return ""
}

// sided tries a label behind the time of a start or an end as what it is of; a lone T is a
// temperature there.
func (s *scanner) sided(i, j int, n name, marked bool, try tryFunc) bool {
	bag := n.bag
	if bag == bagOf("tank") && n.used == 1 && s.toks[i].norm == "t" && starts(s.toks, i) {
		bag = bagOf("temperature")
	}
	bag = withParts(bag, s.side)
	field, ok := s.d.field(s.kind, bag)
	spec, known := specOf(s.kind, field)
	if !ok || !known || spec.Type != record.Number || bag == n.bag {
		return false
	}
	s.pair(i, j, n, field, marked, -0.4, try)
	return true
}
