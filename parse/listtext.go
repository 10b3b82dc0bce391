package parse

import (
	"slices"

	"tankroll/parse/lexicon"
)

// inSentence takes the free text out of the words of a sentence that are left
// for it: the part between its commas that says most, without the little words
// at its ends.
//
//	"RAISED AN ALARM, TOO MUCH WATER, ON"  ->  TOO MUCH WATER
//	"AT UNL TURBINE SUMP IS"               ->  UNL TURBINE SUMP
func (d *doc) inSentence(toks []token, field string) []token {
	for len(toks) > 1 && (toks[0].norm == "reports" || toks[0].norm == "reported" || toks[0].norm == "says") {
		toks = toks[1:]
	}
	if len(toks) == 0 || !toks[0].prose && field == "event" {
		return toks
	}
	best := toks
	if parts := clauses(toks); len(parts) > 1 && toks[0].prose {
		best = nil
		for _, p := range parts {
			if !d.saysNothing(p) && (best == nil || len(p) > len(best)) {
				best = p
			}
		}
		if best == nil {
			best = toks
		}
	}
	for len(best) > 1 && d.littleWord(best[0]) {
		best = best[1:]
	}
	for n := len(best) - 1; n > 0 && d.littleWord(best[n]) && best[n].norm != "a"; n-- { // ISLAND A
		best = best[:len(best)-1]
	}
	return best
}

// clauses cuts words at their commas and where words between them were taken.
func clauses(toks []token) [][]token {
	var out [][]token
	from := 0
	for i := range toks {
		if i+1 == len(toks) || toks[i].stop != 0 || toks[i+1].at != toks[i].at+1 {
			out = append(out, toks[from:i+1])
			from = i + 1
		}
	}
	return out
}

// saysNothing reports whether words are only the verb and the nouns around what
// an entry says: "raised an alarm", "on".
func (d *doc) saysNothing(toks []token) bool {
	for _, t := range toks {
		if !d.noun(t) && !d.spelt(t, lexicon.AlarmState) && !d.littleWord(t) {
			return false
		}
	}
	return true
}

// littleWord reports whether a word only holds a sentence together.
func (d *doc) littleWord(t token) bool {
	switch t.norm {
	case "at", "in", "on", "of", "is", "was", "has", "had", "have", "been", "the", "a", "an", "and", "it", "to", "for", "with", "are", "were", "that", "from", "still", "stands", "reads", "shows":
		return true
	}
	return false
}

// onlyLittle reports whether all words only hold a sentence together: IS AT is no place.
func (d *doc) onlyLittle(toks []token) bool {
	return !slices.ContainsFunc(toks, func(t token) bool { return !d.littleWord(t) })
}

// lastSentence takes the state from the last sentence of an entry when that says
// nothing else: "IT IS STILL ON."
func (l *listLine) lastSentence(sense lexicon.Sense, field string) bool {
	end := len(l.toks)
	from := end - 1
	for from > 0 && l.toks[from-1].stop != '.' && !l.taken[from-1] {
		from--
	}
	if end == 0 || from == 0 || !l.toks[0].prose || l.toks[from-1].stop != '.' && !isHalf(l.toks[from-1]) {
		return false
	}
	return l.takeState(sense, field, from, end, 0.6)
}

// untimed takes the little words off the end of free text that lead over to the
// time behind it: "water high since".
func (l *listLine) untimed(toks []token) []token {
	for len(toks) > 1 {
		switch toks[len(toks)-1].norm {
		case "since", "from", "at", "on", "until", "to", "by":
		default:
			return toks
		}
		last := toks[len(toks)-1]
		behind := false
		for i, t := range l.toks {
			behind = behind || i > 0 && l.taken[i] && l.toks[i-1].at == last.at && t.at == last.at+1
		}
		if !behind {
			return toks
		}
		toks = toks[:len(toks)-1]
	}
	return toks
}

// onlyLeads reports whether all that is left is a word that leads over to a time: NORMAL    SINCE
// 03/14/25 07:15. It goes with the time then.
func (l *listLine) onlyLeads(toks []token) bool {
	if len(toks) != 1 {
		return false
	}
	switch toks[0].norm {
	case "at", "since", "from", "on":
	default:
		return false
	}
	for n := range l.facts {
		f := &l.facts[n]
		if f.field == "at" && len(f.label) == 0 && len(f.read.toks) > 0 && f.read.toks[0].at == toks[0].at+1 {
			f.label = toks
			l.worth += wordWorth
			return true
		}
	}
	return false
}
