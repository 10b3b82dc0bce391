package index

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"tankroll/archive"
)

// The slow scan is the obvious way to answer: look at every record. It shares
// nothing with the index or the grammar; what it is asked is written by hand, as
//
//	kind=tank_test tank=3 from=2025-03-01 ; latest
//
// Values with commas are any of these.
type slowScan struct {
	rows   []archive.Row // one for each event, in order of their ids
	names  map[string]string
	holds  map[string]bool   // grade, site, device and number, as surely printed
	places map[string]string // site and sensor -> its printed location
}

func newSlowScan(rows []archive.Row, names map[string]string) *slowScan {
	s := &slowScan{rows: eventsOf(rows), names: names, holds: map[string]bool{}, places: map[string]string{}}
	for _, r := range rows {
		for _, device := range []string{"tank", "line"} {
			if no, ok := r.Record.Fields[device]; ok && no.Sure && r.SiteSure && r.Site != "" && r.Record.Fields["grade"].Sure {
				s.holds[fmt.Sprint(r.Record.Fields["grade"].Value, s.site(r), device, no.Value)] = true
			}
		}
		if r.Record.Text("location") != "" {
			s.places[s.site(r)+"/"+r.Record.Text("sensor")] = r.Record.Text("location")
		}
	}
	return s
}

// site is the site's number, also where only its name is printed.
func (s *slowScan) site(r archive.Row) string { return cmp.Or(s.names[r.Site], r.Site) }

var slowForm = regexp.MustCompile(`^([a-z_0-9]+)(!=|>=|<=|=|>|<)(.*)$`)

// wanted is what the slow scan finds.
type wanted struct {
	rows   []archive.Row // in order; where equal is set, any of these may be the first
	equal  int           // so many of the rows are equally good as the first
	total  int
	how    string
	value  float64
	groups []string
}

func (s *slowScan) ask(t *testing.T, text string) wanted {
	t.Helper()
	where, how, ok := strings.Cut(text, ";")
	if !ok {
		t.Fatalf("%q has no ;", text)
	}
	hows := strings.Fields(how)
	w := wanted{how: hows[0]}
	conds := strings.Fields(where)
	match := func(conds []string) (found []archive.Row) {
		list := parseConds(t, conds)
		for _, r := range s.rows {
			if !slices.ContainsFunc(list, func(c condition) bool { return !s.holdsCond(r, c) }) {
				found = append(found, r)
			}
		}
		return found
	}
	found := match(conds)
	w.total = len(found)
	limit := 1
	if len(hows) > 1 {
		if n, err := strconv.Atoi(hows[1]); err == nil {
			limit, hows = n, slices.Delete(slices.Clone(hows), 1, 2)
		}
	}
	switch hows[0] {
	case "latest", "first", "max", "min":
		w.rows, w.equal = best(found, hows)
		w.rows = w.rows[:min(max(limit, w.equal), len(w.rows))]
		w.total = min(limit, w.total)
	case "all":
		w.rows, w.equal = best(found, []string{"latest"})
	case "oldest":
		w.rows, w.equal = best(found, []string{"first"})
	case "count":
	case "sum", "avg":
		w.value = sum(found, hows[1])
		if hows[0] == "avg" {
			w.value /= float64(len(match(append(slices.Clone(conds), "has="+hows[1]))))
		}
	case "per":
		w.total = 0
		by := map[string][]archive.Row{}
		for _, r := range found {
			for _, g := range s.groupsOf(t, r, hows[1]) {
				by[g] = append(by[g], r)
			}
		}
		for _, g := range slices.Sorted(maps.Keys(by)) {
			switch n := len(by[g]); hows[2] {
			case "often": // those with so many or more
				if least, err := strconv.Atoi(hows[3]); err == nil && n >= least {
					w.groups = append(w.groups, fmt.Sprint(g, " ", n))
				}
				continue
			case "most": // those with as many as any
				if w.how = "most"; n > w.total {
					w.groups, w.total = nil, n
				}
				if n < w.total {
					continue
				}
				fallthrough
			case "count":
				w.groups = append(w.groups, fmt.Sprint(g, " ", n))
				continue
			case "sum":
				w.groups = append(w.groups, fmt.Sprintf("%s %.2f", g, math.Round(sum(by[g], hows[3])*1e3)/1e3))
				continue
			}
			rows, _ := best(by[g], hows[2:])
			w.groups = append(w.groups, g+" "+firstKey(rows[0], hows[2:]))
		}
	case "now": // how it stands: of each, the newest of the kind
		for _, r := range newestOf(match(conds[:1]), func(r archive.Row) string { return s.group(r, hows[1]) }) {
			if !slices.ContainsFunc(parseConds(t, conds), func(c condition) bool { return !s.holdsCond(r, c) }) {
				w.groups = append(w.groups, s.group(r, hows[1])+" "+r.At)
			}
		}
		slices.Sort(w.groups)
	case "missing":
		w.groups = s.missing(t, conds, match, hows[1])
	default:
		t.Fatalf("%q: nothing is known of %q", text, hows[0])
	}
	return w
}

func sum(rows []archive.Row, field string) (total float64) {
	for _, r := range rows {
		v, _ := r.Record.Fields[field].Value.(float64)
		total += v
	}
	return total
}

// firstKey is what makes a row the first; of several of one time any may be.
func firstKey(r archive.Row, how []string) string {
	if how[0] == "max" {
		v, _ := r.Record.Fields[how[1]].Value.(float64)
		return fmt.Sprint(math.Abs(v))
	}
	return r.At
}

// best puts rows in the order wanted and tells how many are as good as the first.
func best(rows []archive.Row, how []string) ([]archive.Row, int) {
	key := func(r archive.Row) string {
		if how[0] == "latest" || how[0] == "first" {
			return r.At
		}
		v, ok := r.Record.Fields[how[1]].Value.(float64)
		if !ok {
			return ""
		}
		if how[1] == "leak_rate" || how[1] == "over_short" {
			v = math.Abs(v)
		}
		return fmt.Sprintf("%020.4f", v+1e6)
	}
	out := slices.Clone(rows)
	slices.SortStableFunc(out, func(a, b archive.Row) int {
		x, y := key(a), key(b)
		if x == "" || y == "" { // no time, no number: last
			return cmp.Compare(len(y), len(x))
		}
		if how[0] == "latest" || how[0] == "max" {
			x, y = y, x
		}
		return strings.Compare(x, y)
	})
	n := 0
	for n < len(out) && key(out[n]) == key(out[0]) {
		n++
	}
	return out, n
}

// groupsOf are the groups of a record: none, one or, of a tank that held several
// products while its slip prints none, several.
func (s *slowScan) groupsOf(t *testing.T, r archive.Row, by string) (out []string) {
	if by != "grade" {
		if g := s.group(r, by); g != "" {
			return []string{g}
		}
		return nil
	}
	for _, g := range []string{"regular", "midgrade", "premium", "diesel", "e85", "def"} {
		if s.holdsCond(r, parseConds(t, []string{"grade=" + g})[0]) {
			out = append(out, g)
		}
	}
	return out
}

func (s *slowScan) group(r archive.Row, by string) string {
	switch by {
	case "week": // by its Monday
		at, err := time.Parse("2006-01-02", r.At[:min(10, len(r.At))])
		if err != nil {
			return ""
		}
		return at.AddDate(0, 0, -(int(at.Weekday())+6)%7).Format("2006-01-02")
	case "month":
		return r.At[:min(7, len(r.At))]
	case "site":
		return s.site(r)
	}
	no := r.Record.Text(by)
	if r.Record.Text("device") == by {
		no = r.Record.Text("device_number")
	}
	if no != "" && s.site(r) != "" {
		return s.site(r) + " " + by + " " + no
	}
	return ""
}

// missing lists the groups that surely exist and have no record that surely
// meets the conditions.
func (s *slowScan) missing(t *testing.T, conds []string, match func([]string) []archive.Row, by string) []string {
	has := map[string]bool{}
	for _, r := range match(conds) {
		rests := []string{by} // the fields that decide whether it is one
		for _, c := range conds {
			switch m := slowForm.FindStringSubmatch(c); {
			case m[1] == "from" || m[1] == "to":
				rests = append(rests, r.AtField)
			case m[1] == "class":
				rests = append(rests, "test_class")
			case m[1] == "has":
				rests = append(rests, m[3])
			case m[1] == "grade" && r.Record.Text("grade") == "":
				rests = append(rests, "tank", "line", "site")
			default:
				rests = append(rests, m[1])
			}
		}
		doubt := slices.ContainsFunc(rests, func(name string) bool {
			f, ok := r.Record.Fields[name]
			return ok && !f.Sure || name == "site" && !r.SiteSure
		})
		if !doubt {
			has[s.group(r, by)] = true
		}
	}
	var of []string // what must hold of the tank, site or line itself
	from, to := "", ""
	for _, c := range conds {
		switch m := slowForm.FindStringSubmatch(c); m[1] {
		case "place":
			if by == "sensor" {
				of = append(of, c)
			}
		case "site", "tank", "line", "sensor", "grade":
			of = append(of, c)
		case "from":
			from = m[3]
		case "to":
			to = m[3]
		}
	}
	all := map[string]bool{}
	for _, r := range match(of) {
		if f, ok := r.Record.Fields[by]; r.SiteSure && (!ok || f.Sure) && by != "month" {
			all[s.group(r, by)] = true
		}
	}
	if by == "month" {
		m, err := time.Parse("2006-01-02", from)
		if err != nil {
			t.Fatalf("months need from=: %v", err)
		}
		for ; m.Format("2006-01-02") <= to && m.Format("2006-01-02") < "2025-06-30"; m = m.AddDate(0, 1, 0) {
			all[m.Format("2006-01")] = true
		}
	}
	var out []string
	for g := range all {
		if g != "" && !has[g] {
			out = append(out, g)
		}
	}
	slices.Sort(out)
	return out
}
