package parse

import "math"

// evidence is what is known of a field when it is said how often such a one is
// right. Whether it is sure is decided by reasons; this puts a number to it, and takes back what
// is sure where that is low.
type evidence struct {
	read    float64 // how likely its value was read right, with what backs it
	reasons int     // against it, other than how it reads
	sure    bool    // there is none, not even how it reads
	second  float64 // the log odds that the second reading takes it for what it is; 0 when that cannot know
	least   float64 // the least of them among the fields of its record
	mean    float64 // their mean
	agreed  float64 // their mean over all fields of the slip
	share   float64 // of the most fields that a record of its kind and class on the slip has, its record has
	twins   int     // other records of its kind and class on the slip that are of the same thing at the same time
	free    float64 // how likely a word that no record took is such a field
	shared  bool    // it stands above its record, for several
}

// features are what the logistic function weighs. More of them, by the kind of reason,
// say more on the slips that they are fitted on and less on others.
func (e evidence) features() [nFeatures]float64 {
	bit := func(b bool) float64 {
		if b {
			return 1
		}
		return 0
	}
	more := min(max(e.reasons-1, 0), 2)
	return [nFeatures]float64{
		1, logit(e.read), bit(e.reasons > 0), float64(more), bit(e.sure), e.second, e.least, e.mean, e.agreed,
		e.share, math.Log1p(float64(e.twins)), logit(e.free), bit(e.shared),
	}
}

const nFeatures = 13

// logit is a probability's log odds. Confidences are in ten thousandths, so that
// beyond mostOdds they say no more.
func logit(p float64) float64 {
	const mostOdds, least = 7, 1e-9
	return min(max(math.Log((p+least)/(1-p+least)), -mostOdds), mostOdds)
}

// trustWeights weigh the features in their order: constant, how it reads, whether
// anything else is against it, how much more, whether it is sure, what the second reading takes it
// for, how far it agrees with that of the record's fields with which it agrees least, with the
// record's on the whole and with the slip's; how much of what others of its kind say its record says, how
// many records are of the same thing, whether a word is left over that could be it, and whether it is
// several records'. TestFitFields fits them on slips that were read from pictures. They were fitted on
// drawings of fifteen folders of testdata/strangers of which one network of the second reading had learned from none
// and the other from seven, at up to five levels of wear, 19,647 fields: off by 0.008 there. How often
// doubts are right differs from author to author.
var trustWeights = [nFeatures]float64{-4.887, 0.233, -0.310, -1.074, 1.052, 0.143, 0.147, 0.717, -0.524, 5.363, -1.277, -0.130, -0.684}

// trust is how often a field with such evidence is right, in ten thousandths.
func (e evidence) trust() float64 {
	sum := 0.0
	for i, f := range e.features() {
		sum += trustWeights[i] * f
	}
	return math.Round(1e4/(1+math.Exp(-sum))) / 1e4
}

// leastTrust is the least trust in a field that is sure. Of 10,730 fields of strangers' printouts
// that nothing else speaks against 112 are below it, and 33 of the 77 that are wrong; of 17,829 of
// random consoles 45, and 15 of the 29 that are wrong.
const leastTrust = 0.93

// weakest puts into words what lowers the trust in a field most that no reason speaks against.
func (e evidence) weakest() string {
	const usual = 2 // log odds of a field
	ideal := e
	ideal.second, ideal.least, ideal.mean = max(e.second, usual), max(e.least, usual), max(e.mean, usual)
	causes := []struct {
		without evidence
		why     string
	}{
		{ideal, "a second reading of the slip takes much of this record for something else"},
		{e, "its record says less than others of its kind on the slip; it may belong to another"},
		{e, "more than one record on the slip is of the same thing; it may belong to another"},
		{e, "another word on the slip could be it"},
		{e, "it is taken for what several records share; it may belong to one of them alone"},
	}
	causes[1].without.share, causes[2].without.twins, causes[3].without.free, causes[4].without.shared = 1, 0, 0, false
	why, most := "", 0.0
	for _, c := range causes {
		if p := c.without.trust(); p > most {
			why, most = c.why, p
		}
	}
	return why
}
