package web

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankroll/archive"
	"tankroll/comply"
	"tankroll/record"
)

// longestPeriod bounds what one page judges: records are kept for years, but a
// strip of more than five cannot be read.
const longestPeriod = 5 * 366

type coverageData struct {
	Sites    []Site
	Site     string
	From, To string
	Groups   []siteGroup
	Error    string
	Failed   []answerView // tests of the period that failed
}

// siteGroup is one site with its equipment.
type siteGroup struct {
	Site string
	Rows []requirementView
}

type requirementView struct {
	comply.Requirement
	Name    string // Tank 2
	Words   string // the verdict in words
	Strip   strip
	Overdue bool
	Failed  []answerView
}

var verdictWords = map[string]string{comply.Covered: "Covered", comply.Lapse: "Gap", comply.Unknown: "Cannot tell"}

// coverage shows what covers each tank and line over a period, and what is
// missing.
func (s *site) coverage(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	today := s.opt.Now()
	d := coverageData{Site: tidy(q.Get("site"), 60), From: q.Get("from"), To: q.Get("to")}
	if d.To == "" {
		d.To = today.Format(time.DateOnly)
	}
	if d.From == "" {
		to, err := time.Parse(time.DateOnly, d.To)
		if err != nil {
			to = today
		}
		d.From = to.AddDate(-1, 0, 1).Format(time.DateOnly)
	}
	var err error
	if d.Sites, err = s.desk.Sites(r.Context()); err != nil {
		return err
	}
	from, to, problem := period(d.From, d.To)
	if problem != "" {
		d.Error = problem
		return s.show(w, http.StatusUnprocessableEntity, "coverage", frame{Title: "Coverage", Here: "coverage", Data: d})
	}
	if err := s.judge(r.Context(), &d, from, to); err != nil {
		return err
	}
	return s.show(w, http.StatusOK, "coverage", frame{Title: "Coverage", Here: "coverage", Data: d})
}

func period(a, b string) (from, to time.Time, problem string) {
	from, err1 := time.Parse(time.DateOnly, a)
	to, err2 := time.Parse(time.DateOnly, b)
	switch {
	case err1 != nil || err2 != nil:
		return from, to, "Type both dates as year-month-day, such as 2025-03-14."
	case to.Before(from):
		return from, to, "The first date is after the last. Exchange them."
	case to.Sub(from) > longestPeriod*24*time.Hour:
		return from, to, "This is more than five years. Choose a shorter period."
	}
	return from, to, ""
}

func (s *site) judge(ctx context.Context, d *coverageData, from, to time.Time) error {
	list, err := s.desk.Coverage(ctx, d.Site, d.From, d.To)
	if err != nil {
		return err
	}
	failed, err := s.failedTests(ctx, d)
	if err != nil {
		return err
	}
	for _, row := range failed {
		d.Failed = append(d.Failed, newAnswerView(row))
	}
	names := map[string]string{}
	for _, st := range d.Sites {
		names[st.Number] = st.Name
	}
	today := s.opt.Now().Format(time.DateOnly)
	for _, q := range list {
		v := requirementView{Requirement: q, Name: capital(q.Equipment), Words: cmp.Or(verdictWords[q.Verdict], verdictWords[comply.Unknown]),
			Strip: newStrip(from, to, q, s.opt.Now()), Overdue: q.NextDue != "" && q.NextDue < today}
		for _, row := range failed {
			if row.Site == q.Site && row.Record.Equipment() == q.Equipment {
				v.Failed = append(v.Failed, newAnswerView(row))
			}
		}
		name := siteWords(q.Site, names[q.Site])
		if len(d.Groups) == 0 || d.Groups[len(d.Groups)-1].Site != name {
			d.Groups = append(d.Groups, siteGroup{Site: name})
		}
		g := &d.Groups[len(d.Groups)-1]
		g.Rows = append(g.Rows, v)
	}
	return nil
}

// failedTests lists the tests of the period whose result is a fail.
func (s *site) failedTests(ctx context.Context, d *coverageData) ([]archive.Row, error) {
	var out []archive.Row
	for _, k := range []record.Kind{record.TankTest, record.LineTest} {
		rows, err := s.desk.Rows(ctx, archive.Filter{Site: d.Site, Kind: k, From: d.From, To: d.To})
		if err != nil {
			return nil, err
		}
		for _, row := range rows {
			if failed(row) {
				out = append(out, row)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b archive.Row) int { return strings.Compare(a.At, b.At) })
	return out, nil
}

// strip is a period drawn as a band: what covers it as marks, what is missing
// as holes. Its unit is a tenth of a day.
type strip struct {
	Width    int
	Months   []int // first days
	Marks    []int // middles of the days with evidence
	Gaps     []span
	Unknown  []span
	Today    int // -1 when it lies outside
	Label    string
	from, to time.Time
}

type span struct{ X, W int }

const dayUnits = 10

func newStrip(from, to time.Time, q comply.Requirement, now time.Time) strip {
	days := int(to.Sub(from).Hours()/24) + 1
	st := strip{Width: days * dayUnits, Today: -1, from: from, to: to}
	for m := time.Date(from.Year(), from.Month()+1, 1, 0, 0, 0, 0, time.UTC); !m.After(to); m = m.AddDate(0, 1, 0) {
		x, _ := st.at(m.Format(time.DateOnly))
		st.Months = append(st.Months, x)
	}
	for _, e := range q.Evidence {
		if x, ok := st.at(e.At); ok && x >= 0 && x < st.Width {
			st.Marks = append(st.Marks, x+dayUnits/2)
		}
	}
	st.Gaps, st.Unknown = st.spans(q.Gaps), st.spans(q.Unknown)
	if x, ok := st.at(now.Format(time.DateOnly)); ok && x >= 0 && x < st.Width {
		st.Today = x
	}
	st.Label = "tests that count: " + strconv.Itoa(len(q.Evidence)) + ", gaps: " + strconv.Itoa(len(q.Gaps))
	return st
}

// at is where a date or time lies on the strip, also outside of it.
func (st strip) at(date string) (int, bool) {
	t, err := time.Parse(time.DateOnly, date[:min(len(date), len(time.DateOnly))])
	if err != nil {
		return 0, false
	}
	return int(t.Sub(st.from).Hours()/24) * dayUnits, true
}

// spans draws gaps from the day after the test was due: until then the test
// before it covers.
func (st strip) spans(gaps []comply.Gap) []span {
	var out []span
	for _, g := range gaps {
		start := g.From
		if !g.Due.IsZero() && start.Before(g.Due) && g.Due.Before(g.To) {
			start = g.Due.AddDays(1)
		}
		a, ok1 := st.at(start.String())
		b, ok2 := st.at(g.To.String())
		a, b = max(a, 0), min(b+dayUnits, st.Width)
		if ok1 && ok2 && b > a {
			out = append(out, span{a, b - a})
		}
	}
	return out
}
