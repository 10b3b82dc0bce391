package query

import (
	"slices"
	"sort"
	"strings"
	"unicode"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// settleKind decides what kind of record is asked for when no title was named.
func (p *parser) settleKind() {
	q := &p.q
	if q.Order == "" {
		q.Order = Latest
	}
	tank, line, sensor := p.mentioned["tank"], p.mentioned["line"], p.mentioned["sensor"]
	if q.Kind == record.Alarm {
		if q.Device == "" && q.Tank == "" && q.Line == "" && q.Sensor == "" {
			for _, dev := range []string{"tank", "line", "sensor"} {
				if p.mentioned[dev] {
					q.Device = dev
				}
			}
		}
		return
	}
	if q.Kind == "" && !p.test && q.Result == "" && has(q.Marks, "not_followed_up") && !p.plural && !p.noun && q.Measure == "" {
		q.Kind = record.Alarm
		p.assume("what was not followed up is taken to ask for alarms")
		p.alternative("records of any kind", func(q *Query) { q.Kind = "" })
	}
	if q.Kind == record.SensorStatus && q.Grade != "" && !strings.Contains(q.Grade, ",") { // the diesel sump: its label says so
		q.Words, q.Grade = append(q.Words, q.Grade), ""
	}
	if q.Kind != "" {
		return
	}
	if q.Method != "" {
		q.Kind = record.TankTest
		return
	}
	if p.wentOff && (sensor || q.Place != "" || tank || line) && !p.test && q.Result == "" {
		q.Kind, p.plural = record.Alarm, true
		p.assume("what went off is taken to ask for alarms")
		if tank || line || sensor {
			p.settleKind()
		}
		return
	}
	about := p.test || q.TestClass != "" || q.Result != ""
	switch {
	case about && tank && !line:
		q.Kind = record.TankTest
	case about && line && (!tank || q.Line != "" && q.Tank == ""): // a line's number is no tank's
		q.Kind = record.LineTest
	case about && sensor && !p.test:
		q.Kind = record.SensorStatus
	case about && tank && line && q.TestClass != "3.0": // annual tests, tanks plus lines
		q.AnyTest = true
	case about && p.anyClass && !tank && !line:
		q.AnyTest = true
	case about && q.TestClass == "3.0":
		q.Kind = record.LineTest
		p.assume("a 3.0 gal/h test is taken to be a line test")
	case about && q.TestClass != "":
		q.Kind = record.TankTest
		p.assume("a " + q.TestClass + " test is taken to be a tank test; ask for a line test to see those")
		p.alternative("line tests", func(q *Query) { q.Kind = record.LineTest })
	case p.test:
		q.AnyTest = true
	case (q.Grade != "" || q.Tank != "" || tank) && p.spokeOf("level", "levels") && q.Measure == "":
		q.Kind = record.Inventory
		if p.spokeOf("level") && q.From+q.To == "" && !p.all && q.Per == "" {
			p.superl = true
		} else if q.From+q.To == "" {
			p.now = true
		}
		p.assume("a level is taken to ask for inventory")
	case q.Tank+q.Grade != "" && (p.superl || p.per == "tank") && q.Measure == "" && (has(p.w, "reading") || has(p.w, "readings")), p.per == "tank" && tank && q.Measure == "" && p.superl && (has(p.w, "reading") || has(p.w, "readings")):
		q.Kind = record.Inventory
		p.assume("a reading of a tank is taken to ask for inventory")
	case q.Grade+q.Tank != "" && q.Result == "" && q.Measure == "" && !p.test && q.State == "" && (has(p.w, "have") || has(p.w, "had")) && (has(p.w, "what") || has(p.w, "whats")) && q.Place == "" && !sensor:
		q.Kind = record.Inventory
		p.assume("what there was is taken to ask for inventory")
	case q.Place != "", (sensor || q.State != "" && q.State != "raised") && !tank && !line:
		q.Kind = record.SensorStatus
		if q.Tank != "" && !strings.Contains(q.Tank, ",") { // the interstice of tank 2: its label says so
			q.Words, q.Tank = append(q.Words, "tank "+q.Tank), ""
		}
		if q.Grade != "" {
			p.settleKind()
		}
	}
}

// spokeOf reports one of the soft words.
func (p *parser) spokeOf(words ...string) bool {
	return slices.ContainsFunc(p.soft, func(i int) bool { return has(words, p.w[i]) })
}

// dropClass takes back a rate of tests where what is asked for has none: a delivery.
func (p *parser) dropClass() {
	q := &p.q
	if q.TestClass == "" || q.Kind == "" {
		return
	}
	if _, has := record.Spec(q.Kind, "test_class"); has {
		return
	}
	if i := slices.Index(p.w, q.TestClass); i >= 0 {
		p.lost = append(p.lost, i)
	} else {
		q.NotUnderstood = append(q.NotUnderstood, q.TestClass)
	}
	q.TestClass = ""
}

// settleWords finds a use for the words that no rule took, and returns those
// that have none.
func (p *parser) settleWords() []int {
	all := append(slices.Clone(p.pending), p.soft...)
	sort.Ints(all)
	var unknown []int
	if p.q.Anything() && slices.ContainsFunc(p.pending, p.printable) && !p.turned() {
		// Nothing but unknown words: look for them on the slips.
		for _, i := range p.pending {
			if p.printable(i) {
				p.q.Words = append(p.q.Words, p.t[i].raw)
			} else {
				p.q.NotUnderstood = append(p.q.NotUnderstood, p.t[i].raw)
			}
		}
		return p.pending
	}
	all = p.eitherText(all)
	for _, i := range all {
		if !p.useWord(i) && !slices.Contains(p.soft, i) {
			unknown = append(unknown, i)
		}
	}
	rest := append(slices.Clone(unknown), p.lost...)
	sort.Ints(rest)
	for _, i := range rest {
		p.q.NotUnderstood = append(p.q.NotUnderstood, p.t[i].raw)
	}
	return unknown
}

// eitherText takes what alarms may say, several of it joined by and or or, for any of
// these: high water and overfill alarms. It returns the words that are left.
func (p *parser) eitherText(list []int) []int {
	if p.q.Kind != record.Alarm {
		return list
	}
	usable := func(i int) bool {
		w := p.w[i]
		_, state := p.exact(lexicon.AlarmState, w)
		return p.printable(i) && !turners[w] && !(state && alarmStateWords[w]) && numerals[w] == 0 && !has([]string{"and", "or", "status", "state", "states", "more", "less"}, w) && !prepositions[w]
	}
	var runs [][]int
	for _, i := range list {
		if !usable(i) {
			continue
		}
		if k := len(runs) - 1; k >= 0 && runs[k][len(runs[k])-1] == i {
			continue
		} else if k >= 0 && runs[k][len(runs[k])-1] == i-1 && !p.t[i].cut {
			runs[k] = append(runs[k], i)
			continue
		}
		runs = append(runs, []int{i})
	}
	for first := range runs {
		last := first
		said := false // an and or an or among them
		for last+1 < len(runs) {
			end, next := runs[last][len(runs[last])-1]+1, runs[last+1][0]
			for end < next && (strings.HasPrefix(p.w[end], "alarm")) { // overfill alarms and high water alarms
				end++
			}
			joined := end+1 == next && (p.w[end] == "and" || p.w[end] == "or")
			if !joined && !(end == next && p.t[next].cut) {
				break
			}
			said, last = said || joined, last+1
		}
		if last == first || !said {
			continue
		}
		var texts []string
		var used []int
		for _, run := range runs[first : last+1] {
			var words []string
			for _, i := range run {
				words = append(words, p.t[i].raw)
			}
			texts, used = append(texts, strings.Join(words, " ")), append(used, run...)
		}
		p.q.Words = append(p.q.Words, strings.Join(texts, OrWord))
		return slices.DeleteFunc(slices.Clone(list), func(i int) bool { return slices.Contains(used, i) })
	}
	return list
}

// printable reports a word that can be looked for: it holds a letter or a figure.
func (p *parser) printable(i int) bool {
	return strings.ContainsFunc(p.t[i].raw, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) })
}

// turned reports a word that turns the meaning round.
func (p *parser) turned() bool {
	return slices.ContainsFunc(p.pending, func(i int) bool { return turners[p.w[i]] })
}

// useWord takes a word beside an alarm or a sensor: its state, or a word of its
// text.
func (p *parser) useWord(i int) bool {
	w := p.w[i]
	if !p.printable(i) || turners[w] || numerals[w] > 0 || bounds[w].side != "" || w == "more" || w == "less" || w == "once" || w == "twice" || w == "status" || w == "state" || w == "states" || w == "#" || prepositions[w] || w == "and" || w == "or" {
		return false
	}
	switch p.q.Kind {
	case record.Alarm:
		if code, ok := p.exact(lexicon.AlarmState, w); ok && alarmStateWords[w] && (p.q.State == "" || p.q.State == code) {
			p.q.State = code
			return true
		} else if ok && alarmStateWords[w] { // it has another one
			return false
		}
		p.q.Words = append(p.q.Words, p.t[i].raw)
		return true
	case record.SensorStatus:
		if code, ok := p.exact(lexicon.SensorState, w); ok {
			if p.q.State == "" {
				p.q.State = code
				return true
			}
			if p.q.State != NotNormal && p.joined(i, &p.q.State, code) {
				return true
			}
		}
		if w == "level" || w == "levels" || w == "product" {
			return false
		}
		p.q.Words = append(p.q.Words, p.t[i].raw)
		return true
	}
	return false
}

// alarmStateWords are state words that are not also part of alarm texts.
var alarmStateWords = set("raised", "active", "cleared", "clear", "acknowledged", "acked", "silenced", "resolved", "ended", "standing", "tripped", "open")

// settleLimit decides how many records are asked for.
func (p *parser) settleLimit() {
	q := &p.q
	p.all = p.all || p.listed && !p.superl
	switch {
	case q.Count:
		q.Limit, q.Order = 0, Latest
	case q.Figure != "":
		q.Limit, q.Order = 0, Latest
	case q.Missing != "":
		q.Order = Latest
	case q.Limit > 0 || !p.superl || p.all:
	case q.Per != "":
		q.Limit = 1
	case (p.everywhere || strings.Contains(q.Site, ",")) && q.Order != Highest && q.Order != Lowest && !p.asOf: // the latest of each
		q.Per, q.Limit = "site", 1
		for _, dev := range []string{"tank", "line", "sensor"} {
			if p.mentioned[dev] {
				q.Per = dev
			}
		}
	case p.severalOf() != "" && q.Order == Latest && q.Measure == "": // the last test on lines 1 and 2: of each
		q.Per, q.Limit = p.severalOf(), 1
		p.assume("the newest of each " + q.Per + " is shown")
	case p.plural:
		q.Limit, p.unsaidLimit = manyLimit, true
		p.assume("the number was not said, so up to 10 are shown")
	default:
		q.Limit = 1
	}
}

// severalOf is the device of which two or more are asked for by number.
func (p *parser) severalOf() string {
	for dev, list := range map[string]string{"tank": p.q.Tank, "line": p.q.Line, "sensor": p.q.Sensor} {
		if strings.Contains(list, ",") {
			return dev
		}
	}
	return ""
}

// dropWords say delivery where no other kind is named.
var dropWords = set("drop", "drops", "load", "loads", "dropped", "unloaded", "offloaded", "off-loaded", "delivers", "deliver",
	"hauled", "trucked", "shipped", "supplied", "haul", "hauls", "invoice", "invoices", "invoiced", "bol", "lading")

// settleDrop takes "drop", "load" and "dropped off" as deliveries where no other
// kind is named.
func (p *parser) settleDrop() {
	if ullage := slices.ContainsFunc(p.measures, func(m mention) bool { return m.m.field == "ullage" }); ullage {
		if p.q.Kind == record.Delivery {
			p.q.Kind, p.plural = "", false
		}
		p.pending = slices.DeleteFunc(p.pending, func(i int) bool { return dropWords[p.w[i]] && !p.fell(i) })
		return
	}
	if p.q.Kind != "" || p.test {
		return
	}
	if p.howMuch && p.receives() || p.cameIn() {
		p.q.Kind, p.phrase = record.Delivery, "delivered"
		p.assume("what was received is taken to ask for deliveries")
		return
	}
	for k, i := range p.pending {
		w, next := p.w[i], ""
		if i+1 < len(p.w) {
			next = p.w[i+1]
		}
		if !dropWords[w] || p.fell(i) {
			continue
		}
		p.q.Kind, p.phrase = record.Delivery, "delivered"
		if has([]string{"drop", "drops", "load", "loads", "haul", "hauls", "invoice", "invoices", "bol", "lading"}, w) && !p.howMuch {
			p.phrase = "deliveries" // they are counted, what was delivered is added up
		}
		p.plural = p.plural || strings.HasSuffix(w, "s")
		p.assume(w + " is taken to ask for deliveries")
		end := k + 1
		if end < len(p.pending) && p.pending[end] == i+1 && next == "off" {
			end++
		}
		p.pending = slices.Delete(p.pending, k, end)
		return
	}
}

// fell reports a drop that is none of fuel: "dropped below 500", "tank 3 drops under".
func (p *parser) fell(i int) bool {
	if !strings.HasPrefix(p.w[i], "drop") || i+1 >= len(p.w) {
		return false
	}
	if p.w[i] == "dropped" {
		return bounds[p.w[i+1]].side != "" || p.w[i+1] == "to"
	}
	return bounds[p.w[i+1]].side == "under" && (len(p.measures) > 0 || i > 0 && deviceForm.MatchString(p.w[i-1]))
}

// cameIn reports a product that came in, or that somebody got.
func (p *parser) cameIn() bool {
	if p.q.Grade == "" && !p.gotFuel() || p.q.Result != "" || p.q.TestClass != "" || p.measures != nil && !p.gallonsAlone() || p.q.Order == Highest || p.q.Order == Lowest {
		return false
	}
	for i, w := range p.w {
		switch {
		case w == "received" || w == "receive" || w == "receiving" || w == "getting" || w == "brought" || has([]string{"came in", "come in", "comes in", "brought in", "bring in"}, p.from(i, 2)):
			return true
		case (w == "got" || w == "took" || w == "gets" || w == "takes") && i > 0 && !has([]string{"have", "has", "weve", "youve", "ive"}, p.w[i-1]) && !(i > 1 && (p.w[i-2] == "have" || p.w[i-2] == "has")):
			return true
		case has([]string{"get", "take", "bring", "haul"}, w) && has(p.w[:i], "did"):
			return true
		}
	}
	return false
}

// gallonsAlone reports gallons as the one thing measured.
func (p *parser) gallonsAlone() bool {
	return len(p.measures) == 1 && p.measures[0].plain && p.w[p.measures[0].i] == "gallons"
}

// gotFuel reports "get any fuel" and "take on gas", where no product is named.
func (p *parser) gotFuel() bool {
	for i, w := range p.w {
		if !has([]string{"get", "got", "gets", "receive", "received", "take", "took", "bring", "brought", "gotten"}, w) {
			continue
		}
		for j := i + 1; j < min(i+4, len(p.w)); j++ {
			if has([]string{"fuel", "gas", "product", "gasoline"}, p.w[j]) && !has([]string{"test", "tests", "level", "temperature", "alarm", "alarms"}, p.from(j+1, 1)) {
				return true
			}
			if !has([]string{"any", "some", "its", "their", "in", "on", "more", "the", "our", "no"}, p.w[j]) {
				break
			}
		}
	}
	return false
}

// receives reports "how many gallons did we get" and "were received".
func (p *parser) receives() bool {
	for _, m := range p.measures {
		if m.m.field != "volume" {
			return false
		}
	}
	for _, w := range []string{"received", "receive", "hauled", "trucked", "shipped", "supplied", "unloaded", "bought", "brought"} {
		if has(p.w, w) {
			return true
		}
	}
	return has(p.w, "did") && (has(p.w, "get") || has(p.w, "take"))
}

// asksStill reports "is it still out" and "is sensor 3 normal again".
func (p *parser) asksStill() bool {
	return has(p.w, "still") || has(p.w, "again") || p.now || p.w[0] == "is"
}

// settleFields gives back what the kind asked for has no field for: a delivery
// has no result, and an alarm's words may be those of results.
func (p *parser) settleFields() {
	q := &p.q
	if q.Kind == "" {
		return
	}
	for _, f := range []struct {
		name, spec string
		value      *string
	}{{"class", "test_class", &q.TestClass}, {"result", "result", &q.Result}} {
		if _, ok := record.Spec(q.Kind, f.spec); ok || *f.value == "" || len(p.used[f.name]) == 0 {
			continue
		}
		*f.value = ""
		if q.Kind == record.Alarm {
			p.pending = append(p.pending, p.used[f.name]...)
		} else {
			p.lost = append(p.lost, p.used[f.name]...)
		}
	}
	slices.Sort(p.pending)
	if q.Kind == record.SensorStatus && q.Sensor != "" && !strings.Contains(q.Sensor, ",") && q.State != "" && q.From+q.To == "" && !p.superl && !p.plural && !q.Count && p.asksStill() {
		q.State, p.superl = "", true
		p.assume("how a sensor is now is told by its newest status")
	}
	if p.asOf && q.Per != "" {
		q.Current = true
		return
	}
	if q.Kind == record.SensorStatus && p.superl && q.Order == Latest && q.Sensor+q.Per+q.State == "" && q.Limit == 0 && !p.all && (has(p.w, "sensors") || has(p.w, "current") || has(p.w, "currently")) {
		q.Per, q.Limit = "sensor", 1
		return
	}
	if p.now && q.Missing == "" && !q.Count {
		if q.Kind == record.Alarm && q.State == "raised" && q.Device != "" && q.Device != "system" && q.Tank+q.Line+q.Sensor == "" {
			q.Per, q.Limit, q.Current = q.Device, 1, true
			return
		}
		device := map[record.Kind]string{record.SensorStatus: "sensor", record.TankTest: "tank", record.LineTest: "line", record.Inventory: "tank"}[q.Kind]
		if device != "" && q.Order != Highest && q.Order != Lowest && (!p.superl || q.Kind == record.SensorStatus && q.State != "" && q.Sensor == "") && (q.State != "" || q.Result != "" || q.Per != "" || p.plural || len(p.boundAt) > 0 || p.mentioned[device]) {
			q.Per, q.Limit, q.Current = device, 1, true
		}
	}
}
