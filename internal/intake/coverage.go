package intake

import (
	"context"
	"sort"

	"tankroll/archive"
	"tankroll/comply"
)

// Coverage says for every tank of a site, or of all sites when site is empty,
// what covers it from one date to another (2006-01-02, both included). A last
// day after today counts as today: days to come are nobody's gap.
func (d *Desk) Coverage(ctx context.Context, site, from, to string) ([]comply.Requirement, error) {
	first, err := comply.ParseDate(from)
	if err != nil {
		return nil, err
	}
	last, err := comply.ParseDate(to)
	if err != nil {
		return nil, err
	}
	today, err := comply.ParseDate(d.now().Format("2006-01-02"))
	if err != nil {
		return nil, err
	}
	if today.Before(last) {
		last = today
	}
	rows, err := d.store.Rows(ctx, archive.Filter{Site: site, Once: true})
	if err != nil {
		return nil, err
	}
	return comply.Tanks(tanks(rows), tests(rows), first, last, comply.Federal()), nil
}

func tests(rows []archive.Row) []comply.Test {
	var out []comply.Test
	for _, r := range rows {
		if t, ok := comply.NewTest(r.ID, r.Site, r.SiteSure, r.Record, r.Header); ok {
			out = append(out, t)
		}
	}
	return out
}

// tanks lists every tank that any record speaks of, by site and number: a tank
// that was never tested owes a test all the same. A number that was only read
// doubtfully makes no tank, unless nothing else names tanks at its site: a
// misread digit must not invent one.
func tanks(rows []archive.Row) []comply.Equipment {
	type key struct{ site, tank string }
	found := map[key]*comply.Equipment{}
	add := func(r archive.Row) {
		k := key{r.Site, r.Record.Text("tank")}
		if k.tank == "" {
			return
		}
		e := found[k]
		if e == nil {
			e = &comply.Equipment{Site: k.site, Tank: k.tank}
			found[k] = e
		}
		for to, name := range map[*string]string{&e.Product: "product", &e.Grade: "grade"} {
			if *to == "" && r.Record.Fields[name].Sure {
				*to = r.Record.Text(name)
			}
		}
	}
	named := map[string]bool{}
	for _, r := range rows {
		if r.SiteSure && r.Record.Fields["tank"].Sure {
			add(r)
			named[r.Site] = true
		}
	}
	for _, r := range rows {
		if !named[r.Site] {
			add(r)
		}
	}
	out := make([]comply.Equipment, 0, len(found))
	for _, e := range found {
		out = append(out, *e)
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if a.Site != b.Site {
			return less(a.Site, b.Site)
		}
		return less(a.Tank, b.Tank)
	})
	return out
}

// less orders numbers as numbers: 9 before 10.
func less(a, b string) bool {
	if len(a) != len(b) {
		return len(a) < len(b)
	}
	return a < b
}

// Retention says how old the records of each site and kind are, and which are
// past the time that the law wants them kept; years is that time where a state
// wants longer, 0 for the federal rule. Nothing ever goes because of it.
func (d *Desk) Retention(ctx context.Context, site string, years int) ([]comply.Held, error) {
	today, err := comply.ParseDate(d.now().Format("2006-01-02"))
	if err != nil {
		return nil, err
	}
	n := comply.Retention{Today: today, Years: years}
	for r, err := range d.store.AllRows(ctx, archive.Filter{Site: site, Once: true}) {
		if err != nil {
			return nil, err
		}
		n.Add(r.ID, r.Site, r.Record, r.Header)
	}
	return n.Sum(), nil
}
