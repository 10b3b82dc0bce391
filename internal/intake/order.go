package intake

import (
	"bytes"
	"context"
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"sync"
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

// vote is what one record says about day and month.
type vote struct {
	site, name           string // of its site, as archive.Filter compares them
	slip                 string
	monthFirst, dayFirst bool
}

// voteOf is a row's vote. Only values read surely, of a site that is sure, count,
// and only where the slip itself left no choice: a number above 12 is no month.
func voteOf(r archive.Row) vote {
	if !r.SiteSure {
		return vote{}
	}
	v := vote{site: r.Site, name: strings.ToUpper(r.SiteName), slip: r.Capture + "/" + strconv.Itoa(r.Page) + "/" + strconv.Itoa(r.Slip)}
	look := func(f record.Field) {
		if !f.Sure || f.Origin != record.Printed {
			return
		}
		m := numericDate.FindStringSubmatch(f.Text)
		if m == nil || len(f.String()) < len("2006-01-02") {
			return
		}
		a, _ := strconv.Atoi(m[1])
		b, _ := strconv.Atoi(m[2])
		month, _ := strconv.Atoi(f.String()[5:7])
		switch {
		case a > 12 && b <= 12 && b == month:
			v.dayFirst = true
		case b > 12 && a <= 12 && a == month:
			v.monthFirst = true
		}
	}
	for _, f := range r.Record.Fields {
		look(f)
	}
	if r.Header.PrintedAt != nil {
		look(*r.Header.PrintedAt)
	}
	return v
}

// orders remembers what the slips of the sites say that were asked for, so that
// a slip that comes in costs the same however many there are: only what changed is
// looked at. The zero value knows nothing yet.
type orders struct {
	mu    sync.Mutex
	seq   int64           // the archive's count up to which it is known
	votes map[string]vote // by record; those that say nothing are left out
	sites map[string]bool // whose votes are all there
	sums  map[string]order
}

// of is what the slips of a site say.
func (k *orders) of(ctx context.Context, store *archive.Store, site string) (order, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if err := k.catchUp(ctx, store); err != nil {
		return order{}, err
	}
	if !k.sites[site] {
		rows, err := store.Rows(ctx, archive.Filter{Site: site})
		if err != nil {
			return order{}, err
		}
		k.note(rows)
		k.sites[site] = true
	}
	if o, ok := k.sums[site]; ok {
		return o, nil
	}
	o := order{map[string]bool{}, map[string]bool{}}
	for _, v := range k.votes {
		if v.site != site && v.name != site {
			continue
		}
		if v.monthFirst {
			o.monthFirst[v.slip] = true
		}
		if v.dayFirst {
			o.dayFirst[v.slip] = true
		}
	}
	k.sums[site] = o
	return o, nil
}

func (k *orders) note(rows []archive.Row) {
	for _, r := range rows {
		if v := voteOf(r); v.monthFirst || v.dayFirst {
			k.votes[r.ID] = v
		}
	}
}

// catchUp follows what changed since it was last asked.
func (k *orders) catchUp(ctx context.Context, store *archive.Store) error {
	seq, err := store.Seq(ctx)
	if err != nil || seq == k.seq && k.votes != nil {
		return err
	}
	if k.votes == nil || k.seq == 0 { // nothing is known yet
		k.seq, k.votes, k.sites, k.sums = seq, map[string]vote{}, map[string]bool{}, map[string]order{}
		return nil
	}
	changed, err := store.Changes(ctx, k.seq)
	if err != nil {
		return err
	}
	rows, err := store.Rows(ctx, archive.Filter{SinceSeq: k.seq})
	if err != nil {
		return err
	}
	for _, c := range changed.Records {
		delete(k.votes, c.ID)
	}
	for _, id := range changed.Gone {
		delete(k.votes, id)
	}
	k.note(rows)
	k.seq = changed.Seq
	clear(k.sums)
	return nil
}

// hints adds to what is known of a site the order in which its slips print
// day and month.
func (d *Desk) hints(ctx context.Context, site string) (parse.Hints, error) {
	h := Hints(d.now(), site)
	if site == "" {
		return h, nil
	}
	o, err := d.orders.of(ctx, d.store, site)
	if err != nil {
		return h, err
	}
	h.DayFirst, h.DayFirstKnown = o.known()
	h.Lexicon, err = d.words.of(ctx, d.store, site)
	return h, err
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
	rows, err := d.store.Rows(ctx, archive.Filter{Doubt: parse.SwappedDoubt})
	if err != nil {
		return 0, err
	}
	settled := 0
	seen := map[[2]string]bool{}
	for _, r := range rows {
		key := [2]string{r.Capture, r.Site}
		if seen[key] || r.Capture == "" || !r.SiteSure {
			continue
		}
		seen[key] = true
		h, err := d.hints(ctx, r.Site)
		if err != nil {
			return settled, err
		}
		if !h.DayFirstKnown {
			continue
		}
		if err := d.parseAgain(ctx, r.Capture, r.Site, h); err != nil {
			return settled, err
		}
		settled++
	}
	return settled, nil
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
	again, err := reparse(readings, func(s archive.SlipReading, slip record.Slip, was record.Report) (record.Report, error) {
		if _, shown := s.Joined(); c.Site != site && archive.SiteKey(siteOf(shown.Header)) != site {
			return was, nil
		}
		return heed(slip, parse.Slip(slip, h), h, c.Told), nil
	})
	if err != nil || !again {
		return err
	}
	return d.store.SaveReadings(ctx, capture, readings)
}

// reparse puts what the grammar makes of the slips now in place of what it made
// of them, and reports whether a page says something else by it or is of an
// older grammar. Such a page is a new reading; the others stay as they were.
func reparse(readings []archive.Reading, parsed func(of archive.SlipReading, s record.Slip, was record.Report) (record.Report, error)) (bool, error) {
	some := false
	for i := range readings {
		p := &readings[i]
		changed := p.GrammarVersion != parse.Version
		for k := range p.Slips {
			s := &p.Slips[k]
			was := *s
			r, err := parsed(was, s.Slip, s.Report)
			if err != nil {
				return false, err
			}
			changed = changed || !sameReport(r, s.Report)
			s.Report = r
			if s.Whole == nil {
				continue
			}
			whole := *s.Whole
			if whole.Report, err = parsed(was, whole.Slip, whole.Report); err != nil {
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
