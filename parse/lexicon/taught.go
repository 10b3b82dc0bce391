package lexicon

import (
	"fmt"
	"slices"
	"strings"
)

// Word is a spelling that people of a site taught.
type Word struct {
	Sense    Sense
	Code     string // of the sense; parts of a label are joined by +
	Spelling string
}

// teachable are the senses whose words a site may have of its own.
var teachable = []Sense{Grade, Result, SensorState, AlarmState, Device, Method, TestClass, Part}

// The shortest and the longest spelling that may be taught, in characters: a letter
// or two stand for anything, and no longer phrase is looked up.
const (
	leastTaught = 3
	mostTaught  = maxPhrase
)

// Check says why a word cannot be taught, nil when it can.
func (w Word) Check() error {
	n := len(Normal(w.Spelling))
	switch {
	case !slices.Contains(teachable, w.Sense):
		return fmt.Errorf("words of the sense %q cannot be taught, only of %v", w.Sense, teachable)
	case n < leastTaught || n > mostTaught:
		return fmt.Errorf("%q cannot be taught: a word has %d to %d characters", w.Spelling, leastTaught, mostTaught)
	case !strings.ContainsAny(Normal(w.Spelling), "abcdefghijklmnopqrstuvwxyz"):
		return fmt.Errorf("%q cannot be taught: it has no letters", w.Spelling)
	}
	terms := Default().terms[w.Sense]
	for _, code := range strings.Split(w.Code, "+") {
		if _, ok := terms[code]; !ok && !(w.Sense == Part && isPart(terms, code)) {
			return fmt.Errorf("%q is no %s that words stand for", code, w.Sense)
		}
	}
	return nil
}

// isPart reports whether a part stands by itself or in a word for several.
func isPart(terms map[string][]string, code string) bool {
	for c := range terms {
		if slices.Contains(strings.Split(c, "+"), code) {
			return true
		}
	}
	return false
}

// With is the default vocabulary with words that were taught; what a word means by
// default in the same sense, it means no longer.
func With(taught []Word) (*Lexicon, error) {
	l := empty()
	l.taught = make(map[string]bool, len(taught))
	for _, w := range taught {
		if err := w.Check(); err != nil {
			return nil, fmt.Errorf("lexicon: %w", err)
		}
		l.add(w.Sense, w.Code, Normal(w.Spelling))
		l.taught[Normal(w.Spelling)] = true
	}
	if err := l.load(words); err != nil {
		return nil, err
	}
	return l, nil
}

// Taught reports whether a spelling is one that a person taught.
func (l *Lexicon) Taught(spelling string) bool {
	return len(l.taught) > 0 && l.taught[Normal(spelling)]
}

// Knows reports whether the vocabulary has the spelling itself in a sense, and for
// what.
func (l *Lexicon) Knows(s Sense, spelling string) (code string, ok bool) {
	for _, i := range l.exact[Normal(spelling)] {
		if e := l.entries[i]; e.sense == s {
			return e.code, true
		}
	}
	return "", false
}
