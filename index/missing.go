package index

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tankroll/archive"
	"tankroll/index/query"
)

// missing lists the months, sites, tanks, lines or sensors that show no record of
// what was asked. One that is in doubt about it does not count, and is named.
func (k *asker) missing(a *Answer) error {
	universe, err := k.universe()
	if err != nil {
		return err
	}
	var undated []constraint
	for _, c := range k.list {
		if !isDates(c) {
			undated = append(undated, c)
		}
	}
	covered, err := k.covered()
	if err != nil {
		return err
	}
	phantoms := 0
	for _, g := range universe {
		if covered[g.key()] {
			continue
		}
		rows, err := k.some(allOf(all(k.list), g.find), k.list)
		if err != nil {
			return err
		}
		if slices.ContainsFunc(rows, k.counts) {
			continue
		}
		if len(rows) > 0 {
			g.Maybe = &rows[0]
		}
		if g.Month == "" {
			real, err := k.surelyThere(g)
			if err != nil {
				return err
			}
			if !real {
				phantoms++
				continue
			}
			last, err := k.some(allOf(all(undated), g.find), undated)
			if err != nil {
				return err
			}
			if i := slices.IndexFunc(last, k.counts); i >= 0 {
				g.Last = &last[i]
			}
		}
		if a.Total++; len(a.Groups) < MaxRows {
			a.Groups = append(a.Groups, g)
		}
	}
	k.sayMissing(a, len(universe)-phantoms, phantoms)
	return nil
}

func (k *asker) sayMissing(a *Answer, of, phantoms int) {
	what := k.q.Missing
	maybe := 0
	for _, g := range a.Groups {
		if g.Maybe != nil {
			maybe++
		}
	}
	if maybe > 0 {
		a.Notes = append(a.Notes, fmt.Sprintf("%d of these have one that is in doubt, which does not count", maybe))
	}
	if phantoms > 0 {
		a.Notes = append(a.Notes, fmt.Sprintf("%s named only by records in doubt left out", counted(phantoms, what+"s")))
	}
	if a.Total > len(a.Groups) {
		a.Notes = append(a.Notes, fmt.Sprintf("%d of %d are given, narrow the question to see the rest", len(a.Groups), a.Total))
	}
	switch {
	case of == 0:
		a.Why = "the archive knows no " + what + " that this is asked of"
	case a.Total == 0:
		a.Why = fmt.Sprintf("none is missing: of %s each has one", counted(of, what+"s"))
	}
}

// covered are the groups that have a record without any doubt about the fields
// that can matter; others are looked at one by one.
func (k *asker) covered() (map[string]bool, error) {
	if k.q.Missing == "month" {
		return nil, nil
	}
	rests := []string{k.q.Missing}
	for _, c := range k.list {
		rests = append(rests, c.rests...)
	}
	clear := append(slices.Clone(k.list), constraint{find: but(is("copy", "no"), inDoubt(rests))})
	groups, err := k.groups(clear)
	out := map[string]bool{}
	for _, g := range groups {
		out[g.key()] = true
	}
	return out, err
}

// counts reports whether a record that meets the constraints is in no doubt about
// them, nor about which tank, line, sensor or site it speaks of.
func (k *asker) counts(r archive.Row) bool {
	return len(k.doubts(r)) == 0 && (k.q.Missing == "month" || !unsure(r, k.q.Missing))
}

func (g Group) key() string { return g.Site + "|" + g.Equipment }

// some are the newest records of an expression.
func (k *asker) some(e expr, want []constraint) ([]archive.Row, error) {
	list, _, err := find(k.ctx, k.v, e, 20, byTime(true))
	if err != nil {
		return nil, err
	}
	return k.rows(list, want)
}

func isDates(c constraint) bool {
	return len(c.rests) == len(timeFields) && c.rests[0] == timeFields[0]
}

// surelyThere reports whether a record without doubt about it names the tank,
// line, sensor or site: a misread number is no tank.
func (k *asker) surelyThere(g Group) (bool, error) {
	device, _, _ := strings.Cut(g.Equipment, " ")
	doubt := inDoubt([]string{"site", cmp.Or(device, "site")})
	n, err := count(k.ctx, k.v, but(allOf(is("copy", "no"), g.find), doubt))
	return n > 0, err
}

// universe is all that could have such a record: what the archive names at the
// site, of the product and with the number asked for.
func (k *asker) universe() ([]Group, error) {
	q := query.Query{Site: k.q.Site, SiteName: k.q.SiteName, Grade: k.q.Grade, Tank: k.q.Tank, Line: k.q.Line, Sensor: k.q.Sensor, Place: k.q.Place}
	list, err := k.constraints(q)
	if err != nil {
		return nil, err
	}
	if k.q.Missing != "month" {
		return k.groups(list)
	}
	from, _, err := k.extent(list)
	if err != nil || from == "" {
		return nil, err
	}
	site, err := k.constraints(query.Query{Site: q.Site, SiteName: q.SiteName})
	if err != nil {
		return nil, err
	}
	_, to, err := k.extent(site)
	if err != nil {
		return nil, err
	}
	if k.q.From != "" {
		from = max(from, k.q.From)
	}
	if k.q.To != "" {
		to = min(to, k.q.To)
	}
	return monthGroups(from, to), nil
}
