package comply

import (
	"fmt"
	"sort"
	"strings"
)

// interstitialOnly is the day after which a new tank needs interstitial
// monitoring, 40 CFR 280.41(a)(2).
var interstitialOnly = Date{2016, 4, 11}

// pass is a passing test with the day it ended.
type pass struct {
	id, at string
	day    Date
	sure   bool
}

// judge works out one requirement.
type judge struct {
	from, to Date
	policy   Policy
	passes   []pass // by day
	r        Requirement
	notes    notes
}

// notes gathers records that do not count, by the reason.
type notes struct {
	fails, doubtfulFails, doubtful, undated, inconclusive, coarse, noTank []string
}

// sort takes the tests of one tank apart: what counts, and why the rest does
// not.
func (j *judge) sort(e Equipment, tests []Test) {
	seen := map[string]int{}
	for _, t := range tests {
		if t.Site != e.Site || t.Tank != e.Tank && t.Tank != "" {
			continue
		}
		day, err := ParseDate(t.At)
		label := t.ID
		if err == nil {
			label += " of " + day.String()
			if t.Result != "pass" && t.Result != "" && (day.Before(j.from) || j.to.Before(day)) {
				continue // only passes reach beyond their own day
			}
		}
		switch {
		case t.Result == "fail" && t.Tank != "":
			if t.Sure {
				j.notes.fails = append(j.notes.fails, label)
			} else {
				j.notes.doubtfulFails = append(j.notes.doubtfulFails, label)
			}
		case t.Result == "inconclusive" || t.Result == "aborted":
			if t.Tank != "" {
				j.notes.inconclusive = append(j.notes.inconclusive, label+" ("+t.Result+")")
			}
		case t.Result != "pass" && t.Result != "":
		case t.Class == "3.0":
			j.notes.coarse = append(j.notes.coarse, label)
		case err != nil:
			j.notes.undated = append(j.notes.undated, t.ID)
		case t.Tank == "":
			j.notes.noTank = append(j.notes.noTank, label)
		default:
			// A result or a class that could not be read may still be a pass.
			p := pass{t.ID, t.At, day, t.Sure && t.Result == "pass" && t.Class != ""}
			if i, ok := seen[t.At]; ok { // the same test, photographed or printed twice
				if p.sure && !j.passes[i].sure {
					j.passes[i] = p
				}
				continue
			}
			seen[t.At] = len(j.passes)
			j.passes = append(j.passes, p)
		}
	}
	sort.SliceStable(j.passes, func(a, b int) bool { return j.passes[a].at < j.passes[b].at })
}

// stretches finds the gaps between tests. A gap that a doubtful test would
// close is unknown; one that stays even with it is a gap.
func (j *judge) stretches() {
	start, ok := j.start()
	if !ok {
		first, any := j.firstSure()
		end := j.to
		if any {
			end = first
		}
		j.unknown(j.from, end, fmt.Sprintf("no passing test before %s is known, so it cannot be told whether the days from %s on were covered", end, j.from))
		if !any {
			return
		}
		start = first
	}
	prev := start
	for _, next := range j.sureAfter(start) {
		j.lapse(prev, next, false)
		prev = next
	}
	j.lapse(prev, j.to, true)
}

// lapse judges the stretch between two sure tests, or, when open, to the end of
// the period.
func (j *judge) lapse(a, b Date, open bool) {
	if _, late := j.gap(a, b, open); !late {
		return
	}
	var found []Gap
	prev := a
	used := false
	for _, p := range j.passes {
		if !p.sure && a.Before(p.day) && (p.day.Before(b) || open && p.day == b) {
			if g, ok := j.gap(prev, p.day, false); ok {
				found = append(found, g)
			}
			prev, used = p.day, true
		}
	}
	if g, ok := j.gap(prev, b, open); ok {
		found = append(found, g)
	}
	if len(found) > 0 {
		j.r.Gaps = append(j.r.Gaps, found...)
		return
	}
	if used {
		j.unknown(a, b, fmt.Sprintf("the days from %s to %s are covered only if a test in doubt is a pass", a, b))
	}
}

// gap is a stretch longer than allowed that reaches into the period. A test on
// the first day ends a stretch before it; an open end does not.
func (j *judge) gap(a, b Date, open bool) (Gap, bool) {
	limit, days := j.policy.MaxGapDays, b.DaysSince(a)
	if limit == 0 || days <= limit || !open && !j.from.Before(b) {
		return Gap{}, false
	}
	return Gap{a, b, days, a.AddDays(limit)}, true
}

func (j *judge) unknown(a, b Date, why string) {
	j.r.Unknown = append(j.r.Unknown, Gap{From: a, To: b, Days: b.DaysSince(a)})
	j.r.Notes = append(j.r.Notes, why)
}

// start is the last sure pass on or before the first day of the period.
func (j *judge) start() (Date, bool) {
	var d Date
	for _, p := range j.passes {
		if p.sure && !j.from.Before(p.day) {
			d = p.day
		}
	}
	return d, !d.IsZero()
}

// firstSure is the first sure pass of the period.
func (j *judge) firstSure() (Date, bool) {
	for _, p := range j.passes {
		if p.sure && !p.day.Before(j.from) && !j.to.Before(p.day) {
			return p.day, true
		}
	}
	return Date{}, false
}

// sureAfter lists the sure passes after a day, up to the end of the period.
func (j *judge) sureAfter(d Date) []Date {
	var out []Date
	for _, p := range j.passes {
		if p.sure && d.Before(p.day) && !j.to.Before(p.day) {
			out = append(out, p.day)
		}
	}
	return out
}

// calendarMonths looks for months of the period without a pass. The month that
// holds the last day is late only when that day ends it.
func (j *judge) calendarMonths() {
	first, known := j.start()
	if !known {
		first, known = j.firstSure()
	}
	for m := j.from.firstOfMonth(); !j.to.Before(m); m = m.lastOfMonth().AddDays(1) {
		end := m.lastOfMonth()
		if j.to.Before(end) || !known || m.Before(first.firstOfMonth()) {
			continue // not over yet, or told to be unknown already
		}
		sure, doubtful := false, false
		for _, p := range j.passes {
			if !p.day.Before(m) && !end.Before(p.day) {
				sure, doubtful = sure || p.sure, doubtful || !p.sure
			}
		}
		switch {
		case sure:
		case doubtful:
			j.unknown(m, end, fmt.Sprintf("%s %d has a passing test only if one in doubt is a pass", m.Month, m.Year))
		default:
			j.r.Gaps = append(j.r.Gaps, Gap{m, end, end.DaysSince(m) + 1, end})
			j.r.Notes = append(j.r.Notes, fmt.Sprintf("%s %d has no passing test", m.Month, m.Year))
		}
	}
}

// nextDue is when the next test must have ended.
func (j *judge) nextDue() Date {
	var last Date
	for _, p := range j.passes {
		if p.sure {
			last = p.day
		}
	}
	if last.IsZero() {
		return last
	}
	due := last.AddDays(j.policy.MaxGapDays)
	if j.policy.CalendarMonth {
		if end := last.lastOfMonth().AddDays(1).lastOfMonth(); end.Before(due) || j.policy.MaxGapDays == 0 {
			due = end
		}
	}
	return due
}

func (j *judge) finish(e Equipment) {
	start, _ := j.start()
	for _, p := range j.passes {
		switch {
		case !p.sure && !p.day.Before(j.from.AddDays(-j.policy.MaxGapDays)) && !j.to.Before(p.day):
			j.notes.doubtful = append(j.notes.doubtful, p.id+" of "+p.day.String())
		case p.sure && !j.to.Before(p.day) && (!p.day.Before(j.from) || p.day == start):
			j.r.Evidence = append(j.r.Evidence, Evidence{p.id, p.at})
		}
	}
	j.r.NextDue = j.nextDue().String()
	j.sayNotes(e)
	sort.SliceStable(j.r.Gaps, func(a, b int) bool { return j.r.Gaps[a].From.Before(j.r.Gaps[b].From) })
	switch {
	case interstitialOnly.Before(e.Installed):
		// The tests were looked at for what they are worth, but cannot cover.
		j.r.Verdict, j.r.NextDue = Unknown, ""
	case len(j.r.Gaps) > 0:
		j.r.Verdict = Lapse
	case len(j.r.Unknown) > 0:
		j.r.Verdict = Unknown
	default:
		j.r.Verdict = Covered
	}
}

func (j *judge) sayNotes(e Equipment) {
	say := func(list []string, format string) {
		if len(list) > 0 {
			j.r.Notes = append(j.r.Notes, fmt.Sprintf(format, strings.Join(list, ", ")))
		}
	}
	say(j.notes.fails, "failed: %s. A failed test is a suspected release: federal rules want it reported to the agency within 24 hours (40 CFR 280.50) and a system test within 7 days (40 CFR 280.52), unless the test equipment is shown to be at fault. State and local rules can be shorter; follow them and let a licensed person decide")
	say(j.notes.doubtfulFails, "may have failed, the reading is in doubt: %s. Look at the paper now: a failed test is a suspected release, to be reported within 24 hours (40 CFR 280.50)")
	say(j.notes.doubtful, "in doubt, so they do not count until a person confirms them: %s")
	say(j.notes.inconclusive, "not conclusive, so they do not count: %s")
	say(j.notes.undated, "without a date that could be read, so they do not count: %s")
	say(j.notes.noTank, "passed at this site without a tank number that could be trusted, so they count for no tank until a person corrects it: %s")
	say(j.notes.coarse, "not a 0.2 or 0.1 gal/h test, so they do not count: %s")
	switch {
	case e.Installed.IsZero():
		j.r.Notes = append(j.r.Notes, "when this tank was installed is not known here: a tank installed after 11 April 2016 needs interstitial monitoring every 30 days instead (40 CFR 280.41(a)(2)), for which a tank test does not count")
	case interstitialOnly.Before(e.Installed):
		j.r.Notes = append(j.r.Notes, "this tank was installed after 11 April 2016: it needs interstitial monitoring every 30 days (40 CFR 280.41(a)(2)), which a tank test cannot stand in for")
	}
}
