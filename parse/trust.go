package parse

import "math"

// evidence is what is known of a field when it is said how often such a one is
// right. Whether it is sure is decided by reasons; this only puts a number to it.
type evidence struct {
	read     float64 // how likely its value was read right, with what backs it
	reasons  int     // against it, other than how it reads
	record   bool    // one is against its whole record
	check    bool    // one comes of a check against other fields
	danger   bool    // one is something near it that was not understood
	stranger bool    // and one beside it
	sure     bool    // there is none, not even how it reads
}

// features are what the logistic function weighs.
func (e evidence) features() [nFeatures]float64 {
	bit := func(b bool) float64 {
		if b {
			return 1
		}
		return 0
	}
	more := min(max(e.reasons-1, 0), 2)
	return [nFeatures]float64{1, logit(e.read), bit(e.reasons > 0), float64(more), bit(e.record), bit(e.check), bit(e.danger), bit(e.stranger), bit(e.sure)}
}

const nFeatures = 9

// logit is a probability's log odds. Confidences are in ten thousandths, so that
// beyond mostOdds they say no more.
func logit(p float64) float64 {
	const mostOdds, least = 7, 1e-9
	return min(max(math.Log((p+least)/(1-p+least)), -mostOdds), mostOdds)
}

// trustWeights weigh the features in their order: constant, how it reads, whether
// anything else is against it, how much more, what it is, and whether it is sure.
// TestFitFields fits them on slips of part fit that were read from pictures.
var trustWeights = [nFeatures]float64{3.121, 0.287, -0.448, -0.359, -2.848, -2.351, -1.004, -0.8, 2}

// trust is how often a field with such evidence is right, in ten thousandths.
func (e evidence) trust() float64 {
	sum := 0.0
	for i, f := range e.features() {
		sum += trustWeights[i] * f
	}
	return math.Round(1e4/(1+math.Exp(-sum))) / 1e4
}
