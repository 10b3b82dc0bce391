package main

import (
	"math"

	"tankroll/record"
)

// leastOverlap is how much of what two outlines cover together both of them must
// cover for the slip read to be the slip printed. An outline around two slips of one
// size is neither's.
const leastOverlap = 0.5

// leastOfWhole is the same where no outline was seen and the whole picture was taken
// for the only slip on it. That is right on a plain scan, and a scanner's lid shows
// around the slip: of 24 scans of part fit the slip covers 0.38 to 0.79.
const leastOfWhole = 1.0 / 3

// paired finds for each slip printed on a picture the one that was read for it, -1 for
// none. No slip read stands for two, and those that overlap most are paired first.
func paired(printed, read []record.ReadSlip) []int {
	out := make([]int, len(printed))
	for i := range out {
		out[i] = -1
	}
	if len(printed) == 1 && len(read) == 1 && wholePicture(read[0]) && overlap(printed[0].Corners, read[0].Corners) >= leastOfWhole {
		out[0] = 0
		return out
	}
	taken := make([]bool, len(read))
	for {
		at, to, most := -1, -1, 0.0
		for i, p := range printed {
			for k, r := range read {
				if out[i] >= 0 || taken[k] {
					continue
				}
				if s := overlap(p.Corners, r.Corners); s >= leastOverlap && s > most {
					at, to, most = i, k, s
				}
			}
		}
		if at < 0 {
			return out
		}
		out[at], taken[to] = to, true
	}
}

// wholePicture says whether no outline was seen.
func wholePicture(s record.ReadSlip) bool { return s.Paper.Sure.Corners == 0 }

// overlap is what two outlines both cover, as a share of what they cover together.
func overlap(a, b [4]record.Point) float64 {
	x, y := sameWay(a), sameWay(b)
	both := area(inside(x, y))
	if all := area(x) + area(y) - both; all > 0 {
		return both / all
	}
	return 0
}

// sameWay lists the corners such that the area is not below zero.
func sameWay(c [4]record.Point) []record.Point {
	out := c[:]
	if area(out) < 0 {
		out = []record.Point{c[3], c[2], c[1], c[0]}
	}
	return out
}

// area is a polygon's, below zero when its corners go the other way around.
func area(p []record.Point) float64 {
	sum := 0.0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += a.X*b.Y - b.X*a.Y
	}
	return sum / 2
}

// inside is the part of one polygon that lies in another, which has no dent: cut at
// each of its sides in turn.
func inside(p, in []record.Point) []record.Point {
	for i, a := range in {
		b := in[(i+1)%len(in)]
		left := func(q record.Point) float64 { return (b.X-a.X)*(q.Y-a.Y) - (b.Y-a.Y)*(q.X-a.X) }
		var kept []record.Point
		for k, q := range p {
			next := p[(k+1)%len(p)]
			s, t := left(q), left(next)
			if s >= 0 {
				kept = append(kept, q)
			}
			if s > 0 && t < 0 || s < 0 && t > 0 {
				share := s / (s - t)
				kept = append(kept, record.Point{X: q.X + share*(next.X-q.X), Y: q.Y + share*(next.Y-q.Y)})
			}
		}
		p = kept
	}
	return p
}

// cornersOff is how far each corner read lies from the one printed, in shares of the
// printed slip's width. Which corner is the first is the turn's affair, so the corners
// are taken in the order that fits best.
func cornersOff(printed, read [4]record.Point) [4]float64 {
	off := func(a, b record.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }
	width := max((off(printed[0], printed[1])+off(printed[3], printed[2]))/2, 1)
	var best [4]float64
	least := math.Inf(1)
	for first := range 4 {
		var now [4]float64
		sum := 0.0
		for i := range 4 {
			now[i] = off(printed[i], read[(i+first)%4]) / width
			sum += now[i]
		}
		if sum < least {
			best, least = now, sum
		}
	}
	return best
}
