package index

import (
	"fmt"
	"slices"

	"tankroll/archive"
	"tankroll/index/query"
)

// missing lists the months, sites, tanks, lines or sensors that show no record of
// what was asked. One that is in doubt about it does not count, and is named.
func (k *asker) missing(a *Answer) error {
	by := k.q.Missing
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
	answers, err := k.records(all(k.list), by)
	if err != nil {
		return err
	}
	var covered, real map[string]bool
	var ever map[string][]uint32
	if by != "month" {
		if covered, err = k.keys(k.clear(), by); err != nil {
			return err
		}
		// A misread number is no tank.
		if real, err = k.keys(but(is("copy", "no"), inDoubt([]string{"site", by})), by); err != nil {
			return err
		}
		if ever, err = k.records(all(undated), by); err != nil {
			return err
		}
	}
	phantoms := 0
	for _, g := range universe {
		if covered[g.key()] {
			continue
		}
		rows, err := k.some(answers[g.key()], k.list)
		if err != nil {
			return err
		}
		if slices.ContainsFunc(rows, k.counts) {
			continue
		}
		if len(rows) > 0 {
			g.Maybe = &rows[0]
		}
		if by != "month" && !real[g.key()] {
			phantoms++
			continue
		}
		if a.Total++; len(a.Groups) < MaxRows {
			a.Groups = append(a.Groups, g)
		}
	}
	k.sayMissing(a, len(universe)-phantoms, phantoms)
	return k.lastOf(a.Groups, ever, undated)
}

// lastOf notes of each group the newest record without doubt that would answer but
// for its date. Most are the newest of all, which are read together.
func (k *asker) lastOf(groups []Group, ever map[string][]uint32, undated []constraint) error {
	first := make([]string, len(groups))
	var ids []string
	for i, g := range groups {
		list, err := firstOf(k.ctx, k.v, ever[g.key()], 1, byTime(true))
		if err != nil {
			return err
		}
		if len(list) > 0 {
			first[i] = list[0]
			ids = append(ids, list[0])
		}
	}
	rows, err := k.rows(ids, undated)
	if err != nil {
		return err
	}
	byID := map[string]archive.Row{}
	for _, r := range rows {
		byID[r.ID] = r
	}
	for i := range groups {
		if first[i] == "" {
			continue
		}
		if r, ok := byID[first[i]]; ok && k.counts(r) {
			groups[i].Last = &r
			continue
		}
		list, err := k.some(ever[groups[i].key()], undated)
		if err != nil {
			return err
		}
		if n := slices.IndexFunc(list, k.counts); n >= 0 {
			groups[i].Last = &list[n]
		}
	}
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

// clear chooses the records that meet the constraints without any doubt about the
// fields that can matter; others are looked at one by one.
func (k *asker) clear() expr {
	return but(all(k.list), inDoubt(append(k.rests(), k.q.Missing)))
}

// counts reports whether a record that meets the constraints is in no doubt about
// them, nor about which tank, line, sensor or site it speaks of.
func (k *asker) counts(r archive.Row) bool {
	return len(k.doubts(r)) == 0 && (k.q.Missing == "month" || !unsure(r, k.q.Missing))
}

// some are the newest of known records.
func (k *asker) some(nos []uint32, want []constraint) ([]archive.Row, error) {
	list, err := firstOf(k.ctx, k.v, nos, 20, byTime(true))
	if err != nil {
		return nil, err
	}
	return k.rows(list, want)
}

func isDates(c constraint) bool {
	return len(c.rests) == len(timeFields) && c.rests[0] == timeFields[0]
}

// universe is all that could have such a record: what the archive names at the
// site, of the product and with the number asked for, without what is left out.
func (k *asker) universe() ([]Group, error) {
	q := query.Query{Site: k.q.Site, SiteName: k.q.SiteName, Grade: k.q.Grade, Tank: k.q.Tank, Line: k.q.Line, Sensor: k.q.Sensor,
		NotSite: k.q.NotSite, NotGrade: k.q.NotGrade, NotTank: k.q.NotTank}
	if k.q.Missing == "sensor" {
		q.Place = k.q.Place // tanks and lines have none
	}
	list, err := k.constraints(q)
	if err != nil {
		return nil, err
	}
	if k.q.Missing != "month" {
		return k.groups(all(list), k.q.Missing)
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
