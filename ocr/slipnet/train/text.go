package main

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"

	"tankroll/ocr/glyph"
)

// writer makes up the text of slips. What it writes has the shapes of print of
// any trade: words, codes, figures, dates, columns; half of the words are
// letters thrown together, so that no vocabulary can be learned from it.
type writer struct {
	rng   *rand.Rand
	words []string
}

// loadWords reads a list of words, one a line.
func loadWords(file string) ([]string, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out []string
	sc := bufio.NewScanner(f)
	for sc.Scan() {
		w := sc.Text()
		plain := strings.IndexFunc(w, func(r rune) bool { return r < 'A' || r > 'z' }) < 0
		if plain && len(w) > 1 && len(w) < 13 {
			out = append(out, w)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: no words", file)
	}
	return out, sc.Err()
}

func (w *writer) pick(s string) string { return string(s[w.rng.IntN(len(s))]) }

func (w *writer) chance(p float64) bool { return w.rng.Float64() < p }

// line writes n characters.
func (w *writer) line(n int) []rune {
	var b strings.Builder
	switch r := w.rng.Float64(); {
	case r < 0.07:
		return cut(w.row(n), n)
	case r < 0.09:
		return cut(w.rule(n), n)
	}
	b.WriteString(strings.Repeat(" ", max(0, w.rng.IntN(6)-2)))
	if w.chance(0.04) {
		b.WriteString(strings.Repeat(w.pick("-=*._#"), 1+w.rng.IntN(n)))
	}
	casing := w.rng.IntN(4) // 0, 1 capitals; 2 as words are; 3 small
	for b.Len() < n {
		b.WriteString(w.token(casing))
		switch {
		case w.chance(0.12):
			b.WriteString(strings.Repeat(" ", 2+w.rng.IntN(8)))
		case w.chance(0.03):
			b.WriteString(" " + strings.Repeat(w.pick("..-_"), 2+w.rng.IntN(6)) + " ")
		case w.chance(0.12):
			b.WriteString(w.pick(":;,.=") + " ")
		default:
			b.WriteByte(' ')
		}
		if w.chance(0.08) {
			b.WriteString(strings.Repeat(" ", n))
		}
	}
	return cut(b.String(), n)
}

// cut makes s n characters long.
func cut(s string, n int) []rune { return []rune(s + strings.Repeat(" ", n))[:n] }

// row is a row of a ruled table.
func (w *writer) row(n int) string {
	var b strings.Builder
	gap := w.pick("  ")
	if w.chance(0.5) {
		gap = ""
	}
	b.WriteString("|" + gap)
	for b.Len() < n {
		t := w.token(w.rng.IntN(4))
		if w.chance(0.3) {
			t += " " + w.token(2)
		}
		room := strings.Repeat(" ", w.rng.IntN(8))
		if w.chance(0.4) {
			t = room + t
		} else {
			t += room
		}
		b.WriteString(t + gap + "|" + gap)
	}
	return b.String()
}

// rule is a line between rows.
func (w *writer) rule(n int) string {
	mark, corner := w.pick("--=*_."), w.pick("+|-")
	var b strings.Builder
	for b.Len() < n {
		b.WriteString(corner + strings.Repeat(mark, 2+w.rng.IntN(12)))
	}
	return b.String()
}

func (w *writer) token(casing int) string {
	switch r := w.rng.Float64(); {
	case r < 0.26:
		return w.cased(w.words[w.rng.IntN(len(w.words))], casing)
	case r < 0.46:
		return w.cased(w.letters(1+w.rng.IntN(9)), casing)
	case r < 0.72:
		return w.figure()
	case r < 0.78:
		return w.date()
	case r < 0.83:
		return w.clock()
	case r < 0.90:
		return w.code()
	}
	var b strings.Builder
	for range 1 + w.rng.IntN(6) {
		if w.chance(0.6) {
			b.WriteString(w.pick("/-.:,#()%&+=*'|"))
		} else {
			b.WriteRune(glyph.Alphabet[1+w.rng.IntN(len(glyph.Alphabet)-2)])
		}
	}
	return b.String()
}

func (w *writer) cased(s string, casing int) string {
	if w.chance(0.1) {
		casing = w.rng.IntN(4)
	}
	switch casing {
	case 0, 1:
		return strings.ToUpper(s)
	case 3:
		return strings.ToLower(s)
	}
	if w.chance(0.6) && s != "" {
		return strings.ToUpper(s[:1]) + s[1:]
	}
	return s
}

func (w *writer) letters(n int) string {
	var b strings.Builder
	for range n {
		b.WriteByte(byte('a' + w.rng.IntN(26)))
	}
	return b.String()
}

func (w *writer) digits(n int) string {
	var b strings.Builder
	for range n {
		b.WriteByte(byte('0' + w.rng.IntN(10)))
	}
	return b.String()
}

func (w *writer) figure() string {
	s := w.digits(1 + w.rng.IntN(5))
	if w.chance(0.15) {
		s = w.digits(1+w.rng.IntN(3)) + w.pick(", .'") + w.digits(3)
	}
	if w.chance(0.45) {
		s += w.pick("...,") + w.digits(1+w.rng.IntN(3))
	}
	if w.chance(0.12) {
		s = w.pick("-+#") + s
	}
	if w.chance(0.1) {
		s += w.pick("%F°CLGhm")
	}
	return s
}

func (w *writer) date() string {
	sep := w.pick("/-. ")
	months := []string{"JAN", "Feb", "MAR", "Apr", "MAY", "jun", "JUL", "Aug", "SEP", "Oct", "NOV", "Dec"}
	switch w.rng.IntN(3) {
	case 0:
		return w.digits(2) + sep + w.digits(2) + sep + w.digits(2+2*w.rng.IntN(2))
	case 1:
		return w.digits(4) + sep + w.digits(2) + sep + w.digits(2)
	}
	return w.digits(1+w.rng.IntN(2)) + sep + months[w.rng.IntN(12)] + sep + w.digits(2+2*w.rng.IntN(2))
}

func (w *writer) clock() string {
	s := w.digits(1+w.rng.IntN(2)) + ":" + w.digits(2)
	if w.chance(0.3) {
		s += ":" + w.digits(2)
	}
	if w.chance(0.3) {
		s += w.pick("AaPp ") + w.pick("Mm")
	}
	return s
}

// code mixes letters and digits.
func (w *writer) code() string {
	var b strings.Builder
	for range 2 + w.rng.IntN(6) {
		switch w.rng.IntN(5) {
		case 0, 1:
			b.WriteByte(byte('A' + w.rng.IntN(26)))
		case 2, 3:
			b.WriteByte(byte('0' + w.rng.IntN(10)))
		default:
			b.WriteString(w.pick("-/.#()_"))
		}
	}
	return b.String()
}
