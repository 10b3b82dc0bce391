package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// totals reports whether a line only sums up those above it: TOTAL 7337 7403.
// It says nothing of any tank.
func (d *doc) totals(toks []token) bool {
	if len(toks) < 2 {
		return false
	}
	if d.manifolded(toks) {
		return true
	}
	n := 0
	for n < len(toks) && n < 3 && !toks[n].number && toks[n].delim == 0 && (d.isTotal(toks[n]) || d.noun(toks[n])) {
		n++
	}
	if n < len(toks) && !toks[n].number && d.isTotal(toks[n]) {
		n++ // the one with the mark
	}
	total := false
	for _, t := range toks[:n] {
		total = total || d.isTotal(t)
	}
	if !total {
		return false
	}
	for _, t := range toks[n:] {
		if !t.number && !t.blank && !d.isUnit(t) {
			return false
		}
	}
	return n < len(toks)
}

// isTotal reports whether a word is one for a sum.
func (d *doc) isTotal(t token) bool {
	for _, h := range d.lookup(t.norm) {
		if h.Cost == 0 && h.Sense == lexicon.Part && h.Code == "quantity" {
			return true
		}
	}
	return false
}

// totalsOf reports whether a line that looks like a sum is a labelled field of a
// kind, as TOTAL SALES is of a reconciliation.
func (d *doc) totalsOf(k record.Kind, toks []token) bool {
	for _, n := range d.names(toks) {
		if f, ok := d.field(k, n.bag); ok && n.bag != bagOf("quantity") && !isHeader(f) {
			return true
		}
	}
	return false
}

// sumOfDays reads the sums below the days of an account for the account of all of them, which what
// stands below goes with:
//
//	DAY    OPEN  DLVD  SOLD  CLOSE
//	06/21  4120     0   611   3506
//	06/22  3506     0   702   2807
//	TOTAL  4120     0  1313   2807
func (d *doc) sumOfDays(k record.Kind, sets [][]column, l line, rows []entry) (entry, float64, bool) {
	const fewest = 2 // rows
	if k != record.Reconciliation || len(sets) != 1 || len(rows) < fewest {
		return entry{}, 0, false
	}
	for _, r := range rows {
		if !r.row || hasField(r.facts, "tank") || hasField(r.facts, "product") || !hasField(r.facts, "closing") || !slices.ContainsFunc(r.facts, func(f fact) bool { return f.read.hasDate() }) {
			return entry{}, 0, false
		}
	}
	n := 0
	for n < len(l.toks) && !l.toks[n].number {
		n++
	}
	l.toks = l.toks[n:]
	facts, worth, used := d.oneRow(k, sets, []line{l}, 0)
	if used != 1 || len(facts) != cellCount(l.toks) || !hasField(facts, "closing") || !hasField(facts, "opening") {
		return entry{}, 0, false
	}
	last := rows[len(rows)-1]
	for _, f := range facts {
		if f.field != "closing" {
			continue
		}
		for _, o := range last.facts {
			if o.field == "closing" && o.read.value == f.read.value {
				return entry{facts: facts}, worth, true
			}
		}
	}
	return entry{}, 0, false
}

// sumInWords reports whether a line sums up the stock of several tanks: TOTAL STOCK 45100 LITRES, ALL FUEL
// 45100 L, DIESEL TOTAL 30880 L.
func (d *doc) sumInWords(toks []token) bool {
	const most = 4 // words before the sum
	n, sums := 0, false
	for n < len(toks) && !toks[n].number && n <= most {
		t := toks[n]
		total := d.isTotal(t) || t.norm == "all" || t.norm == "grand"
		if t.blank || d.isDevice(t) && !strings.HasSuffix(t.norm, "s") || !total && !d.tradeWord(t) {
			return false
		}
		sums = sums || total && (n == 0 || n == 1 || !toks[n-1].number)
		n++
	}
	if !sums || n < 2 || n > most || n == len(toks) {
		return false
	}
	for i := n; i < len(toks); i++ {
		if _, cost, used := d.code(lexicon.Unit, toks[i:]); !toks[i].number && (used == 0 || cost > 0) {
			return false
		}
	}
	return true
}

// withoutSums leaves out what a line that sums up the stock of several tanks gave: it is of no tank.
func (d *doc) withoutSums(drafts []*draft) []*draft {
	tanks, days := 0, 0
	return slices.DeleteFunc(drafts, func(dr *draft) bool {
		if dr.kind == record.Reconciliation {
			if dr.row && slices.ContainsFunc(dr.facts, func(f fact) bool { return f.read.hasDate() && !f.inherited }) {
				days++
			} else if !dr.row && days > 1 {
				return d.sumSoFar(dr)
			}
			return false
		}
		if dr.kind != record.Inventory {
			return false
		}
		if dr.has("tank") {
			tanks++
			return false
		}
		own := 0
		for _, f := range dr.facts {
			if f.inherited || len(f.read.toks) == 0 {
				continue
			}
			if own++; !d.sumInWords(d.lines[f.read.toks[0].line].toks) {
				return false
			}
		}
		return tanks > 1 && own > 0
	})
}

// sumSoFar reports whether a draft below the days of an account is one amount of them all, up to a
// day that it does not say: MONTH TO DATE OVER/SHORT -41. Where no word tells that it is such a one,
// it is doubted.
func (d *doc) sumSoFar(dr *draft) bool {
	var own *fact
	for i := range dr.facts {
		if f := &dr.facts[i]; !f.inherited && f.field != "" && len(f.read.toks) > 0 {
			if own != nil {
				return false
			}
			own = f
		}
	}
	if own == nil || own.field != "over_short" {
		return false
	}
	toks := d.lines[own.read.toks[0].line].toks
	for i, t := range toks {
		switch t.norm {
		case "cumulative", "cumul", "cum", "running", "accumulated", "accum", "mtd", "ytd", "month-to-date":
			return true
		case "to":
			if i+1 < len(toks) && toks[i+1].norm == "date" {
				return true
			}
		}
	}
	own.guess = "it stands alone below the days of an account; which of them it is of is not said"
	return false
}

// sharedPeriods doubts the period of several accounts of one tank that stands above all of them: each is
// of a part of it.
func sharedPeriods(drafts []*draft) {
	const why = "the period stands above several accounts of one tank; each may be of a part of it"
	of := map[any][]*draft{}
	for _, dr := range drafts {
		if dr.kind != record.Reconciliation || !dr.row {
			continue
		}
		var tank any
		var from *fact
		for i := range dr.facts {
			switch f := &dr.facts[i]; {
			case f.field == "tank":
				tank = f.read.value
			case (f.field == "from" || f.field == "to" || f.field == fieldPeriod) && f.inherited:
				from = f
			}
		}
		if from != nil && tank != nil {
			of[tank] = append(of[tank], dr)
		}
	}
	for _, all := range of {
		for _, dr := range all {
			for i := range dr.facts {
				if f := &dr.facts[i]; len(all) > 1 && f.inherited && f.guess == "" && (f.field == "from" || f.field == "to" || f.field == fieldPeriod) {
					f.guess = why
				}
			}
		}
	}
}
