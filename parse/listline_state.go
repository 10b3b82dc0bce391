package parse

import (
	"slices"

	"tankroll/parse/lexicon"
)

// behindStroke takes the words between the last stroke that stands alone on the line and its end, or
// the time there, for the state when they are one to the letter: TANK 4 HIGH WATER - ON.
func (l *listLine) behindStroke(sense lexicon.Sense, field string) bool {
	end := len(l.toks)
	for end > 0 && l.taken[end-1] {
		end--
	}
	at := end - 1
	for at >= 0 && !l.toks[at].blank && !l.taken[at] {
		at--
	}
	if at < 1 || at+1 >= end || !l.toks[at].blank || starts(l.toks, at) {
		return false
	}
	return l.exact(sense, at+1, end) && l.takeState(sense, field, at+1, end, 0.3)
}

// stateBelow reports whether the next line is a state alone, set in below this one: the last words
// of this one then say where the sensor sits, as STP SUMP DIESEL.
func (l *listLine) stateBelow() bool {
	first, last := l.toks[0], l.toks[len(l.toks)-1]
	if first.line != last.line || last.line+1 >= len(l.d.lines) {
		return false
	}
	next := l.d.lines[last.line+1]
	if next.rule || next.gap || len(next.toks) == 0 {
		return false
	}
	if next.toks[0].col < first.col+0.9 {
		return l.d.stateLines(first.line)
	}
	for n := 1; n <= 2 && n < len(l.toks); n++ {
		both := slices.Concat(l.toks[len(l.toks)-n:], next.toks)
		if _, cost, ok := l.d.whole(lexicon.SensorState, both); ok && cost == 0 {
			return false // LOW, and below it LIQUID
		}
	}
	_, cost, ok := l.d.whole(lexicon.SensorState, next.toks)
	return ok && cost == 0
}

// systemReset reports whether the word at token i says that a part of the system was reset, of
// which one word speaks: SYSTEM CLOCK RESET is what happened, PRINTER OUT OF PAPER RESET is over.
func (l *listLine) systemReset(i int) bool {
	if i < 2 || l.toks[i].norm != "reset" || starts(l.toks, i) || l.taken[i-1] || !l.taken[i-2] {
		return false
	}
	return slices.ContainsFunc(l.facts, func(f fact) bool { return f.field == "device" && f.read.value == "system" })
}

// stateLines reports whether the line of a sensor has a state alone below it, and so has another
// such line right above the one or below the other: states have lines of their own there.
func (d *doc) stateLines(i int) bool {
	pair := func(n int) bool {
		if n < 0 || n+1 >= len(d.lines) || len(d.lines[n].toks) < 2 || len(d.lines[n+1].toks) == 0 || d.lines[n+1].gap || !d.namesSensor(d.lines[n].toks) {
			return false
		}
		_, cost, ok := d.whole(lexicon.SensorState, d.lines[n+1].toks)
		return ok && cost == 0
	}
	return pair(i) && (pair(i-2) || pair(i+2))
}
