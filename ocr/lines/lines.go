// Package lines cuts an evened, straightened slip into its printed lines, says
// what kind each is and measures the print's grid: the pitch of lines and of
// characters.
//
// Thermal print is monospaced and its lines do not touch unless the paper is
// bent or smeared, so rows with ink and rows without tell lines apart; the
// pitch, once known, splits what runs together and joins what falls apart.
package lines

import (
	"cmp"
	"math"
	"slices"

	"tankroll/ocr/raster"
)

// Band is one printed line's place on the plane: columns X0..X1, rows Y0..Y1.
type Band struct {
	X0, Y0, X1, Y1 int
	Rule           bool // a rule or leader only
	Inverse        bool // white on black
	Wide, Tall     bool // double width, double height
}

// Height is the band's height in pixels.
func (b Band) Height() int { return b.Y1 - b.Y0 }

// Layout is what Find measured. The height of capitals decides at what scale a slip is read,
// since heads print letters of one height at several pitches, and rows of every kind tell it.
// Pitch and Cell have no measure of trust: who needs the pitch to a tenth of a capital asks
// neighbouring lines whether they agree, and package grid measures how far cells are in step
// with print, and tries others where they are not.
type Layout struct {
	Bands []Band  // top to bottom
	Cap   float64 // height of a normal capital letter in pixels
	Pitch float64 // distance of lines in pixels
	Cell  float64 // width of a normal character cell in pixels
	Left  float64 // x of the left print edge
}

// Find cuts a slip into lines. Both planes hold print as 1 on 0: clean only
// what surely is print, and tells where lines are; full everything, and tells
// how far they reach. guess is the expected height of a capital in pixels,
// within a quarter.
func Find(clean, full raster.Plane, guess float64) Layout {
	p := clean
	l := Layout{Cap: tallestCommon(around(heightsOf(letterMarks(p, guess)), guess), guess)}
	prof := profile(p, l.Cap)
	bands := runs(prof)
	l.Pitch = pitchOf(bands, l.Cap)
	bands = split(join(bands, l), prof, l)
	bands = append(bands, missed(p, bands, l.Cap)...)
	slices.SortFunc(bands, func(a, b span) int { return a.y0 - b.y0 })
	bands = wholeLetters(full, bands, l.Cap)
	for i, b := range bands {
		lo, hi := 0, full.H
		if i > 0 {
			lo = bands[i-1].y1
		}
		if i+1 < len(bands) {
			hi = bands[i+1].y0
		}
		band, ok := describe(full, b, lo, hi, l)
		if ok {
			l.Bands = append(l.Bands, band)
		}
	}
	reachFaint(full, l.Bands, l.Cap)
	l.Left = leftEdge(l.Bands)
	l.Cell = measureCell(full, l.Bands, l.Cap)
	return l
}

// Heights are how high a normal capital of the print on p may be, the likeliest
// first, without looking for lines; guess is right within a factor of two. There
// is one where what rows say is what all marks say, else two.
func Heights(p raster.Plane, guess float64) []float64 {
	rows := runs(profile(p, guess))
	guess = capHeight(rows, guess)
	marks := letterMarks(p, guess)
	all := heightsOf(marks)
	out := []float64{tallestCommon(all, guess)}
	if row := heightInRows(marks, rows); row > 0 {
		fine := tallestCommon(around(all, row), row)
		if math.Abs(math.Log(fine/out[0])) < math.Log(alikeHeights) {
			return []float64{fine}
		}
		out = []float64{fine, out[0]}
	}
	return out
}

// alikeHeights is by which factor heights may differ and be one: so much the
// readings bear.
const alikeHeights = 1.12

// around is the part of heights that is h within a quarter or so.
func around(heights []float32, h float64) []float32 {
	return slices.DeleteFunc(slices.Clone(heights), func(v float32) bool { return float64(v) < 0.8*h || float64(v) > 1.3*h })
}

// Flipped is the layout of the plane, w x h pixels, turned upside down.
func (l Layout) Flipped(w, h int) Layout {
	bands := make([]Band, len(l.Bands))
	for i, b := range l.Bands {
		b.X0, b.X1, b.Y0, b.Y1 = w-b.X1, w-b.X0, h-b.Y1, h-b.Y0
		bands[len(bands)-1-i] = b
	}
	l.Bands = bands
	l.Left = leftEdge(bands)
	return l
}

// span is a run of rows.
type span struct {
	y0, y1 int
	peak   float32
}

func (s span) height() int { return s.y1 - s.y0 }

// profile is how much of each row is inked, lightly smoothed.
func profile(p raster.Plane, cap float64) []float32 {
	col := raster.New(1, p.H)
	for y := range p.H {
		var n float32
		for _, v := range p.Row(y) {
			// Squared: the grain of paper counts little, strokes in full.
			n += v * v
		}
		col.Pix[y] = n / float32(p.W)
	}
	return col.Blur(0.05 * cap).Pix
}

// runs finds the rows that hold print.
func runs(prof []float32) []span {
	near := raster.Plane{W: 1, H: len(prof), Pix: prof}.Max(0, max(len(prof)/24, 8)).Pix
	found := runsAbove(prof, near)
	// Beside a bar of inverse print, which holds ten times the ink, a line of two words
	// would not be seen: what is far stronger than the usual line counts no more than that.
	var peaks []float32
	for _, s := range found {
		peaks = append(peaks, s.peak)
	}
	const far = 1.5
	if len(peaks) == 0 {
		return found
	}
	usual := far * raster.Quantile(peaks, 0.5)
	capped := make([]float32, len(prof))
	for y := range near {
		near[y], capped[y] = min(near[y], usual), min(prof[y], usual)
	}
	return runsAbove(capped, near)
}

// runsAbove finds the rows that hold print: above a share of what is strongest near by,
// and above what blank paper shows.
func runsAbove(prof, near []float32) []span {
	floor := blank(prof)
	var out []span
	for y := 0; y < len(prof); {
		t := max(0.14*near[y], floor)
		if prof[y] <= t {
			y++
			continue
		}
		s := span{y0: y}
		for y < len(prof) && prof[y] > max(0.10*near[y], floor) {
			s.peak = max(s.peak, prof[y])
			y++
		}
		s.y1 = y
		out = append(out, s)
	}
	return out
}

// blank is the most that a row without print shows.
func blank(prof []float32) float32 {
	s := slices.Clone(prof)
	low := raster.Quantile(s, 0.15)
	slices.Sort(s)
	high := s[min(len(s)*97/100, len(s)-1)]
	return max(2.0*low, 0.06*high, 0.0015)
}

// capHeight is the typical height of runs, the strong ones counting most. Rules
// are lower and lines that run together higher.
func capHeight(s []span, guess float64) float64 {
	var h []float32
	for _, r := range s {
		v := float64(r.height())
		if v > guess/3 && v < guess*3 {
			h = append(h, float32(v))
		}
	}
	if len(h) == 0 {
		return guess
	}
	return float64(raster.Quantile(h, 0.5))
}

// letterMarks are the marks that may be letters; bars of tables are too slender, and
// "I" and "l" are left out with them.
func letterMarks(p raster.Plane, guess float64) []blob {
	const slender, broad = 0.22, 2.5 // width, of their height
	return slices.DeleteFunc(blobs(p, 0.45), func(b blob) bool {
		w, h := float64(b.x1-b.x0), float64(b.y1-b.y0)
		return h < 0.5*guess || h > 4*guess || w < slender*h || w > broad*h
	})
}

func heightsOf(marks []blob) []float32 {
	out := make([]float32, len(marks))
	for i, b := range marks {
		out[i] = float32(b.y1 - b.y0)
	}
	return out
}

// heightInRows is the height of most rows' tallest marks: digits, capitals and tall
// letters, all of one height. Rows of double height are few beside them. It is 0
// where there are too few rows.
func heightInRows(marks []blob, rows []span) float64 {
	const (
		fewest    = 4  // marks of a row that tell
		most      = 12 // marks from which a row counts no more than others
		leastRows = 3
	)
	of := make([][]float32, len(rows))
	for _, b := range marks {
		if i := rowOf(rows, b.midY()); i >= 0 {
			of[i] = append(of[i], float32(b.y1-b.y0))
		}
	}
	var heights []height
	for _, h := range of {
		if len(h) >= fewest {
			heights = append(heights, height{raster.Quantile(h, 0.8), min(len(h), most)})
		}
	}
	if len(heights) < leastRows {
		return 0
	}
	return medianHeight(heights)
}

// height is how high the letters of a row are and how much that counts.
type height struct {
	h     float32
	count int
}

func medianHeight(v []height) float64 {
	slices.SortFunc(v, func(a, b height) int { return cmp.Compare(a.h, b.h) })
	total, at := 0, 0
	for _, x := range v {
		total += x.count
	}
	for _, x := range v {
		if at += x.count; 2*at >= total {
			return float64(x.h)
		}
	}
	return 0
}

// rowOf is the row that y lies in, -1 for none.
func rowOf(rows []span, y float64) int {
	i, ok := slices.BinarySearchFunc(rows, y, func(s span, y float64) int {
		switch {
		case float64(s.y1) <= y:
			return -1
		case float64(s.y0) > y:
			return 1
		}
		return 0
	})
	if !ok {
		return -1
	}
	return i
}

// tallestCommon is the tallest height that is common among marks, guess when they
// are too few to say.
func tallestCommon(heights []float32, guess float64) float64 {
	const bins = 64 // of 3 % each, from half the guess up
	var count [bins]float64
	for _, h := range heights {
		if i := int(math.Floor(math.Log(float64(h)/(0.5*guess)) / math.Log(1.03))); i >= 0 && i < bins {
			count[i]++
		}
	}
	var near [bins]float64
	most := 0.0
	for i := range near {
		for k := max(i-2, 0); k <= min(i+2, bins-1); k++ {
			near[i] += count[k] * (1 - 0.25*math.Abs(float64(k-i)))
		}
		most = max(most, near[i])
	}
	const enough = 20
	if most < enough {
		return guess
	}
	for i := bins - 2; i > 0; i-- {
		if near[i] > 0.4*most && near[i] >= near[i+1] && near[i] >= near[i-1] {
			return 0.5 * guess * math.Pow(1.03, float64(i)+0.5)
		}
	}
	return guess
}

// pitchOf is the distance of neighbouring lines: the commonest step between
// the tops of runs that are about one capital high.
func pitchOf(s []span, cap float64) float64 {
	var steps []float32
	for i := 1; i < len(s); i++ {
		a, b := s[i-1], s[i]
		if full(a, cap) && full(b, cap) {
			d := float64(b.y0+b.y1-a.y0-a.y1) / 2
			if d > 1.1*cap && d < 3*cap {
				steps = append(steps, float32(d))
			}
		}
	}
	if len(steps) == 0 {
		return 1.5 * cap
	}
	return float64(raster.Quantile(steps, 0.4))
}

func full(s span, cap float64) bool {
	h := float64(s.height())
	return h > 0.75*cap && h < 1.45*cap
}

// join puts runs together that are parts of one line: dots over letters, tails
// below, the two bars of an equals sign.
func join(s []span, l Layout) []span {
	var out []span
	for _, r := range s {
		if n := len(out) - 1; n >= 0 {
			last := out[n]
			gap, whole := float64(r.y0-last.y1), float64(r.y1-last.y0)
			small := min(float64(r.height()), float64(last.height())) < 0.5*l.Cap
			if small && gap < 0.3*l.Cap && whole < 1.4*l.Cap {
				out[n].y1, out[n].peak = r.y1, max(last.peak, r.peak)
				continue
			}
		}
		out = append(out, r)
	}
	return out
}

// split cuts runs that are higher than a line where they are thinnest, about a
// pitch apart. Double-height lines are told from two lines by having no thin
// place.
func split(s []span, prof []float32, l Layout) []span {
	var out []span
	for _, r := range s {
		out = append(out, cut(r, prof, l)...)
	}
	return out
}

func cut(r span, prof []float32, l Layout) []span {
	if float64(r.height()) < 1.35*l.Pitch {
		return []span{r}
	}
	// The thinnest row within reach of one pitch from the top.
	from, to := r.y0+int(0.7*l.Cap), min(r.y0+int(1.5*l.Pitch), r.y1-int(0.5*l.Cap))
	best := -1
	for y := from; y < to; y++ {
		if best < 0 || prof[y] < prof[best] {
			best = y
		}
	}
	if best < 0 || prof[best] > 0.5*r.peak {
		return []span{r}
	}
	return append([]span{{r.y0, best, r.peak}}, cut(span{best, r.y1, r.peak}, prof, l)...)
}

// leftEdge is where most lines start: the tenth leftmost of a hundred, so that
// dirt left of one line does not count.
func leftEdge(b []Band) float64 {
	var xs []float32
	for _, l := range b {
		if !l.Rule {
			xs = append(xs, float32(l.X0))
		}
	}
	return float64(raster.Quantile(xs, 0.1))
}
