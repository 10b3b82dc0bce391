package tagger

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"tankroll/parse/lexicon"
)

// around are marks that are no part of a word.
const around = ".:=,;()[]*#-<>|"

// bucket is the place of a piece of a word among all: FNV-1a of 32 bits, folded. Different
// pieces may share one.
func bucket(parts ...string) uint16 {
	x := uint32(2166136261)
	for _, p := range parts {
		for i := range len(p) {
			x = (x ^ uint32(p[i])) * 16777619
		}
	}
	return uint16((x ^ x>>15) % buckets)
}

// knownWords is what a lexicon knows single words as, each as a piece of a word.
func knownWords(l *lexicon.Lexicon) map[string][]uint16 {
	out := map[string][]uint16{}
	for _, s := range []lexicon.Sense{lexicon.Grade, lexicon.Result, lexicon.Kind, lexicon.Device, lexicon.SensorState,
		lexicon.AlarmState, lexicon.Method, lexicon.TestClass, lexicon.Unit, lexicon.Month, lexicon.Weekday, lexicon.Part,
		lexicon.Short, lexicon.Filler, lexicon.Sign, lexicon.Topic, lexicon.Apparatus} {
		for code, spellings := range l.Terms(s) {
			for _, w := range spellings {
				if !strings.Contains(w, " ") {
					out[w] = append(out[w], bucket("L", string(s), ":", code))
				}
			}
		}
	}
	return out
}

// piecesOf adds the pieces of a word to those of others, in order and none twice: runs of two to four letters of the word
// and of the word with all figures alike, what is left without the marks around it, and
// what the lexicon knows that as.
func (n *Net) piecesOf(text string, out []uint16) []uint16 {
	from := len(out)
	w := strings.ToLower(text)
	z := alike(w)
	core := strings.Trim(w, around)
	for i, s := range []string{w, z} {
		if i == 1 && z == w {
			break
		}
		s = "<" + s + ">"
		var at [maxRunes + 3]int // where its letters begin
		count := 0
		for k := range s {
			if count == len(at)-1 {
				break
			}
			at[count] = k
			count++
		}
		at[count] = len(s)
		for size := 2; size <= 4; size++ {
			for k := 0; k+size <= count; k++ {
				out = append(out, bucket("234"[size-2:size-1], s[at[k]:at[k+size]]))
			}
		}
	}
	out = append(out, bucket("w", core), bucket("z", alike(core)))
	out = append(out, n.known[core]...)
	slices.Sort(out[from:])
	return out[:from+len(slices.Compact(out[from:]))]
}

// maxRunes is how much of a word is looked at.
const maxRunes = 48

// alike is a word with all its figures made 0.
func alike(w string) string {
	if !strings.ContainsAny(w, "123456789") {
		return w
	}
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return '0'
		}
		return r
	}, w)
}

// figuresOf says what the figures of a word are like.
func figuresOf(w string) (f [figures]float32) {
	for _, r := range w {
		switch {
		case unicode.IsDigit(r):
			f[0] = 1
		case unicode.IsLetter(r):
			f[1] = 1
		}
	}
	f[2] = float32(utf8.RuneCountInString(w)) / 10
	if number, ok := onlyNumber(w); ok {
		if v, err := strconv.ParseFloat(strings.TrimRight(strings.ReplaceAll(number, ",", ""), "."), 64); err == nil {
			f[3], f[4] = 1, float32(math.Log10(1+math.Abs(v))/4)
			if v < 0 {
				f[5] = 1
			}
			if strings.Contains(strings.TrimRight(number, "."), ".") {
				f[6] = 1
			}
		}
	}
	if strings.HasSuffix(w, ":") || strings.HasSuffix(w, "=") {
		f[7] = 1
	}
	if w != "" && strings.Trim(w, "-=_*.+~|#") == "" {
		f[8] = 1
	}
	if strings.HasPrefix(w, "(") {
		f[9] = 1
	}
	return f
}

// onlyNumber is the number in a word that has one, with its sign and its thousands' commas.
func onlyNumber(w string) (string, bool) {
	i := strings.IndexAny(w, "0123456789+-.")
	if i < 0 {
		return "", false
	}
	k := i
	if w[k] == '+' || w[k] == '-' {
		k++
	}
	run := func(set string) (any bool) {
		for k < len(w) && strings.IndexByte(set, w[k]) >= 0 {
			k, any = k+1, true
		}
		return any
	}
	const digits = "0123456789"
	if k < len(w) && strings.IndexByte(digits, w[k]) >= 0 {
		run(digits + ",")
		if k < len(w) && w[k] == '.' {
			k++
			run(digits)
		}
	} else if k < len(w) && w[k] == '.' {
		k++
		if !run(digits) {
			return "", false
		}
	} else {
		return "", false
	}
	return w[i:k], !strings.ContainsAny(w[k:], digits)
}

// placesOf says where each word stands: how far from the top and from the end, the space before it,
// and its column.
func placesOf(words []Word, lines int) [][4]int {
	out := make([][4]int, len(words))
	for i, w := range words {
		gap := 0
		switch {
		case i > 0 && words[i-1].Line == w.Line:
			gap = 1
			if w.Col-words[i-1].Col-words[i-1].Width >= 2 {
				gap = 2
			}
		case w.Apart:
			gap = 3
		}
		last := steps - 1
		out[i] = [4]int{min(w.Line, last), min(max(lines-1-w.Line, 0), last), gap, min(max(w.Col, 0)/4, last)}
	}
	return out
}

// How two words can stand to each other: so many words apart on one line, or so many lines apart,
// the other to the right, above each other or to the left.
const (
	onLine    = 17
	onOther   = 14
	standings = onLine + 3*onOther
)

// standing is how b stands to a.
func standing(a, b *Word) uint8 {
	lines := min(max(b.Line-a.Line, -7), 7)
	if lines == 0 {
		return uint8(min(max(b.Place-a.Place, -8), 8) + 8)
	}
	k := lines + 7
	if lines > 0 {
		k--
	}
	switch {
	case min(a.Col+a.Width, b.Col+b.Width) > max(a.Col, b.Col):
		k += onOther
	case b.Col+b.Width <= a.Col:
		k += 2 * onOther
	}
	return uint8(onLine + k)
}
