package index

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankroll/archive"
	"tankroll/index/query"
)

// Group is a month, a week, a product, a site, or a tank, line or sensor of a site.
type Group struct {
	Month     string // 2025-03
	Week      string // its Monday
	Product   string // a grade
	Site      string
	Equipment string  // such as tank 2
	Total     int     // how many records answer in it
	Figure    *Figure // what Query.Figure asked for

	// Of what lacks a record: the newest outside of the dates asked for, and a
	// doubtful one that may be what is missed.
	Last, Maybe *archive.Row

	nos []uint32 // of the records in it
}

// Say names a group in words.
func (g Group) Say() string {
	switch {
	case g.Month != "":
		return g.Month
	case g.Week != "":
		return "week of " + g.Week
	case g.Product != "":
		return g.Product
	case g.Equipment == "":
		return "site " + g.Site
	}
	return g.Equipment + " at site " + g.Site
}

// per answers for each month, site, tank, line or sensor.
func (k *asker) per(a *Answer) error {
	asked := k.list
	if k.q.Current { // the newest counts, whatever it says
		q := k.q
		q.State, q.Result, q.Marks, q.Grade, q.NotGrade = "", "", nil, "", ""
		q.Over, q.Under, q.AtLeast, q.AtMost = nil, nil, nil, nil
		var err error
		if asked, err = k.constraints(q); err != nil {
			return err
		}
	}
	var groups []Group
	var err error
	if k.q.Per == "grade" {
		groups, err = k.byGrade(asked)
	} else {
		groups, err = k.split(all(asked), k.q.Per)
	}
	if err != nil {
		return err
	}
	if k.q.Rank == "" && !k.q.Current && k.q.Often == 0 {
		groups = firstGroups(a, groups)
	}
	for _, g := range groups {
		total, size := len(g.nos), min(k.q.Limit, MaxRows-len(a.Rows))
		if k.q.Count || k.q.Figure != "" || k.brief && !k.q.Current && len(a.Rows) > 0 {
			size = 0
		}
		list, err := firstOf(k.ctx, k.v, g.nos, size, k.order())
		if err != nil {
			return err
		}
		rows, err := k.rows(list, asked)
		if err != nil {
			return err
		}
		if k.q.Current && !slices.ContainsFunc(rows, func(r archive.Row) bool { return holdAll(k.list, r) }) {
			continue // the newest says otherwise
		}
		if k.q.Current {
			total = 1
		}
		if total < k.q.Often {
			continue
		}
		g.Total = total
		if k.q.Figure != "" {
			var notes []string
			if g.Figure, notes, err = k.figureOf(g.nos); err != nil {
				return err
			}
			for _, n := range notes {
				a.Notes = append(a.Notes, g.Say()+": "+n)
			}
		}
		a.Groups, a.Rows, a.Total = append(a.Groups, g), append(a.Rows, rows...), a.Total+total
	}
	if k.q.Often > 0 && k.q.Rank == "" {
		a.Groups = firstGroups(a, a.Groups)
	}
	if k.q.Rank != "" {
		slices.SortStableFunc(a.Groups, func(x, y Group) int {
			if k.q.Rank == query.Highest {
				x, y = y, x
			}
			return cmp.Compare(x.size(), y.size())
		})
		a.Groups = firstGroups(a, a.Groups)
	}
	a.Notes = append(a.Notes, k.doubtNote(a.Rows)...)
	return nil
}

// size is what groups are ranked by.
func (g Group) size() float64 {
	if g.Figure != nil {
		return g.Figure.Value
	}
	return float64(g.Total)
}

// firstGroups bounds the groups of an answer and says so.
func firstGroups(a *Answer, groups []Group) []Group {
	if len(groups) <= MaxRows {
		return groups
	}
	a.Notes = append(a.Notes, fmt.Sprintf("%d of %d are given, narrow the question to see the rest", MaxRows, len(groups)))
	return groups[:MaxRows]
}

// extent is the first and the last day of the records that meet constraints.
func (k *asker) extent(list []constraint) (from, to string, err error) {
	for _, newest := range []bool{false, true} {
		ids, err := find(k.ctx, k.v, allOf(all(list), anyTime()), 1, byTime(newest))
		if err != nil {
			return "", "", err
		}
		rows, err := k.rows(ids, list)
		if err != nil || len(rows) == 0 {
			return "", "", err
		}
		from = cmp.Or(from, rows[0].At[:10])
		to = rows[0].At[:10]
	}
	return from, to, nil
}

// monthGroups are the months from one day to another, without records.
func monthGroups(from, to string) []Group {
	t, err := time.Parse("2006-01", cut(from, 7))
	if err != nil {
		return nil
	}
	var out []Group
	for ; t.Format("2006-01") <= cut(to, 7) && len(out) < maxMonths; t = t.AddDate(0, 1, 0) {
		out = append(out, Group{Month: t.Format("2006-01")})
	}
	return out
}

// maxMonths bounds the months of an answer: a hundred years.
const maxMonths = 1200

func cut(s string, n int) string { return s[:min(len(s), n)] }

func compareGroups(a, b Group) int {
	return cmp.Or(byNumberOf(a.Site, b.Site), byNumberOf(a.Equipment, b.Equipment), strings.Compare(a.Month, b.Month), strings.Compare(a.Week, b.Week))
}

// byNumberOf puts 9 before 10 and tank 2 before tank 10.
func byNumberOf(a, b string) int {
	lead := func(s string) (string, int) {
		i := strings.LastIndexFunc(s, func(r rune) bool { return r < '0' || r > '9' }) + 1
		n, _ := strconv.Atoi(cut(s[i:], 9))
		return s[:i], n
	}
	x, i := lead(a)
	y, j := lead(b)
	return cmp.Or(strings.Compare(x, y), cmp.Compare(i, j), strings.Compare(a, b))
}
