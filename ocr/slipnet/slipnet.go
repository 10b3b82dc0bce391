// Package slipnet tells which characters stand in the cells of a slip, all of
// them together.
//
// Package glyph looks at one cell alone, which cannot tell the V of one head
// from the U of another. Here a cell is seen with its neighbours on the line,
// and with all cells of the slip that look like it: one head printed them all,
// so what a clear one shows, a faint one may lean on. The network has three
// layers of 3x3 patterns over the picture of a line, a step that looks at the
// neighbours, one that looks at the whole slip ("attention"), one that looks at
// the neighbours again. A cell's borders are known to a twentieth of it, and what the
// patterns make of a letter changes a little with where its strokes fall among the pixels:
// every slip is read twice, moved by a pixel to either side, and the mean counts.
//
// It was trained by the programs in the folder train on slips of made-up text in
// some forty families of open typefaces, drawn as heads of 7 to 40 dots draw
// them, worn and blurred. None of the faces that the project judges itself on
// was among them, and no text of any console.
package slipnet

import (
	"math"

	"tankroll/ocr/glyph"
)

// The picture of a line: W pixels for every cell across; from Above capitals
// above a capital to Below capitals under the base line down.
const (
	W, H  = 16, 28
	Above = 0.36
	Below = 0.44
)

// Line is the picture of one line, print as 1 on 0: H rows of Cells x W pixels.
type Line struct {
	Cells int
	Pix   []float32
}

// NewLine makes room for the picture of a line.
func NewLine(cells int) Line { return Line{cells, make([]float32, H*W*cells)} }

// bare is whether cells from..to, as far as there are such, hold nothing at all.
func (l Line) bare(from, to int) bool {
	from, to = max(from, 0), min(to, l.Cells)
	for y := range H {
		row := l.Pix[(y*l.Cells+from)*W : (y*l.Cells+to)*W]
		for _, v := range row {
			if v != 0 {
				return false
			}
		}
	}
	return true
}

// part is the picture of cells from..to.
func (l Line) part(from, to int) Line {
	out := NewLine(to - from)
	for y := range H {
		copy(out.Pix[y*out.Cells*W:(y+1)*out.Cells*W], l.Pix[(y*l.Cells+from)*W:])
	}
	return out
}

// moved is the picture moved to the right, by less than a cell.
func (l Line) moved(by int) Line {
	out := NewLine(l.Cells)
	w := l.Cells * W
	if w == 0 {
		return out
	}
	for y := range H {
		row := l.Pix[y*w : (y+1)*w]
		copy(out.Pix[y*w+max(by, 0):(y+1)*w], row[max(-by, 0):])
	}
	return out
}

// Cell is the picture of cell k, W x H.
func (l Line) Cell(k int) []float32 { return l.part(k, k+1).Pix }

// Wipe makes a cell bare.
func (l Line) Wipe(k int) {
	for y := range H {
		clear(l.Pix[(y*l.Cells+k)*W : (y*l.Cells+k+1)*W])
	}
}

// together is how many cells at most are read with an eye on each other. It
// bounds time, which grows with its square, and is about what the network was
// trained on.
const together = 420

// Read gives the probabilities of glyph.Alphabet for every cell of every line.
func (n *Net) Read(lines []Line) [][][]float32 {
	out := make([][][]float32, 0, len(lines))
	room := &room{}
	for _, part := range parts(lines) {
		out = append(out, n.readPart(part, room)...)
	}
	return out
}

// parts cuts lines into runs of about the same number of cells.
func parts(lines []Line) [][]Line {
	total := 0
	for _, l := range lines {
		total += l.Cells
	}
	want := float64(total) / math.Ceil(max(float64(total)/together, 1))
	var out [][]Line
	from, sum := 0, 0
	for i, l := range lines {
		sum += l.Cells
		if float64(sum) >= want || i == len(lines)-1 {
			out = append(out, lines[from:i+1])
			from, sum = i+1, 0
		}
	}
	return out
}

// moves are by how many pixels lines are moved to the right to be read. Of 35,500 characters
// of scans, 34,100 of worn slips and 35,600 of ghosts of the fit part 141, 122 and 342 are
// read wrong as they lie, 128, 98 and 295 so; five moves, up and down as well, read no
// better.
var moves = [...]int{1, -1}

// readPart gives the mean of what is read at each move, in logarithms, as probabilities.
func (n *Net) readPart(lines []Line, room *room) [][][]float32 {
	var scores matrix
	for i, by := range moves {
		moved := make([]Line, len(lines))
		for k, l := range lines {
			moved[k] = l.moved(by)
		}
		s := n.scores(moved, room)
		if i == 0 {
			scores = s
			continue
		}
		for k, v := range s.v {
			scores.v[k] += v
		}
	}
	for k := range scores.v {
		scores.v[k] /= float32(len(moves))
	}
	out := make([][][]float32, len(lines))
	at := 0
	for i, l := range lines {
		out[i] = make([][]float32, l.Cells)
		for k := range out[i] {
			out[i][k] = scores.row(at)
			glyph.Probabilities(out[i][k])
			at++
		}
	}
	return out
}

// scores is what the network makes of all cells of some lines, a row a cell, as logarithms
// of what is in proportion to probabilities.
func (n *Net) scores(lines []Line, room *room) matrix {
	total := 0
	for _, l := range lines {
		total += l.Cells
	}
	x := newMatrix(total, dim)
	at := 0
	for _, l := range lines {
		own := x.rows(at, l.Cells)
		n.look(l, own, room)
		n.beside(0, own)
		at += l.Cells
	}
	n.alike(x, room)
	at = 0
	for _, l := range lines {
		n.beside(1, x.rows(at, l.Cells))
		at += l.Cells
	}
	n.lastNorm.apply(x, x)
	scores := newMatrix(total, len(glyph.Alphabet))
	n.out.apply(x, scores)
	return scores
}
