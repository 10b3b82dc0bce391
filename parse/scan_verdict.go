package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// verdicts tries result words that stand alone.
func (s *scanner) verdicts(i int, try *ways) {
	if !s.has.result && s.kind != record.LineSummary {
		return
	}
	r, ok := s.d.readCode("result", s.toks[i:])
	if s.kind == record.LineSummary && (i+r.used != len(s.toks) || !s.dated()) {
		return // "passes" is a label there, but at the end of a dated line
	}
	if s.toks[i].blank || i > 0 && (s.toks[i-1].norm == "not" || s.toks[i-1].norm == "no" && s.toks[i-1].delim == 0 && !starts(s.toks, i)) {
		return // half of what is said
	}
	if s.countsVerdicts(i) {
		return // 512 PASSED, 0 FAILED
	}
	if ok && !crosses(s.toks[i:], r.used) && !s.halfOfLabel(i+r.used) && (s.toks[i].norm != "leak" || s.endsWith(i) || s.saysLeak(i, r)) {
		try.with(r.used, float64(r.used)*freeWorth+0.3-r.cost*misreadCost, fact{field: "result", read: r, weak: true})
	}
}

// countsVerdicts reports whether a number right before a verdict, behind a mark or the comma of
// another, says how many tests ended so.
func (s *scanner) countsVerdicts(i int) bool {
	if i < 2 || !plainDigits(s.toks[i-1].text, 1, 4) || s.toks[i-1].delim != 0 || s.toks[i-1].stop != 0 || starts(s.toks, i) {
		return false
	}
	before := s.toks[i-2]
	return before.stop == ',' && !before.number || before.delim == ':' && !s.d.isDevice(before) && !s.d.numberWord(before)
}

// halfOfLabel reports whether the word before a token is part of a label with it: NO LEAK is no
// verdict before RATE.
func (s *scanner) halfOfLabel(end int) bool {
	if end < 2 || end >= len(s.toks) || starts(s.toks, end) || s.toks[end-1].stop != 0 || s.toks[end-1].delim != 0 {
		return false
	}
	code, cost, ok := s.d.whole(lexicon.Part, s.toks[end-1:end+1])
	return ok && cost == 0 && code == "rate"
}

// saysLeak reports whether a verdict that begins with LEAK is a sentence of several words: LEAK
// INDICATED. Else it may be a label, as of LEAK FOUND 0.1.
func (s *scanner) saysLeak(i int, r reading) bool {
	end := i + r.used
	return r.used > 1 && r.cost == 0 && s.toks[end-1].stop == '.' && (i == 0 || s.toks[i-1].stop == '.')
}

// endsWith reports whether token i is the last of the line and set off from what
// stands before it by a mark or a wide gap.
func (s *scanner) endsWith(i int) bool {
	return i > 0 && i+1 == len(s.toks) && (s.toks[i-1].blank || s.toks[i-1].delim != 0 || starts(s.toks, i))
}

// classes tries the rate that names a test: 0.2 GAL/H TEST, HOURLY TEST.
func (s *scanner) classes(i int, try *ways) {
	if !s.has.class {
		return
	}
	t := s.toks[i]
	if t.number {
		r, ok := s.d.readClass(s.kind, s.toks[i:], "")
		if !ok {
			return
		}
		after, before := s.isTest(i+r.used) || s.isTest(i+r.used+1), s.isTest(i-1) || s.isTest(i-2)
		alone := s.kind == record.LineSummary && len(s.toks) == 1 && r.num.Decimals > 0 || (starts(s.toks, i) || i+r.used < len(s.toks) && s.toks[i+r.used-1].delim == ':' || i == 1 && r.used == len(s.toks)-1 && (s.d.littleWord(s.toks[0]) || s.toks[0].norm == "all") || s.toks[i-1].stop == ',') && r.unitFrom == unitBeside || s.kind == record.LineSummary && (t.open && t.shut || t.text[0] == '(') && r.num.Decimals > 0 // LARGE LEAK (3.0)
		alone = alone || r.unitFrom == unitBeside && i > 0 && s.methodHere(i-1)                                                                                                                                                                                                                                                                                                                                                   // STATIC 0.2 GPH
		alone = alone || s.kind == record.LineSummary && i > 0 && r.num.Decimals > 0 && i+r.used < len(s.toks) && slices.ContainsFunc(s.d.names(s.toks[i+r.used:]), s.namesPasses)                                                                                                                                                                                                                                                // LINE 1 REGULAR 0.2 FIRST ...
		if s.classInList(i, r) {
			try.with(1, wordWorth, fact{field: "test_rate", read: r, weak: true, guess: "no label says that it is the rate that was tested for; it may be what was measured"})
		}
		if bare, ok := s.bareClass(i); ok {
			try.with(bare.used, float64(bare.used)*freeWorth, fact{field: "test_rate", read: bare, weak: true})
		}
		if !alone && s.kind == record.LineSummary && r.unitFrom == unitBeside {
			try.with(r.used, float64(r.used)*freeWorth, fact{field: "test_rate", read: r, weak: true}) // LINE 1 REGULAR 3.0 GPH
		}
		if (after || before) && (r.unitFrom == unitBeside || r.num.Decimals > 0) || alone {
			n := r.used
			for n < len(s.toks)-i && s.isTestWord(i+n) && !(s.toks[i+n].norm == "leak" && s.endsWith(i+n)) {
				n++
			}
			try.with(n, float64(r.used)*wordWorth+0.3, fact{field: "test_rate", read: r, weak: true})
			if n > r.used && (after || s.thingHere(i+r.used)) {
				try.with(r.used, float64(r.used)*wordWorth+0.2, fact{field: "test_rate", read: r, weak: true}) // THE 0.2 GPH TEST ENDED ...
			}
		}
		return
	}
	code, cost, n := s.d.code(lexicon.TestClass, s.toks[i:])
	if r, ok := s.d.readClass(s.kind, s.toks[i:], ""); ok && n > 0 && cost == 0 && r.used > n && starts(s.toks, i) && (r.unitFrom == unitBeside || s.kind == record.LineSummary && r.used == len(s.toks) && r.num.Decimals > 0) {
		try.with(r.used, float64(r.used)*wordWorth+0.3, fact{field: "test_rate", read: r, weak: true}) // MONTHLY 0.2 GPH
	}
	heads := s.kind == record.LineSummary && i == 0 && n > 0 && !s.d.severalTests(s.toks) && (n == len(s.toks) || s.toks[n-1].delim == ':' || s.toks[n].open || cellEnd(s.toks, 0) == n) // MONTHLY: FIRST ...
	heads = heads || s.namesTest(i, n)
	if n > 0 && cost == 0 && (heads || s.isTest(i+n) || s.isTest(i-1) || s.toks[i+n-1].norm == "test") {
		r := reading{used: n, toks: s.toks[i : i+n], value: code, class: code}
		try.with(n, float64(n)*freeWorth, fact{field: "test_class", read: r, weak: true})
	}
}

// namesTest reports whether a word for how often a test is made begins a line of a summary,
// right before the label of its passes: MONTHLY 1ST 03/02/25, HOURLY 24H 22.
func (s *scanner) namesTest(i, n int) bool {
	if s.kind != record.LineSummary || i > 0 || n != 1 || len(s.toks) < 3 || !strings.HasSuffix(s.toks[0].norm, "ly") || s.d.severalTests(s.toks) {
		return false
	}
	return slices.ContainsFunc(s.d.names(s.toks[1:]), s.namesPasses)
}

// isTest reports whether token i is a word for a test.
func (s *scanner) isTest(i int) bool {
	if i < 0 || i >= len(s.toks) {
		return false
	}
	switch s.toks[i].norm {
	case "test", "tests", "tested", "tst", "check", "testing", "tsts":
		return true
	case "pass", "passes", "passed":
		return s.kind == record.LineSummary
	}
	return false
}

// isTestWord reports whether token i may stand between a rate and the word for
// its test, or behind them.
func (s *scanner) isTestWord(i int) bool {
	switch s.toks[i].norm {
	case "test", "tests", "leak", "tank", "line", "the", "tightness":
		return true
	}
	return false
}

// methods tries the word that says how a tank was tested.
func (s *scanner) methods(i int, try *ways) {
	if !s.has.method {
		return
	}
	code, cost, n := s.d.code(lexicon.Method, s.toks[i:])
	if n == 0 || cost > 0 || n == 1 && len(s.toks[i].text) < 5 {
		return
	}
	r := reading{used: n, toks: s.toks[i : i+n], value: code}
	try.with(n, float64(n)*freeWorth-0.1, fact{field: "method", read: r, weak: true})
}

// dated reports whether a date stands among the tokens.
func (s *scanner) dated() bool {
	for i := range s.toks {
		if r, ok := s.d.readTime(s.toks[i:], false); ok && r.hasDate() {
			return true
		}
	}
	return false
}
