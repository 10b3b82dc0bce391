package score

import (
	"math"
	"testing"
)

// TestFitLogistic: with a constant and one feature that is 0 or 1 the weights are
// known: the constant is the log odds where it is 0, the other what is added to
// them where it is 1. Of 0 are 3,000 of 4,000 right, log 3; of 1 are 1,000 of
// 4,000, log 1/3, so the weight is log 1/9. Decay of one example in thousands
// hardly shows. A feature that is always 0 gets no weight.
func TestFitLogistic(t *testing.T) {
	var all []Example
	for i := range 4000 {
		all = append(all, Example{"scan", []float64{1, 0, 0}, i < 3000}, Example{"ghost", []float64{1, 1, 0}, i < 1000})
	}
	w := FitLogistic(all, 3)
	for i, want := range []float64{math.Log(3), math.Log(1.0 / 9), 0} {
		if math.Abs(w[i]-want) > 0.01 {
			t.Errorf("weight %d is %.4f, want %.4f", i, w[i], want)
		}
	}
	whole, levels := Reliabilities(all, w)
	if whole.Error() > 0.001 || whole[7].N != 4000 || whole[2].N != 4000 || levels["scan"].Total().N != 4000 {
		t.Errorf("0.75 and 0.25 are said of as many: %v", whole)
	}
	if _, levels := Reliabilities(all, []float64{0, 0, 0}); math.Abs(levels["ghost"].Error()-0.25) > 1e-9 {
		t.Errorf("0.5 is said of what is right once in four: off by %v", levels["ghost"].Error())
	}
	if p := Logistic([]float64{0.5, -1}, []float64{2, 1}); p != 0.5 {
		t.Errorf("a sum of 0 stands for %v", p)
	}
}
