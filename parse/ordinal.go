package parse

import (
	"strconv"
	"strings"

	"tankroll/parse/lexicon"
)

// markOrdinals finds the numbers that only count the entries of a list: they
// begin their lines, go up by one from 1, and on most of the lines something
// else says what the entry is about, with its number or its time.
func (d *doc) markOrdinals() {
	d.markCounted(func(toks []token) bool {
		return len(toks) >= 3 && plainDigits(toks[0].text, 1, 3)
	}, d.named, func(n, named int) bool { return named*2 >= n })
	d.markClosed()
	d.markLabelled()
}

// markLabelled finds the numbers that count the labels of a record: 1. STARTED ...
// 2. ENDED ... They go up by one from 1, and most of them stand before a label.
func (d *doc) markLabelled() {
	d.markCounted(func(toks []token) bool {
		return len(toks) >= 2 && (toks[0].shut || toks[0].stop == '.' || bracketedNumber(toks[0])) && plainDigits(countText(toks[0]), 1, 2)
	}, func(toks []token) bool {
		if _, cost, words := d.code(lexicon.Kind, toks[1:]); words > 1 && cost == 0 {
			return false // 1. TANK LEAK TESTS counts a part of the slip
		}
		_, cost, used := d.code(lexicon.Part, toks[1:])
		return used > 0 && cost == 0 && !d.spelt(toks[1], lexicon.Grade)
	}, func(n, labels int) bool { return labels*3 >= n*2 })
}

// countText is the number that a token may count by, without its brackets.
func countText(t token) string { return strings.Trim(t.text, "()") }

// markCounted marks the numbers of runs that go up by one from 1. fits says whether a
// line may be of a run, speaks whether what follows its number speaks for it, and
// enough whether of n lines so many do.
func (d *doc) markCounted(fits, speaks func(toks []token) bool, enough func(n, speaking int) bool) {
	var run []*token
	speaking := 0
	flush := func() {
		if len(run) >= 2 && enough(len(run), speaking) {
			for _, t := range run {
				t.ordinal = true
			}
		}
		run, speaking = nil, 0
	}
	for i := range d.lines {
		toks := d.lines[i].toks
		if !fits(toks) {
			continue
		}
		n, err := strconv.Atoi(countText(toks[0]))
		if err != nil {
			continue
		}
		if n != len(run)+1 {
			flush()
		}
		if n == len(run)+1 {
			run = append(run, &toks[0])
			if speaks(toks) {
				speaking++
			}
		}
	}
	flush()
}

// markClosed finds the numbers that a bracket or full stop closes at the
// beginning of their lines; one of the lines at least must say what it is about.
func (d *doc) markClosed() {
	var closed []*token
	named := false
	for i := range d.lines {
		if toks := d.lines[i].toks; len(toks) > 2 && (toks[0].shut || toks[0].stop == '.') && plainDigits(toks[0].text, 1, 3) {
			closed = append(closed, &d.lines[i].toks[0])
			named = named || d.named(toks)
		}
	}
	for _, t := range closed {
		t.ordinal = named
	}
}

// named reports whether a line that begins with a number names equipment with a
// number of its own behind it, or dates it.
func (d *doc) named(toks []token) bool {
	if r, ok := d.readTime(toks, false); ok && r.used > 1 {
		return false // the number is part of a date
	}
	for i := 1; i < len(toks); i++ {
		if prefix, _, _, ok := toks[i].ident(); ok && identPrefixes[prefix] != "" && !toks[i].number {
			return true
		}
		if _, cost, n := d.code(lexicon.Device, toks[i:]); n > 0 && cost == 0 && i+n < len(toks) && plainDigits(toks[i+n].text, 1, 3) {
			return true
		}
		if r, ok := d.readTime(toks[i:], false); ok && i == 1 && r.hasDate() {
			return true
		}
	}
	return false
}
