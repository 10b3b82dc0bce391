package index

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"
	bquery "github.com/blevesearch/bleve/v2/search/query"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/record"
)

// constraint is one thing that a question asks of a record.
type constraint struct {
	say    string                     // in words: "passing", "tank 2"
	find   bquery.Query               // how the index finds it
	holds  func(archive.Row) bool     // whether a record meets it; nil when only the index can tell
	fields func(archive.Row) []string // the record's fields that it rests on
	rests  []string                   // all fields that it may rest on
}

// maybe finds records that meet the constraint or are in doubt about it.
func (c constraint) maybe() bquery.Query {
	return bleve.NewDisjunctionQuery(c.find, inDoubt(c.rests))
}

// inDoubt finds records in doubt about one of the fields.
func inDoubt(fields []string) bquery.Query {
	any := []bquery.Query{keyIs("unsure", anyField)}
	for _, name := range fields {
		any = append(any, keyIs("unsure", name))
	}
	return bleve.NewDisjunctionQuery(any...)
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
func (ix *Index) constraints(ctx context.Context, b bleve.Index, q query.Query) ([]constraint, error) {
	var out []constraint
	add := func(say string, find bquery.Query, holds func(archive.Row) bool, fields ...string) {
		out = append(out, constraint{say, find, holds, func(archive.Row) []string { return fields }, fields})
	}
	text := func(say, field, name, value string) {
		if value != "" {
			add(say, keyIs(field, value), func(r archive.Row) bool { return r.Record.Text(name) == value }, name)
		}
	}
	switch {
	case q.Kind != "":
		add(plural(q.Kind), keyIs("kind", string(q.Kind)), func(r archive.Row) bool { return r.Record.Kind == q.Kind })
	case q.AnyTest:
		add("tests", bleve.NewDisjunctionQuery(keyIs("kind", string(record.TankTest)), keyIs("kind", string(record.LineTest))),
			func(r archive.Row) bool { return r.Record.Kind == record.TankTest || r.Record.Kind == record.LineTest })
	}
	if q.Result == query.NotPass {
		add("not passing", bleve.NewDisjunctionQuery(keyIs("result", "fail"), keyIs("result", "inconclusive"), keyIs("result", "aborted")),
			func(r archive.Row) bool { s := r.Record.Text("result"); return s != "" && s != "pass" }, "result")
	} else {
		text("with result "+q.Result, "result", "result", q.Result)
	}
	if q.From != "" || q.To != "" {
		out = append(out, dates(q.From, q.To))
	}
	text("of class "+q.TestClass+" gal/h", "class", "test_class", q.TestClass)
	text("in state "+q.State, "state", "state", q.State)
	for _, t := range phrases(q.Words) {
		add(fmt.Sprintf("with %q", t.shown), wordQuery("said", t), nil)
	}
	if q.Grade != "" {
		var kind []constraint
		if q.Kind != "" || q.AnyTest {
			kind = out[:1]
		}
		c, err := ix.gradeConstraint(ctx, b, q, kind)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	text("about a "+q.Device, "device", "device", q.Device)
	for i, no := range []string{q.Tank, q.Line, q.Sensor} {
		if no != "" {
			out = append(out, numbered([]string{"tank", "line", "sensor"}[i], no))
		}
	}
	if key := archive.SiteKey(q.Site); key != "" {
		add("at site "+q.Site, keyIs("site", key), func(r archive.Row) bool { return slices.Contains(siteKeys(r), key) }, "site")
	}
	return out, nil
}

// dates asks for a time between two dates, both included.
func dates(from, to string) constraint {
	var low, high *float64
	if k, ok := timeKey(from); ok {
		low = &k
	}
	if k, ok := timeKey(to); ok {
		k += dayStep - 1
		high = &k
	}
	yes := true
	find := bleve.NewNumericRangeInclusiveQuery(low, high, &yes, &yes)
	find.SetField("at")
	say := "from " + from + " to " + to
	switch {
	case from == "":
		say = "until " + to
	case to == "":
		say = "since " + from
	}
	return constraint{say, find,
		func(r archive.Row) bool {
			if len(r.At) < 10 {
				return false
			}
			day := r.At[:10]
			return (from == "" || day >= from) && (to == "" || day <= to)
		},
		func(r archive.Row) []string { return []string{r.AtField} }, timeFields}
}

// timeFields are the fields that record.Record.At looks at.
var timeFields = []string{"ended_at", "started_at", "last_pass_at", "first_pass_of_month", "at", "to", "from", "printed_at"}

// numbered asks for one tank, line or sensor, which an alarm names by device.
func numbered(device, no string) constraint {
	return constraint{device + " " + no, keyIs(device, no),
		func(r archive.Row) bool {
			tank, line, sensor := equipment(r.Record)
			return map[string]string{"tank": tank, "line": line, "sensor": sensor}[device] == no
		},
		func(r archive.Row) []string {
			if r.Record.Kind == record.Alarm {
				return []string{"device", "device_number"}
			}
			return []string{device}
		}, []string{device, "device", "device_number"}}
}

// gradeConstraint asks for a product's grade. A record that prints no product
// counts when other records surely say what its tank or line holds.
func (ix *Index) gradeConstraint(ctx context.Context, b bleve.Index, q query.Query, kind []constraint) (constraint, error) {
	grade := q.Grade
	places := map[string]bool{}
	silent, err := count(ctx, b, bleve.NewConjunctionQuery(all(kind), keyIs("grade", noGrade)))
	if err != nil {
		return constraint{}, err
	}
	if silent > 0 {
		// A slip may print a site's number without its name, never the number of
		// another, so only a number narrows.
		site := archive.SiteKey(q.Site)
		if strings.Trim(site, "0123456789") != "" {
			site = ""
		}
		if places, err = placesOf(ctx, b, grade, site); err != nil {
			return constraint{}, err
		}
	}
	find := bquery.Query(keyIs("grade", grade))
	if len(places) > 0 {
		var at []bquery.Query
		for p := range places {
			at = append(at, keyIs("where", p))
		}
		find = bleve.NewDisjunctionQuery(find, bleve.NewConjunctionQuery(keyIs("grade", noGrade), bleve.NewDisjunctionQuery(at...)))
	}
	return constraint{"of product " + grade, find,
		func(r archive.Row) bool {
			g := gradeOf(r.Record, ix.lex)
			return g == grade || g == "" && places[where(r)]
		},
		func(r archive.Row) []string {
			if gradeOf(r.Record, ix.lex) == "" {
				return []string{"tank", "line", "site"}
			}
			return []string{"grade", "product"}
		}, []string{"grade", "product", "tank", "line", "site"}}, nil
}

// maxPlaces bounds the tanks and lines of one grade: a chain of two thousand
// stations.
const maxPlaces = 10000

// placesOf lists the tanks and lines that surely hold a grade, at one site or,
// when it is "", at all.
func placesOf(ctx context.Context, b bleve.Index, grade, site string) (map[string]bool, error) {
	find := bquery.Query(keyIs("grade", grade))
	if site != "" {
		find = bleve.NewConjunctionQuery(find, keyIs("site", site))
	}
	req := bleve.NewSearchRequestOptions(find, 0, 0, false)
	req.AddFacet("known", bleve.NewFacetRequest("known_at", maxPlaces))
	res, err := b.SearchInContext(ctx, req)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errUnfit, err)
	}
	out := map[string]bool{}
	if f := res.Facets["known"]; f != nil && f.Terms != nil {
		for _, t := range f.Terms.Terms() {
			if t.Term != "" { // records that do not say it
				out[t.Term] = true
			}
		}
	}
	return out, nil
}

// all joins constraints into one search over records that count.
func all(list []constraint) bquery.Query {
	parts := []bquery.Query{keyIs("copy", "no")}
	for _, c := range list {
		parts = append(parts, c.find)
	}
	return bleve.NewConjunctionQuery(parts...)
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
