// Package fax decodes the rows of ITU-T T.4, which fax machines send: runs of
// white and black of which each has a code, with lines of the second dimension
// that tell how they differ from the line before. (T.6, "Group 4", is left to
// golang.org/x/image/ccitt, which knows neither two-dimensional T.4 nor what to
// do with a line that the telephone has damaged.)
package fax

import (
	"errors"
	"io"
)

// Kind is how rows are laid out.
type Kind int

// The kinds.
const (
	OneDimensional Kind = iota // T.4 with an end-of-line code between rows, if any
	TwoDimensional             // T.4 with a bit after each end-of-line code that tells the row's kind
	RLE                        // runs alone, each row from a full byte on (TIFF compression 2)
)

// ErrDamaged is the error of a reader when too many rows cannot be decoded.
var ErrDamaged = errors.New("more damaged fax rows than can be passed over")

// spoiled is how many of a hundred rows may be damaged, and a few more. A fax
// shows the row before in their place; one row is an eighth of a millimetre.
const spoiled = 2

// reader is an io.Reader of rows: 1 bit a pixel, 1 for black, each row from a full
// byte on.
type reader struct {
	bits    bitReader
	kind    Kind
	width   int
	rows    int   // left to give
	bad     int   // damaged rows that may still be passed over
	start   int   // of the row's codes, in bits
	lost    bool  // the row before is damaged, so what differs from it cannot be told
	changes []int // where colour changes in the row before, beginning with black
	row     []byte
	left    []byte // of row, not given yet
}

// NewReader reads rows of width pixels from raw, bits from the highest down.
func NewReader(raw []byte, width, rows int, kind Kind) io.Reader {
	return &reader{bits: newBitReader(raw), kind: kind, width: width, rows: rows, bad: rows*spoiled/100 + 4, row: make([]byte, (width+7)/8)}
}

// Read implements io.Reader. Rows that are missing at the end are
// io.ErrUnexpectedEOF.
func (r *reader) Read(p []byte) (n int, err error) {
	for n < len(p) {
		if len(r.left) == 0 {
			if r.rows == 0 {
				return n, io.EOF
			}
			if err := r.next(); err != nil {
				return n, err
			}
			r.rows--
			r.paint()
			r.left = r.row
		}
		k := copy(p[n:], r.left)
		r.left, n = r.left[k:], n+k
	}
	return n, nil
}

// next decodes the next row into changes; a damaged one leaves them as they are.
func (r *reader) next() error {
	oneDimensional := true
	switch r.kind {
	case RLE:
		r.bits.align()
	default:
		found := r.bits.endOfLine()
		if r.kind == TwoDimensional {
			if !found {
				return r.damaged()
			}
			oneDimensional = r.bits.take(1) == 1
		}
	}
	if r.bits.ended() {
		return io.ErrUnexpectedEOF
	}
	r.start = r.bits.at
	var changes []int
	var ok bool
	if oneDimensional {
		changes, ok = r.oneDimensional()
	} else {
		changes, ok = r.twoDimensional()
	}
	if !ok || !oneDimensional && r.lost {
		return r.damaged()
	}
	r.changes, r.lost = changes, false
	return nil
}

// damaged passes a row over, if that may be, and looks for the next one.
func (r *reader) damaged() error {
	if r.bits.ended() {
		return io.ErrUnexpectedEOF
	}
	r.lost = true
	r.bits.at = r.start // the code that broke off may have been of the row's end
	if r.bad--; r.bad < 0 || r.kind == RLE || !r.bits.seekEndOfLine() {
		return ErrDamaged
	}
	return nil
}

// oneDimensional reads runs, white and black by turns, until the row is full.
func (r *reader) oneDimensional() (changes []int, ok bool) {
	changes = make([]int, 0, len(r.changes)+2)
	for at, black := 0, false; at < r.width; black = !black {
		n, ok := r.bits.run(black)
		if !ok || at+n > r.width {
			return nil, false
		}
		at += n
		changes = add(changes, at)
	}
	return changes, true
}

// add notes a change; two at one place are none.
func add(changes []int, at int) []int {
	if n := len(changes); n > 0 && changes[n-1] == at {
		return changes[:n-1]
	}
	return append(changes, at)
}

// twoDimensional reads a row as it differs from the one before. a0 is the place
// reached, b1 the first change on the row before that lies right of it and is to
// the other colour, b2 the change after that.
func (r *reader) twoDimensional() (changes []int, ok bool) {
	a0, black := -1, false
	for a0 < r.width {
		b1, b2 := r.reference(a0, black)
		switch m := r.bits.mode(); m {
		case modePass:
			a0 = b2
		case modeHorizontal:
			n1, ok1 := r.bits.run(black)
			n2, ok2 := r.bits.run(!black)
			a1 := max(a0, 0) + n1
			if !ok1 || !ok2 || a1+n2 > r.width {
				return nil, false
			}
			changes = add(add(changes, a1), a1+n2)
			a0 = a1 + n2
		case modeBad:
			return nil, false
		default: // vertical: a1 is b1 and a few pixels
			a1 := b1 + int(m)
			if a1 < max(a0, 0) || a1 > r.width || a1 == a0 {
				return nil, false
			}
			changes = add(changes, a1)
			a0, black = a1, !black
		}
	}
	return changes, true
}

func (r *reader) reference(a0 int, black bool) (b1, b2 int) {
	// Changes with an even number are to black, which is what white runs end at.
	i := 0
	if black {
		i = 1
	}
	for i < len(r.changes) && r.changes[i] <= a0 {
		i += 2
	}
	b1, b2 = r.width, r.width
	if i < len(r.changes) {
		b1 = r.changes[i]
	}
	if i+1 < len(r.changes) {
		b2 = r.changes[i+1]
	}
	return b1, b2
}

// paint turns changes into the bits of a row.
func (r *reader) paint() {
	clear(r.row)
	for i := 0; i < len(r.changes); i += 2 {
		end := r.width
		if i+1 < len(r.changes) {
			end = r.changes[i+1]
		}
		for x := r.changes[i]; x < end; x++ {
			r.row[x/8] |= 0x80 >> (x % 8)
		}
	}
}
