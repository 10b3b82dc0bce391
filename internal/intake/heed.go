package intake

import (
	"fmt"
	"strings"
	"time"

	"tankroll/archive"
	"tankroll/parse"
	"tankroll/record"
)

// What a folder is called is a hint, and a folder is easily put in the wrong
// place. So what the paper surely says stands, a contradiction is a doubt, and a
// hint makes no date: it only tells which of two readings of a printed date is
// meant, and that one stays in doubt.

// heed reads a report in the light of what the folder of its picture tells.
func heed(s record.Slip, r record.Report, h parse.Hints, t archive.Told) record.Report {
	if t.Year > 0 {
		r = heedDate(s, r, h, t)
	}
	if t.Site != "" {
		heedSite(&r, t.Site)
	}
	return r
}

// doubtAll adds a doubt to every record as a whole.
func doubtAll(r *record.Report, why string) {
	for i := range r.Records {
		r.Records[i].Doubts = append(r.Records[i].Doubts, record.Doubt{Why: why})
	}
}

// heedSite compares the printed site with the folder's, a number or a name.
func heedSite(r *record.Report, told string) {
	h := &r.Header
	if !strings.ContainsAny(told, "0123456789") {
		// Names are written in many ways: one that is printed says nothing
		// against another, and a printed number says more.
		if h.Site == nil && h.SiteNumber == nil {
			h.Site = toldField(told, true)
		}
		return
	}
	n := h.SiteNumber
	switch {
	case n == nil:
		h.SiteNumber = toldField(told, true)
	case archive.SiteKey(n.String()) == told:
		n.Sure = true // two that know nothing of each other say the same
	case n.Sure:
		n.Sure = false
		doubtAll(r, fmt.Sprintf("the paper says site %s, its folder %s", n, told))
	default:
		f := toldField(told, false)
		f.Text, f.Box = n.Text, n.Box
		doubtAll(r, fmt.Sprintf("site %s is what its folder says; the paper was read as %s, not surely", told, n))
		h.SiteNumber = f
	}
}

func toldField(value string, sure bool) *record.Field {
	f := &record.Field{Value: value, Sure: sure, Origin: record.Entered}
	if sure {
		f.Confidence = 1
	}
	return f
}

// nearby is how far a printed date may lie from the month or year that its folder
// names: the tests of March are printed in April.
const nearby = 31 * 24 * time.Hour

// fits tells whether a time as records have it may lie in a folder.
func fits(at string, t archive.Told) bool {
	day, err := time.Parse(time.DateOnly, at[:min(len(at), len(time.DateOnly))])
	if err != nil {
		return false
	}
	from := time.Date(t.Year, time.January, 1, 0, 0, 0, 0, time.UTC)
	to := from.AddDate(1, 0, 0)
	if t.Month > 0 {
		from = time.Date(t.Year, time.Month(t.Month), 1, 0, 0, 0, 0, time.UTC)
		to = from.AddDate(0, 1, 0)
	}
	return !day.Before(from.Add(-nearby)) && day.Before(to.Add(nearby))
}

// toldDate is what the folder says, for people.
func toldDate(t archive.Told) string {
	if t.Month > 0 {
		return fmt.Sprintf("%s %d", time.Month(t.Month), t.Year)
	}
	return fmt.Sprint(t.Year)
}

func heedDate(s record.Slip, r record.Report, h parse.Hints, t archive.Told) record.Report {
	p := r.Header.PrintedAt
	if p == nil {
		return r
	}
	if !p.Sure && !h.DayFirstKnown {
		h.DayFirstKnown = true
		readings := [2]record.Report{}
		for i := range readings {
			h.DayFirst = i == 1
			readings[i] = parse.Slip(s, h)
		}
		if chosen, ok := choose(readings, t); ok {
			return chosen
		}
	}
	if !fits(p.String(), t) {
		p.Sure = false
		doubtAll(&r, fmt.Sprintf("printed on %.10s by its own word, but its folder says %s", p, toldDate(t)))
	}
	return r
}

// choose takes the one of two readings of a slip, month first and day first, that
// is printed at the time the folder tells. Every field in which they differ stays
// in doubt.
func choose(readings [2]record.Report, t archive.Told) (record.Report, bool) {
	a, b := readings[0].Header.PrintedAt, readings[1].Header.PrintedAt
	if a == nil || b == nil || a.String() == b.String() || fits(a.String(), t) == fits(b.String(), t) || len(readings[0].Records) != len(readings[1].Records) {
		return record.Report{}, false
	}
	chosen, other := readings[0], readings[1]
	if fits(b.String(), t) {
		chosen, other = other, chosen
	}
	chosen.Header.PrintedAt.Sure = false
	for i := range chosen.Records {
		r := &chosen.Records[i]
		for name, f := range r.Fields {
			o := other.Records[i].Fields[name]
			if f.Value == o.Value {
				continue
			}
			f.Sure = false
			r.Fields[name] = f
			r.Doubts = append(r.Doubts, record.Doubt{Field: name, Why: fmt.Sprintf("%s: its folder says %s, so %v is taken; it could be %v",
				parse.SwappedDoubt, toldDate(t), f.Value, o.Value)})
		}
	}
	return chosen, true
}
