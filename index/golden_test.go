package index

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tankroll/archive"
	"tankroll/index/query"
)

var updateGolden = flag.Bool("update", false, "write the goldens anew")

// asked is a question and what a person would want.
type asked struct{ question, want string }

func readQuestions(t *testing.T, file string) []asked {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("testdata", file))
	if err != nil {
		t.Fatal(err)
	}
	var out []asked
	for line := range strings.Lines(string(raw)) {
		switch line = strings.TrimSpace(line); {
		case line == "" || line[0] == '#':
		case line[0] == '=':
			out[len(out)-1].want = strings.TrimSpace(line[1:])
		default:
			out = append(out, asked{question: line})
		}
	}
	return out
}

// TestGoldens asks questions over the world of 40 sites and three years and holds
// the answers against the slow scan. The goldens say what was understood and
// found; their last lines count how many were right.
func TestGoldens(t *testing.T) {
	t.Parallel()
	s, dir := newArchive(t)
	makeWorld(t, s, len(worldNames))
	goldens(t, s, openIndex(t, dir, s))
}

func goldens(t *testing.T, s *archive.Store, ix *Index) {
	t.Helper()
	ctx := context.Background()
	rows, err := s.Rows(ctx, archive.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(rows, func(a, b archive.Row) int { return byNumberOf(a.ID, b.ID) })
	names := map[string]string{}
	for i, n := range worldNames {
		names[strings.ToUpper(n)] = fmt.Sprint(101 + i)
	}
	scan := newSlowScan(rows, names)
	t.Run("any typed question", func(t *testing.T) { anyTyped(t, ix, scan) })
	for file, least := range map[string]float64{"questions": .97, "fresh": .97, "other": .5, "outsider": .95, "voices": .97, "callers": .97, "writers": .93, "visitors": .97,
		"managers": .97, "inspectors": .92, "staff": .95, "clerks": .97, "technicians": .9, "everybody": .9, "trade": .97, "mixed": .97, "people": .95, "strangers": .95,
		"owners": .97, "keepers": .97, "hands": .97, "agents": .97, "buyers": .97, "tellers": .97, "dispatchers": .97, "adjusters": .97, "telephone": .97, "letters": .97} {
		var b strings.Builder
		right, inFive, n := 0, 0, 0
		for _, q := range readQuestions(t, file+".txt") {
			a, err := ix.AskWords(ctx, q.question, worldNow)
			if err != nil {
				t.Fatalf("%s: %v", q.question, err)
			}
			sameAgain(t, ix, a)
			w := scan.ask(t, q.want)
			first, five := judge(a, w, scan)
			verdict := "wrong"
			if n++; first {
				verdict = "right"
				right++
			}
			if five {
				inFive++
			}
			fmt.Fprintf(&b, "%s\n  understood: %s\n  want: %s: %s\n  got:  %s: %s\n", q.question, understood(a), q.want, w, verdict, gave(a))
			for _, r := range a.Readings {
				fmt.Fprintf(&b, "  or %s: %s\n", r.Say, r.Gist())
			}
			b.WriteString("\n")
		}
		fmt.Fprintf(&b, "right at 1: %d of %d (%.3f)\nright in 5: %d of %d (%.3f)\n", right, n, float64(right)/float64(n), inFive, n, float64(inFive)/float64(n))
		t.Logf("%s: right at 1 %d, in 5 %d, of %d", file, right, inFive, n)
		if float64(right) < least*float64(n) {
			t.Errorf("%s: only %d of %d right at 1", file, right, n)
		}
		golden(t, file+".golden", b.String())
	}
}

// sameAgain asks what was understood once more, and the other readings: each must
// mean what it says.
func sameAgain(t *testing.T, ix *Index, was Answer) {
	t.Helper()
	q := was.Query
	again, err := ix.AskWords(context.Background(), q.String(), worldNow)
	if err != nil {
		t.Fatal(err)
	}
	if again.Query.String() != q.String() {
		t.Errorf("%s\nwas understood as\n%s", q, again.Query)
	}
	for _, r := range q.Readings {
		a, err := ix.AskWords(context.Background(), r.Ask, worldNow)
		if err != nil {
			t.Fatal(err)
		}
		if a.Query.String() != r.Ask || len(a.Query.NotUnderstood) > 0 {
			t.Errorf("the reading %s\nwas understood as\n%s, not %q", r.Ask, a.Query, a.Query.NotUnderstood)
		}
		shown := slices.IndexFunc(was.Readings, func(x Reading) bool { return x.Ask == r.Ask })
		if shown < 0 { // its answer is no other
			if a.Total != was.Total || len(a.Rows) > 0 && a.Rows[0].ID != was.Rows[0].ID {
				t.Errorf("the reading %s\nis not shown, and has %d records, not %d", r.Ask, a.Total, was.Total)
			}
			continue
		}
		x := was.Readings[shown]
		if x.Total != a.Total || len(x.Groups) != len(a.Groups) || (x.Figure == nil) != (a.Figure == nil) || x.First != nil && x.First.ID != a.Rows[0].ID || x.First == nil && len(a.Rows) > 0 && q.Figure == "" && x.Query.Figure == "" {
			t.Errorf("the reading %s\nis shown with %s, and has %s", r.Ask, x.Gist(), gave(a))
		}
	}
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	path := filepath.Join("testdata", file)
	if *updateGolden {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		g, w := strings.Split(got, "\n"), strings.Split(string(want), "\n")
		for i := range min(len(g), len(w)) {
			if g[i] != w[i] {
				t.Errorf("%s:%d: %q, want %q; run with -update and read the diff", path, i+1, g[i], w[i])
				return
			}
		}
		t.Errorf("%s: %d lines, want %d; run with -update and read the diff", path, len(g), len(w))
	}
}

func understood(a Answer) string {
	out := a.Query.String()
	if len(a.Query.NotUnderstood) > 0 {
		out += " [not understood: " + strings.Join(a.Query.NotUnderstood, " ") + "]"
	}
	return out
}

// judge tells whether the answer is what was wanted: the record, the number or
// the groups; and whether a wanted record is among the first five.
func judge(a Answer, w wanted, scan *slowScan) (first, five bool) {
	among := func(rows []archive.Row, r archive.Row) bool {
		return slices.ContainsFunc(rows, func(x archive.Row) bool { return x.ID == r.ID })
	}
	good := w.rows[:min(w.equal, len(w.rows))]
	switch w.how {
	case "latest", "first", "max", "min":
		if len(w.rows) == 0 {
			return len(a.Rows) == 0, len(a.Rows) == 0
		}
		first = len(a.Rows) > 0 && among(good, a.Rows[0])
		if len(w.rows) > w.equal || w.total > 1 { // several, in their order
			first = first && len(a.Rows) == w.total
			for i := range min(len(a.Rows), len(w.rows)) {
				first = first && w.rows[i].At == a.Rows[i].At || w.how == "max" && first
			}
		}
		return first, slices.ContainsFunc(a.Rows[:min(5, len(a.Rows))], func(r archive.Row) bool { return among(good, r) })
	case "all", "oldest":
		if len(w.rows) == 0 {
			return a.Total == 0, a.Total == 0
		}
		// "Which lines failed", "the inventory of every tank": a list, or the record of
		// each; where each shows just the records wanted, a person sees the same.
		if a.Query.Per != "" && len(a.Groups) == w.total && len(a.Rows) == w.total && len(w.rows) == w.total &&
			!slices.ContainsFunc(a.Rows, func(r archive.Row) bool { return !among(w.rows, r) }) {
			return true, true
		}
		// A limit that leaves nothing out is none.
		return a.Total == w.total && len(a.Rows) > 0 && among(good, a.Rows[0]) && (a.Query.Limit == 0 || len(a.Rows) == a.Total),
			slices.ContainsFunc(a.Rows[:min(5, len(a.Rows))], func(r archive.Row) bool { return among(good, r) })
	case "count":
		return a.Query.Count && a.Total == w.total, a.Total == w.total
	case "sum", "avg":
		ok := a.Figure != nil && math.Abs(a.Figure.Value-w.value) < .01
		return ok, ok
	}
	if w.how == "most" { // the one with the most comes first
		ok := a.Query.Count && len(a.Groups) > 0 && slices.Contains(w.groups, fmt.Sprint(a.Groups[0].name(), " ", a.Groups[0].Total))
		ok = ok || len(w.groups)+len(a.Groups) == 0
		return ok, ok
	}
	ok := slices.Equal(w.groups, groupsOf(a, scan, w.how))
	return ok, ok
}

func (g Group) name() string {
	if one := g.Month + g.Week + g.Product; one != "" {
		return one
	}
	return strings.TrimSpace(g.Site + " " + g.Equipment)
}

func groupsOf(a Answer, scan *slowScan, how string) []string {
	var out []string
	for _, g := range a.Groups {
		key := g.name()
		switch {
		case how == "missing":
		case g.Figure != nil:
			key += fmt.Sprintf(" %.2f", g.Figure.Value)
		case a.Query.Count:
			key += fmt.Sprint(" ", g.Total)
		default:
			for _, r := range a.Rows {
				if scan.group(r, a.Query.Per) == key {
					how := []string{"latest"}
					if a.Query.Order == query.Highest {
						how = []string{"max", a.Query.Measure}
					}
					key += " " + firstKey(r, how)
					break
				}
			}
		}
		out = append(out, key)
	}
	slices.Sort(out)
	return out
}

func (w wanted) String() string {
	if len(w.groups) > 0 {
		return list(w.groups)
	}
	switch w.how {
	case "sum", "avg":
		return fmt.Sprintf("%.2f", w.value)
	case "count":
		return fmt.Sprint(w.total)
	}
	return fmt.Sprint(w.total, " ", list(strings.Fields(idsOf(w.rows))))
}

func gave(a Answer) string {
	switch {
	case a.Figure != nil:
		return fmt.Sprintf("%.2f of %d", a.Figure.Value, a.Figure.Of)
	case len(a.Groups) > 0:
		var out []string
		for _, g := range a.Groups {
			switch {
			case g.Figure != nil:
				out = append(out, g.Say()+": "+g.Figure.Say())
			case a.Query.Rank != "":
				out = append(out, fmt.Sprint(g.Say(), ": ", g.Total))
			default:
				out = append(out, g.Say())
			}
		}
		return list(out)
	case a.Query.Count:
		return fmt.Sprint(a.Total)
	case a.Total == 0:
		return a.Why
	}
	return fmt.Sprint(a.Total, " ", list(strings.Fields(idsOf(a.Rows))))
}

// list shows the first few.
func list(all []string) string {
	if len(all) > 5 {
		return strings.Join(all[:5], ", ") + fmt.Sprintf(" and %d more", len(all)-5)
	}
	return strings.Join(all, ", ")
}
