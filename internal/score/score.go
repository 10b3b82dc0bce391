// Package score measures a reading against the truth of a printout: words by
// F1, fields by value. The benchmark and the tests share it, so that a figure
// means the same everywhere.
package score

import (
	"math"
	"strings"
	"unicode"

	"tankroll/record"
)

// Words counts words with at least one letter or digit, as a multiset.
type Words struct{ Truth, Got, Both int }

// CountWords compares the words of two texts, whatever their order.
func CountWords(truth, got []string) Words {
	var w Words
	left := map[string]int{}
	for _, word := range words(truth) {
		left[word]++
		w.Truth++
	}
	for _, word := range words(got) {
		w.Got++
		if left[word] > 0 {
			left[word]--
			w.Both++
		}
	}
	return w
}

func words(lines []string) []string {
	var out []string
	for _, l := range lines {
		for _, w := range strings.Fields(l) {
			if strings.ContainsFunc(w, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) {
				out = append(out, w)
			}
		}
	}
	return out
}

// Add sums two counts.
func (w Words) Add(o Words) Words {
	return Words{w.Truth + o.Truth, w.Got + o.Got, w.Both + o.Both}
}

// F1 is the harmonic mean of recall and precision, 0 to 1; 1 when there was
// nothing to read and nothing was read.
func (w Words) F1() float64 {
	if w.Truth+w.Got == 0 {
		return 1
	}
	return 2 * float64(w.Both) / float64(w.Truth+w.Got)
}

// Fields counts the fields of records against the truth.
type Fields struct {
	Truth     int // fields printed
	Right     int // read with the right value
	Wrong     int // read with another value, or never printed
	Missing   int // printed and not read
	Doubtful  int // read, but not given as sure
	SureWrong int // given as sure with a wrong value: the worst that can happen
	Records   int // records printed
	Whole     int // records with every field right and none invented
	Spurious  int // records read that were never printed
}

// Add sums two counts.
func (f Fields) Add(o Fields) Fields {
	return Fields{f.Truth + o.Truth, f.Right + o.Right, f.Wrong + o.Wrong, f.Missing + o.Missing, f.Doubtful + o.Doubtful,
		f.SureWrong + o.SureWrong, f.Records + o.Records, f.Whole + o.Whole, f.Spurious + o.Spurious}
}

// Accuracy is the share of printed fields read right.
func (f Fields) Accuracy() float64 {
	if f.Truth == 0 {
		return 1
	}
	return float64(f.Right) / float64(f.Truth)
}

// Mismatch is one field that was read wrong, for a person to look at.
type Mismatch struct {
	Kind      record.Kind
	Name      string
	Want, Got record.Field
	Missing   bool
}

// CountFields pairs the records read with those printed, kind by kind, so that as many
// fields as possible agree, and counts them. The order of records is no field.
func CountFields(truth, got []record.Record) (Fields, []Mismatch) {
	var total Fields
	var all []Mismatch
	used := make([]bool, len(got))
	pairs := paired(truth, got)
	for i, want := range truth {
		var r record.Record
		if j := pairs[i]; j >= 0 {
			r, used[j] = got[j], true
		}
		f, m := compare(want, r)
		total, all = total.Add(f), append(all, m...)
	}
	for j, r := range got {
		if used[j] {
			continue
		}
		f, m := compare(record.Record{Kind: r.Kind}, r)
		f.Records, f.Whole, f.Spurious = 0, 0, 1
		total, all = total.Add(f), append(all, m...)
	}
	return total, all
}

// paired pairs records so that most fields agree. A pair that agrees in nothing is worth a
// little: a record misread through and through is one, not one lost and one invented.
func paired(truth, got []record.Record) []int {
	return Match(truth, got, func(w, g record.Record) int { return 1 + (len(truth)+1)*agreeing(w, g) })
}

func agreeing(a, b record.Record) int {
	n := 0
	for name, f := range a.Fields {
		if g, ok := b.Fields[name]; ok && SameValue(a.Kind, name, f, g) {
			n++
		}
	}
	return n
}

func compare(want, got record.Record) (Fields, []Mismatch) {
	f := Fields{Records: 1}
	var m []Mismatch
	for name, w := range want.Fields {
		f.Truth++
		g, ok := got.Fields[name]
		switch {
		case !ok:
			f.Missing++
			m = append(m, Mismatch{want.Kind, name, w, g, true})
			continue
		case SameValue(want.Kind, name, w, g):
			f.Right++
		default:
			f.Wrong++
			m = append(m, Mismatch{want.Kind, name, w, g, false})
			if g.Sure {
				f.SureWrong++
			}
		}
		if !g.Sure {
			f.Doubtful++
		}
	}
	for name, g := range got.Fields {
		if _, ok := want.Fields[name]; ok {
			continue
		}
		f.Wrong++
		m = append(m, Mismatch{got.Kind, name, record.Field{}, g, false})
		if g.Sure {
			f.SureWrong++
		} else {
			f.Doubtful++
		}
	}
	if f.Right == f.Truth && f.Wrong == 0 {
		f.Whole = 1
	}
	return f, m
}

// SameValue reports whether two fields say the same: labels without regard to
// case and spacing, numbers to a millionth and in the same unit, all else to
// the letter.
func SameValue(k record.Kind, name string, a, b record.Field) bool {
	if x, ok := a.Number(); ok {
		y, ok := b.Number()
		return ok && a.Unit == b.Unit && math.Abs(x-y) <= 1e-6*math.Max(1, math.Abs(x))
	}
	if _, ok := b.Number(); ok {
		return false
	}
	if spec, ok := record.Spec(k, name); ok && spec.Type == record.Label {
		return strings.EqualFold(squeeze(a.String()), squeeze(b.String()))
	}
	return a.String() == b.String()
}

func squeeze(s string) string { return strings.Join(strings.Fields(s), " ") }
