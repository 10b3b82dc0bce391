package parse

import "tankroll/record"

// loose tries a number whose unit alone says what it is: a temperature or a
// pressure where the record has one only.
func (s *scanner) loose(i int, try *ways) {
	if !s.toks[i].number {
		s.timeTaken(i, try)
		return
	}
	code, _, used := s.d.unitAfter(s.toks[i+1:])
	if used == 0 {
		return
	}
	if spec, ok := specs[s.kind]["percent_full"]; ok && code == "percent" {
		if r, ok := s.d.read(spec, s.toks[i:], ""); ok && r.used == 1+used {
			try.with(r.used, float64(r.used)*freeWorth, fact{field: "percent_full", read: r, weak: true, guess: "no label stands with the percentage; it is taken for how full the tank is"})
		}
		return
	}
	q := quantityOf(unitCodes[code])
	if code == "min" && s.toks[i].open {
		q = record.Hours // ENDED 02:45 (150 MIN)
	}
	if q != record.Temperature && q != record.Pressure && q != record.Hours {
		return
	}
	found := ""
	for name, spec := range specs[s.kind] {
		if spec.Quantity == q {
			if found != "" {
				return
			}
			found = name
		}
	}
	if found == "" {
		return
	}
	if r, ok := s.d.read(specs[s.kind][found], s.toks[i:], ""); ok {
		try.with(r.used, float64(r.used)*freeWorth, fact{field: found, read: r, weak: true})
	}
}

// fieldLoose is a quantity without a label in a list line; what it is follows
// from its unit and its place among the others.
const fieldLoose = "loose"

// looseFields says, for each kind and quantity, what unlabelled amounts are, in
// their usual order.
var looseFields = map[record.Kind]map[record.Quantity][]string{
	record.Inventory:  {record.Volume: {"volume"}, record.Length: {"height", "water_height"}, record.Temperature: {"temperature"}},
	record.TankTest:   {record.Rate: {"leak_rate"}, record.Temperature: {"temperature"}, record.Volume: {"start_volume"}},
	record.LineTest:   {record.Rate: {"leak_rate"}, record.Pressure: {"pressure"}},
	record.Delivery:   {record.Volume: {"delivered"}},
	record.TankLimits: {record.Volume: {}},
}

// quantities tries an amount whose unit stands with it but no label.
func (s *scanner) quantities(i int, try *ways) {
	if !s.toks[i].number || looseFields[s.kind] == nil {
		return
	}
	code, _, used := s.d.unitAfter(s.toks[i+1:])
	q := quantityOf(unitCodes[code])
	if s.kind == record.TankLimits && s.d.beginsThing(s.toks) != "tank" {
		return // TANK 1 REGULAR (12,000 GAL)
	}
	if used == 0 || looseFields[s.kind][q] == nil && sideFields[s.kind][q] == "" {
		return
	}
	if r, ok := s.d.readNumber(q, s.toks[i:], ""); ok && r.unitFrom == unitBeside {
		try.with(r.used, float64(r.used)*0.5-0.2, fact{field: fieldLoose, read: r, weak: true, guess: "no label stands with it; its unit and place alone say what it is"})
	}
}

// sideFields says what an amount beside a start or an end is of, behind "start_" or
// "end_".
var sideFields = map[record.Kind]map[record.Quantity]string{
	record.TankTest: {record.Volume: "volume"},
	record.Delivery: {record.Volume: "volume", record.Temperature: "temperature"},
}

// sideAmounts gives amounts without a label that stand right behind the time of a start or
// an end their fields: STARTED 12:30 AT 5123 GAL.
func sideAmounts(k record.Kind, facts []fact, qualifier string) {
	if sideFields[k] == nil {
		return
	}
	side := qualifier
	for _, f := range facts {
		if f.field != fieldLoose && (len(f.label) > 0 || f.field != "temperature") {
			side = "" // a line that says what it is of
		}
	}
	taken := map[string]bool{}
	for i := range facts {
		f := &facts[i]
		taken[f.field] = true
		switch {
		case f.field == "started_at" || f.field == "start_volume":
			side = "start"
		case f.field == "ended_at" || f.field == "end_volume":
			side = "end"
		case f.field != fieldLoose && (len(f.label) > 0 || f.field != "temperature"):
			side = ""
		}
		name := sideFields[k][quantityOf(f.read.unit)]
		if f.field != fieldLoose || name == "" || side != "start" && side != "end" || taken[side+"_"+name] {
			continue
		}
		f.field, f.guess = side+"_"+name, "no label stands with it; it is taken to go with the "+side+" beside it"
		if i > 0 && facts[i-1].field == side+"_volume" && len(facts[i-1].label) > 0 && rightBehind(facts[i-1].read.toks, f.read.toks) {
			f.guess = "" // FROM 976 GAL AT 60.8 F
		}
		taken[f.field] = true
	}
}

// placeLoose gives the amounts without a label their fields.
func placeLoose(dr *draft) {
	for i := range dr.facts {
		f := &dr.facts[i]
		if f.field != fieldLoose {
			continue
		}
		f.field = ""
		if !dr.has(ownName(dr.kind)) {
			continue // no line of a list
		}
		if dr.besideTank(f) {
			f.field, f.guess = "capacity", "no label stands with it; beside the tank's name it is taken for what the tank holds"
			continue
		}
		for _, name := range looseFields[dr.kind][quantityOf(f.read.unit)] {
			if !dr.has(name) {
				f.field = name
				break
			}
		}
	}
}

// besideTank reports whether an amount without a label stands on the line that names its tank, and
// the tank holds no more of anything, by the labels below: TANK 1 REGULAR (12,000 GAL).
func (dr *draft) besideTank(f *fact) bool {
	if dr.kind != record.Inventory && dr.kind != record.TankLimits || quantityOf(f.read.unit) != record.Volume || dr.has("capacity") {
		return false
	}
	line, named, held := f.read.toks[0].line, false, false
	for i := range dr.facts {
		switch o := &dr.facts[i]; {
		case o == f || len(o.read.toks) == 0:
		case o.field == ownName(dr.kind):
			named = o.read.toks[0].line == line
		case quantityOf(o.read.unit) != record.Volume:
			if o.read.toks[0].line == line && o.field != "product" && o.field != "" {
				return false // a line of a list
			}
		case len(o.label) == 0 || o.read.toks[0].line == line || o.read.num.Value > f.read.num.Value:
			return false
		default:
			held = held || o.field == "volume" || dr.kind == record.TankLimits
		}
	}
	return named && held
}

// timeTaken tries TIME before hours, which is how long a test took and no time of day: TIME 4.0 H.
func (s *scanner) timeTaken(i int, try *ways) {
	spec, ok := specs[s.kind]["duration"]
	if !ok || s.toks[i].norm != "time" || i+1 >= len(s.toks) || !s.toks[i+1].number {
		return
	}
	if code, _, used := s.d.unitAfter(s.toks[i+2:]); used == 0 || quantityOf(unitCodes[code]) != record.Hours {
		return
	}
	if r, ok := s.d.read(spec, s.toks[i+1:], ""); ok && r.used > 1 {
		try.with(1+r.used, factWorth+wordWorth, fact{field: "duration", read: r, label: s.toks[i : i+1], printed: true})
	}
}

// rightBehind reports whether amounts stand one behind the other on a line, with no more than
// the unit of the first and a little word between them.
func rightBehind(a, b []token) bool {
	const between = 2
	if len(a) == 0 || len(b) == 0 {
		return false
	}
	last, first := a[len(a)-1], b[0]
	return last.line == first.line && first.at > last.at && first.at <= last.at+1+between && first.gap < wideGap
}
