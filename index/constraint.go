package index

import (
	"fmt"
	"slices"
	"strings"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/record"
)

// constraint is one thing that a question asks of a record.
type constraint struct {
	say    string                     // in words: "passing", "tank 2"
	find   expr                       // how the index finds it
	holds  func(archive.Row) bool     // whether a record meets it; nil when only the index can tell
	fields func(archive.Row) []string // the record's fields that it rests on
	rests  []string                   // all fields that it may rest on
	drop   func(*query.Query)         // takes it out of the question
}

// maybe finds records that meet the constraint or are in doubt about it.
func (c constraint) maybe() expr { return anyOf(c.find, inDoubt(c.rests)) }

// inDoubt finds records in doubt about one of the fields.
func inDoubt(fields []string) expr {
	any := append([]string{anyField}, fields...)
	slices.Sort(any)
	return keyIn("unsure", slices.Compact(any))
}

// doubts lists the fields that the constraint rests on and that are in doubt.
func (c constraint) doubts(r archive.Row) []string {
	var out []string
	for _, name := range c.fields(r) {
		if unsure(r, name) {
			out = append(out, name)
		}
	}
	return out
}

// could reports whether a record meets the constraint or may meet it, its
// fields being in doubt.
func (c constraint) could(r archive.Row) bool {
	return c.holds == nil || c.holds(r) || len(c.doubts(r)) > 0
}

// unsure reports whether a field of a record, its header or its site is in
// doubt.
func unsure(r archive.Row, name string) bool {
	switch name {
	case "site":
		return !r.SiteSure
	case "printed_at":
		return r.Header.PrintedAt != nil && !r.Header.PrintedAt.Sure
	}
	if f, ok := r.Record.Fields[name]; ok && !f.Sure {
		return true
	}
	return doubted(r.Record, name)
}

// constraints are what a query asks, the kind first, the rest in the order in
// which they are worth giving up when nothing is found.
func (k *asker) constraints(q query.Query) ([]constraint, error) {
	var out []constraint
	add := func(say string, find expr, holds func(archive.Row) bool, drop func(*query.Query), fields ...string) {
		out = append(out, constraint{say, find, holds, func(archive.Row) []string { return fields }, fields, drop})
	}
	text := func(say, field, name, value string, drop func(*query.Query)) {
		if value != "" {
			list := strings.Split(value, ",")
			add(say, isAny(field, list), func(r archive.Row) bool {
				return slices.Contains(list, r.Record.Text(name)) && r.Record.Text(name) != ""
			}, drop, name)
		}
	}
	switch {
	case q.OrKind != "":
		add(plural(q.Kind)+" or "+plural(q.OrKind), anyOf(is("kind", string(q.Kind)), is("kind", string(q.OrKind))),
			func(r archive.Row) bool { return r.Record.Kind == q.Kind || r.Record.Kind == q.OrKind }, func(q *query.Query) { q.Kind, q.OrKind = "", "" })
	case q.Kind != "":
		add(plural(q.Kind), is("kind", string(q.Kind)), func(r archive.Row) bool { return r.Record.Kind == q.Kind }, func(q *query.Query) { q.Kind = "" })
	case q.AnyTest:
		add("tests", anyOf(is("kind", string(record.TankTest)), is("kind", string(record.LineTest))),
			func(r archive.Row) bool { return r.Record.Kind == record.TankTest || r.Record.Kind == record.LineTest }, func(q *query.Query) { q.AnyTest = false })
	}
	noResult := func(q *query.Query) { q.Result = "" }
	if q.Result == query.NotPass {
		add("not passing", anyOf(is("result", "fail"), is("result", "inconclusive"), is("result", "aborted")),
			func(r archive.Row) bool { s := r.Record.Text("result"); return s != "" && s != "pass" }, noResult, "result")
	} else {
		text("with result "+orSaid(q.Result), "result", "result", q.Result, noResult)
	}
	out = append(out, marked(q.Marks)...)
	if q.Measure != "" {
		out = append(out, measured(q))
	}
	if q.From != "" || q.To != "" {
		out = append(out, dates(q.From, q.To))
	}
	text("of class "+orSaid(q.TestClass)+" gal/h", "class", "test_class", q.TestClass, func(q *query.Query) { q.TestClass = "" })
	if q.Method != "" {
		text("with the "+q.Method+" method", "tag", "method", q.Method, func(q *query.Query) { q.Method = "" })
		out[len(out)-1].find = is("tag", tagMethod+q.Method)
	}
	noState := func(q *query.Query) { q.State = "" }
	switch q.State {
	case "raised": // an alarm that prints no state was raised too
		add("in state raised", anyOf(is("state", "raised"), but(is("kind", string(record.Alarm)), anyState(record.Alarm))),
			func(r archive.Row) bool {
				s := r.Record.Text("state")
				return s == "raised" || s == "" && r.Record.Kind == record.Alarm
			}, noState, "state")
	case query.NotNormal:
		add("not normal", but(allOf(is("kind", string(record.SensorStatus)), anyState(record.SensorStatus)), is("state", "normal")),
			func(r archive.Row) bool {
				s := r.Record.Text("state")
				return r.Record.Kind == record.SensorStatus && s != "" && s != "normal"
			}, noState, "state")
	default:
		text("in state "+orSaid(q.State), "state", "state", q.State, noState)
	}
	for i, w := range q.Words {
		terms := eitherOf(w)
		if len(terms) == 0 {
			continue
		}
		add(fmt.Sprintf("with %q", strings.ReplaceAll(w, query.OrWord, " or ")), anySaidBy(q.Kind, terms), nil, func(q *query.Query) {
			if i < len(q.Words) {
				q.Words = slices.Concat(q.Words[:i], q.Words[i+1:])
			}
		})
	}
	for i, w := range q.NotWords {
		if terms := eitherOf(w); len(terms) > 0 {
			add(fmt.Sprintf("without %q", w), but(is("copy", "no"), anySaidBy(q.Kind, terms)), nil, func(q *query.Query) {
				if i < len(q.NotWords) {
					q.NotWords = slices.Concat(q.NotWords[:i], q.NotWords[i+1:])
				}
			})
		}
	}
	if q.Place != "" {
		c, err := k.placeConstraint(q)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	var kind []constraint
	if q.Kind != "" || q.AnyTest {
		kind = out[:1]
	}
	if q.Grade != "" && !ofSump(q) {
		c, err := k.gradeConstraint(q, kind)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	if q.NotGrade != "" {
		c, err := k.gradeConstraint(query.Query{Grade: q.NotGrade, Site: q.Site}, kind)
		if err != nil {
			return nil, err
		}
		out = append(out, constraint{"not " + c.say, but(is("copy", "no"), c.find), func(r archive.Row) bool { return !c.holds(r) }, c.fields, c.rests,
			func(q *query.Query) { q.NotGrade = "" }})
	}
	if list := siteKeysOf(q.NotSite); len(list) > 0 {
		var keys []string
		for _, key := range list {
			more, err := k.keysOf(key)
			if err != nil {
				return nil, err
			}
			keys = append(keys, more...)
		}
		add("not at site "+orSaid(q.NotSite), but(is("copy", "no"), isAny("site", keys)), func(r archive.Row) bool { return !hasAny(siteKeys(r), keys) },
			func(q *query.Query) { q.NotSite = "" }, "site")
	}
	if q.NotTank != "" {
		tank := numbered("tank", q.NotTank)
		add("not about tank "+q.NotTank, but(is("copy", "no"), tank.find), func(r archive.Row) bool { return !tank.holds(r) },
			func(q *query.Query) { q.NotTank = "" }, "tank")
	}
	text("about a "+q.Device, "device", "device", q.Device, func(q *query.Query) { q.Device = "" })
	for i, no := range []string{q.Tank, q.Line, q.Sensor} {
		if no != "" {
			out = append(out, numbered([]string{"tank", "line", "sensor"}[i], no))
		}
	}
	if keys := askedSite(q); len(keys) > 0 {
		known, err := k.v.sites(k.ctx)
		if err != nil {
			return nil, err
		}
		for _, key := range slices.Clone(keys) { // slips that print only the name
			if name := known.other[key]; strings.Contains(q.Site, ",") && name != "" && !slices.Contains(keys, name) {
				keys = append(keys, name)
			}
		}
		add("at site "+strings.TrimSpace(orSaid(q.Site)+" "+q.SiteName), isAny("site", keys), func(r archive.Row) bool { return hasAny(siteKeys(r), keys) },
			func(q *query.Query) { q.Site, q.SiteName = "", "" }, "site")
	}
	return out, nil
}

// askedSite are the keys of the site asked for: its number, and its name for the
// slips that print no number.
func askedSite(q query.Query) []string {
	return append(siteKeysOf(q.Site), siteKeysOf(q.SiteName)...)
}

// siteKeysOf are the keys of a site's name or number, or of several numbers.
func siteKeysOf(site string) []string {
	names := []string{site}
	if strings.Trim(site, "0123456789,") == "" {
		names = strings.Split(site, ",")
	}
	var keys []string
	for _, s := range names {
		if key := archive.SiteKey(s); key != "" {
			keys = append(keys, key)
		}
	}
	return keys
}

// keysOf are a site's number and name, when one of them is given.
func (k *asker) keysOf(key string) ([]string, error) {
	known, err := k.v.sites(k.ctx)
	if err != nil {
		return nil, err
	}
	if other := known.other[key]; other != "" {
		return []string{key, other}, nil
	}
	return []string{key}, nil
}

// isAny finds records that have one of several values.
func isAny(field string, list []string) expr {
	if len(list) == 1 {
		return is(field, list[0])
	}
	var any []expr
	for _, v := range list {
		any = append(any, is(field, v))
	}
	return anyOf(any...)
}

// orSaid says several values.
func orSaid(list string) string { return strings.ReplaceAll(list, ",", " or ") }

func hasAny(list, keys []string) bool {
	for _, k := range keys {
		if slices.Contains(list, k) {
			return true
		}
	}
	return false
}

// anyState finds records that say a state of their kind's.
func anyState(kind record.Kind) expr {
	spec, _ := record.Spec(kind, "state")
	return isAny("state", spec.Codes)
}

// all joins constraints into one search over records that count.
func all(list []constraint) expr {
	parts := []expr{is("copy", "no")}
	for _, c := range list {
		parts = append(parts, c.find)
	}
	return allOf(parts...)
}

// plural is a kind in plain words.
func plural(k record.Kind) string {
	s := strings.ReplaceAll(string(k), "_", " ")
	switch {
	case strings.HasSuffix(s, "y"):
		return strings.TrimSuffix(s, "y") + "ies"
	case strings.HasSuffix(s, "s"):
		return s + " records"
	}
	return s + "s"
}
