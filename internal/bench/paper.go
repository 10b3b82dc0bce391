package main

import (
	"math"
	"slices"

	"tankroll/fixtures"
	"tankroll/record"
)

// paper sums what is said of the paper of some pictures' slips: where they lie, which
// way up, and in what state they are. A slip read that is no printed one is extra, and
// nothing more is asked of it but that it shows no stripe and no cut.
type paper struct {
	slips, found, extra int
	whole               int  // found, with the whole picture taken for the slip
	turn                said // of those found, as all below
	stripe, cut         sign
	blurred             int // said to be; no picture of the fixtures is, but those that are made to be
	inkOff              float64
	corners             []float64 // how far off each is, in widths of the slip
}

// said sums how often something was right, and how sure it was each way.
type said struct {
	right, wrong         int
	sureRight, sureWrong float64
}

func (s *said) add(right bool, sure float64) {
	if right {
		s.right, s.sureRight = s.right+1, s.sureRight+sure
	} else {
		s.wrong, s.sureWrong = s.wrong+1, s.sureWrong+sure
	}
}

func (s said) sum(o said) said {
	return said{s.right + o.right, s.wrong + o.wrong, s.sureRight + o.sureRight, s.sureWrong + o.sureWrong}
}

// sign counts something that a slip has or has not.
type sign struct {
	there, seen      int // on slips printed, those that were not found among them
	absent, invented int // on slips found that have none; invented ones of extra slips besides
	said             said
}

func (s sign) sum(o sign) sign {
	return sign{s.there + o.there, s.seen + o.seen, s.absent + o.absent, s.invented + o.invented, s.said.sum(o.said)}
}

// add counts a slip that was found.
func (s *sign) add(there, told bool, sure float64) {
	s.said.add(there == told, sure)
	switch {
	case there:
		s.there++
		if told {
			s.seen++
		}
	default:
		s.absent++
		if told {
			s.invented++
		}
	}
}

// lost counts one that is on a slip that was not found, if it is there.
func (s *sign) lost(there bool) {
	if there {
		s.there++
	}
}

// extra counts one that is told of a slip that is not there, if it is told.
func (s *sign) extra(told bool) {
	if told {
		s.invented++
	}
}

// add judges what was said of one picture's slips.
func (p *paper) add(c fixtures.Case, page record.Page) {
	pairs := paired(c.Slips, page.Slips)
	p.slips += len(c.Slips)
	for i, s := range c.Slips {
		if pairs[i] < 0 {
			p.stripe.lost(s.Paper.EndOfRoll)
			p.cut.lost(s.Paper.CutOff)
			continue
		}
		r := page.Slips[pairs[i]]
		p.found++
		if wholePicture(r) {
			p.whole++
		}
		p.turn.add(r.Turn == s.Turn, r.Paper.Sure.Turn)
		p.stripe.add(s.Paper.EndOfRoll, r.Paper.EndOfRoll, r.Paper.Sure.EndOfRoll)
		p.cut.add(s.Paper.CutOff, r.Paper.CutOff, r.Paper.Sure.CutOff)
		if r.Paper.Blurred {
			p.blurred++
		}
		p.inkOff += math.Abs(r.Paper.Ink - s.Paper.Ink)
		off := cornersOff(s.Corners, r.Corners)
		p.corners = append(p.corners, off[:]...)
	}
	for k, r := range page.Slips {
		if !slices.Contains(pairs, k) {
			p.extra++
			p.stripe.extra(r.Paper.EndOfRoll)
			p.cut.extra(r.Paper.CutOff)
		}
	}
}

// sum is two counts as one.
func (p paper) sum(o paper) paper {
	return paper{
		p.slips + o.slips, p.found + o.found, p.extra + o.extra, p.whole + o.whole,
		p.turn.sum(o.turn), p.stripe.sum(o.stripe), p.cut.sum(o.cut), p.blurred + o.blurred,
		p.inkOff + o.inkOff, slices.Concat(p.corners, o.corners),
	}
}

// cornerOff is how far half of the corners are off at most; 0 without any.
func (p paper) cornerOff() float64 {
	if len(p.corners) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(p.corners))
	return (sorted[(len(sorted)-1)/2] + sorted[len(sorted)/2]) / 2
}
