package intake

import (
	"bytes"
	"context"
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tankroll/archive"
	"tankroll/parse"
	"tankroll/record"
)

// A slip printed on 05/07 does not say whether that is May or July. A console
// prints its dates in one order, though, so a slip of the same site that was
// printed on 05/14 does. Evidence of at least leastSlips slips that all agree
// settles the order of a site; one that disagrees leaves it open.
const leastSlips = 2

// order is what the slips of a site say about day and month.
type order struct{ monthFirst, dayFirst map[string]bool } // by slip

// known tells whether the order is settled, and which it is.
func (o order) known() (dayFirst, known bool) {
	m, d := len(o.monthFirst), len(o.dayFirst)
	return d > 0, (m >= leastSlips && d == 0) || (d >= leastSlips && m == 0)
}

var numericDate = regexp.MustCompile(`\b(\d{1,2})[/.\-](\d{1,2})[/.\-](?:\d{2}|\d{4})\b`)

// orderOf gathers what rows say. Only values read surely count, and only where
// the slip itself left no choice: a number above 12 is no month.
func orderOf(rows []archive.Row) order {
	o := order{map[string]bool{}, map[string]bool{}}
	for _, r := range rows {
		slip := r.Capture + "/" + strconv.Itoa(r.Page) + "/" + strconv.Itoa(r.Slip)
		fields := []record.Field{}
		for _, f := range r.Record.Fields {
			fields = append(fields, f)
		}
		if r.Header.PrintedAt != nil {
			fields = append(fields, *r.Header.PrintedAt)
		}
		for _, f := range fields {
			if !f.Sure || f.Origin != record.Printed {
				continue
			}
			m := numericDate.FindStringSubmatch(f.Text)
			if m == nil || len(f.String()) < len("2006-01-02") {
				continue
			}
			a, _ := strconv.Atoi(m[1])
			b, _ := strconv.Atoi(m[2])
			month, _ := strconv.Atoi(f.String()[5:7])
			switch {
			case a > 12 && b <= 12 && b == month:
				o.dayFirst[slip] = true
			case b > 12 && a <= 12 && a == month:
				o.monthFirst[slip] = true
			}
		}
	}
	return o
}

// hints adds to what is known of a site the order in which its slips print
// day and month.
func (d *Desk) hints(ctx context.Context, site string) (parse.Hints, error) {
	h := Hints(d.now(), site)
	if site == "" {
		return h, nil
	}
	rows, err := d.store.Rows(ctx, archive.Filter{Site: site})
	if err != nil {
		return h, err
	}
	h.DayFirst, h.DayFirstKnown = orderOf(rows).known()
	return h, nil
}

// siteOf is the site that a slip surely names, or "".
func siteOf(h record.Header) string {
	if h.SiteNumber != nil && h.SiteNumber.Sure {
		return h.SiteNumber.String()
	}
	return ""
}

// Settle looks again at slips whose dates could be read in two orders, where
// other slips of the same site have settled the order since. Nothing is
// recognised anew, and what people decided stays. It returns how many captures
// it settled.
func (d *Desk) Settle(ctx context.Context) (int, error) {
	rows, err := d.store.Rows(ctx, archive.Filter{})
	if err != nil {
		return 0, err
	}
	bySite := map[string][]archive.Row{}
	for _, r := range rows {
		if r.SiteSure {
			bySite[r.Site] = append(bySite[r.Site], r)
		}
	}
	settled := 0
	for site, rows := range bySite {
		h := Hints(d.now(), site)
		if h.DayFirst, h.DayFirstKnown = orderOf(rows).known(); !h.DayFirstKnown {
			continue
		}
		for _, c := range openCaptures(rows) {
			if err := d.parseAgain(ctx, c, site, h); err != nil {
				return settled, err
			}
			settled++
		}
	}
	return settled, nil
}

// openCaptures lists the captures with a date that could be read in two
// orders.
func openCaptures(rows []archive.Row) []string {
	var out []string
	seen := map[string]bool{}
	for _, r := range rows {
		for _, x := range r.Record.Doubts {
			if strings.Contains(x.Why, parse.SwappedDoubt) && !seen[r.Capture] && r.Capture != "" {
				seen[r.Capture] = true
				out = append(out, r.Capture)
			}
		}
	}
	return out
}

// parseAgain runs the grammar again over the slips of a site in one capture.
func (d *Desk) parseAgain(ctx context.Context, capture, site string, h parse.Hints) error {
	readings, err := d.store.Readings(ctx, capture)
	if err != nil {
		return err
	}
	c, err := d.store.Capture(ctx, capture)
	if err != nil {
		return err
	}
	again, err := reparse(readings, func(s archive.SlipReading, slip record.Slip) (record.Report, error) {
		if _, shown := s.Joined(); c.Site != site && archive.SiteKey(siteOf(shown.Header)) != site {
			return s.Report, nil
		}
		return parse.Slip(slip, h), nil
	})
	if err != nil || !again {
		return err
	}
	return d.store.SaveReadings(ctx, capture, readings)
}

// reparse puts what the grammar makes of the slips now in place of what it made
// of them, and reports whether a page says something else by it or is of an
// older grammar. Such a page is a new reading; the others stay as they were.
func reparse(readings []archive.Reading, parsed func(of archive.SlipReading, s record.Slip) (record.Report, error)) (bool, error) {
	some := false
	for i := range readings {
		p := &readings[i]
		changed := p.GrammarVersion != parse.Version
		for k := range p.Slips {
			s := &p.Slips[k]
			was := *s
			r, err := parsed(was, s.Slip)
			if err != nil {
				return false, err
			}
			changed = changed || !sameReport(r, s.Report)
			s.Report = r
			if s.Whole == nil {
				continue
			}
			whole := *s.Whole
			if whole.Report, err = parsed(was, whole.Slip); err != nil {
				return false, err
			}
			changed = changed || !sameReport(whole.Report, s.Whole.Report)
			s.Whole = &whole
		}
		if changed {
			p.GrammarVersion, p.Number, p.ReadAt = parse.Version, 0, time.Time{}
			some = true
		}
	}
	return some, nil
}

// sameReport compares reports as they are kept.
func sameReport(a, b record.Report) bool {
	x, errA := json.Marshal(a)
	y, errB := json.Marshal(b)
	return errA == nil && errB == nil && bytes.Equal(x, y)
}
