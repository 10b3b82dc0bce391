package parse

import (
	"math"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/parse/value"
	"tankroll/record"
)

// Helper fields that the label table names beside the record's own.
const (
	fieldType   = "test_type" // a test rate, its class or its method
	fieldPeriod = "period"    // two dates
	fieldBook   = "book"      // computed stock, no field of a record
	fieldVolume = "volume"    // of a tank test: the volume it began with
	fieldMoment = "moment"    // a date or time without a label
)

// specOf is record.Spec that also knows the header's and the helper fields.
func specOf(k record.Kind, field string) (record.FieldSpec, bool) {
	if h, ok := strings.CutPrefix(field, "header."); ok {
		if h == "printed_at" {
			return record.FieldSpec{Name: field, Type: record.Time}, true
		}
		return record.FieldSpec{Name: field, Type: record.Label}, true
	}
	if s, ok := specs[k][field]; ok {
		return s, true
	}
	switch field {
	case fieldType:
		return record.FieldSpec{Name: field, Type: record.Code}, true
	case fieldPeriod, fieldMoment:
		return record.FieldSpec{Name: field, Type: record.Time}, true
	case fieldBook, fieldVolume:
		return record.FieldSpec{Name: field, Type: record.Number, Quantity: record.Volume}, true
	case "percent_full":
		return record.FieldSpec{Name: field, Type: record.Number}, true
	}
	return record.FieldSpec{}, false
}

// specs is record.Specs by name.
var specs = func() map[record.Kind]map[string]record.FieldSpec {
	out := map[record.Kind]map[string]record.FieldSpec{}
	for _, k := range record.Kinds() {
		out[k] = map[string]record.FieldSpec{}
		for _, s := range record.Specs(k) {
			out[k][s.Name] = s
		}
	}
	return out
}()

// hasFields says which of the fields that are asked for at every word a kind has.
type hasFields struct {
	result, class, method, product bool
	capacity                       bool
	own                            bool // the name of what its records are about
}

// fieldsOf is hasFields for each kind.
var fieldsOf = func() map[record.Kind]hasFields {
	out := map[record.Kind]hasFields{}
	for k, fields := range specs {
		has := func(name string) bool {
			_, ok := fields[name]
			return ok
		}
		out[k] = hasFields{has("result"), has("test_class"), has("method"), has("product"), has("capacity"), has(ownName(k))}
	}
	return out
}()

// readField reads a value for a field of a kind, whose own rules may go beyond
// its type's.
func (d *doc) readField(k record.Kind, spec record.FieldSpec, toks []token, hint string) (reading, bool) {
	switch spec.Name {
	case "test_rate", "test_class":
		return d.readClass(k, toks, hint)
	case fieldType:
		if r, ok := d.readClass(k, toks, hint); ok {
			return r, true
		}
		return d.readCode("method", toks)
	case fieldPeriod:
		return d.readPeriod(toks)
	case "header.site_number":
		if len(toks) == 0 || !hasDigit(toks[0].text) || len(toks[0].text) > 10 {
			return reading{}, false
		}
		n, text := wholeNumber(toks)
		return reading{used: n, toks: toks[:n], value: strings.TrimLeft(text, "#")}, true
	case "product":
		r, ok := d.read(spec, toks, hint)
		if ok && r.toks[0].number && len(r.toks) == 1 && len(r.toks[0].text) != 2 && !octaneAndShare(r.toks[0].text) {
			return reading{}, false // a quantity, no name
		}
		if _, cost, known := d.grade(r.toks); ok && known {
			r.cost += cost
		} else if ok && d.isHeading(r.toks) {
			return reading{}, false // words of labels, no name
		} else if ok {
			r.cost += unknownGrade
		}
		return r, ok
	case "passes_24h", "passes_since_midnight":
		r, ok := d.read(spec, toks, hint)
		return r, ok && r.num.Decimals == 0 && r.num.Value >= 0 && r.num.Value <= mostPasses
	case "first_pass_of_month", "last_pass_at":
		if n := noneYet(toks); n > 0 {
			return reading{used: n, toks: toks[:n], none: true}, true
		}
	case "device":
		return d.readDevice(toks)
	case "state":
		d.stateSense = lexicon.AlarmState
		if k == record.SensorStatus {
			d.stateSense = lexicon.SensorState
		}
	}
	return d.read(spec, toks, hint)
}

// octaneAndShare reports whether a word is an octane number and the share of ethanol: 98E5, 95E10.
func octaneAndShare(text string) bool {
	i := strings.IndexAny(text, "eE")
	return i == 2 && plainDigits(text[:i], 2, 2) && plainDigits(text[i+1:], 1, 2)
}

// mostPasses is the most passes of a line in a day: hourly tests that take some
// minutes each, with room for those begun anew.
const mostPasses = 300

// readDevice reads what an alarm is about, with its number.
func (d *doc) readDevice(toks []token) (reading, bool) {
	r, ok := d.readCode("device", toks)
	if prefix, number, _, isIdent := toks[0].ident(); isIdent && identPrefixes[prefix] != "" {
		r = reading{used: 1, toks: toks[:1], value: identPrefixes[prefix]}
		r.also = &fact{field: "device_number", read: reading{used: 1, toks: toks[:1], value: number}}
		return r, true
	}
	if device, n := letterDevice(toks); n > 0 {
		r = reading{used: n, toks: toks[:1], value: device}
		_, number, _, _ := toks[1].ident()
		r.also = &fact{field: "device_number", read: reading{used: 1, toks: toks[1:2], value: number}}
		return r, true
	}
	if !ok || r.used >= len(toks) || r.value == "system" {
		return r, ok
	}
	if prefix, number, fixed, isIdent := toks[r.used].ident(); isIdent && identPrefixes[prefix] == "" {
		r.also = &fact{field: "device_number", read: reading{used: 1, toks: toks[r.used : r.used+1], value: number, fixed: fixed}}
		r.used++
	}
	return r, true
}

// letterDevice reads a letter for equipment with its number behind a space, as T 2; 0
// tokens for none.
func letterDevice(toks []token) (device string, used int) {
	if len(toks) < 2 || len(toks[0].norm) != 1 || identPrefixes[toks[0].norm] == "" || toks[0].delim != 0 || toks[0].stop != 0 || toks[1].gap >= wideGap || !plainDigits(toks[1].text, 1, 2) {
		return "", 0
	}
	return identPrefixes[toks[0].norm], 2
}

// readPeriod reads two dates with what stands between them.
func (d *doc) readPeriod(toks []token) (reading, bool) {
	a, ok := d.readTime(toks, false)
	if !ok {
		return reading{}, false
	}
	j := a.used
	for j < len(toks) && j < a.used+2 && (toks[j].blank || strings.Contains(" to thru through until till - ", " "+toks[j].norm+" ")) {
		j++
	}
	b, ok := d.readTime(toks[j:], false)
	if !ok {
		return reading{}, false
	}
	a.until = &b
	a.used = j + b.used
	return a, true
}

// classRates are the printed rates of the test classes: gallons and litres an
// hour. The widths cover the roundings that are printed, 0.76 and 0.757 and
// 0.8 L/h.
var classRates = []struct {
	class      string
	gal, litre float64
	slack      float64 // of the litres
}{{"3.0", 3, 11.36, 0.1}, {"0.2", 0.2, 0.757, 0.045}, {"0.1", 0.1, 0.379, 0.022}}

// classOf finds the test class of a rate; unit may be "" when none is printed.
func classOf(v float64, unit string) (class, u string, ok bool) {
	for _, c := range classRates {
		if unit != "L/h" && math.Abs(v-c.gal) < 1e-9 {
			return c.class, "gal/h", true
		}
		if unit != "gal/h" && math.Abs(v-c.litre) <= c.slack {
			return c.class, "L/h", true
		}
	}
	return "", "", false
}

// readClass reads the rate that a test looks for, or the word for it.
func (d *doc) readClass(k record.Kind, toks []token, hint string) (reading, bool) {
	if len(toks) == 0 {
		return reading{}, false
	}
	if n, ok := d.figure(toks[0]); ok {
		if k == record.LineSummary && n.Value < 0 && toks[0].text[0] == '(' {
			n.Value = -n.Value // MONTHLY (0.2): a summary has no amounts below zero
		}
		r := reading{used: 1, toks: toks[:1], num: n, fixed: n.Fixed}
		if code, cost, used := d.unitAfter(toks[1:]); used > 0 {
			u := unitCodes[code]
			if quantityOf(u) != record.Rate {
				return reading{}, false
			}
			r.unit, r.unitFrom, r.used, r.cost = u, unitBeside, 1+used, cost
		} else if u := unitCodes[hint]; quantityOf(u) == record.Rate {
			r.unit, r.unitFrom = u, unitLabel
		}
		class, u, ok := classOf(n.Value, r.unit)
		if !ok {
			return reading{}, false
		}
		if r.unit == "" {
			r.unit = u
		}
		r.class, r.value = class, n.Value
		return r, true
	}
	code, cost, used := d.code(lexicon.TestClass, toks)
	if used == 0 {
		return reading{}, false
	}
	if used < len(toks) && toks[used].number && toks[used].gap < wideGap {
		if r, ok := d.readClass(k, toks[used:], hint); ok && r.class == code {
			r.used += used // MONTHLY 0.2 GPH
			return r, true
		}
	}
	return reading{used: used, toks: toks[:used], value: code, class: code, cost: cost}, true
}

// figure is number for a token in which a figure stands.
func (d *doc) figure(t token) (value.Number, bool) {
	if !hasDigit(t.text) {
		return value.Number{}, false
	}
	return d.number(t)
}

// numberTexts lists what looks like a number and is no part of a date or time.
func (d *doc) numberTexts() []string {
	var out []string
	dated := false // a date without its time of day stands before the token
	for _, l := range d.lines {
		for i := 0; i < len(l.toks); {
			r, ok := d.readTime(l.toks[i:], dated)
			if dated = ok && r.hasDate() && !r.hasClock(); ok {
				i += r.used
				continue
			}
			if l.toks[i].number {
				out = append(out, l.toks[i].text)
			}
			i++
		}
	}
	return out
}

// wholeNumber is the number of a site at the beginning of tokens and how many it takes: 14-C is one word, 000 418
// one number in two groups.
func wholeNumber(toks []token) (int, string) {
	const longest = 10
	n, text := 1, toks[0].text
	for n < len(toks) && toks[n].fused && len(text)+len(toks[n].text) <= longest {
		text += toks[n].text
		n++
	}
	if n == 1 && len(toks) > 1 && plainDigits(text, 1, 3) && plainDigits(toks[1].text, 3, 3) && toks[1].gap <= 1.2 && cellEnd(toks, 0) == 2 {
		return 2, text + " " + toks[1].text
	}
	return n, text
}
