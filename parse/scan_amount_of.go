package parse

import "tankroll/parse/lexicon"

// amountsOf tries a product behind an amount that is of it: 14,210 litres of Premium 95.
func (s *scanner) amountsOf(i int, try *ways) {
	if i < 3 || !s.has.product || s.toks[i-1].norm != "of" || !s.d.spelt(s.toks[i-2], lexicon.Unit) || !s.toks[i-3].number || s.toks[i].blank {
		return
	}
	const most = 4 // words of a product
	best := 0
	for n := 1; n <= most && i+n <= len(s.toks); n++ {
		run := s.toks[i : i+n]
		if last := run[n-1]; n > 1 && (run[n-2].stop != 0 || run[n-2].delim != 0 || last.number && len(last.text) != 2) {
			break
		}
		if _, cost, ok := s.d.grade(run); ok && cost == 0 && s.mostlyGrade(run) && (n == 1 || s.mostlyGrade(run[n-1:])) {
			best = n
		}
	}
	if best > 0 && i+best == len(s.toks) && !s.toks[i].prose && s.d.octaneBelow(s.toks[0].line) {
		return // Premium, and on the next line 95
	}
	if best > 0 {
		worth := float64(best)*freeWorth + 0.3
		if s.toks[i].prose {
			worth++ // in a sentence, which may go over the end of its line
		}
		try.with(best, worth, productFact(s.toks[i:i+best], 0))
	}
}

// octaneBelow reports whether the line below begins with two figures, which may be the octane
// number of a product at the end of the line.
func (d *doc) octaneBelow(line int) bool {
	if line+1 >= len(d.lines) || len(d.lines[line+1].toks) == 0 {
		return false
	}
	t := d.lines[line+1].toks[0]
	return plainDigits(t.text, 2, 2) && t.text >= "80" && !t.ordinal
}
