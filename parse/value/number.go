// Package value reads the numbers, units, dates, times and durations of
// printouts as plain text, in spite of misread characters. Every reading says
// how many characters had to be put right and what else the text could be; it
// is for the caller to decide whether that is good enough.
//
// All functions are pure and never panic.
package value

import (
	"math"
	"strconv"
	"strings"
)

// Style says how a slip writes its numbers.
type Style int

// The styles. In Unknown a comma or point with three digits behind it is taken
// for a thousands mark when it is a comma and for a decimal mark when it is a
// point, and the other reading is listed in Others.
const (
	Unknown      Style = iota
	DecimalPoint       // 5,123.4
	DecimalComma       // 5.123,4
)

// Number is a number that was read.
type Number struct {
	Value    float64
	Decimals int       // digits after the decimal mark
	Fixed    int       // characters that are no digits but were taken for one
	Others   []float64 // what else the text could mean
}

// digitOf maps characters that are read for a digit back to it.
var digitOf = map[rune]byte{
	'O': '0', 'o': '0', 'D': '0', 'Q': '0', 'U': '0', 'C': '0',
	'l': '1', 'I': '1', '|': '1', 'i': '1', '!': '1', ']': '1', '[': '1', 'j': '1', 'J': '1',
	'Z': '2', 'z': '2', 'E': '3', 'A': '4', 'S': '5', 's': '5', '$': '5',
	'b': '6', 'G': '6', 'T': '7', '?': '7', 'B': '8', '&': '8', 'g': '9', 'q': '9',
}

// Digit is the digit that a character stands for, and whether it had to be
// put right.
func Digit(r rune) (d byte, fixed, ok bool) {
	if r >= '0' && r <= '9' {
		return byte(r), false, true
	}
	d, ok = digitOf[r]
	return d, ok, ok
}

// maxNumber bounds the length of a number in characters: no volume, rate or
// count on a slip is longer.
const maxNumber = 16

// ParseNumber reads a number with its sign and marks: 5,123.4 5.123,4 .2 -0.03
// 0.03- (0.03) +12. Letters that look like digits are taken for them when at
// least one true digit or a decimal mark stands with them.
func ParseNumber(text string, style Style) (Number, bool) {
	if beginsWord(text) {
		return Number{}, false
	}
	body, negative := sign(text)
	if body == "" || len(body) > maxNumber {
		return Number{}, false
	}
	var room [mostMarks]mark
	var figures [maxNumber]byte
	plain, marks, fixed, ok := digits(body, figures[:0], room[:0])
	if !ok {
		return Number{}, false
	}
	n, ok := assemble(plain, marks, style)
	n.Fixed += fixed
	if ok && negative {
		n.Value = 0 - n.Value // no negative zero
		for i := range n.Others {
			n.Others[i] = 0 - n.Others[i]
		}
	}
	return n, ok
}

// beginsWord reports whether a text begins with a letter that is like no digit, as most
// words do: it is no number.
func beginsWord(text string) bool {
	if text == "" {
		return true
	}
	switch c := text[0]; {
	case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z':
		_, _, like := Digit(rune(c))
		return !like
	}
	return false
}

// sign strips the sign: before, behind or as brackets, as bookkeepers print
// losses.
func sign(text string) (body string, negative bool) {
	s := strings.TrimSpace(text)
	s = strings.Map(plainMinus, s)
	if len(s) > 2 && s[0] == '(' && s[len(s)-1] == ')' {
		s, negative = s[1:len(s)-1], true
	}
	switch {
	case len(s) > 2 && s[:2] == "+-" && s[2] >= '0' && s[2] <= '9':
		s = s[2:] // so much either way
	case len(s) > 3 && s[:3] == "+/-" && s[3] >= '0' && s[3] <= '9':
		s = s[3:]
	case strings.HasPrefix(s, "-"):
		s, negative = s[1:], true
	case strings.HasPrefix(s, "+"):
		s = s[1:]
	case strings.HasSuffix(s, "-") && len(s) > 1:
		s, negative = s[:len(s)-1], true
	case strings.HasSuffix(s, "+") && len(s) > 1:
		s = s[:len(s)-1]
	}
	return strings.TrimSpace(s), negative
}

func plainMinus(r rune) rune {
	switch r {
	case '−', '–', '—', '~':
		return '-'
	}
	return r
}

// mark is a comma, point or apostrophe with the digits before it.
type mark struct {
	char  byte
	place int // digits before it
}

// mostMarks bounds the marks of one number.
const mostMarks = 4

// digits strips a number down to its digits and marks, which go behind those given.
func digits(body string, out []byte, marks []mark) (plain []byte, _ []mark, fixed int, ok bool) {
	real := 0
	for _, r := range body {
		switch r {
		case ',', '.', '\'', '’', '·':
			c := byte(r)
			if r > 127 {
				c = map[rune]byte{'’': '\'', '·': '.'}[r]
			}
			if len(marks) == mostMarks {
				return nil, nil, 0, false
			}
			marks = append(marks, mark{c, len(out)})
		default:
			d, wasFixed, isDigit := Digit(r)
			if !isDigit {
				return nil, nil, 0, false
			}
			if wasFixed {
				fixed++
			} else {
				real++
			}
			out = append(out, d)
		}
	}
	ok = len(out) > 0 && (real > 0 || len(marks) > 0 || len(out) == 1 && fixed == 1)
	return out, marks, fixed, ok
}

// assemble decides which mark is the decimal one.
func assemble(plain []byte, marks []mark, style Style) (Number, bool) {
	if len(marks) == 0 {
		return whole(plain, 0), true
	}
	last := marks[len(marks)-1]
	after := len(plain) - last.place
	same := true
	for _, m := range marks {
		same = same && m.char == last.char
	}
	grouped := groups(plain, marks)
	switch {
	case len(marks) > 1 && same:
		return whole(plain, 0), grouped // 1,234,567
	case len(marks) > 1:
		ok := groups(plain[:last.place], marks[:len(marks)-1]) && last.char != '\''
		return whole(plain, after), ok // 5,123.4 or 5.123,4
	case last.char == '\'':
		return whole(plain, 0), grouped // 5'123
	case !grouped || last.place == 1 && plain[0] == '0':
		return whole(plain, after), after > 0 || last.char == '.' // 45.23 0,123 .2
	}
	return threeBehind(plain, last.char, style), true
}

// threeBehind reads one mark with three digits behind it: 5,123 or 5.123.
func threeBehind(plain []byte, char byte, style Style) Number {
	thousands, decimal := whole(plain, 0), whole(plain, 3)
	if style == DecimalComma && char == ',' || style == DecimalPoint && char == '.' {
		return decimal
	}
	if style != Unknown {
		return thousands
	}
	if char == ',' {
		thousands.Others = []float64{decimal.Value}
		return thousands
	}
	decimal.Others = []float64{thousands.Value}
	return decimal
}

// groups reports whether every mark parts groups of three digits.
func groups(plain []byte, marks []mark) bool {
	for i, m := range marks {
		next := len(plain)
		if i+1 < len(marks) {
			next = marks[i+1].place
		}
		if next-m.place != 3 {
			return false
		}
	}
	return len(marks) == 0 || marks[0].place >= 1 && marks[0].place <= 3
}

// exactDigits is how many digits a float64 holds exactly, as it does the powers of ten up
// to as many: a number divided by one of them is the float64 nearest to its decimals.
const exactDigits = 15

// whole is the number that the digits spell, so many of them behind the decimal mark.
func whole(plain []byte, decimals int) Number {
	if len(plain) > exactDigits {
		return wholeText(string(plain), decimals)
	}
	v, power := 0.0, 1.0
	for _, c := range plain {
		v = v*10 + float64(c-'0')
	}
	for range decimals {
		power *= 10
	}
	return Number{Value: v / power, Decimals: max(decimals, 0)}
}

// wholeText is whole for more digits than a float64 holds.
func wholeText(plain string, decimals int) Number {
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil {
		return Number{}
	}
	if decimals > 0 {
		// Through text, so that 0.2 is the same 0.2 as in the source.
		v, _ = strconv.ParseFloat(plain[:len(plain)-decimals]+"."+plain[len(plain)-decimals:], 64)
	}
	return Number{Value: v, Decimals: decimals}
}

// StyleOf finds how numbers are written from all that look like numbers: those
// that can only be read in one way decide.
func StyleOf(texts []string) Style {
	points, commas := 0, 0
	commaThrees, pointThrees := 0, 0
	for _, t := range texts {
		body, _ := sign(t)
		if len(body) > maxNumber {
			continue
		}
		var room [mostMarks]mark
		var figures [maxNumber]byte
		plain, marks, _, ok := digits(body, figures[:0], room[:0])
		if !ok || len(marks) == 0 {
			continue
		}
		last := marks[len(marks)-1]
		decides := !groups(plain, marks) || len(marks) > 1 && marks[0].char != last.char || last.place == 1 && plain[0] == '0'
		if !decides {
			switch last.char {
			case ',':
				commaThrees++
			case '.':
				pointThrees++
			}
			continue
		}
		switch last.char {
		case '.':
			points++
		case ',':
			commas++
		}
	}
	switch {
	case points > commas && 2*points <= pointThrees && pointThrees >= fewestThrees:
		return Unknown // few against many: they may be commas that were misread
	case points > commas:
		return DecimalPoint
	case commas > points:
		return DecimalComma
	case points == 0 && commaThrees >= fewestThrees && pointThrees == 0:
		return DecimalPoint
	}
	return Unknown
}

// DotThousands reports whether a point likely parts thousands: several numbers
// such as 37.854 and none with another count of decimals.
func DotThousands(texts []string) bool {
	n := 0
	for _, t := range texts {
		body, _ := sign(t)
		var room [mostMarks]mark
		var figures [maxNumber]byte
		if _, marks, _, ok := digits(body, figures[:0], room[:0]); ok && len(body) <= maxNumber && len(marks) == 1 && marks[0].char == '.' {
			n++
		}
	}
	return n >= fewestThrees
}

// fewestThrees is how many numbers such as 5,123 show that the comma parts
// thousands: as a decimal comma it would give all of them three decimals, which
// no volume has.
const fewestThrees = 2

// mixed lists, for each digit, the digits that worn print makes of it.
var mixed = map[byte]string{
	'0': "86935", '1': "74", '2': "73", '3': "8592", '4': "91", '5': "6389", '6': "8509", '7': "12", '8': "03695", '9': "48035",
}

// Variants lists the numbers that differ from the text in one misread
// character: a digit taken for a like one, or a mark for none.
func Variants(text string, style Style) []Number {
	var out []Number
	if len(text) > maxNumber+2 {
		return nil
	}
	add := func(s string) {
		if n, ok := ParseNumber(s, style); ok && n.Fixed == 0 && !math.IsInf(n.Value, 0) {
			out = append(out, n)
		}
	}
	for i := 0; i < len(text); i++ {
		for _, d := range mixed[text[i]] {
			add(text[:i] + string(d) + text[i+1:])
		}
		if d, fixed, ok := Digit(rune(text[i])); ok && fixed {
			for _, o := range mixed[d] {
				add(text[:i] + string(o) + text[i+1:])
			}
		}
	}
	return out
}
