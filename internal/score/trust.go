package score

import (
	"math"

	"tankroll/record"
)

// Bins is in how many bins Reliability parts what is said, of equal width.
const Bins = 10

// Reliability counts how often something was right of which it was said how
// likely it is, by bins of what was said. The zero value has counted nothing.
type Reliability [Bins]Bin

// Bin is one of them.
type Bin struct {
	N, Right int
	Said     float64 // sum of what was said, 0 to 1 each
}

// Add counts one that was said to be right with probability p, 0 to 1. What lies
// outside counts as the nearer end, what is no number as 0.
func (r *Reliability) Add(p float64, right bool) {
	if !(p > 0) {
		p = 0
	}
	p = min(p, 1)
	b := &r[min(int(p*Bins), Bins-1)]
	b.N, b.Said = b.N+1, b.Said+p
	if right {
		b.Right++
	}
}

// Sum adds two counts.
func (r Reliability) Sum(o Reliability) Reliability {
	for i := range r {
		r[i] = Bin{r[i].N + o[i].N, r[i].Right + o[i].Right, r[i].Said + o[i].Said}
	}
	return r
}

// Total is all bins as one.
func (r Reliability) Total() Bin {
	var t Bin
	for _, b := range r {
		t = Bin{t.N + b.N, t.Right + b.Right, t.Said + b.Said}
	}
	return t
}

// Error is the expected calibration error: how far what is said lies from how
// often it is right, as the mean over the bins by what is in them; 0 of nothing.
func (r Reliability) Error() float64 {
	off := 0.0
	for _, b := range r {
		off += math.Abs(b.Said - float64(b.Right))
	}
	return off / float64(max(1, r.Total().N))
}

// MeanSaid is the mean of what was said, 0 of none.
func (b Bin) MeanSaid() float64 { return b.Said / float64(max(1, b.N)) }

// Share is how many of them were right, 0 to 1; 0 of none.
func (b Bin) Share() float64 { return float64(b.Right) / float64(max(1, b.N)) }

// Judged is a field that was read and whether it says what is printed.
type Judged struct {
	Kind  record.Kind
	Name  string
	Field record.Field
	Right bool
}

// JudgeFields judges every field that was read. Records are paired as by
// CountFields; a field of one that is paired with none is wrong.
func JudgeFields(truth, got []record.Record) []Judged {
	printed := make([]record.Record, len(got))
	for i, j := range paired(truth, got) {
		if j >= 0 {
			printed[j] = truth[i]
		}
	}
	var out []Judged
	for j, r := range got {
		for _, name := range r.FieldNames() {
			g := r.Fields[name]
			w, ok := printed[j].Fields[name]
			out = append(out, Judged{r.Kind, name, g, ok && SameValue(r.Kind, name, w, g)})
		}
	}
	return out
}
